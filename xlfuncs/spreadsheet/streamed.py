"""A workbook written sheet by sheet: each is built with openpyxl, calculated, written and forgotten.

Held as a whole, as openpyxl does, a sheet of a thousand cells takes 0.7 MB; a pack may have 20,000 of them.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Collection
from pathlib import Path
from typing import Any, Final

from openpyxl import Workbook
from openpyxl.worksheet._writer import WorksheetWriter
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.book import BookCells, SheetCells, address
from xlfuncs.spreadsheet.evaluate import Calculation
from xlfuncs.spreadsheet.inplace import Edit, calculated, read_sheet, with_values
from xlfuncs.spreadsheet.markup import escape, quoteattr
from xlfuncs.spreadsheet.tree import Functions
from xlfuncs.spreadsheet.usual import OFFICE

_LONGEST_NAME: Final = 31
"""Characters of a sheet's name (Excel's specifications and limits)."""
_DATES: Final = re.compile(rb"<dcterms:(created|modified)[^>]*>[^<]*</dcterms:\1>")
_SHEET_TYPE: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"


class Streamed:
    """A workbook whose first sheet is finished last: it may refer to all the others."""

    def __init__(self, path: Path, first: str, title: str, functions: Functions) -> None:
        """`functions`: those that its formulas call and no spreadsheet program brings along."""
        self._path = path
        self._functions = functions
        self._made = Workbook()
        self._made.properties.creator = "xlfuncs"
        self._made.properties.title = title
        active = self._made.active
        assert isinstance(active, Worksheet)
        self.first = active
        self.first.title = first
        self._taken = {first.casefold(): 2}
        self._names: list[str] = []
        self._titles: dict[int, str] = {}
        """Number of a sheet -> the rows that are printed on each page of it."""
        self._cells = BookCells({}, trusted=False)

    def __enter__(self) -> Streamed:
        self._zip = zipfile.ZipFile(self._path, "w", zipfile.ZIP_DEFLATED)
        return self

    def __exit__(self, kind: object, *_: object) -> None:
        try:
            if kind is None:
                self._finish()
        finally:
            self._zip.close()

    def new(self, name: str) -> Worksheet:
        """The next sheet, by this name or one like it that is free."""
        sheet: Worksheet = self._made.create_sheet(self._free(name))
        return sheet

    def _free(self, name: str) -> str:
        number = self._taken.get(name.casefold(), 1)
        free = name
        while number > 1 and free.casefold() in self._taken:
            mark = f" ({number})"
            free, number = name[: _LONGEST_NAME - len(mark)] + mark, number + 1
        self._taken[name.casefold()] = max(number, 2)
        self._taken[free.casefold()] = max(self._taken.get(free.casefold(), 2), 2)
        return free

    def write(self, sheet: Worksheet, kept: Collection[tuple[int, int]] = ()) -> None:
        """Write a sheet with its results, and forget it but for the values at some (row, column)."""
        name = sheet.title
        cells = self._calculated(f"xl/worksheets/sheet{len(self._names) + 2}.xml", name, self._xml(sheet), {})
        self._made.remove(sheet)
        self._names.append(name)
        if sheet.print_titles:
            self._titles[len(self._names)] = sheet.print_titles
        self._cells.sheets[name.casefold()] = SheetCells(
            name, {place: cells.get((name, *place)) for place in kept}
        )

    def _xml(self, sheet: Worksheet) -> bytes:
        out = io.BytesIO()
        WorksheetWriter(sheet, out).write()
        return out.getvalue()

    def _calculated(
        self, part: str, name: str, xml: bytes, others: dict[str, SheetCells]
    ) -> dict[tuple[str, int, int], Any]:
        """Write the XML of a sheet with the results of its formulas; gives all of these."""
        cells = read_sheet(name, xml, self._made.shared_strings)
        calculation = Calculation(
            BookCells({**others, name.casefold(): cells}, trusted=False), self._functions
        )
        for place, why in calculation.uncalculated.items():
            raise XlfuncsError(f"{address(place)}: {why}")
        edits = {place[1:]: Edit(value) for place, value in calculation.values.items() if value is not None}
        self._put(part, with_values(xml, edits))
        return calculation.values

    def _put(self, part: str, data: bytes) -> None:
        """The same content, the same bytes: no part has a date."""
        info = zipfile.ZipInfo(part, (1980, 1, 1, 0, 0, 0))
        info.compress_type = zipfile.ZIP_DEFLATED
        self._zip.writestr(info, data)

    def _finish(self) -> None:
        """The first sheet, the strings and styles of all, and the parts that list the others."""
        buffer = io.BytesIO()
        self._made.save(buffer)
        first = "xl/worksheets/sheet1.xml"
        with zipfile.ZipFile(buffer) as made:
            for part in made.namelist():
                data = made.read(part)
                match part:
                    case "xl/worksheets/sheet1.xml":
                        self._calculated(first, self.first.title, data, self._cells.sheets)
                        continue
                    case "xl/workbook.xml":
                        data = self._listed(calculated(data))
                    case "xl/_rels/workbook.xml.rels":
                        data = _before(data, b"</Relationships>", self._relations())
                    case "[Content_Types].xml":
                        data = _before(data, b"</Types>", self._types())
                    case "docProps/core.xml":
                        data = _DATES.sub(b"", data)
                self._put(part, data)

    def _listed(self, workbook: bytes) -> bytes:
        space = f'xmlns:r="{OFFICE}"'  # openpyxl declares it for all sheets, or with lxml for each
        sheets = (
            f'<sheet {space} name={quoteattr(name)} sheetId="{n}" state="visible" r:id="sheet{n}"/>'
            for n, name in enumerate(self._names, 2)
        )
        titles = (
            f'<definedName name="_xlnm.Print_Titles" localSheetId="{n}">{escape(rows)}</definedName>'
            for n, rows in self._titles.items()
        )
        workbook = _before(workbook, b"</sheets>", "".join(sheets))
        workbook = re.sub(rb"<definedNames\s*/>", b"<definedNames></definedNames>", workbook)
        return _before(workbook, b"</definedNames>", "".join(titles)) if self._titles else workbook

    def _relations(self) -> str:
        return "".join(
            f'<Relationship Id="sheet{n}" Type="{OFFICE}/worksheet" Target="/xl/worksheets/sheet{n}.xml"/>'
            for n in range(2, len(self._names) + 2)
        )

    def _types(self) -> str:
        return "".join(
            f'<Override PartName="/xl/worksheets/sheet{n}.xml" ContentType="{_SHEET_TYPE}"/>'
            for n in range(2, len(self._names) + 2)
        )


def _before(data: bytes, mark: bytes, text: str) -> bytes:
    at = data.rindex(mark)
    return data[:at] + text.encode() + data[at:]
