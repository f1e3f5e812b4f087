"""What lets a float follow: how thin the liquid, how wide the chamber, how slow the level has to be.

A float of 50 x 250 mm with flat ends, 181 mm deep in 880 kg/m3; annular Stokes flow in a closed end holds it
back by F = 2 pi mu h v/(x - tanh x), x = ln(D/d).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.remedy_rows import THICK, Row, gauges_from, mended, put
from xlfuncs.audit.remedies.following import Moving
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge.viscosity import liquid_viscosity

AREA = math.pi / 4 * 0.05**2


def behind(viscosity: float, bore: float, rate: float) -> float:
    """Lag [m]."""
    x = math.log(bore / 0.05)
    return 2 * math.pi * viscosity * 0.181 * rate / (x - math.tanh(x)) / (AREA * 880 * 9.80665)


def viscosity_for(lag: float, bore: float = 0.060, rate: float = 0.005) -> float:
    """Viscosity [mPa s] at which it lags so many metres."""
    return 1e3 * lag / behind(1.0, bore, rate)


def moving(row: Row | None = None) -> Moving:
    return Moving(gauges_from(row or {}, base=THICK), Settings(), 0)


def option(remedy: Remedy, name: str) -> Option | None:
    return next((one for one in remedy.options if one.name == name), None)


def test_it_lags_as_slow_flow_in_a_closed_gap_holds_it_back() -> None:
    assert moving().lag() == pytest.approx(behind(0.150, 0.060, 0.005), rel=1e-3)
    assert moving().lag(viscosity=0.02) == pytest.approx(behind(0.020, 0.060, 0.005), rel=1e-3)
    assert moving().lag(chamber_bore=0.08) == pytest.approx(behind(0.150, 0.080, 0.005), rel=1e-3)


def test_no_lag_is_computed_where_the_flow_is_not_laminar() -> None:
    """Gap of 50 mm, 0.1 mPa.s and 100 mm/s: a Reynolds number of tens of thousands."""
    fast = {"chamber_bore": 0.150, "viscosity": 1e-4, "level_rate": 0.1}
    assert np.isnan(moving().lag(**fast)) and not moving().enough(**fast)
    assert moving().lag(chamber_bore=0.150, viscosity=0.15, level_rate=0.1) > 0


@pytest.mark.parametrize(("share", "enough"), [(0.97, True), (1.03, False)])
def test_it_follows_where_it_lags_within_the_tolerance(share: float, enough: bool) -> None:
    limit = viscosity_for(0.010) / 1e3
    assert moving().enough(viscosity=limit * share) is enough


def test_within_the_tolerance_is_what_it_reads_as_well_but_for_what_it_reads_in_a_thin_liquid() -> None:
    """It reads 9 mm low, and is 6 mm behind; or 15 mm low in any liquid, which is another finding."""
    behind_by = {"viscosity": viscosity_for(0.006) / 1e3}
    assert moving().enough(**behind_by)
    deep = moving({"magnet_height": "172.0 mm"})
    assert not deep.enough(**behind_by) and deep.enough(viscosity=viscosity_for(0.001) / 1e3)
    assert not moving({"magnet_height": "190.0 mm"}).enough(**behind_by)  # ahead of a falling level
    assert moving({"magnet_height": "187.0 mm"}).enough(**behind_by)  # high: being behind brings it nearer
    assert moving({"magnet_height": "166.0 mm"}).enough(**behind_by)
    assert moving({"magnet_height": None}).enough(**behind_by)


@pytest.mark.parametrize(("lag", "found"), [(95.0, True), (99.0, True), (101.0, False), (10000.0, False)])
def test_nothing_is_looked_for_below_a_ten_thousandth_of_the_viscosity(lag: float, found: bool) -> None:
    """It may lag 10 mm: in a liquid that is ten thousand times thinner it lags 9.5, 9.9, 10.1 or 1000 mm."""
    thick = viscosity_for(lag)
    limit = moving({"viscosity": f"{thick:.6g} mPa.s"}).most("viscosity")
    assert np.isfinite(limit) == found
    if found:
        assert 1e3 * limit == pytest.approx(viscosity_for(0.010), rel=2e-2)


@pytest.mark.parametrize(("bore", "found"), [(150, True), (149, True), (151, False), (158, False)])
def test_a_chamber_is_looked_for_up_to_a_hundred_millimetres_wider(bore: int, found: bool) -> None:
    """It is just wide enough from so many millimetres on."""
    thick = viscosity_for(0.010, bore / 1e3 - 2e-4)
    narrowest = moving({"viscosity": f"{thick:.6g} mPa.s"}).narrowest()
    assert np.isfinite(narrowest) == found
    if found:
        assert narrowest == pytest.approx(bore / 1e3)


def test_only_a_bore_wider_than_the_present_one_is_proposed() -> None:
    """The float keeps up in all of them."""
    for bore, wider in (("59.5 mm", 0.060), ("60 mm", 0.061), ("80.5 mm", 0.081)):
        follows = moving({"viscosity": "1 mPa.s", "chamber_bore": bore})
        assert follows.narrowest() == pytest.approx(wider)


@pytest.mark.parametrize(("outside", "larger"), [(2.05, False), (1.95, True), (None, False)])
def test_a_bore_that_leaves_the_present_chamber_a_millimetre_of_wall_needs_no_other(
    outside: float | None, larger: bool
) -> None:
    bore = 1e3 * moving().narrowest()
    across = None if outside is None else f"{bore + outside:.2f} mm"
    remedy = mended("float-lags", gauges_from({"chamber_diameter": across}, base=THICK))
    found = option(remedy, "chamber_bore")
    assert found is not None and put(found) == {"chamber_bore": f"{bore:.0f} mm"}
    assert ("a larger chamber" in found.text) is larger


TWO: Row = {"viscosity": "20 to 150 mPa.s", "operating_temperature": "30 to 80 degC"}


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ({}, True),
        ({"design_temperature": "100 degC"}, True),
        ({"design_temperature": "40 degC"}, False),
        ({"operating_temperature": "80 degC"}, False),  # one temperature
        ({"viscosity": "150 mPa.s"}, False),  # one viscosity
    ],
)
def test_two_viscosities_tell_the_temperature_at_which_it_is_thin_enough(row: Row, told: bool) -> None:
    remedy = mended("float-lags", gauges_from(TWO | row, base=THICK))
    assert (option(remedy, "maintain_temperature") is not None) is told


def test_the_rate_that_is_taken_where_none_is_stated_is_said() -> None:
    for stated, said in (("5 mm/s", False), (None, True)):
        found = option(mended("float-lags", gauges_from({"level_rate": stated}, base=THICK)), "level_rate")
        assert found is not None and ("none is stated" in found.text) is said
        assert behind(0.150, 0.060, found.numbers["level_rate_mm_s"] / 1e3) == pytest.approx(0.010, rel=1e-3)


@pytest.mark.parametrize(("warmer", "found"), [(299.0, True), (305.0, False), (250.0, True)])
def test_a_pure_liquid_is_looked_at_up_to_three_hundred_kelvin_warmer(warmer: float, found: bool) -> None:
    """Dodecane from -8 degC on, by the published correlation of its viscosity."""
    limit = float(np.asarray(liquid_viscosity("Dodecane", np.array([265.15 + warmer - 0.3])))[0])
    settings = Settings(viscosity_limit_mpas=1e3 * limit)
    row: Row = {"fluid": "Dodecane", "operating_temperature": "-8 degC", "viscosity": "3 mPa.s"}
    gauges = gauges_from(row | {"float_mass": None, "tracing": "none"}, base=THICK)
    remedy = mended("viscosity-too-high", gauges, settings)
    warm = option(remedy, "maintain_temperature")
    assert (warm is not None) is found
    if warm is not None:
        assert warm.numbers["maintain_temperature_degC"] == pytest.approx(warmer - 8, abs=0.6)
