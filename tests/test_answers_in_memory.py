"""Answers that came back, for an index of columns in memory: which question, which gauge, what is clear."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from tests.rows import save
from xlfuncs.audit.answers import accepted_in
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.model import Accepted, AuditResult, Finding, Severity
from xlfuncs.audit.questions import Answers, answered, key, note, read_answers
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.instructions import NONE
from xlfuncs.lists.model import Book, Column, State
from xlfuncs.lists.own import ACCEPTED

BOOK = "index.xlsx"
HEADS = ("Tag", "What is needed", "About", "Answer", "Answered by", "Date", "Key")
LABELS = {"viscosity": "operating viscosity", "fluid_density": "operating density of the (lower) fluid"}


def row(answer: Any, key_: str, *, tag: str = "", item: str = "", about: str = "", **more: Any) -> list[Any]:
    return [tag, item, about, answer, more.get("who", "K. Planner"), more.get("day", "2026-03-01"), key_]


def value(answer: Any, tag: str, field: str = "viscosity", unit: str = "cP", **more: Any) -> list[Any]:
    what, at = more.pop("what", "value"), more.pop("at", ("gauges", 2))
    item = more.pop("item", LABELS.get(field, field))
    told = more.pop("told", tag or "no tag")
    return row(answer, key(what, BOOK, *at, tag, field, unit), tag=told, item=item, **more)


def back(folder: Path, *rows: Sequence[Any], heads: Sequence[Any] = HEADS) -> Path:
    return save(folder / "back.xlsx", {"Data request": [heads, *rows]})


def read(folder: Path, *rows: Sequence[Any], heads: Sequence[Any] = HEADS, book: str = BOOK) -> Answers:
    return read_answers(back(folder, *rows, heads=heads), book)


def index(**columns: list[Any]) -> Book:
    return gauges_of({"tag": ["LG-1", "LG-2", None], **columns}).book


def filled(book: Book, answers: Answers) -> tuple[Column, list[str]]:
    """The viscosities with their answers, and what is told of the answers."""
    made = answered(book, answers)
    return made.gauges[0].columns["viscosity"], [one.text for one in made.doubts]


def numbers(column: Column) -> list[float | None]:
    given = column.given.tolist()
    return [round(column.number(i) * 1e3, 6) if given[i] else None for i in range(len(column))]


def test_an_answer_goes_to_the_gauge_of_its_tag_else_to_that_of_its_row(tmp_path: Path) -> None:
    answers = read(
        tmp_path,
        value("5 cP", "lg-2"),
        value("7 cP", "", at=("gauges", 4)),
        value("9 cP", "", at=("Other", 3)),
    )
    column, told = filled(index(), answers)
    assert numbers(column) == [None, 5.0, 7.0]
    assert column.source[1] == "answered by K. Planner on 2026-03-01"
    assert told == [
        (
            "the answer in back.xlsx, Data request!D4 (operating viscosity of Other row 3) fits no gauge of"
            " this workbook"
        )
    ]


def test_what_the_list_states_goes_before_an_answer_unless_it_was_not_understood(tmp_path: Path) -> None:
    stated = index(viscosity=["3 cP", "thick", "thick"])
    plain = read(tmp_path, value("5 cP", "LG-1"), value("6 cP", "LG-2"))
    assert numbers(filled(stated, plain)[0]) == [3.0, 6.0, None]
    instead = read(tmp_path, value("5 cP", "LG-1", what="instead"), value("a lot", "LG-2", what="instead"))
    column, told = filled(stated, instead)
    assert numbers(column) == [5.0, None, None]
    assert column.state[1] == State.UNREADABLE
    assert (
        len(told) == 1
        and "Data request!D3: 'a lot' is no clear answer for the operating viscosity" in told[0]
    )


def test_one_answer_for_all_gives_way_to_one_of_a_gauge(tmp_path: Path) -> None:
    answers = read(tmp_path, row("4 cP", key("all", BOOK, "viscosity", "cP")), value("5 cP", "LG-2"))
    assert numbers(filled(index(), answers)[0]) == [4.0, 5.0, 4.0]


def test_how_an_answer_is_typed_is_no_finding_and_a_dash_is_one(tmp_path: Path) -> None:
    column, told = filled(index(), read(tmp_path, value("5,5", "LG-1"), value("-", "LG-2")))
    assert numbers(column) == [5.5, None, None]
    assert column.state.tolist() == [State.OK, State.PLACEHOLDER, State.BLANK]
    assert told == []


def test_a_density_that_was_answered_makes_a_kinematic_viscosity_dynamic(tmp_path: Path) -> None:
    rows = (value("10 cSt", "LG-1"), value("850 kg/m3", "LG-1", "fluid_density", "kg/m3"))
    for order in (rows, rows[::-1]):
        assert numbers(filled(index(), read(tmp_path, *order))[0]) == [8.5, None, None]


def test_a_text_is_an_answer_as_it_stands(tmp_path: Path) -> None:
    answers = read(tmp_path, value(7, "LG-1", "fluid", ""), value("Water", "LG-2", "fluid", ""))
    texts = answered(index(), answers).gauges[0].columns["fluid"].text.tolist()
    assert texts == ["7", "Water", ""]


def test_an_answer_in_words_is_kept_for_a_person(tmp_path: Path) -> None:
    answers = read(tmp_path, row("see sheet 3", key("text", BOOK, "Data sheet", "LG-1"), item="Data sheet"))
    assert [one.text for one in answered(index(), answers).doubts] == [
        "Data sheet of LG-1: see sheet 3 (answered by K. Planner on 2026-03-01; back.xlsx, Data request!D2)"
    ]


# --- columns and findings -------------------------------------------------------------------------------


def test_a_column_is_one_of_its_choices_or_none(tmp_path: Path) -> None:
    def of(answer: str) -> tuple[list[tuple[str, str]], str]:
        asked = key("column", BOOK, "Index", "C", ["viscosity", "float_mass"])
        answers = read(tmp_path, row(answer, asked))
        return answers.columns(), " ".join(answers.unclear())

    assert of("viscosity - operating viscosity") == ([("viscosity", "Index!C")], "")
    assert of("(not used)") == ([(NONE, "Index!C")], "")
    columns, told = of("fluid_density")
    assert columns == []
    assert "back.xlsx, Data request!D2: 'fluid_density' is none of the choices; write viscosity - " in told


def test_an_answer_about_a_finding_goes_to_its_cell(tmp_path: Path) -> None:
    def about(tag: str, cell: str, text: str) -> list[Any]:
        return row(text, key("finding", BOOK, "float-sinks", tag, cell), about=f"{tag or cell} float sinks")

    answers = read(
        tmp_path,
        about("LG-1", "Index!B2", "noted"),
        about("LG-1", "Index!C2", "seen"),
        about("", "Index!B9", "ok"),
    )
    made = [
        Finding("float-sinks", Severity.ERROR, "Index", cell, tag, "", "")
        for tag, cell in (("lg-1", "B2"), ("LG-1", "C2"), ("LG-1", "D2"), ("", "B9"), ("LG-2", "B2"))
    ]
    note(result := AuditResult(BOOK, "", 1, {}, {}, made, []), answers)
    told = [one.answer.split(" (")[0] for one in result.findings]
    assert told == ["noted", "seen", "noted", "ok", ""]
    assert result.findings[2].answer.count("answered by") == 2  # about none of these cells: both


# --- the workbook of answers ----------------------------------------------------------------------------


def test_of_a_workbook_that_asks_of_several_those_of_this_one_are_read(tmp_path: Path) -> None:
    other = row("9 cP", key("all", "other.xlsx", "viscosity", "cP"))
    rows = (row("4 cP", key("all", BOOK, "viscosity", "cP")), other)
    assert [one.value for one in read(tmp_path, *rows).given] == ["4 cP"]
    assert [one.value for one in read(tmp_path, *rows, book="other.xlsx").given] == ["9 cP"]
    assert [one.value for one in read(tmp_path, other).given] == ["9 cP"]  # renamed meanwhile


@pytest.mark.parametrize(("above", "found"), [(0, True), (7, True), (8, False)])
def test_headings_stand_in_the_first_eight_rows(tmp_path: Path, above: int, found: bool) -> None:
    rows = [["Reply"] for _ in range(above)]
    path = save(tmp_path / "back.xlsx", {"Data request": [*rows, HEADS, value("5 cP", "LG-1")]})
    if found:
        assert [one.row for one in read_answers(path, BOOK).given] == [above + 2]
        return
    with pytest.raises(XlfuncsError, match="there are no questions in it"):
        read_answers(path, BOOK)


@pytest.mark.parametrize(
    "wrong",
    ["mine", "[]", '["value"]', '["value", "index.xlsx"]', '{"value": 1}', '["odd", "index.xlsx", 1, 2]', ""],
)
def test_a_key_that_is_none_is_refused_by_its_cell(tmp_path: Path, wrong: str) -> None:
    with pytest.raises(XlfuncsError, match=r"Data request!G2: the key of this question is gone"):
        read(tmp_path, row("5 cP", wrong))


@pytest.mark.parametrize("lacking", ["Answer", "Key"])
def test_a_heading_that_is_gone_is_named(tmp_path: Path, lacking: str) -> None:
    heads = ["Antwort" if head == lacking else head for head in HEADS]
    with pytest.raises(XlfuncsError, match=rf"Data request row 1: the heading '{lacking}' is gone"):
        read(tmp_path, value("5 cP", "LG-1"), heads=heads)


@pytest.mark.parametrize(
    "sorted_",
    [
        value("5 cP", "LG-1", told="LG-2"),
        value("5 cP", "", told="LG-2"),
        value("5 cP", "LG-1", item="operating density of the (lower) fluid"),
        value("5 cP", "LG-1", what="instead", told="LG-2"),
        row("x", key("text", BOOK, "Data sheet", "LG-1"), item="Certificate"),
        row("x", key("finding", BOOK, "float-sinks", "LG-1", "Index!B2"), about="LG-2 float sinks"),
    ],
)
def test_a_key_beside_another_question_is_refused(tmp_path: Path, sorted_: list[Any]) -> None:
    with pytest.raises(XlfuncsError, match="the key of this row is of another question"):
        read(tmp_path, sorted_)


def test_a_question_in_own_words_keeps_its_key(tmp_path: Path) -> None:
    given = read(
        tmp_path, value("5 cP", "LG-1", item="How thick is it?"), value("6 cP", "", at=("gauges", 4))
    ).given
    assert [one.value for one in given] == ["5 cP", "6 cP"]


def test_what_is_written_beside_is_told_and_once_for_many_rows(tmp_path: Path) -> None:
    blank = value(None, "LG-1")
    assert read(tmp_path, blank).beside == (
        (
            "back.xlsx, Data request!E2: 'K. Planner' stands beside an answer that is blank: an answer is"
            " read under 'Answer' only"
        ),
    )
    assert (
        read(tmp_path, blank, blank, blank)
        .beside[0]
        .startswith("back.xlsx, Data request!E2 and 2 more cells: ")
    )
    assert read(tmp_path, [*value("5 cP", "LG-1"), "see above"], heads=HEADS).beside == (
        "back.xlsx, Data request!H2: 'see above' stands under no heading",
    )
    assert read(tmp_path, value("5 cP", "LG-1")).beside == ()


# --- acceptances in an annotated copy -------------------------------------------------------------------

FINDINGS = ("No.", "Severity", "Tag", "Cell", "Rule", "What is wrong", "Found", "Expected", *ACCEPTED)
TODAY = date(2026, 3, 1)


def finding(tag: str, cell: str, rule: str, until: Any, who: str | None = "B. Reviewer") -> list[Any]:
    why = None if who is None else "as built"
    return [1, "error", tag, cell, rule, "wrong", None, None, who, why, until]


def accepted(folder: Path, sheet: str, *rows: Sequence[Any]) -> list[Accepted]:
    path = save(folder / "copy.xlsx", {"Index": [["Tag"], ["LG-1"]], sheet: rows})
    return accepted_in(path, ["Findings", "Accepted"], TODAY)


def test_a_finding_is_accepted_by_its_tag_and_by_its_cell_where_its_rule_fires_twice(tmp_path: Path) -> None:
    once = finding("LG-1", "Index!B2", "float-sinks", "2026-12-31")
    twice = [finding("LG-2", f"Index!{cell}", "switch-order", "2026-12-31") for cell in ("C3", "D3")]
    open_ = finding("LG-3", "Index!B4", "float-sinks", None, None)
    made = accepted(tmp_path, "Findings", FINDINGS, once, *twice, open_)
    assert [(one.tag, one.rule, one.cell) for one in made] == [
        ("LG-1", "float-sinks", ""),
        ("LG-2", "switch-order", "Index!C3"),
        ("LG-2", "switch-order", "Index!D3"),
    ]
    assert [(one.when, one.until) for one in made[:1]] == [(TODAY, date(2026, 12, 31))]


def test_an_acceptance_that_has_ended_begins_no_later_than_it_ends(tmp_path: Path) -> None:
    (made,) = accepted(
        tmp_path, "Findings", FINDINGS, finding("LG-1", "Index!B2", "float-sinks", "2026-02-01")
    )
    assert (made.when, made.until) == (date(2026, 2, 1), date(2026, 2, 1))


def test_what_stands_among_the_accepted_without_a_day_begins_by_its_last(tmp_path: Path) -> None:
    heads = ("Tag", "Rule", "Service", "Place", "State", "Who", "When", "Why", "Until")

    def of(when: Any, until: str) -> tuple[date, date]:
        row = ["LG-1", "float-sinks", None, None, "used", "B. Reviewer", when, "as built", until]
        (made,) = accepted(tmp_path, "Accepted", heads, row)
        return made.when, made.until

    assert of("2025-05-01", "2025-06-01") == (date(2025, 5, 1), date(2025, 6, 1))
    assert of(None, "2001-06-01") == (date(2001, 6, 1), date(2001, 6, 1))
    assert of(None, "2999-06-01")[0] <= date.today()
