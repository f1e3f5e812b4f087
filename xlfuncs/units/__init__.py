"""Quantity text and unit names as the trade writes them, to SI numbers and back.

The only module that imports pint, and only when the first unit is asked for. `converter` gives a cached
map between a unit and SI; `parse` reads the text of a cell; `find_unit` the unit of a heading.
"""

from xlfuncs.units._convert import Converter, HydrometerScale, converter, from_si, to_si
from xlfuncs.units._errors import AmbiguousUnit, UnitError
from xlfuncs.units._find import find_unit
from xlfuncs.units._parse import Parsed, parse
from xlfuncs.units._table import is_unit, quantities_of, units_for

__all__ = [
    "AmbiguousUnit",
    "Converter",
    "HydrometerScale",
    "Parsed",
    "UnitError",
    "converter",
    "find_unit",
    "from_si",
    "is_unit",
    "parse",
    "quantities_of",
    "to_si",
    "units_for",
]
