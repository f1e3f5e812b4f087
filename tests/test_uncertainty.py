"""Uncertainty of the reading offset: Monte Carlo, derivatives by hand, limits."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from xlfuncs.gauge import reasons, uncertainty
from xlfuncs.gauge.floats import immersed_volume, immersion, reading_offset
from xlfuncs.gauge.parts import by_name

offset_contributions = by_name(uncertainty.offset_contributions)
offset_uncertainty = by_name(uncertainty.offset_uncertainty)

SPREAD: dict[str, Any] = {"u_mass": 0.001, "u_diameter": 0.0001, "u_magnet_height": 0.0005, "u_density": 5.0}

LEVEL: dict[str, Any] = {
    "mass": 0.28,
    "diameter": 0.05,
    "length": 0.2,
    "magnet_height": 0.15,
    "lower_density": 850.0,
}

CASES: dict[str, dict[str, Any]] = {
    "flat": LEVEL,
    "vapour": LEVEL | {"upper_density": 20.0},
    "interface": LEVEL | {"mass": 0.38, "lower_density": 1000.0, "upper_density": 780.0},
    "hemispherical": LEVEL | {"mass": 0.3, "length": 0.25, "ends": "hemispherical"},
    "elliptical": LEVEL | {"mass": 0.3, "length": 0.225, "ends": "elliptical"},
}


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_agrees_with_monte_carlo(case: dict[str, Any]) -> None:
    random = np.random.default_rng(20240501)
    many = 200_000
    drawn = dict(case)
    for name, u in zip(("mass", "diameter", "magnet_height", "lower_density"), SPREAD.values(), strict=True):
        drawn[name] = random.normal(case[name], u, many)
    sampled = reading_offset(**drawn)
    # the sampled deviation itself scatters by 1/sqrt(2 many) = 0.16 %; 1 % also covers second order
    assert offset_uncertainty(**case, **SPREAD) == pytest.approx(np.std(sampled), rel=0.01)


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_agrees_with_derivatives_by_hand(case: dict[str, Any]) -> None:
    # V(h; D) rho_l + (V - V(h; D)) rho_u = m, differentiated implicitly
    ends, upper = case.get("ends", "flat"), case.get("upper_density", 0.0)
    d, length, lower = case["diameter"], case["length"], case["lower_density"]
    h = immersion(case["mass"], d, length, lower, upper, ends)
    area = np.pi / 4 * d**2  # the surface is at the straight part in every case here
    gap = lower - upper
    end_depth = {"flat": 0.0, "hemispherical": 0.5, "elliptical": 0.25}[ends]
    # V(h) = area (h - c + 2/3 c), V = area (L - 2 c + 4/3 c) with c = end_depth d
    below_by_d = 2 * area / d * (h - end_depth * d / 3) - area * end_depth / 3
    whole_by_d = 2 * area / d * (length - 2 / 3 * end_depth * d) - area * 2 / 3 * end_depth
    by_hand = (
        SPREAD["u_mass"] / (area * gap),
        SPREAD["u_diameter"] * (below_by_d * gap + whole_by_d * upper) / (area * gap),
        SPREAD["u_magnet_height"],
        SPREAD["u_density"] * immersed_volume(h, d, length, ends) / (area * gap),
        0.0,
    )
    ours = offset_contributions(**case, **SPREAD)
    np.testing.assert_allclose(ours, by_hand, rtol=1e-3)  # second order: (u/x)^2 is at most 5e-4 here
    tiny = offset_contributions(**case, **{name: u / 100 for name, u in SPREAD.items()})
    np.testing.assert_allclose(tiny, np.divide(by_hand, 100), rtol=1e-6)


def test_worked_example_of_a_flat_float() -> None:
    # h = m/(rho A) = 167.768 mm: parts u_m/m h, 2 u_D/D h, u_z, u_rho/rho h
    h = 0.167768034
    parts = (0.001 / 0.28 * h, 2 * 0.0001 / 0.05 * h, 0.0005, 5 / 850 * h)
    ours = offset_uncertainty(**CASES["flat"], **SPREAD)
    assert ours == pytest.approx(np.sqrt(np.sum(np.square(parts))), rel=1e-4)


def test_only_the_stated_uncertainties_count() -> None:
    nothing: dict[str, Any] = dict.fromkeys(SPREAD, 0.0)
    assert offset_uncertainty(**CASES["flat"], **nothing) == 0.0
    for name, place in zip(SPREAD, range(4), strict=True):
        alone = {**nothing, name: SPREAD[name]}
        parts = offset_contributions(**CASES["elliptical"], **alone)
        assert offset_uncertainty(**CASES["elliptical"], **alone) == parts[place] > 0
        assert sum(part > 0 for part in parts) == 1


@given(factor=st.floats(0.05, 1.0), case=st.sampled_from(list(CASES.values())))
@settings(max_examples=30, deadline=None)
def test_first_order_in_the_uncertainties(factor: float, case: dict[str, Any]) -> None:
    whole = offset_uncertainty(**case, **SPREAD)
    part = offset_uncertainty(**case, **{name: u * factor for name, u in SPREAD.items()})
    assert part == pytest.approx(whole * factor, rel=2e-3)


def test_sphere_keeps_its_shape() -> None:
    case = {"mass": 0.2, "diameter": 0.1, "length": 0.1, "magnet_height": 0.05, "lower_density": 1000.0}
    spread = {"u_mass": 0.0, "u_diameter": 1e-5, "u_magnet_height": 0.0, "u_density": 0.0}
    # pi h^2 (R - h/3) = m/rho, so dh/dR = -h^2/(2 h R - h^2) = -h/(2 R - h)
    h = 0.0420648373
    ours = offset_uncertainty(**case, **spread, ends="hemispherical")
    assert ours == pytest.approx(h / (0.1 - h) * 0.5e-5, rel=1e-6)


def test_reasons() -> None:
    call = offset_uncertainty
    case = CASES["flat"]

    def why(**changed: Any) -> str:
        with reasons() as found:
            result = call(**{**case, **SPREAD, **changed})
        assert np.isnan(result)
        return str(found.at(result))

    assert "u_mass must not be negative" in why(u_mass=-0.001)
    assert "u_mass must be below mass" in why(u_mass=0.3)
    assert "u_density must be below lower_density" in why(u_density=900.0)
    assert "within u_density the float may sink" in why(u_density=200.0)
    assert "sinks" in why(lower_density=600.0)
    assert "magnet_height" in why(magnet_height=0.3)


def test_array_equals_scalars() -> None:
    densities, spread = np.array([[800.0], [900.0]]), np.array([1.0, 5.0, 10.0])
    exact = {"u_mass": 0.001, "u_diameter": 0.0001, "u_magnet_height": 0.0005}
    table = offset_uncertainty(**LEVEL | {"lower_density": densities}, **exact, u_density=spread)
    assert table.shape == (2, 3)
    for i in range(2):
        for j in range(3):
            here = LEVEL | {"lower_density": densities[i, 0]}
            one = offset_uncertainty(**here, **exact, u_density=spread[j])
            assert table[i, j] == pytest.approx(one, rel=1e-12)
