"""Arithmetic: rounding, powers, angles, and sums of products."""

from __future__ import annotations

import math
from collections.abc import Callable
from decimal import ROUND_DOWN, ROUND_HALF_UP, ROUND_UP, Decimal
from typing import Any

from xlfuncs.spreadsheet.cell_values import NA, NUM, VALUE, CellError, power
from xlfuncs.spreadsheet.functions.common import MANY, Whole, numbers, numeric, rows
from xlfuncs.spreadsheet.tree import At


def _rounded(how: str) -> Callable[..., float]:
    def rounded(value: float, digits: float = 0.0) -> float:
        # the decimal digits that a user sees decide, not the binary fraction behind them
        return float(Decimal(f"{value:.15g}").quantize(Decimal(1).scaleb(-int(digits)), how))

    return rounded


def _steps(value: float, step: float) -> float:
    """How many steps a value has, as a user sees it: 0.3 has three of 0.1."""
    return float(f"{value / step:.12g}")


def _ceiling(value: float, step: float) -> float:
    if value > 0 > step:
        raise ValueError
    return step * math.ceil(_steps(value, step)) if step else 0.0


def _floor(value: float, step: float) -> float:
    if value > 0 > step:
        raise ValueError
    if not step and value:
        raise ZeroDivisionError
    return step * math.floor(_steps(value, step)) if step else 0.0


def _to_steps(whole: Callable[[float], int]) -> Callable[..., float]:
    """To whole steps, `whole` being up or down; a negative value, if `mirrored`, as the positive one."""

    def rounded(value: float, step: float = 1.0, mirrored: float = 0.0) -> float:
        size = abs(step)
        if not size:
            return 0.0
        if value < 0 and mirrored:
            return -size * whole(_steps(-value, size))
        return size * whole(_steps(value, size))

    return rounded


def _combinations(of: float, taken: float) -> float:
    if taken > of:
        raise ValueError
    return math.comb(int(of), int(taken))


def _arranged(of: float, taken: float) -> float:
    if taken > of:
        raise ValueError
    return math.perm(int(of), int(taken))


def _bits(function: Callable[[int, int], int]) -> Callable[[float, float], float]:
    def of(one: float, other: float) -> float:
        if min(one, other) < 0 or max(one, other) >= 1 << 48 or one % 1 or other % 1:
            raise ValueError
        return function(int(one), int(other))

    return of


def _multiple(value: float, step: float) -> float:
    if value * step < 0:
        raise ValueError
    return step * math.floor(_steps(value, step) + 0.5) if step else 0.0


def _even(value: float) -> float:
    return math.copysign(2 * math.ceil(abs(value) / 2), value)


def _odd(value: float) -> float:
    return math.copysign(2 * math.ceil((abs(value) + 1) / 2) - 1, value)


def _quotient(value: float, by: float) -> float:
    return math.trunc(value / by)


def _sum_of_products(at: At, *values: Any) -> Any:
    blocks = [rows(v, at) for v in values]
    if len({(len(b), len(b[0]) if b else 0) for b in blocks}) > 1:
        return VALUE
    total = 0.0
    for found in zip(*([cell for row in b for cell in row] for b in blocks), strict=True):
        product = 1.0
        for cell in found:
            if isinstance(cell, CellError):
                return cell
            product *= cell if isinstance(cell, float) else 0.0
        total += product
    return total


CELLWISE = {
    "ABS": (1, 1, numeric(abs)),
    "INT": (1, 1, numeric(math.floor)),
    "SIGN": (1, 1, numeric(lambda x: (x > 0) - (x < 0))),
    "SQRT": (1, 1, numeric(math.sqrt)),
    "EXP": (1, 1, numeric(math.exp)),
    "LN": (1, 1, numeric(math.log)),
    "LOG": (1, 2, numeric(lambda x, base=10.0: math.log10(x) if base == 10 else math.log(x, base))),
    "LOG10": (1, 1, numeric(math.log10)),
    "POWER": (2, 2, numeric(power)),
    "MOD": (2, 2, numeric(lambda x, y: x - y * math.floor(x / y))),
    "QUOTIENT": (2, 2, numeric(_quotient)),
    "ROUND": (2, 2, numeric(_rounded(ROUND_HALF_UP))),
    "ROUNDUP": (2, 2, numeric(_rounded(ROUND_UP))),
    "ROUNDDOWN": (2, 2, numeric(_rounded(ROUND_DOWN))),
    "TRUNC": (1, 2, numeric(_rounded(ROUND_DOWN))),
    "CEILING": (2, 2, numeric(_ceiling)),
    "FLOOR": (2, 2, numeric(_floor)),
    "CEILING.MATH": (1, 3, numeric(_to_steps(math.ceil))),
    "FLOOR.MATH": (1, 3, numeric(_to_steps(math.floor))),
    "MROUND": (2, 2, numeric(_multiple)),
    "EVEN": (1, 1, numeric(_even)),
    "ODD": (1, 1, numeric(_odd)),
    "PI": (0, 0, lambda: math.pi),
    "SIN": (1, 1, numeric(math.sin)),
    "COS": (1, 1, numeric(math.cos)),
    "TAN": (1, 1, numeric(math.tan)),
    "ASIN": (1, 1, numeric(math.asin)),
    "ACOS": (1, 1, numeric(math.acos)),
    "ATAN": (1, 1, numeric(math.atan)),
    "ATAN2": (2, 2, numeric(lambda x, y: math.atan2(y, x) if x or y else 1 / 0)),
    "SINH": (1, 1, numeric(math.sinh)),
    "COSH": (1, 1, numeric(math.cosh)),
    "TANH": (1, 1, numeric(math.tanh)),
    "ASINH": (1, 1, numeric(math.asinh)),
    "ACOSH": (1, 1, numeric(math.acosh)),
    "ATANH": (1, 1, numeric(math.atanh)),
    "COMBIN": (2, 2, numeric(_combinations)),
    "PERMUT": (2, 2, numeric(_arranged)),
    "SQRTPI": (1, 1, numeric(lambda x: math.sqrt(x * math.pi))),
    "BITAND": (2, 2, numeric(_bits(lambda a, b: a & b))),
    "BITOR": (2, 2, numeric(_bits(lambda a, b: a | b))),
    "BITXOR": (2, 2, numeric(_bits(lambda a, b: a ^ b))),
    "FACT": (1, 1, numeric(lambda x: math.factorial(int(x)))),
    "DEGREES": (1, 1, numeric(math.degrees)),
    "RADIANS": (1, 1, numeric(math.radians)),
}


def _of_whole_numbers(function: Callable[..., int]) -> Whole:
    def whole(at: At, *values: Any) -> Any:
        found = [int(value) for value in numbers(at, values)]
        return NUM if any(value < 0 for value in found) else float(function(*found))

    return whole


def _product_of_matrices(at: At, left: Any, right: Any) -> Any:
    one, other = rows(left, at), rows(right, at)
    if len(one[0]) != len(other) or not all(isinstance(c, float) for row in (*one, *other) for c in row):
        return VALUE
    return [
        [math.fsum(a * b for a, b in zip(row, column, strict=True)) for column in zip(*other, strict=True)]
        for row in one
    ]


def _matrix(result: Callable[[Any], Any]) -> Whole:
    """A function of a square of numbers."""

    def whole(at: At, area: Any) -> Any:
        import numpy as np

        block = rows(area, at)
        if len(block) != len(block[0]) or not all(isinstance(c, float) for row in block for c in row):
            return VALUE
        try:
            return result(np.array(block))
        except np.linalg.LinAlgError:
            return NUM

    return whole


def _inverse(matrix: Any) -> Any:
    import numpy as np

    return np.linalg.inv(matrix).tolist()


def _determinant(matrix: Any) -> float:
    import numpy as np

    return float(np.linalg.det(matrix))


def _pairwise(function: Callable[[float, float], float]) -> Whole:
    """The sum over pairs of numbers from two ranges of one size."""

    def whole(at: At, left: Any, right: Any) -> Any:
        one, other = ([cell for row in rows(area, at) for cell in row] for area in (left, right))
        if len(one) != len(other):
            return NA
        for cell in (*one, *other):
            if isinstance(cell, CellError):
                return cell
        pairs = zip(one, other, strict=True)
        return math.fsum(function(a, b) for a, b in pairs if isinstance(a, float) and isinstance(b, float))

    return whole


WHOLE: dict[str, tuple[int, int, Whole]] = {
    "SUMXMY2": (2, 2, _pairwise(lambda a, b: (a - b) ** 2)),
    "SUMX2MY2": (2, 2, _pairwise(lambda a, b: a * a - b * b)),
    "SUMX2PY2": (2, 2, _pairwise(lambda a, b: a * a + b * b)),
    "MINVERSE": (1, 1, _matrix(_inverse)),
    "MDETERM": (1, 1, _matrix(_determinant)),
    "SUMPRODUCT": (1, MANY, _sum_of_products),
    "GCD": (1, MANY, _of_whole_numbers(math.gcd)),
    "LCM": (1, MANY, _of_whole_numbers(math.lcm)),
    "MMULT": (2, 2, _product_of_matrices),
}
