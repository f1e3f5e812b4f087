"""The gauge's data as a sheet holds them: under headings, or as labels with values in blocks side by side."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from xlfuncs.units import is_unit
from xlfuncs.worksheet.float_table import is_blank
from xlfuncs.worksheet.observed import find_field

_NUMBER = re.compile(r"[<>≤≥~+-]*\s*\d[\d.,' ]*(.*)$")


@dataclass(frozen=True, slots=True)
class Pair:
    """A label with its value in a row."""

    name: str
    """The field that the label names."""
    label: int
    value: int | None
    """Their columns; None: nothing stands beside the label."""
    unit: str
    """What stands between the two or behind them, "" for none."""


def pairs(row: Sequence[Any]) -> list[Pair]:
    """The labels of a row with their values, block by block: label, value, perhaps a unit; then the next."""
    filled = [i for i, cell in enumerate(row) if not is_blank(cell)]
    made: list[Pair] = []
    at = 0
    while at < len(filled):
        name = _named(row[filled[at]])
        if name is None:
            at += 2 if not like_a_number(row[filled[at]]) and _beside(row, filled, at + 1) else 1
            continue
        label = filled[at]
        value, unit, at = _value(row, filled, at + 1)
        made.append(Pair(name, label, value, unit))
    return made


def under_headings(rows: Sequence[Sequence[Any]], at: int, least: int) -> bool:
    """A row that names so many fields is one of headings: no number is in it, and below are no labels."""
    row = rows[at]
    named = [i for i, cell in enumerate(row) if _named(cell)]
    if len(named) < least or any(map(like_a_number, row)):
        return False
    below = next((r for r in rows[at + 1 :] if any(not is_blank(cell) for cell in r)), [])
    return 2 * sum(_named(below[i]) is not None for i in named if i < len(below)) < len(named)


def like_a_number(cell: Any) -> bool:
    """A number, or a text that is one, perhaps with its unit."""
    if isinstance(cell, str):
        found = _NUMBER.match(cell.strip())
        return found is not None and (not found[1].strip() or is_unit(found[1].strip()))
    return isinstance(cell, (int, float)) and not isinstance(cell, bool) and not is_blank(cell)


def _named(cell: Any) -> str | None:
    """The field that a label names; a unit is none, nor a number with its unit."""
    if not isinstance(cell, str) or is_unit(cell.strip()) or like_a_number(cell):
        return None
    return find_field("gauge", cell)


def _value(row: Sequence[Any], filled: Sequence[int], at: int) -> tuple[int | None, str, int]:
    """(column of the value of the label before, its unit, where the next block begins)."""
    cells = [row[i] for i in filled]
    unit = ""
    if at + 1 < len(cells) and _unit(cells[at]) and like_a_number(cells[at + 1]):
        unit, at = cells[at], at + 1
    if at == len(cells) or (_named(cells[at]) and not _beside(row, filled, at)):
        return None, unit, at
    value, at = filled[at], at + 1
    if not unit and at < len(cells) and _unit(cells[at]):
        unit, at = cells[at], at + 1
    return value, unit, at


def _unit(cell: Any) -> bool:
    return isinstance(cell, str) and is_unit(cell)


def _beside(row: Sequence[Any], filled: Sequence[int], at: int) -> bool:
    """'Type' beside 'Switch': a text that names a field, but is the value of the label right before it."""
    if at >= len(filled) or filled[at] != filled[at - 1] + 1 or not _named(row[filled[at]]):
        return False
    return at + 1 == len(filled) or not like_a_number(row[filled[at + 1]])
