"""The rule density-not-at-operating-conditions."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import (
    ATMOSPHERE,
    Gauges,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Outcome, Undecided, gauge_hit, rule, unexplained
from xlfuncs.audit.remedies import values
from xlfuncs.audit.rules.float_fluid.shared import density_field, liquid_at, of_level, one_fluid, statable
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import fluids as states
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import density, reasons

_BUTANE = {
    "operating_temperature": "40 degC",
    "operating_pressure": "5 barg",
    "viscosity": "0.14 mPa.s",
    "float_mass": "214 g",
    "float_design_density": "601 kg/m3",
}
"""n-Butane at 40 degC, saturated, has 554.9 kg/m3 (CoolProp); 601 is its density at 0 degC."""


@rule(
    "density-not-at-operating-conditions",
    Severity.WARNING,
    thresholds=("density_deviation", "boiling_margin_k"),
    calculate=states.reference_density,
    remedy=values.reference,
    late=True,
    needs=("reference_density", "operating_temperature", "any_density"),
    assumes=("operating_pressure",),
    when=one_fluid,
    passing={"fluid_density": "975 kg/m3", "float_mass": "347 g", "fluid": "Agua"},
    firing={"fluid": "n-Butane", "fluid_density": "601 kg/m3", **_BUTANE},
)
def density_not_at_operating_conditions(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The stated density is not that of the operating conditions.

    Finds: a recognised pure fluid whose stated density differs by more than 3 % (common practice, no
        source) from the reference equation of state at operating pressure and temperature; without a
        pressure, from the saturated liquid. An API gravity is a density at 60 degF: found where crude oils,
        products and lubricants of it all differ as much at operating temperature (API MPMS 11.1).
    Why: densities are often copied from a table for 15 or 20 degC; the float is then chosen for a liquid
        that the plant never has.
    Mend: state the density at operating conditions, and check the float against it.
    """
    where = statable(gauges) & gauges.given("operating_temperature") & ~gauges.unusable("operating_pressure")
    hot, cold = (np.full(gauges.n, np.nan) for _ in range(2))
    if where.any():
        fluid_names = gauges.texts("fluid")[where]
        ends_of = gauges.low, gauges.high
        coolest, hottest = (end_of("operating_temperature")[where] for end_of in ends_of)
        least, most = (end_of("operating_pressure")[where] + ATMOSPHERE for end_of in ends_of)
        ranges = not (np.array_equal(coolest, hottest) and np.array_equal(least, most, equal_nan=True))
        with reasons() as why:
            for end, warmth, pressure in ((cold, coolest, most), (hot, hottest, least))[: 1 + ranges]:
                pascal = liquid_at(fluid_names, warmth, pressure, settings.boiling_margin_k)
                end[where] = density.liquid_density(fluid_names, warmth, pascal)
        if not ranges:
            hot[where] = cold[where]
        yield from unexplained(
            where, (hot + cold)[where], why, "temperature and pressure at which the fluid is liquid"
        )
    lowest, highest = gauges.densities
    oil = of_level(gauges) & gauges.by_api_gravity & ~where & gauges.given("operating_temperature")
    if oil.any():
        for end, at_60, temperature, of_groups in (
            (cold, highest, gauges.low("operating_temperature"), np.fmax),
            (hot, lowest, gauges.high("operating_temperature"), np.fmin),
        ):
            groups = [density.oil_density_60(at_60[oil], temperature[oil], g) for g in density.GROUPS]
            end[oil] = of_groups.reduce(np.stack(groups))
        yield Undecided(oil & np.isnan(hot + cold), "density at operating temperature")
    with np.errstate(invalid="ignore"):
        too_low = highest < hot * (1 - settings.density_deviation)
        too_high = lowest > cold * (1 + settings.density_deviation)
    for record in np.flatnonzero(too_low | too_high).tolist():
        stated = float((highest if too_low[record] else lowest)[record])
        reference = float((hot if too_low[record] else cold)[record])
        name = density_field(gauges, record, lowest=not too_low[record])
        fluid = gauges.texts("fluid")[record]
        end_of_range = gauges.high if too_low[record] else gauges.low
        kelvin = float(end_of_range("operating_temperature")[record])
        warm = gauges.say(record, "operating_temperature", kelvin)
        if oil[record]:
            said = f"{gauges.say(record, name, stated)} is the density at 60 degF, not at {warm}"
        else:
            said = (
                f"{fluid} at {warm} has {gauges.say(record, name, reference)},"
                f" {gauges.say(record, name, stated)} is stated"
            )
        yield gauge_hit(
            gauges,
            record,
            name,
            f"{said} ({stated / reference - 1:+.1%})",
            found=gauges.measure(record, name, stated),
            expected=gauges.measure(record, name, reference),
            evidence={
                "reference_density_kg_m3": reference,
                "stated_density_kg_m3": stated,
                "operating_temperature_degC": kelvin - ZERO_CELSIUS,
            },
        )
