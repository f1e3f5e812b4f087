"""Formulas of a workbook evaluated without a spreadsheet program.

The functions that no spreadsheet program brings along are handed in (`formula.Functions`) and called ours.
`evaluate` takes one formula; `Calculation` a whole workbook, each formula once, in the order in which
they need one another. A kept value of an ordinary formula is trusted as long as nothing it refers to
has changed, so that functions which are not known here do no harm.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Any

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.block import Block
from xlfuncs.spreadsheet.book import BookCells, FormulaCell, OfBook, Place, address, filled, spread
from xlfuncs.spreadsheet.cell_values import NA, NAME, CellError, NotUnderstood
from xlfuncs.spreadsheet.formula import parse
from xlfuncs.spreadsheet.functions.lookup import MOVING
from xlfuncs.spreadsheet.tree import (
    Area,
    Areas,
    At,
    Call,
    Cells,
    Elsewhere,
    Functions,
    Link,
    Node,
    Notes,
    Reference,
    Sheets,
    TableReference,
    Unknown,
    content,
    plain,
    walk,
)

SPILL = CellError("#SPILL!")
CIRCLE = CellError("a circle")
"""In place of a result: the formula refers to itself."""
USELESS = {CIRCLE: "the formula refers to itself", NAME: "a function or a name that is not known there"}
"""Results of a spreadsheet program that are never kept -> why."""
_BLOCKS = 64
"""How many ranges are remembered at a time."""


def evaluate(
    formula: str,
    cells: Cells,
    sheet: str,
    row: int,
    column: int,
    array: bool = False,
    notes: Notes | None = None,
) -> Any:
    """Value of one formula that stands in a cell: float, str, bool, None or `CellError`; an array
    formula gives a block where it fills more than one cell. NotUnderstood says what is not known here.

    `notes` is filled with each function of ours that refused, and each kept value of another workbook.
    """
    at = At(cells, sheet, row, column, array, notes)
    value = parse(formula).value(at)
    if array:
        return content(value, at)
    value = plain(value, at)
    return value[0][0] if isinstance(value, list) else value


def functions_used(
    formula: str, functions: Functions, cells: Cells | None = None, sheet: str = ""
) -> frozenset[str]:
    """Our functions in a formula, by their names; with `cells`, those behind its defined names as well."""
    at = None if cells is None else At(cells, sheet, 0, 0)
    if at is None and not functions.mentioned(formula):
        return frozenset()
    return _ours(walk(parse(formula), at), functions)


class _Needs(Exception):
    """Formulas that have to be calculated first."""

    def __init__(self, places: list[Place]) -> None:
        self.places = places


class _Stuck(Exception):
    """A value that depends on a formula which could not be evaluated."""

    def __init__(self, place: Place) -> None:
        self.place = place


class Calculation(OfBook):
    """A workbook, calculated. It is the `Cells` of its own formulas while they are evaluated."""

    def __init__(
        self, book: BookCells, functions: Functions, results: Mapping[Place, Any] | None = None
    ) -> None:
        """`results`: what a spreadsheet program found for all formulas; then nothing is evaluated here."""
        super().__init__(book, functions)
        self.values: dict[Place, Any] = {}
        """Value of every formula cell, and of every cell that an array formula fills."""
        self.fills: dict[Place, Area] = {}
        """Anchor of an array formula -> the cells that it fills now."""
        self.own: set[Place] = set()
        """Formulas in which one of our functions stands."""
        self.refused: dict[Place, list[tuple[str, CellError]]] = {}
        """Formulas in which one of our functions refused -> each by its name, with its error."""
        self.links: dict[Place, list[str]] = {}
        """Formulas that used kept values of other workbooks -> the references."""
        self.left: dict[Place, str] = {}
        """Formulas that could not be evaluated and do not depend on ours -> why."""
        self.uncalculated: dict[Place, str] = {}
        """Formulas that could not be evaluated, of ours or dependent on one, which show #N/A -> why."""
        self.kept: dict[Place, Any] = {}
        """Values kept in the file, of the same cells as `values`."""
        self.differing: set[Place] = set()
        """Cells whose value is not the kept one, by more than the last digits of a number."""
        self._first: dict[Place, Place] = {}
        """Cell -> the formula that filled it in the file."""
        self._fills_in_file: dict[Place, Area | None] = {}
        self._formulas: dict[Place, FormulaCell] = {}
        self._owner: dict[Place, Place] = {}
        self._rows: dict[tuple[str, int], list[int]] = {}
        self._stuck: dict[Place, str] = {}
        self._said: set[Place] = set()
        """Of these, those whose reason is a sentence; of the others it is what is not known here."""
        self.taken: set[Place] = set()
        """Cells whose value a spreadsheet program has found, instead of the kept one."""
        self._blocks: dict[Area, Block] = {}
        self._changed: set[Place] = set()
        for sheet in book.sheets.values():
            for (row, column), formula in sheet.formulas.items():
                place = (sheet.name, row, column)
                self._formulas[place] = formula
                self._fills_in_file[place] = formula.fills
                for cell in filled(place, formula.fills):
                    self.kept[cell] = sheet.values.pop(cell[1:], None)
                    self._first[cell] = place
        if results is None:
            self._settle()
        else:
            self._adopt(results)

    def anchor(self, place: Place) -> Place:
        """The formula that fills a cell."""
        return self._owner[place]

    def emptied(self) -> Iterator[Place]:
        """Cells that a dynamic array formula filled in the file and no longer fills."""
        return (p for p, first in self._first.items() if p not in self.values and first not in self.left)

    # what formulas ask for (`Cells`)

    def spilled(self, sheet: str, row: int, column: int) -> Area | None:
        return self.fills.get((sheet, row, column))

    def value(self, sheet: str, row: int, column: int) -> Any:
        place = (sheet, row, column)
        if place in self.values:
            return self.values[place]
        owner = self._owner.get(place)
        if owner is None or owner in self.values:  # the latter: an array that has shrunk
            return self._constant(place)
        if owner in self._stuck:
            raise _Stuck(owner)
        raise _Needs([owner])

    def block(self, area: Area) -> Block:
        known = self._blocks.get(area)  # a list of floats is looked into by every row
        if known is not None:
            return known
        formulas = list(self._formulas_in(area))
        self._need(formulas)
        for place in formulas:
            if place in self._stuck:
                raise _Stuck(place)
        sheet, top, left, bottom, right = self.used(area)
        columns, constants = range(left, right + 1), self.book.sheets[sheet.casefold()].values
        rows = range(top, bottom + 1)
        block = [[constants.get((row, column)) for column in columns] for row in rows]
        if formulas:
            for row, cells in zip(rows, block, strict=True):
                for position, column in enumerate(columns):
                    if (sheet, row, column) in self.values:
                        cells[position] = self.values[sheet, row, column]
        if len(self._blocks) >= _BLOCKS:
            self._blocks.clear()
        self._blocks[area] = block
        return block

    # the order of calculation

    def _settle(self) -> None:
        """Calculate all; again where an array formula has come to fill other cells than before."""
        for _ in range(8):
            self._clear()
            for place in sorted(self._formulas, key=lambda p: not self._formulas[p].dynamic):
                self._calculate(place)
            if all(self._formulas[anchor].fills == area for anchor, area in self.fills.items()):
                break
            for anchor, area in self.fills.items():
                self._formulas[anchor].fills = area
        else:
            raise XlfuncsError(
                "the array formulas keep changing one another's size; give them room of their own"
            )
        self._say_stuck()

    def _adopt(self, results: Mapping[Place, Any]) -> None:
        """Take the results for our formulas, for those that depend on one, and where none is kept."""
        self._clear()
        nodes: dict[Place, list[Node]] = {}
        for place, formula in self._formulas.items():
            try:
                nodes[place] = list(walk(parse(formula.text), At(self, *place))) if formula.text else []
            except NotUnderstood:
                nodes[place] = []
            if used := _ours(nodes[place], self.functions):
                self.own.add(place)
                if why := self._unknown(used):
                    self._stuck[place] = why
        used_by: dict[Place, list[Place]] = {}
        affected = set(self.own)
        for place in nodes:
            precedents = self._precedents(place, nodes[place])
            if precedents is None:  # it may refer to any
                affected.add(place)
            for precedent in precedents or ():
                used_by.setdefault(precedent, []).append(place)
        affected.update(using for _, using in _dependents(affected, used_by))
        for place in affected:
            found = [results[cell] for cell in filled(place, self._formulas[place].fills)]
            if useless := next((USELESS[one] for one in found if one in USELESS), ""):
                self._stuck.setdefault(place, useless)
        for needed, place in list(_dependents(self._stuck, used_by)):
            self._stuck[place] = f"it needs {address(needed)}"
        for place, formula in self._formulas.items():
            if place in self._stuck:
                continue
            take = place in affected or not self.book.trusted or self.kept[place] is None
            if take and place not in affected:
                found = [results[cell] for cell in filled(place, formula.fills)]
                useless = next((USELESS[one] for one in found if one in USELESS), "")
                if useless:
                    self.left[place] = useless
                    take = False
                    if self.kept[place] is None:
                        continue
            for cell in filled(place, formula.fills):
                self._set(cell, results[cell] if take else self.kept.get(cell))
                if take:
                    self.taken.add(cell)
            if formula.fills:
                self.fills[place] = formula.fills
        for place, why in self._stuck.items():
            self._show_uncalculated(place, why)
        for place in self.own - self._stuck.keys():
            self._explain(place)

    def _explain(self, place: Place) -> None:
        """Find which of our functions refused in a formula whose value another program calculated."""
        formula = self._formulas[place]
        notes = Notes()
        try:
            value = evaluate(formula.text, self, *place, formula.fills is not None, notes)
        except NotUnderstood:
            return
        if notes.refused:
            self.refused[place] = notes.refused
        for cell, found in spread(place, formula.fills, value):
            known = self.values[cell]
            if isinstance(known, CellError) and isinstance(found, CellError):
                self.values[cell] = CellError(known, found.reason)

    def _clear(self) -> None:
        """Forget all results; note which cells the formulas fill."""
        self.values, self.fills, self._owner, self._stuck, self._blocks = {}, {}, {}, {}, {}
        self._said = set()
        self.own, self._changed, self.differing = set(), set(), set()
        self.refused, self.links, self.left, self.uncalculated = {}, {}, {}, {}
        columns: dict[tuple[str, int], set[int]] = {}
        for place, formula in self._formulas.items():
            sheet = self.book.sheets[place[0].casefold()]
            for cell in filled(place, formula.fills):
                self._owner[cell] = place
                columns.setdefault((cell[0], cell[2]), set()).add(cell[1])
                sheet.rows, sheet.columns = max(sheet.rows, cell[1]), max(sheet.columns, cell[2])
        self._rows = {key: sorted(rows) for key, rows in columns.items()}

    def _formulas_in(self, area: Area) -> Iterator[Place]:
        """The formulas that give the values of an area."""
        last = self.book.sheets[area.sheet.casefold()].columns
        for column in range(area.left, min(area.right, last) + 1):
            rows = self._rows.get((area.sheet, column))
            if rows:
                for row in rows[bisect_left(rows, area.top) : bisect_right(rows, area.bottom)]:
                    yield self._owner[area.sheet, row, column]

    def _need(self, formulas: Iterable[Place]) -> None:
        missing = [p for p in formulas if p not in self.values and p not in self._stuck]
        if missing:
            raise _Needs(missing)

    def _calculate(self, first: Place) -> None:
        """Calculate a formula and before it all that it needs, without recursion."""
        waiting: dict[Place, bool] = {first: False}
        """A stack: True for those that have begun and wait for the ones above them."""
        while waiting:
            place = next(reversed(waiting))
            if place not in self.values and place not in self._stuck:
                try:
                    self._compute(place)
                except _Needs as needs:
                    waiting[place] = True
                    again = next((needed for needed in needs.places if waiting.get(needed)), None)
                    if again is not None:
                        self._close_circle([p for p, begun in waiting.items() if begun], again)
                        continue
                    for needed in needs.places:
                        waiting.pop(needed, None)
                        waiting[needed] = False
                    continue
            del waiting[place]

    def _close_circle(self, chain: list[Place], again: Place) -> None:
        """Formulas that refer to themselves, by way of one another, have no value here."""
        circle = chain[chain.index(again) :]
        cells = [address(p) for p in (*circle, again)]
        shown = " -> ".join(cells if len(cells) <= 6 else [*cells[:4], "...", cells[-1]])
        for place in circle:
            self._stuck[place] = f"the formula refers to itself ({shown}); break the circle"
        self._said.update(circle)

    def _compute(self, place: Place) -> None:
        formula = self._formulas[place]
        at = At(self, *place, array=formula.fills is not None)
        nodes: list[Node] = []
        try:
            if formula.other:
                raise NotUnderstood(formula.other)
            if self.functions.mentioned(formula.text):
                self.own.add(place)  # also if it is not understood
            nodes = list(walk(parse(formula.text), at))
            self.own.discard(place)
            if used := _ours(nodes, self.functions):
                self.own.add(place)
                if why := self._unknown(used):
                    self._stuck[place] = why
                    self._said.add(place)
                    return
            elif self.book.trusted and self._keep(place, nodes):
                if links := [node.written for node in nodes if isinstance(node, (Link, Unknown))]:
                    self.links[place] = links
                return
            notes = Notes()
            self._store(place, evaluate(formula.text, self, *place, at.array, notes))
            if notes.refused:
                self.refused[place] = notes.refused
            if notes.links:
                self.links[place] = notes.links
        except NotUnderstood as not_known:
            self._give_up(place, nodes, str(not_known), isinstance(not_known, Elsewhere))
        except _Stuck as stuck:
            if stuck.place in self._said:
                self._said.add(place)
            self._give_up(place, nodes, f"it needs {address(stuck.place)}, where {self._stuck[stuck.place]}")

    def _unknown(self, functions: frozenset[str]) -> str:
        """Why one of the names in a formula is no function of ours; "" where all are."""
        return next((why for name in sorted(functions) if (why := self.functions.unknown(name))), "")

    def _precedents(self, place: Place, nodes: list[Node]) -> list[Place] | None:
        """The formulas that a formula refers to; None where that cannot be told without evaluating it."""
        at = At(self, *place)
        found: list[Place] = []
        for node in nodes:
            if isinstance(node, Call) and node.function in MOVING:
                return None
            if not isinstance(node, (Reference, TableReference, Sheets)):
                continue
            try:
                value = node.value(at)
            except NotUnderstood:
                return None
            for area in value.areas if isinstance(value, Areas) else (value,):
                if isinstance(area, Area):
                    found += self._formulas_in(area)
        return found

    def formula_cells(self) -> Iterable[Place]:
        """All cells that formulas fill in the file."""
        return self._first

    def _keep(self, place: Place, nodes: list[Node]) -> bool:
        """Take the kept value of an ordinary formula if nothing that it refers to has changed."""
        if self.kept[place] is None:
            return False
        precedents = self._precedents(place, nodes)
        if precedents is None:
            return False
        self._need(p for p in precedents if p != place)
        if any(p in self._changed or p in self._stuck for p in precedents):
            return False
        fills = self._formulas[place].fills
        for cell in filled(place, fills):
            self.values[cell] = self.kept.get(cell)
        if fills:
            self.fills[place] = fills
        return True

    def _give_up(self, place: Place, nodes: list[Node], why: str, elsewhere: bool = False) -> None:
        """Keep the value that stands in the file if it is still right; else the cell is stuck.

        A kept value of one of our functions is used only where its arguments stand in another workbook.
        """
        if (elsewhere or place not in self.own) and nodes and self._keep(place, nodes):
            if place in self.own:
                self.links[place] = [f"its own value was kept for {why}"]
            else:
                self.left[place] = why
        elif elsewhere:
            self._stuck[place] = f"the file keeps no value of {why}; have it calculated where both are open"
            self._said.add(place)
        else:
            self._stuck[place] = why

    def _constant(self, place: Place) -> Any:
        return self.book.sheets[place[0].casefold()].values.get(place[1:])

    def _store(self, place: Place, value: Any) -> None:
        formula = self._formulas[place]
        area = formula.fills
        if area is None:
            self._set(place, value)
            return
        if formula.dynamic:
            block = value if isinstance(value, list) else [[value]]
            area = area._replace(bottom=area.top + len(block) - 1, right=area.left + len(block[0]) - 1)
            if any(self._taken(cell, place) for cell in filled(place, area)):
                area, value = area._replace(bottom=area.top, right=area.left), SPILL
        self.fills[place] = area
        if area != self._fills_in_file[place]:
            self.differing.add(place)
            self._changed.add(place)
        for cell, found in spread(place, area, value):
            self._set(cell, found)

    def _taken(self, cell: Place, anchor: Place) -> bool:
        owner = self._owner.get(cell)
        return owner != anchor and (owner is not None or self._constant(cell) is not None)

    def _set(self, place: Place, value: Any) -> None:
        value = 0.0 if value is None else value  # a formula that refers to a blank cell shows 0
        self.values[place] = value
        kept = self.kept.get(place)
        same = close = type(value) is type(kept) and value == kept
        if isinstance(value, float) and isinstance(kept, float):
            apart, size = abs(value - kept), max(abs(value), abs(kept))
            same, close = apart <= 1e-12 * size, apart <= max(1e-9 * size, 1e-12)
        if not same:
            self.differing.add(place)
        if not close:  # the last digits another program may have rounded
            self._changed.add(self._owner.get(place, place))

    def _say_stuck(self) -> None:
        """Tell what could not be evaluated: of ours or dependent on one it shows #N/A, else it is left."""
        for place, why in self._stuck.items():
            if self._depends(place):
                self._show_uncalculated(place, why if place in self._said else f"{why} is not known here")
            else:
                self.left[place] = why

    def _show_uncalculated(self, place: Place, why: str) -> None:
        """No value, kept or not, stands for a result that is not known."""
        self.uncalculated[place] = why
        fills = self._formulas[place].fills
        for cell in filled(place, fills):
            self._set(cell, CellError(NA, why))
        if fills:
            self.fills[place] = fills

    def _depends(self, place: Place) -> bool:
        """Whether a formula is one of ours or refers to one, directly or not."""
        seen: set[Place] = set()
        waiting = [place]
        while waiting:
            here = waiting.pop()
            if here in self.own:
                return True
            if here not in seen:
                seen.add(here)
                try:
                    nodes = list(walk(parse(self._formulas[here].text), At(self, *here)))
                except NotUnderstood:
                    continue
                waiting += self._precedents(here, nodes) or []
        return False


def _dependents(
    first: Collection[Place], used_by: Mapping[Place, list[Place]]
) -> Iterator[tuple[Place, Place]]:
    """Formulas that refer to those in `first`, directly or not, each after one that it refers to."""
    seen, waiting = set(first), list(first)
    while waiting:
        needed = waiting.pop()
        for place in used_by.get(needed, ()):
            if place not in seen:
                seen.add(place)
                waiting.append(place)
                yield needed, place


def _ours(nodes: Iterable[Node], functions: Functions) -> frozenset[str]:
    found = (functions.own(node.function) for node in nodes if isinstance(node, Call))
    return frozenset(name for name in found if name is not None)
