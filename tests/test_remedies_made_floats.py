"""Floats to be made: whether a shell can be so light, what is tried when a larger one is sized, what a float
has to stand, and what helps where its cases lie too far apart."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.remedy_rows import Row, gauges_from, mended
from tests.test_remedies_worst import INTERFACE, extremes
from xlfuncs.audit.remedies import shells
from xlfuncs.audit.remedies.apart import Apart, too_wide
from xlfuncs.audit.remedies.doubted import Body
from xlfuncs.audit.remedies.duties import duty_of
from xlfuncs.audit.remedies.made import made, new_float, scale
from xlfuncs.audit.remedies.shells import shell_for
from xlfuncs.audit.remedies.trial import Trial, body_of
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge import sizing
from xlfuncs.lists.model import Difference, Stated

AREA = math.pi / 4 * 0.05**2
LEVEL: Row = {
    "tag": "LG-1",
    "fluid": "Blend 7",
    "service_type": "level",
    "fluid_density": "880 kg/m3",
    "upper_density": "0 kg/m3",
    "design_pressure": "10 barg",
    "design_temperature": "120 degC",
    "chamber_bore": "60 mm",
    "float_mass": f"{1e3 * 880 * AREA * 0.181:.2f} g",
    "float_diameter": "50.00 mm",
    "float_length": "250.0 mm",
    "float_ends": "flat",
    "magnet_height": "181.0 mm",
    "float_material": "316L",
    "float_wall": "0.9 mm",
    "float_max_pressure": "40 barg",
    "float_max_temperature": "200 degC",
    "magnet_max_temperature": "250 degC",
}
"""A float that reads true in its liquid."""


def trial_of(row: Row | None = None, base: Row = LEVEL, settings: Settings | None = None) -> Trial:
    settings = settings or Settings()
    gauges = gauges_from(row or {}, base=base)
    duty = duty_of(gauges, settings, 0)
    assert duty is not None
    return Trial(gauges, 0, duty)


def own(trial: Trial) -> Body:
    body = body_of(trial.gauges, trial.record)
    assert body is not None
    return body


# --- what a float has to stand ----------------------------------------------------------------------


def flat(deep: float, rho: float = 880.0, plane: float | None = None) -> Body:
    """A float of 50 x 250 mm that stands so deep [m], its magnet plane in the surface."""
    return (rho * AREA * deep, 0.05, 0.25, deep if plane is None else plane, "flat")


@pytest.mark.parametrize(
    ("body", "stands"),
    [
        (flat(0.181), True),
        (flat(0.224), True),  # 10.4 % above the surface
        (flat(0.226), False),  # 9.6 %
        (flat(0.02), True),  # nothing but its weight is asked for below it
        (flat(0.181, plane=0.0), False),
        (flat(0.181, plane=0.25), False),
        (flat(0.181, plane=0.249), True),
        (flat(0.181, plane=0.001), True),
    ],
)
def test_a_float_stands_with_enough_of_it_above_and_its_magnet_inside(body: Body, stands: bool) -> None:
    assert trial_of().stands(body) is stands


def between(deep: float) -> Body:
    """A float of 50 x 250 mm that is so deep in 880 kg/m3 below 700 kg/m3."""
    return (AREA * (880 * deep + 700 * (0.25 - deep)), 0.05, 0.25, deep, "flat")


@pytest.mark.parametrize(
    ("deep", "stands"), [(0.125, True), (0.026, True), (0.024, False), (0.224, True), (0.226, False)]
)
def test_a_float_of_an_interface_keeps_its_share_on_both_sides(deep: float, stands: bool) -> None:
    both = trial_of({"service_type": "interface", "upper_density": "700 kg/m3"})
    assert both.stands(between(deep)) is stands


def test_a_float_that_lags_does_not_stand() -> None:
    """Annular Stokes flow: 10 mm behind at 10 mm/s where its viscosity is at the limit."""
    x = math.log(60 / 50)
    limit = 0.010 * AREA * 880 * 9.80665 * (x - math.tanh(x)) / (2 * math.pi * 0.181 * 0.010)
    for share, stands in ((0.99, True), (1.01, False)):
        assert trial_of({"viscosity": f"{1e3 * limit * share:.2f} mPa.s"}).stands(flat(0.181)) is stands


@pytest.mark.parametrize(
    ("off", "does"), [(0.0, True), (0.0097, True), (-0.0097, True), (0.0103, False), (-0.0103, False)]
)
def test_a_float_does_where_it_reads_within_the_tolerance_on_either_side(off: float, does: bool) -> None:
    """The rounding of its data makes 0.1 mm more."""
    trial = trial_of()
    body = flat(0.181, plane=0.181 + off)
    low, high = trial.reading(body)
    assert low < 1e3 * off / 1e3 < high and high - low < 3e-4
    assert trial.does(body) is does


def test_the_cold_float_counts_with_the_hot_one() -> None:
    """Hot it is larger and stands less deep; the reading that a float has cold is one of the ends."""
    trial = trial_of({"operating_temperature": "300 degC", "design_temperature": "320 degC"})
    for plane in (0.178, 0.184):
        body = flat(0.181, plane=plane)
        low, high = trial.reading(body)
        assert low <= plane - 0.181 + 1e-6 and high >= plane - 0.181 - 1e-6
        assert high - low > 1e-4


# --- shells -----------------------------------------------------------------------------------------


def shell_of(wanted: float, row: Row | None = None, present: float = 0.9) -> shells.Shell:
    """Whether a float of 316L, 50 x 250 mm, can weigh so much [kg]."""
    trial = trial_of(row)
    text = str(trial.gauges.texts("float_material")[0])
    size = sizing.Body(0.05, text, 0.25, "flat")
    return shell_for(trial.gauges, 0, trial.duty, wanted, present, size)


def metal(wall: float) -> float:
    """Shell of 316L with a wall and flat ends as thick [kg], 7980 kg/m3 (EN 10088-1)."""
    middle = (0.05 - wall) / 2
    return 7980 * wall * (2 * math.pi * middle * (0.25 - 2 * wall) + 2 * math.pi * 0.025**2)


MAGNETS = sizing.Body(0.05, "316L", 0.25, "flat").magnets


def test_a_heavier_float_needs_no_shell() -> None:
    for wanted in (0.4, 0.5):
        assert shell_of(wanted, present=0.4) == shells.Shell(True)
    assert shell_of(0.399, present=0.4).said != ""


def test_a_float_is_as_light_as_its_shell_and_magnets_or_heavier() -> None:
    """The list says that a wall of 0.9 mm bears 40 barg."""
    least = metal(0.0009) + MAGNETS
    enough, short = shell_of(least * 1.002), shell_of(least * 0.985)
    assert enough.possible and "as thick as now" in enough.said
    assert enough.numbers["wall_mm"] == pytest.approx(0.9)
    assert enough.numbers["shell_g"] == pytest.approx(1e3 * metal(0.0009), rel=5e-3)
    assert not short.possible and short.numbers == {}


def test_a_wall_that_is_thicker_than_needed_is_made_thinner_where_that_is_lighter() -> None:
    """With a wall of 2 mm the shell alone weighs twice as much."""
    thick: Row = {"float_wall": "2 mm", "design_pressure": "2 barg"}
    wanted = metal(0.0015) + MAGNETS
    shell = shell_of(wanted, thick)
    assert shell.possible and " instead of 2 mm" in shell.said and shell.numbers["wall_mm"] < 1.5
    heavy = shell_of(metal(0.002) + MAGNETS + 0.01, thick)
    assert heavy.possible and heavy.numbers["wall_mm"] == pytest.approx(2)


def test_the_list_is_believed_of_a_thin_wall_only_up_to_the_pressure_that_it_states() -> None:
    """0.4 mm of 316L: by strength alone it does not bear 30 barg."""
    thin: Row = {"float_wall": "0.4 mm", "design_pressure": "30 barg"}
    wanted = metal(0.0004) + MAGNETS + 0.005
    for listed, possible in (("30 barg", True), ("40 barg", True), ("29 barg", False), (None, False)):
        shell = shell_of(wanted, thin | {"float_max_pressure": listed})
        assert shell.possible is possible, listed
    assert "lighter than that" in shell_of(0.15, thin | {"float_max_pressure": None}, present=0.2).said
    heavier = shell_of(0.15, thin | {"float_max_pressure": None}, present=0.8)
    assert not heavier.possible and "lighter than that" not in heavier.said


def test_no_wall_bears_a_pressure_above_the_strength_of_its_metal() -> None:
    shell = shell_of(0.3, {"design_pressure": "600 barg", "float_max_pressure": None})
    assert not shell.possible and shell.said.startswith("no wall of 316L")


def test_the_thinnest_wall_is_the_first_that_bears_the_design_pressure() -> None:
    walls = []
    for bar in (2, 10, 30):
        row: Row = {"float_wall": None, "float_max_pressure": None, "design_pressure": f"{bar} barg"}
        walls.append(shell_of(0.85, row).numbers["wall_mm"])
    assert walls == sorted(walls) and walls[0] < walls[-1]


def test_of_a_metal_that_is_not_known_no_shell_is_weighed() -> None:
    shell = shell_of(0.3, {"float_material": "unobtainium"})
    assert shell.possible and "state the float's metal" in shell.said


# --- larger floats ----------------------------------------------------------------------------------

Asked = list[tuple[Any, sizing.Body, Any]]


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    """What sizing is asked for; it finds nothing."""
    calls: Asked = []

    def none(duty: Any, body: sizing.Body, allowance: Any = None) -> None:
        calls.append((duty, body, allowance))

    monkeypatch.setattr(sizing, "shortest_float", none)
    return calls


def test_a_larger_float_is_looked_for_up_to_twice_its_length_then_in_wider_chambers(asked: Asked) -> None:
    assert new_float(trial_of({"design_temperature": None})).options == ()
    assert [body.max_length for _, body, _ in asked] == pytest.approx([0.5] * 3)
    assert [body.diameter for _, body, _ in asked] == pytest.approx([0.05, 0.06, 0.07])
    assert [duty.chamber_bore for duty, _, _ in asked] == pytest.approx([0.06, 0.07, 0.08])
    assert {allowance for _, _, allowance in asked} == {None}
    # its metal has its strength at 20 degC where none is stated
    assert {duty.design_temperature for duty, _, _ in asked} == {293.15}


def test_the_mass_of_a_float_of_an_interface_is_trimmed_to_a_thousandth(asked: Asked) -> None:
    new_float(trial_of({"service_type": "interface", "upper_density": "700 kg/m3"}))
    assert {allowance for _, _, allowance in asked} == {0.001}
    assert {duty.design_temperature for duty, _, _ in asked} == {393.15}


@pytest.mark.parametrize(
    ("bore", "across"),
    [("60 mm", 0.05), ("51 mm", 0.05), ("50 mm", 0.04), ("40 mm", 0.03), ("10 mm", None)],
)
def test_a_float_as_wide_as_its_bore_is_made_ten_millimetres_narrower(
    asked: Asked, bore: str, across: float | None
) -> None:
    found = new_float(trial_of({"chamber_bore": bore}))
    assert found.options == ()
    assert [body.diameter for _, body, _ in asked][:1] == ([] if across is None else [pytest.approx(across)])
    assert (found.impossible == "") is (across is None)


def test_a_trimmed_float_of_an_interface_reads_as_at_both_ends_of_its_mass() -> None:
    """A thousandth of the mass over the section times the difference of the densities, either way."""
    trial = trial_of({"service_type": "interface", "upper_density": "700 kg/m3"})
    mass = AREA * (880 * 0.125 + 700 * 0.125)
    body: Body = (mass, 0.05, 0.25, 0.125, "flat")
    low, high = trial.reading(body)
    by = mass / 1000 / (AREA * 180)
    ends = (round(1e3 * end, 1) for end in (low - by, high + by))
    said = "(at the ends of which it reads {:+.1f} to {:+.1f} mm)".format(*ends)
    assert shells._trimmed(trial, body) == f", its mass trimmed to 0.1 % {said}"


def test_larger_floats_are_sized_for_ten_gauges_of_a_book(asked: Asked) -> None:
    """Those that were sized before keep theirs; the eleventh is told why it has none."""
    for others, sized in ((list(range(1, 10)), True), (list(range(1, 11)), False), (list(range(10)), True)):
        asked.clear()
        trial = trial_of()
        trial.gauges.derived("sized floats", lambda others=others: others)  # type: ignore[misc]
        found = new_float(trial)
        assert bool(asked) is sized
        assert ("since it takes seconds" in found.impossible) is not sized


def test_what_a_sized_float_bears_is_told_where_the_present_magnet_does_not() -> None:
    body = sizing.Body(0.05, "316L", 0.4, "flat")
    found = sizing.Sized(body, length=0.3, wall=0.001, permitted_pressure=20e5)
    cases: tuple[tuple[Row, bool], ...] = (
        ({"float_max_temperature": "120 degC", "magnet_max_temperature": "250 degC"}, False),
        ({"float_max_temperature": "119 degC", "magnet_max_temperature": "250 degC"}, True),
        ({"float_max_temperature": "200 degC", "magnet_max_temperature": "119 degC"}, True),
        ({"float_max_temperature": None, "magnet_max_temperature": "119 degC"}, True),
    )
    for limits, told in cases:
        said = shells._bears(trial_of(limits), found)
        assert ("its magnet has to bear 120 degC" in said) is told
        assert "its shell bears 20 barg" in said


OFF: Row = {"magnet_height": "193.0 mm", "float_wall": "0.5 mm", "float_part": "A"}
"""It reads 12 mm high."""


@pytest.mark.parametrize(
    ("slug", "row", "larger", "own"),
    [
        ("float-not-in-list", OFF, False, False),  # parts of the list alone
        ("float-pressure-exceeded", {"float_max_pressure": "9 barg"}, True, False),  # and a new float
        ("offset-exceeds-tolerance", OFF, False, True),  # and this one mended
    ],
)
def test_what_is_made_beside_the_list_depends_on_what_is_wrong(
    asked: Asked, slug: str, row: Row, larger: bool, own: bool
) -> None:
    listed: list[Row] = [{"float_part": "B", "float_mass": "900 g", "float_diameter": "50.00 mm"}]
    remedy = mended(slug, gauges_from(row, base=LEVEL, floats=listed))
    assert bool(asked) is larger
    assert ({"magnet_height"} <= {one.name for one in remedy.options}) is own
    assert any("scale_shift_mm" in one.numbers for one in remedy.options) is own


def test_each_thing_to_be_made_is_calculated_under_its_name() -> None:
    remedy = mended("offset-exceeds-tolerance", gauges_from(OFF, base=LEVEL))
    assert [one.name for one in remedy.options] == ["float_mass", "magnet_height", ""]
    assert [name for name, _ in remedy.further] == ["the magnet elsewhere", "the new scale"]
    assert remedy.calculation is not None
    # the first is the lighter float, as its calculation has it
    made_of = remedy.calculation.numbers()
    assert 1e3 * made_of["m"] == pytest.approx(remedy.options[0].numbers["mass_g"])
    moved = remedy.further[0][1].numbers()
    assert 1e3 * moved["m"] != pytest.approx(remedy.options[0].numbers["mass_g"])


@pytest.mark.parametrize(("other", "does"), [("880 kg/m3", True), ("900 kg/m3", True), ("700 kg/m3", False)])
def test_by_the_density_of_another_document_the_present_float_does_or_does_not(
    asked: Asked, other: str, does: bool
) -> None:
    """It reads true in 880 kg/m3, 4 mm high in 900; in 700 it would be 228 mm deep."""
    gauges = gauges_from({"fluid_density": "980 kg/m3"}, base=LEVEL)
    stated, there = Stated("Index", "C2", "980 kg/m3"), Stated("Process data", "C2", other)
    gauges.book.differences.values[:] = [Difference("LG-1000", "fluid_density", stated, there)]
    remedy = mended("offset-exceeds-tolerance", gauges)
    assert ("the present float does not do" in remedy.text) is not does
    own = [one for one in remedy.options if one.text.startswith("the present float")]
    assert len(own) == int(does)
    if does:
        rho = float(other.split()[0])
        off = 181 * (1 - 880 / rho)
        assert own[0].numbers["offset_at_reference_high_mm"] == pytest.approx(off, abs=0.01)


# --- the mass, the magnet, the scale -----------------------------------------------------------------


def options(trial: Trial) -> set[str]:
    """What is proposed, without a larger float."""
    found = made(trial, sized=False)
    return {one.name or "scale" for one in found.options}


def test_a_float_that_reads_true_is_not_made_anew() -> None:
    assert options(trial_of()) == set()


@pytest.mark.parametrize("off", [-12.0, 12.0])
def test_magnet_and_scale_move_as_far_as_the_float_is_off(off: float) -> None:
    trial = trial_of({"magnet_height": f"{181 + off:.1f} mm", "float_wall": "0.7 mm"})
    found = {one.name or "scale": one for one in made(trial, sized=False).options}
    moved, shifted = found["magnet_height"], found["scale"]
    assert moved.numbers["magnet_height_mm"] == pytest.approx(181, abs=0.01)
    assert shifted.numbers["scale_shift_mm"] == pytest.approx(off, abs=0.01)
    assert f"{abs(off):.1f} mm {'higher' if off > 0 else 'lower'}" in shifted.text


@pytest.mark.parametrize(("off", "moved"), [(0.00004, False), (0.00006, True), (-0.00004, False)])
def test_what_shows_as_no_tenth_of_a_millimetre_is_not_moved(off: float, moved: bool) -> None:
    trial = trial_of({"magnet_height": f"{18.1 + 100 * off:.4f} cm"})
    assert ("magnet_height" in options(trial)) is moved
    assert bool(list(scale(trial))) is moved


def test_the_scale_leaves_half_of_what_the_cases_are_apart() -> None:
    """From 860 to 900 kg/m3 a float of 880 reads 4.2 mm low to 4.0 high."""
    trial = trial_of({"fluid_density": "860 to 900 kg/m3", "magnet_height": "191.0 mm"})
    (option,) = scale(trial)
    ends = [191 - 880 / rho * 181 for rho in (860, 900)]
    assert option.numbers["scale_shift_mm"] == pytest.approx(sum(ends) / 2, abs=0.02)
    assert option.numbers["left_mm"] == pytest.approx((ends[1] - ends[0]) / 2, abs=0.15)
    assert "which leaves" in option.text
    assert list(scale(trial_of({"fluid_density": "780 to 1000 kg/m3"}))) == []  # 20.7 mm either way


def test_a_scale_that_leaves_nothing_to_see_says_nothing_of_it() -> None:
    fine = {"float_mass": f"{1e3 * 880 * AREA * 0.181:.4f} g", "float_diameter": "5.0000 cm"}
    (option,) = scale(trial_of(fine | {"magnet_height": "19.3000 cm"}))
    assert option.numbers["left_mm"] < 0.05 and "which leaves" not in option.text


def test_a_scale_is_made_with_the_float_at_room_temperature() -> None:
    hot = {"operating_temperature": "90 degC", "magnet_height": "190.0 mm"}
    (option,) = scale(trial_of(hot))
    assert "with the float at 20 degC" in option.text
    (option,) = scale(trial_of({"magnet_height": "190.0 mm"}))
    assert "with the float at" not in option.text


def test_a_mass_that_is_written_as_the_present_one_is_not_proposed() -> None:
    """Hundredths of a gram: four digits of 312.7 g."""
    for grams, proposed in ((312.745, False), (312.0, True)):
        row: Row = {"float_mass": f"{grams / 1e3:.6f} kg", "float_wall": "0.5 mm"}
        trial = trial_of(row | {"magnet_height": "18.1001 cm"})
        assert ("float_mass" in options(trial)) is proposed


# --- cases that are too far apart ---------------------------------------------------------------------

WIDE: Row = INTERFACE | {"fluid_density": "985 to 1015 kg/m3"}


def wide(row: Row | None = None) -> tuple[Trial, Body]:
    trial = trial_of(WIDE | (row or {}), base={})
    return trial, own(trial)


@pytest.mark.parametrize(
    ("shift", "said"),
    [(0.049e-3, ""), (0.052e-3, "0.1 mm higher"), (-0.049e-3, ""), (-0.052e-3, "0.1 mm lower")],
)
def test_a_scale_is_set_where_that_shows(shift: float, said: str) -> None:
    trial, body = wide()
    option = Apart(trial, body).option("a range", shift, {})
    assert option.text == ("a range" if not said else f"a range, with the scale set {said}")
    assert option.numbers == {"scale_set_mm": pytest.approx(1e3 * shift)}


def test_a_narrower_range_is_as_wide_as_the_tolerance_allows() -> None:
    trial, body = wide()
    found = too_wide(trial, body, None)
    low, high = extremes(0.7375, 0.0601, 0.1501, (985.0, 1015.0))
    assert f"{1e3 * (high - low):.1f} mm apart" in found.said
    (narrow,) = (one.numbers for one in found.options if "density_low_kg_m3" in one.numbers)
    apart = extremes(0.7375, 0.0601, 0.1501, (narrow["density_low_kg_m3"], narrow["density_high_kg_m3"]))
    assert apart[1] - apart[0] == pytest.approx(0.995 * 0.020, abs=2e-5)


def test_cases_that_are_near_enough_need_nothing() -> None:
    trial, body = wide({"fluid_density": "996 to 1004 kg/m3"})
    assert too_wide(trial, body, None).said == ""


NEAR: Row = {
    "operating_temperature": "20 degC",
    "upper_density": "960 kg/m3",
    "float_mass": f"{1e3 * math.pi / 4 * 0.0601**2 * (1000 * 0.15 + 960 * 0.13):.1f} g",
    "magnet_height": "150.0 mm",
}
"""40 kg/m3 apart: half a tenth of a millimetre of diameter alone makes 13 mm of reading, either way."""


def test_no_range_is_narrow_enough_where_the_rounding_alone_is_too_much() -> None:
    trial, body = wide(NEAR | {"fluid_density": "999 to 1001 kg/m3"})
    found = too_wide(trial, body, None)
    assert found.said and not [one for one in found.options if "density_low_kg_m3" in one.numbers]


@pytest.mark.parametrize(
    ("densities", "finer"), [("1000 kg/m3", True), ("999 to 1001 kg/m3", True), ("996 to 1004 kg/m3", False)]
)
def test_how_finely_the_float_is_to_be_measured_is_told_where_that_is_enough(
    densities: str, finer: bool
) -> None:
    """By its densities alone it is 0, 7.5 or 30 mm apart."""
    trial, body = wide(NEAR | {"fluid_density": densities})
    found = too_wide(trial, body, None)
    shares = [one.numbers["rounding_share"] for one in found.options if "rounding_share" in one.numbers]
    assert bool(shares) is finer and all(0 < share < 1 for share in shares)
    if finer:
        low, high = trial.reading(body)
        ends = trial.ends(body)
        assert ends is not None
        by_rounding = ends[1].shares["uncertainty"] - ends[0].shares["uncertainty"]
        left = high - low - by_rounding + shares[0] * by_rounding
        assert left == pytest.approx(0.995 * 0.020, abs=1e-6)


def test_what_makes_no_tenth_of_a_millimetre_is_not_told(monkeypatch: pytest.MonkeyPatch) -> None:
    trial, body = wide()
    ends = trial.ends(body)
    assert ends is not None
    for share, told in ((0.049e-3, False), (0.052e-3, True), (-0.052e-3, True)):
        low = ends[0]._replace(shares={"offset": -0.010, "tilt": 0.0})
        high = ends[1]._replace(shares={"offset": 0.010, "tilt": share})
        monkeypatch.setattr(Trial, "ends", lambda self, body, low=low, high=high: (low, high))
        assert ("tilt" in too_wide(trial, body, None).said) is told
        assert "densities 20.0" in too_wide(trial, body, None).said


def test_the_tolerance_that_is_needed_is_told_in_tenths_and_rounded_up() -> None:
    trial, body = wide()
    low, high = trial.reading(body)
    (noted,) = (one for one in too_wide(trial, body, None).options if "tolerance_mm" in one.numbers)
    assert noted.numbers["tolerance_mm"] == math.ceil(1e4 * (high - low) / 2 - 1e-6) / 10
    assert noted.numbers["scale_set_mm"] == pytest.approx(1e3 * (low + high) / 2)
