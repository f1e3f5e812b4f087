"""`xlfuncs diagnose`: why a gauge reads wrong, and what to read next."""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from xlfuncs.errors import XlfuncsError

if TYPE_CHECKING:
    from xlfuncs.gauge.diagnosis import Diagnosis
    from xlfuncs.gauge.readings import Readings
    from xlfuncs.report.diagnosis import Diagnosed
    from xlfuncs.report.repair import Asked
    from xlfuncs.worksheet.diagnosis import Stated


def add(commands: Any) -> None:
    """Declare the arguments."""
    parser = commands.add_parser(
        "diagnose",
        help="rank the causes of a wrong reading",
        description="Reads a workbook with what was read in the field (true level, indicated level, current, "
        "density, direction ...) and the gauge's data, ranks the causes by how well each explains the "
        "readings, and names the reading that would tell the best two apart. The workbook is only read.",
        epilog="Exit status: 0 one cause stands out or nothing is wrong, 1 the readings cannot tell, "
        "2 the question could not be answered.",
    )
    parser.add_argument(
        "book", type=Path, nargs="?", metavar="BOOK", help="workbook or .csv with the readings"
    )
    parser.add_argument(
        "--ask", action="store_true", help="ask what to look at, question by question; BOOK may be left out"
    )
    parser.add_argument(
        "--history",
        type=Path,
        metavar="FILE",
        help="add what the visit found and left to this workbook (.xlsx)",
    )
    parser.add_argument(
        "--form", type=Path, metavar="FILE", help="write the questions as a form for phone or tablet (.html)"
    )
    parser.add_argument("--page", type=Path, metavar="FILE", help="write what to mend to a page (.html)")
    parser.add_argument("--sheet", metavar="SHEET", help="sheet with the readings, where several hold some")
    parser.add_argument("--index", type=Path, metavar="INDEX", help="index that holds the gauge's data")
    parser.add_argument("--tag", help="tag of the gauge in the index, or in a pack of field sheets")
    parser.add_argument("--floats", type=Path, metavar="FILE", help="second workbook with the float list")
    parser.add_argument(
        "--level-noise",
        metavar="LENGTH",
        default="2 mm",
        help="uncertainty of each level read (default: 2 mm)",
    )
    parser.add_argument(
        "--density-noise", metavar="PERCENT", default="0.5 %", help="of a density (default: 0.5 %%)"
    )
    parser.add_argument("--json", action="store_true", help="print the result as JSON")


def run(args: argparse.Namespace) -> int:
    """Diagnose, print, and say by the status whether a cause stands out."""
    if args.index is not None and args.tag is None:
        raise XlfuncsError("--index and --tag go together: the index and the gauge in it")
    if args.form is not None:
        _write_form(args)
        if not (args.page or args.json or args.history or args.ask):
            return 0
    if args.book is None and not (args.ask and args.index):
        raise XlfuncsError("name the BOOK with the readings; --ask also goes with --index and --tag alone")
    tags = _pack(args)
    if len(tags) < 2:
        return _one(args)
    if args.page or args.ask:
        raise XlfuncsError(
            f"{args.book}: several gauges are filled in; name one with --tag: {', '.join(tags)}"
        )
    return _every(args, tags)


def _pack(args: argparse.Namespace) -> list[str]:
    """The gauges of a pack that are filled in, where none is named."""
    from xlfuncs.lists.field_notes import filled_tags

    if args.book is None or args.tag or args.sheet or args.index or args.form:
        return []
    return filled_tags(args.book)


def _every(args: argparse.Namespace, tags: list[str]) -> int:
    """Each gauge of a pack; one that cannot be read is said to be so, and the others go on."""
    status, objects = 0, []
    for number, tag in enumerate(tags):
        own = argparse.Namespace(**{**vars(args), "tag": tag})
        try:
            if args.json:
                made, ends = _result(own)
                objects.append(made)
            else:
                if number:
                    print()
                ends = _one(own)
        except XlfuncsError as why:
            print(f"xlfuncs: {tag}: {why}", file=sys.stderr)
            ends = 2
        status = max(status, ends)
    if args.json:
        print("[" + ",\n".join(objects) + "]")
    return status


def _result(args: argparse.Namespace) -> tuple[str, int]:
    """(JSON of a gauge, its exit status); adds the visit to a history."""
    from xlfuncs.report.diagnosis import to_json

    result = _diagnosed(args)
    return to_json(result), 0 if result.settled else 1


def _diagnosed(args: argparse.Namespace) -> Diagnosed:
    from xlfuncs.report.diagnosis import Diagnosed

    known = _known(args)
    found = _diagnose(args, known)
    left = _left(args, known)
    if args.history is not None:
        _remember(args, found)
    return Diagnosed(args.book.name, args.tag or "", found, known.not_read, left)


def _left(args: argparse.Namespace, known: _Known) -> Diagnosis | None:
    """Of the readings after the work; None where there are none."""
    from xlfuncs.gauge.diagnosis import diagnose
    from xlfuncs.lists.field_notes import as_left
    from xlfuncs.worksheet.compared import left_out
    from xlfuncs.worksheet.diagnosis import read_observations

    after = as_left(args.book, None if args.index else args.tag, args.sheet)
    if after is None:
        return None
    try:
        read = read_observations(after.rows, known.stated, after.sheet, after.places, after.letters)
        aside = left_out(after.rows, known.stated.gauge, after.letters, after.places)
        return diagnose(known.stated.gauge, read, *_uncertainties(args), not_read=aside)
    except ValueError as why:
        raise XlfuncsError(f"{args.book}: as left: {why}") from None


def _one(args: argparse.Namespace) -> int:
    """One gauge."""
    from xlfuncs.gauge.guide import settled
    from xlfuncs.report.diagnosis import print_diagnosis

    if args.ask:
        found = _search(args, _known(args))
        if args.history is not None:
            _remember(args, found)
        return 0 if settled(found) else 1
    if args.json:
        made, status = _result(args)
        print(made)
        return status
    result = _diagnosed(args)
    if args.page is not None:
        _write_page(args.page, result.diagnosis, args.tag or args.book.stem, [])
    print_diagnosis(result, sys.stdout)
    return 0 if result.settled else 1


def _uncertainties(args: argparse.Namespace) -> tuple[float, float]:
    level, density = _noise(args.level_noise, "length", "mm"), _noise(args.density_noise, "percent", "%")
    return level, density / 100


@dataclass(frozen=True, slots=True)
class _Known:
    """What the workbook and the index hold."""

    stated: Stated
    readings: Readings | None = None
    answers: dict[str, bool | float] = field(default_factory=dict)
    not_read: list[str] = field(default_factory=list)


def _known(args: argparse.Namespace) -> _Known:
    from xlfuncs.lists.field_notes import read_field_notes
    from xlfuncs.worksheet.answers import read_answers
    from xlfuncs.worksheet.compared import left_out
    from xlfuncs.worksheet.diagnosis import read_gauge, read_observations

    if args.book is None:
        return _Known(_from_index(args.index, args.tag, args.floats))
    notes = read_field_notes(args.book, args.sheet, None if args.index else args.tag)
    try:
        if args.index is not None:
            stated = _from_index(args.index, args.tag, args.floats)
        elif notes.gauge is None:
            raise XlfuncsError(
                f"{args.book}: no data of the gauge found; add labels with values (Float mass, Float"
                " diameter, Float length, Magnet height ...), or name the index with --index and --tag"
            )
        else:
            stated = read_gauge(notes.gauge.rows, notes.gauge.sheet, notes.gauge.cells)
        told = notes.readings
        readings = read_observations(told.rows, stated, told.sheet, told.places, told.letters)
        seen = notes.answers
        answers = {} if seen is None else read_answers(seen.rows, seen.places)
    except ValueError as why:
        raise XlfuncsError(f"{args.book}: {why}") from None
    return _Known(stated, readings, answers, left_out(told.rows, stated.gauge, told.letters, told.places))


def _diagnose(args: argparse.Namespace, known: _Known) -> Diagnosis:
    from xlfuncs.gauge.diagnosis import diagnose

    noise = _uncertainties(args)
    assert known.readings is not None
    try:
        return diagnose(
            known.stated.gauge, known.readings, *noise, answers=known.answers, not_read=known.not_read
        )
    except ValueError as why:
        raise XlfuncsError(f"{args.book}: {why}") from None


def _search(args: argparse.Namespace, known: _Known) -> Diagnosis:
    """Ask in the terminal; what was found goes to standard output, and to a page."""
    from xlfuncs.cli.ask import Talk, no_readings
    from xlfuncs.report.repair import lines

    noise = _uncertainties(args)
    for text in known.not_read:
        print(text[:1].upper() + text[1:])
    readings = known.readings or no_readings(known.stated.density)
    density = float(readings.density[-1])
    talk = Talk(known.stated.gauge, readings, *noise, density, sys.stdout, answers=known.answers)
    talk.not_read = known.not_read
    try:
        found = talk.run()
    except ValueError as why:
        raise XlfuncsError(f"{args.book or args.index}: {why}") from None
    print()
    for line in lines(found):
        print(line)
    if args.page is not None:
        _write_page(args.page, found, args.tag or (args.book.stem if args.book else ""), talk.asked)
    return found


def _remember(args: argparse.Namespace, found: Diagnosis) -> None:
    """Add the visit to a history."""
    from xlfuncs.lists.field_notes import as_left, labelled
    from xlfuncs.report.diagnosis import cause_found
    from xlfuncs.report.history import add_visit, visit
    from xlfuncs.worksheet.diagnosis import Stated, read_observations

    if args.book is None or args.tag is None:
        raise XlfuncsError("--history needs a BOOK of field sheets and the gauge's --tag")
    if args.history.suffix.lower() != ".xlsx":
        raise XlfuncsError(f"{args.history}: the history is a workbook; give it the ending .xlsx")
    case = found.case
    after = as_left(args.book, args.tag)
    left = None
    if after is not None:
        stated = Stated(case.gauge, case.stated_density)
        try:
            left = read_observations(after.rows, stated, after.sheet, after.places, after.letters)
        except ValueError as why:
            raise XlfuncsError(f"{args.book}: {why}") from None
    told = labelled(args.book, args.tag)
    made = visit(args.tag, case.gauge, case.readings, left, told, cause_found(found))
    count = sum(v.tag == made.tag for v in add_visit(args.history, made))
    print(f"written: {args.history}, visit {count} of {args.tag}", file=sys.stderr)


def _write_form(args: argparse.Namespace) -> None:
    from xlfuncs.report.field_form import form
    from xlfuncs.spreadsheet.files import whole_file

    if args.index is None and args.book is None:
        raise XlfuncsError("--form needs the gauge: a BOOK with its data, or --index and --tag")
    if args.form.suffix.lower() not in (".html", ".htm"):
        raise XlfuncsError(f"{args.form}: the form is HTML; give it the ending .html")
    stated = _from_index(args.index, args.tag, args.floats) if args.index else _known(args).stated
    with whole_file(args.form, [p for p in (args.book, args.index) if p]) as draft:
        draft.write_text(form(stated, args.tag or args.book.stem), encoding="utf-8")
    print(f"written: {args.form}", file=sys.stderr)


def _write_page(path: Path, found: Diagnosis, tag: str, asked: list[Asked]) -> None:
    from xlfuncs.report.repair import page
    from xlfuncs.spreadsheet.files import whole_file

    if path.suffix.lower() not in (".html", ".htm"):
        raise XlfuncsError(f"{path}: the page is HTML; give it the ending .html")
    with whole_file(path, []) as draft:
        draft.write_text(page(found, tag, asked), encoding="utf-8")
    print(f"written: {path}", file=sys.stderr)


def _noise(text: str, quantity: str, unit: str) -> float:
    from xlfuncs.units import UnitError, parse

    option = "--level-noise" if quantity == "length" else "--density-noise"
    try:
        value = float(parse(text, quantity, unit).si)
    except UnitError as why:
        raise XlfuncsError(f"{option}: {why}") from None
    if not 0 < value < 50:
        raise XlfuncsError(f"{option} {text}: give a number above 0, e.g. 2 {unit}")
    return value


def _from_index(path: Path, tag: str, floats: Path | None) -> Stated:
    """The gauge's data from an index, joined with its float list."""
    from xlfuncs.audit.gauges import Gauges
    from xlfuncs.audit.named import record_of
    from xlfuncs.lists.reader import read_book
    from xlfuncs.worksheet.diagnosis import FROM_INDEX, stated_gauge

    gauges = Gauges(read_book(path, floats=floats))
    at = record_of(gauges, tag)
    data: dict[str, float | str] = {name: float(gauges.si(field)[at]) for name, field in FROM_INDEX.items()}
    data["ends"] = str(gauges.ends[at])
    data["action"] = str(gauges.texts("action")[at])
    data["fluid"] = str(gauges.texts("fluid")[at])
    return stated_gauge(data, f"{path.name}, {tag}")
