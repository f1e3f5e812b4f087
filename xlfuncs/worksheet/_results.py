"""SI results to cells: numbers in their unit, texts, refusals with their reasons."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from xlfuncs.gauge import Array, Reasons
from xlfuncs.units import Converter, converter
from xlfuncs.worksheet._problems import Problem, together
from xlfuncs.worksheet._ranges import Taken
from xlfuncs.worksheet.refusal import IMPOSSIBLE, KINDS, UNUSABLE, Refusal, refusal
from xlfuncs.worksheet.spec import Function

_NO_RESULT = "no result: outside the range of validity"


def _shown(value: float) -> float | str:
    """A number as a cell shows it; `nan` and minus infinity have no place there."""
    return "unlimited" if value == math.inf else value


def table_result(value: Any, why_not: Reasons) -> Any:
    """A cell of a table: a number that is none refuses alone."""
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, float) and not math.isfinite(value) and value != math.inf:
        return _refused(*why_not.why(np.empty(())))
    return _shown(value) if isinstance(value, float) else value


def _refused(text: Any, kind: Any) -> Refusal:
    """The refusal for a reason noted in `gauge`, or for none."""
    return refusal(KINDS.get(str(kind), IMPOSSIBLE), str(text) or _NO_RESULT)


def _unit_of(function: Function, result: Any, unit: str, out: Array | None = None) -> Any:
    if not function.result.quantity or function.result.text:
        return result
    to = converter(unit, function.result.quantity)
    if out is not None and np.shape(result) == out.shape and type(to) is Converter and not to.offset:
        return np.divide(result, to.scale, out=out)
    return to.from_si(result)


def cells_of(
    function: Function,
    result: Any,
    unit: str,
    shape: tuple[int, ...],
    why_not: Reasons,
    taken: list[Taken],
    out: Array | None = None,
) -> Any:
    if not shape and not np.shape(result):
        if function.result.text or isinstance(result, str):
            text, kind = why_not.why("")
            return str(result) if str(result) or not str(text) else _refused(text, kind)
        value = float(_unit_of(function, result, unit))
        if math.isnan(value) or value == -math.inf:
            return _refused(*why_not.why(result))
        return _shown(value)
    values = np.asarray(_unit_of(function, result, unit, out))
    if values is result or values.shape != shape:
        values = np.array(np.broadcast_to(values, shape))
    if values.dtype.kind in "fiu":
        finite = np.isfinite(values)
        if finite.all() and all(t.problem is None for t in taken):
            return values.astype(np.float64, copy=False)
    cells = values.astype(object)
    if values.dtype.kind in "fiu":
        cells[np.isposinf(values)] = "unlimited"
        bad = ~finite & ~np.isposinf(values)
    else:
        bad = (values == "") & (why_not.at(np.empty(shape)) != "")
    if bad.any():
        texts, kinds = why_not.why(np.empty(shape))
        for at in map(tuple, np.argwhere(bad)):
            cells[at] = _refused(texts[at], kinds[at])
    _write_problems(cells, shape, taken)
    return cells


def _write_problems(out: NDArray[np.object_], shape: tuple[int, ...], taken: list[Taken]) -> None:
    """Replace the elements whose own cells are blank or wrong."""
    problems: dict[tuple[int, ...], list[Problem]] = {}
    for argument in taken:
        if isinstance(argument.problem, np.ndarray):
            spread = np.broadcast_to(argument.problem, shape)
            for at in map(tuple, np.argwhere(spread != np.array(None))):
                problems.setdefault(at, []).append(spread[at])
    for at, found in problems.items():
        out[at] = together(found)


def row_of(
    function: Function,
    result: tuple[Any, ...],
    unit: str,
    shape: tuple[int, ...],
    why_not: Reasons,
    taken: list[Taken],
) -> Any:
    if len(shape) == 2 and shape[1] != 1:
        return refusal(
            UNUSABLE, f"this function fills {len(result)} cells side by side: give ranges of one column"
        )
    columns = [cells_of(function, part, unit, shape, why_not, taken) for part in result]
    if not shape:
        return columns
    flat = [np.asarray(column, dtype=object).reshape(-1) for column in columns]
    return np.stack(flat, axis=1)
