"""The report for a terminal."""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.model import AuditResult, Finding, NotChecked, Severity
from xlfuncs.report import _proof, _words, write
from xlfuncs.report import text as text_report


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def shown(result: AuditResult | list[AuditResult], stream: io.StringIO | None = None, **_: object) -> str:
    stream = stream or io.StringIO()
    assert write(result, "text", None, source=None, stream=stream) is None
    return stream.getvalue()


@pytest.fixture(autouse=True)
def _plain(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("COLUMNS", "NO_COLOR", "FORCE_COLOR"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")


@pytest.mark.parametrize("width", [40, 60, 80, 160])
def test_no_line_is_wider_than_the_terminal(
    sample: AuditResult, monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    lines = shown(sample).splitlines()
    assert max(map(len, lines)) <= width
    assert width < 60 or not [line for line in lines if line != line.rstrip()]


def test_piped_it_is_80_wide_and_has_no_colour(sample: AuditResult) -> None:
    text = shown(sample)
    assert "\x1b" not in text
    assert 70 < max(map(len, text.splitlines())) <= 80


def test_a_terminal_gets_colour_unless_no_color_is_set(
    sample: AuditResult, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "\x1b[" in shown(sample, Terminal())
    monkeypatch.setenv("NO_COLOR", "1")
    assert not re.search(r"\x1b\[[0-9;]*3[0-7]", shown(sample, Terminal()))


def test_every_error_and_warning_stands_with_tag_cell_rule_message_and_mend(sample: AuditResult) -> None:
    text = " ".join(shown(sample).split())
    for f in sample.findings:
        if f.severity is not Severity.NOTE:
            for part in (f.tag or "no tag", f"'Level gauges'!{f.cell}", f.rule, f.message, f.mend):
                assert part in text


def test_many_notes_of_one_rule_are_listed_by_cell_and_all_counted(sample: AuditResult) -> None:
    text = " ".join(shown(sample).split())
    assert "NOTE number-as-text (20)" in text
    assert "and 19 more cells: 'Level gauges'!D5, D6 to D23" in text


def test_what_was_not_checked_names_data_gauges_and_rules(sample: AuditResult) -> None:
    text = " ".join(shown(sample).split())
    assert "operating viscosity; bore of the chamber all 24 gauges: LG-1201 to LG-1224 for float-lags" in text
    assert "design temperature; flange class 1 gauge: LG-1203 for flange-rating-exceeded" in text
    assert (
        "float-lags for 24, viscosity-too-high for 1, float-collapses for 20, flange-rating-exceeded for 1"
        in text
    )


def test_a_cut_list_says_how_much_is_left_out(result_of: Callable[..., AuditResult]) -> None:
    names = [f"LG-{7 * k}" for k in range(40)]
    result = result_of(
        rows_audited=50, not_checked=[NotChecked("float-lags", n, ("float mass",)) for n in names]
    )
    assert "and 34 more" in shown(result)


def test_doubts_skipped_rows_settings_and_cautions_are_there(sample: AuditResult) -> None:
    text = " ".join(shown(sample).split())
    assert "'bar' is taken as bar gauge" in text
    assert "2 rows: struck through" in text
    assert "offset_tolerance_mm = 10" in text
    assert "Take the float out of the chamber before a hydrostatic test" in text
    assert "The maker's manual, the local codes and regulations" in text


def test_what_is_new_open_and_mended_is_told(revised: AuditResult) -> None:
    text = " ".join(shown(revised).split())
    assert "Since index B.xlsx: 1 new, 1 still open, 1 mended" in text
    assert "LG-1201 'Level gauges'!D4 new Float QF-7 reads" in text
    assert "LG-1206 'Level gauges'!D9 still open" in text
    assert "Mended since index B.xlsx error float-sinks (1) LG-1299: It sank." in text


def test_acceptances_tell_who_when_why_until_and_what_needs_a_look(revised: AuditResult) -> None:
    text = " ".join(shown(revised).split())
    assert "Acceptances: 1 finding accepted, 1 acceptance expired, 1 acceptance of no finding" in text
    assert "LG-1202 float-sinks until 2999-01-01 B. Reviewer, 2026-03-02: float weighed on site" in text
    assert "error, 'Level gauges'!D5: It sinks." in text
    assert "LG-1203 float-sinks expired on 2025-12-31: 1 finding again" in text
    assert "LG-1299 float-sinks fits no finding: correct its tag or rule, or delete it" in text


def test_what_cannot_work_comes_first_then_what_reads_wrong_then_the_sheet(
    result_of: Callable[..., AuditResult], finding: Callable[..., Finding]
) -> None:
    rules = ["tag-missing", "tracing-missing", "switch-order", "float-collapses", "float-sinks", "unknown"]
    made = [finding(rule=rule, cell=f"D{k + 4}", tag=f"LG-{k}") for k, rule in enumerate(rules)]
    note = finding(rule="float-sinks", severity=Severity.NOTE)
    later = finding(rule="offset-exceeds-tolerance", cell="C9", tag="LG-9")
    text = shown(result_of(note, *made, later))
    heads = re.findall(r"^ *(ERROR|NOTE)  (\S+)", text, re.M)
    assert [rule for word, rule in heads if word == "ERROR"] == [
        "float-sinks", "float-collapses", "tracing-missing", "offset-exceeds-tolerance", "switch-order",
        "unknown", "tag-missing",
    ]  # fmt: skip
    assert heads[-1] == ("NOTE", "float-sinks")


def test_the_top_counts_by_subject_and_by_area(sample: AuditResult) -> None:
    text = " ".join(shown(sample).split())
    assert "26 findings" not in text
    assert "24 rows audited, 20 gauges with findings: 5 errors, 1 warning, 20 notes" in text
    assert "Float and fluid: 3 errors float-sinks, offset-exceeds-tolerance (2)" in text
    assert "Area Area 1: 2 errors, 2 notes at 2 gauges" in text


def test_without_areas_the_numbers_that_tags_begin_with_are_counted(
    result_of: Callable[..., AuditResult], finding: Callable[..., Finding]
) -> None:
    tags = ["20-LG-1", "20-LG-2", "30LG1", "LG-7"]
    found = (finding(tag=tag, cell=f"D{row}") for row, tag in enumerate(tags, 4))
    text = " ".join(shown(result_of(*found)).split())
    assert "Tag begins with 20: 2 errors at 2 gauges" in text
    assert "Tag begins with 30: 1 error at 1 gauge" in text


@pytest.mark.parametrize(
    ("evidence", "proof"),
    [
        ({"magnet_height_mm": 321.31}, []),  # 12.65 in
        ({"float_length_mm": 250.0}, ["float length 9.843 in"]),
        ({"share": 0.0951}, []),  # 9.5%
        ({"limit_degC": 79.444}, []),  # 175 degF
        ({"limit_degC": 90.0}, ["limit 194 degF"]),
        ({"collapse_bar": 7.735}, []),  # 112.2 psig
        ({"wind_m_s": 10.0}, ["wind 10 m/s"]),
        ({"limited_by": "float_max_temperature"}, ["limited by float's maximum temperature"]),
        ({"visible_low_mm": 9.5}, ["visible low 0.374 in"]),  # the 9.5 is a percentage
        ({"lrv_mm": float("nan")}, ["LRV nan mm"]),
    ],
)
def test_evidence_repeats_nothing_and_speaks_the_units_of_the_sheet(
    finding: Callable[..., Finding], evidence: dict[str, Any], proof: list[str]
) -> None:
    f = finding(message="12.65 in, 9.5%, 175 degF and 112.2 psig are stated", evidence=evidence)
    assert _proof.beyond_message(f) == proof


def test_a_changed_setting_shows_its_default(result_of: Callable[..., AuditResult]) -> None:
    text = shown(result_of(settings={"offset_tolerance_mm": 15.0}))
    assert "offset_tolerance_mm = 15" in text
    assert "(default 10)" in text


def test_nothing_found_is_said(result_of: Callable[..., AuditResult]) -> None:
    assert "1 row audited: no errors, no warnings, no notes" in shown(result_of())


def test_a_cell_cannot_act_on_the_terminal_nor_as_markup(
    result_of: Callable[..., AuditResult], finding: Callable[..., Finding]
) -> None:
    f = finding(tag="LG\x1b[31m-1\x07", message="a [red]b[/red] \u202ec :smile:\r\nd")
    text = shown(result_of(f), Terminal())
    assert "\x1b[31m-1" not in text
    assert "\x07" not in text
    assert "\u202e" not in text
    assert "A [red]b[/red] \ufffdc :smile:" in re.sub(r"\x1b\[[0-9;]*m", "", text)


def test_an_old_code_page_does_not_stop_it(
    result_of: Callable[..., AuditResult], finding: Callable[..., Finding]
) -> None:
    stream = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    write(result_of(finding(message="Dichte 0,8 bei 20 °C, 密度")), "text", None, source=None, stream=stream)
    stream.flush()
    assert b"Dichte 0,8 bei 20 ?C" in stream.buffer.getvalue()


def test_several_books_end_with_a_table_of_them(
    sample: AuditResult, result_of: Callable[..., AuditResult]
) -> None:
    text = shown([sample, result_of(workbook="second.xlsx")])
    last = text[text.rindex("workbook  ") :]
    assert re.search(r"Harrow Fen index\.xlsx\s+24\s+5\s+1\s+20", last)
    assert re.search(r"second\.xlsx\s+1\s+0\s+0\s+0", last)


def test_a_named_file_gets_the_text(sample: AuditResult, tmp_path: Path) -> None:
    path = tmp_path / "report.txt"
    assert write(sample, "text", path, source=None, stream=io.StringIO()) == path
    assert path.read_text(encoding="utf-8") == shown(sample)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.71, "0.71"),
        (-18.4, "-18.4"),
        (120.0, "120"),
        (1234.56, "1235"),
        (0.45214, "0.4521"),
        (0.0, "0"),
        (1.5e-06, "1.5e-06"),
        (12, "12"),
        (True, "True"),
        ("QF-7", "QF-7"),
        (999.96, "1000"),
        (float("nan"), "nan"),
    ],
)
def test_numbers_read_as_a_person_writes_them(value: bool | float | str, text: str) -> None:
    assert _words.number(value) == text


@pytest.mark.parametrize(
    ("names", "text"),
    [
        (["LG-1", "LG-2", "LG-3", "LG-7"], "LG-1 to LG-3, LG-7"),
        (["LG-08", "LG-09", "LG-10"], "LG-08 to LG-10"),
        (["LG-8", "LG-9", "LG-10A"], "LG-8, LG-9, LG-10A"),
        (["LG-09", "LG-010", "LG-011"], "LG-09, LG-010, LG-011"),
        (["LG-1", "LG-2"], "LG-1, LG-2"),
        (["A", "B", "C", "D", "E"], "A, B, C and 2 more"),
        (["A", "B", "C", "D"], "A, B, C, D"),
        ([], ""),
    ],
)
def test_lists_of_tags_are_compact(names: list[str], text: str) -> None:
    assert _words.listed(names, 3) == text


def terminal_text(result: AuditResult) -> str:
    stream = io.StringIO()
    text_report.write([result], stream, full=False)
    return stream.getvalue()


def test_a_nearly_clean_book_takes_a_screen(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.append(
        ["Messstelle", "Medium", "Dichte [kg/m³]", "Betriebstemp. [°C]", "Betriebsdruck [bar(ü)]",
         "Ausl.-Druck [bar(ü)]", "Ausl.-Temp. [°C]", "Mittenabstand [mm]", "Werkstoff Bezugsgefäß",
         "Anschluss"]
    )  # fmt: skip
    for number in range(1, 9):
        medium = f"Lösung {number}"
        sheet.append(
            [f"LI {number}", medium, f"83{number},5", "40,5", "4,5", "10,5", 110, 900, "1.4571", "150"]
        )
    book.save(tmp_path / "liste.xlsx")
    text = terminal_text(audit_book(tmp_path / "liste.xlsx"))
    assert len(text.splitlines()) <= 23
    assert "NOTE  number-as-text  (32)" in text and "and 31 more cells: " in text
    assert "8 gauges with findings: no errors, no warnings" in text
    assert "--all" in text


BOILING = (
    ("Tag", "Fluid", "Density (kg/m3)", "Operating pressure (barg)", "Operating temp. (C)"),
    *((f"LG-{n}", "Water", 887, 9, 179) for n in range(1, 6)),
)
WITHOUT_UNITS = (
    (
        "Tag",
        "Density (kg/m3)",
        "Op. pressure",
        "Des. pressure",
        "Op. temp",
        "Des. temp",
        "Max. temp of float",
    ),
    *((f"LG-{n}", 870, f"{n} bar", f"{n + 4} bar", 40, 90, 150) for n in range(1, 5)),
)
AS_TEXT = (
    ("Tag", "Density (kg/m3)", "Operating pressure (barg)", "Design pressure (barg)"),
    *((f"LG-{n}", f"87{n},5", f"{n},5", 10) for n in range(1, 9)),
)


@pytest.mark.parametrize("rows", [BOILING, WITHOUT_UNITS, AS_TEXT], ids=["boiling", "units", "texts"])
def test_findings_of_a_few_causes_take_a_screen_with_their_cells(
    rows: tuple[tuple[str | float, ...], ...], tmp_path: Path
) -> None:
    book = Workbook()
    page = book.active
    assert page is not None
    for row in rows:
        page.append(row)
    book.save(tmp_path / "clean.xlsx")
    result = audit_book(tmp_path / "clean.xlsx")
    folded, whole = io.StringIO(), io.StringIO()
    text_report.write([result], folded, full=False)
    text_report.write([result], whole)
    lines = folded.getvalue().splitlines()
    assert len(lines) <= 22 < len(whole.getvalue().splitlines())
    told = " ".join(folded.getvalue().split())
    assert "All of it: --all" in told and "ot checked, for want of data" in told
    for rule, count in Counter(f.rule for f in result.findings).items():
        assert f"{rule} ({count})" in told
        cells = [f.cell for f in result.findings if f.rule == rule]
        assert cells[0] in told and (cells[-1] in told or re.search(r"and \d+ more", told))


def test_errors_are_never_folded_to_fit(tmp_path: Path) -> None:
    book = Workbook()
    page = book.active
    assert page is not None
    page.append(["Tag", "Density (kg/m3)", "Operating pressure (barg)", "Design pressure (barg)"])
    for number in range(1, 9):
        page.append([f"LG-{number}", 870, 12, 10])
    book.save(tmp_path / "faulty.xlsx")
    folded = io.StringIO()
    text_report.write([audit_book(tmp_path / "faulty.xlsx")], folded, full=False)
    told = folded.getvalue()
    assert all(f"LG-{number}  Sheet!C{number + 1}" in told for number in range(1, 9))
    assert told.count("is above the design pressure") == 8
