"""What explains the same readings is not decided on: the question that parts it is asked first.

The readings are worked out here by hand, as a person would write them down.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from xlfuncs.gauge.diagnosis import FOUND, NOTHING_WRONG, UNEXPLAINED, UNTOLD, Diagnosis, diagnose
from xlfuncs.gauge.guide import confirming, next_step, settled
from xlfuncs.gauge.observations import next_observation
from xlfuncs.gauge.questions import questions
from xlfuncs.gauge.readings import FALLING, RISING, STILL, Gauge, Readings
from xlfuncs.report.diagnosis import fitted
from xlfuncs.worksheet.diagnosis import next_text, read_gauge, read_observations

DENSITY, TOP = 900.0, 1.5
AREA = math.pi / 4 * 0.05**2
DEPTH = 0.300 / (DENSITY * AREA)
GAUGE = Gauge(0.300, 0.05, 0.25, DEPTH, lrv=0.0, urv=TOP, visible_range=TOP)
LEVELS = np.array([0.2, 0.5, 0.8, 1.1, 1.3])
HEAVIER, OTHER = "float heavier (deposit, or liquid inside)", "float of another gauge"
MOUNTED, RANGE = "transmitter mounted too high or low", "LRV and URV both off"
LOOP = "loop current or its scaling off"
RESTRICTED, LATE = "leg or valve restricted", "float follows late (viscous liquid)"


def told(shown: Any, sent: Any = None, level: Any = LEVELS, **more: Any) -> Diagnosis:
    answers = more.pop("answers", None)
    current = None if sent is None else 0.004 + 0.016 * np.asarray(sent) / TOP
    columns = {} if current is None else {"current": np.clip(current, 0.0038, 0.0205)}
    read = Readings(np.full(len(level), DENSITY), level=level, indicated=np.asarray(shown), **columns, **more)
    return diagnose(GAUGE, read, answers=answers, guided=answers is not None)


def names(found: Diagnosis) -> set[str]:
    return {f.cause.name for f in found.rivals}


def first(found: Diagnosis) -> set[str]:
    cause = found.findings[0].cause
    return {c.name for c in cause.both or (cause,)}


def test_a_float_as_heavy_as_the_shift_says_may_be_the_sister_gauges() -> None:
    """70 mm low; weighed, it is as much too heavy: a deposit, or the float of a heavier make."""
    low, seen = LEVELS - 0.07, {"reference": True, "vented": False, "sample": True, "bottom": False}
    mass = 0.300 + 0.07 * AREA * DENSITY
    weighed = told(low, low, answers=seen | {"float_mass": mass})
    assert not settled(weighed) and {HEAVIER, OTHER} <= names(weighed)
    step = next_step(weighed, {"", "drain", "vent", "chamber"})
    assert step is not None and step.question is questions()["serial"]
    known = told(
        low, low, answers=seen | {"float_mass": mass, "serial": False, "whole": True, "particles": False}
    )
    assert settled(known) and first(known) == {OTHER}
    own = told(low, low, answers=seen | {"float_mass": mass, "serial": True})
    assert settled(own) and first(own) == {HEAVIER}


def test_a_current_that_stays_may_be_held_by_a_foreign_magnet() -> None:
    stays = told(LEVELS, np.full(5, 0.95))
    assert stays.verdict == UNTOLD
    assert names(stays) == {"transmitter frozen", "foreign magnet at the transmitter"}
    assert "anything magnetic" in next_text(stays, 0)
    seen = told(LEVELS, np.full(5, 0.95), answers={"foreign_magnet": True})
    assert settled(seen) and first(seen) == {"foreign magnet at the transmitter"}


def test_a_transmitter_that_is_off_by_the_same_amount_may_be_set_or_scaled_so() -> None:
    high = told(LEVELS, LEVELS + 0.02)
    assert high.verdict == UNTOLD and names(high) == {MOUNTED, RANGE, LOOP}
    sound = {"sensor_mark": True, "range_set": True, "loop_check": True}
    for name, cause in (("sensor_mark", MOUNTED), ("range_set", RANGE), ("loop_check", LOOP)):
        seen = told(LEVELS, LEVELS + 0.02, answers=sound | {name: False})
        assert settled(seen) and first(seen) == {cause}, name


def test_hang_ups_do_not_hide_a_second_cause() -> None:
    """35 mm behind either way, and 15 mm low throughout."""
    level, way = np.tile(LEVELS[:4], 2), np.repeat([RISING, FALLING], 4)
    shown = level - 0.015 - 0.035 * way
    found = told(shown, shown, level=level, direction=way)
    assert not settled(found)
    assert {"density not as stated, and float drags", f"{HEAVIER}, and {LATE}"} <= names(found)


def test_a_throttled_leg_and_a_viscous_liquid_read_alike_at_one_rate() -> None:
    way = np.array([STILL, RISING, RISING, FALLING, FALLING])
    shown = LEVELS - 0.08 * way
    found = told(shown, shown - 0.06, direction=way, level_rate=np.full(5, 0.0003))
    assert found.verdict == UNTOLD
    both = {frozenset(c.name for c in f.cause.both) for f in found.rivals}
    assert {frozenset((RESTRICTED, MOUNTED)), frozenset((LATE, MOUNTED))} <= both
    leg = told(
        shown,
        shown - 0.06,
        direction=way,
        level_rate=np.full(5, 0.0003),
        answers={"blow_down": False, "thick": False, "plumb": True}
        | {"sensor_mark": False, "loop_check": True, "range_set": True},
    )
    assert settled(leg) and first(leg) == {RESTRICTED, MOUNTED}


def test_a_second_cause_is_not_named_for_another_that_acts_like_it() -> None:
    """The float stays below 900 mm, and the current is 42 mm low: by the sensor, its range or the loop."""
    stays = np.minimum(LEVELS, 0.9)
    found = told(stays, stays - 0.042)
    ceiling = "float cannot rise past a height"
    alike = {frozenset(c.name for c in f.cause.both) for f in found.rivals}
    assert found.verdict == UNTOLD
    assert {frozenset((ceiling, name)) for name in (MOUNTED, RANGE, LOOP)} <= alike
    looked = told(stays, stays - 0.042, answers={"sensor_mark": True, "loop_check": False})
    assert settled(looked) and first(looked) == {ceiling, LOOP}


def test_a_float_that_something_holds_up_stays_there_when_the_chamber_is_drained() -> None:
    gauge = replace(GAUGE, room_below=DEPTH + 0.1)
    level = np.array([0.1, 0.25, 0.5, 0.8, 1.1, np.nan])
    shown = np.array([0.33, 0.33, 0.5, 0.8, 1.1, 0.33])
    drained = np.array([0.0, 0.0, 0.0, 0.0, 0.0, 1.0])
    current = 0.004 + 0.016 * shown / TOP
    read = Readings(np.full(6, DENSITY), level=level, indicated=shown, current=current, drained=drained)
    found = diagnose(gauge, read)
    assert found.verdict == FOUND and first(found) == {"float cannot sink past a height"}


def test_values_of_a_model_that_does_not_fit_stand_without_an_uncertainty() -> None:
    found = told(np.array([0.9, 0.1, 1.2, 0.4, 0.7]))
    assert found.verdict == UNEXPLAINED
    fits = [fitted(found, f) for f in found.findings if f.values and not math.isnan(f.values[0])]
    assert len(fits) > 5 and not any("0.0000" in text for text in fits)
    far = [f for f in found.findings if f.values and f.probability < 0.01]
    assert far and not any("±" in fitted(found, f) for f in far)
    near = told(LEVELS - 0.03)
    assert "±" in fitted(near, near.findings[0])


def test_a_plugged_lower_leg_is_told_from_a_stuck_float_by_what_runs_out() -> None:
    stays = told(np.full(5, 0.85), np.full(5, 0.85))
    assert {"float stuck", "lower valve shut or leg plugged"} <= names(stays)
    seen = {"valves": True, "lower_valve": True, "blow_down": False, "leg_flows": False, "field_at_all": True}
    plugged = told(np.full(5, 0.85), np.full(5, 0.85), answers=seen)
    assert first(plugged) == {"lower valve shut or leg plugged"}
    free = told(np.full(5, 0.85), np.full(5, 0.85), answers=seen | {"leg_flows": True})
    assert first(free) == {"float stuck"}


def test_gas_shut_in_a_chamber_is_compressed_by_boyles_law() -> None:
    """Upper leg plugged at 600 mm under 0.1 bar: pressures and columns balanced by bisection."""

    def chamber(level: float) -> float:
        low, high = -0.5, TOP - 1e-6
        for _ in range(100):
            middle = (low + high) / 2
            gas = 1e4 * (TOP - 0.6) / (TOP - middle)
            if gas + DENSITY * 9.81 * middle > 1e4 + DENSITY * 9.81 * level:
                high = middle
            else:
                low = middle
        return low

    shown = np.array([chamber(x) for x in LEVELS])
    found = told(shown, shown)
    assert found.verdict == FOUND and first(found) == {"upper valve shut or leg plugged"}
    assert found.findings[0].value == pytest.approx(0.6, abs=0.01)


def test_what_was_looked_for_and_not_seen_is_not_most_likely() -> None:
    shown = np.where(LEVELS > 1.0, 1.0, LEVELS)
    found = told(shown, LEVELS)
    assert "foreign magnet at the indicator" in names(found)
    whole = told(shown, LEVELS, answers={"hand_magnet": True, "foreign_magnet": False})
    assert not settled(whole)


def test_a_cause_is_confirmed_where_that_opens_little() -> None:
    found = told(LEVELS - 0.03, LEVELS)
    assert found.verdict == FOUND and first(found) == {"scale shifted"}
    asked = confirming(found)
    assert asked is not None and asked.name == "scale_zero"
    assert next_text(found, 0).startswith("confirm it before anything is mended: Does the scale's zero")
    step = next_step(found)
    assert step is not None and step.question is asked
    confirmed = told(LEVELS - 0.03, LEVELS, answers={"scale_zero": False})
    assert settled(confirmed) and next_step(confirmed) is None
    assert not settled(told(LEVELS - 0.03, LEVELS, answers={"scale_zero": True}))


def test_clean_answers_do_not_speak_against_what_is_in_no_list() -> None:
    """No answer is a sign, and no level was read right: the longer the list, the surer it is none of it."""
    shown = np.array([0.31, 0.43, 0.99, 0.95, 1.42])
    case = told(shown).case
    clean = {q.name: not q.sign for q in questions().values() if not q.mass and q.fits(case)}
    assert told(shown, shown, answers=clean).verdict == UNEXPLAINED


def test_a_leg_read_three_times_as_fast_is_three_times_as_far_behind() -> None:
    level, way = np.full(4, 0.5), np.array([RISING, FALLING, RISING, FALLING])
    found = told(level - 0.02 * way, level=level, direction=way, level_rate=np.full(4, 0.004))
    by_name = {f.cause.name: f for f in found.findings}
    text = next_observation(found.case, by_name["float drags"], by_name[LATE]).text
    assert "three times as fast" in text
    assert "rising: 480 mm if float drags, 440 mm" in text or "falling: 520 mm if float drags, 560 mm" in text


# --- a drained row ----------------------------------------------------------------------------------

FLOAT: list[list[Any]] = [
    *(["Float mass", 300, "g"], ["Float diameter", 50, "mm"], ["Float length", 250, "mm"]),
    *(["Magnet height", round(1e3 * DEPTH, 1), "mm"], ["Fluid density", DENSITY, "kg/m3"]),
    *(["LRV", 0, "mm"], ["URV", 1500, "mm"], ["Visible range", 1500, "mm"]),
]
HEAD = ["True level (mm)", "Indicated (mm)", "Current (mA)"]


def read(rows: list[list[Any]]) -> Diagnosis:
    stated = read_gauge(FLOAT)
    return diagnose(stated.gauge, read_observations([HEAD, *rows], stated))


def rows_of(shown: Any, current: Any) -> list[list[Any]]:
    return [
        [1e3 * x, 1e3 * y, round(float(c), 2)]
        for x, y, c in zip(LEVELS, np.asarray(shown), np.asarray(current), strict=True)
    ]


@pytest.mark.parametrize(
    "drained",
    [
        ["empty", "below scale", 3.8],
        ["entleert", "unter der Skala", 3.85],
        ["empty", "below scale", None],
    ],
)
def test_a_drained_row_spoils_no_verdict(drained: list[Any]) -> None:
    sound = read([*rows_of(LEVELS, 4 + 16 * LEVELS / TOP), drained])
    assert sound.verdict == NOTHING_WRONG
    spanned = np.minimum(4 + 16 * LEVELS / 1.3, 20.5)
    found = read([*rows_of(LEVELS - 0.025, spanned), drained])
    assert first(found) == {"scale shifted", "transmitter range off"}
    # the same span is had by the control system's scaling
    assert names(found) == {"scale shifted, and transmitter range off", f"scale shifted, and {LOOP}"}


@pytest.mark.parametrize(
    ("empty", "below"),
    [
        ("drained", "<0"),
        ("leer", "unter Skala"),
        ("vide", "sous l'échelle"),
        ("vacío", "por debajo de la escala"),
        ("vuoto", "sotto scala"),
        ("leeg", "onder de schaal"),
        ("pusty", "poniżej skali"),
        ("пусто", "ниже шкалы"),
        ("entleert", "unter der Skala"),
    ],
)
def test_a_drained_row_is_one_in_other_languages(empty: str, below: str) -> None:
    stated, sound = read_gauge(FLOAT), rows_of(LEVELS, 4 + 16 * LEVELS / TOP)
    english, other = (
        read_observations([HEAD, *sound, drained], stated)
        for drained in (["empty", "below scale", 3.8], [empty, below, 3.8])
    )
    assert repr(other) == repr(english)


def test_a_drained_row_still_shows_a_current_that_does_not_fall() -> None:
    found = read([*rows_of(LEVELS, 4 + 16 * LEVELS / TOP), ["empty", "below scale", 12.0]])
    assert found.verdict != NOTHING_WRONG


# --- further causes that read alike -----------------------------------------------------------------


def test_an_interface_whose_total_level_fell_is_no_shut_valve() -> None:
    """700 mm of the upper liquid stay in the chamber; the vessel's total level stands 150 mm lower."""
    lower, upper, level = 1040.0, 860.0, np.array([0.5, 0.6, 0.7, 0.8])
    shown = (lower * level + upper * (1.15 - level) - upper * 0.7) / lower
    area = math.pi / 4 * 0.076**2
    gauge = Gauge(1.2, 0.076, 0.3, (1.2 / area - upper * 0.3) / (lower - upper), "flat", upper)
    read = Readings(np.full(4, lower), level=level, indicated=shown)
    found = diagnose(gauge, read)
    assert not settled(found) and "total level below the upper connection" in names(found)
    seen = diagnose(gauge, read, answers={"total": False, "valves": True})
    assert settled(seen) and first(seen) == {"total level below the upper connection"}


def test_a_scatter_of_the_current_may_be_steps_or_interference() -> None:
    step = 0.05
    level = np.array([0.21, 0.385, 0.56, 0.735, 0.915, 1.09, 1.265])
    sent = np.round(level / step) * step
    found = told(level, sent, level=level)
    assert found.verdict == UNTOLD
    assert {"transmitter steps", "current unsteady (interference, earths)"} <= names(found)
    still = told(level, sent, level=level, answers={"steady": True})
    assert first(still) == {"transmitter steps"}


def test_a_float_that_lost_metal_is_lighter_by_what_its_ride_says() -> None:
    high = LEVELS + 0.03
    seen = {"float_mass": 0.300 - 0.03 * AREA * DENSITY, "serial": True, "sample": True, "vapour": True}
    found = told(high, high, answers=seen)
    assert first(found) == {"float lighter (worn or corroded)"} and settled(found)
