"""The operating model: every effect, its limits, and their sum."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from xlfuncs.audit.gauges import stated_shape
from xlfuncs.gauge import Array, reasons, response
from xlfuncs.gauge.capillary import capillary_band, water_surface_tension
from xlfuncs.gauge.chamber import chamber_level
from xlfuncs.gauge.density import gas_density
from xlfuncs.gauge.floats import ALL_ENDS, immersed_volume, immersion, reading_offset, volume
from xlfuncs.gauge.hot import corroded, growth, hot_length, surface
from xlfuncs.gauge.layers import interface_offset, layered_immersion
from xlfuncs.gauge.model import Chamber, Float, Fluids, Gauge, Layer, Movement, Spread
from xlfuncs.gauge.nozzle import friction_factor, nozzle_lag
from xlfuncs.gauge.stability import column_period, float_period, greatest_tilt, metacentric_height
from xlfuncs.gauge.worst import EFFECTS, worst_reading
from xlfuncs.worksheet import call

FLOAT = Float(0.28, 0.05, 0.2, 0.168)
OIL = Fluids(850.0, viscosity=0.02)
GAUGE = Gauge(
    FLOAT,
    (OIL, replace(OIL, lower_density=830.0), replace(OIL, lower_density=870.0)),
    Chamber(bore=0.06, nozzle_bore=0.024, nozzle_length=0.2),
    Movement(0.01, 0.05),
    Spread(0.001, 0.0001, 0.0005, 2.0),
)


def why(gauge: Gauge, level: float = 0.5) -> str:
    with reasons() as found:
        result = worst_reading(gauge, level)
    assert np.isnan(result.low) or np.isnan(result.high)
    return str(found.at(result.low))


# --- the sum ----------------------------------------------------------------------------------------


def test_shares_sum_to_the_reading() -> None:
    found = worst_reading(GAUGE, 0.5)
    assert 0.5 + sum(found.low_shares.values()) == pytest.approx(found.low, abs=1e-15)
    assert 0.5 + sum(found.high_shares.values()) == pytest.approx(found.high, abs=1e-15)
    assert set(found.low_shares) == set(EFFECTS)
    assert found.low_case == 1  # the lightest liquid reads lowest
    assert found.high_case == 2


def test_a_part_that_fits_by_each_effect_does_not_fit_by_their_sum() -> None:
    # an offset within 10 mm and a movement within 10 mm are together beyond
    gauge = Gauge(
        replace(FLOAT, magnet_height=0.1775),
        (Fluids(850.0, viscosity=0.15),),
        Chamber(bore=0.06),
        Movement(0.01),
    )
    found = worst_reading(gauge, 0.5)
    assert found.high_shares["offset"] < 0.010
    assert found.high_shares["movement"] < 0.010
    assert found.high - 0.5 > 0.010


def test_nothing_but_the_offset_where_nothing_else_is_stated() -> None:
    found = worst_reading(Gauge(FLOAT, (Fluids(850.0),)), 0.5)
    assert found.low == found.high == 0.5 + reading_offset(0.28, 0.05, 0.2, 0.168, 850.0)
    assert "heat: temperature" in found.missing


@settings(max_examples=40, deadline=None)
@given(
    st.floats(780, 1000),
    st.floats(0, 0.2),
    st.floats(0.001, 0.05),
    st.floats(0.001, 0.02),
    st.floats(0.0, 0.003),
)
def test_more_of_any_effect_widens_the_limits(
    density: float, force: float, viscosity: float, rate: float, u_mass: float
) -> None:
    calm = Gauge(FLOAT, (Fluids(density, viscosity=viscosity),), Chamber(bore=0.06), Movement(0.0, 0.0))
    rough = replace(calm, movement=Movement(rate, force), spread=Spread(u_mass))
    with reasons():
        one, other = worst_reading(calm, 0.5), worst_reading(rough, 0.5)
    if not np.isnan(other.low):
        assert other.low <= one.low
        assert other.high >= one.high


def test_columns_are_scalars_side_by_side() -> None:
    masses = np.array([0.26, 0.28, 0.40])
    many = replace(GAUGE, float=replace(FLOAT, mass=masses))
    with reasons() as found:
        together = worst_reading(many, 0.5)
    assert list(np.isnan(together.low)) == [False, False, True]
    assert "sinks" in found.at(together.low)[2]
    for i in (0, 1):
        one = worst_reading(replace(GAUGE, float=replace(FLOAT, mass=masses[i])), 0.5)
        assert together.low[i] == pytest.approx(one.low, abs=1e-15)
        assert together.high_shares["movement"][i] == pytest.approx(one.high_shares["movement"], abs=1e-15)


# --- limits -----------------------------------------------------------------------------------------


def test_a_float_that_is_drawn_under_has_no_limits() -> None:
    thick = (Fluids(850.0, viscosity=2.0),)
    assert "draws the float under" in why(replace(GAUGE, cases=thick))
    assert "does not follow" in why(replace(GAUGE, movement=Movement(0.0, 5.0)))


def test_forces_that_are_borne_alone_can_draw_it_under_together() -> None:
    gauge = Gauge(FLOAT, (Fluids(850.0, viscosity=0.3),), Chamber(bore=0.06))
    for movement in (Movement(0.01), Movement(0.0, 0.4)):
        assert not np.isnan(worst_reading(replace(gauge, movement=movement), 0.5).low)
    assert "together can draw the float under" in why(replace(gauge, movement=Movement(0.01, 0.4)))


def test_a_float_on_its_stops_is_said() -> None:
    room = replace(GAUGE, chamber=Chamber(bore=0.06, distance=1.0, below=0.15, above=0.1))
    assert "rests on the bottom" in why(room, 0.01)
    assert "touches the top" in why(replace(room, chamber=replace(room.chamber, above=0.02)), 0.999)
    assert not np.isnan(worst_reading(room, 0.5).low)


def test_turbulent_flow_past_the_float_is_named_not_computed() -> None:
    fast = Gauge(FLOAT, (Fluids(850.0, viscosity=0.0001),), Chamber(bore=0.06), Movement(0.05))
    found = worst_reading(fast, 0.5)
    assert not np.isnan(found.low)
    assert any("not laminar" in text for text in found.missing)


# --- movement ---------------------------------------------------------------------------------------


def test_moving_liquid_pushes_the_float_ahead_and_the_nozzle_holds_the_chamber_back() -> None:
    ahead = response.lead(FLOAT, OIL, GAUGE.chamber, Movement(0.01))
    behind = nozzle_lag(GAUGE.chamber, OIL, Movement(0.01))
    one = Gauge(FLOAT, (OIL,), GAUGE.chamber, Movement(0.01))
    assert worst_reading(one, 0.5).high_shares["movement"] == pytest.approx(abs(ahead - behind), rel=1e-12)
    free = replace(one, chamber=Chamber(bore=0.06))
    assert worst_reading(free, 0.5).high_shares["movement"] == pytest.approx(ahead, rel=1e-12)


def test_a_narrow_nozzle_keeps_the_chamber_behind() -> None:
    # 24 mm x 200 mm, 200 mPa.s, 10 mm/s
    thick = Fluids(850.0, viscosity=0.2)
    assert nozzle_lag(GAUGE.chamber, thick, Movement(0.01)) == pytest.approx(0.017, abs=0.0002)
    assert nozzle_lag(GAUGE.chamber, thick, Movement(0.0)) == 0.0


def test_a_chamber_is_behind_its_vessel_by_no_more_than_it_holds() -> None:
    # 6 mm x 200 mm, 200 mPa.s, 1 mm/s: by 0.43 m, if the chamber were long enough
    narrow = Chamber(0.06, distance=1.0, nozzle_bore=0.006, nozzle_length=0.2)
    fluids, slow = Fluids(850.0, viscosity=0.2), Movement(0.001)
    behind = nozzle_lag(narrow, fluids, slow)
    ahead = response.lead(FLOAT, fluids, narrow, slow)
    partly = response.follow(FLOAT, fluids, narrow, slow, 0.1)
    assert 0.4 < behind < 0.5 and partly < 0 < ahead < 0.01
    for level, low, high in (
        (0.5, ahead - behind, behind - ahead),
        (0.1, partly - 0.1, behind - partly),  # nothing is left in the chamber while the level rises
        (0.9, ahead - behind, 0.1 - ahead),  # full to its upper connection while it falls
    ):
        found = worst_reading(Gauge(FLOAT, (fluids,), narrow, slow), level)
        assert found.low_shares["movement"] == pytest.approx(low, abs=1e-12)
        assert found.high_shares["movement"] == pytest.approx(high, abs=1e-12)


def test_friction_factor_is_64_over_re_in_laminar_flow() -> None:
    assert friction_factor(100.0) == pytest.approx(0.64, rel=1e-6)
    # Blasius 0.3164/Re^0.25 for a smooth pipe
    assert friction_factor(1e5) == pytest.approx(0.3164 / 1e5**0.25, rel=0.02)


@pytest.mark.parametrize(("distance", "longest"), [(None, 20.0), (1.5, 1.5)])
def test_no_chamber_is_behind_by_more_than_it_is_high(distance: float | None, longest: float) -> None:
    # laminar, no loss at the ends: 128 mu l Q/(pi d^4) over rho g, Q = pi/4 B^2 w
    def viscosity(head: float) -> float:
        return float(head * 850 * 9.80665 * 0.01**4 / (32 * 0.2 * 0.06**2 * 0.001))

    chamber = Chamber(0.06, nozzle_bore=0.01, nozzle_length=0.2, loss_coefficient=0.0)
    if distance is not None:
        chamber = replace(chamber, distance=distance)
    slow = Movement(0.001)
    below, above = (Fluids(850.0, viscosity=viscosity(share * longest)) for share in (0.999, 1.001))
    assert nozzle_lag(chamber, below, slow) == pytest.approx(0.999 * longest, rel=1e-6)
    with reasons() as why:
        none = nozzle_lag(chamber, above, slow)
    assert np.isnan(none) and "does not follow" in str(why.at(none))
    # the worst reading counts what the chamber holds, and no more
    found = worst_reading(Gauge(FLOAT, (replace(above, viscosity=0.2),), replace(chamber, distance=1.5)), 0.5)
    assert not np.isnan(found.low)


def test_a_valve_adds_its_loss() -> None:
    thin = Fluids(850.0, viscosity=0.002)

    def behind(loss: float) -> Array:
        return nozzle_lag(replace(GAUGE.chamber, loss_coefficient=loss), thin, Movement(0.02))

    open_, valve = (behind(k) for k in (np.nan, 4.5))
    speed = 0.02 * 2.5**2
    assert valve - open_ == pytest.approx(3 * speed**2 / 2 / 9.80665, rel=1e-12)
    assert behind(1.5) == open_


# --- layers and ends --------------------------------------------------------------------------------


@pytest.mark.parametrize("thickness", [None, 0.3, 1.0])
def test_a_float_lighter_than_the_upper_liquid_has_left_the_interface(thickness: float | None) -> None:
    """764 kg/m3 in the mean, in an upper liquid of 800 kg/m3: it floats on that."""
    light = Float(0.33, 0.05, 0.22, 0.09)
    with reasons() as why:
        offset = interface_offset(light, Fluids(1000.0, 800.0), upper_thickness=thickness)
    assert np.isnan(offset)
    assert ("hangs free" if thickness is None else "has left the interface") in str(why.at(offset))
    pierced = interface_offset(light, Fluids(1000.0, 800.0), upper_thickness=0.1)
    assert 0 < pierced < 0.01  # a thin upper liquid: it reaches into both


def test_a_thin_layer_lets_the_float_down() -> None:
    # water under 20 mm of oil under gas: an interface float reads far from where a deep oil would put it
    deep = interface_offset(Float(0.36, 0.05, 0.2, 0.1), Fluids(1000.0, 850.0))
    thin = interface_offset(Float(0.36, 0.05, 0.2, 0.1), Fluids(1000.0, 850.0), upper_thickness=0.02)
    assert deep == pytest.approx(reading_offset(0.36, 0.05, 0.2, 0.1, 1000.0, 850.0), abs=1e-12)
    area = np.pi * 0.025**2
    assert thin == pytest.approx(0.1 - (0.36 / area - 850 * 0.02) / 1000, abs=1e-12)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.0, 0.12), st.floats(0.0, 0.1), st.sampled_from(ALL_ENDS), st.floats(0.32, 0.36))
def test_layers_balance_by_quadrature(emulsion: float, oil: float, ends: str, mass: float) -> None:
    layers = (Layer(emulsion, 1000.0, 850.0), Layer(oil, 850.0))
    with reasons():
        depth = layered_immersion(Float(mass, 0.05, 0.25, ends=ends), Fluids(1000.0, 5.0, layers=layers))

    def density(z: float) -> float:
        if z < 0:
            return 1000.0
        if z < emulsion:
            return 1000.0 - 150.0 * z / emulsion
        return 850.0 if z < emulsion + oil else 5.0

    def displaced(x: float) -> float:
        step = 1e-6
        low, high = max(x - step, 0.0), min(x + step, 0.25)
        area = (immersed_volume(high, 0.05, 0.25, ends) - immersed_volume(low, 0.05, 0.25, ends)) / (
            high - low
        )
        return float(area) * density(x - float(depth))

    edges = [float(depth), float(depth) + emulsion, float(depth) + emulsion + oil]
    inside = [x for x in (*edges, 0.025, 0.225) if 1e-9 < x < 0.25 - 1e-9]
    total = quad(displaced, 0, 0.25, points=sorted(inside) or None, limit=400, epsabs=1e-9)[0]
    assert total == pytest.approx(mass, rel=2e-4)


def test_layers_that_are_out_of_order_are_refused() -> None:
    with reasons() as found:
        depth = layered_immersion(
            Float(0.3, 0.05, 0.2), Fluids(1000.0, layers=(Layer(0.02, 800.0), Layer(0.02, 850.0)))
        )
    assert "must fall from the lower fluid" in str(found.at(depth))


@pytest.mark.parametrize("ends", [*ALL_ENDS, "flat/hemispherical", "torispherical/flat"])
def test_immersion_inverts_the_volume_for_every_shape(ends: str) -> None:
    mass = np.linspace(0.002, 0.99, 23) * volume(0.05, 0.25, ends) * 850
    depth = immersion(mass, 0.05, 0.25, 850.0, 0.0, ends)
    np.testing.assert_allclose(immersed_volume(depth, 0.05, 0.25, ends) * 850, mass, rtol=1e-11)
    slope = np.diff(depth)
    assert (slope > 0).all()


def test_a_flat_bottom_under_a_round_top_is_not_two_round_ends() -> None:
    both = immersion(0.35, 0.05, 0.25, 850.0, 0.0, "hemispherical")
    one = immersion(0.35, 0.05, 0.25, 850.0, 0.0, "flat/hemispherical")
    assert both - one == pytest.approx(0.025 / 3, abs=1e-12)  # a third of the radius of the missing end


# --- heat, wear, gas --------------------------------------------------------------------------------


def test_a_hot_scale_shows_fewer_millimetres() -> None:
    hot = Gauge(FLOAT, (Fluids(850.0, temperature=573.15),), Chamber(metal="316L"))
    cold = Gauge(FLOAT, (Fluids(850.0),))
    change = worst_reading(hot, 0.5).low - worst_reading(cold, 0.5).low
    assert change == pytest.approx(-0.00238, abs=2e-5)
    assert hot_length(0.5, "316L", 573.15) - 0.5 == pytest.approx(0.00238, abs=1e-6)


def test_a_hot_float_displaces_more() -> None:
    metal = replace(FLOAT, metal="316L")
    hot = worst_reading(Gauge(metal, (Fluids(850.0, temperature=573.15),)), 0.5)
    by = growth("316L", 573.15)
    expected = 0.168 * by - immersion(0.28, 0.05 * by, 0.2 * by, 850.0)
    assert hot.low_shares["offset"] + hot.low_shares["heat"] == pytest.approx(expected, abs=1e-12)


def test_a_tenth_of_a_millimetre_of_wear_is_seen() -> None:
    worn = Gauge(replace(FLOAT, metal_density=7980.0, wall=0.001), (OIL,), spread=Spread(wear=1e-4))
    found = worst_reading(worn, 0.5)
    assert found.high_shares["wear"] == pytest.approx(0.0155, abs=0.0005)
    assert found.low_shares["wear"] == 0.0
    assert "nothing is left" in why(replace(worn, spread=Spread(wear=0.002)))


def test_surface_is_that_of_cylinder_and_sphere() -> None:
    assert surface(0.05, 0.2) == pytest.approx(np.pi * 0.05 * 0.2 + np.pi * 0.05**2 / 2, rel=1e-6)
    assert surface(0.05, 0.05, "hemispherical") == pytest.approx(np.pi * 0.05**2, rel=1e-6)


def test_worn_mass_is_the_lost_shell() -> None:
    new = Float(0.28, 0.05, 0.05, 0.04, "hemispherical", 0.001, metal_density=8000.0)
    worn = corroded(new, 1e-4)
    shell = np.pi / 6 * (0.05**3 - 0.0498**3)
    assert worn.mass == pytest.approx(0.28 - 8000 * shell, rel=1e-5)
    assert worn.diameter == pytest.approx(0.0498) and worn.length == pytest.approx(0.0498)
    assert worn.magnet_height == pytest.approx(0.0399) and worn.wall == pytest.approx(0.0009)


def test_blanket_gas_is_counted_not_refused() -> None:
    assert gas_density("nitrogen", 293.15, 50e5) == pytest.approx(58, abs=0.3)
    gas = gas_density(np.array(["air", "N2", "LPG"], dtype=object), 293.15, 10e5)
    assert gas[:2] == pytest.approx([11.9, 11.5], abs=0.1)
    assert np.isnan(gas[2])
    with reasons() as found:
        liquid = gas_density("propane", 293.15, 20e5)
    assert "is liquid" in str(found.at(liquid))


# --- stability, tilt, capillary, periods ------------------------------------------------------------


def _height(float_: Float, centre: float, lower: float, upper: float = 0.0) -> Array:
    return metacentric_height(replace(float_, centre_of_gravity=centre), Fluids(lower, upper))


def test_a_hollow_float_without_ballast_is_top_heavy() -> None:
    assert _height(FLOAT, 0.1, 850.0) < 0
    assert _height(FLOAT, 0.08, 850.0) > 0


def test_metacentre_of_a_sphere_is_its_centre() -> None:
    for mass in (0.1, 0.25, 0.4):
        height = _height(Float(mass, 0.1, 0.1, ends="hemispherical"), 0.02, 1000.0)
        assert height == pytest.approx(0.05 - 0.02, abs=1e-9)


def test_two_fluids_share_the_buoyancy() -> None:
    # as the gap of the densities goes to zero the metacentre falls to the middle of the float
    found = _height(Float(0.3927, 0.05, 0.2), 0.05, 1000.01, 999.99)
    assert found == pytest.approx(0.05, abs=1e-4)


def test_tilt_grows_with_the_gap() -> None:
    angle = greatest_tilt(0.05, 0.2, np.array([0.052, 0.06, 0.3]))
    assert (np.diff(angle) > 0).all()
    assert 0.05 * np.cos(angle[1]) + 0.2 * np.sin(angle[1]) == pytest.approx(0.06)
    assert angle[2] == pytest.approx(np.pi / 2)


def test_capillary_band_of_a_small_gap() -> None:
    assert capillary_band(0.05, 1000.0, 0.03, 950.0) == pytest.approx(0.0049, abs=5e-5)
    assert capillary_band(0.05, 1000.0, 0.03, 950.0, np.pi / 2) == pytest.approx(0.0, abs=1e-15)
    assert water_surface_tension(647.096) == 0.0


def test_a_contact_line_shifts_no_float_beyond_itself() -> None:
    def band(tension: float, *more: Any) -> tuple[float, str]:
        with reasons() as why:
            found = capillary_band(0.05, 1000.0, tension, 950.0, 0.0, *more)
        return float(found), str(why.at(found))

    most = 0.05 * 0.05 * 50 * 9.80665 / 4  # a band of one diameter
    assert band(0.999 * most)[0] == pytest.approx(0.999 * 0.05)
    assert np.isnan(band(1.001 * most)[0]) and "state mass and length" in band(1.001 * most)[1]
    area = np.pi * 0.025**2
    for share in (0.2, 0.8):  # of a float 0.3 m long that is below the interface: 60 mm, on either side
        mass = area * 0.3 * (950 + 50 * share)
        assert band(0.999 * most * 1.2, mass, 0.3)[0] == pytest.approx(0.999 * 0.06)
        assert "does not follow" in band(1.001 * most * 1.2, mass, 0.3)[1]
    # 5 mm of a hemispherical top are out of the water: its section there is less than the straight part's
    round_ = 1000 * float(immersed_volume(0.195, 0.05, 0.2, "hemispherical"))
    force = np.pi * 0.05 * 0.001
    more = capillary_band(0.05, 1000.0, 0.001, 0.0, 0.0, round_, 0.2, "hemispherical")
    under = 0.195 - float(immersion(round_ - force / 9.80665, 0.05, 0.2, 1000.0, 0.0, "hemispherical"))
    assert more == pytest.approx(max(under, _drawn(round_, force)), rel=1e-6)
    assert more > capillary_band(0.05, 1000.0, 0.001)
    assert "length is missing" in band(0.03, 0.38)[1]


def _drawn(mass: float, force: float) -> float:
    return float(immersion(mass + force / 9.80665, 0.05, 0.2, 1000.0, 0.0, "hemispherical")) - 0.195


def test_periods_need_no_damping() -> None:
    # in a bore of any width the gap cancels: what is moved more is pushed back more
    for bore in (0.051, 0.06, 1.0):
        period = float_period(FLOAT, OIL, Chamber(bore))
        assert period == pytest.approx(2 * np.pi * np.sqrt(immersion(0.28, 0.05, 0.2, 850.0) / 9.80665))
    assert column_period(0.5, 0.06, 0.06, 0.0) == pytest.approx(2 * np.pi * np.sqrt(0.5 / 9.80665))


# --- chamber and interface --------------------------------------------------------------------------


def test_both_columns_of_an_interface_count() -> None:
    # 200 kg/m3 of difference in the vessel, 150 in the chamber, whose oil is heavier
    found = chamber_level(0.5, 1000.0, 1000.0, 800.0, 850.0, 1.0)
    vessel, chamber = 1000 * 0.5 + 800 * 0.5, 1000 * found + 850 * (1 - found)
    assert vessel == pytest.approx(chamber)
    assert "connection_distance is missing" in call("LG_CHAMBER_LEVEL", 500, 1000, 1000, 800, 850).reason
    assert "overflows" in call("LG_CHAMBER_LEVEL", 990, 1000, 900, 5, 5, 1000).reason
    assert "below its lower connection" in call("LG_CHAMBER_LEVEL", 10, 1000, 1000, 800, 850, 1000).reason


# --- what the first release gave ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "arguments", "error"),
    [
        ("LG_VISCOSITY_LIMIT", (280, 50, 200, 850, 60, 10, 100), "#NUM!"),  # 310 mPa.s
        ("LG_FLOAT_LAG", (280, 50, 200, 850, 1000, 60, 10), "#NUM!"),  # 323 mm
        ("LG_FRICTION_BAND", (280, 50, 200, 850, 5), "#NUM!"),  # 305 mm
        ("LG_FLAT_END_PRESSURE", (50, 0.5, 25, "316L", 20), "#NUM!"),  # 1402 bar
        ("LG_VISCOSITY_AT", (-20, 40, 100, 100, 11.4), "#NUM!"),
        ("LG_FLOAT_COLLAPSE", (50, 0.5, 200, "276", 20), "#VALUE!"),
        ("LG_FLOAT_COLLAPSE", (50, 0.5, 200, "316L"), "#N/A"),  # 20 degC in silence
        ("LG_HEAT_LOSS", (60, -20, 60.33, 40, 40), "#VALUE!"),
        ("LG_FREEZE_TIME", (5, 0, -18, 60.3, 3.9, 25, 1000, 4190), "#VALUE!"),
        ("LG_DENSITY", ("water", -300), "#VALUE!"),
        ("LG_OIL_DENSITY_FROM_API", (0.85, 60, "crude"), "#VALUE!"),
        ("LG_IMMERSION", (280, 50, 200, 0.85), "#VALUE!"),
    ],
)
def test_an_impossible_number_is_refused(name: str, arguments: tuple[object, ...], error: str) -> None:
    assert call(name, *arguments).error == error


def test_the_worst_reading_in_a_cell() -> None:
    table = call(
        "LG_WORST_READING", 500, 280, 50, 200, 168, 830, 870, 0, 2, "flat", 0.05, 20, 60, 10, 24, 200
    )
    rows = {row[0]: row for row in table}
    assert sum(rows[name][1] for name in ("level", *EFFECTS)) == pytest.approx(rows["reading"][1])
    assert sum(rows[name][2] for name in ("level", *EFFECTS)) == pytest.approx(rows["reading"][2])
    refused = call("LG_WORST_READING", 500, 280, 50, 200, 168, 830, 870, 0, 2, "flat", 5)
    assert refused[1][1].error == "#NUM!"


def test_different_ends_of_a_float_in_a_list_are_told_apart() -> None:
    assert stated_shape("hemispherical top, flat bottom") == "flat/hemispherical"
    assert stated_shape("Halbkugel unten, oben flach") == "hemispherical/flat"
    assert stated_shape("Klöpperboden") == "torispherical"
    assert stated_shape("flat and hemispherical") is None  # which is where is not said
