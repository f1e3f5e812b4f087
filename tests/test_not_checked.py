"""No rule passes over a gauge in silence: what it cannot decide, it lists, with what is missing."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from io import StringIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.layouts import LAYOUTS, Layout, build
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.examples import CellError
from xlfuncs.audit.gauges import Gauges, stated_in
from xlfuncs.audit.model import AuditResult
from xlfuncs.audit.registry import Rule, rules
from xlfuncs.data import load
from xlfuncs.lists.reader import read_book
from xlfuncs.report import csvfile, jsonfile, request, text

METRIC = LAYOUTS[0]
ONE_SHEET = LAYOUTS[2]

NEED_NOT_BE_STATED = {
    ("scale-zero-shifted", "scale_zero"),  # stated where it is off
    ("current-inconsistent", "stated_current"),
    ("densities-swapped", "upper_density"),
    ("float-barely-floats", "upper_density"),  # decided where no vapour changes the verdict
    ("offset-exceeds-tolerance", "upper_density"),
    ("float-lags", "upper_density"),
    ("worst-reading-exceeds-tolerance", "upper_density"),
    ("range-not-reachable", "upper_density"),
    ("float-top-heavy", "upper_density"),
}
"""Fields whose blank cell leaves a rule something to decide, or nothing."""
TOGETHER: dict[str, tuple[str, ...]] = {}
"""Fields of which either answers."""
OTHER_NAMES = {"connection_arrangement"}
"""Fields in which a word that is not known has a meaning."""
NOT_AS_TEXT = {"float_part", "serial", "float_serial", "float_gauge_serial", "transmitter_gauge_serial"}
"""Names of which any text is one."""


def _unusable(field: str) -> Iterator[tuple[str, Any]]:
    """Ways in which a cell can hold nothing that a rule could use."""
    yield "blank", None
    yield "TBC", "'TBC"
    yield "error", CellError("#REF!")
    if load("fields")[field]["kind"] == "quantity":
        yield "words", "'as existing"
        yield "implausible", "'1E+99"
    elif field not in NOT_AS_TEXT | OTHER_NAMES:
        yield "unknown name", "Unobtanium Q7"


def _concerned(item: Rule, layout: Layout, folder: Path) -> list[dict[str, Any]]:
    """The sound gauge and the rule's examples, as far as the rule concerns them."""
    every: list[Mapping[str, Any]] = [{}, *item.passing, *item.firing]
    examples = [dict(row) for row in every if not any(str(name).startswith("_") for name in row)]
    gauges = Gauges(read_book(build(folder / "examples.xlsx", layout, examples).path))
    asked = item.when(gauges).tolist() if item.when is not None else [True] * len(examples)
    return [row for row, concerned in zip(examples, asked, strict=True) if concerned]


def _cases(item: Rule, examples: Iterable[dict[str, Any]]) -> Iterator[tuple[str, dict[str, Any]]]:
    """What was made unusable, and how, and the gauge for which it was."""
    for example in examples:
        for need in item.needs:
            names = TOGETHER.get(need, (need,)) if isinstance(need, str) else need
            group = tuple(dict.fromkeys(map(stated_in, names)))
            if group == ("float_ends",):  # every shape is tried
                continue
            for way, _ in _unusable(group[0]):
                if way == "blank" and (item.slug, group[0]) in NEED_NOT_BE_STATED:
                    continue
                ways = {field: dict(_unusable(field)) for field in group}
                row = example | {field: ways[field].get(way) for field in group}
                if group == ("tracing",):  # a tracer's own data would tell as well
                    row |= {"tracer_output": None, "maintain_temperature": None}
                yield f"{' or '.join(group)}: {way}, {example}", row
        for field in map(stated_in, item.assumes):
            for way, value in _unusable(field):
                if way != "blank":
                    yield f"{field}: {way}, {example}", example | {field: value}


RULES = [item for item in rules().values() if item.needs or item.assumes]


def _told(result: AuditResult, slug: str) -> set[str]:
    """Tags of the gauges that a rule decided against, or could not decide."""
    fired = {f.tag for f in result.findings if f.rule == slug or slug in f.also}
    return fired | {n.tag for n in result.not_checked if n.rule == slug}


RULES.remove(rules()["stacked-gauges-gap"])  # of a gauge by itself it has nothing to say
CASES = [(item, layout) for item in RULES for layout in (METRIC, ONE_SHEET)]
CASES.remove((rules()["float-not-in-list"], ONE_SHEET))


@pytest.mark.parametrize(
    ("item", "layout"),
    [pytest.param(item, layout, id=f"{item.slug}-{layout.name}") for item, layout in CASES],
)
def test_a_gauge_without_usable_data_is_listed(item: Rule, layout: Layout, tmp_path: Path) -> None:
    cases = list(_cases(item, _concerned(item, layout, tmp_path)))
    rows = [row | {"tag": f"LG-{7000 + n}"} for n, (_, row) in enumerate(cases)]
    told = _told(audit_book(build(tmp_path / "gaps.xlsx", layout, rows).path), item.slug)
    assert cases
    assert [what for n, (what, _) in enumerate(cases) if f"LG-{7000 + n}" not in told] == []


def _missing(tmp_path: Path, slug: str, **changes: Any) -> set[str]:
    """What a rule says that it lacks for the sound gauge with some changes; it must not fire."""
    result = audit_book(build(tmp_path / "one.xlsx", METRIC, [changes]).path)
    assert [f.message for f in result.findings if f.rule == slug] == []
    return {text for n in result.not_checked if n.rule == slug for text in n.lacking}


INTERFACE: dict[str, Any] = {"service_type": "interface", "float_service": "interface", "float_mass": "440 g"}


@pytest.mark.parametrize(
    ("slug", "changes", "missing"),
    [
        (
            "flange-rating-exceeded",
            {"flange_class": "150# / 300#"},
            "'150# / 300#' is none, or more than one)",
        ),
        (
            "flange-rating-exceeded",
            {"material_group": None, "chamber_material": "cast iron"},
            "'cast iron' is in no group of ASME B16.5)",
        ),
        (
            "flange-rating-exceeded",
            {"flange_class": "PN 40", "material_group": None, "chamber_material": "A105"},
            "'A105' is in no group of EN 1092-1)",
        ),
        (
            "flange-rating-exceeded",
            {"flange_class": "PN 40", "chamber_material": None},
            "material_group '2.3' is not tabulated for PN 40",
        ),
        (
            "flange-rating-exceeded",
            {"flange_class": "10K", "material_group": "023a", "design_temperature": "150 degC"},
            "division of the flange",
        ),
        (
            "flange-rating-exceeded",
            {
                "flange_class": "10K",
                "material_group": "023a",
                "design_temperature": "100 degC",
                "design_pressure": "12 barg",
                "test_pressure": "18 barg",
            },
            "division of the flanges by JIS B 2220",
        ),
        (
            "flange-rating-exceeded",
            {
                "flange_class": "300",
                "material_group": None,
                "chamber_material": "A182 F51",
                "design_temperature": "330 degC",
            },
            "rating of A182 F51, which ASME B16.5 does not permit above 315 degC",
        ),
        (
            "flange-rating-exceeded",
            {"design_temperature": "600 degC", "fluid": "Blend 7"},
            "class, group and temperature that the standard rates",
        ),
        (
            "chamber-magnetic",
            {"chamber_material": "unobtainium"},
            "'unobtainium' is in no table of materials)",
        ),
        ("chamber-magnetic", {"chamber_material": "Edelstahl"}, "'Edelstahl' leaves the metal open)"),
        ("chamber-magnetic", {"chamber_material": "CS / 316L"}, "'CS / 316L' names materials that differ)"),
        ("float-collapses", {}, "thickness of the float's flat ends"),
        (
            "float-collapses",
            {"float_ends": "hemispherical", "magnet_height": "190.6 mm", "design_temperature": None},
            "design temperature",
        ),
        (
            "float-temperature-exceeded",
            {"magnet_max_temperature": None, "magnet_material": "Grade Q"},
            "magnet material by a name of the table of magnets",
        ),
        (
            "density-not-at-operating-conditions",
            {"fluid": "Propane", "operating_temperature": "40 degC", "fluid_density": "500 kg/m3"},
            "temperature and pressure at which the fluid is liquid",
        ),
        (
            "fluid-boils-in-chamber",
            {"operating_pressure": "300 barg", "design_pressure": "310 barg"},
            "pressure at which the fluid can boil",
        ),
        ("tracing-too-hot", {"sheath_temperature": None}, "tracer sheath temperature"),
        ("tracing-missing", {"fluid": "Blend 7", "freezing_point": None}, "freezing point"),
        ("float-lags", {"viscosity": "'>1 mPa.s"}, "operating viscosity: its highest value"),
        ("float-sinks", {"fluid_density": "'<980 kg/m3"}, "operating density of the (lower) fluid"),
        (
            "range-reversed",
            {"lrv": "1000 mm", "urv": "0 mm", "action": "as before"},
            "action of the transmitter",
        ),
        ("switch-order", {"switch_lsh": "'see P&ID"}, "set point LSH"),
    ],
)
def test_what_is_stated_but_cannot_be_used_is_asked_for(
    slug: str, changes: dict[str, Any], missing: str, tmp_path: Path
) -> None:
    assert any(missing in text for text in _missing(tmp_path, slug, **changes))


def test_the_shape_of_the_ends_is_asked_for_only_where_it_decides(tmp_path: Path) -> None:
    """Flat ends ride D/6 = 8.33 mm less deep than hemispheres (Archimedes)."""
    shape = {"shape of the float's ends"}
    assert not _missing(tmp_path, "offset-exceeds-tolerance", float_ends=None)
    assert _missing(tmp_path, "offset-exceeds-tolerance", float_ends=None, magnet_height="193.3 mm") == shape
    result = audit_book(
        build(tmp_path / "far.xlsx", METRIC, [{"float_ends": None, "magnet_height": "210 mm"}]).path
    )
    found = next(f for f in result.findings if f.rule == "offset-exceeds-tolerance")
    # flat, this float rides 181.18 mm deep: it reads at least 210 - 181.18 - 8.33 = 20.5 mm high
    assert found.evidence["reading_offset_mm"] == pytest.approx(20.5, abs=0.1)
    assert "at least 20.5 mm" in found.message and "whatever the shape of its ends" in found.message


def test_shapes_that_read_to_either_side_leave_it_open(tmp_path: Path) -> None:
    """Of 132 mm, flat ends read 11.5 mm high, hemispheres D/6 = 22 mm lower: neither can be claimed."""
    wide = {"float_diameter": "132 mm", "chamber_bore": "150 mm", "float_mass": "2440 g", "float_ends": None}
    told = _missing(tmp_path, "offset-exceeds-tolerance", magnet_height="192.6 mm", **wide)
    assert told == {"shape of the float's ends"}


def test_the_vapour_is_asked_for_only_where_it_decides(tmp_path: Path) -> None:
    """Immersion falls by (L - h) rho_vapour / rho_liquid: 1.5 mm at the bound for 10 bar, none at 3 kg/m3."""
    slug = "offset-exceeds-tolerance"
    assert not _missing(tmp_path, slug, upper_density=None)
    vapour = {"density of the upper fluid or vapour"}
    near = {"magnet_height": "190.9 mm", "operating_pressure": "9 barg"}
    assert _missing(tmp_path, slug, upper_density=None, **near) == vapour
    assert _missing(tmp_path, slug, upper_density="'TBC", **near) == vapour
    assert not _missing(tmp_path, slug, upper_density="0.5 kg/m3", **near)


def test_a_range_of_the_upper_liquid_counts_whole(tmp_path: Path) -> None:
    rows: list[dict[str, Any]] = [
        INTERFACE | {"upper_density": upper, "float_design_density": None, "magnet_height": "131 mm"}
        for upper in ("800 kg/m3", "770 - 830 kg/m3")
    ]
    result = audit_book(build(tmp_path / "range.xlsx", METRIC, rows).path)
    found = [f for f in result.findings if f.rule == "offset-exceeds-tolerance"]
    assert [f.tag for f in found] == ["LG-1001"]
    # (m - V rho_upper) / (A (rho_lower - rho_upper)), flat 50 x 250 mm, 440 g, 983.2 over 770 or 830 kg/m3
    volume, area = np.pi * 0.025**2 * 0.25, np.pi * 0.025**2
    depths = [(0.44 - volume * upper) / (area * (983.2 - upper)) * 1e3 for upper in (770.0, 830.0)]
    worst = max((131.0 - depth for depth in depths), key=abs)
    assert found[0].evidence["reading_offset_mm"] == pytest.approx(worst, abs=1e-3)


def test_a_set_point_below_the_visible_range_is_found_without_its_upper_end(tmp_path: Path) -> None:
    row = {"visible_range": None, "visible_low": "75 mm", "lrv": None, "urv": None, "stated_current": None}
    result = audit_book(build(tmp_path / "low.xlsx", METRIC, [row]).path)
    found = [f for f in result.findings if f.rule == "switch-outside-range"]
    assert [f.message for f in found] == ["LSLL at 50 mm is outside the visible range, 75 mm upwards"]
    assert set(found[0].evidence) == {"set_point_mm", "visible_low_mm"}


def test_the_drawing_shows_the_offset_that_the_finding_states(tmp_path: Path) -> None:
    row = {"float_ends": None, "magnet_height": "210 mm"}
    result = audit_book(build(tmp_path / "far.xlsx", METRIC, [row]).path)
    found = next(f for f in result.findings if f.rule == "offset-exceeds-tolerance")
    drawn = next(entry for entry in result.gauges if entry["tag"] == found.tag)
    assert drawn["reading_offset_mm"] == pytest.approx(found.evidence["reading_offset_mm"], abs=1e-6)
    assert drawn["float_ends"] == "hemispherical"


def test_a_current_is_compared_beyond_the_range_as_well(tmp_path: Path) -> None:
    """Beyond its range a transmitter holds 20.5 mA (NAMUR NE 43): 12 mA is wrong there, 20.5 is right."""
    rows = [{"stated_level": "1500 mm", "stated_current": current} for current in ("12 mA", "20.5 mA")]
    result = audit_book(build(tmp_path / "beyond.xlsx", METRIC, rows).path)
    found = [f for f in result.findings if f.rule == "current-inconsistent"]
    assert [(f.tag, f.evidence["computed_current_mA"]) for f in found] == [("LG-1000", 20.5)]


# --- cells that were not understood -----------------------------------------------------------------

NOT_UNDERSTOOD = ["'see data sheet", "'850 or 870 kg/m3", "'as existing", "'45 °Bé"]


@pytest.mark.parametrize("typed", NOT_UNDERSTOOD)
def test_a_cell_that_is_not_understood_is_not_the_contractor_s_error(typed: str, tmp_path: Path) -> None:
    result = audit_book(build(tmp_path / "text.xlsx", METRIC, [{"fluid_density": typed}]).path)
    assert [f.message for f in result.findings if f.rule == "value-implausible"] == []
    [entry] = [n for n in result.not_checked if n.rule == "value-implausible"]
    assert (entry.tag, entry.missing) == ("LG-1000", ("operating density of the (lower) fluid",))
    assert typed[1:] in entry.why
    place = result.columns[entry.sheet]["fluid_density"]
    assert len(place) == 1
    assert entry.cell == f"{place}{entry.row}"
    assert entry.lacking == (f"{entry.missing[0]} ({entry.cell}: {entry.why})",)


@pytest.mark.parametrize("typed", ["'TBC", "'by vendor", "'983 (est.)", None])
def test_what_is_not_known_yet_is_no_cell_that_is_not_understood(typed: str | None, tmp_path: Path) -> None:
    result = audit_book(build(tmp_path / "known.xlsx", METRIC, [{"fluid_density": typed}]).path)
    assert [n.why for n in result.not_checked if n.rule == "value-implausible"] == []
    assert [f.message for f in result.findings if f.rule == "value-implausible"] == []


def test_a_number_that_cannot_be_is_an_error_and_is_not_used(tmp_path: Path) -> None:
    result = audit_book(build(tmp_path / "sg.xlsx", METRIC, [{"fluid_density": "870 SG"}]).path)
    [found] = [f for f in result.findings if f.rule == "value-implausible"]
    assert "870 SG cannot be" in found.message
    assert found.evidence["highest_plausible"] == pytest.approx(14000 / 999.016, rel=1e-3)
    assert [n for n in result.not_checked if n.rule == "value-implausible"] == []
    assert "operating density of the (lower) fluid" in {
        label for n in result.not_checked if n.rule == "float-sinks" for label in n.missing
    }


def test_cells_of_the_float_list_are_named_with_their_float(tmp_path: Path) -> None:
    result = audit_book(build(tmp_path / "floats.xlsx", METRIC, [{"float_mass": "'about a pound"}]).path)
    [entry] = [n for n in result.not_checked if n.rule == "value-implausible"]
    assert entry.missing == ("float mass",)
    assert "about a pound" in entry.why
    assert entry.sheet in result.columns
    assert entry.cell.endswith(str(entry.row))


def test_a_cell_that_is_not_understood_stands_in_every_report(tmp_path: Path) -> None:
    result = audit_book(build(tmp_path / "text.xlsx", METRIC, [{"fluid_density": "'see sketch 4"}]).path)
    [entry] = [n for n in json.loads(jsonfile.text(result))["not_checked"] if "cell" in n]
    assert entry["missing"] == ["operating density of the (lower) fluid"]
    assert "'see sketch 4' cannot be read" in entry["why"]
    screen = StringIO()
    text.write([result], screen)
    for made in (screen.getvalue(), csvfile.text([result])):
        assert f"({entry['cell']}: 'see sketch 4' cannot be read" in " ".join(made.split())
    [asked] = [want for want in request.wanted([result]) if "value-implausible" in want.rules]
    assert asked.item == "operating density of the (lower) fluid"
    assert len(asked.rules) > 1  # one question, for this cell and all that waits for it


def test_what_was_taken_for_a_text_is_said(tmp_path: Path) -> None:
    rows = [{"fluid_density": "983.2 kg/m3"}, {"fluid_density": "'\""}, {"fluid_density": "'983.2 (est.)"}]
    result = audit_book(build(tmp_path / "notes.xlsx", METRIC, rows).path)
    notes = [f.message for f in result.findings if f.rule == "number-as-text"]
    column = result.columns[next(iter(result.columns))]["fluid_density"]
    assert any(
        "is kept as text" in note and note.endswith(f"kg/m3: as {column}{row}")
        for note in notes
        for row in range(1, 20)
    )
    assert any(note.endswith("read as 983.2 kg/m3: est") for note in notes)


ACID = {"fluid": "Hydrochloric acid", "float_material": "Hastelloy C276"}


@pytest.mark.parametrize(
    ("slug", "field", "text", "more"),
    [
        ("float-sinks", "float_ends", "pillow", {}),
        ("float-collapses", "float_material", "Mithril", {}),
        ("tracing-missing", "tracing", "perhaps", {"tracer_output": None, "maintain_temperature": None}),
        ("float-service-mismatch", "service_type", "fuzzy", {}),
        ("range-reversed", "action", "sideways", {"lrv": "1000 mm", "urv": "0 mm"}),
        ("chamber-magnetic", "chamber_material", "Adamantium", {}),
        ("flange-rating-exceeded", "flange_class", "Q7", {}),
        ("flange-rating-exceeded", "material_group", "Z9", {"chamber_material": None}),
        ("design-temperature-low", "frost_extension", "of glass", {"design_temperature_min": "-60 degC"}),
        ("wetted-material-unfit", "chamber_material", "Mithril", ACID),
        ("tracing-too-hot", "temperature_class", "TX", {}),
    ],
)
def test_a_word_that_is_not_known_is_named_with_its_cell(
    slug: str, field: str, text: str, more: dict[str, Any], tmp_path: Path
) -> None:
    planted = build(tmp_path / "one.xlsx", METRIC, [more | {field: text}])
    result = audit_book(planted.path)
    assert [one.message for one in result.findings if one.rule == slug] == []
    (open_,) = [one for one in result.not_checked if one.rule == slug and one.cell]
    place = open_.cell if "!" in open_.cell else f"{open_.sheet}!{open_.cell}"
    assert planted.cells[0, field] == place
    assert open_.why.startswith(f"'{text}' ")
    assert any(f"({open_.cell}: '{text}' " in line for line in open_.lacking)


@pytest.mark.parametrize(
    ("text", "open_"), [("yes", 0), ("100 mm", 0), ("150", 0), ('4"', 0), ("of glass", 1), ("see note 4", 1)]
)
def test_an_answer_on_the_frost_extension_is_understood_or_asked_for(
    text: str, open_: int, tmp_path: Path
) -> None:
    cold = {"design_temperature_min": "-60 degC", "frost_extension": text}
    result = audit_book(build(tmp_path / "cold.xlsx", METRIC, [cold]).path)
    slug = "design-temperature-low"
    assert [one.message for one in result.findings if one.rule == slug] == []
    missing = [item for one in result.not_checked if one.rule == slug for item in one.missing]
    assert missing == ["frost extension, yes or no"] * open_
    warm = audit_book(
        build(tmp_path / "warm.xlsx", METRIC, [cold | {"design_temperature_min": "-40 degC"}]).path
    )
    assert slug not in {one.rule for one in warm.not_checked}


@pytest.mark.parametrize(("count", "named"), [(200, 200), (201, 0)])
def test_a_word_of_a_whole_column_is_named_once(count: int, named: int, tmp_path: Path) -> None:
    rows: list[dict[str, Any]] = [{"tag": f"LG-{i}", "float_ends": "pillow"} for i in range(count)]
    result = audit_book(build(tmp_path / "long.xlsx", METRIC, rows).path)
    open_ = [one for one in result.not_checked if one.rule == "float-sinks"]
    assert len(open_) == count
    assert sum(bool(one.cell) for one in open_) == named
    assert all("'pillow' is none that is known" in one.lacking[0] for one in open_)
