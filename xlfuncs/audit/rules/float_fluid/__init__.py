"""Rules about the float and the fluid that it shall ride in."""

from __future__ import annotations

from xlfuncs.audit.rules.float_fluid.chamber_colder import chamber_colder
from xlfuncs.audit.rules.float_fluid.densities_swapped import densities_swapped
from xlfuncs.audit.rules.float_fluid.density_not_at_operating_conditions import (
    density_not_at_operating_conditions,
)
from xlfuncs.audit.rules.float_fluid.density_range_reversed import density_range_reversed
from xlfuncs.audit.rules.float_fluid.design_density_mismatch import design_density_mismatch
from xlfuncs.audit.rules.float_fluid.float_barely_floats import float_barely_floats
from xlfuncs.audit.rules.float_fluid.float_data_conflict import float_data_conflict
from xlfuncs.audit.rules.float_fluid.float_data_impossible import float_data_impossible
from xlfuncs.audit.rules.float_fluid.float_lags import float_lags
from xlfuncs.audit.rules.float_fluid.float_not_in_list import float_not_in_list
from xlfuncs.audit.rules.float_fluid.float_service_mismatch import float_service_mismatch
from xlfuncs.audit.rules.float_fluid.float_sinks import float_sinks
from xlfuncs.audit.rules.float_fluid.float_top_heavy import float_top_heavy
from xlfuncs.audit.rules.float_fluid.float_wider_than_chamber import float_wider_than_chamber
from xlfuncs.audit.rules.float_fluid.floats_exchanged import floats_exchanged
from xlfuncs.audit.rules.float_fluid.fluid_boils_in_chamber import fluid_boils_in_chamber
from xlfuncs.audit.rules.float_fluid.interface_density_gap_small import interface_density_gap_small
from xlfuncs.audit.rules.float_fluid.interface_float_outside_fluids import interface_float_outside_fluids
from xlfuncs.audit.rules.float_fluid.offset_exceeds_tolerance import offset_exceeds_tolerance
from xlfuncs.audit.rules.float_fluid.operating_exceeds_design import operating_exceeds_design
from xlfuncs.audit.rules.float_fluid.viscosity_too_high import viscosity_too_high
from xlfuncs.audit.rules.float_fluid.worst_reading_exceeds_tolerance import worst_reading_exceeds_tolerance

RULES = (
    float_data_impossible,
    float_data_conflict,
    density_range_reversed,
    operating_exceeds_design,
    densities_swapped,
    float_not_in_list,
    float_service_mismatch,
    floats_exchanged,
    interface_float_outside_fluids,
    interface_density_gap_small,
    float_sinks,
    float_barely_floats,
    float_top_heavy,
    offset_exceeds_tolerance,
    design_density_mismatch,
    density_not_at_operating_conditions,
    fluid_boils_in_chamber,
    chamber_colder,
    float_wider_than_chamber,
    float_lags,
    worst_reading_exceeds_tolerance,
    viscosity_too_high,
)
