"""The results of the worksheet functions put into a copy of a workbook."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import partial
from itertools import product
from pathlib import Path
from typing import Any

from xlfuncs.errors import XlfuncsError
from xlfuncs.hosts.calc import office
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.book import Place, address
from xlfuncs.spreadsheet.cell_values import ERRORS, VALUE, CellError
from xlfuncs.spreadsheet.evaluate import CIRCLE, Calculation
from xlfuncs.spreadsheet.files import whole_file
from xlfuncs.spreadsheet.formula import without_prefixes
from xlfuncs.spreadsheet.inplace import Edit, Workbook
from xlfuncs.spreadsheet.links import drop_addins
from xlfuncs.spreadsheet.tree import Area
from xlfuncs.worksheet import catalogue
from xlfuncs.worksheet.cells import FUNCTIONS, own_name


@dataclass(slots=True)
class Report:
    """What a recalculation did."""

    output: Path
    formulas: int = 0
    """Formulas with one of our functions."""
    changed: int = 0
    """Cells whose value differs from the one kept before."""
    reasons: dict[str, str] = field(default_factory=dict)
    """Cell ('Index!H14') that shows an error value because one of our functions refuses -> the reason."""
    caught: dict[str, str] = field(default_factory=dict)
    """Cell whose formula catches such an error -> which function refuses, and the reason."""
    linked: dict[str, str] = field(default_factory=dict)
    """Cell whose formula used values that the file keeps of another workbook -> the references."""
    uncalculated: dict[str, str] = field(default_factory=dict)
    """Cell, of ours or dependent on one, that shows #N/A since it could not be evaluated -> why."""
    left: dict[str, str] = field(default_factory=dict)
    """Cell -> why an ordinary formula, on which none of ours depends, was left as it was."""
    by: str = "xlfuncs"
    """What calculated: xlfuncs itself, or LibreOffice Calc."""


def recalculate(
    source: Path,
    output: Path,
    *,
    values: bool = False,
    with_calc: bool = False,
    plain_names: bool = False,
) -> Report:
    """Evaluate every formula with one of our functions, and what depends on it, into a copy of `source`.

    The results are kept in the cells, so that `output` shows its numbers where the functions are not
    installed; with `values` our formulas are replaced by them, with `plain_names` they lose the name of an
    add-in file before a function, and the workbook the link to it. Without `with_calc` no spreadsheet
    program is needed. A formula that cannot be evaluated keeps its text and shows #N/A, as do those that
    need it. Everything else in the file stays as it is. XlfuncsError names the file.
    """
    source, output = Path(source), Path(output)
    kind = source.suffix.lower()
    if kind == ".ods" and not with_calc:
        raise XlfuncsError(f"{source}: an .ods is recalculated by LibreOffice; use '--with calc'")
    if kind not in (".xlsx", ".xlsm", ".ods"):
        raise XlfuncsError(f"{source}: only .xlsx, .xlsm and .ods are recalculated; save it as .xlsx first")
    if output.suffix.lower() != kind:
        raise XlfuncsError(f"{output}: give the copy the ending {kind} of the workbook")
    if not source.is_file():
        raise XlfuncsError(f"{source}: there is no such file")
    report = Report(output, by="LibreOffice Calc" if with_calc else "xlfuncs")
    with whole_file(output, [source]) as draft:
        if kind == ".ods":
            _by_calc_alone(source, draft, values, report)
            return report
        with Workbook(source) as book:
            try:
                calculation = Calculation(book.cells, FUNCTIONS, calc_results(book) if with_calc else None)
            except XlfuncsError as error:
                raise XlfuncsError(f"{source}: {error}") from None
            report.linked = {address(p): ", ".join(found) for p, found in sorted(calculation.links.items())}
            edits = _edits(calculation, values, report)
            if plain_names and not values:
                for sheet, cells in _plain_names(book).items():
                    for place, formula in cells.items():
                        known = edits.setdefault(sheet, {}).get(place)
                        value = known.value if known else calculation.values[sheet, *place]
                        edits[sheet][place] = Edit(value, formula, known.fills if known else "")
            dropped = partial(drop_addins, known=catalogue()) if plain_names and not values else None
            book.save(draft, edits, then=dropped)
    return report


def calc_results(book: Workbook) -> dict[Place, Any]:
    """What LibreOffice Calc finds for all cells that formulas fill, calculated anew."""
    areas: dict[str, Area] = {}
    for sheet in book.cells.sheets.values():
        spans = [
            f.fills or Area(sheet.name, row, column, row, column)
            for (row, column), f in sheet.formulas.items()
        ]
        if spans:
            tops, lefts, bottoms, rights = zip(*(span[1:] for span in spans), strict=True)
            areas[sheet.name] = Area(sheet.name, min(tops), min(lefts), max(bottoms), max(rights))
    if not areas:
        return {}
    read = {name: [_range(area)] for name, area in areas.items()}
    with tempfile.TemporaryDirectory(prefix="xlfuncs-") as folder:
        # Calc knows our functions by their plain names only
        copy = Path(folder) / f"copy{book.path.suffix}"
        plain = {
            sheet: {place: Edit(None, formula) for place, formula in cells.items()}
            for sheet, cells in _plain_names(book).items()
        }
        book.save(copy, plain)
        steps: list[dict[str, Any]] = [{"do": "open", "path": str(copy)}, {"do": "read", "areas": read}]
        found = office.run(steps)[-1]
    return {
        (name, area.top + r, area.left + c): _from_calc(value)
        for name, area in areas.items()
        for r, row in enumerate(found[name][0])
        for c, value in enumerate(row)
    }


def _plain_names(book: Workbook) -> dict[str, dict[tuple[int, int], str]]:
    """Formulas, by sheet and place, as they are without the name of an add-in file before a function."""
    found: dict[str, dict[tuple[int, int], str]] = {}
    for sheet in book.cells.sheets.values():
        for place, formula in sheet.formulas.items():
            if "LG_" in formula.text.upper():
                plain = without_prefixes(formula.text, own_name)
                if plain != formula.text:
                    found.setdefault(sheet.name, {})[place] = plain
    return found


def _from_calc(value: Any) -> Any:
    if isinstance(value, dict):
        shown = value["error"]
        if shown in ("Err:522", "Err:523"):
            return CIRCLE
        return CellError(shown) if shown in ERRORS else VALUE
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def _by_calc_alone(source: Path, draft: Path, values: bool, report: Report) -> None:
    """An .ods is LibreOffice's own format: it calculates and writes the copy itself."""
    with tempfile.TemporaryDirectory(prefix="xlfuncs-") as folder:  # it puts a lock beside what it opens
        opened, made, copy = (Path(folder, name) for name in ("book.ods", "made.ods", "copy.xlsx"))
        shutil.copyfile(source, opened)
        steps: list[dict[str, Any]] = [
            {"do": "open", "path": str(opened)},
            {"do": "store", "path": str(copy), "filter": "Calc MS Excel 2007 XML"},
            {"do": "own", "values": values},
            {"do": "store", "path": str(made), "filter": "calc8"},
        ]
        report.formulas = len(office.run(steps)[2])
        with Workbook(copy) as book:
            calculation = Calculation(book.cells, FUNCTIONS, _kept(book))
        _say_refused(calculation, report)
        shutil.copyfile(made, draft)


def _kept(book: Workbook) -> dict[Place, Any]:
    """The values that a file keeps for all cells that formulas fill."""
    return {
        (sheet.name, row, column): sheet.values.get((row, column))
        for sheet in book.cells.sheets.values()
        for place, formula in sheet.formulas.items()
        for row, column in _cells_of(formula.fills, place)
    }


def _cells_of(area: Area | None, place: tuple[int, int]) -> Iterator[tuple[int, int]]:
    if area is None:
        yield place
    else:
        yield from product(range(area.top, area.bottom + 1), range(area.left, area.right + 1))


def _edits(calculation: Calculation, values: bool, report: Report) -> dict[str, dict[tuple[int, int], Edit]]:
    edits: dict[str, dict[tuple[int, int], Edit]] = {}

    def put(place: Place, value: Any, formula: bool = True, fills: str = "") -> None:
        edits.setdefault(place[0], {})[place[1:]] = Edit(value, formula, fills)

    report.changed = len(calculation.differing)
    _say_refused(calculation, report)
    for place in calculation.emptied():
        put(place, None)
    for place, value in calculation.values.items():
        anchor = calculation.anchor(place)
        ours = anchor in calculation.own and anchor not in calculation.uncalculated
        report.formulas += ours and anchor == place
        area = calculation.fills.get(place)
        if (values and ours) or place in calculation.differing:
            put(place, value, not (values and ours), _range(area) if area else "")
    return edits


def _say_refused(calculation: Calculation, report: Report) -> None:
    """List the cells in which one of our functions refuses, and those that could not be evaluated."""
    report.left = {address(p): why for p, why in sorted(calculation.left.items())}
    report.uncalculated = {address(p): why for p, why in sorted(calculation.uncalculated.items())}
    shown: set[Place] = set()
    for place, value in calculation.values.items():
        anchor = calculation.anchor(place)
        if anchor in calculation.uncalculated:
            continue
        if anchor in calculation.own and isinstance(value, CellError) and value.reason:
            shown.add(anchor)
            report.reasons[address(place)] = f"{value}: {value.reason}"
    for anchor, refused in calculation.refused.items():
        if anchor not in shown:
            whys = dict.fromkeys(f"{name} gives {error}: {error.reason}" for name, error in refused)
            report.caught[address(anchor)] = "; ".join(whys)


def _range(area: Area) -> str:
    return f"{column_letter(area.left)}{area.top}:{column_letter(area.right)}{area.bottom}"
