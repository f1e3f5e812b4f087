"""Sheets as cells with addresses, and how they become a file of any kind that the audit reads."""

from __future__ import annotations

import csv
import io
import subprocess
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any, Final

import openpyxl
import xlsxwriter
from openpyxl.styles import Font

from xlfuncs.audit.examples import CellError, Formula
from xlfuncs.spreadsheet.address import column_letter

Place = tuple[int, int]
"""Row and column, counted from 1."""


@dataclass
class Sheet:
    """Cells of one sheet."""

    name: str
    cells: dict[Place, Any] = field(default_factory=dict)
    merges: list[tuple[int, int, int, int]] = field(default_factory=list)
    """First row, first column, last row, last column."""
    hidden_rows: set[int] = field(default_factory=set)
    hidden_cols: set[int] = field(default_factory=set)
    struck: set[int] = field(default_factory=set)
    """Rows whose text is struck through."""
    hidden: bool = False

    def rows(self) -> list[list[Any]]:
        """The cells as rows of one length."""
        width = max((column for _, column in self.cells), default=0)
        height = max((row for row, _ in self.cells), default=0)
        out = [[None] * width for _ in range(height)]
        for (row, column), value in self.cells.items():
            out[row - 1][column - 1] = value
        return out

    def address(self, place: Place) -> str:
        """'Index!H14'."""
        return f"{self.name}!{column_letter(place[1])}{place[0]}"


def write(path: Path, sheets: Sequence[Sheet], how: str, **options: Any) -> Path:
    """Write sheets in the way that `WRITERS` calls `how`; returns the file."""
    WRITERS[how](path, sheets, **options)
    return path


def _xlsxwriter(path: Path, sheets: Sequence[Sheet]) -> None:
    with xlsxwriter.Workbook(path) as book:
        strike = book.add_format({"font_strikeout": True})
        day = book.add_format({"num_format": "dd-mmm"})
        for sheet in sheets:
            made = book.add_worksheet(sheet.name)
            for top, left, bottom, right in sheet.merges:
                text = sheet.cells[top, left]
                made.merge_range(top - 1, left - 1, bottom - 1, right - 1, text)
            covered = {(top, left) for top, left, _, _ in sheet.merges}
            for (row, column), value in sheet.cells.items():
                if value is None or (row, column) in covered:
                    continue
                at, style = (row - 1, column - 1), (strike if row in sheet.struck else None)
                if isinstance(value, Formula):
                    made.write_formula(*at, value.text, style, value.kept)
                elif isinstance(value, CellError):
                    made.write_formula(*at, _failing(value), style, value.code)
                elif isinstance(value, datetime):
                    made.write_datetime(*at, value, day)
                elif isinstance(value, str):
                    made.write_string(*at, value, style)
                else:
                    made.write_number(*at, value, style)
            for row in sheet.hidden_rows:
                made.set_row(row - 1, None, None, {"hidden": True})
            for column in sheet.hidden_cols:
                made.set_column(column - 1, column - 1, None, None, {"hidden": True})
            if sheet.hidden:
                made.hide()


def _failing(error: CellError) -> str:
    return {"#DIV/0!": "=1/0", "#N/A": "=NA()"}.get(error.code, "=#REF!+1")


def _openpyxl(path: Path, sheets: Sequence[Sheet]) -> None:
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    strike = Font(strike=True)
    for sheet in sheets:
        made = book.create_sheet(sheet.name)
        for (row, column), value in sheet.cells.items():
            cell = made.cell(row, column)
            if isinstance(value, Formula):
                cell.value = value.text
            elif isinstance(value, CellError):
                cell.value, cell.data_type = value.code, "e"
            else:
                cell.value = value
                if isinstance(value, str) and value.startswith("="):
                    cell.data_type = "s"
            if row in sheet.struck:
                cell.font = strike
        for top, left, bottom, right in sheet.merges:
            made.merge_cells(start_row=top, start_column=left, end_row=bottom, end_column=right)
        for row in sheet.hidden_rows:
            made.row_dimensions[row].hidden = True
        for column in sheet.hidden_cols:
            made.column_dimensions[column_letter(column)].hidden = True
        if sheet.hidden:
            made.sheet_state = "hidden"
    book.save(path)


_MACRO: Final = "application/vnd.ms-excel.sheet.macroEnabled.main+xml"
_PLAIN: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"


def _xlsm(path: Path, sheets: Sequence[Sheet]) -> None:
    """A workbook that says it has macros; what stands for them is no program."""
    plain = path.with_suffix(".plain.xlsx")
    _xlsxwriter(plain, sheets)
    with zipfile.ZipFile(plain) as source, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for name in source.namelist():
            content = source.read(name)
            if name == "[Content_Types].xml":
                content = content.replace(_PLAIN.encode(), _MACRO.encode())
            made.writestr(name, content)
        made.writestr("xl/vbaProject.bin", b"no macros here")
    plain.unlink()


def _csv(
    path: Path, sheets: Sequence[Sheet], delimiter: str = ",", encoding: str = "utf-8", comma: bool = False
) -> None:
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter)
    for row in sheets[0].rows():
        writer.writerow([_plain_text(value, comma) for value in row])
    path.write_bytes(out.getvalue().encode(encoding, "replace"))


def _plain_text(value: Any, comma: bool) -> str:
    if value is None:
        return ""
    if isinstance(value, Formula):
        value = value.kept
    if isinstance(value, datetime):
        return value.strftime("%d-%b")
    if isinstance(value, (int, float)):
        text = f"{value:.12g}"
        return text.replace(".", ",") if comma else text
    return str(value)


def _ods(path: Path, sheets: Sequence[Sheet]) -> None:
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.style import Style, TableProperties, TextProperties
    from odf.table import CoveredTableCell, Table, TableCell, TableColumn, TableRow
    from odf.text import P

    book = OpenDocumentSpreadsheet()
    strike = Style(name="struck", family="table-cell")
    strike.addElement(TextProperties(textlinethroughstyle="solid"))
    unseen = Style(name="unseen", family="table")
    unseen.addElement(TableProperties(display="false"))
    for style in (strike, unseen):
        book.automaticstyles.addElement(style)
    for sheet in sheets:
        made = Table(name=sheet.name, **({"stylename": unseen} if sheet.hidden else {}))
        rows = sheet.rows()
        for column in range(1, len(rows[0]) + 1):
            made.addElement(TableColumn(**_collapsed(column in sheet.hidden_cols)))
        spans = {
            (top, left): (bottom - top + 1, right - left + 1) for top, left, bottom, right in sheet.merges
        }
        inside = {
            (row, column)
            for top, left, bottom, right in sheet.merges
            for row in range(top, bottom + 1)
            for column in range(left, right + 1)
            if (row, column) != (top, left)
        }
        for at, row in enumerate(rows, 1):
            line = TableRow(**_collapsed(at in sheet.hidden_rows))
            for column, value in enumerate(row, 1):
                about: dict[str, Any] = {"stylename": strike} if at in sheet.struck else {}
                if (at, column) in spans:
                    about["numberrowsspanned"], about["numbercolumnsspanned"] = spans[at, column]
                if (at, column) in inside:
                    line.addElement(CoveredTableCell())
                    continue
                if isinstance(value, Formula):
                    value = value.kept
                if isinstance(value, (int, float)):
                    about |= {"valuetype": "float", "value": value}
                elif isinstance(value, datetime):
                    about |= {"valuetype": "date", "datevalue": value.date().isoformat()}
                elif isinstance(value, CellError):
                    about |= {"valuetype": "string", "stringvalue": "", "formula": "of:=NA()"}
                elif value is not None:
                    about |= {"valuetype": "string"}
                cell = TableCell(**about)
                if isinstance(value, CellError):
                    cell.setAttrNS(_CALC_EXTENSION, "value-type", "error")
                if value is not None:
                    for text in str(value).split("\n"):
                        cell.addElement(P(text=text))
                line.addElement(cell)
            made.addElement(line)
        book.spreadsheet.addElement(made)
    book.save(path)


_CALC_EXTENSION: Final = "urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"
"""Namespace in which a spreadsheet program marks error cells of an .ods."""


def _collapsed(hidden: bool) -> dict[str, str]:
    return {"visibility": "collapse"} if hidden else {}


def _office(path: Path, sheets: Sequence[Sheet]) -> None:
    """Through a spreadsheet program: the file is written by it, from one of the kinds above."""
    source = path.with_suffix(".source.xlsx")
    _xlsxwriter(source, sheets)
    folder = path.parent / "office"
    kind = path.suffix.lstrip(".")
    done = subprocess.run(
        ["soffice", f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", kind,
         "--outdir", str(folder), str(source)],
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    made = folder / f"{path.stem}.source.{kind}"
    assert made.exists(), f"soffice wrote no {kind} file: {done.stderr}"
    made.replace(path)
    source.unlink()


def _xlsb(path: Path, sheets: Sequence[Sheet]) -> None:
    from tests.generator.binary import write_xlsb

    write_xlsb(path, [(sheet.name, sheet.rows()) for sheet in sheets])


WRITERS: Final = {
    "xlsxwriter": _xlsxwriter,
    "openpyxl": _openpyxl,
    "xlsm": _xlsm,
    "csv": _csv,
    "ods": _ods,
    "office": _office,
    "xlsb": _xlsb,
}
