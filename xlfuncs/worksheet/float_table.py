"""A float list, as a range with headings or as columns that were read elsewhere, to a `FloatList`.

Headings are understood as those of the float list of a workbook are, by `xlfuncs.vocabulary`, with the unit
in brackets, after a comma or at the end: 'Mass (g)', 'mass, g' and 'Mass g' are one.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from xlfuncs.data import load
from xlfuncs.data.words import says, tells_no_value
from xlfuncs.gauge.choice import FloatList, float_list
from xlfuncs.gauge.floats import ENDS
from xlfuncs.gauge.ratings import magnet_limit
from xlfuncs.units import UnitError, converter, find_unit, is_unit, parse
from xlfuncs.vocabulary.meaning import named_field

QUANTITIES = {
    "mass": "float_mass",
    "diameter": "float_diameter",
    "length": "float_length",
    "magnet_height": "magnet_height",
    "wall": "float_wall",
    "max_pressure": "float_max_pressure",
    "max_temperature": "float_max_temperature",
}
"""Column of a `FloatList` -> field of a sheet."""
TEXTS = ("float_part", "float_ends", "float_material", "float_service", "magnet_material")
_MAGNET = "magnet_max_temperature"
NUMBERS = (*QUANTITIES.values(), _MAGNET)
_COLUMNS = {field: name for name, field in QUANTITIES.items()} | {_MAGNET: "magnet_temperature"}
_NEEDED = ("mass", "diameter", "length", "magnet_height")

BRACKETS = re.compile(r"[(\[{][^()\[\]{}]*[)\]}]")
_WORDS = re.compile(r"[^\W\d_]+|\d+")


def assemble(
    numbers: Mapping[str, Any],
    texts: Mapping[str, Sequence[str]],
    trouble: Mapping[int, Mapping[str, str]],
    ends: str | None = None,
) -> FloatList:
    """Floats from columns by field: SI numbers (NaN: missing) and texts ("": missing).

    `trouble`: float -> field -> why its cell could not be read. `ends`: shape where none is stated.
    """
    n = len(texts["float_part"])
    columns = {name: numbers[field] for name, field in QUANTITIES.items() if field in numbers}
    columns["part"] = [name or f"float {i}" for i, name in enumerate(texts["float_part"], start=1)]
    columns["material"] = list(texts.get("float_material", [""] * n))
    found = {i: {_COLUMNS[field]: why for field, why in cells.items()} for i, cells in trouble.items()}
    columns["ends"] = _ends(texts.get("float_ends", [""] * n), ends, found)
    columns["service"] = _service(texts.get("float_service", [""] * n))
    known = np.asarray(magnet_limit(np.array(list(texts.get("magnet_material", [""] * n)), dtype=object)))
    stated = np.asarray(numbers.get(_MAGNET, np.full(n, np.nan)), dtype=np.float64)
    columns["magnet_temperature"] = np.where(np.isnan(stated), known, stated)
    return float_list(columns, found)


def _name(field: str) -> str:
    """How a float list names a field: 'float mass' is its mass."""
    return str(load("fields")[field]["label"]).removeprefix("float's ").removeprefix("float ")


def _ends(stated: Sequence[str], default: str | None, trouble: dict[int, dict[str, str]]) -> list[str]:
    texts = np.array(list(stated), dtype=object)
    shapes = [default or "" if not text else "" for text in texts.tolist()]
    for shape in ENDS:
        for i in np.flatnonzero(says(texts, shape)).tolist():
            shapes[i] = shape
    for i, (text, shape) in enumerate(zip(texts.tolist(), shapes, strict=True)):
        if text and not shape:
            trouble.setdefault(i, {})["ends"] = f"'{text}' is none of {', '.join(ENDS)}"
    return shapes


def _service(stated: Sequence[str]) -> list[str]:
    texts = np.array(list(stated), dtype=object)
    interface, level = says(texts, "interface"), says(texts, "level")
    return ["interface" if i else "level" if j else "" for i, j in zip(interface, level, strict=True)]


# --- a range of the sheet -----------------------------------------------------------------------------


class _Column(NamedTuple):
    at: int
    heading: str
    unit: str


def read_floats(rows: Sequence[Sequence[Any]], ends: str | None = None) -> FloatList:
    """The float list in a range, headings first; ValueError where it cannot be one.

    A row of units may stand beneath the headings. Cells that cannot be read are noted in
    `FloatList.trouble`; blank rows are passed over.
    """
    filled = [list(row) for row in rows if any(not is_blank(cell) for cell in row)]
    if len(filled) < 2:
        raise ValueError("floats: give the float list with its headings in the first row")
    units = filled[1] if is_unit_row(filled[1]) else None
    body = filled[2:] if units else filled[1:]
    columns = _columns(filled[0], units)
    absent = [name for name in _NEEDED if QUANTITIES[name] not in columns]
    if absent:
        taken = {column.at for column in columns.values()}
        others = [
            f"'{str(h).strip()}'" for i, h in enumerate(filled[0]) if i not in taken and not is_blank(h)
        ]
        what = f"; not understood: {', '.join(others)}" if others else ""
        raise ValueError(
            f"floats: no heading for {', '.join(name.replace('_', ' ') for name in absent)}{what}"
        )
    trouble: dict[int, dict[str, str]] = {}
    texts = {field: [""] * len(body) for field in TEXTS}
    numbers: dict[str, list[float]] = {}
    for field, column in columns.items():
        cells = [row[column.at] for row in body]
        if field in TEXTS:
            texts[field] = [_text(cell) for cell in cells]
            continue
        numbers[field] = []
        for i, cell in enumerate(cells):
            value, why = _number(cell, field, column)
            numbers[field].append(value)
            if why:
                trouble.setdefault(i, {})[field] = why
    return assemble(numbers, texts, trouble, ends)


def is_blank(cell: Any) -> bool:
    return (
        cell is None
        or (isinstance(cell, str) and not cell.strip())
        or (isinstance(cell, float) and math.isnan(cell))
    )


def is_unit_row(row: Sequence[Any]) -> bool:
    texts = [cell for cell in row if not is_blank(cell)]
    return all(isinstance(cell, str) and is_unit(cell.strip(" ()[]")) for cell in texts)


def squash(text: str) -> str:
    plain = unicodedata.normalize("NFKD", text.replace("_", " ")).casefold()
    return " ".join(_WORDS.findall("".join(c for c in plain if not unicodedata.combining(c))))


def _field(heading: str) -> str | None:
    """The field of a heading, its unit left out."""
    found = named_field(heading, "floats", (*NUMBERS, *TEXTS))
    unit = heading.rpartition(",")[2].strip()
    return None if found in TEXTS and is_unit(unit) else found  # 'metal, g' is how much of it


def _columns(headings: Sequence[Any], units: Sequence[Any] | None) -> dict[str, _Column]:
    columns: dict[str, _Column] = {}
    for i, heading in enumerate(headings):
        field = _field(heading) if isinstance(heading, str) else None
        if field is None:
            continue
        if field in columns:
            raise ValueError(
                f"floats: '{columns[field].heading}' and '{heading.strip()}' both name the {_name(field)}"
            )
        below = units[i] if units and isinstance(units[i], str) else ""
        columns[field] = _Column(i, " ".join(heading.split()), _unit(field, heading, below))
    return columns


def _unit(field: str, heading: str, below: str) -> str:
    """Unit of a column's numbers; ValueError where it states one of another quantity, or a doubtful one."""
    spec = load("fields")[field]
    quantity = spec.get("quantity")
    if quantity is None:
        return ""
    unit = find_unit(below, quantity) or find_unit(heading, quantity)
    if unit is None:
        other = find_unit(below) or find_unit(heading)
        if other:
            raise ValueError(f"floats: the heading '{heading.strip()}' states {other}, no unit of {quantity}")
        return str(spec.get("unit", ""))
    try:
        converter(unit, quantity)
    except UnitError as why:
        raise ValueError(f"floats: the heading '{heading.strip()}': {why}") from None
    return unit


def is_placeholder(cell: Any) -> bool:
    return isinstance(cell, str) and tells_no_value(cell, number=True)


def _text(cell: Any) -> str:
    if isinstance(cell, float) and cell.is_integer():
        cell = int(cell)
    text = "" if is_blank(cell) else " ".join(str(cell).split())
    return "" if tells_no_value(text, number=False) else text


def _number(cell: Any, field: str, column: _Column) -> tuple[float, str]:
    """SI number of a cell, NaN where there is none, and why it could not be read."""
    if is_blank(cell) or is_placeholder(cell):
        return math.nan, ""
    quantity = load("fields")[field]["quantity"]
    if isinstance(cell, bool) or not isinstance(cell, (int, float, str)):
        return math.nan, f"{str(cell).upper()} is no number"
    if not column.unit and not isinstance(cell, str):
        return math.nan, f"{cell:g} has no unit: write it into the heading '{column.heading}'"
    try:
        if isinstance(cell, str):
            return parse(cell, quantity, column.unit or None).si_low, ""
        return float(converter(column.unit, quantity).to_si(cell)), ""
    except UnitError as why:
        return math.nan, str(why)
