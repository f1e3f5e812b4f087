"""Choice, sizing and audit decide on the worst case, whichever it is: the lightest liquid, the heaviest,
the hottest, or movement alone.

The float is a cylinder of 50 x 200 mm and 280 g, so that every number follows from a line of statics. The
rounding of a listed float is 0.5 g, 0.05 mm and 0.5 mm, each over sqrt(3), and counts twice.
"""

from __future__ import annotations

from dataclasses import replace
from math import hypot, log, pi, sqrt, tanh

import pytest

from tests.test_rule_limits import AREA, OIL, fires, mass_at
from xlfuncs.gauge.choice import Condition, Duty, choose, float_list
from xlfuncs.gauge.sizing import Body, Sized, size_float

G = 9.80665
PLANE = 0.1678


def depth(density: float, mass: float = 0.28) -> float:
    return mass / (density * AREA)


def rounding(density: float, mass: float = 0.28) -> float:
    """Twice the standard uncertainty of a listed float."""
    h = depth(density, mass)
    parts = (0.5e-3 / mass * h, 2 * 0.05e-3 / 0.05 * h, 0.5e-3)
    return 2 * hypot(*(part / sqrt(3) for part in parts))


def ahead(density: float, viscosity: float, bore: float, rate: float, mass: float = 0.28) -> float:
    """By how much a liquid that moves with the level pushes the float: annular flow."""
    x = log(bore / 0.05)
    push = 2 * pi * tanh(x) / (x - tanh(x)) * viscosity * rate * depth(density, mass)
    return push / (density * G * AREA)


def status(conditions: tuple[Condition, ...], tolerance: float, **duty: float) -> str:
    one = {"part": ["A"], "mass": [0.28], "diameter": [0.05], "length": [0.2], "magnet_height": [PLANE]}
    more = {"ends": ["flat"], "material": ["316L"], "max_temperature": [800.0]}
    judged = Duty(conditions, tolerance=tolerance, minimum_reserve=0.02, **duty)  # type: ignore[arg-type]
    return choose(float_list(one | more), judged)[0].status


CASES = (Condition("start", 850.0), Condition("normal", 840.0), Condition("other", 850.0))


def worst(*densities: float) -> float:
    return max(abs(PLANE - depth(rho)) + rounding(rho) for rho in densities)


@pytest.mark.parametrize("place", [0, 1, 2])
@pytest.mark.parametrize("density", [790.0, 920.0])
def test_a_part_fits_only_if_it_does_at_the_worst_density(place: int, density: float) -> None:
    cases = (*CASES[:place], Condition("bad", density), *CASES[place:])
    at = worst(density, 840.0, 850.0)
    assert at == worst(density) > worst(840.0, 850.0) + 0.003
    assert status(cases, at + 1e-6) == "fits"
    assert status(cases, at - 1e-6) == "rejected"
    assert status(CASES, at - 1e-6) == "fits"


def test_a_part_fits_only_if_it_does_when_hot() -> None:
    # 17.0e-6 from 20 to 300 degC: a wider float rides higher, its magnet sits higher
    by = 1 + 17.0e-6 * 280
    grown = PLANE * by - depth(850.0) / by**2
    at = grown + rounding(850.0)
    assert at > worst(850.0) + 0.002
    for temperature, tolerance, verdict in (
        (573.15, at + 1e-6, "fits"),
        (573.15, at - 1e-6, "rejected"),
        (293.15, at - 1e-6, "fits"),
    ):
        assert status((CASES[0],), tolerance, design_temperature=temperature) == verdict


# 12.95e-6 from 20 to -196 degC: a narrower float rides deeper, its magnet sits lower (fit of NIST for 304)
SHRUNK = 1 - 12.95e-6 * 216


def test_a_part_fits_only_if_it_does_when_cold() -> None:
    shrunk = PLANE * SHRUNK - depth(850.0) / SHRUNK**2
    at = -shrunk + rounding(850.0)
    assert at > worst(850.0) + 0.001
    for temperature, tolerance, verdict in (
        (77.15, at + 1e-6, "fits"),
        (77.15, at - 1e-6, "rejected"),
        (293.15, at - 1e-6, "fits"),
    ):
        assert status((CASES[0],), tolerance, lowest_temperature=temperature) == verdict
        hot = {"design_temperature": 373.15, "lowest_temperature": temperature}
        assert status((CASES[0],), tolerance, **hot) == verdict


def test_a_part_fits_only_if_it_does_while_the_level_moves() -> None:
    thick = replace(CASES[0], viscosity=0.1)
    at = PLANE - depth(850.0) + rounding(850.0) + ahead(850.0, 0.1, 0.06, 0.01)
    assert at > worst(850.0) + 0.005
    assert status((thick,), at + 1e-6, chamber_bore=0.06, level_rate=0.01) == "fits"
    assert status((thick,), at - 1e-6, chamber_bore=0.06, level_rate=0.01) == "rejected"
    assert status((thick,), at - 1e-6, chamber_bore=0.06, level_rate=0.009) == "fits"


# --- sizing: what is proposed keeps the tolerance in every case, with its mass off either way -----------


def off(found: Sized, density: float, viscosity: float = 0.0) -> float:
    """The worst reading of a proposed float with flat ends."""
    worst_of = []
    for mass in (found.mass * 0.98, found.mass, found.mass * 1.02):
        moved = ahead(density, viscosity, 0.06, 0.01, mass) if viscosity else 0.0
        shift = abs(found.magnet_height - depth(density, mass)) + rounding(density, mass) + moved
        assert depth(density, mass) < found.length
        worst_of.append(shift)
    return max(worst_of)


BODY = Body(0.05, "316L", 0.6, "flat", 0.02)
WARM = {"design_pressure": 1e5, "design_temperature": 293.15}


def sized(cases: tuple[Condition, ...], tolerance: float, **duty: float) -> Sized:
    found = size_float(Duty(cases, tolerance=tolerance, **WARM | duty), BODY)  # type: ignore[arg-type]
    assert not found.reason
    return found


@pytest.mark.parametrize("densities", [(850.0, 810.0), (810.0, 850.0), (850.0, 890.0)])
def test_a_proposed_float_keeps_the_tolerance_at_every_density(densities: tuple[float, ...]) -> None:
    found = sized(tuple(Condition(f"{rho}", rho) for rho in densities), 0.016)
    assert max(off(found, rho) for rho in densities) <= 0.016 + 1e-9


def test_a_proposed_float_keeps_the_tolerance_while_the_level_moves() -> None:
    thick, bore = (Condition("thick", 850.0, viscosity=0.05),), {"chamber_bore": 0.06, "level_rate": 0.01}
    least = off(sized(thick, 0.008, **bore), 850.0, 0.05)
    assert off(sized(thick, least + 1e-6, **bore), 850.0, 0.05) <= least + 1e-6
    assert size_float(Duty(thick, tolerance=least - 1e-6, **WARM, **bore), BODY).reason  # type: ignore[arg-type]
    assert sized((CASES[0],), least - 1e-6, **bore).length  # in a thin liquid it would do


def test_a_proposed_float_keeps_the_tolerance_when_cold() -> None:
    def cold(found: Sized) -> float:
        """The worst reading at -196 degC."""
        return max(
            abs(found.magnet_height * SHRUNK - depth(850.0, mass) / SHRUNK**2) + rounding(850.0, mass)
            for mass in (found.mass * 0.98, found.mass, found.mass * 1.02)
        )

    held = sized((CASES[0],), 0.008, lowest_temperature=77.15)
    least = cold(held)
    assert least > off(held, 850.0) + 0.0005
    assert sized((CASES[0],), least + 1e-6, lowest_temperature=77.15).length == held.length
    tight = Duty((CASES[0],), tolerance=least - 1e-6, lowest_temperature=77.15, **WARM)  # type: ignore[arg-type]
    assert size_float(tight, BODY).reason
    assert sized((CASES[0],), least - 1e-6).length  # at 20 degC it would do


def allowed() -> bool:
    """Whether a float is proposed as long as it does with its mass 2 % off, and no longer.

    2 %: common practice, no source.
    """
    least = off(sized((CASES[0],), 0.008), 850.0)
    tight = Duty((CASES[0],), tolerance=least - 1e-6, **WARM)  # type: ignore[arg-type]
    return not size_float(replace(tight, tolerance=least + 1e-6), BODY).reason and bool(
        size_float(tight, BODY).reason
    )


def test_a_mass_that_is_two_percent_off_is_reckoned_with() -> None:
    assert allowed()


# --- the rule -------------------------------------------------------------------------------------------

RULE = "worst-reading-exceeds-tolerance"
PLANE_OF_SOUND = 0.181
AT = PLANE_OF_SOUND * AREA
"""Mass over density of the sound float that reads true."""


CALM = OIL | {"operating_temperature": "20 degC", "viscosity": None, "float_mass": mass_at(0)}
CALM |= {"float_diameter": "50.0 mm"}
"""The sound float, which reads true at 880 kg/m3, in a list to 0.1 mm."""
MASS = AT * 880.0


@pytest.mark.parametrize(("densities", "sign"), [("880 to {} kg/m3", 1), ("{} to 880 kg/m3", -1)])
def test_the_audit_decides_at_the_worse_end_of_the_densities(densities: str, sign: int) -> None:
    limit = 880.0
    for _ in range(20):  # the rounding counts at the density that is sought
        limit = MASS / ((PLANE_OF_SOUND - sign * (0.010 - rounding(limit, MASS))) * AREA)
    inside, beyond = (densities.format(f"{limit + sign * step:.6f}") for step in (-0.01, 0.01))
    assert not fires(RULE, CALM | {"fluid_density": inside})
    assert fires(RULE, CALM | {"fluid_density": beyond})


def test_the_audit_decides_by_movement_alone() -> None:
    limit = (0.010 - rounding(880.0, MASS)) / ahead(880.0, 1.0, 0.06, 0.01, MASS)
    cells = CALM | {"chamber_bore": "60 mm", "level_rate": "10 mm/s"}
    assert not fires(RULE, cells | {"viscosity": f"{limit * 0.999e3:.6f} mPa.s"})
    assert fires(RULE, cells | {"viscosity": f"{limit * 1.001e3:.6f} mPa.s"})


def test_the_audit_decides_when_hot() -> None:
    # 316L at 300 degC: 17.0e-6 from 20 degC
    by = 1 + 17.0e-6 * 280
    cells = CALM | {"float_material": "316L", "operating_temperature": "300 degC"}
    for high, verdict in ((0.01 - 2e-5, False), (0.01 + 2e-5, True)):
        # the mass for which offset, growth and rounding make `high`
        deep = (PLANE_OF_SOUND * by + rounding(880.0, MASS) - high) * by**2
        fired = fires(RULE, cells | {"float_mass": f"{deep * 880.0 * AREA * 1e3:.9f} g"})
        assert bool(fired) == verdict
