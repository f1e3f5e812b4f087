"""The rule density-not-at-operating-conditions."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.operating import held, one_fluid, ranges, reference
from xlfuncs.audit.registry import Outcome, Undecided, gauge_hit, rule, unexplained
from xlfuncs.audit.remedies import densities
from xlfuncs.audit.rules.float_fluid.shared import density_field
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import fluids as states
from xlfuncs.data.constants import ZERO_CELSIUS

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
    remedy=densities.as_it_is,
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
        pressure, from the saturated liquid. Where a range of temperatures is stated, the lowest density is
        held against the hottest and the highest against the coldest. An API gravity is a density at 60
        degF: found where crude oils, products and lubricants of it all differ as much at operating
        temperature (API MPMS 11.1).
    Why: densities are often copied from a table for 15 or 20 degC; the float is then chosen for a liquid
        that the plant never has.
    Mend: state the density at operating conditions, and check the float against it.
    """
    known = reference(gauges, settings)
    hot, cold, oil = known.hot, known.cold, known.oil
    if known.why is not None:
        where = known.pure
        yield from unexplained(
            where, (hot + cold)[where], known.why, "temperature and pressure at which the fluid is liquid"
        )
    yield Undecided(oil & np.isnan(hot + cold), "density at operating temperature")
    too_low, too_high = known.doubts(gauges, settings)
    (least, most), ranged = held(gauges), ranges(gauges)
    for record in np.flatnonzero(too_low | too_high).tolist():
        stated = float((least if too_low[record] else most)[record])
        right = float((hot if too_low[record] else cold)[record])
        name = density_field(gauges, record, lowest=bool(too_low[record]) == bool(ranged[record]))
        fluid = gauges.texts("fluid")[record]
        end_of_range = gauges.high if too_low[record] else gauges.low
        kelvin = float(end_of_range("operating_temperature")[record])
        warm = gauges.say(record, "operating_temperature", kelvin)
        if oil[record]:
            said = f"{gauges.say(record, name, stated)} is the density at 60 degF, not at {warm}"
        else:
            said = (
                f"{fluid} at {warm} has {gauges.say(record, name, right)},"
                f" {gauges.say(record, name, stated)} is stated"
            )
        yield gauge_hit(
            gauges,
            record,
            name,
            f"{said} ({stated / right - 1:+.1%})",
            found=gauges.measure(record, name, stated),
            expected=gauges.measure(record, name, right),
            evidence={
                "reference_density_kg_m3": right,
                "stated_density_kg_m3": stated,
                "operating_temperature_degC": kelvin - ZERO_CELSIUS,
            },
        )
