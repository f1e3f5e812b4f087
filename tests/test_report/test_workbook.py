"""The annotated copy, the separate workbook and the data request."""

from __future__ import annotations

import hashlib
import io
import re
import shutil
import subprocess
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.chart import BarChart, Reference
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.audit.gauges import VIRTUAL
from xlfuncs.audit.model import AuditResult, Finding, Measure, NotChecked
from xlfuncs.errors import XlfuncsError
from xlfuncs.report import write
from xlfuncs.spreadsheet.splice import NotPlainXml, Splice

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
MICROSOFT = "http://schemas.microsoft.com/office"


def annotate(result: AuditResult, source: Path, output: Path | None = None) -> tuple[Path, str]:
    said = io.StringIO()
    path = write(result, "workbook", output, source=source, stream=io.StringIO(), messages=said)
    assert path is not None
    return path, said.getvalue()


@pytest.fixture
def source(index: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(index, tmp_path / index.name))


@pytest.fixture
def copy(source: Path, sample: AuditResult) -> Path:
    path, said = annotate(sample, source)
    assert said == ""
    return path


def parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as package:
        assert package.testzip() is None
        return {name: package.read(name) for name in package.namelist()}


# The copy


def test_the_copy_stands_beside_the_original_which_keeps_its_bytes(
    copy: Path, source: Path, index: Path
) -> None:
    assert copy == source.with_name("Harrow Fen index.audited.xlsx")
    assert source.read_bytes() == index.read_bytes()
    assert sorted(p.name for p in source.parent.iterdir()) == [copy.name, source.name]


def test_all_parts_without_a_finding_are_kept_byte_for_byte(copy: Path, source: Path) -> None:
    old, new = parts(source), parts(copy)
    assert old.keys() < new.keys()
    changed = {name for name in old if old[name] != new[name]}
    assert changed == {
        "[Content_Types].xml",
        "xl/workbook.xml",
        "xl/_rels/workbook.xml.rels",
        "xl/styles.xml",
        "xl/comments1.xml",
        "xl/drawings/vmlDrawing1.vml",
        "xl/worksheets/sheet1.xml",
        "xl/drawings/drawing1.xml",
    }
    page, name = new["xl/worksheets/sheet1.xml"], "xl/worksheets/sheet1.xml"
    ours = (
        rb'<conditionalFormatting sqref="[^"]*"><cfRule [^>]*><formula>[^<]*xlfuncs.*?</cfRule></[a-zA-Z]*>'
    )
    assert re.sub(ours, b"", page) == old[name]
    ours = rb"<xdr:oneCellAnchor [^>]*>(?:(?!</xdr:oneCellAnchor>).)*xlfuncs finding.*?</xdr:oneCellAnchor>"
    name = "xl/drawings/drawing1.xml"
    assert re.sub(ours, b"", new[name]) == old[name]
    assert {"xl/charts/chart1.xml", "xl/media/image1.png"} <= old.keys()


def test_the_copy_keeps_styles_formulas_kept_values_widths_filters_and_validations(
    copy: Path, source: Path
) -> None:
    def sheet(path: Path, **how: Any) -> Worksheet:
        return openpyxl.load_workbook(path, **how)["Level gauges"]

    old, new = sheet(source), sheet(copy)
    for row in old.iter_rows():
        for cell in row:
            other = new[cell.coordinate]
            assert other.value == cell.value
            assert (repr(other.font), repr(other.fill), other.number_format) == (
                repr(cell.font),
                repr(cell.fill),
                cell.number_format,
            )
    assert new.auto_filter.ref == old.auto_filter.ref
    assert [d.formula1 for d in new.data_validations.dataValidation] == ["Lists!$A$1:$A$2"]
    assert new.column_dimensions["B"].width == old.column_dimensions["B"].width
    kept = sheet(copy, data_only=True)
    assert kept["G4"].value == 18.0
    assert new["G4"].value == "=ROUND((0.8-D4)*200,1)"


def test_each_finding_has_a_comment_and_the_old_comment_stays(copy: Path) -> None:
    sheet = openpyxl.load_workbook(copy)["Level gauges"]
    text = sheet["D4"].comment.text
    assert text.startswith("Density confirmed by letter")
    assert "ERROR offset-exceeds-tolerance (LG-1201)" in text
    assert "NOTE number-as-text" in text  # two findings share the cell
    assert sheet["D4"].comment.author == "K. Planner"
    assert "it sinks" in sheet["F11"].comment.text
    assert "Mend: Choose a float" in sheet["F11"].comment.text


def test_each_comment_has_one_box_to_show_it(copy: Path, sample: AuditResult) -> None:
    vml = parts(copy)["xl/drawings/vmlDrawing1.vml"].decode()
    ids = re.findall(r'<v:shape [^>]*id="([^"]+)"', vml)
    assert len(ids) == len(set(ids)) == len({f.cell for f in sample.findings})
    assert len(re.findall("<v:shapetype", vml)) == 1
    Splice(vml.encode())


def test_the_list_links_to_the_cells(copy: Path, sample: AuditResult) -> None:
    sheet = openpyxl.load_workbook(copy)["Findings"]
    heads = [c.value for c in sheet[1]]
    first = dict(zip(heads, sheet[2], strict=True))
    assert first["Severity"].value == "error"
    assert first["No."].value == 1
    assert first["Tag"].value == "LG-1208"  # what cannot work stands first
    link = first["Cell"].hyperlink
    assert link is not None and link.location == "'Level gauges'!$F$11"
    third = dict(zip(heads, sheet[4], strict=True))
    assert (third["Tag"].value, third["Expected"].value) == ("LG-1201", "0.8 SG")
    assert third["Further evidence"].value == (
        "immersion 245.2 mm; magnet height 222.6 mm; float mass 0.33 kg; same cause: design-density-mismatch"
    )  # the reading offset stands in the message
    assert str(third["How to mend it"].value).startswith("Fit a float")
    assert sheet.max_row == 1 + len(sample.findings)
    assert sheet.auto_filter.ref == f"A1:M{sheet.max_row}"


def test_what_was_not_checked_and_the_settings_are_there(
    copy: Path, sample: AuditResult, source: Path
) -> None:
    book = openpyxl.load_workbook(copy)
    assert book.sheetnames == [
        "Level gauges",
        "Lists",
        "Findings",
        "Accepted",
        "Not checked",
        "Settings used",
    ]
    rows = list(book["Not checked"].iter_rows(min_row=2, values_only=True))
    assert [(row[0], row[1], row[2]) for row in rows] == [
        ("One answer for many gauges", "operating viscosity; bore of the chamber", 24),
        ("One answer for many gauges", "wall thickness of the float", 20),
        ("The rest", "design temperature; flange class", 1),
    ]
    assert rows[2][3:] == ("LG-1203", "flange-rating-exceeded")
    lines = {row[0]: row[1] for row in book["Settings used"].iter_rows(values_only=True)}
    assert lines["Workbook audited"] == source.name
    assert lines["sha256 of its bytes"] == hashlib.sha256(source.read_bytes()).hexdigest()
    assert lines["offset_tolerance_mm"] == "10"
    assert lines["struck through"] == 2
    assert "hydrostatic test" in str(lines["Pressure test"])


def test_the_looks_of_the_added_sheets_arrive(copy: Path) -> None:
    book = openpyxl.load_workbook(copy)
    head, link = book["Findings"]["A1"], book["Findings"]["D2"]
    assert (head.font.b, head.fill.fgColor.rgb[2:], head.font.color.rgb[2:]) == (True, "2F4858", "FFFFFF")
    assert (link.font.u, link.alignment.wrap_text) == ("single", True)
    assert book["Findings"].print_title_rows == "$1:$1"
    assert book["Level gauges"].print_title_rows is None


def test_texts_that_look_like_formulas_stay_texts(
    source: Path, sample: AuditResult, result_of: Callable[..., AuditResult], finding: Callable[..., Finding]
) -> None:
    evil = '=HYPERLINK("http://x","y")'
    marks = [finding(tag=c + "1", message=evil, found=Measure(evil)) for c in "=+-@\t"]
    path, _ = annotate(result_of(*marks, finding(message="a\x00\x1b\ufffeb")), source)
    sheet = openpyxl.load_workbook(path)["Findings"]
    for row in range(2, 7):
        for column in "CFG":
            cell = sheet[f"{column}{row}"]
            assert cell.data_type in "s", cell.coordinate
            assert cell.quotePrefix
    assert sheet["F7"].value == "a\ufffd\ufffd\ufffdb"
    assert "a\ufffd" in openpyxl.load_workbook(path)["Level gauges"]["D4"].comment.text


def test_what_was_accepted_and_what_is_mended_have_sheets_of_their_own(
    source: Path, revised: AuditResult
) -> None:
    path, _ = annotate(revised, source)
    book = openpyxl.load_workbook(path)
    assert book.sheetnames[2:] == ["Findings", "Accepted", "Mended", "Not checked", "Settings used"]
    rows = list(book["Findings"].iter_rows(values_only=True))
    assert [row[-4] for row in rows[:3]] == ["Status", "new", "still open"]
    rows = list(book["Accepted"].iter_rows(min_row=2, values_only=True))
    assert [row[0] for row in rows if row[0]] == ["LG-1203", "LG-1299", "LG-1202"]
    assert rows[0][4] == "expired on 2025-12-31: 1 finding again"
    assert str(rows[1][4]).startswith("fits no finding")
    assert rows[2][4:8] == ("until 2999-01-01", "B. Reviewer", "2026-03-02", "float weighed on site")
    assert book["Accepted"]["J4"].hyperlink.location == "'Level gauges'!$D$5"
    old = book["Mended"]
    assert (old.max_row, old["C2"].value, old["D2"].hyperlink) == (2, "LG-1299", None)
    comment = book["Level gauges"]["D5"].comment.text
    assert "ACCEPTED float-sinks (LG-1202), until 2999-01-01" in comment
    assert "B. Reviewer, 2026-03-02: float weighed on site" in comment
    assert "ERROR offset-exceeds-tolerance (LG-1201), new" in book["Level gauges"]["D4"].comment.text
    lines = {row[0]: row[1] for row in book["Settings used"].iter_rows(values_only=True)}
    assert lines["Compared with"] == "index B.xlsx"
    assert lines["Since then"] == "1 new, 1 still open, 1 mended"


@pytest.mark.calc
def test_links_lead_to_their_cells_in_calc_whatever_the_column(
    source: Path, result_of: Callable[..., AuditResult], finding: Callable[..., Finding], tmp_path: Path
) -> None:
    """R5 and C5 alone are a row and a column of the other notation of references."""
    path, _ = annotate(result_of(*(finding(cell=cell) for cell in ("R5", "C5", "RC5", "D5"))), source)
    in_calc(path, "fods", tmp_path)
    text = (tmp_path / "calc" / path.with_suffix(".fods").name).read_text(encoding="utf-8")
    for cell in ("$R$5", "$C$5", "$RC$5", "$D$5"):
        assert f'xlink:href="#&apos;Level gauges&apos;.{cell}"' in text


def in_calc(path: Path, form: str, tmp_path: Path) -> None:
    """Open the file in Calc and save it again, below tmp_path/calc."""
    command = ["soffice", f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to"]
    command += [form, "--outdir", str(tmp_path / "calc"), str(path)]
    subprocess.run(command, capture_output=True, text=True, timeout=180, check=True)


@pytest.mark.calc
def test_the_copy_opens_in_calc_and_keeps_its_numbers(copy: Path, tmp_path: Path) -> None:
    in_calc(copy, "xlsx", tmp_path)
    again = tmp_path / "calc" / copy.name
    book = openpyxl.load_workbook(again, data_only=True)
    assert book["Level gauges"]["G4"].value == 18.0
    assert "it sinks" in book["Level gauges"]["F11"].comment.text
    assert book["Findings"]["D2"].hyperlink.location == "'Level gauges'!$F$11"


def test_a_copy_can_be_annotated_again(copy: Path, sample: AuditResult) -> None:
    second, _ = annotate(sample, copy)
    book = openpyxl.load_workbook(second)
    assert book.sheetnames[-3:] == ["Accepted (2)", "Not checked (2)", "Settings used (2)"]
    assert book["Level gauges"]["F11"].comment.text.count("it sinks") == 2


def test_finding_at_an_unknown_sheet_or_without_a_cell_is_in_the_list_only(
    source: Path, result_of: Callable[..., AuditResult], finding: Callable[..., Finding]
) -> None:
    path, _ = annotate(
        result_of(finding(sheet="Elsewhere"), finding(cell=""), finding(cell="", sheet="")), source
    )
    book = openpyxl.load_workbook(path)
    assert book["Level gauges"]["D4"].comment.text == "Density confirmed by letter"
    assert book["Findings"].max_row == 4
    assert book["Findings"]["D2"].hyperlink is None


def rewritten(source: Path, target: Path, **changes: Any) -> Path:
    """The package with some parts changed by functions of their bytes, or added."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        names = old.namelist()
        for name in [*names, *(n for n in changes.get("add", {}) if n not in names)]:
            data = old.read(name) if name in names else changes["add"][name]
            new.writestr(name, changes["edit"].get(name, lambda d: d)(data) if "edit" in changes else data)
    return target


def test_a_file_that_writes_its_elements_with_a_prefix(
    source: Path, sample: AuditResult, tmp_path: Path
) -> None:
    def prefix(data: bytes) -> bytes:
        text = data.decode().replace(f'xmlns="{MAIN}"', f'xmlns:x="{MAIN}"')
        return re.sub(r"<(/?)(?=[a-zA-Z]+[ />])(?!xml)", r"<\1x:", text).encode()

    names = ["xl/workbook.xml", "xl/styles.xml", "xl/comments1.xml", "xl/worksheets/sheet2.xml"]
    odd = rewritten(source, tmp_path / "odd.xlsx", edit=dict.fromkeys(names, prefix))
    path, said = annotate(sample, odd)
    book = openpyxl.load_workbook(path)
    assert said == ""
    assert book.sheetnames[-1] == "Settings used"
    assert "it sinks" in book["Level gauges"]["F11"].comment.text
    assert book["Findings"]["A1"].font.b
    for name, data in parts(path).items():
        if name.endswith((".xml", ".rels", ".vml")):
            Splice(data)


def test_a_bare_file_of_another_program_with_a_sheet_that_is_a_chart(
    result_of: Callable[..., AuditResult], finding: Callable[..., Finding], tmp_path: Path
) -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet["D4"] = 5
    chart = BarChart()
    chart.add_data(Reference(sheet, min_col=4, min_row=4))
    book.create_chartsheet("Picture").add_chart(chart)
    book.save(tmp_path / "bare.xlsx")
    path, said = annotate(result_of(finding(sheet="Sheet"), finding(sheet="Picture")), tmp_path / "bare.xlsx")
    made = openpyxl.load_workbook(path)
    assert said == ""
    assert made.sheetnames[:3] == ["Sheet", "Picture", "Findings"]
    assert "It sinks" in made["Sheet"]["D4"].comment.text


def test_a_comment_of_one_plain_text_is_kept(source: Path, sample: AuditResult, tmp_path: Path) -> None:
    def plain(data: bytes) -> bytes:
        return re.sub(rb"<text>.*?</text>", b"<text><t>plain &amp; old</t></text>", data, flags=re.S)

    odd = rewritten(source, tmp_path / "odd.xlsx", edit={"xl/comments1.xml": plain})
    path, _ = annotate(sample, odd)
    text = openpyxl.load_workbook(path)["Level gauges"]["D4"].comment.text
    assert text.startswith("plain & old")
    assert "offset-exceeds-tolerance" in text


def test_a_sheet_without_comments_gets_them_in_the_place_of_the_schema(
    source: Path, result_of: Callable[..., AuditResult], finding: Callable[..., Finding]
) -> None:
    path, _ = annotate(result_of(finding(sheet="Lists", cell="A2")), source)
    page = Splice(parts(path)["xl/worksheets/sheet2.xml"])
    names = [child.name for child in page.root.children]
    assert names[-1] == "legacyDrawing"
    assert names.index("legacyDrawing") > names.index("pageMargins")
    assert "It sinks" in openpyxl.load_workbook(path)["Lists"]["A2"].comment.text


def test_a_threaded_conversation_is_left_alone(source: Path, sample: AuditResult, tmp_path: Path) -> None:
    rel = "xl/worksheets/_rels/sheet1.xml.rels"
    kind = f"{MICROSOFT}/2017/10/relationships/threadedComment"
    link = f'<Relationship Id="rIdT" Type="{kind}" Target="../threadedComments/t1.xml"/></Relationships>'
    talk = '<threadedComment ref="D4" id="{1}"><text>why?</text></threadedComment>'
    space = f"{MICROSOFT}/spreadsheetml/2018/threadedcomments"
    thread = f'<ThreadedComments xmlns="{space}">{talk}</ThreadedComments>'
    odd = rewritten(
        source,
        tmp_path / "odd.xlsx",
        edit={rel: lambda d: d.replace(b"</Relationships>", link.encode())},
        add={"xl/threadedComments/t1.xml": thread.encode()},
    )
    path, said = annotate(sample, odd)
    assert "Level gauges!D4: a conversation stands there" in said
    sheet = openpyxl.load_workbook(path)["Level gauges"]
    assert sheet["D4"].comment.text == "Density confirmed by letter"
    assert "it sinks" in sheet["F11"].comment.text


# Where a copy would lose something


def signed(source: Path, path: Path) -> Path:
    return rewritten(source, path, add={"_xmlsignatures/sig1.xml": b"<Signature/>"})


def strict(source: Path, path: Path) -> Path:
    def edit(data: bytes) -> bytes:
        return data.replace(
            b"schemas.openxmlformats.org/officeDocument/2006", b"purl.oclc.org/ooxml/officeDocument"
        )

    return rewritten(source, path, edit={"_rels/.rels": edit})


def shared(source: Path, path: Path) -> Path:
    return rewritten(source, path, add={"xl/revisions/revisionHeaders.xml": b"<headers/>"})


def with_entities(source: Path, path: Path) -> Path:
    def edit(data: bytes) -> bytes:
        return data.replace(b"<worksheet", b'<!DOCTYPE w [<!ENTITY a "aaaa">]><worksheet', 1)

    return rewritten(source, path, edit={"xl/worksheets/sheet1.xml": edit})


def damaged(source: Path, path: Path) -> Path:
    path.write_bytes(source.read_bytes()[:3000])
    return path


@pytest.mark.parametrize(
    ("make", "reason"),
    [
        (signed, "digital signature"),
        (strict, "strict variant"),
        (shared, "tracked changes"),
        (with_entities, "not plain XML"),
        (damaged, "is not an .xlsx workbook"),
    ],
)
def test_it_says_why_and_writes_the_findings_into_a_workbook_of_their_own(
    source: Path, sample: AuditResult, tmp_path: Path, make: Callable[..., Any], reason: str
) -> None:
    odd = make(source, tmp_path / "odd.xlsx")
    before = odd.read_bytes()
    path, said = annotate(sample, odd)
    assert path == tmp_path / "odd.findings.xlsx"
    assert reason in said
    assert odd.read_bytes() == before
    book = openpyxl.load_workbook(path)
    assert book.sheetnames == ["Findings", "Not checked", "Settings used"]
    assert book["Findings"]["D2"].hyperlink.target == "odd.xlsx"
    assert book["Findings"]["D2"].hyperlink.location == "'Level gauges'!$F$11"
    assert any(reason in str(row[1]) for row in book["Settings used"].iter_rows(values_only=True))


@pytest.mark.parametrize("ending", [".xls", ".xlsb", ".ods", ".csv"])
def test_other_kinds_of_file_get_a_workbook_of_findings(
    sample: AuditResult, tmp_path: Path, ending: str
) -> None:
    source = tmp_path / f"index{ending}"
    source.write_bytes(b"anything")
    path, said = annotate(sample, source)
    assert path == tmp_path / "index.findings.xlsx"
    assert f"'{ending}'" in said
    assert source.read_bytes() == b"anything"


def test_a_macro_workbook_stays_one(source: Path, sample: AuditResult, tmp_path: Path) -> None:
    macro = rewritten(source, tmp_path / "m.xlsm", add={"xl/vbaProject.bin": b"\xd0\xcf\x11\xe0"})
    path, said = annotate(sample, macro)
    assert (path.name, said) == ("m.audited.xlsm", "")
    assert parts(path)["xl/vbaProject.bin"] == b"\xd0\xcf\x11\xe0"
    with pytest.raises(XlfuncsError, match=r"has to end in \.xlsm"):
        annotate(sample, macro, tmp_path / "m.xlsx")


def test_several_books_each_get_a_copy_in_a_folder(source: Path, sample: AuditResult, tmp_path: Path) -> None:
    second = Path(shutil.copy(source, tmp_path / "second.xlsx"))
    folder = tmp_path / "out"
    folder.mkdir()
    write([sample, sample], "workbook", folder, source=[source, second], stream=io.StringIO())
    assert sorted(p.name for p in folder.iterdir()) == [
        "Harrow Fen index.audited.xlsx",
        "second.audited.xlsx",
    ]
    with pytest.raises(XlfuncsError, match="name a folder"):
        write(
            [sample, sample], "workbook", tmp_path / "a.xlsx", source=[source, second], stream=io.StringIO()
        )


# Changes to XML


@given(st.lists(st.tuples(st.sampled_from("abc"), st.text("xyü<&\"'é\n", max_size=5)), max_size=6))
def test_an_insertion_changes_nothing_else(children: list[tuple[str, str]]) -> None:
    from xml.sax.saxutils import escape, quoteattr

    body = "".join(f"<{n} v={quoteattr(t)}>{escape(t)}</{n}>" if t else f"<{n}/>" for n, t in children)
    data = f"<?xml version='1.0'?>\n<root a='>' >{body}<!-- <c/> --></root>".encode()
    splice = Splice(data)
    assert splice.result() == data
    assert [c.name for c in splice.root.children] == [n for n, _ in children]
    for child, (name, text) in zip(splice.root.children, children, strict=True):
        splice.append(child, "<new/>")
        assert data[child.start : child.end].decode().endswith(f"</{name}>" if text else "/>")
    again = Splice(splice.result())
    assert [c.children[-1].name for c in again.root.children] == ["new"] * len(children)
    assert splice.result().replace(b"<new/>", b"").count(b"<!-- <c/> -->") == 1


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"text",
        b"<a>",
        b"<!DOCTYPE a []><a/>",
        "<a/>".encode("utf-16"),
        b"<?xml version='1.0' encoding='latin-1'?><a/>",
    ],
)
def test_what_is_no_plain_xml_is_refused(data: bytes) -> None:
    with pytest.raises(NotPlainXml):
        Splice(data)


# The data request


def test_the_request_asks_for_each_missing_value_once(sample: AuditResult, tmp_path: Path) -> None:
    path = write(sample, "request", tmp_path / "ask.xlsx", source=None, stream=io.StringIO())
    assert path is not None
    sheet = openpyxl.load_workbook(path)["Data request"]
    heads = [c.value for c in sheet[1]]
    rows = [dict(zip(heads, (c.value for c in row), strict=True)) for row in sheet.iter_rows(min_row=2)]
    assert len(rows) == len({(n.tag, m) for n in sample.not_checked for m in n.missing})
    assert len({(r["Tag"], r["What is needed"]) for r in rows}) == len(rows)
    viscosity = next(r for r in rows if (r["Tag"], r["What is needed"]) == ("LG-1203", "operating viscosity"))
    assert viscosity["Unit"] == "mPa.s"
    why = viscosity["Needed to check"]
    assert why == "The float lags behind the level; the fluid is viscous and the chamber is not traced"
    assert {r["Answer"] for r in rows} == {None}


def test_the_request_counts_the_gaps(sample: AuditResult, tmp_path: Path) -> None:
    path = write(sample, "request", tmp_path / "ask.xlsx", source=None, stream=io.StringIO())
    assert path is not None
    rows = {r[0]: r[2] for r in openpyxl.load_workbook(path)["Overview"].iter_rows(values_only=True)}
    assert rows["operating viscosity"] == 24
    assert rows["wall thickness of the float"] == 20


@pytest.mark.parametrize(
    ("item", "unit"),
    [
        ("wall thickness of the float", "mm"),
        ("float mass", "g"),
        ("design pressure", "barg"),
        ("level or interface service", "text"),
        ("operating viscosity or bore of the chamber", "mPa.s or mm"),
        ("level or interface service or float mass", "g"),
        ("something else", "text"),
        (VIRTUAL["known_fluid"], "kg/m3 and degC"),
    ],
)
def test_units_are_those_of_the_vocabulary(item: str, unit: str) -> None:
    from xlfuncs.report import request

    assert request.unit(item) == unit


@pytest.mark.parametrize(
    ("item", "unit"),
    [
        ("design pressure", "psig"),  # its column's
        ("float's maximum pressure", "psig"),  # as other pressures of the workbook
        ("wall thickness of the float", "in"),  # feet are too coarse
        ("float mass", "g"),  # ours: the workbook has none
    ],
)
def test_it_is_asked_in_the_units_of_the_workbook(
    result_of: Callable[..., AuditResult], item: str, unit: str
) -> None:
    from xlfuncs.report import request

    columns = {"design_pressure": "psig", "chamber_bore": "in", "connection_distance": "ft"}
    assert request.unit(item, result_of(units={"Index": columns})) == unit


def test_a_request_with_nothing_to_ask_says_so(result_of: Callable[..., AuditResult], tmp_path: Path) -> None:
    path = write(result_of(), "request", None, source=tmp_path / "index.xlsx", stream=io.StringIO())
    assert path is not None and path.name == "index.request.xlsx"
    assert "Nothing is missing" in openpyxl.load_workbook(path)["Data request"]["B2"].value


def test_a_request_of_several_books_names_them(result_of: Callable[..., AuditResult], tmp_path: Path) -> None:
    gap = NotChecked("float-lags", "LG-1", ("float mass",), "Index", 5)
    books = [result_of(workbook=f"{k}.xlsx", not_checked=[gap]) for k in "ab"]
    path = write(books, "request", tmp_path / "ask.xlsx", source=None, stream=io.StringIO())
    assert path is not None
    sheet = openpyxl.load_workbook(path)["Data request"]
    assert [sheet.cell(r, 9).value for r in (1, 2, 3)] == ["Workbook", "a.xlsx", "b.xlsx"]
