"""What a remedy asks before it offers numbers; it offers what is new, and what holds as it is printed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.remedies_hold import as_printed, every_hit, typed
from tests.remedy_rows import Row, gauges_from, hits, mended, remedies, values
from tests.test_remedies_parts import gauges_with, part
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit, Rule, remedy_of, rules
from xlfuncs.audit.remedies.values import bound
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.lists.reader import read_book
from xlfuncs.units import parse

CONTRACTOR = Path(__file__).parents[1] / "workbooks" / "contractor_index.xlsx"

RATED: Row = {"design_pressure": "25 barg", "test_pressure": "37.5 barg", "design_temperature": "200 degC"}


GOOD = {"float_max_pressure": "40 barg", "float_max_temperature": "300 degC"}
WEAK = {"float_max_pressure": "20 barg"}


def test_where_no_float_of_the_list_does_a_maker_is_asked_with_what_it_has_to_do() -> None:
    row = part("OWN") | RATED | WEAK | {"fluid_density": "880 to 884 kg/m3"}
    text = mended("float-pressure-exceeded", gauges_with(row, part("OWN"), part("FAR", 90.0) | GOOD)).text
    asked = text[text.index("Ask a maker of floats for one that ") :]
    assert asked == (
        "Ask a maker of floats for one that reads within 10 mm at worst in 880 kg/m3 to 884 kg/m3, withstands"
        " 25 barg (and 37.5 barg, or is taken out before the test), is good for 200 degC."
    )


@pytest.mark.parametrize("other", [part("FIT") | GOOD, part("UNKNOWN")])
def test_no_maker_is_asked_where_a_part_of_the_list_fits_or_may_fit(other: Row) -> None:
    row = part("OWN") | RATED | WEAK
    assert "Ask a maker" not in mended("float-pressure-exceeded", gauges_with(row, part("OWN"), other)).text


@pytest.mark.parametrize(
    ("low", "high", "asked"),
    [
        (690, None, ["lowest density, 690 kg/m3 in", "22% below"]),
        (800, None, []),  # 9 %
        (None, 1010, ["highest density, 1010 kg/m3 in", "15% above"]),
        (690, 1010, ["22% below", "15% above"]),
    ],
)
def test_a_density_far_from_the_operating_one_is_asked_for_before_a_float_is_chosen_for_it(
    low: float | None, high: float | None, asked: list[str]
) -> None:
    ends: Row = {
        "fluid_density_min": None if low is None else f"{low} kg/m3",
        "fluid_density_max": None if high is None else f"{high} kg/m3",
    }
    text = mended("offset-exceeds-tolerance", gauges_with(part("OWN") | ends, part("OWN"), part("B"))).text
    assert text.startswith("Ask first whether the ") == bool(asked)
    assert all(one in text for one in asked)
    assert ("without it the present float does" in text) == bool(asked)


WATER: Row = {
    "fluid": "Water",
    "operating_temperature": "60 degC",
    "float_design_density": None,
    "fluid_density_min": "1060 kg/m3",
    "fluid_density": "1070 kg/m3",
    "fluid_density_max": "1080 kg/m3",
}


def test_the_lowest_and_highest_density_that_share_an_error_are_named_with_it() -> None:
    """Water at 60 degC and 5 barg has 983.4 kg/m3 (IAPWS-95): all three are off, and keep their distances."""
    (cells, *_) = values(mended("density-not-at-operating-conditions", gauges_from(WATER)))
    numbers = {name: float(text.split()[0]) for name, text in cells.items()}
    assert numbers["fluid_density"] == pytest.approx(983.4, abs=0.1)
    assert numbers["fluid_density_min"] == pytest.approx(983.4 * 106 / 107, abs=0.1)
    assert numbers["fluid_density_max"] == pytest.approx(983.4 * 108 / 107, abs=0.1)
    assert not hits("density-not-at-operating-conditions", gauges_from(WATER | cells))


def test_the_ends_of_a_range_of_temperatures_have_their_own_densities() -> None:
    """Water at 5 barg: 972.0 kg/m3 at 80 and 992.4 at 40 degC (IAPWS-95)."""
    row = WATER | {"operating_temperature": "40 to 80 degC", "fluid_density": None}
    (cells, *_) = values(mended("density-not-at-operating-conditions", gauges_from(row)))
    numbers = {name: float(text.split()[0]) for name, text in cells.items()}
    assert numbers["fluid_density_min"] == pytest.approx(972.0, abs=0.2)
    assert numbers["fluid_density_max"] == pytest.approx(992.4, abs=0.2)


def test_a_single_density_is_the_only_one_that_is_stated_anew() -> None:
    row = WATER | {"fluid_density_min": None, "fluid_density_max": None}
    (cells, *_) = values(mended("density-not-at-operating-conditions", gauges_from(row)))
    assert [*cells] == ["fluid_density"]


@pytest.mark.parametrize(
    ("slug", "field", "do"),
    [
        ("float-data-conflict", "float_mass", "Weigh the float"),
        ("float-data-conflict", "float_wall", "Ask its"),
    ],
)
def test_what_tells_which_of_two_data_of_a_float_is_right_is_said(slug: str, field: str, do: str) -> None:
    listed: Row = {"float_part": "ZF-250A", "float_mass": "350 g", "float_wall": "0.9 mm"}
    other = {"float_mass": "380 g"} if field == "float_mass" else {"float_wall": "0.7 mm"}
    assert mended(slug, gauges_from(other, floats=[listed])).text.startswith(do)


FIELDS = [
    ("design_temperature", "degC"),
    ("maintain_temperature", "degF"),
    ("design_pressure", "barg"),
    ("fluid_density", "kg/m3"),
    ("connection_distance", "mm"),
]


@given(field=st.sampled_from(FIELDS), number=st.floats(0.5, 5000), down=st.booleans())
def test_a_bound_as_it_is_printed_is_on_the_safe_side_of_its_limit(
    field: tuple[str, str], number: float, down: bool
) -> None:
    """Of what is computed clear of it by a digit, and never further than two."""
    name, unit = field
    gauges = gauges_from({name: f"5 {unit}"})
    limit = float(parse(f"{number!r} {unit}", _QUANTITY[name]).si_low)
    shown = bound(gauges, 0, name, limit, down=down).value
    assert shown is not None and not isinstance(shown.value, str)
    printed = float(str(shown).split()[0])
    lies = number - printed if down else printed - number
    digit = 10.0 ** -max(0, 3 - len(str(int(number))) + 1) if number >= 1 else 1e-4
    assert -1e-6 <= lies <= 2.001 * digit
    tens = str(printed).strip("0.") == "1"  # where a digit fewer is shown than computed
    if (
        not tens
        and name != "connection_distance"
        and abs(round(number / digit) * digit - number) > 1e-5 * digit
    ):
        assert lies > 0.999 * digit


_QUANTITY = {
    "design_temperature": "temperature",
    "maintain_temperature": "temperature",
    "design_pressure": "pressure_gauge",
    "fluid_density": "density",
    "connection_distance": "length",
}


def test_a_bound_that_is_a_round_number_stays_it() -> None:
    gauges = gauges_from({"design_pressure": "10 barg"})
    assert bound(gauges, 0, "design_pressure", 4.5e5).text.endswith("4.5 barg")


def test_every_number_that_a_kept_book_is_told_to_take_mends_its_finding_as_it_is_printed() -> None:
    settings = Settings()
    gauges = Gauges(read_book(CONTRACTOR), settings)
    told = [
        option
        for item, hit in every_hit(gauges, settings)
        if hit.record >= 0 and (remedy := remedy_of(item, gauges, settings, hit)) is not None
        for option in remedy.options
        if as_printed(option)
    ]
    assert len(told) > 20
    assert [*typed(gauges, settings)] == []


LEVEL = Option("LRV 0 mm", "lrv", Measure(0.0, "mm"))
OTHER = Option("LRV 5 mm", "lrv", Measure(5.0, "mm"))


def told(remedy: Remedy) -> Remedy | None:
    """What is left of a remedy of a gauge whose LRV is 0 and whose URV is 1000 mm."""
    item = rules()["scale-zero-shifted"]
    gauges = gauges_from({"scale_zero": "12 mm"})
    (hit,) = hits(item.slug, gauges)

    def always(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
        return remedy

    own: Rule = replace(item, remedy=always)
    left = remedy_of(own, gauges, Settings(), hit)
    if left is None:
        return None
    assert {one.cell for one in left.options} <= {gauges.own["lrv"].address(0)}
    return replace(left, options=tuple(replace(one, cell="") for one in left.options))


def test_what_stands_in_the_cell_already_is_not_offered() -> None:
    assert told(Remedy("Set LRV 0 mm.", (LEVEL,))) is None
    left = told(Remedy("Set LRV 0 mm; or LRV 5 mm.", (LEVEL, OTHER)))
    assert left == Remedy("Set LRV 5 mm.", (OTHER,))
    both = replace(LEVEL, along=(("urv", Measure(900.0, "mm")),))
    assert told(Remedy("Set both.", (both,))) == Remedy("Set both.", (both,))
    words = Remedy("Read it.", ())
    assert told(words) == words


def test_an_operating_density_that_cannot_be_is_not_held_against_the_others() -> None:
    row: Row = {
        "fluid_density_min": "980 kg/m3",
        "fluid_density": "0.983 kg/m3",
        "fluid_density_max": "986 kg/m3",
    }
    gauges = gauges_from(row)
    (wrong,) = hits("value-implausible", gauges)
    assert not hits("density-range-reversed", gauges.without([(wrong.sheet, wrong.cell)]))
    assert remedies("density-range-reversed", gauges_from(row | {"fluid_density": "900 kg/m3"})) != []


def test_names_and_densities_of_two_liquids_that_changed_places_together_are_put_back_together() -> None:
    """Toluene of 843.5 kg/m3 at 45 degC is named the lower liquid, and water the upper one."""
    row: Row = {
        "service_type": "interface",
        "float_service": "interface",
        "operating_temperature": "45 degC",
        "fluid": "Toluene",
        "fluid_density": "843.5 kg/m3",
        "upper_fluid": "Water",
        "upper_density": "990.4 kg/m3",
        "float_mass": "447 g",
        "float_design_density": None,
        "magnet_height": "114.2 mm",
    }
    remedy = mended("densities-swapped", gauges_from(row))
    assert "names and densities changed places together" in remedy.text
    (cells,) = values(remedy)
    assert cells == {
        "fluid": "Water",
        "fluid_density": "990.4 kg/m3",
        "upper_fluid": "Toluene",
        "upper_density": "843.5 kg/m3",
    }
    assert not hits("densities-swapped", gauges_from(row | cells))


@pytest.mark.parametrize(
    ("beside", "said"),
    [
        ({"visible_low": "150 mm"}, "The visible range begins there as well"),
        ({"lrv": "152 mm"}, "The transmitter's range begins there as well"),
        (
            {"visible_low": "145 mm", "lrv": "150 mm"},
            "The visible range and the transmitter's range begin there",
        ),
        ({"visible_low": "0 mm", "lrv": "0 mm"}, ""),
        ({}, ""),
    ],
)
def test_a_zero_at_which_the_ranges_begin_is_asked_about_before_the_scale_is_moved(
    beside: Row, said: str
) -> None:
    gauges = gauges_from({"scale_zero": "150 mm", "visible_low": None, "lrv": None, "urv": None} | beside)
    remedy = mended("scale-zero-shifted", gauges)
    assert remedy.text.startswith(said or "Move the scale down by 150 mm.")
    assert remedy.text.endswith("ove the scale down by 150 mm.")
    assert ("ask first whether this zero is meant" in remedy.text) == bool(said)
