"""Float response: the annular flows solved numerically, high-precision arithmetic, limits, inverses."""

from __future__ import annotations

from decimal import Decimal, getcontext
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import quad, solve_bvp, solve_ivp

from xlfuncs.gauge import reasons, response
from xlfuncs.gauge.floats import immersed_volume, immersion
from xlfuncs.gauge.model import Chamber, Float, Fluids, Movement
from xlfuncs.gauge.parts import by_name

LAG, LEAD = by_name(response.lag), by_name(response.lead)
VISCOSITY_LIMIT, TIME_CONSTANT = by_name(response.viscosity_limit), by_name(response.time_constant)

CASE: dict[str, Any] = {
    "mass": 0.28,
    "diameter": 0.05,
    "length": 0.2,
    "lower_density": 850.0,
    "chamber_bore": 0.06,
}


def solved_drag(r: float, bore: float, wall_velocity: float, net_flow: float) -> float:
    """Force per length on the inner cylinder, for viscosity 1, from the momentum equation itself.

    The float stands, the wall of the bore moves, `net_flow` [m2/s per radian] is the flow through the gap.
    (s w')' = G s is solved as a boundary value problem with the unknown pressure gradient G as parameter;
    the force is the shear on the cylinder less the gradient's force on its end faces.
    """

    def equations(
        s: NDArray[np.float64], y: NDArray[np.float64], p: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        w, slope, _ = y
        return np.vstack((slope, p[0] - slope / s, s * w))

    def edges(a: NDArray[np.float64], b: NDArray[np.float64], p: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.array([a[0], b[0] - wall_velocity, a[2], b[2] - net_flow])

    s = np.linspace(r, bore, 400)
    guess = np.vstack(
        (wall_velocity * (s - r) / (bore - r), np.full_like(s, wall_velocity), np.zeros_like(s))
    )
    solution = solve_bvp(equations, edges, s, guess, p=[1.0], tol=1e-8, max_nodes=50000)
    assert solution.success
    shear = solution.sol(r)[1]
    return float(2 * np.pi * r * shear - np.pi * r**2 * solution.p[0])


# The float moves up with velocity 1, so seen from it the wall moves down with 1.
@pytest.mark.parametrize(("r", "bore"), [(0.025, 0.03), (0.022, 0.0265), (0.01, 0.05), (0.024, 0.0252)])
def test_return_flow_agrees_with_the_solved_momentum_equation(r: float, bore: float) -> None:
    # liquid at rest in a closed tube: seen from the float all of the bore moves down, -R^2/2 per radian
    expected = -solved_drag(r, bore, -1.0, -(bore**2) / 2)
    assert response.drag_coefficient(2 * r, 2 * bore) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(("r", "bore"), [(0.025, 0.03), (0.022, 0.0265), (0.01, 0.05), (0.024, 0.0252)])
def test_lead_agrees_with_the_solved_momentum_equation(r: float, bore: float) -> None:
    # the liquid rises with the level: seen from the float none passes, and the force is upwards
    force = solved_drag(r, bore, -1.0, 0.0)
    case = {**CASE, "diameter": 2 * r, "chamber_bore": 2 * bore, "mass": 0.7 * 850 * np.pi * r**2 * 0.2}
    lead = LEAD(**case, viscosity=0.05, level_rate=1e-4)
    stiffness = np.pi * r**2 * 850 * 9.80665
    assert lead == pytest.approx(force * 0.05 * 1e-4 * 0.14 / stiffness, rel=1e-6)


WHOLE = (Float(0.28, 0.05, 0.2), Fluids(850.0, viscosity=0.03), Chamber(0.06), Movement(0.01))


@pytest.mark.parametrize("below", [0.0, 0.1, 0.2, 0.7, 1.0])
def test_what_stands_below_the_lower_connection_holds_the_float_back(below: float) -> None:
    # a closed end under the connection, liquid that rises with the level above it
    deep = float(immersion(0.28, 0.05, 0.2, 850.0))
    force = (1 - below) * solved_drag(0.025, 0.03, -1.0, 0.0)
    force += below * solved_drag(0.025, 0.03, -1.0, -(0.03**2) / 2)
    stiffness = np.pi * 0.025**2 * 850 * 9.80665
    shift = response.follow(*WHOLE, (1 - below) * deep)
    assert shift == pytest.approx(force * 0.03 * 0.01 * deep / stiffness, rel=1e-5)


def test_a_float_lags_at_the_lower_connection_and_leads_an_immersion_above() -> None:
    deep = float(immersion(0.28, 0.05, 0.2, 850.0))
    assert response.follow(*WHOLE, 0.0) == pytest.approx(-response.lag(*WHOLE), rel=1e-12)
    assert response.follow(*WHOLE, -0.05) == response.follow(*WHOLE, 0.0)
    assert response.follow(*WHOLE, deep) == pytest.approx(response.lead(*WHOLE), rel=1e-12)
    assert response.follow(*WHOLE, 0.9) == response.lead(*WHOLE)
    turns = deep / (1 + np.tanh(np.log(0.06 / 0.05)))
    assert response.follow(*WHOLE, turns) == pytest.approx(0.0, abs=1e-12)


def test_a_float_that_does_not_follow_at_the_lower_connection_says_which_way() -> None:
    moving = WHOLE[2:]
    thick = Fluids(850.0, viscosity=0.1)
    assert response.follow(WHOLE[0], thick, *moving, 0.5) > 0
    with reasons() as why:
        under = response.follow(WHOLE[0], thick, *moving, 0.0)
    assert np.isnan(under) and "draws the float under" in str(why.at(under))
    with reasons() as why:
        hanging = response.follow(Float(0.1, 0.05, 0.2), Fluids(850.0, viscosity=0.6), *moving, 0.0)
    assert np.isnan(hanging) and "leaves the float hanging" in str(why.at(hanging))


@pytest.mark.parametrize("gap", ["1e-1", "1e-2", "1e-4", "1e-6", "1", "9"])
def test_narrow_gaps_keep_their_digits(gap: str) -> None:
    # the textbook form in 60 digits, where its cancellation does no harm
    getcontext().prec = 60
    bore = Decimal("0.05") * (1 + Decimal(gap))
    r2, b2 = Decimal("0.05") ** 2, bore**2
    textbook = 1 / ((bore / Decimal("0.05")).ln() - (b2 - r2) / (b2 + r2))
    ours = response.drag_coefficient(0.05, float(bore)) / (2 * np.pi)
    # 0.05 and the bore round to doubles: relative error eps/gap, cubed gap
    assert ours == pytest.approx(float(textbook), rel=1e-13 + 1e-15 / float(gap))


def test_very_narrow_gap_is_lubrication_theory() -> None:
    # Bird, Stewart and Lightfoot, eq. 2C.4-3: 2 pi x 3/eps^3 to leading order
    eps = 1e-4
    assert response.drag_coefficient(1.0, 1.0 + eps) == pytest.approx(
        6 * np.pi / np.log1p(eps) ** 3, rel=1e-7
    )


@given(ratio=st.floats(1.0001, 50))
def test_series_and_direct_form_meet_and_fall(ratio: float) -> None:
    wide = response.drag_coefficient(0.05, 0.05 * ratio)
    assert wide > response.drag_coefficient(0.05, 0.05 * ratio * 1.001)


def test_continuous_where_the_series_ends() -> None:
    edge = np.e  # ln(R/r) = 1
    below, above = (response.drag_coefficient(0.05, 0.05 * edge * f) for f in (1 - 1e-9, 1 + 1e-9))
    assert below == pytest.approx(above, rel=1e-7)


def test_lag_is_the_balance_of_drag_and_buoyancy() -> None:
    lag = LAG(**CASE, viscosity=0.05, level_rate=0.01)
    h = immersion(0.28, 0.05, 0.2, 850.0)
    drag = 3151.5390 * 0.05 * h * 0.01
    extra = (immersed_volume(h + lag, 0.05, 0.2) - immersed_volume(h, 0.05, 0.2)) * 850 * 9.80665
    assert extra == pytest.approx(drag, rel=1e-6)


@pytest.mark.parametrize(
    ("mass", "ends"), [(0.02, "hemispherical"), (0.37, "hemispherical"), (0.35, "elliptical")]
)
def test_a_curved_end_at_the_surface_gives_way_until_the_buoyancy_meets_the_drag(
    mass: float, ends: str
) -> None:
    case = {**CASE, "mass": mass, "length": 0.25, "ends": ends}
    h = immersion(mass, 0.05, 0.25, 850.0, 0.0, ends)
    for rate in (1e-6, 1e-3):
        drag = 3151.5390029 * 0.02 * h * rate
        lag = LAG(**case, viscosity=0.02, level_rate=rate)
        more = immersed_volume(h + lag, 0.05, 0.25, ends) - immersed_volume(h, 0.05, 0.25, ends)
        assert 850 * 9.80665 * more == pytest.approx(drag, rel=1e-6)
        assert VISCOSITY_LIMIT(**case, level_rate=rate, lag=lag) == pytest.approx(0.02, rel=1e-6)


def test_stiffness_at_a_curved_end_is_the_slope_of_the_buoyancy() -> None:
    h = immersion(0.37, 0.05, 0.25, 850.0, 0.0, "hemispherical")
    above, below = (immersed_volume(h + s, 0.05, 0.25, "hemispherical") for s in (1e-6, -1e-6))
    found = response.restoring(Float(0.37, 0.05, 0.25, ends="hemispherical"), Fluids(850.0))
    assert found == pytest.approx((above - below) / 2e-6 * 850 * 9.80665, rel=1e-6)


def test_lead_is_a_share_of_the_lag_by_the_areas() -> None:
    lag = LAG(**CASE, viscosity=0.05, level_rate=0.01)
    lead = LEAD(**CASE, viscosity=0.05, level_rate=0.01)
    assert lead / lag == pytest.approx((30**2 - 25**2) / (30**2 + 25**2), rel=1e-12)


@given(
    viscosity=st.floats(0.02, 2.0),
    rate=st.floats(0.0005, 0.02),
    bore=st.floats(0.053, 0.08),
    density=st.floats(750, 1200),
    ends=st.sampled_from(["flat", "hemispherical", "elliptical"]),
)
@settings(max_examples=60, deadline=None)
def test_viscosity_limit_inverts_lag(
    viscosity: float, rate: float, bore: float, density: float, ends: str
) -> None:
    case = {**CASE, "mass": 0.25, "chamber_bore": bore, "lower_density": density, "ends": ends}
    lag = LAG(**case, viscosity=viscosity, level_rate=rate)
    if np.isnan(lag):  # drawn under
        return
    assert VISCOSITY_LIMIT(**case, level_rate=rate, lag=lag) == pytest.approx(viscosity, rel=1e-10)


@given(factor=st.floats(1.01, 3), viscosity=st.floats(0.02, 0.15))
@settings(max_examples=30, deadline=None)
def test_lag_is_proportional_and_falls_with_the_bore(factor: float, viscosity: float) -> None:
    base = LAG(**CASE, viscosity=viscosity, level_rate=0.002)
    assert LAG(**CASE, viscosity=viscosity * factor, level_rate=0.002) == pytest.approx(base * factor)
    assert LAG(**CASE, viscosity=viscosity, level_rate=0.002 / factor) == pytest.approx(base / factor)
    wider = {**CASE, "chamber_bore": 0.06 * factor}
    assert LAG(**wider, viscosity=viscosity, level_rate=0.0001) < base


def test_standing_level_has_no_lag() -> None:
    assert LAG(**CASE, viscosity=0.05, level_rate=0.0) == 0.0


def test_time_constant_is_that_of_the_integrated_motion() -> None:
    tau = TIME_CONSTANT(**CASE, viscosity=0.2)
    h = immersion(0.28, 0.05, 0.2, 850.0)
    c, k = 3151.5390 * 0.2 * h, np.pi / 4 * 0.05**2 * 850 * 9.80665
    heavy = 0.28 + 850 * np.pi * 0.025**2 * h * 25**2 / (30**2 - 25**2)
    motion = solve_ivp(
        lambda t, y: [y[1], -(c * y[1] + k * y[0]) / heavy],
        (0, tau),
        [0.01, -0.01 * k / c],
        rtol=1e-8,
        atol=1e-12,
        method="Radau",
    )
    assert motion.y[0, -1] == pytest.approx(0.01 / np.e, rel=0.01)
    # and lag = rate x time constant, for a float that moves through liquid at rest
    assert LAG(**CASE, viscosity=0.2, level_rate=0.003) == pytest.approx(0.003 * tau)


def test_time_constant_is_refused_where_the_float_swings() -> None:
    with reasons() as why:
        tau = TIME_CONSTANT(**CASE, viscosity=np.array([0.001, 0.2]))
    assert list(np.isnan(tau)) == [True, False]
    assert "swings" in why.at(tau)[0]
    assert why.at(tau)[1] == ""


def test_friction_band_is_force_over_stiffness() -> None:
    # 0.1 N on a 50 mm float in 850 kg/m3: the liquid column of that weight
    band = response.friction_band(Float(0.28, 0.05, 0.2), Fluids(850.0), Movement(drag_force=0.1))
    assert band * np.pi * 0.025**2 * 850 * 9.80665 == pytest.approx(0.1)
    # an interface with a small difference of density is soft
    soft = response.friction_band(Float(0.35, 0.05, 0.2), Fluids(1000.0, 800.0), Movement(drag_force=0.1))
    assert soft == pytest.approx(band * 850 / 200)


def test_friction_beyond_the_float_holds_it_fast() -> None:
    with reasons() as why:
        held = response.friction_band(
            Float(0.28, 0.05, 0.2), Fluids(850.0), Movement(drag_force=np.array([0.52, 0.53, 5.0]))
        )
    assert list(np.isnan(held)) == [False, True, True]  # 0.5275 N push it under
    assert held[0] <= 0.2 - immersion(0.28, 0.05, 0.2, 850.0)
    assert "does not follow" in why.at(held)[1]


def test_drag_never_shifts_the_float_beyond_itself() -> None:
    limit = VISCOSITY_LIMIT(**CASE, level_rate=0.01, lag=0.032)
    with reasons() as why:
        lags = LAG(**CASE, viscosity=np.array([limit, 0.1, 1.0]), level_rate=0.01)
        none = VISCOSITY_LIMIT(**CASE, level_rate=0.01, lag=0.1)
        ahead = LEAD(**CASE, viscosity=np.array([0.5, 0.7]), level_rate=0.01)
    assert lags[0] == pytest.approx(0.032)
    assert np.isnan([*lags[1:], none]).all()
    assert "draws the float under" in why.at(lags)[1]
    assert list(np.isnan(ahead)) == [False, True]
    assert ahead[0] <= 0.2 - immersion(0.28, 0.05, 0.2, 850.0)
    light = {**CASE, "mass": 0.02}
    out = LEAD(**light, viscosity=1.0, level_rate=0.05)
    assert np.isnan(out)


def test_reynolds_number_counts_the_flow_in_the_gap() -> None:
    # mean velocity in the gap relative to the float, by the volume that the float displaces
    u = 0.01 * 0.025**2 / (0.03**2 - 0.025**2) + 0.01
    assert response.gap_reynolds(0.05, 0.06, 850.0, 0.001, 0.01) == pytest.approx(850 * u * 0.01 / 0.001)


def test_limit_of_laminar_flow_is_where_it_is_said() -> None:
    rate = response.REYNOLDS_LIMIT / response.gap_reynolds(0.05, 0.06, 850.0, 0.001, 1.0)
    with reasons() as why:
        lags = LAG(**CASE, viscosity=0.001, level_rate=rate * np.array([0.999, 1.001]))
    assert list(np.isnan(lags)) == [False, True]
    assert "not laminar" in why.at(lags)[1]


def test_velocity_of_a_falling_cylinder() -> None:
    # weight less buoyancy against drag: a plug of 7850 kg/m3, r 24.5 mm, falls in 1.412 Pa s at 1260 kg/m3
    weight = (7850 - 1260) * 9.80665 * np.pi * 0.0245**2
    assert weight / (1.412 * response.drag_coefficient(0.049, 0.054)) == pytest.approx(4.184352e-3, rel=2e-7)


def test_shear_alone_is_below_the_drag() -> None:
    # without the return flow a thin film drags 2 pi mu v/ln(R/r) (Couette)
    assert response.drag_coefficient(0.05, 0.06) > 2 * np.pi / np.log(1.2)
    assert quad(lambda s: 1 / s, 0.025, 0.03)[0] == pytest.approx(np.log(1.2))


def test_reasons() -> None:
    fluids = Fluids(np.array([850.0, 700.0, 850.0]), viscosity=0.05)
    with reasons() as why:
        out = response.lag(
            Float(0.28, 0.05, 0.2), fluids, Chamber(np.array([0.05, 0.06, 0.06])), Movement(0.01)
        )
    texts = why.at(out)
    assert "chamber_bore must be above" in texts[0]
    assert "sinks" in texts[1]
    assert texts[2] == ""


def test_array_equals_scalars() -> None:
    viscosities, bores = np.array([[0.01], [0.1]]), np.array([0.055, 0.06])
    table = LAG(**CASE | {"chamber_bore": bores}, viscosity=viscosities, level_rate=0.001)
    for i in range(2):
        for j in range(2):
            case = CASE | {"chamber_bore": bores[j]}
            one = LAG(**case, viscosity=viscosities[i, 0], level_rate=0.001)
            assert table[i, j] == pytest.approx(one, rel=1e-14)
