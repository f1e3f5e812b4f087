"""Our functions by their plain names in workbooks that Excel saved with links to the add-in."""

from __future__ import annotations

import ast
import io
import zipfile
from pathlib import Path

import openpyxl
import pytest

from xlfuncs.hosts.recalculate import recalculate
from xlfuncs.spreadsheet import plain as module
from xlfuncs.spreadsheet.changed import Changed
from xlfuncs.spreadsheet.links import drop_addins
from xlfuncs.spreadsheet.package import Package
from xlfuncs.spreadsheet.plain import plain

HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
LINK_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.externalLink+xml"


@pytest.mark.parametrize(
    ("stored", "expected"),
    [
        ("=[1]!LG_IMMERSION(A1,50,200,850)", "=LG_IMMERSION(A1,50,200,850)"),
        ("=_xldudf_LG_IMMERSION(A1,50)", "=LG_IMMERSION(A1,50)"),
        ("=_xldudf_lg_version()&[12]!lg_version()", "=LG_VERSION()&LG_VERSION()"),
        ("=_xll.LG_VERSION()+_xludf.LG_VERSION ()", "=LG_VERSION()+LG_VERSION ()"),
        ("='C:\\Users\\it''s\\old.xlam'!LG_VERSION()", "=LG_VERSION()"),
        ("=-old.xlam!LG_VERSION()", "=-LG_VERSION()"),
        ("=[1]Sheet1!LG_VERSION()", "=LG_VERSION()"),
        (
            "=IF([1]!LG_X([1]!LG_Y(B2)>4),[2]!OTHER(1),'[2]A b'!$B$1)",
            "=IF(LG_X(LG_Y(B2)>4),[2]!OTHER(1),'[2]A b'!$B$1)",
        ),
        ("LG_VERSION()", "LG_VERSION()"),
        ('="[1]!LG_VERSION()"&"a ""[1]!LG_X() ""b"', '="[1]!LG_VERSION()"&"a ""[1]!LG_X() ""b"'),
        ('=\'a"b\'!A1&[1]!LG_X("x")&"[1]!LG_X()"', '=\'a"b\'!A1&LG_X("x")&"[1]!LG_X()"'),
        (
            "=Table1['[1]!LG_X(']+Table1[[a''b]:[c]]+[1]!LG_X(1)",
            "=Table1['[1]!LG_X(']+Table1[[a''b]:[c]]+LG_X(1)",
        ),
        ("=[1]!LG_NAME+MY_LG_X(1)+_LG_X(2)", "=[1]!LG_NAME+MY_LG_X(1)+_LG_X(2)"),
        ("=C:\\x\\old.xlam!LG_X(1)", "=C:\\x\\old.xlam!LG_X(1)"),
    ],
)
def test_our_functions_stand_by_their_plain_names(stored: str, expected: str) -> None:
    assert plain(stored) == expected
    assert plain(expected) == expected


def test_functions_of_others_keep_their_workbook() -> None:
    formula = "[1]!LG_OF_ANOTHER(1)+[1]!LG_X(2)"
    assert plain(formula, {"LG_X"}) == "[1]!LG_OF_ANOTHER(1)+LG_X(2)"


def test_libreoffice_of_any_age_can_load_the_names() -> None:
    tree = ast.parse(Path(module.__file__).read_text(encoding="utf-8"), feature_version=(3, 7))
    imports = [node for node in ast.walk(tree) if isinstance(node, (ast.Import, ast.ImportFrom))]
    assert [alias.name for node in imports for alias in node.names] == ["re"]


# --- a whole workbook ---------------------------------------------------------------------------------


def package(formulas: dict[str, str], links: int, name: str = "", button: str = "") -> dict[str, bytes]:
    """A workbook as Excel saves it: formulas in cells, numbered links, a name, a button with a macro."""
    numbers = range(1, links + 1)
    cells = "".join(
        f'<row r="{cell[1:]}"><c r="{cell}"><f>{text}</f><v>1</v></c></row>'
        for cell, text in formulas.items()
    )
    references = "".join(f'<externalReference r:id="rId{n + 1}"/>' for n in numbers)
    names = f'<definedNames><definedName name="N">{name}</definedName></definedNames>' if name else ""
    relation = '<Relationship Id="rId{}" Type="{}/{}" Target="{}"{}/>'
    found = {
        "[Content_Types].xml": f'<Types xmlns="{PACKAGE}/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Default Extension="xml" ContentType="application/xml"/>'
        '<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.'
        'spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType='
        '"application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
        + "".join(
            f'<Override PartName="/xl/externalLinks/externalLink{n}.xml" ContentType="{LINK_TYPE}"/>'
            for n in numbers
        )
        + "</Types>",
        "_rels/.rels": f'<Relationships xmlns="{PACKAGE}/relationships">'
        + relation.format(1, OFFICE, "officeDocument", "xl/workbook.xml", "")
        + "</Relationships>",
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}"><sheets>'
        f'<sheet name="Index" sheetId="1" r:id="rId1"/></sheets>'
        f"<externalReferences>{references}</externalReferences>{names}</workbook>",
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{PACKAGE}/relationships">'
        + relation.format(1, OFFICE, "worksheet", "worksheets/sheet1.xml", "")
        + "".join(
            relation.format(n + 1, OFFICE, "externalLink", f"externalLinks/externalLink{n}.xml", "")
            for n in numbers
        )
        + "</Relationships>",
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{MAIN}"><sheetData>{cells}</sheetData></worksheet>',
    }
    for n in numbers:
        found[f"xl/externalLinks/externalLink{n}.xml"] = (
            f'<externalLink xmlns="{MAIN}"><externalBook xmlns:r="{OFFICE}" r:id="rId1"><sheetNames>'
            '<sheetName val="Sheet1"/></sheetNames></externalBook></externalLink>'
        )
        found[f"xl/externalLinks/_rels/externalLink{n}.xml.rels"] = (
            f'<Relationships xmlns="{PACKAGE}/relationships">'
            + relation.format(1, OFFICE, "externalLinkPath", f"book{n}.xlsx", ' TargetMode="External"')
            + "</Relationships>"
        )
    if button:
        found["xl/drawings/drawing1.xml"] = f'<xdr:sp xmlns:xdr="x" macro="{button}" textlink=""></xdr:sp>'
    return {part: (HEAD + text).encode() for part, text in found.items()}


def archive(parts: dict[str, bytes]) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as made:
        for name, data in parts.items():
            made.writestr(name, data)
    return file.getvalue()


def mended(parts: dict[str, bytes], folder: Path, known: set[str] | None = None) -> dict[str, bytes]:
    """The parts of the copy."""
    with Package(archive(parts)) as package:
        copy = Changed(package)
        drop_addins(copy, known)
        copy.save(folder / "copy.xlsx")
    with zipfile.ZipFile(folder / "copy.xlsx") as made:
        return {name: made.read(name) for name in made.namelist()}


def differing(parts: dict[str, bytes], new: dict[str, bytes]) -> set[str]:
    return {name for name in parts.keys() | new.keys() if parts.get(name) != new.get(name)}


def opened(parts: dict[str, bytes]) -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(archive(parts)))


def test_the_link_to_the_addin_goes_with_its_last_use(tmp_path: Path) -> None:
    parts = package({"A1": "[1]!LG_X(1)", "A2": "IF([1]!LG_Y(A1)&gt;2,&quot;&amp;&quot;,A1)"}, 1)
    new = mended(parts, tmp_path)
    assert set(parts) - set(new) == {
        "xl/externalLinks/externalLink1.xml",
        "xl/externalLinks/_rels/externalLink1.xml.rels",
    }
    assert b"xternal" not in b"".join(new.values())
    sheet = opened(new).worksheets[0]
    assert sheet["A1"].value == "=LG_X(1)"
    assert sheet["A2"].value == '=IF(LG_Y(A1)>2,"&",A1)'


def test_links_to_other_workbooks_stay_and_get_their_new_numbers(tmp_path: Path) -> None:
    formulas = {
        "A1": "[2]!LG_X([3]Sheet1!$A$1,'[1]A b'!B2)",
        "A2": "SUM('[3]Sheet 1'!A1:A9)+Table1[2]",
        "A3": "&quot;[3]!&quot;&amp;[3]!TOTAL",
        "A4": "1+1",
    }
    new = mended(package(formulas, 3, name="'[3]Sheet 1'!$A$1"), tmp_path)
    book = opened(new)
    sheet = book.worksheets[0]
    assert sheet["A1"].value == "=LG_X([2]Sheet1!$A$1,'[1]A b'!B2)"
    assert sheet["A2"].value == "=SUM('[2]Sheet 1'!A1:A9)+Table1[2]"
    assert sheet["A3"].value == '="[3]!"&[2]!TOTAL'
    assert sheet["A4"].value == "=1+1"
    assert book.defined_names["N"].attr_text == "'[2]Sheet 1'!$A$1"
    assert [link.file_link.Target for link in vars(book)["_external_links"]] == ["book1.xlsx", "book3.xlsx"]


def test_a_link_that_something_else_uses_stays(tmp_path: Path) -> None:
    parts = package({"A1": "[1]!LG_X(1)", "A2": "[1]Sheet1!$A$1"}, 1)
    new = mended(parts, tmp_path)
    assert differing(parts, new) == {"xl/worksheets/sheet1.xml"}
    sheet = opened(new).worksheets[0]
    assert (sheet["A1"].value, sheet["A2"].value) == ("=LG_X(1)", "=[1]Sheet1!$A$1")


def test_links_keep_their_numbers_where_a_macro_uses_one(tmp_path: Path) -> None:
    parts = package({"A1": "[1]!LG_X(1)"}, 2, button="[2]!Print")
    assert differing(parts, mended(parts, tmp_path)) == {"xl/worksheets/sheet1.xml"}
    parts = package({"A1": "[2]!LG_X(1)"}, 2, button="[1]!Print")
    assert "xl/externalLinks/externalLink2.xml" not in mended(parts, tmp_path)


def test_a_workbook_without_our_functions_keeps_every_byte(tmp_path: Path) -> None:
    parts = package({"A1": "[1]!OTHER(1)", "A2": "&quot;LG_&quot;"}, 1)
    assert mended(parts, tmp_path) == parts


def test_functions_of_others_keep_their_link(tmp_path: Path) -> None:
    parts = package({"A1": "[1]!LG_OF_ANOTHER(1)+[2]!LG_X(2)"}, 2)
    new = mended(parts, tmp_path, {"LG_X"})
    assert "xl/externalLinks/externalLink2.xml" not in new
    assert b"[1]!LG_OF_ANOTHER(1)+LG_X(2)" in new["xl/worksheets/sheet1.xml"]


def test_texts_in_cells_are_no_formulas(tmp_path: Path) -> None:
    parts = package({}, 1)
    parts["xl/sharedStrings.xml"] = f'<sst xmlns="{MAIN}"><si><t>[1]!LG_X(1)</t></si></sst>'.encode()
    assert mended(parts, tmp_path) == parts


def test_a_number_beyond_the_list_of_links_is_left_alone(tmp_path: Path) -> None:
    parts = package({"A1": "[7]!LG_X(1)"}, 1)
    assert differing(parts, mended(parts, tmp_path)) == {"xl/worksheets/sheet1.xml"}


def test_a_recalculated_copy_has_plain_names_and_no_link_when_asked(tmp_path: Path) -> None:
    formulas = {"A1": "[1]!LG_IMMERSION(280,50,200,850)", "A2": "A1+_xldudf_LG_IMMERSION(280,50,200,850)"}
    (tmp_path / "in.xlsx").write_bytes(archive(package(formulas, 1, name="[1]!LG_VERSION()")))
    recalculate(tmp_path / "in.xlsx", tmp_path / "out.xlsx", plain_names=True)
    book = openpyxl.load_workbook(tmp_path / "out.xlsx")
    assert vars(book)["_external_links"] == []
    assert book.defined_names["N"].attr_text == "LG_VERSION()"
    assert book.worksheets[0]["A1"].value == "=LG_IMMERSION(280,50,200,850)"
    assert book.worksheets[0]["A2"].value == "=A1+LG_IMMERSION(280,50,200,850)"
    kept = openpyxl.load_workbook(tmp_path / "out.xlsx", data_only=True).worksheets[0]
    assert kept["A2"].value == pytest.approx(2 * kept["A1"].value)
    recalculate(tmp_path / "in.xlsx", tmp_path / "as it was.xlsx")
    assert len(vars(openpyxl.load_workbook(tmp_path / "as it was.xlsx"))["_external_links"]) == 1
