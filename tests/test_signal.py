"""Level, current and the loop: limits, inverses and refusals. Published values: `published/signal.csv`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from xlfuncs.gauge import reasons, signal
from xlfuncs.worksheet import call

heights = st.floats(-5.0, 20.0)
spans = st.floats(0.05, 10.0)
shares = st.floats(-0.0125, 1.03125)


def why(function: Callable[..., Any], *arguments: Any) -> tuple[Any, Any]:
    with reasons() as found:
        result = function(*arguments)
    return result, found.at(result)


@given(heights, spans, shares, st.booleans())
def test_level_and_current_are_inverse(lrv: float, span: float, share: float, reverse: bool) -> None:
    level = lrv + (1 - share if reverse else share) * span
    current = signal.level_to_current(level, lrv, lrv + span, reverse)
    assert 0.0038 - 1e-9 <= current <= 0.0205 + 1e-9
    assert signal.current_to_level(current, lrv, lrv + span, reverse) == pytest.approx(level, abs=1e-9)


@given(heights, spans, st.floats(0, 1), st.floats(0.001, 0.5))
def test_the_current_rises_with_the_level_and_falls_when_reversed(
    lrv: float, span: float, share: float, step: float
) -> None:
    low, high = lrv + share * span / 2, lrv + (share / 2 + step) * span
    urv = lrv + span
    assert signal.level_to_current(high, lrv, urv) > signal.level_to_current(low, lrv, urv)
    assert signal.level_to_current(high, lrv, urv, True) < signal.level_to_current(low, lrv, urv, True)


@given(heights, spans, st.floats(0, 1))
def test_rising_and_falling_signal_mirror_each_other_about_12_mA(
    lrv: float, span: float, share: float
) -> None:
    level, urv = lrv + share * span, lrv + span
    both = signal.level_to_current(level, lrv, urv) + signal.level_to_current(level, lrv, urv, True)
    assert both == pytest.approx(0.024, abs=1e-12)


def test_a_range_gives_what_its_elements_give() -> None:
    levels = np.linspace(0.1, 0.9, 7)
    lrv, urv = np.zeros(7), np.linspace(1.0, 2.0, 7)
    reverse = np.arange(7) % 2 == 0
    currents = signal.level_to_current(levels, lrv, urv, reverse)
    one_by_one = [signal.level_to_current(*row) for row in zip(levels, lrv, urv, reverse, strict=True)]
    assert currents == pytest.approx(one_by_one, abs=0)


@pytest.mark.parametrize(
    ("lrv", "urv", "text"),
    [
        (0.5, 0.5, "urv equals lrv: give two different levels"),
        (1.0, 0.0, "urv is below lrv: swap them, and set reverse for a falling signal"),
    ],
)
def test_a_range_without_a_span_is_refused(lrv: float, urv: float, text: str) -> None:
    for function in (signal.level_to_current, signal.current_to_level):
        result, reason = why(function, 0.012, lrv, urv)
        assert np.isnan(result)
        assert reason == text


@pytest.mark.parametrize("level", [-0.013, 1.032, 5.0])
def test_no_current_is_stated_where_the_signal_has_left_its_range(level: float) -> None:
    result, reason = why(signal.level_to_current, level, 0.0, 1.0)
    assert np.isnan(result)
    assert reason == "level is outside the range: the current stays within 3.8 to 20.5 mA (NE 43)"


@pytest.mark.parametrize("current", [0.0, 3.6e-3, 3.79e-3, 20.51e-3, 22e-3])
def test_a_failure_current_states_no_level(current: float) -> None:
    result, reason = why(signal.current_to_level, current, 0.0, 1.0)
    assert np.isnan(result)
    assert reason == "current is outside 3.8 to 20.5 mA: it states no level (NE 43)"


def test_one_bad_row_does_not_spoil_a_column() -> None:
    result, reason = why(signal.current_to_level, [0.004, 0.0036, 0.020], 0.0, 1.0)
    assert result[[0, 2]] == pytest.approx([0.0, 1.0])
    assert np.isnan(result[1])
    assert [bool(text) for text in reason] == [False, True, False]


def test_the_status_of_a_column() -> None:
    currents = np.array([[0.0, 3.6, 3.61, 3.79, 3.8], [20.5, 20.51, 20.99, 21.0, 30.0]]) / 1e3
    assert signal.current_status(currents).tolist() == [
        ["failure low", "failure low", "below range", "below range", "measuring"],
        ["measuring", "above range", "above range", "failure high", "failure high"],
    ]


@given(st.floats(0, 0.05))
def test_a_level_is_stated_exactly_where_the_status_is_measuring(current: float) -> None:
    stated = not np.isnan(signal.current_to_level(current, 0.0, 1.0))
    assert stated == (signal.current_status(current) == "measuring")


@given(heights, spans, st.integers(2, 101), st.floats(0, 5), st.booleans())
def test_the_calibration_table_spans_the_range(
    lrv: float, span: float, points: int, tolerance: float, reverse: bool
) -> None:
    headings, *rows = signal.calibration_table(lrv, lrv + span, points, tolerance, reverse)
    assert len(headings) == 5
    assert len(rows) == points
    percent, level, current, low, high = np.array(rows).T
    assert percent[[0, -1]] == pytest.approx([0, 100])
    assert level[[0, -1]] == pytest.approx([1e3 * lrv, 1e3 * (lrv + span)])
    assert sorted(current[[0, -1]]) == pytest.approx([4, 20])
    assert (current[0] > current[-1]) is np.bool_(reverse)
    assert high - current == pytest.approx(0.16 * tolerance, abs=1e-9)
    assert current - low == pytest.approx(0.16 * tolerance, abs=1e-9)


@pytest.mark.parametrize(
    ("arguments", "part"),
    [
        ((100, 100), "urv must be above lrv"),
        ((1000, 0), "urv must be above lrv"),
        ((0, 1000, 2.5), "points must be a whole number"),
    ],
)
def test_a_calibration_table_that_cannot_be_made_says_why(arguments: tuple[Any, ...], part: str) -> None:
    assert part in call("LG_CALIBRATION_TABLE", *arguments).reason


@given(st.floats(13, 40), st.floats(8, 12), st.floats(0.020, 0.025))
def test_the_loop_resistance_leaves_the_transmitter_its_voltage(
    supply: float, minimum: float, current: float
) -> None:
    resistance = signal.loop_resistance(supply, minimum, current)
    assert supply - resistance * current == pytest.approx(minimum)
    assert resistance <= signal.loop_resistance(supply, minimum, 0.020) * (1 + 1e-12)


def test_a_loop_that_cannot_work_is_refused() -> None:
    result, reason = why(signal.loop_resistance, [10.0, 24.0], [12.0, 12.0], [0.0215, 0.012])
    assert np.isnan(result).all()
    assert list(reason) == ["supply must be above minimum_voltage", "failure_current must be 20 mA or more"]


@given(heights, spans, heights, spans, st.floats(0, 1), st.booleans(), st.booleans())
def test_a_change_of_range_and_back_gives_the_first_current(
    lrv: float, span: float, shift: float, other: float, share: float, old: bool, new: bool
) -> None:
    level = lrv + share * span
    new_lrv, new_urv = min(level, shift), max(level, shift) + other
    current = signal.level_to_current(level, lrv, lrv + span, old)
    changed = signal.reranged_current(current, lrv, lrv + span, new_lrv, new_urv, old, new)
    back = signal.reranged_current(changed, new_lrv, new_urv, lrv, lrv + span, new, old)
    assert back == pytest.approx(current, abs=1e-9)


def test_the_new_range_is_named_when_it_is_wrong() -> None:
    _, reason = why(signal.reranged_current, 0.012, 0.0, 1.0, 2.0, 2.0)
    assert reason == "new_urv equals new_lrv: give two different levels"


@given(heights, spans, st.floats(0, 0.45), st.floats(0.55, 1), st.booleans())
def test_the_range_is_found_again_from_two_readings(
    lrv: float, span: float, first: float, second: float, reverse: bool
) -> None:
    levels = lrv + np.array([first, second]) * span
    currents = signal.level_to_current(levels, lrv, lrv + span, reverse)
    at_4, at_20 = signal.range_found(levels[0], currents[0], levels[1], currents[1])
    expected = (lrv + span, lrv) if reverse else (lrv, lrv + span)
    assert (at_4, at_20) == pytest.approx(expected, abs=1e-8)


@pytest.mark.parametrize(
    ("readings", "part"),
    [
        ((0.2, 0.008, 0.2, 0.012), "level_1 equals level_2"),
        ((0.2, 0.008, 0.4, 0.00805), "less than 0.1 mA apart"),
        ((0.2, 0.0036, 0.4, 0.012), "current_1 is outside"),
        ((0.2, 0.008, 0.4, 0.022), "current_2 is outside"),
    ],
)
def test_readings_that_show_no_range_are_refused(
    readings: tuple[float, float, float, float], part: str
) -> None:
    with reasons() as found:
        at_4, at_20 = signal.range_found(*readings)
    assert np.isnan([at_4, at_20]).all()
    assert part in str(found.at(at_4))


@given(st.floats(0.001, 0.05), spans)
def test_a_step_counts_as_often_as_it_fits(pitch: float, span: float) -> None:
    steps = span / signal.level_step(pitch, True)
    assert steps * signal.current_step(pitch, 0.0, span, True) == pytest.approx(0.016)
    assert signal.level_step(pitch, True) == pitch / 2


def test_a_pitch_that_no_chain_has_is_refused() -> None:
    result, reason = why(signal.current_step, [0.0, 2.0], 0.0, 1.0)
    assert np.isnan(result).all()
    assert list(reason) == ["pitch must be above 0", "pitch is wider than the range from lrv to urv"]


def test_units_do_not_matter() -> None:
    assert call("LG_LEVEL_TO_CURRENT", "10 in", 0, "40 in") == pytest.approx(8.0)
    assert call("LG_CURRENT_TO_LEVEL", "0.012 A", "0 ft", "2 ft", False, "in") == pytest.approx(12.0)
