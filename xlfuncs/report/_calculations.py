"""The sheet 'Calculations': the numbers of findings as native formulas that link to the cells of it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from math import isclose, nan
from typing import Any, Final

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.audit.calculation import Calculation, Step, Value, evaluate, formula, symbols
from xlfuncs.audit.model import Finding
from xlfuncs.audit.written import MINUS, SPACES, Written, find
from xlfuncs.lists import own
from xlfuncs.report import _guards as guards
from xlfuncs.report import _sheets as sheets
from xlfuncs.report import _words as words
from xlfuncs.report._working import scaled

MOST: Final = 2_000
"""Calculations written: more would open too slowly; the sheet says how many were left out."""

_WIDTHS: Final = (6, 12, 46, 18, 10, 20, 44, 40)
_VALUE: Final = 4
"""Column of the numbers."""
FINDING: Final = "finding"
IN_ORDER: Final = "in order"
NO_NUMBER: Final = "no number"
"""What stands for an input whose cell holds none, or none that is written as the first one was."""
_UNDECIDED: Final = "an input is no number"
_UNREAD: Final = "not decided, audit again: a step has no number"
_BLANK: Final = "not decided, audit again: a text is blank"
_STANDS: Final = "Numbers above without a formula stand as computed and follow no change: audit the copy."
_A_WORD: Final = "the equations below are those for this text: with another one audit the copy"
_DOES_NOT_FOLLOW: Final = "stands as it was read: does not follow its cell; type another number here"
_CHANGED: Final = "cells changed since the audit that no formula here follows"


def add(book: Workbook, findings: Sequence[Finding], held: guards.Held, taken: Collection[str]) -> None:
    """Put the sheet behind the findings, which are ordered. `held`: of what formulas may name."""
    worked = [
        (number, f, calculation)
        for number, f in enumerate(findings[: 10 * MOST], 1)
        if (calculation := f.calculation) is not None
    ]
    if not worked:
        return
    sheet = book.create_sheet(sheets.free_name(own.CALCULATIONS, taken), 1)
    sheets.table(sheet, list(zip(own.HEADS[own.CALCULATIONS], _WIDTHS, strict=True)), "0B5394")
    page = _Page(sheet, held)
    for number, finding, calculation in worked[:MOST]:
        page.finding(number, finding, calculation)
    if (left := len(worked) - MOST) > 0:
        page.line(text=f"and {left:,} more calculations; --format json has them all", font=sheets.BOLD)
    sheets.fit(sheet)


class _Page:
    """The sheet while it is written."""

    def __init__(self, sheet: Worksheet, held: guards.Held) -> None:
        self.sheet = sheet
        self.held = held
        self.row = 1
        self.kept: dict[str, float | str] = vars(sheet).setdefault("_report_kept", {})

    def finding(self, number: int, finding: Finding, calculation: Calculation) -> None:
        """A line with the verdict, one for each input, one for each step."""
        self.row += 1
        head = self.row + 1
        self.line(
            number,
            text=f"{words.one_line(finding.tag) or 'no tag'}: {finding.rule}",
            further=(words.place(finding), words.sentence(finding.message)),
            font=sheets.BOLD,
        )
        where: dict[str, str] = {}
        first = self.row + 1
        for value in calculation.inputs:
            self._input(value)
            where[value.symbol] = f"$D${self.row}"
        numbers = sum(value.number is not None for value in calculation.inputs)
        unless = [(f"COUNT($D${first}:$D${max(self.row, first)})<{numbers}", f'"{_UNDECIDED}"')]
        unless += self._unchanged(calculation)
        if all(calculation.same):
            blank = ",".join(f"LEN(TRIM({where[symbol]}))=0" for symbol in calculation.same)
            unless.append((f"OR({blank})", f'"{_BLANK}"'))
        if moved := guards.moved(calculation, where):
            unless.append((f"OR({','.join(condition for _, condition in moved)})", guards.named(moved)))
        for step in calculation.steps:
            self._step(step, where)
            where[step.symbol] = f"$D${self.row}"
        self._verdict(head, calculation, where, [*unless, *guards.beyond(calculation, where)])
        self.row += 1

    def _unchanged(self, calculation: Calculation) -> list[tuple[str, str]]:
        """A row that counts what was changed and no number follows; when no verdict is drawn for it."""
        compared = {symbol for symbol in calculation.same if symbol}
        given = [one for one in calculation.inputs if one.origin == "cell" and one.symbol not in compared]
        loose = [one for one in given if one.number is None or not _linked(one, self.held).link]
        followed = {(one.sheet, one.cell) for one in calculation.inputs if one not in loose and one.cell}
        cells = {(one.sheet, one.cell): one.name for one in loose}
        cells |= {(one.sheet, one.cell): one.name for one in calculation.stands}
        changed = [
            (f"{name} ({cell})", condition)
            for (sheet, cell), name in cells.items()
            if (sheet, cell) not in followed
            and (condition := guards.differs(guards.reference(sheet, cell), self.held(sheet, cell)))
        ]
        if not changed:
            return []
        told = ", ".join(name for name, _ in changed)
        self.line(None, "", _CHANGED, further=(told, "another content of these cells needs another audit"))
        self._number(f"={guards.counted(changed)}", 0)
        self.sheet.cell(self.row, _VALUE).number_format = "General"
        return [(f"$D${self.row}>0", guards.named(changed))]

    def line(
        self,
        number: int | None = None,
        symbol: str = "",
        text: str = "",
        unit: str = "",
        shown: str = "",
        further: tuple[str, str] = ("", ""),
        font: Any = None,
        fill: str = "",
    ) -> None:
        """A row without its number."""
        self.row += 1
        for column, value in enumerate((number, symbol, text, None, unit, shown, *further), 1):
            sheets.put(self.sheet, self.row, column, value, font or sheets.TEXT, fill)

    def _number(self, content: Any, kept: float | str | None, fill: str = "", boxed: bool = False) -> None:
        cell = self.sheet.cell(self.row, _VALUE)
        sheets.put(self.sheet, self.row, _VALUE, None, fill=fill, boxed=boxed)
        cell.value = content
        number = content if kept is None else kept
        if isinstance(number, (int, float)):
            cell.number_format = _format(number)
        if isinstance(content, str) and kept is not None:
            cell.data_type = "f"
            self.kept[cell.coordinate] = kept

    def _input(self, value: Value) -> None:
        value = _linked(value, self.held)
        linked = bool(value.link)
        told = ""
        if value.origin == "cell":
            told = _follows(value) if linked else _A_WORD if value.number is None else _DOES_NOT_FOLLOW
        note = "; ".join(filter(None, (scaled(value) if linked else "", value.note, told)))
        self.line(None, value.symbol, value.name, value.unit, value.shown, (_origin(value), note), fill="")
        if value.number is None:
            self._text(value)
            return
        content: Any = _link(value) if linked else value.number
        self._number(content, value.number if linked else None, sheets.ANSWER, boxed=True)

    def _text(self, value: Value) -> None:
        """A text as it stands in its cell now."""
        text = value.stated or value.shown
        if value.cell and self.held(value.sheet, value.cell) not in (None, guards.NOWHERE):
            self._number(f'={guards.reference(value.sheet, value.cell)}&""', text, sheets.ANSWER)
        else:
            sheets.put(self.sheet, self.row, _VALUE, text, fill=sheets.ANSWER)

    def _step(self, step: Step, where: dict[str, str]) -> None:
        told = f"{step.symbol} = {step.expression}" if step.expression else f"number of {step.function}"
        self.line(None, step.symbol, step.name, step.unit, step.shown, (step.source, told))
        if step.expression and set(symbols(step.expression)) <= where.keys():
            self._number(f"={formula(step.expression, where)}", step.number)
        else:
            self._number(step.number, None)

    def _verdict(
        self, head: int, calculation: Calculation, where: dict[str, str], unless: list[tuple[str, str]]
    ) -> None:
        """The verdict stands last, and again in the finding's first line. `unless`: when another is drawn."""
        test, told = _test(calculation, where)
        if test:
            self.line(None, "", "Verdict", further=("", told), font=sheets.BOLD)
            in_order = guards.OF_ONE_CASE if calculation.one_case else IN_ORDER
            decided = f'IFERROR(IF({test},"{FINDING}","{in_order}"),"{_UNREAD}")'
            opened = "".join(f"IF({condition},{answer}," for condition, answer in unless)
            self._number(f"={opened}{decided}{')' * len(unless)}", FINDING)
            last = self.row
            self.row = head
            self._number(f"=$D${last}", FINDING)
            self.row = last
        if not calculation.elementary:
            self.line(text=_STANDS)
        if calculation.note:
            self.line(text=words.sentence(calculation.note))


def _test(calculation: Calculation, where: dict[str, str]) -> tuple[str, str]:
    """The condition under which it is a finding, as a formula, and as it is told; "" for none."""
    if all(calculation.same):
        own, noted = (where[symbol] for symbol in calculation.same)
        differ = f"{guards.alike(own)}<>{guards.alike(noted)}"
        return differ, "a finding where {} and {} differ".format(*calculation.same)
    if calculation.test and set(symbols(calculation.test)) <= where.keys():
        return formula(calculation.test, where), f"a finding where {calculation.test}"
    return "TRUE", "a finding while the texts above stand"


def _format(number: float) -> str:
    """A number format that shows six digits or more of the number."""
    size = abs(number)
    if size >= 1e5:
        return "#,##0"
    return "0.0000##" if size >= 1e-2 or not size else "0.00000E+00"


def _linked(value: Value, held: guards.Held) -> Value:
    """The value by what its whole cell holds, of which it may be a part; without a link where it has none."""
    if not (value.link and value.cell):
        return replace(value, link="")
    content = held(value.sheet, value.cell)
    number = value.number or 0.0

    def in_si(x: float) -> float:
        return evaluate(value.link, {"x": x})

    if isinstance(content, str) and content:
        read = value.written.number(content) if value.written else None
        if read is not None and isclose(in_si(read), number, rel_tol=1e-9, abs_tol=1e-12):
            return value
        written = find(content, number, in_si)
        return replace(value, written=written, stated=content, link=value.link if written else "")
    plain = float(content) if isinstance(content, (int, float)) and not isinstance(content, bool) else nan
    follows = isclose(in_si(plain), number, rel_tol=1e-9, abs_tol=1e-12)
    stated = value.stated if value.written is None else f"{plain:.12g}"
    return replace(value, written=None, stated=stated, link=value.link if follows else "")


def _link(value: Value) -> str:
    """The formula that fetches an input from its cell, in SI."""
    cell = guards.reference(value.sheet, value.cell)
    if value.written is None:
        return f'=IF(ISNUMBER({cell}),{formula(value.link, {"x": cell})},"{NO_NUMBER}")'
    number = f"IF(ISNUMBER({cell}),{cell},{_read(cell, value.written, value.stated)})"
    return f'=IFERROR({formula(value.link, {"x": number})},"{NO_NUMBER}")'


def _read(cell: str, written: Written, stated: str) -> str:
    """The formula that reads a number out of a text; an error where nothing stands in its place."""
    text = cell
    for mark, plain in ((MINUS, "-"), *((space, "") for space in SPACES)):
        if mark in stated:
            text = f'SUBSTITUTE({text},"{mark}","{plain}")'
    if written.before:
        before, found = guards.quoted(written.before), text
        if written.nth > 1:
            before, found = "CHAR(1)", f"SUBSTITUTE({text},{before},CHAR(1),{written.nth})"
        text = f"MID({text},FIND({before},{found})+{len(written.before)},255)"
    if written.after:
        text = f"LEFT({text},FIND({guards.quoted(written.after)},{text})-1)"
    marks = f"{guards.quoted(written.decimal)},{guards.quoted(written.group)}"
    return f'_xlfn.NUMBERVALUE({text},{marks})/(TRIM({text})<>"")'


def _follows(value: Value) -> str:
    """What may be written in a cell that is followed."""
    written = value.written
    if written is None:
        return ""
    mark = "comma" if written.decimal == "," else "point"
    kept = [
        f"with '{part}' {where}"
        for part, where in ((written.before, "before"), (written.after, "after"))
        if part
    ]
    shape = " and ".join([f"a text with decimal {mark}", *kept])
    return f"follows its cell: a number, or {shape}"


def _origin(value: Value) -> str:
    if value.origin == "cell":
        return words.reference(value.sheet, value.cell)
    return f"{value.origin} {value.stated}".strip() if value.origin == "setting" else value.origin
