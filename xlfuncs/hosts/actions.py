"""What the menu of a spreadsheet program does: plain Python, the same for every program.

A program hands over a workbook as it shows it (`Shown`) and shows what it gets back (`Done`): a file to open
beside the workbook, a text, or a line. The workbook itself is never written to. `python -m
xlfuncs.hosts.actions` does one action for a program that speaks another language: a line of JSON in, one out.
"""

from __future__ import annotations

import io
import json
import os
import re
import shutil
import sys
import tempfile
import threading
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from xlfuncs.errors import XlfuncsError

if TYPE_CHECKING:
    from xlfuncs.hosts.recalculate import Report
    from xlfuncs.worksheet.spec import Argument

State = Literal["saved", "changed", "unsaved"]
Call = Callable[[str, Sequence[Any]], Any]
_PLAIN_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_STATES: Mapping[State, str] = {
    "saved": "{} as it was saved",
    "changed": "{} as it stands on the screen, with changes that have not been saved",
    "unsaved": "{} as it stands on the screen; it has never been saved",
}


@dataclass(frozen=True, slots=True)
class Shown:
    """A workbook as a program shows it."""

    file: Path
    """What is read: the workbook's own file, or a copy of what stands on the screen."""
    name: str
    """What its user calls it."""
    state: State = "saved"

    @property
    def said(self) -> str:
        """What is being looked at, in words."""
        return _STATES[self.state].format(self.name)


@dataclass(frozen=True, slots=True)
class Done:
    """What an action gives."""

    message: str
    """One or two sentences."""
    good: bool = True
    """False where the action could not be done, or what was done needs a look."""
    file: str = ""
    """A workbook to show beside the other one, as a new one: it is deleted when it has been opened."""
    title: str = ""
    """What to call it, or the window of the text."""
    sheet: str = ""
    """The sheet of it to show first."""
    text: str = ""
    """Lines to show in a window of their own."""


def audit(book: Shown, folder: Path) -> Done:
    """An annotated copy of the workbook in a folder: comments at the cells, findings with links behind."""
    from xlfuncs.audit.engine import audit_book
    from xlfuncs.audit.model import Severity

    result = audit_book(book.file)
    path, notes = _annotated(result, book, folder)
    counts = [_plural(result.count(kind), kind.value) for kind in Severity if result.count(kind)]
    found = ", ".join(counts) or "no findings"
    gauges = _plural(result.rows_audited, "gauge")
    open_ = len(result.reading.open)
    doubt = f" {_plural(open_, 'column')} in doubt: see the sheet 'Reading'." if open_ else ""
    message = f"{found}; {gauges} read.{doubt} Audited: {book.said}.{_sentences(notes)}"
    return Done(message, not counts, str(path), f"{_stem(book)} - audited", _sheet_of(path, "Findings"))


def reading(book: Shown, folder: Path) -> Done:
    """How the lists of the workbook were read: the sheet 'Reading' of an annotated copy, to be corrected."""
    from xlfuncs.audit.engine import audit_book

    try:
        result = audit_book(book.file)
    except XlfuncsError as why:
        return Done(_about(book, why), False, text=_columns(book), title=f"How {book.name} was read")
    path, _ = _annotated(result, book, folder)
    sheet = _sheet_of(path, "Reading")
    if not sheet:
        return Done(f"{book.name}: read.", text=_columns(book), title=f"How {book.name} was read")
    message = (
        "What each column was taken for. Where that is wrong, choose another field in the column 'Taken for' "
        f"of this copy and audit the copy. Read: {book.said}."
    )
    return Done(message, not result.reading.open, str(path), f"{_stem(book)} - how it was read", sheet)


def pack(book: Shown, folder: Path, rows: Mapping[str, Sequence[tuple[int, int]]]) -> Done:
    """The commissioning pack of the gauges in selected rows: sheet -> first and last row of each part."""
    from xlfuncs.audit.gauges import Gauges
    from xlfuncs.lists.reader import read_book
    from xlfuncs.report.commissioning import commission

    read = read_book(book.file)
    gauges = Gauges(read)
    chosen = [
        n
        for n in range(gauges.n)
        if any(first <= gauges.row[n] <= last for first, last in rows.get(str(gauges.sheet[n]), ()))
    ]
    if not chosen:
        where = f"{gauges.sheet[0]} row {gauges.row[0]}" if gauges.n else "none"
        raise XlfuncsError(
            f"{book.name}: no gauge stands in the selected rows; select rows of the index "
            f"(the first gauge: {where})"
        )
    nameless = [f"{gauges.sheet[n]} row {gauges.row[n]}" for n in chosen if not gauges.tag(n)]
    if nameless:
        raise XlfuncsError(f"{book.name}: {nameless[0]} has no tag; give it one, or leave the row out")
    path = folder / "pack.xlsx"
    made = commission(read, [gauges.tag(n) for n in chosen], path)
    lacking = sum(bool(gauge.missing) for gauge in made)
    missing = f"; {lacking:,} of them list data that the index lacks" if lacking else ""
    message = f"{_plural(len(made), 'record')}{missing}. From {book.said}."
    return Done(message, not lacking, str(path), f"{_stem(book)} - commissioning", "")


def keep(book: Shown, output: Path, values: bool = False) -> Done:
    """A copy of the workbook with the results kept in its cells, under plain names; never over a file."""
    from xlfuncs.hosts.recalculate import recalculate

    output = Path(output)
    if output.exists():
        raise XlfuncsError(f"{output}: is there already; give another name")
    ods = output.suffix.lower() == ".ods"
    report = recalculate(book.file, output, values=values, with_calc=ods, plain_names=not (values or ods))
    if report.uncalculated and not ods:
        report = _by_calc(book, report, values) or report
    refused = [f"{cell}: {why}" for cell, why in (report.reasons | report.caught).items()]
    left = [f"{cell}: left as it was, {why}" for cell, why in report.left.items()]
    linked = [f"{cell}: with values kept of {what}" for cell, what in report.linked.items()]
    formulas = _plural(report.formulas, "formula")
    how = "replaced by their values" if values else "with their results kept"
    message = f"Written: {output}. {formulas} of ours {how}, calculated by {report.by}, from {book.said}."
    if ods and not values:
        message += " Where the functions are not installed an .ods shows #NAME? all the same: send an .xlsx."
    if refused:
        message += f" In {_plural(len(refused), 'cell')} a function refuses."
    not_calculated = [f"{cell}: not calculated, {why}" for cell, why in report.uncalculated.items()]
    if not_calculated:
        message += f" {_plural(len(not_calculated), 'cell')} could not be calculated."
    text = "\n".join([*not_calculated, *refused, *linked, *left])
    return Done(message, not (refused or not_calculated), text=text, title="Keep results")


def _by_calc(book: Shown, here: Report, values: bool) -> Report | None:
    """The copy written anew with what LibreOffice calculates, where that leaves out fewer cells."""
    from xlfuncs.hosts.recalculate import recalculate

    with tempfile.TemporaryDirectory(prefix="xlfuncs-") as folder:
        made = Path(folder, here.output.name)
        try:
            report = recalculate(book.file, made, values=values, with_calc=True, plain_names=not values)
        except XlfuncsError:  # there is none, or it could not read the workbook
            return None
        if len(report.uncalculated) >= len(here.uncalculated):
            return None
        shutil.copyfile(made, here.output)
        report.output = here.output
    return report


def explain(book: Shown, sheet: str, cell: str) -> Done:
    """What the formula in a cell computes: inputs, equation, source, or why it refuses."""
    from xlfuncs.hosts import explain as cell_text

    return Done("", text=cell_text.explain(book.file, sheet, cell), title=f"{sheet}!{cell}")


_KINDS = {"table": "range with headings", "flag": "TRUE or FALSE"}


def functions() -> list[dict[str, Any]]:
    """What a dialog has to know of each function."""
    from xlfuncs.worksheet import catalogue
    from xlfuncs.worksheet.help import argument_text

    found = []
    for function in catalogue().values():
        named = [
            {
                "name": argument.name,
                "help": argument_text(argument),
                "unit": argument.unit or _KINDS.get(argument.kind, ""),
                "needed": argument.required or argument.said,
                "usual": argument.usual,
            }
            for argument in function.named
        ]
        if function.takes_unit:
            usual = function.result.unit
            named.append(
                {
                    "name": "unit",
                    "help": f"unit of the result, default {usual}",
                    "unit": "",
                    "needed": False,
                    "usual": usual,
                }
            )
        found.append(
            {
                "name": function.name,
                "summary": function.summary,
                "category": function.category,
                "signature": function.signature,
                "result": function.result.meaning,
                "unit": function.result.unit,
                "arguments": named,
                "words": " ".join(
                    [function.name, function.summary, function.category, *(a.meaning for a in function.named)]
                ).casefold(),
            }
        )
    return found


def help_of(name: str) -> str:
    """The whole help of a function."""
    from xlfuncs.worksheet import find
    from xlfuncs.worksheet.help import help_text

    return help_text(find(name))


def trial(name: str, arguments: Sequence[Mapping[str, Any]], call: Call | None = None) -> dict[str, Any]:
    """What a function gives for what was typed for its arguments, and the formula to put into a cell.

    An argument is {"typed": text}, or for cells {"reference": as a formula has it, "cells": rows of values}.
    `call` evaluates as the program's cells do. Gives the parts of the formula, a line or more to show, and
    how many rows and columns the answer takes.
    """
    from xlfuncs.spreadsheet.block import as_block
    from xlfuncs.worksheet import Refusal, cells, find
    from xlfuncs.worksheet.help import answer_text

    function = find(name)
    declared = [*function.named, None] if function.takes_unit else [*function.named]
    read = [_typed(one, of) for one, of in zip(arguments, declared, strict=False)]
    while read and read[-1][1] is None:
        read.pop()
    parts = [part for part, _ in read]
    missing = [
        a.name for a, (_, value) in zip(function.named, read, strict=False) if a.required and value is None
    ]
    missing += [a.name for a in function.named[len(read) :] if a.required]
    if missing:
        return {"parts": parts, "shown": f"to be given: {', '.join(missing)}", "good": False, "size": [1, 1]}
    block = as_block((call or cells.result)(function.name, [value for _, value in read]))
    first = block[0][0]
    size = [len(block), len(block[0])]
    if isinstance(first, Refusal):
        return {"parts": parts, "shown": f"{first.error}: {first.reason}", "good": False, "size": size}
    given = read[-1][1] if function.takes_unit and len(read) == len(declared) else None
    unit = str(given or function.result.unit) if isinstance(first, (int, float)) else ""
    shown = answer_text(first if size == [1, 1] else block[:6])
    return {"parts": parts, "shown": f"{shown} {unit}".rstrip(), "good": True, "size": size}


def _typed(given: Mapping[str, Any], argument: Argument | None) -> tuple[str, Any]:
    """An argument as it stands in a formula, and its value."""
    if "reference" in given:
        rows = [[None if cell == "" else cell for cell in row] for row in given["cells"]]
        return given["reference"], rows[0][0] if len(rows) == len(rows[0]) == 1 else rows
    text = given["typed"].strip()
    if not text:
        return '""', None
    if text.upper() in ("TRUE", "FALSE"):
        return text.upper(), text.upper() == "TRUE"
    if _PLAIN_NUMBER.fullmatch(text):
        if float(text) or argument is None or argument.required or argument.default == 0:
            return text, float(text)
        text = f"{text} {argument.unit}".rstrip()  # Calc takes a plain 0 for an argument left out
    return '"' + text.replace('"', '""') + '"', text


def answer(request: Mapping[str, Any], call: Call | None = None) -> Any:
    """What a dialog asks while it is open."""
    given = dict(request)
    action = given.pop("action")
    if action == "trial":
        return trial(**given, call=call)
    return functions() if action == "functions" else help_of(**given)


_ACTIONS: dict[str, Callable[..., Done]] = {
    "audit": audit,
    "reading": reading,
    "pack": pack,
    "keep": keep,
    "explain": explain,
}


def do(request: Mapping[str, Any]) -> dict[str, Any]:
    """An action as a program asks for it; whatever happens, it gets a `Done` to show.

    {"action": ..., "file": ..., "name": ..., "state": ..., and what else the action takes}
    """
    given = dict(request)
    action = given.pop("action")
    book = Shown(Path(given.pop("file")), given.pop("name"), given.pop("state"))
    for path in ("folder", "output"):
        if path in given:
            given[path] = Path(given[path])
    try:
        if not book.file.is_file():
            raise XlfuncsError(f"{book.name}: its file is no longer there; save the workbook again")
        done = _ACTIONS[action](book, **given)
    except XlfuncsError as why:
        done = Done(_about(book, why), False)
    except MemoryError:
        done = Done(f"{book.name}: there is not enough memory for it; close other programs", False)
    except Exception as error:  # a fault of ours must not end in silence
        fault = f"{type(error).__name__}: {error}"
        done = Done(f"{book.name}: a fault in xlfuncs: {fault}; please report it", False)
    return asdict(done)


def _annotated(result: Any, book: Shown, folder: Path) -> tuple[Path, list[str]]:
    from xlfuncs.report import workbook

    ending = book.file.suffix.lower() if book.file.suffix.lower() == ".xlsm" else ".xlsx"
    path, notes = workbook.write(result, book.file, folder / f"audited{ending}")
    return path, notes


def _sheet_of(path: Path, name: str) -> str:
    """The last sheet of a report that has a name, which is numbered where the workbook had one before."""
    from xlfuncs.spreadsheet.package import Package

    with Package(path) as package:
        found = [sheet for sheet in package.worksheets if sheet.startswith(name)]
    return found[-1] if found else ""


def _columns(book: Shown) -> str:
    """How the sheets were read, as `xlfuncs columns` prints it."""
    from xlfuncs.lists.reader import read_book
    from xlfuncs.report.columns import print_columns

    stream = io.StringIO()
    try:
        print_columns(read_book(book.file, need_index=False, strict=False), stream)
    except XlfuncsError:
        return ""
    return stream.getvalue()


def _about(book: Shown, why: XlfuncsError) -> str:
    """A refusal with the name that the user knows in place of the file's."""
    text = str(why).replace(str(book.file), book.name)
    return text if book.file.name == book.name else text.replace(book.file.name, book.name)


def _stem(book: Shown) -> str:
    return Path(book.name).stem or book.name


def _sentences(notes: Iterable[str]) -> str:
    return "".join(f" {note}." for note in notes)


def _plural(number: int, one: str) -> str:
    return f"{number:,} {one}" if number == 1 else f"{number:,} {one}s"


def main() -> None:
    """One action: a line of JSON on standard input, one on standard output. It ends when the input does."""
    replies = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    request = json.loads(sys.stdin.buffer.readline())
    answered = threading.Event()
    threading.Thread(target=_end_with_the_program, args=(answered,), daemon=True).start()
    replies.write(json.dumps(do(request)) + "\n")
    answered.set()
    replies.flush()


def _end_with_the_program(answered: threading.Event) -> None:
    if not os.read(0, 1) and not answered.is_set():
        os._exit(1)


if __name__ == "__main__":
    main()
