"""Travel, stability, tilt, coupling and swings of whole gauges: statics, geometry, field of a dipole."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from xlfuncs.gauge import reasons
from xlfuncs.gauge.bounds import coupling, reach, standing, swings
from xlfuncs.gauge.model import Chamber, Float, Fluids, Gauge, Movement
from xlfuncs.gauge.stability import lowest_centre_of_gravity
from xlfuncs.gauge.worst import worst_reading

_HANGING = Float(0.28, 0.05, 0.2, 0.17, metal="316L")
_ROOM = Chamber(0.06, "316L", 1.0, 0.15, 0.02, 0.02, 0.2)


def _depth(density: float) -> float:
    """Of a cylinder of 50 mm and 280 g."""
    return 0.28 / (density * math.pi / 4 * 0.05**2)


def test_the_lightest_liquid_decides_how_low_the_float_goes_and_the_heaviest_how_high() -> None:
    for order in (1, -1):
        cases = (Fluids(850.0), Fluids(780.0), Fluids(800.0))[::order]
        found = reach(Gauge(_HANGING, cases, _ROOM))
        assert found.low == pytest.approx(_depth(780.0) - 0.15, abs=1e-12)
        assert found.high == pytest.approx(1.02 - 0.2 + _depth(850.0), abs=1e-12)
        assert (cases[found.low_case].lower_density, cases[found.high_case].lower_density) == (780, 850)


def test_with_room_at_both_ends_all_of_the_range_is_reached() -> None:
    roomy = Gauge(_HANGING, (Fluids(850.0),), Chamber(0.06, distance=1.0, below=0.17, above=0.04))
    low, high = reach(roomy)[:2]
    assert low == 0.0 and high == 1.0


def test_levels_of_a_vessel_with_lighter_liquid_are_reached_by_the_balance_of_columns() -> None:
    # a chamber's 17.768 mm of 850 stand for 18.879 of 800; its 987.768 for more than the vessel has
    light = Gauge(_HANGING, (Fluids(850.0, vessel_density=800.0),), _ROOM)
    assert reach(light).low == pytest.approx((_depth(850.0) - 0.15) * 850 / 800, abs=1e-12)
    assert reach(light).high == 1.0


def test_a_float_of_even_weight_is_top_heavy_in_the_worst_case() -> None:
    # T/2 + D^2/(16 T) - L/2 of a cylinder
    found = standing(Gauge(replace(_HANGING, centre_of_gravity=0.1), (Fluids(850.0), Fluids(780.0))))
    lowest = min(_depth(rho) / 2 + 0.05**2 / 16 / _depth(rho) for rho in (850.0, 780.0))
    assert found.metacentre == pytest.approx(lowest, abs=1e-12)
    assert found.height == pytest.approx(lowest - 0.1, abs=1e-12)


def test_ballast_cannot_bring_the_centre_of_gravity_below_that_of_shell_and_magnets() -> None:
    # 200 g of shell half-way up 200 mm, 50 g of magnets at 170 mm, 30 g on the bottom
    assert lowest_centre_of_gravity(0.28, 0.2, 0.2, 0.17, 0.05) == pytest.approx(28.5e-3 / 0.28, abs=1e-12)
    with reasons() as found:
        assert np.isnan(lowest_centre_of_gravity(0.28, 0.2, 0.24, 0.17, 0.05))
    assert "weigh more than the float" in found.at(0.0)[()]
    assert lowest_centre_of_gravity(0.25, 0.2, 0.2, 0.17, 0.05) == pytest.approx(28.5e-3 / 0.25)


def test_a_leaning_float_brings_magnet_and_surface_together() -> None:
    lean = math.radians(2.88415078952)  # rims at the wall of a bore of 60 mm, as published
    case = (Fluids(780.0),)
    plain = 0.17 - _depth(780.0)
    shares = worst_reading(Gauge(_HANGING, case, _ROOM), 0.5).high_shares
    assert shares["tilt"] == pytest.approx(plain * (math.cos(lean) - 1), rel=1e-6)
    upright = replace(_HANGING, centre_of_gravity=0.05)
    assert worst_reading(Gauge(upright, case, _ROOM), 0.5).high_shares["tilt"] == 0
    leaning = replace(_HANGING, centre_of_gravity=0.1)
    assert worst_reading(Gauge(leaning, case, _ROOM), 0.5).high_shares["tilt"] == shares["tilt"]


def test_a_short_float_in_a_wide_bore_lies_down_where_it_is_top_heavy() -> None:
    short = Float(0.07, 0.05, 0.05, 0.04, centre_of_gravity=0.03)
    wide = Gauge(short, (Fluids(850.0),), Chamber(0.08))
    with reasons() as found:
        assert np.isnan(worst_reading(wide, 0.5).low)
    assert "lies down" in found.at(0.0)[()]
    unknown = worst_reading(replace(wide, float=replace(short, centre_of_gravity=np.nan)), 0.5)
    assert unknown.low_shares["tilt"] == 0
    assert "tilt: centre_of_gravity" in unknown.missing


_MAGNET = replace(_HANGING, flux=4.0, flux_distance=0.030, magnetised="across")


@pytest.mark.parametrize(
    ("distance", "time", "rate", "turns"),
    [
        (0.0426, 0.02, 0.01, True),  # 47.622 mm less 5 mm to the far wall of the bore
        (0.0427, 0.02, 0.01, False),
        (0.030, 0.02, 2.04, True),  # 2.0479 m/s at 35 mm
        (0.030, 0.02, 2.06, False),
    ],
)
def test_the_magnet_turns_the_indicator_as_far_and_as_fast_as_its_field_reaches(
    distance: float, time: float, rate: float, turns: bool
) -> None:
    chamber = replace(_ROOM, indicator_distance=distance, needed_flux=1.0, turning_time=time)
    gauge = Gauge(_MAGNET, (Fluids(850.0),), chamber, Movement(rate))
    with reasons() as found:
        assert np.isnan(worst_reading(gauge, 0.5).low) != turns
    assert ("indicator" in str(found.at(0.0)[()])) != turns
    assert coupling(gauge).largest_gap == pytest.approx(0.0426220, abs=1e-7)


def test_a_coupling_that_is_not_stated_is_said_to_be_unknown() -> None:
    found = worst_reading(Gauge(_HANGING, (Fluids(850.0),), _ROOM), 0.5)
    assert "coupling of magnet and indicator: flux" in found.missing
    assert np.isnan(coupling(Gauge(_HANGING, (Fluids(850.0),), _ROOM)).flux)
    assert not np.isnan(found.low)


def test_float_and_column_swing_as_spring_and_pendulum() -> None:
    found = swings(Gauge(_HANGING, (Fluids(850.0),), _ROOM), 0.5)
    assert found.column == pytest.approx(2 * math.pi * math.sqrt((0.5 + 0.2 * 9) / 9.80665), abs=1e-9)
    # the float down by x, the liquid beside it up by x s/(S - s): kinetic and potential energy of both
    s, gap = 0.05**2, 0.06**2 - 0.05**2
    liquid = 850 * math.pi / 4 * gap * _depth(850.0) * (s / gap) ** 2
    k = 850 * 9.80665 * math.pi / 4 * (s + gap * (s / gap) ** 2)
    assert found.float == pytest.approx(2 * math.pi * math.sqrt((0.28 + liquid) / k), abs=1e-9)
    assert found.float == pytest.approx(2 * math.pi * math.sqrt(_depth(850.0) / 9.80665), abs=1e-9)


def test_a_cold_float_and_a_cold_scale_shrink() -> None:
    # 0.28 % of stainless steel from 20 to -196 degC
    cold = Fluids(850.0, temperature=77.15)
    change = 0.17 * (1 - 0.0028) - _depth(850.0) / (1 - 0.0028) ** 2 - (0.17 - _depth(850.0))
    float_ = worst_reading(Gauge(_HANGING, (cold,)), 1.0).low_shares["heat"]
    assert float_ == pytest.approx(change, abs=1e-5)
    both = worst_reading(Gauge(_HANGING, (cold,), Chamber(metal="316L")), 1.0).low_shares["heat"]
    assert both - float_ == pytest.approx(0.0028 * (1 + 0.17 - _depth(850.0)), abs=1e-5)
