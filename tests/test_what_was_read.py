"""What was left out, and where things stand that are not in the audited workbook: told in every report."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.model import AuditResult, Finding, Severity
from xlfuncs.cli import main
from xlfuncs.lists.reader import read_book
from xlfuncs.report import _proof, html, text
from xlfuncs.report import workbook as annotated

HEAD = [
    "Tag",
    "Fluid",
    "Density (kg/m3)",
    "C/C (mm)",
    "Zeta potential",
    "Steam out (mm)",
    "Qty",
    "Omega by X",
]
ROW = ["LG-101", "Water", 998, 900, "high", 5, 1, None]


def save(path: Path, *rows: Sequence[Any], sheet: str = "Index") -> Path:
    book = openpyxl.Workbook()
    page = book.worksheets[0]
    page.title = sheet
    for row in rows:
        page.append(list(row))
    book.save(path)
    return path


@pytest.fixture
def result(tmp_path: Path) -> AuditResult:
    return audit_book(save(tmp_path / "a.xlsx", HEAD, ROW))


def test_columns_with_data_that_were_not_read(result: AuditResult) -> None:
    told = {entry["cell"]: (entry["heading"], entry["known_as"]) for entry in result.unread_columns}
    assert told == {"E1": ("Zeta potential", ""), "F1": ("Steam out (mm)", ""), "G1": ("Qty", "commercial")}
    assert result.to_dict()["unread_columns"] == result.unread_columns


def test_an_empty_column_is_not_named(result: AuditResult) -> None:
    assert "H1" not in [entry["cell"] for entry in result.unread_columns]


def test_the_nearest_field_is_named(tmp_path: Path) -> None:
    path = save(tmp_path / "a.xlsx", [*HEAD, "Oil density"], [*ROW, 800])
    entry = next(e for e in audit_book(path).unread_columns if e["cell"] == "I1")
    assert entry["nearest"] == "upper_density"


def test_text_html_and_workbook_name_them(result: AuditResult, tmp_path: Path) -> None:
    out = io.StringIO()
    text.write([result], out)
    said = " ".join(out.getvalue().split())
    assert "Columns not read: Index: E 'Zeta potential'" in said
    assert "of no use to the audit: G 'Qty'" in said
    page = html.text([result])
    assert "Columns not read" in page
    assert "Zeta potential" in page
    path, _ = annotated.write(result, tmp_path / "a.xlsx", tmp_path / "b.xlsx")
    sheet = openpyxl.load_workbook(path)["Settings used"]
    assert any("Zeta potential" in str(cell) for row in sheet.iter_rows(values_only=True) for cell in row)


def test_columns_command_lists_them(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = save(tmp_path / "a.xlsx", [*HEAD, "Oil density"], [*ROW, 800])
    assert main(["columns", str(path)]) == 0
    out = capsys.readouterr().out
    below = out[out.index("Columns not read") :]
    assert "E  Zeta potential" in below
    assert "I  Oil density  nearest: upper_density" in below
    assert "Omega by X" not in out


def test_labels_of_a_data_sheet_that_were_not_read(tmp_path: Path) -> None:
    rows = [
        ["Tag number", "LG-7"], ["Fluid", "Water"], ["Operating density", "917 kg/m3"],
        ["Zeta potential", "high"], ["Float mass", "310 g"], ["Float diameter", "52 mm"],
    ]  # fmt: skip
    unread = audit_book(save(tmp_path / "a.xlsx", *rows)).unread_columns
    assert [entry["heading"] for entry in unread] == ["Zeta potential"]


# --- the float list of a second workbook ------------------------------------------------------------

FLOATS: list[list[Any]] = [
    [
        "Part no.",
        "Mass (g)",
        "Diameter (mm)",
        "Length (mm)",
        "Magnet height (mm)",
        "Ends",
        "Max. pressure (bar)",
    ],
    ["ZF-1", 300, 50, -250, 181, "flat", 40],
]
INDEX: list[list[Any]] = [
    ["Tag", "Fluid", "Density (kg/m3)", "Float part no."],
    ["LG-101", "Water", 998, "ZF-1"],
]


@pytest.fixture
def two(tmp_path: Path) -> tuple[Path, Path]:
    """An index and a float list whose sheets have one name."""
    return save(tmp_path / "index.xlsx", *INDEX), save(tmp_path / "list.xlsx", *FLOATS)


def test_sheets_of_a_second_workbook_are_named_with_it(two: tuple[Path, Path]) -> None:
    path, floats = two
    book = read_book(path, floats=floats)
    assert [table.sheet for table in (*book.gauges, *book.floats)] == ["Index", "[list.xlsx]Index"]
    assert {found.sheet for found in book.floats[0].recognised} == {"[list.xlsx]Index"}
    result = audit_book(path, floats=floats)
    assert set(result.columns) == {"Index", "[list.xlsx]Index"}
    places = {(f.rule, f.sheet, f.cell) for f in result.findings}
    assert ("value-implausible", "[list.xlsx]Index", "D2") in places
    assert ("unit-ambiguous", "[list.xlsx]Index", "G1") in places


def test_the_copy_lists_them_without_link_and_comment(two: tuple[Path, Path], tmp_path: Path) -> None:
    path, floats = two
    made, _ = annotated.write(audit_book(path, floats=floats), path, tmp_path / "copy.xlsx")
    book = openpyxl.load_workbook(made)
    assert not [
        cell
        for row in book["Index"].iter_rows()
        for cell in row
        if cell.comment and cell.row == 2 and cell.column == 4
    ]
    listed = [
        cell for row in book["Findings"].iter_rows() for cell in row if "[list.xlsx]" in str(cell.value)
    ]
    assert listed
    assert not [cell for cell in listed if cell.hyperlink]


def test_map_reaches_a_second_workbook_by_its_sheet(two: tuple[Path, Path]) -> None:
    path, floats = two
    book = read_book(path, floats=floats, mapping={"float_wall": "Index!E"})
    assert "float_wall" in book.floats[0].columns


# --- a damaged part ---------------------------------------------------------------------------------


def test_formulas_that_cannot_be_read_are_a_doubt(tmp_path: Path) -> None:
    rows: list[list[Any]] = [*INDEX, ["LG-102", "Water", "=C2", "ZF-1"]]
    path = save(tmp_path / "a.xlsx", *rows)
    with zipfile.ZipFile(path) as old:
        parts = {name: old.read(name) for name in old.namelist()}
    parts["xl/worksheets/sheet9.xml"] = b"<worksheet><f>1</f>"  # no sheet of the book, and not whole
    parts["xl/_rels/workbook.xml.rels"] = parts["xl/_rels/workbook.xml.rels"].replace(
        b"</Relationships>",
        b'<Relationship Id="rId99" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/'
        b'worksheet" Target="worksheets/sheet9.xml"/></Relationships>',
    )
    parts["xl/workbook.xml"] = parts["xl/workbook.xml"].replace(
        b"</sheets>",
        b'<sheet name="Broken" sheetId="99" r:id="rId99" '
        b'xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"/></sheets>',
    )
    with zipfile.ZipFile(path, "w") as new:
        for name, content in parts.items():
            new.writestr(name, content)
    result = audit_book(path)
    assert result.rows_audited == 2
    doubts = [doubt["text"] for doubt in result.doubts if doubt["kind"] == "file"]
    assert len(doubts) == 1
    assert "formulas of the workbook were not checked" in doubts[0]


# --- flange material --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("group", "flange", "chamber", "decides"),
    [
        ("2.3", "A105", "A105", "2.3"), (None, "A105", "316L", "1.1"), (None, None, "316L", "2.3"),
        (None, "unobtainium", "316L", None),
    ],
)  # fmt: skip
def test_the_flanges_own_material_decides_before_the_chamber_s(
    tmp_path: Path, group: str | None, flange: str | None, chamber: str, decides: str | None
) -> None:
    """Groups of ASME B16.5-2009, table 1: A105 is 1.1, 316L is 2.3. At 100 degC class 150 carries 17.7 barg
    in the first and 13.3 in the second (tables 2-1.1 and 2-2.3); in no material above 20."""
    head = ["Tag", "Fluid", "C/C (mm)", "Flange class", "Design pressure (barg)", "Design temperature (°C)",
            "Material group", "Flange material", "Chamber material"]  # fmt: skip
    row = ["LG-101", "Water", 900, "150", 18, 100, group, flange, chamber]
    result = audit_book(save(tmp_path / "a.xlsx", head, row))
    found = [f.evidence["material_group"] for f in result.findings if f.rule == "flange-rating-exceeded"]
    assert found == ([decides] if decides else [])
    if decides is None:
        missing = [
            m for item in result.not_checked if item.rule == "flange-rating-exceeded" for m in item.lacking
        ]
        assert missing == ["material group of the flanges (H2: 'unobtainium' is in no table of materials)"]


# --- evidence ---------------------------------------------------------------------------------------


def test_evidence_of_zero_is_shown() -> None:
    finding = Finding(
        "range-reversed", Severity.ERROR, "Index", "H2", "30-LG-3100", "URV is not above LRV", "swap them",
        evidence={"lrv_mm": 914.4, "urv_mm": 0.0},
    )  # fmt: skip
    assert _proof.beyond_message(finding) == ["LRV 914.4 mm", "URV 0 mm"]
    assert _proof.columns(finding)[2] == "LRV 914.4 mm; URV 0 mm"


def test_the_mend_of_a_number_without_unit_is_about_that(tmp_path: Path) -> None:
    head = ["Tag", "Fluid", "Operating temperature", "C/C (mm)"]
    result = audit_book(save(tmp_path / "a.xlsx", head, ["LG-101", "Water", 60, 900]))
    out = io.StringIO()
    text.write([result], out)
    assert "unit-ambiguous" in out.getvalue()
    assert (
        "barg" not in out.getvalue()[out.getvalue().index("WARNING  unit-ambiguous") :].split("Could not")[0]
    )
    assert json.loads(json.dumps(result.to_dict()))["findings"][0]["rule"] == "unit-ambiguous"
