"""Workbooks packed as no usual program packs them, yet as plain readers open them: all are read alike."""

from __future__ import annotations

import io
import re
import struct
import warnings
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter

from tests.test_reader import binary_workbook
from xlfuncs.cli import main
from xlfuncs.errors import XlfuncsError
from xlfuncs.hosts.recalculate import recalculate
from xlfuncs.lists.reader import load_grid, read_book
from xlfuncs.spreadsheet.kept import formula_cells

Parts = dict[str, bytes]
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
HEAD = ["Tag No.", "Fluid", "Density (kg/m3)", "Float Part No.", "C/C (mm)", "Mass (g)", "Length in", "Seen"]


def usual(path: Path) -> Path:
    """An index with all that is looked for: formulas, an error, hidden, struck and merged cells, a table."""
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Index & more")
        struck = book.add_format({"font_strikeout": True})
        date = book.add_format({"num_format": "yyyy-mm-dd"})
        sheet.merge_range("A1:C1", "Level gauges")
        sheet.write_row("A3", HEAD)
        for row in range(4, 9):
            look = struck if row == 7 else None
            sheet.write_row(row - 1, 0, [f"LG-{row}", "Öl", 900 + row, f"ZF-{row}", 800, 250], look)
            sheet.write_formula(row - 1, 6, f'=LG_CONVERT(E{row},"mm","in")', look, 0)
            sheet.write_number(row - 1, 7, 45000 + row, date)
        sheet.write_formula("C6", "=NA()", None, "#N/A")
        sheet.set_row(4, None, None, {"hidden": True})
        sheet.add_table("J3:K5", {"columns": [{"header": "One"}, {"header": "Two"}]})
        sheet.write_formula("M3", "=SUM(E4:E8)", None, 4000)
        book.define_name("Bore", "='Index & more'!$E$4")
        other = book.add_worksheet("Notes")
        other.write("A1", "of the plant")
        other.hide()
    return path


def parts_of(path: Path) -> Parts:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def pack(path: Path, parts: Parts, **options: Any) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(raw_name(name), content)
    return path


def raw_name(name: str) -> zipfile.ZipInfo:
    """An entry of exactly that name: `ZipInfo` itself would mend it on some systems."""
    info = zipfile.ZipInfo("x")
    info.filename = info.orig_filename = name
    info.compress_type = zipfile.ZIP_DEFLATED
    return info


# --- what differs from the usual -----------------------------------------------------------------

WORKBOOK, LINKS, ROOT = "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "_rels/.rels"
TYPES = "[Content_Types].xml"
SHEET = "xl/worksheets/sheet1.xml"


def renamed(parts: Parts, change: Callable[[str], str]) -> Parts:
    return {change(name): content for name, content in parts.items()}


def replaced(parts: Parts, part: str, *pairs: tuple[str, str]) -> Parts:
    text = parts[part].decode()
    for old, new in pairs:
        assert re.search(old, text), (part, old)
        text = re.sub(old, new, text)
    return {**parts, part: text.encode()}


def without(parts: Parts, *names: str) -> Parts:
    return {name: content for name, content in parts.items() if not name.startswith(names)}


def backslashes(parts: Parts) -> Parts:
    return renamed(parts, lambda name: name.replace("/", "\\"))


def some_backslashes(parts: Parts) -> Parts:
    return renamed(parts, lambda name: name.replace("/", "\\") if "sheet" in name.lower() else name)


def workbook_in_capitals(parts: Parts) -> Parts:
    return renamed(parts, lambda name: name.replace("workbook", "Workbook"))


def all_in_capitals(parts: Parts) -> Parts:
    return renamed(parts, str.upper)


def leading_slashes(parts: Parts) -> Parts:
    return renamed(parts, lambda name: "/" + name)


def leading_dots(parts: Parts) -> Parts:
    return renamed(parts, lambda name: "./" + name)


def elsewhere(parts: Parts) -> Parts:
    """Workbook and sheets of other names in other folders."""
    moved = renamed(
        parts,
        lambda name: (
            name.replace("xl/workbook.xml", "book/main.xml")
            .replace("xl/_rels/workbook.xml", "book/_rels/main.xml")
            .replace("xl/worksheets/_rels/sheet1", "pages/_rels/eins")
            .replace("xl/worksheets/sheet1", "pages/eins")
        ),
    )
    moved = replaced(moved, ROOT, ("xl/workbook.xml", "book/main.xml"))
    moved = replaced(
        moved,
        TYPES,
        ("/xl/workbook.xml", "/book/main.xml"),
        ("/xl/worksheets/sheet1.xml", "/pages/eins.xml"),
    )
    moved = replaced(
        moved,
        "book/_rels/main.xml.rels",
        ('Target="(?!worksheets/sheet1)', 'Target="../xl/'),
        ('Target="worksheets/sheet1.xml', 'Target="../pages/eins.xml'),
    )
    return replaced(moved, "pages/_rels/eins.xml.rels", (r'Target="\.\./', 'Target="../xl/'))


def elsewhere_with_a_stale_copy(parts: Parts) -> Parts:
    """At the usual place there is a workbook too, which nothing points to."""
    stale = replaced(parts, WORKBOOK, ("Index &amp; more", "Old"))
    return {**stale, **elsewhere(parts)}


def absolute(parts: Parts) -> Parts:
    parts = replaced(parts, LINKS, ('Target="', 'Target="/xl/'))
    return replaced(parts, ROOT, ('Target="', 'Target="/'))


def roundabout(parts: Parts) -> Parts:
    parts = replaced(parts, LINKS, ('Target="', 'Target="./../xl/'))
    return replaced(parts, ROOT, ('Target="xl', 'Target="./xl/../xl'))


def from_the_root_without_slash(parts: Parts) -> Parts:
    return replaced(parts, LINKS, ('Target="', 'Target="xl/'))


def targets_with_backslashes(parts: Parts) -> Parts:
    parts = replaced(parts, LINKS, ("worksheets/", r"worksheets\\"))
    return replaced(parts, ROOT, ("xl/workbook", r"xl\\workbook"))


def targets_in_capitals(parts: Parts) -> Parts:
    return replaced(parts, LINKS, ("sheet(?=[12].xml)", "SHEET"), ("worksheets/", "Worksheets/"))


def targets_quoted(parts: Parts) -> Parts:
    parts = replaced(parts, LINKS, ("sheet1.xml", "sheet%201.xml"))
    parts = replaced(parts, TYPES, ("sheet1.xml", "sheet%201.xml"))
    return renamed(parts, lambda name: name.replace("sheet1", "sheet 1"))


def without_properties(parts: Parts) -> Parts:
    parts = without(parts, "docProps")
    return replaced(parts, ROOT, (r"<Relationship [^>]*docProps[^>]*/>", ""))


def without_properties_that_are_named(parts: Parts) -> Parts:
    return without(parts, "docProps")


def without_theme_and_types(parts: Parts) -> Parts:
    return without(parts, "xl/theme", TYPES)


def without_root_links(parts: Parts) -> Parts:
    return without(parts, ROOT)


def without_type_of_the_workbook(parts: Parts) -> Parts:
    return replaced(parts, TYPES, ('<Override PartName="/xl/workbook.xml"[^>]*/>', ""))


def odd_sheet_ids(parts: Parts) -> Parts:
    return replaced(parts, WORKBOOK, ('sheetId="1"', 'sheetId="one"'), ('sheetId="2"', 'sheetId=""'))


def no_sheet_ids(parts: Parts) -> Parts:
    return replaced(parts, WORKBOOK, (' sheetId="[12]"', ""))


def other_prefix_of_ids(parts: Parts) -> Parts:
    return replaced(parts, WORKBOOK, ("xmlns:r=", "xmlns:rel="), (" r:id=", " rel:id="))


def prefix_declared_at_the_sheet(parts: Parts) -> Parts:
    declared = 'xmlns:d3p1="http://schemas.openxmlformats.org/officeDocument/2006/relationships" d3p1:id='
    return replaced(parts, WORKBOOK, (" xmlns:r=[^ >]*", ""), ("r:id=", declared))


def prefixed_elements(parts: Parts) -> Parts:
    out = dict(parts)
    for name in (WORKBOOK, SHEET, "xl/worksheets/sheet2.xml", "xl/sharedStrings.xml", "xl/styles.xml"):
        text = re.sub(r"<(/?)(?=[A-Za-z])", r"<\1x:", parts[name].decode())
        out[name] = text.replace("xmlns=", "xmlns:x=").encode()
    return out


def prefixed_links(parts: Parts) -> Parts:
    out = dict(parts)
    for name in (LINKS, ROOT, TYPES):
        text = re.sub(r"<(/?)(?=[A-Za-z])", r"<\1p:", parts[name].decode())
        out[name] = text.replace("xmlns=", "xmlns:p=").encode()
    return out


def strict(parts: Parts) -> Parts:
    """The namespaces of ISO/IEC 29500 strict."""
    names = (
        (
            b"http://schemas.openxmlformats.org/spreadsheetml/2006/main",
            b"http://purl.oclc.org/ooxml/spreadsheetml/main",
        ),
        (
            b"http://schemas.openxmlformats.org/officeDocument/2006",
            b"http://purl.oclc.org/ooxml/officeDocument",
        ),
        (b"http://schemas.openxmlformats.org/drawingml/2006", b"http://purl.oclc.org/ooxml/drawingml"),
    )
    out = dict(parts)
    for name, content in parts.items():
        for old, new in names:
            content = content.replace(old, new)
        out[name] = content
    return out


def _encoded(parts: Parts, encoding: str, mark: bytes, *names: str) -> Parts:
    out = dict(parts)
    for name in names:
        text = parts[name].decode()
        said = "UTF-16" if encoding.startswith("utf-16") else encoding
        out[name] = mark + re.sub('encoding="[^"]*"', f'encoding="{said}"', text).encode(encoding)
    return out


def utf_16(parts: Parts) -> Parts:
    names = (WORKBOOK, LINKS, ROOT, TYPES, SHEET, "xl/sharedStrings.xml", "xl/styles.xml")
    return _encoded(parts, "utf-16-le", b"\xff\xfe", *names)


def utf_16_big_endian_strings(parts: Parts) -> Parts:
    return _encoded(parts, "utf-16-be", b"\xfe\xff", "xl/sharedStrings.xml")


def utf_16_sheet(parts: Parts) -> Parts:
    return _encoded(parts, "utf-16-le", b"\xff\xfe", SHEET)


def utf_8_with_mark(parts: Parts) -> Parts:
    return {name: b"\xef\xbb\xbf" + content for name, content in parts.items()}


def latin_1(parts: Parts) -> Parts:
    return _encoded(parts, "iso-8859-1", b"", WORKBOOK, SHEET, "xl/sharedStrings.xml")


def single_quotes(parts: Parts) -> Parts:
    names = (WORKBOOK, LINKS, ROOT, TYPES, SHEET)
    return {n: re.sub(rb'="([^"\']*)"', rb"='\1'", c) if n in names else c for n, c in parts.items()}


def set_out_for_people(parts: Parts) -> Parts:
    names = (WORKBOOK, LINKS, ROOT, TYPES, SHEET, "xl/sharedStrings.xml")
    return {n: re.sub(rb">(?=<[^/])", rb">\r\n  ", c) if n in names else c for n, c in parts.items()}


def folders_and_other_files(parts: Parts) -> Parts:
    return {"xl/": b"", "xl/worksheets/": b"", "__MACOSX/._x": b"x", "Thumbs.db": b"x", **parts}


def sorted_parts(parts: Parts) -> Parts:
    return dict(sorted(parts.items()))


def unsorted_parts(parts: Parts) -> Parts:
    return dict(sorted(parts.items(), reverse=True))


def table_without_a_name(parts: Parts) -> Parts:
    return replaced(parts, "xl/tables/table1.xml", (' name="Table1"', ""), (' displayName="Table1"', ""))


def table_with_display_name_alone(parts: Parts) -> Parts:
    return replaced(parts, "xl/tables/table1.xml", (' name="Table1"', ""))


def table_missing(parts: Parts) -> Parts:
    return without(parts, "xl/tables/")


def table_spoilt(parts: Parts) -> Parts:
    return replaced(parts, "xl/tables/table1.xml", (r' ref="J3:K5" tot', ' ref="J:K" tot'))


def name_without_a_name(parts: Parts) -> Parts:
    return replaced(parts, WORKBOOK, ('<definedName name="Bore">', "<definedName>"))


def name_of_no_sheet(parts: Parts) -> Parts:
    return replaced(parts, WORKBOOK, ('name="Bore"', 'name="Bore" localSheetId=""'))


def name_of_a_missing_sheet(parts: Parts) -> Parts:
    return replaced(parts, WORKBOOK, ('name="Bore"', 'name="Bore" localSheetId="77"'))


def dangling_links(parts: Parts) -> Parts:
    more = (
        f'<Relationship Id="rId90" Type="{OFFICE}/sharedStrings" Target="gone.xml"/>'
        f'<Relationship Id="rId91" Type="{OFFICE}/styles" Target="gone2.xml"/>'
        f'<Relationship Id="rId92" Type="{OFFICE}/externalLink" Target="gone3.xml"/>'
        '<Relationship Id="rId93"/><Relationship/>'
    )
    return replaced(parts, LINKS, ("</Relationships>", more + "</Relationships>"))


def empty_shared_string(parts: Parts) -> Parts:
    return replaced(parts, SHEET, ('</row><row r="4"', '<c r="P3" t="s"><v></v></c></row><row r="4"'))


def small_letters(parts: Parts) -> Parts:
    return replaced(parts, SHEET, ('<c r="A(?=[4-8])', '<c r="a'))


def rows_without_numbers(parts: Parts) -> Parts:
    return replaced(parts, SHEET, ('<row r="[4-8]"', "<row"))


def a_number_with_an_exponent(parts: Parts) -> Parts:
    return replaced(parts, SHEET, ("<v>904</v>", "<v>9.04E2</v>"))


# --- archives ------------------------------------------------------------------------------------


def with_descriptors(path: Path, parts: Parts) -> None:
    """Sizes stand behind each part, as programs write that cannot go back."""

    class OneWay(io.RawIOBase):
        def __init__(self, file: Any) -> None:
            self.file = file

        def writable(self) -> bool:
            return True

        def write(self, data: Any) -> int:
            return int(self.file.write(data))

    with path.open("wb") as file, zipfile.ZipFile(OneWay(file), "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)


def zip_64(path: Path, parts: Parts) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            with archive.open(name, "w", force_zip64=True) as stream:
                stream.write(content)


def bytes_before(path: Path, parts: Parts) -> None:
    pack(path, parts)
    path.write_bytes(b"\r\n--boundary\r\nContent-Type: any\r\n\r\n" + path.read_bytes())


def bytes_behind(path: Path, parts: Parts) -> None:
    pack(path, parts)
    path.write_bytes(path.read_bytes() + b"\r\n--boundary--\r\n" * 20)


def a_comment(path: Path, parts: Parts) -> None:
    pack(path, parts)
    with zipfile.ZipFile(path, "a") as archive:
        archive.comment = b"made by hand" * 100


def only_stored(path: Path, parts: Parts) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)


def odd_dates_and_systems(path: Path, parts: Parts) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            info = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            info.create_system, info.external_attr, info.extra = (
                0,
                0,
                struct.pack("<HH4s", 0xCAFE, 4, b"abcd"),
            )
            archive.writestr(info, content)


def an_older_part_before(path: Path, parts: Parts) -> None:
    """A part that was written again: the later one counts."""
    with warnings.catch_warnings(), zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        warnings.simplefilter("ignore")  # of the double name
        archive.writestr(SHEET, replaced(parts, SHEET, ("<v>800</v>", "<v>1</v>"))[SHEET])
        for name, content in parts.items():
            archive.writestr(name, content)


# --- they are read alike ---------------------------------------------------------------------------

PARTS = (
    backslashes, some_backslashes, workbook_in_capitals, all_in_capitals, leading_slashes, leading_dots,
    elsewhere, elsewhere_with_a_stale_copy, absolute, roundabout, from_the_root_without_slash,
    targets_with_backslashes, targets_in_capitals, targets_quoted, without_properties,
    without_properties_that_are_named, without_theme_and_types, without_root_links,
    without_type_of_the_workbook, odd_sheet_ids, no_sheet_ids, other_prefix_of_ids,
    prefix_declared_at_the_sheet, prefixed_elements, prefixed_links, strict, utf_16,
    utf_16_big_endian_strings, utf_16_sheet, utf_8_with_mark, latin_1, single_quotes, set_out_for_people,
    folders_and_other_files, sorted_parts, unsorted_parts, table_without_a_name,
    table_with_display_name_alone, table_missing, table_spoilt, name_without_a_name, name_of_no_sheet,
    name_of_a_missing_sheet, dangling_links, empty_shared_string, small_letters, rows_without_numbers,
    a_number_with_an_exponent,
)  # fmt: skip
ARCHIVES = (
    with_descriptors, zip_64, bytes_before, bytes_behind, a_comment, only_stored, odd_dates_and_systems,
    an_older_part_before,
)  # fmt: skip


def look(path: Path) -> dict[str, Any]:
    """All that is read of a workbook."""
    cells = formula_cells(path)
    assert cells is not None
    return {
        "grids": [
            (
                grid.sheet, grid.hidden, set(grid.hidden_rows), set(grid.struck), grid.merges,
                set(grid.uncalculated), grid.blind, list(grid.filled()),
            )
            for grid in load_grid(path)
        ],
        "cells": {name: (dict(sheet.values), dict(sheet.formulas)) for name, sheet in cells.sheets.items()},
    }  # fmt: skip


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return usual(tmp_path_factory.mktemp("usual") / "usual.xlsx")


@pytest.fixture(scope="module")
def seen(book: Path) -> dict[str, Any]:
    return look(book)


def test_the_usual_one_holds_all_that_is_compared(seen: dict[str, Any]) -> None:
    (_, hidden, rows, struck, merges, _, blind, cells), (_, notes_hidden, *_) = seen["grids"]
    assert (hidden, notes_hidden, rows, blind) == (False, True, {5}, False)
    assert struck == {(7, col) for col in range(1, 8)}
    assert merges == [(1, 1, 1, 3)]
    assert {(4, 1, "LG-4"), (4, 2, "Öl"), (4, 3, 904.0), (6, 3, "#N/A"), (4, 7, 0.0)} <= set(cells)
    assert sum(len(formulas) for _, formulas in seen["cells"].values()) == 7
    assert set(seen["cells"]) == {"index & more", "notes"}


@pytest.mark.parametrize("change", PARTS, ids=lambda change: change.__name__)
def test_odd_parts_are_read_and_recalculated(
    change: Callable[[Parts], Parts], book: Path, seen: dict[str, Any], tmp_path: Path
) -> None:
    _read_and_recalculate(pack(tmp_path / "odd.xlsx", change(parts_of(book))), seen)


@pytest.mark.parametrize("write", ARCHIVES, ids=lambda write: write.__name__)
def test_odd_archives_are_read_and_recalculated(
    write: Callable[[Path, Parts], None], book: Path, seen: dict[str, Any], tmp_path: Path
) -> None:
    write(tmp_path / "odd.xlsx", parts_of(book))
    _read_and_recalculate(tmp_path / "odd.xlsx", seen)


def _read_and_recalculate(path: Path, seen: dict[str, Any]) -> None:
    found = look(path)
    for what, value in seen.items():
        assert found[what] == value, what
    out = path.with_name("out.xlsx")
    report = recalculate(path, out)
    assert (report.formulas, report.reasons) == (5, {})
    after = dict(look(out)["cells"]["index & more"][0])
    assert after.pop((4, 7)) == pytest.approx(800 / 25.4)
    assert after.keys() | {(4, 7)} == seen["cells"]["index & more"][0].keys()
    before, kept = parts_of(path), parts_of(out)
    assert before.keys() == kept.keys()
    assert sum(before[name] != kept[name] for name in before) <= 2, "only sheet and workbook may differ"


@pytest.mark.parametrize("change", [backslashes, elsewhere, utf_16, table_without_a_name])
def test_the_commands_read_them(
    change: Callable[[Parts], Parts], book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = pack(tmp_path / "odd.xlsx", change(parts_of(book)))
    assert main(["columns", str(path)]) == 0
    assert "Density (kg/m3)" in capsys.readouterr().out
    assert main(["audit", str(path), "--fail-on", "never", "--format", "json"]) == 0
    assert '"rows_audited": 4' in capsys.readouterr().out
    assert main(["recalculate", str(path), "-o", str(tmp_path / "out.xlsx")]) == 0
    assert "5 formulas calculated" in capsys.readouterr().err


def test_an_annotated_copy_of_an_odd_package(book: Path, tmp_path: Path) -> None:
    path = pack(tmp_path / "odd.xlsx", backslashes(parts_of(book)))
    assert main(["audit", str(path), "--fail-on", "never", "--format", "workbook"]) == 0
    copied = parts_of(tmp_path / "odd.audited.xlsx")
    assert {name.replace("/", "\\") for name in copied} >= set(parts_of(path))
    assert [grid.sheet for grid in load_grid(tmp_path / "odd.audited.xlsx")][:3] == [
        "Index & more", "Notes", "Findings",
    ]  # fmt: skip


# --- what is missing or spoilt is told ---------------------------------------------------------------


def test_a_sheet_that_the_file_does_not_hold_is_told(book: Path, tmp_path: Path) -> None:
    more = '<sheet name="Gone" sheetId="9" r:id="rId99"/><sheet name="Gone too" sheetId="10"/>'
    parts = replaced(parts_of(book), WORKBOOK, ("</sheets>", more + "</sheets>"))
    path = pack(tmp_path / "odd.xlsx", parts)
    assert [grid.sheet for grid in load_grid(path)] == ["Index & more", "Notes", "Gone", "Gone too"]
    doubts = {(doubt.sheet, doubt.text) for doubt in read_book(path).doubts if doubt.kind == "file"}
    told = "the workbook lists this sheet, but the file does not hold it; get an intact copy"
    assert doubts == {("Gone", told), ("Gone too", told)}
    assert recalculate(path, tmp_path / "out.xlsx").formulas == 5


def test_two_sheets_of_one_name_are_told_apart(book: Path, tmp_path: Path) -> None:
    parts = replaced(parts_of(book), WORKBOOK, ('name="Notes"', 'name="Index &amp; more"'))
    path = pack(tmp_path / "odd.xlsx", parts)
    assert [grid.sheet for grid in load_grid(path)] == ["Index & more", "Index & more (2)"]
    assert set(look(path)["cells"]) == {"index & more", "index & more (2)"}


def test_without_styles_and_strings(tmp_path: Path) -> None:
    def row(number: int, *texts: str) -> str:
        cells = (
            f'<c r="{chr(65 + j)}{number}" t="inlineStr"><is><t>{text}</t></is></c>'
            for j, text in enumerate(texts)
        )
        return f'<row r="{number}">{"".join(cells)}</row>'

    def links(kind: str, target: str) -> str:
        space = "http://schemas.openxmlformats.org/package/2006/relationships"
        link = f'<Relationship Id="rId1" Type="{OFFICE}/{kind}" Target="{target}"/>'
        return f'<Relationships xmlns="{space}">{link}</Relationships>'

    space = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
    parts = {
        ROOT: links("officeDocument", WORKBOOK),
        WORKBOOK: f'<workbook {space} xmlns:r="{OFFICE}"><sheets>'
        '<sheet name="A" r:id="rId1"/></sheets></workbook>',
        LINKS: links("worksheet", "worksheets/sheet1.xml"),
        SHEET: f"<worksheet {space}><sheetData>{row(1, *HEAD[:4])}{row(2, 'LG-1', 'Öl', '904', 'ZF-1')}"
        "</sheetData></worksheet>",
    }
    path = pack(tmp_path / "odd.xlsx", {name: text.encode() for name, text in parts.items()})
    assert read_book(path).gauges[0].columns["fluid_density"].low.tolist() == [904.0]
    assert recalculate(path, tmp_path / "out.xlsx").formulas == 0


def text_that_is_nowhere(parts: Parts) -> Parts:
    return replaced(parts, SHEET, ('<c r="A3" t="s"><v>1</v></c>', '<c r="A3" t="s"><v>999</v></c>'))


def broken_sheet(parts: Parts) -> Parts:
    return replaced(parts, SHEET, ("</sheetData>", ""))


def broken_workbook(parts: Parts) -> Parts:
    return replaced(parts, WORKBOOK, ("</sheets>", ""))


def broken_styles(parts: Parts) -> Parts:
    return replaced(parts, "xl/styles.xml", ("</fonts>", ""))


def broken_strings(parts: Parts) -> Parts:
    return replaced(parts, "xl/sharedStrings.xml", ("</sst>", ""))


def no_links(parts: Parts) -> Parts:
    return without(parts, LINKS)


def row_that_is_no_number(parts: Parts) -> Parts:
    return replaced(parts, SHEET, ('<row r="6"', '<row r="six"'))


def unknown_encoding(parts: Parts) -> Parts:
    return replaced(parts, SHEET, ('encoding="UTF-8"', 'encoding="no-such"'))


def wrong_encoding(parts: Parts) -> Parts:
    return {**parts, "xl/sharedStrings.xml": parts["xl/sharedStrings.xml"].replace("Ö".encode(), b"\xff")}


SPOILT = (
    text_that_is_nowhere, broken_sheet, broken_workbook, broken_styles, broken_strings, no_links,
    row_that_is_no_number, unknown_encoding, wrong_encoding,
)  # fmt: skip
LIBRARY = re.compile(
    r"literal|Error|Exception|no item|well-formed|convert|index out|expected|NoneType|codec|b'|zipfile|Errno"
)
"""What a library says where it gives up."""


@pytest.mark.parametrize("change", SPOILT, ids=lambda change: change.__name__)
def test_what_is_spoilt_is_told_in_our_words(
    change: Callable[[Parts], Parts], book: Path, tmp_path: Path
) -> None:
    path = pack(tmp_path / "odd.xlsx", change(parts_of(book)))
    for work in (load_grid, formula_cells, lambda path: recalculate(path, tmp_path / "out.xlsx")):
        try:
            work(path)
        except XlfuncsError as error:
            said = str(error)
            assert said.startswith(str(path)), said
            assert len(said.splitlines()) == 1
            assert not LIBRARY.search(said.replace(str(path), "")), said
            assert re.search("save it again|get an intact copy", said), said
    assert [item.name for item in tmp_path.iterdir() if item.name not in ("odd.xlsx", "out.xlsx")] == []


def test_a_text_that_is_nowhere_is_named_by_its_cell(book: Path, tmp_path: Path) -> None:
    path = pack(tmp_path / "odd.xlsx", text_that_is_nowhere(parts_of(book)))
    with pytest.raises(XlfuncsError, match=r"the text of cell Index & more!A3 is not in the file"):
        recalculate(path, tmp_path / "out.xlsx")


@pytest.mark.parametrize("cut", [0.3, 0.6, 0.9, 0.99])
def test_a_file_that_is_cut_off_is_told_in_our_words(book: Path, tmp_path: Path, cut: float) -> None:
    content = book.read_bytes()
    path = tmp_path / "cut.xlsx"
    path.write_bytes(content[: int(cut * len(content))])
    for work in (load_grid, lambda path: recalculate(path, tmp_path / "out.xlsx")):
        with pytest.raises(XlfuncsError) as caught:
            work(path)
        assert not LIBRARY.search(str(caught.value).replace(str(path), "")), caught.value


def test_a_binary_workbook_with_back_slashes(tmp_path: Path) -> None:
    usual_one = binary_workbook(tmp_path / "usual.xlsb")
    path = pack(tmp_path / "odd.xlsb", backslashes(parts_of(usual_one)))
    [grid], [expected] = load_grid(path), load_grid(usual_one)
    assert list(grid.filled()) == list(expected.filled())
    assert (grid.hidden_rows, grid.blind) == (expected.hidden_rows, False) == (frozenset({3}), False)
