"""The causes of a wrong reading: found where the readings tell them apart, left open where they do not."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from openpyxl import Workbook
from scipy.integrate import quad
from scipy.stats import chi2 as chi_square
from scipy.stats import multivariate_normal

from tests.diagnosis_trials import NAMES, outcomes, searches
from tests.field_stories import FAULTS
from xlfuncs.cli import main
from xlfuncs.gauge.causes import CAUSES
from xlfuncs.gauge.diagnosis import FOUND, NOTHING_WRONG, UNEXPLAINED, UNTOLD, _chance, diagnose
from xlfuncs.gauge.observations import next_observation
from xlfuncs.gauge.readings import FALLING, RISING, Gauge, Readings
from xlfuncs.worksheet import Refusal, call
from xlfuncs.worksheet.diagnosis import HEADINGS, read_gauge, read_observations

# mass 280 g, 50 mm by 200 mm with flat ends: immersion in 850 kg/m3 by hand
AREA = math.pi / 4 * 0.05**2
DEPTH = 0.280 / (850 * AREA)
GAUGE = Gauge(0.280, 0.05, 0.2, DEPTH, lrv=0.0, urv=1.0, visible_range=1.0)
LEVELS = np.array([0.2, 0.5, 0.8])
HEAVIER, DENSITY = "float heavier (deposit, or liquid inside)", "density not as stated"
LATE = "float follows late (viscous liquid)"
CHAMBER = "chamber colder or hotter than the vessel"


def readings(indicated: Any, **more: Any) -> Readings:
    level = more.pop("level", LEVELS)
    return Readings(np.full(len(level), 850.0), level=level, indicated=np.asarray(indicated), **more)


def currents(level: Any) -> Any:
    return 0.004 + 0.016 * np.asarray(level)


# --- how often it is right --------------------------------------------------------------------------

EACH, EVERY = 1, 3
"""Stories of each fault, and which faults are sought: `python -m tests.diagnosis_trials` takes more."""


def test_the_stories_hold_every_cause_that_readings_can_show() -> None:
    # two need what the stories do not have: an interface, a drained chamber; the rest reads like another
    left = {"emulsion or rag layer", "float stop bent or missing"}
    left |= {"magnet slipped in the float", "other liquid in the chamber's bottom"}
    left |= {f"foreign magnet at the {part}" for part in ("indicator", "transmitter")}
    left |= {"loop current or its scaling off", "current unsteady (interference, earths)"}
    left |= {"float lighter (worn or corroded)", "total level below the upper connection"}
    left |= {"chamber leans (out of plumb)", "indicator read wrongly (parallax, wrong edge)"}
    assert {cause.name for cause in CAUSES} == {*NAMES.values(), *left}
    assert set(NAMES) == set(FAULTS)


def test_at_most_one_story_in_a_hundred_is_decided_and_wrong() -> None:
    made = outcomes(EACH)
    assert sum(o.decided and not o.right for o in made) <= 0.01 * len(made)


def test_what_is_in_no_list_is_none_of_these_or_left_open() -> None:
    outside = [o for o in outcomes(EACH) if not o.wanted]
    assert outside and not any(o.decided for o in outside)
    assert sum(o.verdict == UNEXPLAINED for o in outside) >= 0.5 * len(outside)


def test_a_gauge_that_was_read_thoroughly_is_decided_or_its_cause_is_among_the_open_ones() -> None:
    single = [o for o in outcomes(EACH) if len(o.truth) == 1 and o.wanted and o.readings == 9]
    assert sum((o.decided and o.right) or o.among for o in single) >= 0.95 * len(single)
    # what reads like another waits for the question that parts them
    assert sum(o.decided and o.right for o in single) >= 0.4 * len(single)


def test_guided_questions_reach_the_cause_in_fewer_steps_than_a_fixed_order() -> None:
    guided, fixed = searches(every=EVERY)
    assert np.mean([r.steps for r in guided]) <= 0.6 * np.mean([r.steps for r in fixed])
    assert np.mean([r.minutes for r in guided]) < np.mean([r.minutes for r in fixed])
    assert sum(r.right for r in guided) >= sum(r.right for r in fixed)
    assert sum(r.decided and not r.right for r in guided) <= 1


# --- against an independent calculation -------------------------------------------------------------


def covariance(density_slope: Any) -> Any:
    """Dense covariance of (indicated, signal) of three levels with an own error of 2 mm for each level read,
    one error of each true level for both, and 0.5 % of density for all."""
    own = np.eye(6) * 0.002**2
    true = np.kron(np.ones((2, 2)), np.eye(3)) * 0.002**2
    return own + true + np.outer(density_slope, density_slope) * 0.005**2


def test_weights_agree_with_a_dense_covariance_and_adaptive_integration() -> None:
    indicated = LEVELS + np.array([-0.011, -0.0075, -0.0085])
    sent = LEVELS + np.array([-0.002, 0.0035, 0.001])
    found = diagnose(GAUGE, readings(indicated, current=currents(sent)))
    data = np.concatenate([indicated, sent])
    rises = np.full(6, DEPTH)  # a denser liquid lifts the float by its immersion times the relative change
    shifted = np.repeat([1.0, 0.0], 3)

    def density(mean: Any) -> float:
        return float(multivariate_normal.pdf(data, mean, covariance(rises)))

    base = np.tile(LEVELS, 2)
    peak = -0.009
    scale = quad(lambda x: density(base + x * shifted), -0.2, 0.2, points=[peak], epsabs=1e-12)[0] / 0.4
    mounting = (
        quad(lambda x: density(base + x * (1 - shifted)), -0.2, 0.2, points=[0.0], epsabs=1e-12)[0] / 0.4
    )
    ours = {f.cause.name: f for f in found.findings}
    ratio = ours["scale shifted"].weight / ours["transmitter mounted too high or low"].weight
    assert ratio == pytest.approx(scale / mounting, rel=2e-3)
    to_none = ours["scale shifted"].weight / ours["as designed"].weight
    assert to_none == pytest.approx(scale / density(base), rel=2e-3)
    inverse = np.linalg.inv(covariance(rises))
    best = shifted @ inverse @ (data - base) / (shifted @ inverse @ shifted)
    assert ours["scale shifted"].value == pytest.approx(best, abs=1e-8)
    assert ours["scale shifted"].uncertainty == pytest.approx((shifted @ inverse @ shifted) ** -0.5, rel=2e-3)
    r = data - base - best * shifted
    assert ours["scale shifted"].misfit == pytest.approx(r @ inverse @ r / 5, rel=1e-3)


@pytest.mark.parametrize("freedom", [1, 2, 5, 12, 40])
def test_the_probability_of_a_misfit_is_that_of_chi_square(freedom: int) -> None:
    for level in (0.5, 0.05, 0.001):
        value = float(chi_square.isf(level, freedom))
        # an approximation by the cube root, poorest for one degree of freedom
        assert _chance(value, freedom) == pytest.approx(level, rel=0.25)


# --- single causes, by hand -------------------------------------------------------------------------


def test_a_gauge_in_order_shows_nothing_wrong() -> None:
    found = diagnose(GAUGE, readings(LEVELS + np.array([1, -2, 1]) / 1e3, current=currents(LEVELS)))
    assert found.verdict == NOTHING_WRONG and found.findings[0].cause.name == "as designed"


def test_a_shifted_scale_is_told_by_the_current() -> None:
    found = diagnose(GAUGE, readings(LEVELS - 0.02, current=currents(LEVELS)))
    assert found.verdict == FOUND and found.findings[0].cause.name == "scale shifted"
    assert found.findings[0].value == pytest.approx(-0.02, abs=2e-4)


def test_a_wrong_density_is_told_by_a_sample() -> None:
    deeper = DEPTH * (850 / 770 - 1)
    sample = [770.0, np.nan, np.nan]
    found = diagnose(
        GAUGE, readings(LEVELS - deeper, current=currents(LEVELS - deeper), sample_density=np.array(sample))
    )
    assert found.verdict == FOUND and found.findings[0].cause.name == DENSITY
    assert 850 * found.findings[0].value == pytest.approx(770, abs=1)


def test_a_deposit_and_a_wrong_density_are_left_open_without_one() -> None:
    found = diagnose(GAUGE, readings(LEVELS - 0.015, current=currents(LEVELS - 0.015)))
    assert found.verdict == UNTOLD
    assert {HEAVIER, DENSITY} <= {f.cause.name for f in found.rivals}
    first, second = found.rivals[:2]
    assert "density of a sample" in next_observation(found.case, first, second).text


def test_the_mass_of_a_deposit_is_what_pushes_the_float_deeper() -> None:
    found = diagnose(GAUGE, readings(LEVELS - 0.015, current=currents(LEVELS - 0.015)))
    deposit = next(f for f in found.findings if f.cause.name == HEAVIER)
    assert deposit.value == pytest.approx(0.015 * AREA * 850, rel=0.01)


def test_one_reading_leaves_open_and_says_what_to_read_next() -> None:
    found = diagnose(GAUGE, readings([0.48], level=np.array([0.5])))
    assert found.verdict == UNTOLD
    assert {HEAVIER, DENSITY, "scale shifted"} <= {f.cause.name for f in found.rivals}
    for rival in found.rivals[1:]:
        assert next_observation(found.case, found.rivals[0], rival).text


def test_the_next_observation_settles_what_it_was_named_for() -> None:
    """Taken as predicted by either cause, it leaves that cause alone."""
    shifted = LEVELS - 0.015
    for sample, answer in ((850.0, HEAVIER), (850 * DEPTH / (DEPTH + 0.015), DENSITY)):
        found = diagnose(
            GAUGE,
            readings(shifted, current=currents(shifted), sample_density=np.array([sample, np.nan, np.nan])),
        )
        left = {HEAVIER, DENSITY} & {f.cause.name for f in found.rivals}
        assert left == {answer}


def test_hysteresis_is_a_dragging_float_and_grows_with_rate_if_it_is_viscous() -> None:
    # at one level alone, elements that are dead there would do the same
    level = np.array([0.3, 0.3, 0.7, 0.7, 0.5, 0.5])
    way = np.array([RISING, FALLING, RISING, FALLING, RISING, FALLING])
    rate = np.array([2, 2, 6, 6, 4, 4]) / 1e3
    drags = diagnose(GAUGE, readings(level - 0.02 * way, level=level, direction=way, level_rate=rate))
    late = diagnose(GAUGE, readings(level - 5 * rate * way, level=level, direction=way, level_rate=rate))
    assert drags.findings[0].cause.name == "float drags" and drags.verdict == FOUND
    # a leg with laminar flow does the same: whether the chamber fills quickly parts them
    assert late.verdict == UNTOLD and {f.cause.name for f in late.rivals} == {LATE, "leg or valve restricted"}
    assert "thicker than water" in next_observation(late.case, *late.rivals[:2]).text
    assert late.findings[0].value == pytest.approx(5.0, abs=0.3)


def test_one_rate_cannot_tell_drag_from_lag_and_another_rate_is_asked_for() -> None:
    level, way = np.full(4, 0.5), np.array([RISING, FALLING, RISING, FALLING])
    found = diagnose(
        GAUGE, readings(level - 0.02 * way, level=level, direction=way, level_rate=np.full(4, 0.004))
    )
    assert found.verdict == UNTOLD
    rivals = {f.cause.name: f for f in found.rivals}
    assert {"float drags", LATE, "leg or valve restricted"} <= set(rivals)
    text = next_observation(found.case, rivals["float drags"], rivals[LATE]).text
    assert "stand" in text or "three times as fast" in text


def test_a_float_that_stays_is_stuck_or_sunk() -> None:
    stuck = diagnose(GAUGE, readings([0.45, 0.45, 0.451], current=currents([0.45, 0.449, 0.45])))
    assert stuck.verdict == UNTOLD
    assert {"float stuck", "lower valve shut or leg plugged", "magnet lost or weak"} <= {
        f.cause.name for f in stuck.rivals
    }
    low = diagnose(GAUGE, readings([0.0, 0.001, 0.0], current=currents([0.0, 0.0, 0.0])))
    assert low.findings[0].cause.name == "float sunk (flooded or collapsed)"
    assert {"float sunk (flooded or collapsed)", "float stuck"} <= {f.cause.name for f in low.rivals}


def test_a_drained_chamber_tells_a_shifted_scale_from_a_deposit() -> None:
    gauge = Gauge(0.280, 0.05, 0.2, DEPTH, room_below=0.18)
    level = np.array([0.5, 0.8, np.nan])
    rest = DEPTH - 0.18
    on_stop = np.array([np.nan, np.nan, 1.0])
    scale = readings([0.48, 0.78, rest - 0.02], level=level, drained=on_stop)
    found = diagnose(gauge, scale)
    assert found.findings[0].cause.name == "scale shifted" and found.verdict == FOUND
    deposit = diagnose(gauge, readings([0.48, 0.78, rest], level=level, drained=on_stop))
    rivals = {f.cause.name for f in deposit.rivals}
    assert {HEAVIER, DENSITY, "float of another gauge"} <= rivals and "scale shifted" not in rivals


def test_a_switch_is_blamed_only_when_the_magnet_passed_it() -> None:
    gauge = Gauge(0.280, 0.05, 0.2, DEPTH, set_point=0.7, visible_range=1.0)
    silent = diagnose(gauge, readings(LEVELS, switch=np.zeros(3)))
    assert silent.findings[0].cause.name == "switch off its set point, or dead"
    assert silent.findings[0].value > 0.78
    stuck = diagnose(gauge, readings([0.4, 0.4, 0.4], switch=np.zeros(3)))
    assert "float stuck" in {f.cause.name for f in stuck.rivals}
    assert "switch off its set point, or dead" not in {f.cause.name for f in stuck.rivals}


def test_readings_that_no_cause_gives_are_said_to_be_so() -> None:
    found = diagnose(GAUGE, readings([0.131, 0.249, 0.9]))
    assert found.verdict == UNEXPLAINED


def test_indicator_and_current_alone_can_be_compared() -> None:
    nothing = np.full(3, np.nan)
    found = diagnose(GAUGE, readings(LEVELS, level=nothing, current=currents(LEVELS + 0.03)))
    rivals = {f.cause.name for f in found.rivals}
    assert {"scale shifted", "transmitter mounted too high or low"} <= rivals and "float stuck" not in rivals
    assert {cause.name: why for cause, why in found.untested}["float stuck"].startswith("the true level")


def asked(*answers: tuple[str, bool | float]) -> Any:
    """What a uniform shift of 15 mm is, with these answers."""
    low = LEVELS - 0.015
    return diagnose(GAUGE, readings(low, current=currents(low)), answers=dict(answers))


def test_answers_and_readings_count_together() -> None:
    mass = 0.280 + 0.015 * AREA * 850
    assert asked().verdict == UNTOLD
    weighed = asked(("float_mass", mass))
    assert weighed.findings[0].cause.name == HEAVIER and weighed.findings[0].weight > 0.8
    assert asked(("float_mass", mass), ("serial", True)).verdict == FOUND
    other = asked(("float_mass", 0.35), ("serial", False))
    assert other.verdict == FOUND and other.findings[0].cause.name == "float of another gauge"


def test_a_parameter_at_the_end_of_its_range_is_never_most_likely() -> None:
    far = LEVELS - 0.1985
    found = diagnose(GAUGE, readings(LEVELS, current=currents(far)))
    shifted = next(f for f in found.findings if f.cause.name == "transmitter mounted too high or low")
    assert shifted.at_end and found.verdict != FOUND


def test_two_causes_at_once_are_found_together() -> None:
    levels = np.array([0.15, 0.3, 0.5, 0.7, 0.85])
    shown = levels - 0.03
    sent = 1 - (levels + np.array([1, -1, 2, -2, 1]) / 1e3)
    found = diagnose(GAUGE, readings(shown, level=levels, current=currents(sent)))
    assert {c.name for c in found.findings[0].cause.both} == {"scale shifted", "transmitter reversed"}


def test_an_end_of_the_scale_is_a_bound() -> None:
    """An indicator that stands at 0 may be meant to stand anywhere below."""
    low = np.array([0.02, 0.5, 0.8])
    found = diagnose(GAUGE, readings(np.maximum(low - 0.06, 0.0), level=low))
    heavier = next(f for f in found.findings if f.cause.name == "float of another gauge")
    assert heavier.value == pytest.approx(-0.06, abs=0.002) and heavier.misfit < 0.1


def test_nothing_to_compare_is_refused() -> None:
    with pytest.raises(ValueError, match="nothing to compare"):
        diagnose(GAUGE, readings(LEVELS, level=np.full(3, np.nan)))


def test_finer_readings_tell_more() -> None:
    read = readings(LEVELS - 0.004, current=currents(LEVELS))
    coarse, fine = diagnose(GAUGE, read, level_noise=0.01), diagnose(GAUGE, read, level_noise=0.0005)
    assert coarse.verdict == NOTHING_WRONG and fine.findings[0].cause.name == "scale shifted"
    assert fine.verdict == FOUND


def test_units_of_length_do_not_matter() -> None:
    """The same gauge and readings, in millimetres and in inches."""
    metric = call(
        "LG_DIAGNOSE",
        [["Mass (g)", "OD (mm)", "Length (mm)", "Magnet height (mm)"], [280, 50, 200, 168]],
        [["Level (mm)", "Indicated (mm)", "Density (kg/m3)"], [254, 228.6, 850], [508, 482.6, 850]],
    )
    inches = call(
        "LG_DIAGNOSE",
        [
            ["Mass (kg)", "OD (in)", "Length (in)", "Magnet height (in)"],
            [0.28, 5 / 2.54, 20 / 2.54, 16.8 / 2.54],
        ],
        [["Level (in)", "Indicated (in)", "Density (g/cm3)"], [10, 9, 0.85], [20, 19, 0.85]],
    )
    for ours, theirs in zip(metric, inches, strict=True):
        for a, b in zip(ours, theirs, strict=True):
            assert a == (b if isinstance(b, str) else pytest.approx(b, rel=1e-6, abs=1e-9))


# --- in the sheet -----------------------------------------------------------------------------------

FLOAT: list[list[Any]] = [
    ["Float mass", 280, "g"],
    ["Float diameter", 50, "mm"],
    ["Float length", 0.2, "m"],
    ["Magnet height", "168 mm", None],
    ["Density", "0.85 g/cm3", ""],
]
SEEN: list[list[Any]] = [["True level, mm", "Indicated, mm"], [200, 180], [500, 481]]


def test_labels_beside_values_and_headings_are_the_same() -> None:
    table = [
        ["Mass, g", "Diameter, mm", "Length, mm", "Magnet height, mm", "Density"],
        [280, 50, 200, 168, 850],
    ]
    assert call("LG_DIAGNOSE", FLOAT, SEEN) == call("LG_DIAGNOSE", table, SEEN)


def test_the_table_has_its_headings_and_a_row_for_every_cause() -> None:
    table = call("LG_DIAGNOSE", FLOAT, SEEN)
    assert tuple(table[0]) == HEADINGS
    assert sorted(row[1] for row in table[1:]) == sorted([*(cause.name for cause in CAUSES), "none of these"])
    assert sum(row[7] for row in table[1:] if row[7] != "") == pytest.approx(1.0)


def test_the_density_of_a_known_fluid_follows_from_the_temperature() -> None:
    named = [*FLOAT[:4], ["Fluid", "Water"]]
    seen = [["True level", "Indicated", "Temperature"], [500, 500, 20]]
    stated = [["True level", "Indicated", "Density"], [500, 500, call("LG_DENSITY", "Water", 20)]]
    assert call("LG_DIAGNOSE", named, seen) == call("LG_DIAGNOSE", FLOAT[:4], stated)


def test_a_rate_with_its_sign_is_a_direction() -> None:
    signed = [["True level", "Indicated", "Rate"], [500, 490, 4], [500, 510, -4]]
    worded = [
        ["True level", "Indicated", "Rate", "Direction"],
        [500, 490, 4, "rising"],
        [500, 510, 4, "down"],
    ]
    assert call("LG_DIAGNOSE", FLOAT, signed) == call("LG_DIAGNOSE", FLOAT, worded)


SPANNED: list[list[Any]] = [*FLOAT, ["LRV", 0], ["URV", 1000], ["Visible range", 1000]]


@pytest.mark.parametrize(
    ("said", "plain"),
    [
        ([["Dip", "Flags"], [600, "empty"]], [["Level", "Indicated"], [600, 0]]),
        ([["By dip", "We read"], [600, "<0"]], [["Level", "Indicated"], [600, 0]]),
        ([["Sounding (cm)", "Gauge shows"], [60, "off the top"]], [["Level", "Indicated"], [600, 1000]]),
        ([["Dip", "Indicator (%)"], [600, 45]], [["Level", "Indicated"], [600, 450]]),
        ([["Dip", "Scale", "DCS %"], [600, 590, 45]], [["Level", "Shown", "mA"], [600, 590, 11.2]]),
        ([["Dip", "Scale", "Panel"], [600, 590, "45 %"]], [["Level", "Shown", "mA"], [600, 590, 11.2]]),
        ([["Dip", "Scale", "DCS (mm)"], [600, 590, 450]], [["Level", "Shown", "mA"], [600, 590, 11.2]]),
        ([["Dip", "Scale", "PV"], [600, 590, 45]], [["Level", "Shown", "mA"], [600, 590, 11.2]]),
        (
            [["Dip", "Flags", "Level is"], [600, 590, "going up slowly"]],
            [["Level", "Indicated", "Direction"], [600, 590, "rising"]],
        ),
    ],
)
def test_readings_are_taken_as_people_say_them(said: Any, plain: Any) -> None:
    stated = read_gauge(SPANNED)
    ours, theirs = (read_observations(rows, stated) for rows in (said, plain))
    for name in ("level", "indicated", "current", "direction", "switch"):
        assert getattr(ours, name) == pytest.approx(getattr(theirs, name), nan_ok=True), name
    bound = {"empty": -1, "<0": -1, "off the top": 1}.get(str(said[1][1]), 0)
    assert ours.limit.tolist() == [bound]


def test_a_percentage_without_a_range_asks_for_it() -> None:
    result = call("LG_DIAGNOSE", FLOAT, [["Dip", "Flags"], [600, "45 %"]])
    assert isinstance(result, Refusal) and "visible range" in result.reason


@pytest.mark.parametrize(
    ("gauge", "seen", "words"),
    [
        (FLOAT[1:], SEEN, "float mass"),
        ([*FLOAT, ["Mass", 1]], SEEN, "a second time"),
        (FLOAT[:4], SEEN, "no density"),
        ([*FLOAT[:4], ["Density", 0.85]], SEEN, "write SG"),
        ([*FLOAT[:3], ["Magnet height", 300]], SEEN, "above the float's top"),
        ([*FLOAT, ["Ends", "conical"]], SEEN, "conical"),
        ([*FLOAT, ["LRV", 100], ["URV", 0]], SEEN, "URV must be above LRV"),
        (FLOAT, [["True level, barg", "Indicated"], [1, 1]], "no unit of length"),
        (FLOAT, [["Colour"], ["blue"]], "no heading understood"),
        (FLOAT, [["True level", "Indicated"]], "headings in the first row"),
        (FLOAT, [["True level", "Indicated"], [500, "wobbly"]], "reading 1, indicated level"),
        (FLOAT, [["True level", "Level", "Indicated"], [1, 1, 1]], "two columns"),
        (FLOAT, [[*SEEN[0], "Direction"], [500, 490, "sideways"]], "rising, falling, still, drained"),
        (FLOAT, [[*SEEN[0], "Current"], [500, 490, 3.5]], "failure low"),
        (FLOAT, [[*SEEN[0], "Current"], [500, True, 12]], "TRUE is no number"),
        (FLOAT, [["Indicated", "Current"], [500, 12]], "nothing to compare"),
    ],
)
def test_what_cannot_be_read_gives_a_reason(gauge: Any, seen: Any, words: str) -> None:
    result = call("LG_DIAGNOSE", gauge, seen)
    assert isinstance(result, Refusal) and words in result.reason and "\n" not in result.reason


# --- the command ------------------------------------------------------------------------------------


def notes(path: Path, gauge: list[list[Any]], seen: list[list[Any]]) -> Path:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Gauge"
    for row in gauge:
        sheet.append(row)
    sheet = book.create_sheet("Readings")
    for row in [["Taken in the field"], [], *seen, [], ["signed: somebody"]]:
        sheet.append(row)
    book.save(path)
    return path


def test_the_command_finds_both_ranges(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = notes(tmp_path / "case.xlsx", FLOAT, SEEN)
    assert main(["diagnose", str(book)]) == 1
    text = capsys.readouterr().out
    assert "Verdict: cannot tell" in text and "Next:" in text and "permit" in text


def test_the_command_gives_json_and_its_status(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = notes(
        tmp_path / "case.xlsx",
        [*FLOAT, ["LRV", 0], ["URV", 1000]],
        [[*SEEN[0], "Current (mA)"], [200, 180, 7.2], [500, 481, 12], [800, 779, 16.8]],
    )
    assert main(["diagnose", str(found), "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    assert result["verdict"] == FOUND and result["causes"][0]["cause"] == "scale shifted"
    assert result["causes"][0]["value"] == pytest.approx(-20, abs=1)


@pytest.mark.parametrize(
    ("gauge", "seen", "words"),
    [
        ([["nothing"]], SEEN, "no data of the gauge found"),
        (FLOAT, [["Colour"], ["blue"]], "no readings found"),
        (FLOAT, [["True level", "Indicated"], [500, "x mm"]], "Readings row 4, indicated level"),
    ],
)
def test_the_command_says_in_one_line_what_is_wrong(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], gauge: Any, seen: Any, words: str
) -> None:
    assert main(["diagnose", str(notes(tmp_path / "case.xlsx", gauge, seen))]) == 2
    error = capsys.readouterr().err
    assert words in error and error.count("\n") == 1


def test_the_data_of_the_gauge_may_come_from_an_index(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    index = Path(__file__).parents[1] / "workbooks" / "instrument_index.xlsx"
    book = notes(tmp_path / "case.xlsx", [["nothing"]], SEEN)
    assert main(["diagnose", str(book), "--index", str(index), "--tag", "lg-1001", "--json"]) in (0, 1)
    assert json.loads(capsys.readouterr().out)["tag"] == "lg-1001"
    assert main(["diagnose", str(book), "--index", str(index), "--tag", "LG-0000"]) == 2
    assert "there is no gauge LG-0000" in capsys.readouterr().err
    assert main(["diagnose", str(book), "--tag", "LG-1001"]) == 2
    assert "--index and --tag" in capsys.readouterr().err
