"""A straight line through pairs of numbers, as tables of densities and vapour pressures are read between."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from xlfuncs.spreadsheet.formula import DIV0, NA, At, CellError, each, number, plain
from xlfuncs.spreadsheet.functions.common import ErrorMet, Whole, real, rows

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


def _trend(at: At, y: Any, x: Any, where: Any) -> Any:
    line = _of_line(lambda slope, intercept: [slope, intercept])(at, y, x)
    if isinstance(line, CellError):
        return line
    return each(lambda cell: number(cell) * line[0] + line[1], plain(where, at))


WHOLE: dict[str, tuple[int, int, Whole]] = {
    "TREND": (3, 3, _trend),
    "FORECAST": (3, 3, _forecast),
    "FORECAST.LINEAR": (3, 3, _forecast),
    "SLOPE": (2, 2, _of_line(lambda slope, intercept: slope)),
    "INTERCEPT": (2, 2, _of_line(lambda slope, intercept: intercept)),
    "CORREL": (2, 2, _correlation(1)),
    "RSQ": (2, 2, _correlation(2)),
}
