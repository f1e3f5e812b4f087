"""What the formula in a cell computes, for whoever looks at the cell: each of our functions in it with its
inputs and where they come from, its answer or why it refuses, how it computes, and the source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from importlib import import_module
from inspect import getdoc
from pathlib import Path
from typing import Any

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.address import column_letter, split_address
from xlfuncs.spreadsheet.block import as_block
from xlfuncs.spreadsheet.book import BookCells, FormulaCell
from xlfuncs.spreadsheet.cell_values import CellError, NotUnderstood
from xlfuncs.spreadsheet.evaluate import evaluate
from xlfuncs.spreadsheet.formula import parse
from xlfuncs.spreadsheet.kept import Kept, formula_cells
from xlfuncs.spreadsheet.tree import At, Call, Constant, Name, Node, Reference, walk
from xlfuncs.worksheet import Refusal, find
from xlfuncs.worksheet.cells import SheetFunctions
from xlfuncs.worksheet.spec import Argument, Function

_LEFT_OUT_OF_HOW = ("Parameters", "NaN", ">>>", "Source", "Returns")
"""How paragraphs of a docstring begin that say nothing of the equation."""


class _Heard(SheetFunctions):
    """The functions, which note each of their calls."""

    def __init__(self) -> None:
        self.calls: list[tuple[str, Sequence[Any], Any]] = []

    def call(self, name: str, cells: Sequence[Any]) -> Any:
        found = super().call(name, cells)
        self.calls.append((name, cells, found))
        return found


def explain(file: Path, sheet: str, cell: str) -> str:
    """The explanation, in lines. XlfuncsError where the cell holds nothing that could be explained."""
    book = formula_cells(file)
    place = f"{sheet}!{cell}"
    column, row = split_address(cell)
    found = book and _formula(book, sheet, row, column)
    if not book or not found:
        raise XlfuncsError(f"{place}: holds no formula; select a cell with one of our functions, LG_...")
    formula, row, column = found
    heard = _Heard()
    cells = Kept(book, heard)
    lines = [f"{place}:  ={formula.text}", ""]
    try:
        value = evaluate(formula.text, cells, sheet, row, column, formula.fills is not None)
    except NotUnderstood as why:
        lines += [f"The formula as a whole was not evaluated here: {why} is not known.", ""]
    else:
        if not heard.calls:
            raise XlfuncsError(f"{place}: ={formula.text} calls none of our functions, LG_...")
        kept = book.sheets[sheet.casefold()].values.get((row, column))
        lines += [f"The cell: {_shown(value)}{_stale(value, kept)}", ""]
    if not heard.calls:
        raise XlfuncsError("\n".join(lines).strip())
    nodes = _nodes(formula.text, At(cells, sheet, row, column))
    for name, given, result in heard.calls:
        several = nodes.get(name, [])
        same = [call for call in heard.calls if call[0] == name]
        node = several[same.index((name, given, result))] if len(several) == len(same) else None
        lines += [*_call(find(name), given, result, node), ""]
    return "\n".join(lines).rstrip()


def _formula(book: BookCells, sheet: str, row: int, column: int) -> tuple[FormulaCell, int, int] | None:
    """The formula that fills a cell, and where it stands."""
    found = book.sheets.get(sheet.casefold())
    if found is None:
        return None
    if (row, column) in found.formulas:
        return found.formulas[row, column], row, column
    for (top, left), formula in found.formulas.items():
        area = formula.fills
        if area and area.top <= row <= area.bottom and area.left <= column <= area.right:
            return formula, top, left
    return None


def _nodes(formula: str, at: At) -> dict[str, list[Call]]:
    """The calls of our functions as they are written, by the name of the function."""
    found: dict[str, list[Call]] = {}
    for node in walk(parse(formula), at):
        if isinstance(node, Call) and (name := at.cells.functions.own(node.function)):
            found.setdefault(name, []).append(node)
    return found


def _call(function: Function, given: Sequence[Any], result: Any, node: Call | None) -> Iterator[str]:
    yield f"{function.name}: {function.summary}"
    written = node.arguments if node else ()
    rows = [
        (argument.name, _given(argument, given[n] if n < len(given) else None), _from(written, n))
        for n, argument in enumerate(function.arguments)
        if n < len(given) or not function.repeats
    ]
    if function.takes_unit and len(given) > len(function.arguments):
        rows.append(("unit", _shown(given[-1]), ""))
    wide = [max((len(row[n]) for row in rows), default=0) for n in (0, 1)]
    for name, value, place in rows:
        yield f"    {name:{wide[0]}}  {value:{wide[1]}}  {place}".rstrip()
    yield from _answer(function, given, result)
    if how := _how(function):
        yield "  how:"
        yield from (f"    {line}" for line in how)
    yield f"  source: {function.source}"
    yield from (f"  note: {note}" for note in function.notes)


def _answer(function: Function, given: Sequence[Any], result: Any) -> Iterator[str]:
    cells = [cell for row in as_block(result) for cell in row]
    reasons = dict.fromkeys(f"{c.error}, {c.reason}" for c in cells if isinstance(c, Refusal))
    named = function.takes_unit and len(given) > len(function.arguments) and given[-1]
    unit = str(named or function.result.unit)
    if len(cells) > 1:
        yield f"  = {len(as_block(result))} x {len(as_block(result)[0])} cells, {function.result.meaning}"
    elif not reasons:
        yield f"  = {_shown(result)} {unit if isinstance(cells[0], float) else ''}".rstrip()
    for reason in reasons:
        yield f"  refuses: {reason}"


def _given(argument: Argument, cell: Any) -> str:
    if cell is None or cell == "":
        if argument.usual:
            return f"left out: {argument.usual} {argument.unit}".rstrip()
        return "missing" if argument.required else "left out"
    unit = argument.unit if isinstance(cell, (int, float)) and not isinstance(cell, bool) else ""
    return f"{_shown(cell)} {unit}".rstrip()


def _from(written: Sequence[Node | None], n: int) -> str:
    """Where an input stands, as far as that can be said in a few words."""
    node = written[n] if n < len(written) else None
    if isinstance(node, Reference):
        first = f"{column_letter(node.left)}{node.top}"
        last = f"{column_letter(node.right)}{node.bottom}"
        where = first if first == last else f"{first}:{last}"
        return f"in {node.sheet}!{where}" if node.sheet else f"in {where}"
    if isinstance(node, Name):
        return f"the name {node.name}"
    return "" if node is None or isinstance(node, Constant) else "computed in the formula"


def _shown(value: Any) -> str:
    block = as_block(value)
    if len(block) > 1 or len(block[0]) > 1:
        return f"{len(block)} x {len(block[0])} cells, the first: {_shown(block[0][0])}"
    one = block[0][0]
    if one is None:
        return "blank"
    if isinstance(one, bool):
        return str(one).upper()
    if isinstance(one, (int, float)):
        return f"{one:.6g}"
    return str(one.error if isinstance(one, Refusal) else one)


def _stale(value: Any, kept: Any) -> str:
    """What to say where the cell shows something else."""
    one = as_block(value)[0][0]
    if isinstance(one, float) and isinstance(kept, float):
        same = abs(one - kept) <= max(1e-9 * max(abs(one), abs(kept)), 1e-12)
    else:
        same = kept is None or str(one) == str(kept)
    if same or (isinstance(kept, CellError) and isinstance(one, CellError)):
        return ""
    return f" (it shows {_shown(kept)}: calculate it anew)"


def _how(function: Function) -> list[str]:
    """What the physics says of its equation, in SI."""
    module, _, name = function.call.partition(":")
    paragraphs = (getdoc(getattr(import_module(module), name)) or "").split("\n\n")
    told = [p for p in paragraphs if not p.strip().startswith(_LEFT_OUT_OF_HOW)]
    lines = [line for paragraph in told for line in paragraph.strip().splitlines()]
    return [line for line in lines if not line.startswith("Other arguments")]
