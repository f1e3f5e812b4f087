"""Rules about the sheet itself: tags, units and what its cells hold."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

import numpy as np

from xlfuncs.audit.examples import CellError
from xlfuncs.audit.gauges import DISPLAY_UNITS, Gauges, label
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Hit, Outcome, Unread, gauge_hit, rule
from xlfuncs.audit.rules.formulas import refused_cells
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.gauge import Floats
from xlfuncs.lists.columns import limits
from xlfuncs.lists.model import Column, Recognised, State
from xlfuncs.units import UnitError, converter
from xlfuncs.vocabulary.meaning import Kind


def _cells(gauges: Gauges) -> Iterator[Column]:
    """Every column as it stands in its sheet: the index, then the float lists."""
    yield from gauges.own.values()
    yield from gauges.listed.values()


def _cell_hit(gauges: Gauges, column: Column, record: int, message: str, **details: object) -> Hit:
    """A hit at a cell of a column; it belongs to a gauge if the column is the index's own."""
    own = gauges.own.get(column.field) is column
    details.setdefault("found", Measure(_as_typed(column, record)))
    return Hit(
        record if own else -1,
        str(column.sheet[record]),
        column.address(record),
        _owner(gauges, column, record),
        message,
        column.field,
        **details,  # type: ignore[arg-type]
    )


def _owner(gauges: Gauges, column: Column, record: int) -> str:
    """Tag of the gauge that a cell is about, or the part number of the float."""
    if gauges.own.get(column.field) is column:
        return gauges.tag(record)
    return str(gauges.listed["float_part"].text[record]) if "float_part" in gauges.listed else ""


def _as_typed(column: Column, record: int) -> str:
    raw = column.raw[record]
    return f"{raw:g}" if isinstance(raw, float) else str(raw)


@rule(
    "tag-missing",
    Severity.ERROR,
    firing={"tag": None},
)
def tag_missing(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A row holds gauge data and no tag.

    Finds: a row of the index in which gauge data stands, but no tag.
    Why: without a tag the gauge cannot be found in the plant, and its findings cannot be assigned.
    Mend: enter the tag, or clear the row if it is left over.
    """
    for record in np.flatnonzero(~gauges.given("tag")):
        sheet, cell = str(gauges.sheet[record]), f"A{int(gauges.row[record])}"
        if address := gauges.column("tag").address(int(record)):
            cell = address
        yield Hit(
            int(record), sheet, cell, "", f"row {int(gauges.row[record])} holds gauge data but no tag", "tag"
        )


_BLANKS = re.compile(r"[^\S\n]+")


@rule(
    "tag-duplicate",
    Severity.ERROR,
    passing=({"tag": "LG-1001A"}, {"tag": "LG-1001B"}),
    firing=({"tag": "LG-1002"}, {"tag": "LG-1002"}),
)
def tag_duplicate(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """One tag on two rows.

    Finds: a tag that stands on more than one row; blanks and case do not count.
    Why: data of two gauges is mixed up: float, range and serials get swapped.
    Mend: give each gauge its own tag, or delete the row that is left over.
    """
    for record, earlier in gauges.repeats("tag", _BLANKS):
        sheet, cell = gauges.place(earlier, "tag")
        yield gauge_hit(
            gauges,
            record,
            "tag",
            f"tag {gauges.tag(record)} stands already in {sheet}!{cell}",
            evidence={"first_row": float(gauges.row[earlier])},
        )


@cache
def _is_isa(letters: str) -> bool:
    table = load("isa_letters")
    return letters[0] in table["measured"]["letters"] and all(
        c in table["function"]["letters"] for c in letters[1:]
    )


_SAME_DIGIT = str.maketrans("123456789", "000000000")
"""Tags that differ in their digits only are looked at once."""


def _names_level(tag: str) -> bool:
    return any(_is_isa(group) for group in re.findall(r"[A-Z]+", tag.upper()))


@rule(
    "tag-malformed",
    Severity.WARNING,
    passing=({"tag": "23-LG-1003A"}, {"tag": "LIT 1003"}),
    firing={"tag": "GAUGE-1004"},
)
def tag_malformed(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A tag whose letters are not an identification of a level instrument.

    Finds: a tag without letters, or whose letters are no identification for level as ISA-5.1 has
        them: L for the measured variable, then readout or function letters (LG, LI, LT, LSH ...).
    Why: lists are sorted and linked by these letters; a gauge with others drops out of them.
    Mend: write the tag with its ISA-5.1 letters, or agree the plant's own scheme and ignore this rule.
    """
    shapes = gauges.reworded("tag", lambda text: text.translate(_SAME_DIGIT))
    strange = {shape for shape in set(shapes) if shape and not _names_level(shape)}
    for record in [record for record, shape in enumerate(shapes) if shape in strange] if strange else ():
        yield gauge_hit(
            gauges,
            record,
            "tag",
            f"the letters of tag {gauges.tag(record)} are no ISA-5.1 identification of a level instrument",
        )


@rule(
    "value-implausible",
    Severity.ERROR,
    spoils=True,
    passing=({"fluid_density": "1.84 SG"}, {"operating_pressure": "-0.5 barg"}),
    firing=({"fluid_density": "983 SG"}, {"operating_temperature": "-300 degC"}, {"float_length": "-250 mm"}),
)
def value_implausible(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """A value that cannot be in the column's unit.

    Finds: a number beyond what its column can hold: an SG of 870, a temperature below absolute zero,
        a pressure below vacuum, a negative length; or a date where a number belongs. A cell that is not
        understood is no such number: it is listed as not checked, with what it says.
    Why: the unit or the number is wrong, and everything computed from it would be wrong as well.
        The value is therefore not used by the other rules.
    Mend: correct the number, or state its unit in the heading or the cell.
    """
    for column in list(_cells(gauges)):
        spec = load("fields")[column.field]
        yield from _not_understood(gauges, column)
        if spec["kind"] != "quantity":
            continue
        low, high = limits(column.field)
        with np.errstate(invalid="ignore"):
            beyond = (column.low < low) | (column.high > high) | (column.high < low)
        beyond = (column.state == State.IMPOSSIBLE) | (column.given & beyond)
        for record in np.flatnonzero(beyond).tolist():
            if np.isnan(column.number(record)):
                why = column.problem.get(record, f"{_as_typed(column, record)} cannot be")
                yield _cell_hit(gauges, column, record, f"{label(column.field)}: {why}")
                continue
            unit = str(column.unit[record]) or DISPLAY_UNITS[spec["quantity"]]
            value, least, most = _shown(column.number(record), low, high, unit, spec["quantity"])
            yield _cell_hit(
                gauges,
                column,
                record,
                f"{label(column.field)} of {value:.6g} {unit} cannot be (limits {least:.4g} to {most:.4g})",
                found=Measure(value, unit),
                evidence={"lowest_plausible": least, "highest_plausible": most},
            )


def _not_understood(gauges: Gauges, column: Column) -> Iterator[Unread]:
    """The cells of a column that hold something, and nothing that could be read."""
    for record in sorted(column.problem):
        if column.state[record] in (State.UNREADABLE, State.AMBIGUOUS):
            tag, sheet, cell = (
                _owner(gauges, column, record),
                str(column.sheet[record]),
                column.address(record),
            )
            row = (
                int(gauges.row[record]) if gauges.own.get(column.field) is column else int(column.row[record])
            )
            yield Unread(column.field, sheet, row, cell, tag, column.problem[record])


def _shown(value: float, low: float, high: float, unit: str, quantity: str) -> tuple[float, float, float]:
    """Value and limits in the unit of the sheet; the limits in rising order (degAPI falls with density)."""
    kind = converter(unit, quantity, assume=True)
    numbers: Floats = np.asarray(kind.from_si(np.array([value, low, high])), dtype=np.float64)
    least, most = sorted((float(numbers[1]), float(numbers[2])))
    return float(numbers[0]), least, most


@rule(
    "unit-ambiguous",
    Severity.WARNING,
    passing={"design_pressure": "10 barg"},
    firing={"design_pressure": "10 bar"},
)
def unit_ambiguous(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A unit that can be read in two ways, or none at all.

    Finds: a pressure in bar, psi or the like without gauge or absolute; a column whose unit stands
        nowhere and cannot be told from its numbers.
    Why: gauge and absolute differ by one atmosphere, which decides at low pressures; a number without
        its unit proves nothing.
    Mend: write the unit into the heading; for a pressure barg or bara (psig or psia).
    """
    for doubt in gauges.book.doubts:
        if doubt.kind == "unit":
            fields, mend = ",".join(doubt.fields), "write the unit into the heading, or beside each number."
            yield Hit(-1, doubt.sheet, doubt.cell, "", doubt.text, fields, mend=mend)
    headings = {
        (table.kind, r.sheet, r.field, _assumed(r)): r.heading_cell
        for table in (*gauges.book.gauges, *gauges.book.floats)
        for r in table.recognised
        if r.unit_source in ("heading", "unit row", "said")
    }
    for column in _cells(gauges):
        told: set[tuple[str, str]] = set()
        for record, assumption in sorted(column.assumed.items()):
            if not column.given[record]:
                continue
            sheet = str(column.sheet[record])
            kind: Kind = "gauges" if gauges.own.get(column.field) is column else "floats"
            cell = headings.get((kind, sheet, column.field, assumption))
            if cell is None:
                yield _cell_hit(gauges, column, record, f"{label(column.field)}: {assumption}")
            elif (sheet, cell) not in told:
                told.add((sheet, cell))
                yield Hit(-1, sheet, cell, "", f"{label(column.field)}: {assumption}", column.field)


def _assumed(found: Recognised) -> str:
    """What has to be assumed of the unit in a heading, "" if it is clear."""
    quantity = load("fields")[found.field].get("quantity")
    if not quantity or not found.unit:
        return ""
    try:
        return converter(found.unit, quantity, assume=True).assumed
    except UnitError:
        return ""


@rule(
    "number-as-text",
    Severity.NOTE,
    passing={"stated_current": "12 mA"},
    firing={"stated_current": "'12,0"},
)
def number_as_text(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A number kept as text.

    Finds: a number with a decimal comma, a unicode minus, a word ('est.') or another sign that makes the
        program keep it as text, or a ditto mark. The audit reads and uses it, and says what it took it for.
    Why: formulas of the sheet skip such a cell in silence: SUM and charts leave it out.
    Mend: enter it as a number and put the unit into the heading.
    """
    for column in _cells(gauges):
        if load("fields")[column.field]["kind"] != "quantity":
            continue
        noted_or_text = set(np.flatnonzero(column.state == State.TEXT_NUMBER).tolist())
        noted_or_text |= {record for record in column.noted if column.given[record]}
        for record in sorted(noted_or_text):
            if record in column.assumed:  # its unit is in doubt: `unit-ambiguous` names the cell
                continue
            typed, noted = _as_typed(column, record), column.noted.get(record, "")
            if not any(map(str.isdigit, typed)) and not noted:  # 'atm' is a word that says a number
                continue
            read = f"; read as {_read_as(column, record)}: {noted}" if noted else ""
            yield _cell_hit(
                gauges,
                column,
                record,
                f"{label(column.field)} '{typed}' is kept as text, not as a number{read}",
            )


def _read_as(column: Column, record: int) -> str:
    """What a text was taken for, in its unit."""
    quantity = load("fields")[column.field]["quantity"]
    try:
        kind = converter(str(column.unit[record]), quantity, assume=True)
    except UnitError:  # a kinematic viscosity has become a dynamic one
        kind = converter(DISPLAY_UNITS[quantity], quantity)
    ends = dict.fromkeys(float(kind.from_si(float(si))) for si in (column.low[record], column.high[record]))
    numbers = sorted(number for number in ends if number == number)
    bound = "" if len(ends) == len(numbers) else "at least " if np.isnan(column.high[record]) else "at most "
    return f"{bound}{' to '.join(f'{number:.6g}' for number in numbers)} {kind.unit}"


@rule(
    "cell-error",
    Severity.ERROR,
    firing=({"fluid_density": CellError("#REF!")}, {"operating_pressure": CellError("#N/A")}),
)
def cell_error(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """An error value in a cell that is needed.

    Finds: #REF!, #VALUE!, #DIV/0!, #NAME? and the like in a column that the audit uses.
    Why: the value is lost, and every formula that refers to the cell is lost with it.
    Mend: repair the formula, or enter the value.
    """
    refused = refused_cells(gauges) if any((c.state == State.ERROR).any() for c in _cells(gauges)) else set()
    for column in _cells(gauges):
        for record in np.flatnonzero(column.state == State.ERROR).tolist():
            if (str(column.sheet[record]), int(column.row[record]), int(column.col[record])) in refused:
                continue  # 'function-refused' says why
            typed = _as_typed(column, record)
            yield _cell_hit(gauges, column, record, f"{label(column.field)} holds the error value {typed}")


RULES = (
    tag_missing,
    tag_duplicate,
    tag_malformed,
    value_implausible,
    unit_ambiguous,
    number_as_text,
    cell_error,
)
