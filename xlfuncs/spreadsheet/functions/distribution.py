"""How numbers are distributed: ranks and shares among them, and the normal distribution."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable
from typing import Any

from xlfuncs.spreadsheet.cell_values import DIV0, NA, NUM
from xlfuncs.spreadsheet.functions.common import MANY, Whole, numbers, numeric, real, whole_number
from xlfuncs.spreadsheet.tree import At

Numbers = list[float]


def share_between(found: Numbers, share: float) -> Any:
    """The value below which a share of the numbers lies, neither end counted (PERCENTILE.EXC)."""
    place = share * (len(found) + 1) - 1
    if not found or not 0 <= place <= len(found) - 1:
        return NUM
    ordered, low = sorted(found), int(place)
    high = min(low + 1, len(found) - 1)
    return ordered[low] + (place - low) * (ordered[high] - ordered[low])


def _share_below(at: At, area: Any, wanted: Any, digits: Any = None) -> Any:
    """PERCENTRANK: the share of the numbers below a value, cut after some digits."""
    found, value, kept = sorted(numbers(at, (area,))), real(wanted, at), whole_number(digits, at, 3.0)
    if not found or kept < 1:
        return NUM
    if not found[0] <= value <= found[-1]:
        return NA
    below = sum(x < value for x in found)
    place = float(below)
    if value not in found:
        low, high = found[below - 1], found[below]
        place = below - 1 + (value - low) / (high - low)
    share = place / (len(found) - 1) if len(found) > 1 else 1.0
    return math.floor(share * 10**kept + 1e-9) / 10**kept


def _mean_rank(at: At, wanted: Any, area: Any, rising: Any = None) -> Any:
    value, found = real(wanted, at), numbers(at, (area,))
    if value not in found:
        return NA
    before = sum(x < value for x in found) if whole_number(rising, at) else sum(x > value for x in found)
    return before + (found.count(value) + 1) / 2


def _squares(at: At, *values: Any) -> Any:
    found = numbers(at, values)
    if not found:
        return NUM
    middle = math.fsum(found) / len(found)
    return math.fsum((x - middle) ** 2 for x in found)


def _trimmed(at: At, area: Any, share: Any) -> Any:
    found, left_out = sorted(numbers(at, (area,))), real(share, at)
    if not found or not 0 <= left_out < 1:
        return NUM
    each_end = int(len(found) * left_out / 2)
    kept = found[each_end : len(found) - each_end]
    return math.fsum(kept) / len(kept)


def _skewness(at: At, *values: Any) -> Any:
    found = numbers(at, values)
    n = len(found)
    spread = statistics.stdev(found) if n > 2 else 0.0
    if not spread:
        return DIV0
    middle = math.fsum(found) / n
    return n / ((n - 1) * (n - 2)) * math.fsum(((x - middle) / spread) ** 3 for x in found)


# --- the normal distribution ----------------------------------------------------------------------------


def _normal(x: float, mean: float, spread: float, below: float) -> float:
    if spread <= 0:
        raise ValueError
    found = statistics.NormalDist(mean, spread)
    return found.cdf(x) if below else found.pdf(x)


def _inverse(share: float, mean: float = 0.0, spread: float = 1.0) -> float:
    if not 0 < share < 1 or spread <= 0:
        raise ValueError
    return statistics.NormalDist(mean, spread).inv_cdf(share)


def _confidence(doubt: float, spread: float, many: float) -> float:
    if not 0 < doubt < 1 or spread <= 0 or many < 1:
        raise ValueError
    return statistics.NormalDist().inv_cdf(1 - doubt / 2) * spread / math.sqrt(int(many))


def _standardized(x: float, mean: float, spread: float) -> float:
    if spread <= 0:
        raise ValueError
    return (x - mean) / spread


CELLWISE = {
    "NORM.DIST": (4, 4, numeric(_normal)),
    "NORMDIST": (4, 4, numeric(_normal)),
    "NORM.S.DIST": (2, 2, numeric(lambda x, below: _normal(x, 0.0, 1.0, below))),
    "NORMSDIST": (1, 1, numeric(lambda x: _normal(x, 0.0, 1.0, 1.0))),
    "NORM.INV": (3, 3, numeric(_inverse)),
    "NORMINV": (3, 3, numeric(_inverse)),
    "NORM.S.INV": (1, 1, numeric(_inverse)),
    "NORMSINV": (1, 1, numeric(_inverse)),
    "CONFIDENCE": (3, 3, numeric(_confidence)),
    "CONFIDENCE.NORM": (3, 3, numeric(_confidence)),
    "STANDARDIZE": (3, 3, numeric(_standardized)),
    "ERF": (1, 1, numeric(math.erf)),
}


def _of_share(function: Callable[[Numbers, float], Any]) -> Whole:
    return lambda at, area, share: function(numbers(at, (area,)), real(share, at))


WHOLE: dict[str, tuple[int, int, Whole]] = {
    "PERCENTILE.EXC": (2, 2, _of_share(share_between)),
    "QUARTILE.EXC": (2, 2, _of_share(lambda found, n: share_between(found, int(n) / 4))),
    "PERCENTRANK": (2, 3, _share_below),
    "PERCENTRANK.INC": (2, 3, _share_below),
    "RANK.AVG": (2, 3, _mean_rank),
    "DEVSQ": (1, MANY, _squares),
    "TRIMMEAN": (2, 2, _trimmed),
    "SKEW": (1, MANY, _skewness),
}
