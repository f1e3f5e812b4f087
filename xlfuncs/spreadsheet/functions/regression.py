"""Straight and exponential lines through numbers, as tables of densities and vapour pressures are read
between.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from xlfuncs.spreadsheet.block import Block, single
from xlfuncs.spreadsheet.cell_values import DIV0, NA, NUM, REF, VALUE, CellError, NotUnderstood
from xlfuncs.spreadsheet.functions.common import ErrorMet, Whole, real, rows, truth
from xlfuncs.spreadsheet.tree import At, plain

Numbers = list[float]


def _pairs(at: At, one: Any, other: Any) -> tuple[Numbers, Numbers]:
    """The pairs of which both are numbers; an error among them is the result."""
    left, right = ([cell for row in rows(area, at) for cell in row] for area in (one, other))
    if len(left) != len(right):
        raise ErrorMet(NA)
    for cell in (*left, *right):
        if isinstance(cell, CellError):
            raise ErrorMet(cell)
    pairs = [
        (a, b) for a, b in zip(left, right, strict=True) if isinstance(a, float) and isinstance(b, float)
    ]
    if not pairs:
        raise ErrorMet(DIV0)
    return [a for a, _ in pairs], [b for _, b in pairs]


def _of_line(result: Callable[[float, float], Any]) -> Whole:
    """A function of the slope and the intercept of y over x."""

    def whole(at: At, y: Any, x: Any) -> Any:
        import statistics  # long to load, seldom asked for

        found_y, found_x = _pairs(at, y, x)
        try:
            return result(*statistics.linear_regression(found_x, found_y))
        except statistics.StatisticsError:  # one pair, or one x for all
            return DIV0

    return whole


def _forecast(at: At, where: Any, y: Any, x: Any) -> Any:
    place = real(where, at)
    return _of_line(lambda slope, intercept: intercept + slope * place)(at, y, x)


def _correlation(power: int) -> Whole:
    def whole(at: At, one: Any, other: Any) -> Any:
        import statistics

        try:
            return statistics.correlation(*_pairs(at, one, other)) ** power
        except statistics.StatisticsError:
            return DIV0

    return whole


def _covariance(of_a_sample: bool) -> Whole:
    def whole(at: At, one: Any, other: Any) -> Any:
        left, right = _pairs(at, one, other)
        if len(left) < 1 + of_a_sample:
            return DIV0
        middle, other_middle = math.fsum(left) / len(left), math.fsum(right) / len(right)
        products = ((a - middle) * (b - other_middle) for a, b in zip(left, right, strict=True))
        return math.fsum(products) / (len(left) - of_a_sample)

    return whole


def _standard_error(at: At, y: Any, x: Any) -> Any:
    import statistics

    found_y, found_x = _pairs(at, y, x)
    if len(found_y) < 3:
        return DIV0
    try:
        slope, intercept = statistics.linear_regression(found_x, found_y)
    except statistics.StatisticsError:
        return DIV0
    rest = ((b - intercept - slope * a) ** 2 for a, b in zip(found_x, found_y, strict=True))
    return math.sqrt(math.fsum(rest) / (len(found_y) - 2))


# --- several variables ----------------------------------------------------------------------------------


def _only_numbers(block: Block) -> Block:
    for row in block:
        for cell in row:
            if isinstance(cell, CellError):
                raise ErrorMet(cell)
            if not isinstance(cell, float):
                raise ErrorMet(VALUE)
    return block


def _variables(y: Block, x: Block) -> list[Numbers]:
    """What y depends on: one variable of the shape of y, columns beside a column, rows above a row."""
    if (len(x), len(x[0])) == (len(y), len(y[0])):
        return [[cell for row in x for cell in row]]
    if len(y[0]) == 1 and len(x) == len(y):
        return [list(column) for column in zip(*x, strict=True)]
    if len(y) == 1 and len(x[0]) == len(y[0]):
        return x
    raise ErrorMet(REF)


def _of_rows(y: Block, x: Any, at: At) -> list[Numbers]:
    if x is None:
        return [[float(n) for n in range(1, len(y) * len(y[0]) + 1)]]
    return _variables(y, _only_numbers(rows(x, at)))


def _with_constant(value: Any, at: At) -> bool:
    return value is None or truth(plain(value, at))


def _solved(y: Numbers, variables: list[Numbers], constant: bool) -> tuple[Any, Any, Any]:
    """Coefficients (the constant last), the matrix that they were found with, and what is left over of y."""
    import numpy as np

    matrix = np.array([*variables, *([[1.0] * len(y)] if constant else [])]).T
    if len(y) < matrix.shape[1] or np.linalg.matrix_rank(matrix) < matrix.shape[1]:
        raise NotUnderstood("LINEST of values that depend on one another")
    found = np.linalg.lstsq(matrix, np.array(y), rcond=None)[0]
    return found, matrix, np.array(y) - matrix @ found


def _lines(exponential: bool) -> Whole:
    """LINEST and LOGEST: coefficients in the order of Excel, the last variable first, with what is known."""

    def whole(at: At, y: Any, x: Any = None, const: Any = None, stats: Any = None) -> Any:
        block = _only_numbers(rows(y, at))
        ys = _logarithms(block, exponential)
        constant = _with_constant(const, at)
        found, matrix, rest = _solved(ys, _of_rows(block, x, at), constant)
        values = [*map(float, found)] if constant else [*map(float, found), 0.0]
        first = [*values[-2::-1], values[-1]]
        first = [math.exp(value) for value in first] if exponential else first
        if stats is None or not truth(plain(stats, at)):
            return single([first])
        return [first, *_known(ys, matrix, rest, constant, len(first))]

    return whole


def _known(y: Numbers, matrix: Any, rest: Any, constant: bool, width: int) -> Block:
    """Standard errors, R2 and the error of y, F and freedom, sums of squares; #N/A beside them."""
    import numpy as np

    freedom = len(y) - matrix.shape[1]
    left = float(rest @ rest)
    middle = math.fsum(y) / len(y) if constant else 0.0
    total = math.fsum((value - middle) ** 2 for value in y)
    spread = left / freedom if freedom else 0.0
    errors: list[Any] = [float(e) for e in np.sqrt(np.diag(np.linalg.inv(matrix.T @ matrix)) * spread)]
    errors = [*errors[-2::-1], errors[-1]] if constant else [*errors[::-1], NA]
    explained, variables = total - left, matrix.shape[1] - constant
    f = explained / variables / spread if spread else NUM
    lines: Block = [
        [explained / total if total else 1.0, math.sqrt(spread)],
        [f, float(freedom)],
        [explained, left],
    ]
    return [errors, *([*line, *[NA] * (width - 2)] for line in lines)]


def _logarithms(block: Block, exponential: bool) -> Numbers:
    found = [cell for row in block for cell in row]
    if not exponential:
        return found
    if min(found) <= 0:
        raise ErrorMet(NUM)
    return [math.log(value) for value in found]


def _along(exponential: bool) -> Whole:
    """TREND and GROWTH: the line at other places, in their shape."""

    def whole(at: At, y: Any, x: Any = None, where: Any = None, const: Any = None) -> Any:
        block = _only_numbers(rows(y, at))
        variables = _of_rows(block, x, at)
        constant = _with_constant(const, at)
        values = [*map(float, _solved(_logarithms(block, exponential), variables, constant)[0])]
        places = block if where is None else _only_numbers(rows(where, at))
        given = variables if where is None else _places(places, block, len(variables))
        found = [
            math.fsum(a * b for a, b in zip((*of, 1.0)[: len(values)], values, strict=True))
            for of in zip(*given, strict=True)
        ]
        found = [math.exp(value) for value in found] if exponential else found
        if len(found) == len(places) * len(places[0]):
            width = len(places[0])
            return single([found[n : n + width] for n in range(0, len(found), width)])
        return single([[value] for value in found] if len(block[0]) == 1 else [found])

    return whole


def _places(places: Block, y: Block, variables: int) -> list[Numbers]:
    if variables == 1:
        return [[cell for row in places for cell in row]]
    found = [list(column) for column in zip(*places, strict=True)] if len(y[0]) == 1 else places
    if len(found) != variables:
        raise ErrorMet(REF)
    return found


WHOLE: dict[str, tuple[int, int, Whole]] = {
    "TREND": (1, 4, _along(False)),
    "GROWTH": (1, 4, _along(True)),
    "LINEST": (1, 4, _lines(False)),
    "LOGEST": (1, 4, _lines(True)),
    "FORECAST": (3, 3, _forecast),
    "FORECAST.LINEAR": (3, 3, _forecast),
    "SLOPE": (2, 2, _of_line(lambda slope, intercept: slope)),
    "INTERCEPT": (2, 2, _of_line(lambda slope, intercept: intercept)),
    "CORREL": (2, 2, _correlation(1)),
    "PEARSON": (2, 2, _correlation(1)),
    "RSQ": (2, 2, _correlation(2)),
    "STEYX": (2, 2, _standard_error),
    "COVAR": (2, 2, _covariance(False)),
    "COVARIANCE.P": (2, 2, _covariance(False)),
    "COVARIANCE.S": (2, 2, _covariance(True)),
}
