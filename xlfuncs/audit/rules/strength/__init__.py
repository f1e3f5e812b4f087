"""Rules about what float, flanges and chamber withstand."""

from __future__ import annotations

from xlfuncs.audit.rules.strength.chamber_magnetic import chamber_magnetic
from xlfuncs.audit.rules.strength.design_temperature_low import design_temperature_low
from xlfuncs.audit.rules.strength.flange_rating_exceeded import flange_rating_exceeded
from xlfuncs.audit.rules.strength.float_collapses import float_collapses
from xlfuncs.audit.rules.strength.float_pressure_exceeded import float_pressure_exceeded
from xlfuncs.audit.rules.strength.float_temperature_exceeded import float_temperature_exceeded
from xlfuncs.audit.rules.strength.float_test_pressure_exceeded import float_test_pressure_exceeded
from xlfuncs.audit.rules.strength.test_pressure_low import test_pressure_low
from xlfuncs.audit.rules.strength.wetted_material_unfit import wetted_material_unfit

RULES = (
    float_pressure_exceeded,
    float_test_pressure_exceeded,
    test_pressure_low,
    float_temperature_exceeded,
    float_collapses,
    flange_rating_exceeded,
    design_temperature_low,
    chamber_magnetic,
    wetted_material_unfit,
)
