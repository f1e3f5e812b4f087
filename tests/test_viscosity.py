"""Viscosity over temperature, pour and freezing margins."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import iapws
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from xlfuncs.gauge import reasons, viscosity

KELVIN = 273.15
OIL = (313.15, 100e-6, 373.15, 11.4e-6)


def reason(function: Callable[..., Any], *arguments: Any) -> str:
    with reasons() as why:
        result = function(*arguments)
    assert np.isnan(result)
    return str(why.at(result))


points = st.tuples(
    st.floats(260.0, 330.0), st.floats(20.0, 120.0), st.floats(0.5e-6, 5e-3), st.floats(1.2, 30.0)
).map(lambda p: (p[0], p[2], p[0] + p[1], max(p[2] / p[3], 0.25e-6)))


@given(points)
def test_the_curve_goes_through_its_points(given_points: tuple[float, float, float, float]) -> None:
    t_1, nu_1, t_2, nu_2 = given_points
    assert viscosity.viscosity_at(t_1, *given_points) == pytest.approx(nu_1, rel=1e-8)
    assert viscosity.viscosity_at(t_2, *given_points) == pytest.approx(nu_2, rel=1e-8)


@given(points, st.floats(0.0, 0.9), st.floats(0.01, 0.1))
def test_viscosity_falls_with_temperature(
    given_points: tuple[float, float, float, float], share: float, step: float
) -> None:
    t_1, _, t_2, _ = given_points
    cold, hot = t_1 + np.array([share, share + step]) * (t_2 - t_1)
    assert viscosity.viscosity_at(hot, *given_points) < viscosity.viscosity_at(cold, *given_points)


@given(points, st.floats(0.0, 1.0))
def test_temperature_for_viscosity_is_the_inverse(
    given_points: tuple[float, float, float, float], share: float
) -> None:
    t_1, _, t_2, _ = given_points
    there = t_1 + share * (t_2 - t_1)
    found = viscosity.temperature_for_viscosity(viscosity.viscosity_at(there, *given_points), *given_points)
    assert found == pytest.approx(there, rel=1e-8)


@given(points, st.floats(0.0, 1.0))
def test_the_order_of_the_points_does_not_matter(
    given_points: tuple[float, float, float, float], share: float
) -> None:
    t_1, nu_1, t_2, nu_2 = given_points
    there = t_1 + share * (t_2 - t_1)
    turned = viscosity.viscosity_at(there, t_2, nu_2, t_1, nu_1)
    assert viscosity.viscosity_at(there, *given_points) == pytest.approx(turned, rel=1e-9)


@given(st.floats(2.0, 5.0), st.floats(5.0, 1e5))
def test_short_form_above_two(low: float, high: float) -> None:
    # log10 log10 (nu + 0.7) = A - B log10 T, the common form, differs by less than 0.1 % from 2 mm2/s upwards
    t_1, t_2, there = 373.15, 293.15, 333.15
    w = [np.log10(np.log10(nu + 0.7)) for nu in (low, high)]
    slope = (w[1] - w[0]) / np.log10(t_2 / t_1)
    short = 10 ** (10 ** (w[0] + slope * np.log10(there / t_1))) - 0.7
    if high <= low * 1.01:
        return
    found = viscosity.viscosity_at(there, t_1, low * 1e-6, t_2, high * 1e-6) * 1e6
    assert found == pytest.approx(short, rel=1e-3)


@given(st.floats(np.log(0.21), np.log(2e7)).map(np.exp))
def test_printed_inverse_and_exact_inverse_agree(nu: float) -> None:
    # the standard's own inverse, Z to viscosity, is an approximation of the exact one
    z = nu + 0.7 + np.exp(-1.47 - 1.84 * nu - 0.51 * nu**2)
    x = min(z - 0.7, 40.0)
    printed = z - 0.7 - np.exp(-0.7487 - 3.295 * x + 0.6119 * x**2 - 0.3193 * x**3)
    warm = viscosity.viscosity_at(300.0, 300.0, nu * 1e-6, 640.0, 0.21e-6) if nu > 0.22 else nu * 1e-6
    assert warm * 1e6 == pytest.approx(printed, rel=3e-3)


def test_points_that_cannot_be_used() -> None:
    assert "equals" in reason(viscosity.viscosity_at, 300.0, 313.15, 1e-4, 313.15, 1e-5)
    assert "must fall" in reason(viscosity.viscosity_at, 300.0, 313.15, 1e-5, 373.15, 1e-4)
    assert "viscosity_2 is outside" in reason(viscosity.viscosity_at, 300.0, 313.15, 1e-5, 373.15, 1e-7)
    assert "temperature is outside" in reason(viscosity.viscosity_at, 700.0, *OIL)
    assert "more than 30 K outside" in reason(viscosity.viscosity_at, 313.15 - 30.1, *OIL)
    assert "more than 30 K outside" in reason(viscosity.viscosity_at, 373.15 + 30.1, *OIL)
    assert viscosity.viscosity_at(313.15 - 30, *OIL) > 0
    thick = (300.0, 2e-2, 310.0, 1e-3)
    assert "viscosity there is outside" in reason(viscosity.viscosity_at, 275.0, *thick)
    assert "viscosity is outside" in reason(viscosity.temperature_for_viscosity, 1e-8, *OIL)
    assert "temperature for it is outside" in reason(viscosity.temperature_for_viscosity, 0.3e-6, *OIL)


def test_array_equals_loop_of_scalars() -> None:
    temperatures = np.array([290.0, 300.0, 320.0, 900.0])
    together = viscosity.viscosity_at(temperatures, *OIL)
    np.testing.assert_equal(together, [viscosity.viscosity_at(t, *OIL) for t in temperatures])
    assert isinstance(viscosity.viscosity_at(300.0, *OIL), np.float64)


@settings(deadline=None, max_examples=40)
@given(st.floats(275.0, 570.0))
def test_water_agrees_with_another_implementation(temperature: float) -> None:
    other = iapws.IAPWS97(T=temperature, x=0).mu
    assert viscosity.liquid_viscosity("water", temperature) == pytest.approx(other, rel=5e-4)


def test_a_fluid_without_a_viscosity_equation() -> None:
    assert "no viscosity equation of Chlorine" in reason(viscosity.liquid_viscosity, "chlorine", 293.15)
    assert "unknown fluid" in reason(viscosity.liquid_viscosity, "LPG", 293.15)


def test_dynamic_viscosity_is_the_product() -> None:
    assert viscosity.dynamic_viscosity(1.0033951e-6, 998.2071) == pytest.approx(1.0016e-3, rel=1e-4)
    assert "density must be above 0" in reason(viscosity.dynamic_viscosity, 1e-6, 0.0)


@given(st.floats(150.0, 400.0), st.floats(150.0, 400.0))
def test_margins_change_sign_at_the_limit(lowest: float, limit: float) -> None:
    margin = viscosity.pour_margin(lowest, limit)
    assert (margin >= 0) == (lowest >= limit)
    assert viscosity.pour_margin(limit, lowest) == -margin


def test_freezing_margin_by_name() -> None:
    margins = viscosity.freezing_margin(np.array(["water", "Benzol", "LPG"], dtype=object), 278.15)
    assert margins[0] == pytest.approx(5.0)
    assert margins[1] == pytest.approx(-0.538, abs=1e-9)
    assert np.isnan(margins[2])
