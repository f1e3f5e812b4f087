"""A company's float list: its floats, and the columns that it keeps for itself (price, stock, approvals)."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from xlfuncs.additions import float_list
from xlfuncs.data import load
from xlfuncs.errors import XlfuncsError
from xlfuncs.gauge.choice import FloatList
from xlfuncs.lists.model import Table
from xlfuncs.lists.reader import load_grid, read_floats
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.worksheet.float_table import NUMBERS, TEXTS, assemble


@dataclass(frozen=True)
class Listed:
    """The floats of a list."""

    floats: FloatList
    notes: tuple[str, ...]
    """What had to be assumed to read them."""
    headings: tuple[str, ...] = ()
    """Every heading of the list."""
    own: tuple[str, ...] = ()
    """Headings that the company keeps for itself: no rule reads them."""
    cells: tuple[Mapping[str, Any], ...] = ()
    """Of each float: heading -> its cell."""

    def heading(self, words: str, option: str) -> str:
        """The heading that a person means; XlfuncsError where there is none, or more than one."""
        wanted = _words(words)
        exact = [one for one in self.headings if _words(one) == wanted]
        found = exact or [one for one in self.headings if _all_begin(wanted, _words(one))]
        if len(found) == 1:
            return found[0]
        which = "fits more than one heading" if found else "fits no heading"
        listed = ", ".join(f"'{one}'" for one in found or self.headings)
        raise XlfuncsError(f"{option}: '{words}' {which} of the float list: {listed}")


def read_listed(
    path: Path, mapping: Any = None, reading: Path | None = None, ends: str | None = None
) -> Listed:
    """The floats of all lists of a workbook, and what else stands in their rows."""
    file = float_list(path)
    tables = read_floats(file, mapping=mapping, correction=reading)
    numbers: dict[str, list[float]] = {name: [] for name in NUMBERS}
    texts: dict[str, list[str]] = {name: [] for name in TEXTS}
    trouble: dict[int, dict[str, str]] = {}
    assumed: dict[str, None] = {}
    start = 0
    for table in tables:
        for name, values in numbers.items():
            column = table.columns.get(name)
            if column is None:
                values += [np.nan] * len(table)
                continue
            values += np.where(column.given, column.low, np.nan).tolist()
            for i, why in column.problem.items():
                trouble.setdefault(start + i, {})[name] = f"in {column.address(i)} {why}"
            assumed |= {f"{load('fields')[name]['label']}: {why}": None for why in column.assumed.values()}
        for name, said in texts.items():
            column = table.columns.get(name)
            said += [""] * len(table) if column is None else np.where(column.given, column.text, "").tolist()
        start += len(table)
    columns = {name: np.array(values) for name, values in numbers.items()}
    floats = assemble(columns, texts, trouble, ends)
    grids = {grid.sheet: grid for grid in load_grid(file)}
    own = dict.fromkeys(one.heading for table in tables for one in table.unrecognised if one.filled)
    every = dict.fromkeys(
        one.heading for table in tables for one in (*table.recognised, *table.unrecognised) if one.heading
    )
    cells = tuple(row for table in tables for row in _rows(table, grids[table.sheet]))
    return Listed(floats, tuple(assumed), tuple(every), tuple(own), cells)


def once_each(listed: Listed, path: Path) -> None:
    """XlfuncsError where a part stands twice: an offer has to name one float."""
    counts = Counter(str(part).casefold() for part in listed.floats.part.tolist())
    twice = [str(part) for part in listed.floats.part.tolist() if counts[str(part).casefold()] > 1]
    if twice:
        raise XlfuncsError(
            f"{path}: the part '{twice[0]}' stands in more than one row of the float list; an offer names "
            "one float: give each row its own part number"
        )


def _rows(table: Table, grid: Grid) -> list[dict[str, Any]]:
    """Heading -> cell, for each float of a list."""
    from xlfuncs.spreadsheet.address import split_address

    where = {int(row): i for i, row in enumerate(grid.rows.tolist())}
    across = {int(col): j for j, col in enumerate(grid.cols.tolist())}
    columns = {
        one.heading: split_address(f"{one.column}1")[0]
        for one in (*table.recognised, *table.unrecognised)
        if one.heading and one.column.isalpha()
    }
    out = []
    for row in table.row.tolist():
        at = where.get(int(row))
        found = {h: grid.values[at, across[c]] for h, c in columns.items() if at is not None and c in across}
        out.append({h: v for h, v in found.items() if v != ""})
    return out


# --- what is required, and by what is ranked -------------------------------------------------------------

_REQUIRED = re.compile(r"\s*(?P<heading>[^<>=]+?)\s*(?P<sign>>=|<=|=)\s*(?P<value>.+?)\s*")
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d{1,2}(?!\d))?(?![\d.,]*\d)")
_NO = frozenset({"no", "not", "non", "without", "except", "pending", "kein", "ohne", "sans", "sin"})


@dataclass(frozen=True)
class Required:
    """A condition on a column of the list."""

    heading: str
    sign: str
    value: str

    def unmet(self, cells: Mapping[str, Any]) -> str:
        """Why a float does not meet it; "" where it does."""
        cell = cells.get(self.heading, "")
        text = " ".join(str(cell).split())
        if not text:
            return f"the list states no '{self.heading}', {self.sign.strip('=')}{self.value} is required"
        if self.sign == "=":
            met = _contains(text, self.value)
        else:
            number, limit = numbers(cell), numbers(self.value)
            met = bool(number and limit) and (
                number[0] >= limit[0] if self.sign == ">=" else number[-1] <= limit[-1]
            )
        wanted = self.value if self.sign == "=" else f"{self.sign} {self.value}"
        return "" if met else f"the list's '{self.heading}' is '{text}', {wanted} is required"


def required(listed: Listed, text: str) -> Required:
    """What --require says: 'approval=NACE', 'stock>=1', 'lead time<=4'."""
    found = _REQUIRED.fullmatch(text)
    if found is None:
        raise XlfuncsError(f"--require {text}: write HEADING=TEXT, HEADING>=NUMBER or HEADING<=NUMBER")
    if found["sign"] != "=" and not numbers(found["value"]):
        raise XlfuncsError(f"--require {text}: '{found['value']}' is no number")
    return Required(listed.heading(found["heading"], "--require"), found["sign"], found["value"])


def _contains(text: str, value: str) -> bool:
    """Whether a cell names a value, word by word, and does not deny it."""
    wanted = _words(value)
    for part in re.split(r"[;,/\n]", text):
        words = _words(part)
        for i in range(len(words) - len(wanted) + 1):
            if words[i : i + len(wanted)] == wanted and not _NO & set(words[:i]):
                return True
    return _words(text) == wanted


def numbers(cell: Any) -> list[float]:
    """The numbers of a cell: 4 of '4 weeks', 4 and 6 of '4-6 weeks'; none where they cannot be told."""
    if isinstance(cell, bool):
        return []
    if isinstance(cell, (int, float)):
        return [float(cell)]
    text = re.sub(r"(?<=\d)\s*[-–]\s*(?=\d)", " to ", str(cell))
    if re.search(r"\d[.,]\d{3}(?!\d)", text):
        return []  # thousands or decimals
    return sorted(float(found.replace(",", ".")) for found in _NUMBER.findall(text))


def _words(text: str) -> list[str]:
    return re.findall(r"[^\W_]+", text.casefold())


def _all_begin(wanted: Sequence[str], words: Sequence[str]) -> bool:
    return bool(wanted) and all(any(word.startswith(one) for word in words) for one in wanted)
