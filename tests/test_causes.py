"""Which gauge can have a cause, between which values it is sought, and what its state does."""

from __future__ import annotations

import math

import numpy as np
import pytest

from xlfuncs.gauge.causes import CAUSES, Cause
from xlfuncs.gauge.faulty import LEAST_GAS, State, _behind_gas
from xlfuncs.gauge.readings import Case, Gauge, Readings

NAMED = {cause.name: cause for cause in CAUSES}
AREA = math.pi / 4 * 0.05**2
DEPTH = 0.280 / (850 * AREA)


def case(visible_range: float = 1.0, **more: float) -> Case:
    gauge = Gauge(0.280, 0.05, 0.2, DEPTH, visible_range=visible_range, **more)  # type: ignore[arg-type]
    level = np.array([0.05, 0.1])
    return Case(gauge, Readings(np.full(2, 850.0), level=level, indicated=level + 0.02))


def of_part(part: str) -> list[Cause]:
    return [cause for cause in CAUSES if cause.part == part and not cause.service]


def test_a_transmitter_is_doubted_where_its_range_is_stated() -> None:
    assert len(of_part("transmitter")) > 3
    for cause in of_part("transmitter"):
        assert cause.concerns(case(lrv=0.0, urv=1.0))
        assert not cause.concerns(case())
        assert not cause.concerns(case(lrv=1.0, urv=1.0))


def test_a_switch_is_doubted_where_its_set_point_is_stated() -> None:
    assert of_part("switch")
    for cause in of_part("switch"):
        assert cause.concerns(case(set_point=0.5))
        assert not cause.concerns(case())


def test_any_other_part_is_doubted_whatever_the_gauge_has() -> None:
    for part in ("float", "chamber", "indicator"):
        assert of_part(part)
        assert all(cause.concerns(case()) for cause in of_part(part))


def test_a_clean_spare_float_takes_the_causes_of_the_float_away() -> None:
    assert NAMED["float heavier (deposit, or liquid inside)"].in_float
    assert not NAMED["foreign magnet at the indicator"].in_float


@pytest.mark.parametrize("visible_range", [1.0, 0.04])
@pytest.mark.parametrize("name", ["foreign magnet at the indicator", "indicator elements dead in part"])
def test_a_dead_part_is_sought_over_half_of_the_range_or_30_mm(visible_range: float, name: str) -> None:
    whole = case(visible_range)
    found = NAMED[name].spans(whole)[1]
    assert list(found) == pytest.approx([0.02, max(0.5 * whole.top, 0.03)])


@pytest.mark.parametrize("room", [0.5 * LEAST_GAS, 0.99 * LEAST_GAS, 2 * LEAST_GAS])
def test_a_chamber_shuts_in_some_gas_however_high_its_level_is_held(room: float) -> None:
    # Boyle's law and both columns, half of the vessel's movement at first: x^2 + d x - g^2 = 0 for the gas x
    # that is left of g when the vessel has risen by d; g is no less than 50 mm
    whole, gas, rise = case(), max(room, 0.05), 0.04
    held = whole.top - room
    level, slope = _behind_gas(whole, State(trapped=held, compliance=0.5), np.array([held + rise]))
    left = (math.sqrt(rise**2 + 4 * gas**2) - rise) / 2
    assert level[0] - held == pytest.approx(gas - left, rel=1e-9)
    assert slope[0] == pytest.approx(left / math.sqrt(rise**2 + 4 * gas**2), rel=1e-9)
