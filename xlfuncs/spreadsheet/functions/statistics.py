"""Numbers of ranges: sums, means, extremes, ranks, and partial results."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import Counter
from collections.abc import Callable, Collection
from importlib import import_module
from typing import Any

from xlfuncs.spreadsheet.cell_values import DIV0, NA, NUM, VALUE, CellError, NotUnderstood, number
from xlfuncs.spreadsheet.functions.common import (
    MANY,
    ErrorMet,
    Whole,
    cells,
    numbers,
    real,
    rows,
    whole_number,
)
from xlfuncs.spreadsheet.functions.distribution import share_between
from xlfuncs.spreadsheet.tree import Area, At

Numbers = list[float]


def _total(function: Callable[[Numbers], Any]) -> Whole:
    return lambda at, *values: function(numbers(at, values))


def _mean(found: Numbers) -> Any:
    return math.fsum(found) / len(found) if found else DIV0


def _python(name: str, found: Numbers) -> float:
    """What Python's `statistics` gives, which is loaded where somebody asks for it."""
    return float(getattr(import_module("statistics"), name)(found))


def _spread(name: str, least: int) -> Callable[[Numbers], Any]:
    return lambda found: _python(name, found) if len(found) >= least else DIV0


def _median(found: Numbers) -> Any:
    return _python("median", found) if found else NUM


def _mode(found: Numbers) -> Any:
    most = Counter(found).most_common(1)
    return most[0][0] if most and most[0][1] > 1 else NA


def _product(found: Numbers) -> float:
    return math.prod(found) if found else 0.0


def _nth(found: Numbers, n: float, largest: bool) -> Any:
    place = math.ceil(n)
    if not 1 <= place <= len(found):
        return NUM
    return sorted(found, reverse=largest)[place - 1]


def _share(found: Numbers, share: float) -> Any:
    """The value below which a share of the numbers lies, linear between them."""
    if not found or not 0 <= share <= 1:
        return NUM
    ordered, place = sorted(found), share * (len(found) - 1)
    low = min(int(place), len(found) - 1)
    high = min(low + 1, len(found) - 1)
    return ordered[low] + (place - low) * (ordered[high] - ordered[low])


def _of_range(function: Callable[[Numbers, float], Any]) -> Whole:
    return lambda at, area, n: function(numbers(at, (area,)), real(n, at))


def _with_all(function: Callable[[Numbers], Any]) -> Whole:
    """Texts in ranges count as 0, TRUE as 1."""

    def whole(at: At, *values: Any) -> Any:
        found = []
        for value in values:
            for cell, in_range in cells(value, at):
                if in_range and cell is None:
                    continue
                one = 0.0 if in_range and _is_text(cell) else number(cell)
                if isinstance(one, CellError):
                    raise ErrorMet(one)
                found.append(one)
        return function(found)

    return whole


def _is_text(cell: Any) -> bool:
    return isinstance(cell, str) and not isinstance(cell, CellError)


def _counted(test: Callable[[Any], bool]) -> Whole:
    return lambda at, *values: float(sum(test(cell) for value in values for cell, _ in cells(value, at)))


def _blanks(at: At, area: Any) -> float:
    whole = area.rows * area.columns if isinstance(area, Area) else None
    block = rows(area, at)
    filled = sum(cell is not None and cell != "" for row in block for cell in row)
    return float((whole if whole is not None else sum(map(len, block))) - filled)


def _rank(at: At, wanted: Any, area: Any, rising: Any = None) -> Any:
    value, found = real(wanted, at), numbers(at, (area,))
    if value not in found:
        return NA
    before = sum(x < value for x in found) if whole_number(rising, at) else sum(x > value for x in found)
    return float(before + 1)


def _mean_of_positive(name: str) -> Whole:
    return lambda at, *values: (
        _python(name, found) if (found := numbers(at, values)) and min(found) > 0 else NUM
    )


def _mean_deviation(at: At, *values: Any) -> Any:
    found = numbers(at, values)
    middle = _mean(found)
    return _mean([abs(x - middle) for x in found]) if found else NUM


def _frequency(at: At, data: Any, bins: Any) -> Any:
    """How many numbers lie up to each bound, and beyond the last."""
    found, bounds = numbers(at, (data,)), numbers(at, (bins,))
    ordered = sorted(bounds)
    counts = Counter(bisect_left(ordered, x) for x in found)
    places = {bound: ordered.index(bound) for bound in bounds}
    beyond = float(counts[len(ordered)])
    return [*([float(counts.pop(places[bound], 0))] for bound in bounds), [beyond]]


# --- partial results --------------------------------------------------------------------------------------

_PARTIAL: dict[int, Callable[[Numbers], Any]] = {
    1: _mean,
    4: lambda n: max(n, default=0.0),
    5: lambda n: min(n, default=0.0),
    6: _product,
    7: _spread("stdev", 2),
    8: _spread("pstdev", 1),
    9: math.fsum,
    10: _spread("variance", 2),
    11: _spread("pvariance", 1),
    12: _median,
    13: _mode,
}
_COUNT, _COUNT_ALL = 2, 3
_NTH: dict[int, Callable[[Numbers, float], Any]] = {
    14: lambda found, n: _nth(found, n, True),
    15: lambda found, n: _nth(found, n, False),
    16: _share,
    17: lambda found, n: _share(found, int(n) / 4),
    18: share_between,
    19: lambda found, n: share_between(found, int(n) / 4),
}


def _seen(at: At, area: Any, hidden: Collection[int], without_partial: bool) -> list[Any]:
    """The cells of a range that a partial result counts: not those of hidden rows."""
    if not isinstance(area, Area):
        raise NotUnderstood("a partial result of something else than a range")
    used = at.cells.used(area)
    found = []
    for row, line in zip(range(used.top, used.bottom + 1), at.cells.block(used), strict=True):
        if row in hidden:
            continue
        for column, cell in zip(range(used.left, used.right + 1), line, strict=True):
            inner = at.cells.formula(area.sheet, row, column).upper() if without_partial else ""
            if "SUBTOTAL(" not in inner and "AGGREGATE(" not in inner:
                found.append(cell)
    return found


def _partial(which: int, found: list[Any]) -> Any:
    if which == _COUNT:
        return float(sum(isinstance(cell, float) for cell in found))
    if which == _COUNT_ALL:
        return float(sum(cell is not None for cell in found))
    for cell in found:
        if isinstance(cell, CellError):
            return cell
    return _PARTIAL[which]([cell for cell in found if isinstance(cell, float)])


def _subtotal(at: At, which: Any, *areas: Any) -> Any:
    number_ = whole_number(which, at)
    kind = number_ - 100 if number_ > 100 else number_
    if not 1 <= kind <= 11:
        return VALUE
    found: list[Any] = []
    for area in areas:
        # rows that a filter hides are left out by either kind, those hidden by hand by one
        hidden = at.cells.hidden if number_ > 100 else at.cells.filtered
        found += _seen(at, area, hidden(area.sheet) if isinstance(area, Area) else (), True)
    return _partial(kind, found)


def _aggregate(at: At, which: Any, options: Any, *rest: Any) -> Any:
    kind, option = whole_number(which, at), whole_number(options, at)
    if not (1 <= kind <= 19 and 0 <= option <= 7):
        return VALUE
    areas = rest[:1] if kind in _NTH else rest
    found: list[Any] = []
    for area in areas:
        if isinstance(area, Area):
            hidden = at.cells.hidden(area.sheet) if option in (1, 3, 5, 7) else ()
            found += _seen(at, area, hidden, option < 4)
        else:
            found += [cell for row in rows(area, at) for cell in row]
    if option in (2, 3, 6, 7):
        found = [cell for cell in found if not isinstance(cell, CellError)]
    if kind not in _NTH:
        return _partial(kind, found)
    if len(rest) != 2:
        return VALUE
    for cell in found:
        if isinstance(cell, CellError):
            return cell
    return _NTH[kind]([cell for cell in found if isinstance(cell, float)], real(rest[1], at))


WHOLE = {
    "SUM": (1, MANY, _total(math.fsum)),
    "SUMSQ": (1, MANY, _total(lambda n: math.fsum(x * x for x in n))),
    "PRODUCT": (1, MANY, _total(_product)),
    "MIN": (1, MANY, _total(lambda n: min(n, default=0.0))),
    "MAX": (1, MANY, _total(lambda n: max(n, default=0.0))),
    "AVERAGE": (1, MANY, _total(_mean)),
    "MEDIAN": (1, MANY, _total(_median)),
    "MODE": (1, MANY, _total(_mode)),
    "MODE.SNGL": (1, MANY, _total(_mode)),
    "STDEV": (1, MANY, _total(_PARTIAL[7])),
    "STDEV.S": (1, MANY, _total(_PARTIAL[7])),
    "STDEVP": (1, MANY, _total(_PARTIAL[8])),
    "STDEV.P": (1, MANY, _total(_PARTIAL[8])),
    "VAR": (1, MANY, _total(_PARTIAL[10])),
    "VAR.S": (1, MANY, _total(_PARTIAL[10])),
    "VARP": (1, MANY, _total(_PARTIAL[11])),
    "VAR.P": (1, MANY, _total(_PARTIAL[11])),
    "MINA": (1, MANY, _with_all(lambda n: min(n, default=0.0))),
    "MAXA": (1, MANY, _with_all(lambda n: max(n, default=0.0))),
    "STDEVA": (1, MANY, _with_all(_PARTIAL[7])),
    "VARA": (1, MANY, _with_all(_PARTIAL[10])),
    "AVERAGEA": (1, MANY, _with_all(_mean)),
    "COUNT": (1, MANY, _counted(lambda c: isinstance(c, float))),
    "COUNTA": (1, MANY, _counted(lambda c: c is not None)),
    "COUNTBLANK": (1, 1, _blanks),
    "LARGE": (2, 2, _of_range(_NTH[14])),
    "SMALL": (2, 2, _of_range(_NTH[15])),
    "PERCENTILE": (2, 2, _of_range(_share)),
    "PERCENTILE.INC": (2, 2, _of_range(_share)),
    "QUARTILE": (2, 2, _of_range(_NTH[17])),
    "QUARTILE.INC": (2, 2, _of_range(_NTH[17])),
    "RANK": (2, 3, _rank),
    "RANK.EQ": (2, 3, _rank),
    "GEOMEAN": (1, MANY, _mean_of_positive("geometric_mean")),
    "HARMEAN": (1, MANY, _mean_of_positive("harmonic_mean")),
    "AVEDEV": (1, MANY, _mean_deviation),
    "FREQUENCY": (2, 2, _frequency),
    "SUBTOTAL": (2, MANY, _subtotal),
    "AGGREGATE": (3, MANY, _aggregate),
}
