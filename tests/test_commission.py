"""The commissioning pack: what is known stands in it and is computed, what is not is asked for."""

from __future__ import annotations

import gc
import re
import subprocess
import sys
import tracemalloc
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.cli import main
from xlfuncs.gauge.floats import ALL_ENDS
from xlfuncs.hosts.recalculate import recalculate
from xlfuncs.lists.reader import read_book
from xlfuncs.report._hands import LETTERS
from xlfuncs.report._native import IN_END, Body, Ends
from xlfuncs.report.commissioning import commission
from xlfuncs.spreadsheet.streamed import Streamed
from xlfuncs.worksheet import Refusal, call
from xlfuncs.worksheet.cells import FUNCTIONS

INDEX = Path(__file__).parents[1] / "workbooks" / "instrument_index.xlsx"

HEADINGS: dict[str, Any] = {
    "Tag": "LG-1",
    "Service": "Drum V-1",
    "Instrument type": "Magnetic level gauge",
    "Serial no.": "AB-1",
    "Fluid": "Blend 7",
    "Operating density (kg/m3)": 850,
    "Upper density (kg/m3)": 2,
    "Design temperature (degC)": 100,
    "Design pressure (barg)": 10,
    "Test pressure (barg)": 15,
    "Flange class": 150,
    "Chamber material": "316L",
    "Centre to centre (mm)": 1000,
    "Visible range (mm)": 1000,
    "Float part no.": "F1",
    "Float serial no.": "S1",
    "Gauge serial on float": "AB-1",
    "Float mass (g)": 280,
    "Float diameter (mm)": 50,
    "Float length (mm)": 200,
    "Magnet height (mm)": 168,
    "Float max. pressure (barg)": 12,
    "Float max. temperature (degC)": 150,
    "Transmitter tag": "LT-1",
    "LRV (mm)": 0,
    "URV (mm)": 1000,
    "LSH (mm)": 800,
    "LSL (mm)": 200,
}


def index(path: Path, *rows: dict[str, Any]) -> Path:
    """An index with a row for each dict of what differs from the sound gauge."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(list(HEADINGS))
    for changed in rows or ({},):
        sheet.append([(HEADINGS | changed)[name] for name in HEADINGS])
    for row in sheet.iter_rows():
        for cell in row:
            if isinstance(cell.value, str):
                cell.data_type = "s"
    book.save(path)
    return path


def pack(tmp_path: Path, *rows: dict[str, Any]) -> Path:
    out = tmp_path / "pack.xlsx"
    commission(read_book(index(tmp_path / "index.xlsx", *rows)), None, out)
    return out


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The pack of the sound gauge."""
    return pack(tmp_path_factory.mktemp("sound"))


def shown(path: Path, sheet: str) -> Worksheet:
    return load_workbook(path, data_only=True)[sheet]


def cells(sheet: Worksheet) -> dict[str, Any]:
    """Text of the first column -> row number; the last of several."""
    return {row[0].value: row[0].row for row in sheet.iter_rows(max_col=1) if isinstance(row[0].value, str)}


def fill(path: Path, sheet: str, values: dict[str, Any]) -> Worksheet:
    """The sheet computed again after cells were filled in; `path` stays as it is."""
    book = load_workbook(path)
    for cell, value in values.items():
        book[sheet][cell] = value
    filled, computed = path.with_name("filled.xlsx"), path.with_name("computed.xlsx")
    book.save(filled)
    recalculate(filled, computed)
    return shown(computed, sheet)


# --- what is known ------------------------------------------------------------------------------------


def test_expected_readings_and_currents_are_those_of_the_functions(sound: Path) -> None:
    sheet = shown(sound, "LG-1")
    row = cells(sheet)["Operating"]
    offset = call("LG_READING_OFFSET", 280, 50, 200, 168, 850, 2)
    # the index states no ends: from all hemispherical ones to flat ones
    least = call("LG_READING_OFFSET", 280, 50, 200, 168, 850, 2, "hemispherical")
    assert [sheet.cell(row, c).value for c in (6, 7)] == [pytest.approx(least), pytest.approx(offset)]
    points = [r for r in sheet.iter_rows(values_only=True) if r[0] in (0, 25, 50, 75, 100)]
    assert [(r[1], r[2]) for r in points] == [(0, 4), (250, 8), (500, 12), (750, 16), (1000, 20)]
    assert points[0][3] == pytest.approx(0.08)
    high = cells(sheet)["LSH, rising"]
    acts = [call("LG_SWITCH_LEVEL", 800, 168, 168 - x) for x in (offset, least)]
    assert sheet.cell(high, 3).value == f"{acts[0]:.0f} to {acts[1]:.0f}"


def test_the_cold_start_up_of_a_known_fluid_is_computed(tmp_path: Path) -> None:
    sheet = shown(pack(tmp_path, {"Fluid": "Toluene"}), "LG-1")
    assert sheet.cell(cells(sheet)["Cold start-up"], 3).value == pytest.approx(
        call("LG_DENSITY", "Toluene", 15), rel=1e-5
    )


def test_ratings_are_judged_and_the_group_follows_from_the_chamber(tmp_path: Path) -> None:
    sheet = shown(pack(tmp_path, {}, {"Tag": "LG-2", "Design pressure (barg)": 15}), "LG-1")
    rows = cells(sheet)
    flange = rows["Flanges, ASME B16.5-2009"]
    assert sheet.cell(flange, 5).value == pytest.approx(call("LG_FLANGE_RATING", 150, "2.3", 100))
    assert sheet.cell(flange, 8).value == "pass"
    assert sheet.cell(rows["Float, stated maximum pressure"], 8).value == "pass"
    assert sheet.cell(rows["Float, computed collapse / 3 (curved ends only)"], 8).value == "not known"
    assert sheet.cell(rows["Float in the pressure test"], 8).value == "float out"
    other = shown(tmp_path / "pack.xlsx", "LG-2")
    assert other.cell(cells(other)["Flanges, ASME B16.5-2009"], 8).value == "fail"
    assert other.cell(cells(other)["Verdicts that say fail"], 5).value == 2
    assert "float-pressure-exceeded" in " ".join(str(text) for text in cells(other))


def test_serials_that_differ_fail(tmp_path: Path) -> None:
    sheet = shown(pack(tmp_path, {"Gauge serial on float": "AB-9"}), "LG-1")
    rows = cells(sheet)
    assert sheet.cell(rows["Index: gauge serial on the float is the gauge's"], 7).value == "fail"
    assert sheet.cell(rows["Index: gauge serial on the transmitter is the gauge's"], 7).value == "not known"


# --- filled in ----------------------------------------------------------------------------------------


def test_what_is_filled_in_is_judged(sound: Path) -> None:
    path = sound
    rows = cells(shown(path, "LG-1"))
    serial, zero, top = (
        rows[text] for text in ("Gauge serial", "Scale zero above connection, mm", "Float's marked top up")
    )
    sheet = fill(
        path,
        "LG-1",
        {
            f"E{serial}": "AB-2",
            f"E{serial - 1}": "lg-1 ",
            f"E{zero}": 2,
            f"G{zero}": -2.5,
            f"E{top}": "yes",
            f"G{top}": "no",
        },
    )
    verdicts = {
        f"G{serial - 1}": "pass",
        f"G{serial}": "fail",
        f"F{zero}": "pass",
        f"H{zero}": "fail",
        f"F{top}": "pass",
        f"H{top}": "fail",
    }
    assert {cell: sheet[cell].value for cell in verdicts} == verdicts
    assert sheet.cell(rows["Verdicts that say fail"], 5).value == 3


def test_what_was_read_stands_beside_what_should_show(sound: Path) -> None:
    path = sound
    rows = cells(shown(path, "LG-1"))
    ends = f"D{next(r for t, r in rows.items() if t.startswith('Shape of'))}"
    first = rows["As found"] + 2
    offset = call("LG_READING_OFFSET", 280, 50, 200, 168, 850, 2)
    sheet = fill(path, "LG-1", {f"A{first}": 500, f"D{first}": 490, ends: "flat"})
    assert sheet[f"C{first}"].value == pytest.approx(500 + offset)
    assert sheet[f"E{first}"].value == pytest.approx(490 - 500 - offset)
    assert sheet[f"F{first}"].value == pytest.approx(call("LG_LEVEL_TO_CURRENT", 500 + offset, 0, 1000))


def test_what_was_read_as_found_and_as_left_passes_or_fails(sound: Path) -> None:
    path = sound
    rows = cells(shown(path, "LG-1"))
    ends = f"D{next(r for t, r in rows.items() if t.startswith('Shape of'))}"
    found, left = rows["As found"] + 2, rows["As left"] + 2
    offset = call("LG_READING_OFFSET", 280, 50, 200, 168, 850, 2)
    right = call("LG_LEVEL_TO_CURRENT", 500 + offset, 0, 1000)
    assert shown(path, "LG-1").cell(rows["Tolerance, mm"], 2).value == 10
    filled = fill(
        path,
        "LG-1",
        {
            ends: "flat",
            f"A{found}": 500,
            f"D{found}": 500 + offset - 10.1,
            f"G{found}": right,
            f"A{found + 1}": 500,
            f"D{found + 1}": 500 + offset - 9.9,
            # 11 mm of 1000 mm are 0.176 mA
            f"A{left}": 500,
            f"D{left}": 500 + offset,
            f"G{left}": right - 0.176,
            f"A{left + 1}": 500,
            f"D{left + 1}": 500 + offset,
            f"G{left + 1}": right + 0.15,
        },
    )
    verdicts = [filled[f"H{row}"].value for row in (found, found + 1, found + 2, left, left + 1)]
    assert [v or "" for v in verdicts] == ["fail", "pass", "", "fail", "pass"]
    assert filled.cell(rows["Verdicts that say fail"], 5).value == 2


def test_a_loop_point_is_judged_at_its_limits(sound: Path) -> None:
    points = {r[0].value: r[0].row for r in shown(sound, "LG-1").iter_rows(max_col=1)}
    found = {0: (4.08, "pass"), 25: (7.92, "pass"), 50: (12.09, "fail"), 75: (15.91, "fail")}
    sheet = fill(sound, "LG-1", {f"E{points[share]}": current for share, (current, _) in found.items()})
    for share, (_, verdict) in found.items():
        assert sheet[f"F{points[share]}"].value == verdict
    assert sheet[f"F{points[100]}"].value in (None, "") and sheet[f"H{points[0]}"].value in (None, "")


def test_a_datum_that_is_completed_makes_the_results_follow(tmp_path: Path) -> None:
    path = pack(tmp_path, {"Float mass (g)": "TBC"})
    before = shown(path, "LG-1")
    rows = cells(before)
    assert before.cell(rows["Float mass"], 4).value == "unknown"
    assert before.cell(rows["Operating"], 6).value in (None, "")
    assert any("holds 'TBC'" in str(text) for text in rows)
    ends = rows["Shape of the float's ends"]
    after = fill(path, "LG-1", {f"D{rows['Float mass']}": 280, f"D{ends}": "flat"})
    offset = call("LG_READING_OFFSET", 280, 50, 200, 168, 850, 2)
    assert [after.cell(rows["Operating"], c).value for c in (6, 7)] == [pytest.approx(offset)] * 2
    assert after.cell(rows["Offset, mm"], 2).value == pytest.approx(offset)
    assert "at the stated density" in str(after.cell(rows["Offset, mm"], 4).value)


@pytest.mark.parametrize("ends", [*ALL_ENDS, "hemispherical/flat", "elliptical/korbbogen"])
@pytest.mark.parametrize(
    ("lower", "upper"),
    [(850.0, 2.0), (1000.0, 560.0), (790.0, 0.0), (720.0, 0.0), (6900.0, 0.0), (19000.0, 0.0)],
)
def test_the_native_balance_is_that_of_the_functions(
    tmp_path: Path, ends: str, lower: float, upper: float
) -> None:
    """On the straight part and in either end, but for dished ones, which have no closed form."""
    at: dict[str, Any] = {"A1": 310.0, "B1": 50.0, "C1": 220.0, "D1": lower, "E1": upper, "F1": ends}
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for cell, value in at.items():
        sheet[cell] = value
    shape = Ends("F1")
    for row, high in enumerate((False, True), start=2):
        pairs = [[one(False, high), one(True, high)] for one in (shape.lacks, shape.depth)]
        for column, formula in enumerate((*pairs[0], *pairs[1], *map(shape.dished, (False, True))), start=1):
            sheet.cell(row, column, f"={formula}")
        body = Body("A1", "B1", "C1", (f"A{row}", f"B{row}"), (f"C{row}", f"D{row}"), (f"E{row}", f"F{row}"))
        sheet[f"G{row}"] = body.below("D1", "E1")
        sheet[f"H{row}"] = body.immersion(f"G{row}")
    sheet["I1"] = f"={shape.known()}"
    book.save(tmp_path / "b.xlsx")
    recalculate(tmp_path / "b.xlsx", tmp_path / "c.xlsx")
    found = load_workbook(tmp_path / "c.xlsx", data_only=True).active
    assert found is not None and found["I1"].value is True
    depth = call("LG_IMMERSION", 310, 50, 220, lower, upper, ends)
    shown = [found[cell].value for cell in ("H2", "H3")]
    if isinstance(shown[0], str):
        assert shown[0] == shown[1] and shown[0] == ("sinks" if isinstance(depth, Refusal) else IN_END)
    else:
        assert shown == [pytest.approx(depth, rel=1e-6)] * 2


def test_unknown_ends_and_vapour_are_unknown_with_the_span_that_follows(tmp_path: Path) -> None:
    path = pack(tmp_path, {"Upper density (kg/m3)": None})
    sheet = shown(path, "LG-1")
    rows = cells(sheet)
    assert sheet.cell(rows["Density of the upper fluid or vapour"], 4).value == "unknown"
    assert sheet.cell(rows["Shape of the float's ends"], 4).value == "unknown"
    row = rows["Operating"]
    assert sheet.cell(row, 4).value == "unknown"
    every = [
        call("LG_READING_OFFSET", 280, 50, 200, 168, 850, above, ends)
        for ends in ALL_ENDS
        for above in (0, 0.05 * 850)
    ]
    assert sheet.cell(row, 6).value == pytest.approx(min(every))
    assert sheet.cell(row, 7).value == pytest.approx(max(every))
    assert str(sheet.cell(rows["Offset, mm"], 4).value).startswith(
        "unknown: density above; shape of the float's"
    )
    filled = fill(path, "LG-1", {f"A{rows['As found'] + 2}": 500})
    assert re.fullmatch(r"\d+ to \d+", str(filled.cell(rows["As found"] + 2, 3).value))
    printed = [str(c.value) for c in sheet[row][:8]]
    assert "0.0" not in printed and "flat" not in printed


# --- what is missing ----------------------------------------------------------------------------------


def test_a_gauge_without_transmitter_and_switches_has_no_such_sections(tmp_path: Path) -> None:
    nothing = dict.fromkeys(("Transmitter tag", "LRV (mm)", "URV (mm)", "LSH (mm)", "LSL (mm)"))
    texts = " ".join(map(str, cells(shown(pack(tmp_path, nothing), "LG-1"))))
    assert "Loop check" not in texts and "Switches" not in texts
    assert "lower range value" not in texts and "transmitter serial" not in texts


def test_an_index_with_tags_alone_gives_empty_records(tmp_path: Path) -> None:
    kept = ("Tag", "Instrument type", "Fluid", "Float part no.")
    path = pack(tmp_path, {name: None for name in HEADINGS if name not in kept})
    sheet = shown(path, "LG-1")
    texts = list(cells(sheet))
    assert "float mass" in texts and "design pressure" in texts
    assert not any(
        isinstance(value, str) and value.startswith("#")
        for row in sheet.iter_rows(values_only=True)
        for value in row
    )


def test_an_interface_gauge_needs_both_cold_densities(tmp_path: Path) -> None:
    path = pack(tmp_path, {"Fluid": "Water", "Upper density (kg/m3)": 700})
    sheet = shown(path, "LG-1")
    row = cells(sheet)["Cold start-up"]
    assert sheet.cell(row, 3).value == pytest.approx(call("LG_DENSITY", "Water", 15), rel=1e-5)
    assert sheet.cell(row, 4).value == 700


# --- the file -----------------------------------------------------------------------------------------


def test_every_sheet_is_a_portrait_a4_page_with_cautions(tmp_path: Path) -> None:
    book = load_workbook(pack(tmp_path, {}, {"Tag": "LG-2"}))
    assert book.sheetnames == ["Contents", "LG-1", "LG-2"]
    for sheet in book:
        assert (sheet.page_setup.paperSize, sheet.page_setup.orientation) == (9, "portrait")
        # nothing is scaled down: 10 pt and 8 mm on the sheet are so on paper
        assert not sheet.sheet_properties.pageSetUpPr or not sheet.sheet_properties.pageSetUpPr.fitToPage
        heights = [sheet.row_dimensions[r].height for r in range(1, sheet.max_row + 1)]
        assert min(heights) >= 8 / 25.4 * 72
        assert min(c.font.size for row in sheet.iter_rows(max_col=8) for c in row if c.value) >= LETTERS == 10
        assert not any("LG_" in str(c.value) for row in sheet.iter_rows() for c in row)
        texts = " ".join(str(value) for row in sheet.iter_rows(values_only=True) for value in row if value)
        for words in ("Opening a chamber", "Pressure test", "maker's manual", "permits", "Hazardous area"):
            assert words in texts
        footer = sheet.oddFooter
        assert footer is not None and "maker's manual" in str(footer.left.text)


def test_texts_of_the_index_are_never_formulas(tmp_path: Path) -> None:
    bad = "=HYPERLINK(1)"
    path = pack(
        tmp_path,
        {"Service": bad, "Serial no.": "+1+1", "Fluid": "@SUM(1)", "Float part no.": "-2+3"},
        {"Tag": "LG-2'!A1", "Service": "x" * 500},
    )
    book = load_workbook(path)
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    assert "HYPERLINK" not in str(cell.value) and "@" not in str(cell.value)
    texts = [str(v) for row in shown(path, "LG-1").iter_rows(values_only=True) for v in row if v]
    assert bad in texts and "+1+1" in texts
    assert len(book.sheetnames) == 3


def test_the_same_index_gives_the_same_bytes(tmp_path: Path) -> None:
    book = read_book(INDEX)
    for name in ("a.xlsx", "b.xlsx"):
        commission(book, ["LG-1005"], tmp_path / name)
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()


@pytest.mark.parametrize("name", ["commissioning_pack.xlsx", "field_case.xlsx"])
def test_a_build_gives_the_committed_workbook(tmp_path: Path, name: str) -> None:
    command = [sys.executable, str(INDEX.with_name("build.py")), name, "-o", str(tmp_path)]
    subprocess.run(command, check=True, capture_output=True, text=True)
    # part by part: the compressed bytes differ between releases of zlib
    with ZipFile(tmp_path / name) as fresh, ZipFile(INDEX.with_name(name)) as committed:
        assert fresh.namelist() == committed.namelist()
        differing = [part for part in fresh.namelist() if fresh.read(part) != committed.read(part)]
    assert not differing, f"run python workbooks/build.py {name} and commit the result"


@pytest.mark.calc
def test_calc_gives_every_result_that_is_kept(tmp_path: Path) -> None:
    ours, theirs = tmp_path / "pack.xlsx", tmp_path / "calc.xlsx"
    commission(read_book(INDEX), ["LG-1005", "LG-3001"], ours)
    recalculate(ours, theirs, with_calc=True)
    kept, again, typed = (
        load_workbook(p, data_only=d) for p, d in ((ours, True), (theirs, True), (ours, False))
    )
    compared = 0
    for sheet in typed:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type != "f":
                    continue
                one = kept[sheet.title][cell.coordinate].value
                two = again[sheet.title][cell.coordinate].value
                compared += 1
                if isinstance(one, (int, float)):
                    assert two == pytest.approx(one, rel=1e-9), (sheet.title, cell.coordinate)
                else:
                    assert (one or "") == (two or ""), (sheet.title, cell.coordinate)
    assert compared > 200


# --- the command --------------------------------------------------------------------------------------


def test_the_command_writes_the_pack_and_says_what_is_not_known(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source = index(tmp_path / "index.xlsx", {}, {"Tag": "LG-2"})
    before = source.read_bytes()
    assert main(["commission", str(source), "--tag", "lg-2"]) == 0
    assert "LG-2: not known:" in capsys.readouterr().err
    assert load_workbook(tmp_path / "index.commissioning.xlsx").sheetnames == ["Contents", "LG-2"]
    assert source.read_bytes() == before


@pytest.mark.parametrize(
    ("rows", "options", "words"),
    [
        (({},), ["--tag", "LG-9"], "there is no gauge LG-9"),
        (({}, {}), ["--tag", "LG-1"], "LG-1 stands at"),
        (({},), ["--tag", "LG-1", "-o", "pack.ods"], "ending .xlsx"),
        (({},), ["--tag", "LG-1", "-o", "index.xlsx"], "is the workbook itself"),
    ],
)
def test_the_command_says_in_one_line_what_is_wrong(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    rows: Any,
    options: list[str],
    words: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    source = index(Path("index.xlsx"), *rows)
    before = source.read_bytes()
    assert main(["commission", str(source), *options]) == 2
    error = capsys.readouterr().err
    assert words in error and error.count("\n") == 1
    assert source.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["index.xlsx"]


def test_a_tag_or_all_must_be_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["commission", str(INDEX)]) == 2
    assert "--tag" in capsys.readouterr().err


def test_a_sheet_is_forgotten_when_it_is_written(tmp_path: Path) -> None:
    """Kept in memory, each of these would take 700 kB."""
    held = []
    with Streamed(tmp_path / "pack.xlsx", "First", "", FUNCTIONS) as made:
        for number in range(6):
            sheet = made.new("Record")
            for row in range(1, 101):
                for column in range(1, 11):
                    sheet.cell(row, column, f"=ROW()+{number}" if column == 1 else "the same text")
            made.write(sheet, kept=[(7, 1)])
            del sheet
            gc.collect()
            if number == 2:
                tracemalloc.start()
            elif number > 2:
                held.append(tracemalloc.get_traced_memory()[0])
        made.first["A1"] = "='Record (6)'!A7"
    tracemalloc.stop()
    assert held[-1] - held[0] < 2 * 50_000
    assert load_workbook(tmp_path / "pack.xlsx", data_only=True)["First"]["A1"].value == 12
    assert load_workbook(tmp_path / "pack.xlsx")["Record (6)"]["A7"].value == "=ROW()+5"


def test_gauges_of_one_tag_get_sheets_of_their_own(tmp_path: Path) -> None:
    long = "LG-1201-OF-THE-THIRD-UNIT-AND-MORE"
    path = pack(tmp_path, *[{"Tag": tag} for tag in ("LG-1", "LG-1", "lg-1", "LG-1 (2)", long, long)])
    names = load_workbook(path).sheetnames
    assert len({name.casefold() for name in names}) == len(names) == 7
    assert max(map(len, names)) <= 31
    assert names[:3] == ["Contents", "LG-1", "LG-1 (2)"]
