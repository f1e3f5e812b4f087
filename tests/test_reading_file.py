"""How a workbook was read, as a file and as a sheet: written, corrected by a person, and obeyed."""

from __future__ import annotations

import io
import json
import re
import shutil
import tomllib
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.comments import Comment

from tests.generator.layouts import build, choose
from tests.generator.style import draw
from tests.rows import save
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.model import AuditResult
from xlfuncs.audit.settings import read_settings
from xlfuncs.cli import main
from xlfuncs.errors import XlfuncsError
from xlfuncs.hosts.calc import office
from xlfuncs.lists import own
from xlfuncs.lists.reader import read_book
from xlfuncs.lists.reading_file import to_toml
from xlfuncs.report import html, text, write

ROOT = Path(__file__).parent.parent
DEMOS = ("contractor_index", "instrument_index", "commissioning_pack", "field_case")

HEAD: list[Any] = [
    "Tag",
    "Fluid",
    "Density (kg/m3)",
    "Pressure (barg)",
    "C/C (mm)",
    "Zeta",
    "Pour point (°C)",
    "Float part",
]
BODY: list[list[Any]] = [
    ["LG-101", "Water", 998, 16, 900, 7.5, 120, "ZF-1"],
    ["LG-102", "Water", 990, 16, 950, 8.5, 120, "ZF-1"],
    ["LG-103", "Water", 980, 16, 950, 3.5, 120, "ZF-1"],
]
FLOATS: list[list[Any]] = [
    ["Part no.", "Mass (g)", "Diameter (mm)", "Length (mm)", "Magnet height (mm)", "Max. pressure (barg)"],
    ["ZF-1", 300, 50, 250, 181, 40],
]


@pytest.fixture
def index(tmp_path: Path) -> Path:
    return save(tmp_path / "index.xlsx", Index=[HEAD, *BODY], Floats=FLOATS)


def reading_of(path: Path, floats: Path | None = None) -> str:
    return to_toml(read_book(path, floats=floats, need_index=False).read, path.name)


def given(path: Path, content: str) -> Path:
    file = path.with_name("READING.toml")
    file.write_text(content, encoding="utf-8")
    return file


def changed(content: str, heading: str, **values: str) -> str:
    """The file with other values in the entry of a heading."""
    lines = content.split("\n")
    [at] = [k for k, line in enumerate(lines) if f'heading = "{heading}"' in line]
    for key, value in values.items():
        lines[at] = re.sub(rf'\b{key} = "[^"]*"', f'{key} = "{value}"', lines[at])
    return "\n".join(lines)


def taken(result: AuditResult, sheet: str = "Index") -> dict[str, str]:
    return result.columns[sheet]


# --- there and back -----------------------------------------------------------------------------------


def same_when_given_back(path: Path, floats: Path | None = None) -> None:
    before = audit_book(path, floats=floats).to_dict()
    after = audit_book(path, floats=floats, correction=given(path, reading_of(path, floats))).to_dict()
    assert after == before


@pytest.mark.parametrize("name", DEMOS)
def test_a_file_given_back_unchanged_changes_nothing(name: str, tmp_path: Path) -> None:
    same_when_given_back(Path(shutil.copy(ROOT / "workbooks" / f"{name}.xlsx", tmp_path)))


@pytest.mark.parametrize("number", [0, 1, 2, 4, 6, 9, 13, 15, 16, 20, 21, 26])
def test_a_file_given_back_unchanged_changes_nothing_in_any_layout(number: int, tmp_path: Path) -> None:
    """Formats, data sheets, several lists, columns in doubt, units in every place (`tests.generator`)."""
    style = draw(number)
    made = build(tmp_path, style, choose(style, 10))
    same_when_given_back(made.path, made.floats)


def test_the_file_holds_every_column_in_order_and_explains_itself(index: Path) -> None:
    content = reading_of(index)
    first, second = tomllib.loads(content)["list"]
    assert [(one["sheet"], one["kind"], one["rows"]) for one in (first, second)] == [
        ("Index", "gauges", [1]), ("Floats", "floats", [1]),
    ]  # fmt: skip
    assert [one["column"] for one in first["columns"]] == list("ABCDEFGH")
    assert [one["heading"] for one in first["columns"]] == HEAD
    fields = {one["heading"]: (one["field"], one["unit"]) for one in first["columns"]}
    assert fields["Density (kg/m3)"] == ("fluid_density", "kg/m3")
    assert fields["Pressure (barg)"] == ("?", "")
    assert fields["Zeta"] == ("?", "")
    head = content[: content.index("[[list]]")]
    assert all(line.startswith("#") or not line for line in head.split("\n"))
    assert all(f" {name}," in head for name in ("fluid_density", "fluid_density_max", "tag_plant"))
    assert "--reading" in head
    [doubt] = [line for line in content.split("\n") if 'heading = "Pressure (barg)"' in line]
    assert "IN DOUBT: operating_pressure or design_pressure" in doubt


def test_texts_that_toml_would_not_take_are_escaped(tmp_path: Path) -> None:
    head = ['Tag "no"\\', "Fluid\tname", "Density (kg/m3)", "C/C \x7f (mm)", "Ζητα # 5", "Design temp. (°C)"]
    rows = [[row[0], "Water", 998, 900, 1, 120] for row in BODY]
    path = save(tmp_path / "a.xlsx", {"It's # 1": [head, *rows]})
    content = reading_of(path)
    [one] = tomllib.loads(content)["list"]
    assert one["sheet"] == "It's # 1"
    assert one["columns"][0]["heading"] == head[0]
    same_when_given_back(path)


# --- corrected ----------------------------------------------------------------------------------------


def test_a_correction_is_obeyed(index: Path) -> None:
    content = changed(reading_of(index), "Pressure (barg)", field="operating_pressure")
    content = changed(content, "Zeta", field="operating_temperature", unit="degC")
    content = changed(content, "Density (kg/m3)", field="")
    result = audit_book(index, correction=given(index, content))
    assert taken(result)["operating_pressure"] == "D"
    assert taken(result)["operating_temperature"] == "F"
    assert "fluid_density" not in taken(result)
    assert result.units["Index"]["operating_temperature"] == "degC"
    assert not [one for one in result.reading.open if one.column.what == "doubt"]
    assert [one["known_as"] for one in result.unread_columns] == ["left alone, as was said"]


def test_what_nobody_has_said_stays_open(index: Path) -> None:
    result = audit_book(index, correction=given(index, reading_of(index)))
    assert [one.column.heading for one in result.reading.open if one.column.what == "doubt"] == [
        "Pressure (barg)"
    ]


def test_a_later_revision_with_other_sheets_and_moved_columns(index: Path, tmp_path: Path) -> None:
    content = changed(reading_of(index), "Pressure (barg)", field="design_pressure")
    content = changed(content, "Zeta", field="viscosity", unit="mPa.s")
    moved = [[row[k] for k in (0, 5, 3, 1, 2, 4, 6, 7)] for row in [HEAD, *BODY]]
    later = save(tmp_path / "later.xlsx", {"Rev B": [["Rev. B"], [], *moved], "Float data": FLOATS})
    result = audit_book(later, correction=given(index, content))
    assert taken(result, "Rev B")["design_pressure"] == "C"
    assert taken(result, "Rev B")["viscosity"] == "B"
    assert result.doubts == []


def test_a_heading_that_was_reworded_is_found_by_its_letter_and_said(index: Path, tmp_path: Path) -> None:
    content = changed(reading_of(index), "Zeta", field="viscosity", unit="mPa.s")
    head = ["Zeta II" if text == "Zeta" else text for text in HEAD]
    later = save(tmp_path / "later.xlsx", Index=[head, *BODY], Floats=FLOATS)
    result = audit_book(later, correction=given(index, content))
    assert taken(result)["viscosity"] == "F"
    [told] = [doubt["text"] for doubt in result.doubts if doubt["kind"] == "file"]
    assert "'Zeta'" in told and "'Index' column F 'Zeta II' was taken for it by its place" in told


def test_a_column_that_is_gone_is_said_in_one_line(index: Path, tmp_path: Path) -> None:
    content = changed(reading_of(index), "Zeta", field="viscosity")
    gone = [[value for k, value in enumerate(row) if k != 5] for row in [HEAD, *BODY]]
    later = save(tmp_path / "later.xlsx", Index=gone)
    result = audit_book(later, correction=given(index, content))
    told = [doubt["text"] for doubt in result.doubts if doubt["kind"] == "file"]
    assert len(told) == 2
    assert any("column F 'Zeta': stands nowhere on 'Index'" in line for line in told)
    assert any("list 2 ('Floats'): no such list stands in this workbook" in line for line in told)
    assert taken(result)["fluid_density"] == "C"


def test_columns_of_one_heading_are_told_apart_by_their_order(tmp_path: Path) -> None:
    head = ["Tag", "Fluid", "Density (kg/m3)", "Value", "Value", "C/C (mm)"]
    rows: list[list[Any]] = [["LG-101", "Water", 998, 5, 60, 900], ["LG-102", "Water", 998, 6, 61, 900]]
    path = save(tmp_path / "a.xlsx", Index=[head, *rows])
    lines = reading_of(path).split("\n")
    first, second = (k for k, line in enumerate(lines) if 'heading = "Value"' in line)
    for k, field, unit in ((first, "operating_pressure", "barg"), (second, "operating_temperature", "degC")):
        lines[k] = re.sub(r'field = "[^"]*"', f'field = "{field}"', lines[k])
        lines[k] = re.sub(r'unit = "[^"]*"', f'unit = "{unit}"', lines[k])
    moved = [[row[k] for k in (0, 3, 1, 2, 4, 5)] for row in [head, *rows]]
    later = save(tmp_path / "later.xlsx", Sheet=moved)
    columns = taken(audit_book(later, correction=given(path, "\n".join(lines))), "Sheet")
    assert (columns["operating_pressure"], columns["operating_temperature"]) == ("B", "E")


def test_the_reading_of_another_workbook_is_refused(index: Path, tmp_path: Path) -> None:
    content = reading_of(index)
    head = ["Messstelle", "Medium", "Dichte kg/m3", "Mittenabstand mm"]
    other = save(
        tmp_path / "other.xlsx", Liste=[head, ["LG-1", "Wasser", 998, 900], ["LG-2", "Wasser", 998, 900]]
    )
    with pytest.raises(XlfuncsError, match=r"READING\.toml: none of its columns stands in this workbook"):
        read_book(other, correction=given(index, content))


def test_a_list_that_was_not_found_is_written_to_be_filled_in(tmp_path: Path) -> None:
    rows: list[list[Any]] = [
        ["Some title"],
        [],
        ["Kappa", "Zuber", "Omicron"],
        ["LG-101", "a", 850],
        ["LG-102", "b", 870],
    ]
    path = save(tmp_path / "a.xlsx", {"Tab 1": rows})
    content = reading_of(path)
    assert tomllib.loads(content)["list"][0]["rows"] == [3]
    content = changed(content, "Kappa", field="tag")
    content = changed(content, "Omicron", field="fluid_density", unit="kg/m3")
    result = audit_book(path, correction=given(path, content))
    assert result.rows_audited == 2
    assert taken(result, "Tab 1") == {"tag": "A", "fluid_density": "C"}


def test_an_option_counts_before_the_file(index: Path) -> None:
    content = changed(reading_of(index), "Pressure (barg)", field="operating_pressure")
    file = given(index, content)
    assert (
        taken(audit_book(index, correction=file, mapping={"design_pressure": "D"}))["design_pressure"] == "D"
    )
    columns = taken(audit_book(index, correction=file, columns={"design_pressure": "Pressure (barg)"}))
    assert columns["operating_pressure"] == "D"


GAUGES = '[[list]]\nsheet = "Index"\nkind = "gauges"\n'
BAD = [
    (GAUGES + 'columns = [\n  { column = "A" heading = "Tag" },\n]',
     ["line 5 is not valid TOML", "a comma after each entry"]),
    ('[[list]]\nsheet = "Index"\nkind = "gauges', ["is not valid TOML: Unterminated string"]),
    ("", ["holds no [[list]]", "xlfuncs columns BOOK -o"]),
    ('[columns]\nfluid_density = "SG"', ["'columns' is not known here"]),
    ('[[list]]\nsheet = "Index"\nkind = "index"', ["list 1 ('Index'): kind is 'index'", '"gauges"']),
    (GAUGES + 'columns = [{ column = "C", heading = "SG", field = "densty" }]',
     ["list 1 ('Index'), column C 'SG': there is no field 'densty'", '"" = not used']),
    (GAUGES + 'columns = [{ column = "C", field = "fluid_density", unit = "mm" }]',
     ["column C: 'mm' is no unit of operating density", "write kg/m3, SG"]),
    (GAUGES + 'columns = [{ column = "C", field = "service", unit = "mm" }]',
     ["column C: service is a text and has no unit"]),
    ('[[list]]\nsheet = "Index"\nkind = "floats"\ncolumns = [{ column = "C", field = "fluid_density" }]',
     ["fluid_density is no field of a float list"]),
    (GAUGES + 'columns = [{ column = "C" }]', ["write its field"]),
    (GAUGES + 'columns = [{ field = "tag" }]', ["names no column"]),
    (GAUGES + 'columns = [{ column = 3, field = "tag" }]', ["column is 3", "quotes"]),
    (GAUGES + 'columns = [{ column = "C", feld = "tag", field = "tag" }]',
     ["'feld' is not known"]),
    (GAUGES + 'columns = [{ column = "A", heading = "X", field = "tag" },\n'
     '{ column = "B", heading = "Y", field = "tag" }]',
     ["column B 'Y': tag is already column A 'X'"]),
]  # fmt: skip


@pytest.mark.parametrize(("content", "told"), BAD)
def test_a_file_that_cannot_be_used_is_refused_in_one_line(
    content: str, told: list[str], index: Path
) -> None:
    with pytest.raises(XlfuncsError) as refused:
        read_book(index, correction=given(index, content))
    line = str(refused.value)
    assert line.startswith(str(index.with_name("READING.toml")))
    assert "\n" not in line
    for piece in told:
        assert piece in line


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16"])
def test_a_file_as_editors_save_it(encoding: str, index: Path) -> None:
    content = changed(reading_of(index), "Pressure (barg)", field="design_pressure")
    file = index.with_name("READING.toml")
    file.write_bytes(content.replace("\n", "\r\n").encode(encoding))
    assert taken(audit_book(index, correction=file))["design_pressure"] == "D"
    file.write_bytes(b"\xff\xd8\x00")
    with pytest.raises(XlfuncsError, match="is no text in UTF-8"):
        read_book(index, correction=file)


# --- the commands -------------------------------------------------------------------------------------


def test_columns_writes_the_file_and_every_command_takes_it(
    index: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "maker.toml"
    assert main(["columns", str(index), "-o", str(file)]) == 0
    told = capsys.readouterr()
    assert told.out == "" and told.err == f"written: {file}\n"
    file.write_text(changed(file.read_text(encoding="utf-8"), "Pressure (barg)", field="design_pressure"))
    file.write_text(changed(file.read_text(encoding="utf-8"), "Mass (g)", unit="kg"))
    assert main(["columns", str(index), "--reading", str(file)]) == 0
    out = capsys.readouterr().out
    assert "design_pressure" in out and "kg (said)" in out
    main(["audit", str(index), "--reading", str(file), "--format", "json"])
    assert json.loads(capsys.readouterr().out)["columns"]["Index"]["design_pressure"] == "D"
    assert (
        main(["commission", str(index), "--all", "--reading", str(file), "-o", str(tmp_path / "pack.xlsx")])
        == 0
    )
    assert main(["choose", str(index), "--density", "900", "--reading", str(file)]) == 1


def test_the_fields_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["columns", "--fields"]) == 0
    out = capsys.readouterr().out
    assert re.search(r"^fluid_density +operating density", out, re.MULTILINE)
    assert main(["columns"]) == 2
    assert "name a workbook" in capsys.readouterr().err


def test_the_reading_is_never_written_over_the_workbook(
    index: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = index.read_bytes()
    assert main(["columns", str(index), "-o", str(index)]) == 2
    assert "TOML" in capsys.readouterr().err
    assert index.read_bytes() == before
    assert main(["audit", str(index), "--reading", "nowhere.toml"]) == 2
    assert "nowhere.toml: there is no such file" in capsys.readouterr().err


def test_headings_of_a_settings_file_apply_wherever_they_stand(tmp_path: Path) -> None:
    rows: list[list[Any]] = [
        ["Tag", "Fluid", "Spec", "C/C (mm)"],
        ["LG-101", "Water", 998, 900],
        ["LG-102", "Water", 998, 900],
    ]
    other: list[list[Any]] = [
        ["Tag", "Fluid", "C/C (mm)", "Spec", "Viscosity cP"],
        *([f"LG-20{i}", "Oil", 800, 870, 1] for i in (1, 2)),
    ]
    path = save(tmp_path / "a.xlsx", One=rows, Two=other)
    file = tmp_path / "settings.toml"
    file.write_text('[columns]\nfluid_density = "Spec"\nservice = "Not here"\n')
    _, tables = read_settings(file)
    with pytest.raises(XlfuncsError, match=r"\[columns\] service = 'Not here': no such heading"):
        read_book(path, columns=tables["columns"])
    del tables["columns"]["service"]
    book = read_book(path, columns=tables["columns"])
    assert {f.sheet for table in book.gauges for f in table.recognised if f.field == "fluid_density"} == {
        "One",
        "Two",
    }


def test_an_older_revision_need_not_have_the_columns(index: Path, tmp_path: Path) -> None:
    older = save(tmp_path / "older.xlsx", Main=[HEAD[:3] + HEAD[4:5], *(row[:3] + row[4:5] for row in BODY)])
    result = audit_book(index, mapping={"design_pressure": "Index!D"}, since=older)
    assert taken(result)["design_pressure"] == "D"
    assert result.since == "older.xlsx"


# --- the sheet 'Reading' ------------------------------------------------------------------------------


def annotated(path: Path, result: AuditResult | None = None) -> Path:
    """The annotated copy of a workbook."""
    made = write(
        result or audit_book(path),
        "workbook",
        None,
        source=path,
        stream=io.StringIO(),
        messages=io.StringIO(),
    )
    assert made is not None
    return made


def row_of(sheet: Any, heading: str) -> int:
    return next(row for row in range(2, sheet.max_row + 1) if sheet.cell(row, 3).value == heading)


def edited(path: Path, heading: str, choice: str, unit: str | None = None) -> Path:
    """The copy, with another choice for a column, saved by openpyxl."""
    book = openpyxl.load_workbook(path)
    sheet = book[own.READING]
    row = row_of(sheet, heading)
    sheet.cell(row, 4).value = choice
    if unit is not None:
        sheet.cell(row, 5).value = unit
    book.save(path)
    return path


def test_the_sheet_has_a_row_and_a_list_of_choices_for_each_column(index: Path) -> None:
    sheet = openpyxl.load_workbook(annotated(index))[own.READING]
    rows = [row[:8] for row in sheet.iter_rows(min_row=2, values_only=True) if row[0] and row[1]]
    assert [row[:3] for row in rows[:8]] == [
        ("Index", letter, text) for letter, text in zip("ABCDEFGH", HEAD, strict=True)
    ]
    assert rows[2][3:5] == ("fluid_density - operating density of the (lower) fluid", "kg/m3")
    assert rows[3][3] == "(undecided)"
    said = str(rows[3][6])
    assert "could be operating pressure or design pressure" in said and "rules for 3 gauges wait" in said
    choices = {}
    for validation in sheet.data_validations.dataValidation:
        place = re.fullmatch(r"\$([A-Z])\$(\d+):\$[A-Z]\$(\d+)", validation.formula1)
        assert place
        column, start, end = place.groups()
        items = [sheet[f"{column}{row}"].value for row in range(int(start), int(end) + 1)]
        for cells in validation.sqref.ranges:
            choices.update(dict.fromkeys(range(cells.min_row, cells.max_row + 1), items))
    for row in range(2, sheet.max_row + 1):
        if sheet.cell(row, 2).value:
            assert sheet.cell(row, 4).value in choices[row]
            assert choices[row][:2] == ["(not used)", "(undecided)"]
    first, *_, last = (row for row in range(2, sheet.max_row + 1) if sheet.cell(row, 2).value)
    assert choices[first] == own.items("gauges") and choices[last] == own.items("floats")
    assert len(str(sheet.cell(first, 4).value)) < 255
    assert sheet.column_dimensions["J"].hidden


def test_a_copy_given_back_unchanged_changes_nothing(index: Path) -> None:
    before = audit_book(index).to_dict()
    after = audit_book(annotated(index)).to_dict()
    for name in (
        "findings",
        "not_checked",
        "columns",
        "units",
        "rows_audited",
        "doubts",
        "skipped",
        "reading",
    ):
        assert after[name] == before[name], name


@pytest.mark.parametrize(
    ("choice", "letter"),
    [
        ("design_pressure - design pressure", "D"),
        ("design_pressure", "D"),
        ("Design pressure", "D"),
        ("(not used)", None),
    ],
)
def test_a_choice_is_obeyed(choice: str, letter: str | None, index: Path) -> None:
    result = audit_book(edited(annotated(index), "Pressure (barg)", choice))
    assert result.rows_audited == 3
    assert taken(result).get("design_pressure") == letter
    assert set(result.columns) == {"Index", "Floats"}
    assert not [one for one in result.reading.open if one.column.what == "doubt"]


def test_a_unit_on_the_sheet_is_obeyed_and_a_wrong_one_names_its_cell(index: Path) -> None:
    copy = annotated(index)
    result = audit_book(edited(copy, "Zeta", "viscosity - operating viscosity", "cP"))
    assert result.units["Index"]["viscosity"] == "cP"
    row = row_of(openpyxl.load_workbook(copy)[own.READING], "Zeta")
    with pytest.raises(XlfuncsError, match=rf"Reading!E{row}: 'mm' is no unit of"):
        audit_book(edited(copy, "Zeta", "viscosity", "mm"))
    with pytest.raises(XlfuncsError, match=rf"Reading!D{row}: there is no field 'viscosty'"):
        audit_book(edited(copy, "Zeta", "viscosty", ""))
    with pytest.raises(XlfuncsError, match=rf"Reading row {row}.*fluid_density is already column C"):
        audit_book(edited(copy, "Zeta", "fluid_density", ""))


def shown(result: AuditResult, but: str = "") -> list[tuple[str, str, str, float, str]]:
    """What the sheet says of each column, but that with a heading."""
    return [
        (column.heading, column.field, column.runner_up, column.sure, column.known_as)
        for one in result.reading.lists
        for column in one.columns
        if column.heading != but
    ]


def test_a_correction_leaves_what_is_said_of_the_other_columns(index: Path) -> None:
    before = audit_book(index)
    after = audit_book(edited(annotated(index, before), "Pressure (barg)", "design_pressure"))
    assert shown(after, "Pressure (barg)") == shown(before, "Pressure (barg)")


def test_a_unit_beside_an_undecided_column_is_told(index: Path) -> None:
    copy = edited(annotated(index), "Zeta", "(undecided)", "cP")
    row = row_of(openpyxl.load_workbook(copy)[own.READING], "Zeta")
    with pytest.raises(XlfuncsError, match=rf"Reading!E{row}: the unit 'cP'.*choose in D{row} what"):
        audit_book(copy)


def form(tag: str, zeta: float) -> list[list[Any]]:
    return [
        ["Tag", tag],
        ["Fluid", "Water"],
        ["Operating density (kg/m3)", 990],
        ["Operating pressure (barg)", 5],
        ["C/C (mm)", 900],
        ["Visible range (mm)", 900],
        ["Zeta", zeta],
    ]


def test_what_is_said_of_a_label_holds_on_every_sheet_where_nobody_has_said(tmp_path: Path) -> None:
    path = save(tmp_path / "forms.xlsx", First=form("LG-101", 2.5), Second=form("LG-102", 3.5))
    copy = edited(annotated(path), "Zeta", "viscosity", "cP")
    result = audit_book(copy)
    told = {one.sheet: taken_of(one) for one in result.reading.lists}
    assert told["First"]["Zeta"] == told["Second"]["Zeta"] == ("viscosity", "cP")


def taken_of(one: Any) -> dict[str, tuple[str, str]]:
    return {column.heading: (column.field, column.unit) for column in one.columns}


def test_another_shape_can_be_chosen_and_chosen_back(tmp_path: Path) -> None:
    path = save(tmp_path / "cases.xlsx", Index=CASES)
    before = audit_book(path)
    (one,) = before.reading.lists
    assert one.layout == "a list with 2 cases side by side" and one.others
    copy = edited(annotated(path, before), own.WHOLE, one.others[0])
    other = audit_book(copy)
    assert other.reading.lists[0].layout == one.others[0]
    assert one.layout in other.reading.lists[0].others
    again = audit_book(edited(annotated(copy, other), own.WHOLE, one.layout))
    assert shown(again) == shown(before)


CASES: list[list[Any]] = [
    ["Tag", "Fluid", "Case A", "", "", "Case B", "", "", "C/C (mm)"],
    ["", "", *["Operating density (kg/m3)", "Operating pressure (barg)", "Operating temp. (°C)"] * 2, ""],
    ["LG-101", "Propane", 500, 9, 20, 480, 12, 35, 900],
    ["LG-102", "Propane", 505, 9, 20, 482, 12, 35, 950],
    ["LG-103", "Propane", 502, 9, 20, 481, 12, 35, 950],
]


def test_a_new_copy_replaces_what_an_earlier_one_has_added(index: Path) -> None:
    book = openpyxl.load_workbook(index)
    book["Index"]["C2"].value = 0.001  # a density that cannot be
    book["Index"]["C2"].comment = Comment("from the licensor", "K. Planner")
    book.save(index)
    first = annotated(index)
    assert openpyxl.load_workbook(first)["Index"]["C2"].comment.text.count("xlfuncs audit") == 1
    second = annotated(edited(first, "Density (kg/m3)", "(not used)"))
    made = openpyxl.load_workbook(second)
    assert made.sheetnames == ["Index", "Floats", *(name for name in _ADDED if name != "Calculations")]
    assert made["Index"]["C2"].comment.text == "from the licensor"
    assert [made[name].print_title_rows for name in ("Findings", "Reading")] == ["$1:$1", "$1:$1"]
    assert made[own.READING].cell(row_of(made[own.READING], "Density (kg/m3)"), 4).value == "(not used)"
    third = annotated(second)
    assert openpyxl.load_workbook(third).sheetnames == made.sheetnames


def test_the_contractor_s_parts_keep_their_bytes(index: Path) -> None:
    def parts(path: Path) -> dict[str, bytes]:
        with zipfile.ZipFile(path) as package:
            return {name: package.read(name) for name in package.namelist()}

    def cells(content: bytes) -> bytes:
        return content[content.index(b"<sheetData>") : content.index(b"</sheetData>")]

    old, new = parts(index), parts(annotated(index))
    sheet = "xl/worksheets/sheet1.xml"  # which has a comment now, at the column in doubt
    other = {"[Content_Types].xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml", sheet}
    for made in (new, parts(annotated(index.with_name("index.audited.xlsx")))):
        assert {name for name in old if made.get(name) != old[name]} <= other
        assert cells(made[sheet]) == cells(old[sheet])


_ADDED = ["Findings", "Calculations", "Reading", "Accepted", "Not checked", "Settings used"]


@pytest.mark.calc
def test_a_choice_made_in_calc_is_obeyed(index: Path) -> None:
    """The copy opened, changed and saved by a real LibreOffice."""
    copy = annotated(index)
    sheet = openpyxl.load_workbook(copy)[own.READING]
    pressure, zeta = (row_of(sheet, heading) for heading in ("Pressure (barg)", "Zeta"))
    saved = index.with_name("saved by calc.xlsx")
    steps: list[dict[str, Any]] = [
        {"do": "open", "path": str(copy)},
        {"do": "fill", "sheet": "Reading", "cell": f"D{pressure}", "rows": [[own.item("design_pressure")]]},
        {"do": "fill", "sheet": "Reading", "cell": f"D{zeta}", "rows": [[own.item("viscosity"), "cP"]]},
        {"do": "store", "path": str(saved), "filter": "Calc MS Excel 2007 XML"},
    ]
    office.run(steps)
    result = audit_book(saved)
    assert (taken(result)["design_pressure"], taken(result)["viscosity"]) == ("D", "F")
    assert result.units["Index"]["viscosity"] == "cP"
    assert result.rows_audited == 3
    again = openpyxl.load_workbook(annotated(saved, result))
    assert again.sheetnames == ["Index", "Floats", *_ADDED]
    fields = [v.formula1[:2] for v in again[own.READING].data_validations.dataValidation]
    assert fields.count("$J") == fields.count("$K") == 1
    ods = index.with_name("saved by calc.ods")
    office.run([*steps[:-1], {"do": "store", "path": str(ods), "filter": "calc8"}])
    assert taken(audit_book(index, correction=ods))["design_pressure"] == "D"


def test_the_findings_of_a_text_file_are_corrected_in_their_own_workbook(tmp_path: Path) -> None:
    path = tmp_path / "index.csv"
    path.write_text("\n".join(",".join(map(str, row)) for row in [HEAD, *BODY]), encoding="utf-8")
    made = edited(annotated(path), "Pressure (barg)", "design_pressure")
    assert made.name == "index.findings.xlsx"
    assert taken(audit_book(path, correction=made), "index")["design_pressure"] == "D"
    with pytest.raises(XlfuncsError, match=r"is a report of findings: audit the workbook that it is about"):
        audit_book(made)
    with pytest.raises(XlfuncsError, match="has no sheet 'Reading'"):
        audit_book(path, correction=save(tmp_path / "b.xlsx", Index=[HEAD, *BODY]))


def test_a_contractor_s_own_sheet_named_reading_is_a_list_like_any(tmp_path: Path) -> None:
    path = save(tmp_path / "a.xlsx", Reading=[HEAD, *BODY], Findings=[["Severity", "Tag"], ["high", "LG-1"]])
    assert audit_book(path).rows_audited == 3


# --- reports ------------------------------------------------------------------------------------------


def plain(result: AuditResult) -> str:
    out = io.StringIO()
    text.write([result], out)
    return out.getvalue()


def test_every_report_opens_with_how_the_sheets_were_read(index: Path, tmp_path: Path) -> None:
    result = audit_book(index)
    lines = [
        "Index: 3 rows under headings in row 1, 6 of 8 columns used",
        "Floats: 1 float under headings in row 1, 6 of 6 columns used",
    ]
    assert plain(result).split("\n")[:3] == ["index.xlsx", *lines]
    page = html.text([result])
    header = page[page.index("<header>") : page.index("</header>")]
    assert all(line in header for line in lines)
    assert [one["line"] for one in result.to_dict()["reading"]["lists"]] == lines
    sheet = openpyxl.load_workbook(annotated(index, result))["Settings used"]
    assert [tuple(row) for row in sheet.iter_rows(min_row=2, max_row=3, max_col=2, values_only=True)] == [
        ("How it was read", line) for line in lines
    ]


def test_what_rules_wait_for_comes_first_with_its_options(index: Path) -> None:
    result = audit_book(index)
    said = plain(result)
    opening = said[said.index("Say first") : said.index("NOTE  reading-doubtful")]
    assert opening.index("Index!D1") < opening.index("Index!F1")
    assert "\n       --map operating_pressure=Index:D\n    or --map design_pressure=Index:D\n" in opening
    assert "rules for 3 gauges wait" in opening
    page = html.text([result])
    assert "<code>--map design_pressure=Index:D</code>" in page
    assert page.index("Say first") < page.index("<h2>Summary</h2>")
    [finding] = [f for f in result.findings if f.rule == "reading-doubtful"]
    assert (finding.severity.value, finding.sheet, finding.cell) == ("note", "Index", "D1")
    assert "--map operating_pressure=Index:D" in finding.mend
    doubtful = [
        n for n in result.not_checked if any("Index!D 'Pressure (barg)'" in text for text in n.perhaps)
    ]
    assert {"design pressure", "operating pressure"} >= {
        m for n in doubtful for m, p in zip(n.missing, n.perhaps, strict=True) if p
    }


def test_a_settled_column_is_no_finding(index: Path) -> None:
    result = audit_book(index, mapping=[("design_pressure", "Index:D"), ("none", "Index:F")])
    assert "reading-doubtful" not in {f.rule for f in result.findings}
    assert "Say first" not in plain(result)


def test_the_request_asks_for_nothing_that_stands_in_a_column_not_read(index: Path, tmp_path: Path) -> None:
    def request(**said: Any) -> tuple[set[str], str]:
        told = io.StringIO()
        path = tmp_path / "request.xlsx"
        result = audit_book(index, **said)
        write(result, "request", path, source=index, stream=io.StringIO(), messages=told)
        rows = openpyxl.load_workbook(path)["Data request"].iter_rows(min_row=2, values_only=True)
        return {str(row[2]) for row in rows}, told.getvalue()

    asked, told = request()
    assert not asked & {"design pressure", "operating pressure"}
    line = next(line for line in told.split("\n") if "Index!D1" in line)
    assert "not asked for at 3 gauges: " in line
    assert "design pressure" in line and "--map design_pressure=Index:D" in line
    assert "Index!F1" in told
    asked, told = request(mapping=[("operating_pressure", "Index:D"), ("none", "Index:F")])
    assert "design pressure" in asked
    assert told == ""
