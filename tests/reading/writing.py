"""Writes the workbooks and keeps where each value stands, from which the truth file of a book is made.

A column is (heading, short name, converter). A heading of several rows is a tuple; the short name says which
value of the gauge stands below it (`short_names`), with '*' where the converter is given the whole gauge.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any, Final

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.utility import xl_rowcol_to_cell
from xlsxwriter.worksheet import Worksheet

from tests.reading.physics import Float

Gauge = dict[str, Any]
"""Short name -> value; "f" is its float, "tag" what the truth calls it."""
Columns = Sequence[Any]

HEADING: Final = {"bold": True, "text_wrap": True, "border": 1, "bg_color": "#DDEBF7", "valign": "vcenter"}
CREATED: Final = datetime(2025, 1, 1)
"""The same bytes on every build."""


class Book:
    """One workbook, clean or faulty, and what is to be found in it."""

    def __init__(self, folder: Path, name: str, faulty: bool) -> None:
        self.faulty = faulty
        self.path = folder / f"{name}_{'faulty' if faulty else 'clean'}.xlsx"
        self.wb = xlsxwriter.Workbook(str(self.path), {"strings_to_numbers": False})
        self.wb.set_properties({"created": CREATED})
        self.pos: dict[tuple[Any, str], list[str]] = {}
        """Tag (of a float: ("float", part)) and short name -> cells."""
        self.faults: list[dict[str, Any]] = []
        self.allows: list[dict[str, Any]] = []
        self.tags: list[str] = []
        self._formats: dict[str, Format] = {}

    def fmt(self, **properties: Any) -> Format:
        """A cell format; the same one for the same properties."""
        key = json.dumps(properties, sort_keys=True)
        if key not in self._formats:
            self._formats[key] = self.wb.add_format(properties)
        return self._formats[key]

    def sheet(self, name: str) -> Worksheet:
        return self.wb.add_worksheet(name)

    def mark(self, ws: Worksheet, row: int, col: int, tag: Any, name: str) -> None:
        """Note that a gauge's value stands in this cell."""
        self.pos.setdefault((tag, name), []).append(f"{ws.name}!{xl_rowcol_to_cell(row, col)}")

    def put(
        self,
        ws: Worksheet,
        row: int,
        col: int,
        value: Any,
        tag: Any = None,
        name: str | None = None,
        **properties: Any,
    ) -> None:
        """Write a cell and note what it is. A tuple is a formula with its result."""
        if name:
            self.mark(ws, row, col, tag, name)
        if value is None:
            return
        style = self.fmt(**properties) if properties else None
        if isinstance(value, tuple):
            ws.write_formula(row, col, value[0], style, value[1])
        elif isinstance(value, date):
            ws.write_datetime(row, col, value, self.fmt(num_format="d-mmm", **properties))
        else:
            ws.write(row, col, value, style)

    def head(self, ws: Worksheet, row: int, col: int, cols: Columns, **properties: Any) -> int:
        """Headings of one or more rows, groups merged; the row below them."""
        style = properties or HEADING
        n = max(len(h) if isinstance(h, tuple) else 1 for h, *_ in cols)
        full = [h if isinstance(h, tuple) else (h, *("",) * (n - 1)) for h, *_ in cols]
        for i in range(n):
            j = 0
            while j < len(cols):
                text, end = full[j][i], j
                if i < n - 1 and text:
                    while (
                        end + 1 < len(cols)
                        and full[end + 1][i] == text
                        and full[end + 1][: i + 1] == full[j][: i + 1]
                    ):
                        end += 1
                if end > j:
                    place = (row + i, col + j, row + i, col + end)
                    ws.merge_range(*place, text, self.fmt(align="center", **style))
                elif text:
                    ws.write(row + i, col + j, text, self.fmt(**style))
                j = end + 1
        return row + n

    def row(
        self, ws: Worksheet, row: int, col: int, cols: Columns, g: Mapping[str, Any], **properties: Any
    ) -> None:
        """One gauge (or float)."""
        for j, (_, name, convert) in enumerate(cols):
            if name.startswith("*"):
                value = convert(g)
            else:
                value = convert(g.get(name)) if convert else g.get(name)
            self.put(ws, row, col + j, value, g["tag"], name.lstrip("*"), **properties)

    def table(
        self,
        ws: Worksheet,
        row: int,
        col: int,
        cols: Columns,
        rows: Iterable[Mapping[str, Any]],
        **properties: Any,
    ) -> int:
        """Headings and rows; the row below them."""
        row = self.head(ws, row, col, cols)
        for g in rows:
            self.row(ws, row, col, cols, g, **{**properties, **g.get("_fmt", {})})
            row += 1
        return row

    def fault(
        self,
        rule: str,
        tag: Any,
        names: str | Iterable[str],
        why: str,
        alt: Iterable[str] = (),
        ok: Iterable[str] = (),
    ) -> None:
        """Note a planted fault: the rule, the gauge (or gauges), the short names of the cells to blame.

        `alt`: rules that say the same thing; `ok`: further findings that would be right as a consequence.
        """
        if not self.faulty:
            return
        fields = [names] if isinstance(names, str) else list(names)
        self.faults.append({"rule": rule, "tag": tag, "fields": fields, "why": why, "alt": list(alt)})
        for other in ok:
            self.allow(other, tag)

    def allow(self, rule: str, tag: Any = None, why: str = "") -> None:
        """A finding that is right although nothing was planted; without a tag wherever it is."""
        self.allows.append({"rule": rule, "tag": tag, "why": why})

    def close(self) -> None:
        """Write the workbook and, beside it, its truth."""
        self.wb.close()
        for fault in self.faults:
            tags = fault["tag"] if isinstance(fault["tag"], list) else [fault["tag"]]
            cells = {cell for x in fault["fields"] for t in tags for cell in self.pos.get((t, x), [])}
            assert cells, (self.path.name, fault)
            fault["cells"] = sorted(cells)
        truth = {
            "cols": self._columns(),
            "book": self.path.name,
            "floats": None,
            "tags": self.tags,
            "faults": self.faults,
            "allow": self.allows,
        }
        text = json.dumps(truth, indent=1, ensure_ascii=False)
        Path(f"{self.path}.truth.json").write_text(text, encoding="utf-8")

    def _columns(self) -> dict[str, dict[str, int]]:
        """Column -> short names of what stands in it -> how often."""
        out: dict[str, dict[str, int]] = {}
        for (tag, name), cells in self.pos.items():
            label = f"float {name}" if isinstance(tag, tuple) else name
            for cell in cells:
                names = out.setdefault(re.sub(r"\d+$", "", cell), {})
                names[label] = names.get(label, 0) + 1
        return out


def float_sheet(
    b: Book,
    name: str,
    floats: Iterable[Float],
    cols: Columns,
    row: int = 0,
    col: int = 0,
    title: str | None = None,
) -> Worksheet:
    """A float list on a sheet of its own."""
    ws = b.sheet(name)
    if title:
        ws.write(0, 0, title, b.fmt(bold=True, font_size=14))
        row = max(row, 2)
    b.table(ws, row, col, cols, [dict(f, tag=("float", f["part"])) for f in floats])
    return ws


def count_float_cells(b: Book, g: Gauge, *names: str) -> None:
    """The float list's cells of this gauge's part count as the right cells too."""
    for name in names:
        for cell in b.pos.get((("float", g["part"]), name), []):
            b.pos.setdefault((g["tag"], name), []).append(cell)
