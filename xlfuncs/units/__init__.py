"""Quantity text and unit names as the trade writes them, to SI numbers and back.

The only module that imports pint, and only for a unit that is not tabled. `converter` gives a cached
map between a unit and SI; `parse` reads the text of a cell; `find_unit` the unit of a heading.
"""

from xlfuncs.units._convert import Converter, HydrometerScale, converter, from_si, to_si
from xlfuncs.units._errors import AmbiguousUnit, ImpossibleValue, UnitError
from xlfuncs.units._find import find_unit, split_quotient
from xlfuncs.units._number import marks_of
from xlfuncs.units._parse import Parsed, parse
from xlfuncs.units._pipe import PipeSize, outside_diameter, pipe_size
from xlfuncs.units._table import is_unit, quantities_of, units_for

__all__ = [
    "AmbiguousUnit",
    "Converter",
    "HydrometerScale",
    "ImpossibleValue",
    "Parsed",
    "PipeSize",
    "UnitError",
    "converter",
    "find_unit",
    "from_si",
    "is_unit",
    "marks_of",
    "outside_diameter",
    "parse",
    "pipe_size",
    "quantities_of",
    "split_quotient",
    "to_si",
    "units_for",
]
