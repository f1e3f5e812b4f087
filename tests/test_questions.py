"""Questions that go to a contractor, and the answers that come back."""

from __future__ import annotations

import io
import subprocess
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.layouts import LAYOUTS, build
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.examples import Unclear
from xlfuncs.audit.model import AuditResult, Unchecked, UncheckedBlock
from xlfuncs.audit.questions import answered, read_answers
from xlfuncs.audit.waiting import waiting
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.reader import read_book
from xlfuncs.lists.reading import OpenColumn
from xlfuncs.report import html, text, write

ROWS: list[dict[str, Any]] = [
    {"viscosity": None},
    {"viscosity": None},
    {"viscosity": None, "fluid_density": "880 kg/m3", "fluid": "Blend 7"},
]


class Contractor:
    """A workbook that was audited, the questions about it, and what is written into them."""

    def __init__(self, folder: Path, rows: list[dict[str, Any]]) -> None:
        self.book = build(folder / "index.xlsx", LAYOUTS[0], rows).path
        self.before = audit_book(self.book)
        self.path = folder / "back.xlsx"
        asked = write(self.before, "request", self.path, source=self.book, stream=io.StringIO())
        assert asked == self.path
        self.file = openpyxl.load_workbook(self.path)

    def answer(self, sheet: str, row: int, answer: Any, who: str = "K. Planner", day: Any = None) -> None:
        page = self.file[sheet]
        heads = {cell.value: int(cell.column or 0) for cell in page[1]}
        page.cell(row, heads["Answer"]).value = answer
        page.cell(row, heads["Answered by" if sheet == "Questions" else "Source of the answer"]).value = who
        page.cell(row, heads["Date"]).value = day

    def row(self, sheet: str, words: str, more: str = "") -> int:
        """The first row of a sheet that holds some words."""
        for cells in self.file[sheet].iter_rows(min_row=2):
            told = " ".join(str(cell.value) for cell in cells)
            if words in told and more in told:
                return int(cells[0].row or 0)
        raise AssertionError(f"{sheet} has no {words}")

    def audit(self) -> AuditResult:
        self.file.save(self.path)
        return audit_book(self.book, answers=self.path)


@pytest.fixture
def contractor(tmp_path: Path) -> Contractor:
    return Contractor(tmp_path, ROWS)


def lags(result: AuditResult) -> set[str]:
    return {one.tag for one in result.not_checked if one.rule == "float-lags"}


def test_an_answer_for_one_gauge_is_used_with_its_place_and_date(contractor: Contractor) -> None:
    assert lags(contractor.before) == {"LG-1000", "LG-1001", "LG-1002"}
    row = contractor.row("Data request", "LG-1001", "operating viscosity")
    contractor.answer("Data request", row, "900 cP", "data sheet 7", date(2026, 3, 1))
    result = contractor.audit()
    assert lags(result) == {"LG-1000", "LG-1002"}
    (found,) = (one for one in result.findings if one.rule == "float-lags")
    assert (found.tag, found.sheet, found.cell) == ("LG-1001", "[back.xlsx]Data request", f"F{row}")
    assert found.calculation is not None
    (value,) = (one for one in found.calculation.inputs if one.symbol == "mu")
    assert value.note == "answered by data sheet 7 on 2026-03-01"


def test_one_answer_holds_for_all_gauges_that_have_none_of_their_own(contractor: Contractor) -> None:
    contractor.answer("Questions", contractor.row("Questions", "Operating viscosity"), 0.5)
    row = contractor.row("Data request", "LG-1001", "operating viscosity")
    contractor.answer("Data request", row, "900 cP")
    result = contractor.audit()
    assert lags(result) == set()
    assert {one.tag for one in result.findings if one.rule == "float-lags"} == {"LG-1001"}
    assert not [one for one in result.findings if one.rule == "number-as-text"]


def test_what_the_index_states_by_now_counts_before_an_answer(tmp_path: Path, contractor: Contractor) -> None:
    contractor.answer("Questions", contractor.row("Questions", "Operating viscosity"), "900 cP")
    contractor.file.save(contractor.path)
    newer = build(tmp_path / "newer.xlsx", LAYOUTS[0], [row | {"viscosity": "0.5 cP"} for row in ROWS]).path
    result = audit_book(newer, answers=contractor.path)
    assert [one for one in result.findings if one.rule == "float-lags"] == []


def test_a_word_that_was_not_understood_is_replaced_by_its_answer(tmp_path: Path) -> None:
    asked = Contractor(tmp_path, [{"chamber_material": "Unobtanium Q7"}])
    row = asked.row("Data request", "LG-1000", "chamber material")
    asked.answer("Data request", row, "A105")
    found = {one.rule for one in asked.audit().findings}
    assert "chamber-magnetic" in found


def test_an_answer_about_a_finding_stands_beside_it_in_every_report(contractor: Contractor) -> None:
    row = contractor.row("Questions", "LG-1002", "reads")
    contractor.answer("Questions", row, "a scale for 0.88 is ordered", "K. Planner", "2026-03-02")
    result = contractor.audit()
    (found,) = (one for one in result.findings if one.answer)
    assert (found.rule, found.tag) == ("offset-exceeds-tolerance", "LG-1002")
    told = f"a scale for 0.88 is ordered (answered by K. Planner on 2026-03-02; back.xlsx, Questions!D{row})"
    assert found.answer == told
    out = io.StringIO()
    text.write([result], out)
    assert "Answer: a scale for 0.88 is ordered" in " ".join(out.getvalue().split())
    assert "a scale for 0.88 is ordered" in html.text([result])
    assert result.to_dict()["findings"][result.findings.index(found)]["answer"] == told


def test_a_column_in_doubt_is_what_its_answer_says(tmp_path: Path) -> None:
    asked = Contractor(tmp_path, [{"flange_class": Unclear("Connection", "150")}])
    row = asked.row("Questions", "What is in it?")
    question = str(asked.file["Questions"].cell(row, 3).value)
    first = question.partition("Write ")[2].partition(" or ")[0]
    asked.answer("Questions", row, first)
    result = asked.audit()
    heading = str(asked.file["Questions"].cell(row, 2).value)
    assert heading not in {f"{one.column.sheet}!{one.column.cell}" for one in result.reading.open}
    asked.answer("Questions", row, "no idea")
    result = asked.audit()
    assert f"Questions!D{row}: 'no idea' is none of the choices; write {first} or " in doubts(result)
    assert heading in {f"{one.column.sheet}!{one.column.cell}" for one in result.reading.open}


@pytest.mark.parametrize(
    ("answer", "why"),
    [
        (
            "12 or 14 or so",
            "Data request!F{row}: '12 or 14 or so' is no clear answer for the operating viscosity",
        ),
        ("12 kg", "Data request!F{row}: '12 kg' is no clear answer"),
    ],
)
def test_an_unclear_answer_is_told_and_the_others_are_used(
    contractor: Contractor, answer: str, why: str
) -> None:
    row = contractor.row("Data request", "LG-1001", "operating viscosity")
    other = contractor.row("Data request", "LG-1002", "operating viscosity")
    contractor.answer("Data request", row, answer)
    contractor.answer("Data request", other, "12 cP")
    result = contractor.audit()
    assert f"not used, the other answers are: back.xlsx, {why.format(row=row)}" in doubts(result)
    assert {"LG-1001", "LG-1002"} & lags(result) == {"LG-1001"}
    out = io.StringIO()
    text.write([result], out)
    for page in (out.getvalue(), html.text([result])):
        assert page.index("Answers to look at again") < page.index("983.7")  # the first finding


def test_a_kinematic_viscosity_is_made_dynamic_by_the_density_of_its_gauge(contractor: Contractor) -> None:
    row = contractor.row("Data request", "LG-1001", "operating viscosity")
    contractor.answer("Data request", row, "12 cSt")
    contractor.file.save(contractor.path)
    table = answered(read_book(contractor.book), read_answers(contractor.path, contractor.book.name)).gauges[
        0
    ]
    assert table.columns["viscosity"].number(1) == pytest.approx(12e-6 * 983.2)


def test_a_kinematic_viscosity_without_a_density_is_not_used(tmp_path: Path) -> None:
    asked = Contractor(tmp_path, [{"viscosity": None, "fluid_density": None}])
    asked.answer("Data request", asked.row("Data request", "LG-1000", "operating viscosity"), "12 cSt")
    told = doubts(asked.audit())
    assert (
        "no clear answer for the operating viscosity: a kinematic viscosity, and no density beside it" in told
    )
    row = asked.row("Data request", "LG-1000", "density")
    asked.answer("Data request", row, "850 kg/m3")
    assert "kinematic" not in doubts(asked.audit())


@pytest.mark.parametrize("day", ["soon", "3/4/2026"])
def test_the_date_of_an_answer_that_is_none_is_told_and_kept_as_it_stands(
    contractor: Contractor, day: str
) -> None:
    row = contractor.row("Data request", "LG-1001", "operating viscosity")
    contractor.answer("Data request", row, "12 cP", day=day)
    result = contractor.audit()
    assert f"back.xlsx, Data request!I{row}: '{day}' is no date that can be read in one way only" in doubts(
        result
    )
    assert "LG-1001" not in lags(result)


def test_an_unclear_answer_beside_a_word_that_was_not_understood_leaves_the_word(tmp_path: Path) -> None:
    asked = Contractor(tmp_path, [{"test_pressure": "see sheet 3"}])
    row = asked.row("Data request", "LG-1000", "test pressure")
    asked.answer("Data request", row, "as before")
    result = asked.audit()
    assert f"Data request!F{row}: 'as before' is no clear answer for the hydrostatic test pressure" in doubts(
        result
    )
    assert list(result.not_checked) == list(asked.before.not_checked)


def test_a_question_whose_key_is_gone_is_refused(contractor: Contractor) -> None:
    row = contractor.row("Questions", "Operating viscosity")
    contractor.answer("Questions", row, "12 cP")
    contractor.file["Questions"].cell(row, 7).value = "mine"
    with pytest.raises(XlfuncsError, match=rf"Questions!G{row}: the key of this question is gone"):
        contractor.audit()


def test_a_workbook_without_questions_is_refused(contractor: Contractor) -> None:
    with pytest.raises(XlfuncsError, match="there are no questions in it"):
        audit_book(contractor.book, answers=contractor.book)


def test_questions_without_answers_change_nothing(contractor: Contractor) -> None:
    result = contractor.audit()
    assert result.findings == contractor.before.findings
    assert list(result.not_checked) == list(contractor.before.not_checked)


def test_an_answer_that_fits_no_gauge_is_told(tmp_path: Path, contractor: Contractor) -> None:
    row = contractor.row("Data request", "LG-1001", "operating viscosity")
    contractor.answer("Data request", row, "12 cP")
    contractor.file.save(contractor.path)
    other = build(tmp_path / "other.xlsx", LAYOUTS[0], [{"tag": "LG-7"}]).path
    told = [doubt["text"] for doubt in audit_book(other, answers=contractor.path).doubts]
    what = f"back.xlsx, Data request!F{row} (operating viscosity of LG-1001)"
    assert f"the answer in {what} fits no gauge" in str(told)


@pytest.mark.parametrize(("lack", "waits"), [(11, 1), (10, 1), (9, 0)])
def test_a_column_that_was_not_understood_is_asked_for_where_half_of_the_gauges_lack_it(
    lack: int, waits: int
) -> None:
    column = OpenColumn(
        "Index", "gauges", "F", "F1", "Xq", ("viscosity",), ("viscosity", "ignore"), "Xq", "unread"
    )
    places = [(f"LG-{i}", "Index", i) for i in range(lack)]
    block = UncheckedBlock("float-lags", ("operating viscosity",), places, fields=(frozenset({"viscosity"}),))
    found = waiting([column], Unchecked([block]), {"Index": 20})
    assert [(one.rules, one.gauges) for one in found] == [(("float-lags",), lack)] * waits


def doubts(result: AuditResult) -> str:
    return " ".join(str(doubt["text"]) for doubt in result.doubts)


def test_an_answer_under_another_heading_or_none_is_told(contractor: Contractor) -> None:
    row = contractor.row("Questions", "LG-1002", "reads")
    contractor.answer("Questions", row, None, who="a scale for 0.88 is ordered")
    contractor.file["Questions"].cell(row, 8).value = "see above"
    told = doubts(contractor.audit())
    assert f"Questions!E{row}: 'a scale for 0.88 is ordered' stands beside an answer that is blank" in told
    assert f"Questions!H{row}: 'see above' stands under no heading" in told


def test_a_name_that_stands_in_every_row_is_told_once(contractor: Contractor) -> None:
    page = contractor.file["Questions"]
    for row in range(2, page.max_row + 1):
        contractor.answer("Questions", row, None)
    told = [doubt["text"] for doubt in contractor.audit().doubts if "K. Planner" in str(doubt["text"])]
    assert len(told) == 1 and f"and {page.max_row - 2} more cells" in str(told[0])


def test_a_title_above_the_questions_does_no_harm(contractor: Contractor) -> None:
    row = contractor.row("Questions", "LG-1002", "reads")
    contractor.answer("Questions", row, "will be changed")
    contractor.file["Questions"].insert_rows(1, 2)
    contractor.file["Questions"]["A1"] = "Reply of May 3"
    (found,) = (one for one in contractor.audit().findings if one.answer)
    assert f"Questions!D{row + 2}" in found.answer


@pytest.mark.parametrize(("column", "lacking"), [(4, "Answer"), (7, "Key")])
def test_a_heading_that_was_translated_is_refused(contractor: Contractor, column: int, lacking: str) -> None:
    contractor.answer("Questions", 2, 0.5)
    contractor.file["Questions"].cell(1, column).value = "Antwort"
    with pytest.raises(XlfuncsError, match=rf"Questions row 1: the heading '{lacking}' is gone"):
        contractor.audit()


@pytest.mark.parametrize("by", ["tag", "item"])
def test_a_sheet_that_was_sorted_without_its_keys_is_refused(contractor: Contractor, by: str) -> None:
    page = contractor.file["Data request"]
    row = contractor.row("Data request", "LG-1001", "operating viscosity")
    contractor.answer("Data request", row, "12 cP")
    other = next(
        r
        for r in range(2, page.max_row + 1)
        if (page.cell(r, 2).value == "LG-1001") == (by == "item") and r != row
        if (page.cell(r, 3).value == "operating viscosity") == (by == "tag")
    )
    key = page.max_column
    page.cell(row, key).value, page.cell(other, key).value = (
        page.cell(other, key).value,
        page.cell(row, key).value,
    )
    with pytest.raises(XlfuncsError, match="the key of this row is of another question"):
        contractor.audit()


def test_whole_rows_may_be_sorted_and_deleted(contractor: Contractor) -> None:
    page = contractor.file["Data request"]
    contractor.answer(
        "Data request", contractor.row("Data request", "LG-1001", "operating viscosity"), "900 cP"
    )
    rows = [[cell.value for cell in row] for row in page.iter_rows(min_row=2)][::-1]
    page.delete_rows(2, page.max_row)
    for row in rows[:-1]:
        page.append(row)
    assert lags(contractor.audit()) == {"LG-1000", "LG-1002"}


@pytest.mark.calc
@pytest.mark.parametrize("ending", ["xlsx", "ods"])
def test_answers_are_read_from_what_calc_has_saved(
    contractor: Contractor, tmp_path: Path, ending: str
) -> None:
    row = contractor.row("Data request", "LG-1001", "operating viscosity")
    contractor.answer("Data request", row, "900,5 cP", day="1.3.2026")
    contractor.file.save(contractor.path)
    command = ["soffice", f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to"]
    command += [ending, "--outdir", str(tmp_path / "calc"), str(contractor.path)]
    subprocess.run(command, capture_output=True, timeout=180, check=True)
    result = audit_book(contractor.book, answers=tmp_path / "calc" / f"back.{ending}")
    (found,) = (one for one in result.findings if one.rule == "float-lags")
    assert found.calculation is not None
    (value,) = (one for one in found.calculation.inputs if one.symbol == "mu")
    assert value.note == "answered by K. Planner on 2026-03-01" and value.number == pytest.approx(0.9005)
