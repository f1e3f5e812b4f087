"""Files of every kind, sound and spoilt: a right result or one clear line, never anything else."""

from __future__ import annotations

import contextlib
import hashlib
import random
import re
import shutil
import struct
import time
import zipfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
import python_calamine
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl.utils import get_column_letter

from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.model import Book, State
from xlfuncs.lists.reader import load_grid, read_book
from xlfuncs.spreadsheet import ooxml
from xlfuncs.spreadsheet.cell_values import CellError
from xlfuncs.spreadsheet.kept import formula_cells
from xlfuncs.spreadsheet.package import Package

HEAD: list[Any] = ["Tag No.", "Fluid", "Density (kg/m3)", "Float Part No.", "C/C (mm)"]
ROWS: list[list[Any]] = [["LG-101", "Water", 998.2, "ZF-1", 800], ["LG-102", "Propane", 500.5, "ZF-2", 900]]


def sound(path: Path) -> Path:
    """A workbook with two gauges."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Index"
    for row in ([], HEAD, *ROWS):
        sheet.append(row)
    book.save(path)
    return path


def refused(path: Path, **options: Any) -> str:
    """The line by which a file is refused."""
    with pytest.raises(XlfuncsError) as caught:
        read_book(path, **options)
    text = str(caught.value)
    assert "\n" not in text
    assert str(path) in text
    return text


NS = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"


def tiny(path: Path, *sheets: str, **parts: str) -> Path:
    """An .xlsx made of the given sheet XML."""
    names = [f"sheet{number}" for number in range(1, len(sheets) + 1)]
    content = "".join(
        f'<Override PartName="/xl/worksheets/{name}.xml" ContentType="application/vnd.openxmlformats-'
        'officedocument.spreadsheetml.worksheet+xml"/>'
        for name in names
    )
    book = "".join(
        f'<sheet name="{name}" sheetId="{number}" r:id="rId{number}"/>'
        for number, name in enumerate(names, 1)
    )
    links = "".join(
        f'<Relationship Id="rId{number}" Type="{RELATIONS}/worksheet" Target="worksheets/{name}.xml"/>'
        for number, name in enumerate(names, 1)
    )
    package = "http://schemas.openxmlformats.org/package/2006"
    main = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
    files = {
        "[Content_Types].xml": f'<Types xmlns="{package}/content-types"><Default Extension="rels" '
        'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{main}"/>{content}</Types>',
        "_rels/.rels": f'<Relationships xmlns="{package}/relationships"><Relationship Id="rId1" '
        f'Type="{RELATIONS}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook {NS} xmlns:r="{RELATIONS}"><sheets>{book}</sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{package}/relationships">{links}'
        "</Relationships>",
        **{f"xl/worksheets/{name}.xml": sheet for name, sheet in zip(names, sheets, strict=True)},
        **parts,
    }
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in files.items():
            archive.writestr(name, text)
    return path


def unpacked(path: Path) -> dict[str, bytes]:
    """The parts of an archive."""
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def packed(path: Path, parts: Mapping[str, bytes | bytearray]) -> None:
    """An archive of these parts in place of what is there."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, bytes(content))


def sheet_xml(rows: list[list[Any]], after: str = "", first: int = 1, before: str = "") -> str:
    """The XML of a sheet."""
    out = []
    for i, row in enumerate(rows, first):
        cells = []
        for j, value in enumerate(row):
            place = f"{chr(65 + j)}{i}"
            if isinstance(value, str):
                cells.append(f'<c r="{place}" t="inlineStr"><is><t>{value}</t></is></c>')
            elif value is not None:
                cells.append(f'<c r="{place}"><v>{value}</v></c>')
        out.append(f'<row r="{i}">{"".join(cells)}</row>')
    return f"<worksheet {NS}>{before}<sheetData>{''.join(out)}</sheetData>{after}</worksheet>"


def assert_sound(path: Path) -> None:
    book = read_book(path)
    columns = book.gauges[0].columns
    assert list(columns["tag"].text) == ["LG-101", "LG-102"]
    assert columns["fluid_density"].low.tolist() == [998.2, 500.5]
    assert columns["connection_distance"].low.tolist() == [0.8, 0.9]


# --- formats -------------------------------------------------------------------------------------


@pytest.mark.parametrize("suffix", [".xlsx", ".xlsm", ".XLSX", ".tmp"])
def test_xlsx_whatever_its_name(tmp_path: Path, suffix: str) -> None:
    assert_sound(sound(tmp_path / f"index{suffix}")) if suffix != ".tmp" else assert_sound(
        Path(shutil.move(sound(tmp_path / "index.xlsx"), tmp_path / "index.tmp"))
    )


def test_ods_with_error_hidden_and_struck_cells(tmp_path: Path) -> None:
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.style import Style, TextProperties
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    book = OpenDocumentSpreadsheet()
    struck = Style(name="struck", family="table-cell")
    struck.addElement(TextProperties(textlinethroughstyle="solid"))
    book.automaticstyles.addElement(struck)
    table = Table(name="Index")
    book.spreadsheet.addElement(table)
    third = ["LG-103", "Oil", 850, "ZF-3", 900]
    fourth = ["LG-104", "Oil", 850, "ZF-3", 900]
    for number, row in enumerate([HEAD, *ROWS, third, fourth]):
        line = TableRow(visibility="collapse") if number == 2 else TableRow()
        for value in row:
            style = {"stylename": struck} if number == 3 else {}
            if isinstance(value, str):
                cell = TableCell(valuetype="string", **style)
                cell.addElement(P(text=value))
            else:
                cell = TableCell(valuetype="float", value=str(value), **style)
            line.addElement(cell)
        table.addElement(line)
    path = tmp_path / "index.ods"
    book.save(path)
    # odfpy does not know the attribute by which a cell says that it holds an error
    _replace(
        path, "content.xml", b'office:value="850"', b'calcext:value-type="error" office:value="0"', last=True
    )
    calcext = b"urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"
    root = b"<office:document-content"
    _replace(path, "content.xml", root, root + b' xmlns:calcext="' + calcext + b'"')
    found = read_book(path)
    table = found.gauges[0]
    assert list(table.columns["tag"].text) == ["LG-101", "LG-102", "LG-104"]
    assert table.hidden.tolist() == [False, True, False]
    assert table.columns["fluid_density"].state.tolist() == [State.OK, State.OK, State.ERROR]
    assert found.skipped == {"struck through": 1}
    assert not found.doubts


def _replace(path: Path, part: str, old: bytes, new: bytes, last: bool = False) -> None:
    """Change a part of an archive."""
    parts = unpacked(path)
    assert old in parts[part]
    head, mark, tail = parts[part].rpartition(old) if last else parts[part].partition(old)
    parts[part] = head + (new if mark else b"") + tail
    packed(path, parts)


def _record(kind: int, content: bytes = b"") -> bytes:
    """A record of an .xlsb."""
    number = bytes([kind]) if kind < 128 else bytes([kind & 0x7F | 0x80, kind >> 7])
    length = len(content)
    size = bytes([length]) if length < 128 else bytes([length & 0x7F | 0x80, length >> 7])
    return number + size + content


def _wide(text: str) -> bytes:
    return struct.pack("<I", len(text)) + text.encode("utf-16-le")


def binary_workbook(path: Path) -> Path:
    """An .xlsb with three gauges, the second hidden, the third with an error cell."""
    rows = [HEAD, *ROWS, ["LG-103", "Oil", None, "ZF-3", 900]]
    sheet = _record(129) + _record(148, struct.pack("<4I", 0, len(rows) - 1, 0, 4))
    sheet += _record(145)
    for i, row in enumerate(rows):
        sheet += _record(
            0, struct.pack("<IIH", i, 0, 300) + bytes([0, 0x10 if i == 2 else 0, 0]) + struct.pack("<I", 0)
        )
        for j, value in enumerate(row):
            place = struct.pack("<II", j, 0)
            if isinstance(value, str):
                sheet += _record(6, place + _wide(value))
            elif value is None:
                sheet += _record(3, place + b"\x17")
            else:
                sheet += _record(5, place + struct.pack("<d", value))
    sheet += _record(146) + _record(130)
    bundle = struct.pack("<II", 0, 1) + _wide("rId1") + _wide("Index")
    book = _record(131) + _record(143) + _record(156, bundle) + _record(144) + _record(132)
    package = "http://schemas.openxmlformats.org/package/2006"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr(
            "[Content_Types].xml",
            f'<Types xmlns="{package}/content-types"><Default Extension="bin" '
            'ContentType="application/vnd.ms-excel.sheet.binary.macroEnabled.main"/></Types>',
        )
        archive.writestr("xl/workbook.bin", book)
        archive.writestr(
            "xl/_rels/workbook.bin.rels",
            f'<Relationships xmlns="{package}/relationships"><Relationship Id="rId1" '
            f'Type="{RELATIONS}/worksheet" Target="worksheets/sheet1.bin"/></Relationships>',
        )
        archive.writestr("xl/worksheets/sheet1.bin", sheet)
    return path


def test_xlsb_with_error_and_hidden_cells(tmp_path: Path) -> None:
    found = read_book(binary_workbook(tmp_path / "index.xlsb"))
    table = found.gauges[0]
    assert list(table.columns["tag"].text) == ["LG-101", "LG-102", "LG-103"]
    assert table.columns["fluid_density"].state.tolist() == [State.OK, State.OK, State.ERROR]
    assert table.hidden.tolist() == [False, True, False]
    assert not found.doubts


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le"])
@pytest.mark.parametrize("delimiter", [";", "\t", "|", ","])
def test_text_in_any_encoding_and_delimiter(tmp_path: Path, encoding: str, delimiter: str) -> None:
    comma = delimiter != ","
    lines = [
        ["Füllstandsanzeiger"],
        [],
        ["Messstelle", "Messstoff", "Dichte [kg/m³]", "Schwimmer", "Entraxe mm"],
    ]
    lines += [["LG-101", "Öl, leicht" if comma else "Öl", "998,2" if comma else "998.2", "ZF-1", "800"],
              ["LG-102", "Wasser", "500,5" if comma else "500.5", "0012", "900"]]  # fmt: skip
    path = tmp_path / "index.csv"
    path.write_bytes("\r\n".join(delimiter.join(line) for line in lines).encode(encoding))
    assert_sound(path)
    columns = read_book(path).gauges[0].columns
    assert columns["fluid"].text[0].startswith("Öl")
    assert columns["float_part"].text[1] == "0012"
    assert columns["fluid_density"].state.tolist() == [State.OK, State.OK]
    assert columns["fluid_density"].address(0) == "C4"
    assert columns["fluid_density"].sheet[0] == "index"


def test_quoted_text_with_line_breaks(tmp_path: Path) -> None:
    path = tmp_path / "index.csv"
    path.write_text(
        'Tag No.,"Fluid\nname",Density (kg/m3),Float Part No.\nLG-101,"Oil, ""light""\nhot",850,ZF-1\n'
    )
    columns = read_book(path).gauges[0].columns
    assert columns["fluid"].text[0] == 'Oil, "light" hot'
    assert columns["tag"].address(0) == "A2"


def test_text_that_begins_as_an_archive_does(tmp_path: Path) -> None:
    path = tmp_path / "index.csv"
    path.write_text("PK Tag No.;Fluid;Density (kg/m3)\nLG-101;Oil;850\n")
    assert [grid.value(2, 1) for grid in load_grid(path)] == ["LG-101"]


def test_grid_keeps_the_addresses_of_the_spreadsheet(tmp_path: Path) -> None:
    [grid] = load_grid(sound(tmp_path / "index.xlsx"))
    assert grid.value(2, 1) == "Tag No."
    assert grid.value(4, 3) == 500.5
    assert grid.value(99, 99) == ""
    assert grid.address(0, 2) == "C2"


def test_bytes_are_not_changed(tmp_path: Path) -> None:
    path = sound(tmp_path / "index.xlsx")
    path.chmod(0o444)
    before = hashlib.sha256(path.read_bytes()).hexdigest()
    times = path.stat().st_mtime_ns
    book = read_book(path)
    assert book.sha256 == before == hashlib.sha256(path.read_bytes()).hexdigest()
    assert path.stat().st_mtime_ns == times
    assert [entry.name for entry in tmp_path.iterdir()] == ["index.xlsx"]


# --- formulas ------------------------------------------------------------------------------------


def test_formulas_with_their_kept_values(tmp_path: Path) -> None:
    cells = (
        '<row r="2"><c r="A2" t="str"><f>"LG-"&amp;B2</f><v>LG-7</v></c>'
        '<c r="B2"><f t="shared" ref="B2:B4" si="0">C2*$D$1</f><v>7</v></c></row>'
        '<row r="3"><c r="B3"><f t="shared" si="0"/><v>8.5</v></c>'
        '<c r="C3" t="e"><f>1/0</f><v>#DIV/0!</v></c><c r="D3"><f>NOW()</f></c>'
        '<c r="E3" t="b"><f>TRUE</f><v>1</v></c></row></sheetData>'
    )
    rows = sheet_xml([["Tag No."]]).replace("</sheetData>", cells)
    book = formula_cells(tiny(tmp_path / "f.xlsx", rows))
    assert book is not None
    (sheet,) = book.sheets.values()
    found = {place: (formula.text, sheet.values.get(place)) for place, formula in sheet.formulas.items()}
    assert found == {
        (2, 1): ('"LG-"&B2', "LG-7"),
        (2, 2): ("C2*$D$1", 7.0),
        (3, 2): ("C3*$D$1", 8.5),
        (3, 3): ("1/0", CellError("#DIV/0!")),
        (3, 4): ("NOW()", None),
        (3, 5): ("TRUE", True),
    }


def test_formulas_of_each_sheet_and_of_other_formats(tmp_path: Path) -> None:
    one = sheet_xml([[1]]).replace("<v>1</v>", "<f>1</f><v>1</v>")
    book = formula_cells(tiny(tmp_path / "f.xlsx", one, one))
    assert book is not None
    assert [sheet.name for sheet in book.sheets.values() if sheet.formulas] == ["sheet1", "sheet2"]
    (tmp_path / "x.csv").write_text("=1+1")
    assert formula_cells(tmp_path / "x.csv") is None


# --- what cannot be read --------------------------------------------------------------------------


def test_missing_file(tmp_path: Path) -> None:
    assert "does not exist" in refused(tmp_path / "none.xlsx")


def test_folder(tmp_path: Path) -> None:
    assert "is a folder" in refused(tmp_path)


def test_empty_file(tmp_path: Path) -> None:
    path = tmp_path / "empty.xlsx"
    path.touch()
    assert "empty (0 bytes)" in refused(path)


def test_name_that_no_file_can_have(tmp_path: Path) -> None:
    with pytest.raises(XlfuncsError, match=r"cannot be read|does not exist"):
        read_book(Path("a\0b.xlsx"))


def test_device() -> None:
    assert "no ordinary file" in refused(Path("/dev/null"))


OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 2000


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"Tag No.,Fluid\nLG-1,Water\n", "is a text file"),
        (b"<html><body><table><tr><td>LG-1</td></tr></table></body></html>", "HTML page"),
        (b"<?xml version='1.0'?><Workbook/>", "XML file"),
        (bytes(range(256)) * 40, "no workbook"),
        (b"%PDF-1.7\n\0\0", "no workbook"),
        (b"PK\x03\x04" + b"\0" * 200, "damaged"),
        (OLE, "cannot be read"),
        (OLE + "EncryptedPackage".encode("utf-16-le"), "encrypted: remove the password"),
    ],
)  # fmt: skip
def test_no_workbook_inside(tmp_path: Path, content: bytes, says: str) -> None:
    path = tmp_path / "index.xlsx"
    path.write_bytes(content)
    assert says in refused(path)


def test_encrypted_ods_and_zip(tmp_path: Path) -> None:
    path = tmp_path / "index.ods"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("content.xml", b"\x00\x01")
        archive.writestr("META-INF/manifest.xml", "<m:manifest xmlns:m='x'><m:encryption-data/></m:manifest>")
    assert "encrypted" in refused(path)
    path = sound(tmp_path / "index.xlsx")
    content = bytearray(path.read_bytes())
    at = content.find(b"PK\x01\x02")
    content[at + 8] |= 1
    path.write_bytes(content)
    assert "encrypted" in refused(path)


def test_zip_that_is_no_workbook(tmp_path: Path) -> None:
    path = tmp_path / "index.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("index.csv", "LG-1")
    assert "without a workbook" in refused(path)


def test_binary_named_csv(tmp_path: Path) -> None:
    path = tmp_path / "index.csv"
    path.write_bytes(bytes(range(256)) * 40)
    assert "not text" in refused(path)


def test_workbook_without_values(tmp_path: Path) -> None:
    path = tmp_path / "blank.xlsx"
    openpyxl.Workbook().save(path)
    assert "is empty" in refused(path)


def test_workbook_without_an_index(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    for row in (["Item", "Name", "Spec wt"], [1, "Bolt", 3], [2, "Nut", 4]):
        book.worksheets[0].append(row)
    path = tmp_path / "parts.xlsx"
    book.save(path)
    text = refused(path)
    assert "no index of level gauges found" in text
    assert "row 1 of 'Sheet' (A1 'Item', B1 'Name', C1 'Spec wt')" in text
    assert "--map tag=B1" in text
    assert "xlfuncs columns" in text


# --- hostile files ---------------------------------------------------------------------------------


def read_or_refused(path: Path) -> Book | None:
    """The book, or None for a file that is refused in one line."""
    try:
        return read_book(path)
    except XlfuncsError as error:
        lines = str(error).splitlines()
    assert len(lines) == 1
    return None


class Limit:
    """A limit of time for a block."""

    def __init__(self, seconds: float) -> None:
        self.seconds = seconds

    def __enter__(self) -> None:
        self.start = time.monotonic()

    def __exit__(self, *_: object) -> None:
        assert time.monotonic() - self.start < self.seconds


def test_stray_cell_at_the_last_corner(tmp_path: Path) -> None:
    path = sound(tmp_path / "index.xlsx")
    book = openpyxl.load_workbook(path)
    book.worksheets[0]["XFD1048576"] = "stray"
    book.save(path)
    with Limit(30):
        assert_sound(path)
    assert read_book(path).gauges[0].columns["tag"].address(0) == "A3"


def test_cells_scattered_over_the_whole_sheet(tmp_path: Path) -> None:
    letters = get_column_letter
    cells = "".join(
        f'<row r="{i * 5000}"><c r="{letters(i * 80)}{i * 5000}"><v>1</v></c></row>' for i in range(1, 200)
    )
    path = tiny(
        tmp_path / "s.xlsx",
        sheet_xml([HEAD, *ROWS], before="").replace("</sheetData>", cells + "</sheetData>"),
    )
    with Limit(30):
        assert_sound(path)


def test_row_order_does_not_hide_how_far_a_sheet_reaches(tmp_path: Path) -> None:
    cells = '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row><row r="9"><c r="A9"><v>1</v></c></row>'
    path = tiny(tmp_path / "s.xlsx", sheet_xml([HEAD, *ROWS]).replace("</sheetData>", cells + "</sheetData>"))
    with Limit(30):
        assert_sound(path)


ODD_ROWS = st.sampled_from(
    ["<row>", '<row r="{0}">', "<row r='{0}'>", '<row s="1" r ="{0}">', "<x:row>", '<x:row r="{0}">']
)
ODD_CELLS = st.sampled_from(
    [
        *("<c>", '<c s="1">', "<x:c>", '<c t="n" r="{1}{0}">', '<c r="{1}{0}">', "<c\tr='{1}{0}'>"),
        *('<c r= "{1}{0}">', '<x:c r="{1}{0}">', '<c r="{2}{0}">', '<c r="{1}{3}">', '<c r="{2}{3}">'),
    ]
)


@given(st.data())
def test_no_cell_lies_beyond_the_reach(tmp_path_factory: pytest.TempPathFactory, data: st.DataObject) -> None:
    """The compiled reader gets no sheet that it could not hold: it would end the process."""
    letters = st.text("ABXZ", min_size=1, max_size=3) | st.text("aAbz", min_size=1, max_size=2)
    rows = []
    for _ in range(data.draw(st.integers(1, 4))):
        number = data.draw(st.integers(1, 3000))
        cells = ""
        for _ in range(data.draw(st.integers(0, 4))):
            column, other = data.draw(letters), data.draw(letters)
            opened = data.draw(ODD_CELLS).format(
                number, column, other.lower(), data.draw(st.integers(1, 99999))
            )
            cells += f"{opened}<v>1</v></{'x:' * opened.startswith('<x:')}c>"
        opened = data.draw(ODD_ROWS).format(number)
        rows.append(f"{opened}{cells}</{'x:' * opened.startswith('<x:')}row>")
    folder = tmp_path_factory.mktemp("reach")
    xml = f"<worksheet {NS} xmlns:x='x'><sheetData>{''.join(rows)}</sheetData></worksheet>"
    path = tiny(folder / "s.xlsx", xml)
    with Package(path) as package:
        reach = ooxml.reaches(package, 1 << 60)["sheet1"]
        exact = ooxml.reaches(package, 0)["sheet1"]
    if reach.row * reach.col < 1 << 21:
        with contextlib.suppress(python_calamine.CalamineError):
            end = python_calamine.CalamineWorkbook.from_path(str(path)).get_sheet_by_index(0).end
            for bound in (reach, exact):
                assert end is None or (bound.row > end[0] and bound.col > end[1]), (bound, end)
    shutil.rmtree(folder)


@pytest.mark.parametrize(
    "rows",
    [
        pytest.param(
            '<row r="9"><c r="A9"><v>1</v></c><c r="XFD1048576"><v>1</v></c></row>', id="row of a cell"
        ),
        pytest.param(
            '<row r="9"><c r="a9"><v>1</v></c><c r="xfd1048576"><v>1</v></c></row>', id="small letters"
        ),
        pytest.param('<row r="9"><c r="A9"><v>1</v></c><c r="AAAAA9"><v>1</v></c></row>', id="many letters"),
        pytest.param(
            '<row r="1048576"><c><v>1</v></c></row><row r="9"><c r="XFD9"><v>1</v></c></row>',
            id="no reference",
        ),
        pytest.param(
            f'<row r="9">{"<c><v>1</v></c>" * 9000}</row><row r ="1048576"><c><v>1</v></c></row>',
            id="counted",
        ),
        pytest.param(
            '<y:row r="1048576"><y:c><v>1</v></y:c></y:row><row r="9"><c r="XFD9"><v>1</v></c></row>',
            id="prefix",
        ),
    ],
)
def test_nothing_makes_the_reader_ask_for_all_the_memory(tmp_path: Path, rows: str) -> None:
    path = tiny(tmp_path / "s.xlsx", sheet_xml([HEAD, *ROWS]).replace("</sheetData>", rows + "</sheetData>"))
    with Limit(30):
        read_or_refused(path)


def test_rows_after_a_comment_that_ends_the_list_count() -> None:
    hidden = b"<worksheet><!-- " + b"x" * 90
    rows = b'</sheetData></sheetData> --><sheetData><row r="9"><c r="A900"/></row>'
    assert ooxml.reach(lambda: ooxml._rows([hidden, rows, b'<row r="10"><c r="B1000"/></row>'])).row == 1000


def test_sheet_in_utf_16_is_not_searched_as_if_it_were_utf_8(tmp_path: Path) -> None:
    path = tiny(tmp_path / "s.xlsx", sheet_xml([HEAD, *ROWS]))
    parts = unpacked(path)
    xml = '<?xml version="1.0" encoding="UTF-16"?>' + parts["xl/worksheets/sheet1.xml"].decode()
    parts["xl/worksheets/sheet1.xml"] = xml.encode("utf-16")
    packed(path, parts)
    with pytest.raises(ValueError, match="UTF-8"):
        ooxml.reaches(Package(path), 1)
    assert_sound(path)


def test_a_format_down_to_the_last_row_takes_no_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ooxml, "_exact_reach", None)
    whole = '<dataValidations><dataValidation sqref="A2:XFD1048576"/></dataValidations>'
    assert_sound(
        tiny(tmp_path / "s.xlsx", sheet_xml([HEAD, *ROWS], whole, before='<dimension ref="A1:XFD1048576"/>'))
    )


def test_a_million_styled_empty_rows(tmp_path: Path) -> None:
    empty = "".join(f'<row r="{i}" s="1" customFormat="1"/>' for i in range(4, 1_000_001))
    path = tiny(tmp_path / "s.xlsx", sheet_xml([HEAD, *ROWS]).replace("</sheetData>", empty + "</sheetData>"))
    with Limit(40):
        assert_sound(path)


def test_ten_thousand_sheets(tmp_path: Path) -> None:
    one, blank = sheet_xml([HEAD, *ROWS]), sheet_xml([["nothing", 1], ["here", 2]])
    path = tiny(tmp_path / "s.xlsx", *[blank] * 5_000, one, *[blank] * 4_999)
    with Limit(10 * max(6.0, path.stat().st_size / 1e6)):
        assert_sound(path)


def test_one_part_that_is_many_sheets(tmp_path: Path) -> None:
    path = tiny(tmp_path / "s.xlsx", *[sheet_xml([HEAD, *ROWS])] * 500)
    parts = unpacked(path)
    links = "xl/_rels/workbook.xml.rels"
    parts[links] = re.sub(rb"sheet\d+\.xml", b"sheet1.xml", parts[links])
    packed(path, parts)
    with Limit(5):
        assert "sheet 'sheet1' is 'sheet2' and 498 more as well" in refused(path)


def test_unpacks_to_more_than_is_read(tmp_path: Path) -> None:
    path = sound(tmp_path / "index.xlsx")
    content = bytearray(path.read_bytes())
    at = content.rfind(b"PK\x01\x02")
    content[at + 24 : at + 28] = struct.pack("<I", 0xFFFFFFF0)
    path.write_bytes(content)
    with Limit(5):
        assert "unpacks to" in refused(path)


def test_zip_that_lies_about_its_size(tmp_path: Path) -> None:
    path = tiny(
        tmp_path / "s.xlsx",
        sheet_xml([HEAD, *ROWS]).replace("</sheetData>", " " * 30_000_000 + "</sheetData>"),
    )
    content = bytearray(path.read_bytes())
    at = content.find(b"PK\x01\x02")
    while at >= 0:
        content[at + 24 : at + 28] = struct.pack("<I", 400)
        at = content.find(b"PK\x01\x02", at + 4)
    path.write_bytes(content)
    with Limit(20):
        refused(path)


@pytest.mark.parametrize(
    "merge",
    ["A1:B2,B2:C3,A1:B2", "B2:A1", "A1:XFD1048576", "A1", "A1:B2,A2:B1", "ZZZZ9:A1", ""],
)
def test_merged_ranges_that_cannot_be(tmp_path: Path, merge: str) -> None:
    merges = "".join(f'<mergeCell ref="{ref}"/>' for ref in merge.split(","))
    path = tiny(tmp_path / "s.xlsx", sheet_xml([HEAD, *ROWS], after=f"<mergeCells>{merges}</mergeCells>"))
    with Limit(20):
        book = read_or_refused(path)
    assert book is None or len(book.gauges[0]) >= 1


def test_entities_are_not_expanded(tmp_path: Path) -> None:
    bomb = '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">' + "".join(
        f'<!ENTITY {chr(98 + i)} "{f"&{chr(97 + i)};" * 10}">' for i in range(9)
    )
    sheet = bomb + "]>" + sheet_xml([HEAD, ["LG-101", "&j;", 998, "ZF-1", 800]])
    with Limit(20), pytest.raises(XlfuncsError):
        read_book(tiny(tmp_path / "s.xlsx", sheet))
    target = tmp_path / "secret.txt"
    target.write_text("secret")
    sheet = f'<!DOCTYPE x [<!ENTITY a SYSTEM "file://{target}">]>' + sheet_xml(
        [HEAD, ["LG-101", "&a;", 998, "ZF-1", 800]]
    )
    with pytest.raises(XlfuncsError) as caught:
        read_book(tiny(tmp_path / "t.xlsx", sheet))
    assert "secret" not in str(caught.value).replace("secret.txt", "")


def test_path_tricks_in_names(tmp_path: Path) -> None:
    path = tiny(tmp_path / "s.xlsx", sheet_xml([HEAD, *ROWS]))
    _replace(path, "xl/_rels/workbook.xml.rels", b"worksheets/sheet1.xml", b"../../../../etc/passwd")
    refused(path)
    with zipfile.ZipFile(tiny(path, sheet_xml([HEAD, *ROWS])), "a") as archive:
        archive.writestr("../../outside.txt", "x")
    assert_sound(path)
    assert not (tmp_path.parent / "outside.txt").exists()


def test_formulas_as_text_stay_text(tmp_path: Path) -> None:
    path = tmp_path / "index.csv"
    path.write_text(
        'Tag No.,Fluid,Density (kg/m3),Float Part No.\nLG-101,"=HYPERLINK(""http://x"")",998,ZF-1\n'
    )
    assert read_book(path).gauges[0].columns["fluid"].text[0] == '=HYPERLINK("http://x")'


def test_sheet_that_the_fast_reader_refuses_is_read_by_the_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from xlfuncs.spreadsheet import opening

    def panic(path: Path, **options: Any) -> Any:
        class PanicException(BaseException):
            pass

        raise PanicException("index out of bounds")

    path = sound(tmp_path / "index.xlsx")
    monkeypatch.setattr(opening, "calamine_grids", panic)
    assert_sound(path)


def test_broken_xml_costs_no_time(tmp_path: Path) -> None:
    for piece in ("<c ", '<c r="A1"><f>', "<row ", '<c t="e"', "<v>", "<f"):
        path = tiny(tmp_path / "s.xlsx", f"<worksheet {NS}><sheetData>" + piece * 200_000)
        with Limit(25):
            refused(path)


MUTATED = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))


@MUTATED
@given(seed=st.integers(0, 2**32), cut=st.booleans())
def test_mutated_workbooks(tmp_path_factory: pytest.TempPathFactory, seed: int, cut: bool) -> None:
    """Spoilt copies of a sound workbook: read, or refused in one line."""
    chance = random.Random(seed)
    folder = tmp_path_factory.mktemp("mutated")
    path = sound(folder / "index.xlsx")
    spoil_file(path, chance, cut)
    read_or_refused(path)
    with contextlib.suppress(XlfuncsError):
        formula_cells(path)
    shutil.rmtree(folder)


def spoil_file(path: Path, chance: random.Random, cut: bool) -> None:
    """Spoil two parts of an archive, or any other file as it lies there, perhaps without its end."""
    if zipfile.is_zipfile(path) and chance.random() < 0.7:
        parts: dict[str, Any] = unpacked(path)
        for name in chance.sample(sorted(parts), 2):
            parts[name] = bytearray(parts[name])
            spoil(parts[name], chance)
        packed(path, parts)
    else:
        content = bytearray(path.read_bytes())
        spoil(content, chance)
        path.write_bytes(content[: chance.randrange(4, len(content))] if cut else content)


def spoil(content: bytearray, chance: random.Random) -> None:
    """Change, remove or double some bytes."""
    for _ in range(chance.randrange(1, 6)):
        if len(content) < 4:
            return
        at = chance.randrange(len(content) - 1)
        match chance.randrange(4):
            case 0:
                content[at] = chance.randrange(256)
            case 1:
                del content[at : at + chance.randrange(1, 40)]
            case 2:
                content[at:at] = content[at : at + chance.randrange(1, 40)]
            case _:
                content[at : at + 1] = str(chance.choice([0, -1, 2**31, 2**63, 1e308])).encode()


@MUTATED
@given(text=st.text(max_size=400), delimiter=st.sampled_from(",;\t|"))
def test_any_text(tmp_path_factory: pytest.TempPathFactory, text: str, delimiter: str) -> None:
    folder = tmp_path_factory.mktemp("text")
    path = folder / "index.csv"
    path.write_text(delimiter.join(HEAD) + "\n" + text, encoding="utf-8", errors="surrogatepass")
    read_or_refused(path)
    shutil.rmtree(folder)


@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    values=st.lists(
        st.one_of(st.none(), st.text(max_size=30), st.floats(), st.integers(-(2**40), 2**40), st.booleans()),
        min_size=1,
        max_size=12,
    )
)
def test_any_cell_gets_a_state_and_no_number_from_nowhere(values: list[Any]) -> None:
    from xlfuncs.lists.columns import Cells, quantity_column, text_column
    from xlfuncs.lists.model import State

    n = len(values)
    raw = np.empty(n, dtype=object)
    raw[:] = ["" if value is None else value for value in values]
    place = np.ones(n, dtype=np.int64)
    cells = Cells(raw, np.full(n, "S", dtype=object), place, place)
    for unit in ("", "barg"):
        found = quantity_column("design_pressure", cells, unit).column
        numbers = np.isfinite(found.low) | np.isfinite(found.high)
        assert not numbers[~found.given & (found.state != State.IMPOSSIBLE)].any()
        assert numbers[found.given].all()
    assert len(text_column("fluid", cells)) == n
