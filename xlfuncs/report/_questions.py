"""The sheet 'Questions' of a request: columns in doubt, what one answer settles, and the findings.

Each has a cell for its answer, for who gives it and for the day; `audit.questions` reads them when the
workbook is back.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from openpyxl import Workbook
from openpyxl.worksheet.datavalidation import DataValidation

from xlfuncs.audit import questions
from xlfuncs.audit.model import AuditResult
from xlfuncs.lists import own
from xlfuncs.report import _sheets
from xlfuncs.report import _summary as summary
from xlfuncs.report import _words as words

if TYPE_CHECKING:
    from xlfuncs.report.request import Wanted

_HEADS: Final = (
    ("No.", 7), ("About", 30), ("Question", 76), (questions.ANSWER, 34), (questions.BY[0], 18),
    (questions.DAY, 12), (questions.KEY, 30),
)  # fmt: skip
_MANY: Final = 3
"""Gauges from which one answer for all of them is asked for (common practice, no source)."""
_MOST: Final = 20_000
_TAGS: Final = 12
_CHOICES: Final = 250
"""Characters of a list of choices that a cell can hold."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question, and the key by which its answer is told again."""

    about: str
    text: str
    key: str
    choices: tuple[str, ...] = ()


def add(book: Workbook, results: Sequence[AuditResult], values: Sequence[Wanted]) -> None:
    """Put the sheet into a request. `values`: what is asked for gauge by gauge."""
    sheet = book.create_sheet(questions.QUESTIONS)
    _sheets.table(sheet, list(_HEADS), "2E7D32")
    asked = [one for result in results for one in _of(result, values)]
    for number, one in enumerate(asked[:_MOST], 1):
        row = number + 1
        for column, value in enumerate((number, one.about, one.text, None, None, None, one.key), 1):
            answer = column in (4, 5, 6)
            _sheets.put(sheet, row, column, value, fill=_sheets.ANSWER if answer else "", boxed=answer)
        listed = f'"{",".join(one.choices)}"'
        if one.choices and len(listed) <= _CHOICES and not any("," in c or '"' in c for c in one.choices):
            choice = DataValidation(type="list", formula1=listed, allow_blank=True, showErrorMessage=False)
            choice.add(sheet.cell(row, 4))
            sheet.add_data_validation(choice)
    if len(asked) > _MOST:
        _sheets.put(sheet, _MOST + 2, 2, f"and {len(asked) - _MOST:,} more; --format json lists all")
    if not asked:
        _sheets.put(sheet, 2, 2, "Nothing is asked.")
    _sheets.close(sheet)


def _of(result: AuditResult, values: Sequence[Wanted]) -> Iterator[Question]:
    """First what was not read, then what one answer settles for many gauges, then the findings."""
    yield from _columns(result)
    yield from _for_many(result, values)
    yield from _findings(result)


def _columns(result: AuditResult) -> Iterator[Question]:
    for one in (*summary.in_doubt(result), *summary.not_understood(result)):
        choices = tuple(own.item(name) for name in one.column.fields)
        text = f"{words.sentence(one.column.text)}. What is in it? Write {' or '.join(choices)}"
        fields = list(one.column.fields)
        key = questions.key("column", result.workbook, one.column.sheet, one.column.column, fields)
        yield Question(summary.column(one), f"{text} or {own.NOT_USED}.", key, (*choices, own.NOT_USED))


def _for_many(result: AuditResult, values: Sequence[Wanted]) -> Iterator[Question]:
    """What many gauges lack, once for all of them; of this value each gauge's own row counts before it."""
    from xlfuncs.report.request import field_and_unit

    items: dict[tuple[str, str], list[Wanted]] = {}
    for want in values:
        if want.workbook == result.workbook:
            items.setdefault((want.item, want.unit), []).append(want)
    for (item, unit), wants in sorted(items.items(), key=lambda one: -len(one[1])):
        name, single = field_and_unit(item, unit)
        if len(wants) < _MANY or not name or wants[0].instead:
            continue
        tags = [want.tag or f"{want.sheet} row {want.row}" for want in wants]
        which = f"{words.plural(len(wants), 'gauge')}: {words.listed(tags, _TAGS)}"
        how = f", in {single}" if single else ""
        text = f"{words.sentence(item)}{how}: one value, where it is the same for all of them. Else leave"
        key = questions.key("all", result.workbook, name, single)
        yield Question(which, f"{text} this blank and answer on the sheet '{questions.REQUEST}'.", key)


def _findings(result: AuditResult) -> Iterator[Question]:
    for f in summary.ordered(result):
        about = ", ".join(filter(None, (words.one_line(f.tag), words.place(f))))
        text = f"{words.sentence(f.message)}. Will this be corrected, and how, or why does it stand?"
        key = questions.key("finding", result.workbook, f.rule, f.tag, f"{f.sheet}!{f.cell}")
        yield Question(about, text, key)
