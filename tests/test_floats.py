"""The float balance: properties that hold for any float, and what happens at the edges."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from xlfuncs.gauge import floats, reasons

ENDS = st.sampled_from(floats.ENDS)
DIAMETER = st.floats(0.02, 0.15)
STRAIGHT = st.floats(0.0, 0.6)
LOWER = st.floats(350.0, 2500.0)
SHARE = st.floats(0.001, 0.999)


@st.composite
def riding(draw: st.DrawFn) -> tuple[float, float, float, float, float, str]:
    """mass, diameter, length, lower_density, upper_density, ends of a float that rides at the surface."""
    diameter, ends, lower = draw(DIAMETER), draw(ENDS), draw(LOWER)
    length = draw(STRAIGHT) + {"flat": 0.02, "hemispherical": diameter, "elliptical": diameter / 2}[ends]
    upper = lower * draw(st.floats(0.0, 0.97))
    mass = (upper + (lower - upper) * draw(SHARE)) * float(floats.volume(diameter, length, ends))
    return mass, diameter, length, lower, upper, ends


@given(riding())
def test_the_displaced_mass_is_the_floats_mass(case: tuple[float, float, float, float, float, str]) -> None:
    """Archimedes, whatever the shape: the balance closes at the depth found."""
    mass, diameter, length, lower, upper, ends = case
    depth = floats.immersion(*case)
    below = floats.immersed_volume(depth, diameter, length, ends)
    whole = floats.volume(diameter, length, ends)
    assert float(below * lower + (whole - below) * upper) == pytest.approx(mass, rel=1e-9)
    assert 0 < depth < length


@given(riding(), st.floats(0.05, 0.95))
def test_depth_inverts_volume(case: tuple[float, float, float, float, float, str], share: float) -> None:
    """Immersion follows from volume to 1e-9 of the length."""
    _, diameter, length, _, _, ends = case
    volume = float(floats.immersed_volume(share * length, diameter, length, ends))
    depth = floats.immersion(volume * 1000.0, diameter, length, 1000.0, 0.0, ends)
    assert depth == pytest.approx(share * length, abs=1e-9 * length)


@given(riding(), st.floats(1.001, 1.5))
def test_a_denser_liquid_carries_the_float_higher(
    case: tuple[float, float, float, float, float, str], factor: float
) -> None:
    mass, diameter, length, lower, upper, ends = case
    assert floats.immersion(mass, diameter, length, lower * factor, upper, ends) < floats.immersion(*case)


@given(riding(), st.floats(0.0, 1.0))
def test_implied_density_inverts_the_offset(
    case: tuple[float, float, float, float, float, str], share: float
) -> None:
    mass, diameter, length, lower, upper, ends = case
    plane = share * length
    offset = floats.reading_offset(mass, diameter, length, plane, lower, upper, ends)
    assume(1e-3 < (plane - offset) / length < 1 - 1e-3)
    found = floats.implied_density(mass, diameter, length, plane, offset, upper, ends)
    assert float(found) == pytest.approx(lower, rel=1e-6)


@given(riding())
def test_offset_is_zero_at_the_design_density(case: tuple[float, float, float, float, float, str]) -> None:
    mass, diameter, length, lower, upper, ends = case
    plane = floats.magnet_height(mass, diameter, length, lower, upper, ends)
    assert float(floats.reading_offset(mass, diameter, length, plane, lower, upper, ends)) == 0.0


@given(riding(), st.floats(1e-4, 0.02))
def test_the_window_is_where_the_offset_stays_within_the_tolerance(
    case: tuple[float, float, float, float, float, str], tolerance: float
) -> None:
    mass, diameter, length, lower, upper, ends = case
    plane = float(floats.magnet_height(mass, diameter, length, lower, upper, ends))
    low, high = floats.density_window(mass, diameter, length, plane, tolerance, upper, ends)
    assert low <= lower <= high
    for density, sign in ((low, -1), (high, 1)):
        if np.isfinite(density) and 1e-3 * length < plane - sign * tolerance < length * (1 - 1e-3):
            offset = floats.reading_offset(mass, diameter, length, plane, density, upper, ends)
            assert float(offset) == pytest.approx(sign * tolerance, abs=1e-7)


@given(riding())
def test_arrays_equal_loops(case: tuple[float, float, float, float, float, str]) -> None:
    mass, diameter, length, lower, upper, ends = case
    lowers = np.array([[lower], [lower * 1.1]])
    uppers = np.array([upper, upper * 0.5, 0.0])
    block = floats.immersion(mass, diameter, length, lowers, uppers, ends)
    assert block.shape == (2, 3)
    for i, one in enumerate(lowers[:, 0]):
        for j, two in enumerate(uppers):
            alone = floats.immersion(mass, diameter, length, one, two, ends)
            # several sines at once may be computed otherwise than one
            assert block[i, j] == pytest.approx(float(alone), rel=1e-14, nan_ok=True)


@pytest.mark.parametrize("ends", floats.ENDS)
def test_no_jump_where_the_surface_passes_from_end_to_shell(ends: str) -> None:
    diameter, length = 0.05, 0.25
    seam = {"flat": 0.0, "hemispherical": 0.025, "elliptical": 0.0125}[ends]
    for depth in (seam, length - seam):
        near = depth + np.array([-1e-9, 1e-9])
        below = floats.immersed_volume(np.clip(near, 0, length), diameter, length, ends)
        assert abs(float(below[1] - below[0])) < 1e-11


def test_shapes_may_differ_within_an_array() -> None:
    shapes = np.array(["flat", "hemispherical"], dtype=object)
    both = floats.volume(0.05, 0.25, shapes)
    assert both[0] == floats.volume(0.05, 0.25) and both[1] == floats.volume(0.05, 0.25, "hemispherical")


@pytest.mark.parametrize(
    ("case", "reason"),
    [
        ((0.5, 0.05, 0.2, 850.0), "the float sinks"),
        ((0.2, 0.05, 0.2, 1000.0, 800.0), "hangs free in the upper fluid"),
        ((-0.1, 0.05, 0.2, 850.0), "mass must be above 0"),
        ((0.28, 0.0, 0.2, 850.0), "diameter must be above 0"),
        ((0.28, 0.05, 0.2, 850.0, 900.0), "upper_density must be below lower_density"),
        ((0.05, 0.05, 0.04, 850.0, 0.0, "hemispherical"), "length is over all"),
    ],
)
def test_what_cannot_ride_gives_nan_and_the_reason(case: tuple[Any, ...], reason: str) -> None:
    with reasons() as why:
        result = floats.immersion(*case)
    assert np.isnan(result)
    assert reason in str(why.at(result))


def test_one_bad_row_does_not_spoil_the_column() -> None:
    with reasons() as why:
        result = floats.immersion([0.28, 0.5, 0.28], 0.05, 0.2, [850.0, 850.0, -1.0])
    assert list(np.isnan(result)) == [False, True, True]
    assert [bool(text) for text in why.at(result)] == [False, True, True]


def test_a_magnet_above_the_float_is_refused() -> None:
    with reasons() as why:
        result = floats.reading_offset(0.28, 0.05, 0.2, 0.21, 850.0)
    assert np.isnan(result)
    assert "must not exceed the length" in str(why.at(result))


def test_an_unknown_shape_is_named() -> None:
    with pytest.raises(ValueError, match="ends is 'conical': use one of flat, hemispherical, elliptical"):
        floats.volume(0.05, 0.2, "conical")
