"""One cell to what the callable takes for it."""

from __future__ import annotations

import math
from functools import cache, lru_cache
from typing import Any

from xlfuncs.units import UnitError, converter, parse, units_for
from xlfuncs.worksheet import _gravity
from xlfuncs.worksheet._problems import Unusable, is_blank, refuse_error
from xlfuncs.worksheet.refusal import MISSING
from xlfuncs.worksheet.spec import Argument, Function

TOO_LARGE = 1e15
"""In the trade unit of any argument: a slip, and beyond what the arithmetic bears."""


def missing_one(argument: Argument) -> Unusable:
    return Unusable(f"missing; give {_wanted(argument)}", MISSING, 2)


def _wanted(argument: Argument) -> str:
    if argument.kind == "quantity":
        return f"the {argument.meaning} in {argument.unit}, or as text with its unit"
    if argument.kind == "choice":
        return f"one of {', '.join(argument.choices)}"
    if argument.kind == "table":
        return f"a range with its headings in the first row: {argument.meaning}"
    return f"the {argument.meaning}"


@cache
def default_of(argument: Argument) -> Any:
    if argument.default is None:
        return None
    return single(argument, argument.default)


def single(argument: Argument, cell: Any) -> Any:
    """One cell as the callable takes it; `Unusable` with the reason."""
    refuse_error(cell)
    kind = argument.kind
    if kind in ("quantity", "named", "number"):
        if isinstance(cell, bool):
            raise Unusable(f"{str(cell).upper()} is not a number; give {_wanted(argument)}")
        if isinstance(cell, (int, float)):
            return number(argument, plain_number(argument, _as_float(cell)))
        if isinstance(cell, str):
            return _number_text(argument, cell)
        raise Unusable(f"a {type(cell).__name__} is not a number; give {_wanted(argument)}")
    if kind == "flag":
        return _flag(cell)
    if kind == "choice":
        return _choice(argument, str(cell).strip().casefold())
    if kind == "text":
        return f"{cell:g}" if isinstance(cell, float) else str(cell).strip()
    return cell


def _choice(argument: Argument, word: str) -> str:
    """One of the choices; of a shape of ends also one for each end, bottom/top: 'flat/hemispherical'."""
    if word in argument.choices:
        return word
    parts = [part.strip() for part in word.split("/")]
    if len(parts) == 2 and argument.name == "ends" and all(part in argument.choices for part in parts):
        return parts[0] if parts[0] == parts[1] else "/".join(parts)
    raise Unusable(f"'{word}' is not one of {', '.join(argument.choices)}")


def _as_float(number: float) -> float:
    try:
        return float(number)
    except OverflowError:
        raise Unusable("the number is too large") from None


def plain_number(argument: Argument, number: float) -> float:
    """A number without a unit; one that is more likely of another unit is asked back."""
    if argument.slip is not None and number > argument.slip[0]:
        raise Unusable(
            f'{number:g} is hardly in {argument.unit}; write "{number:g} {argument.slip[1]}" if that is meant'
        )
    if argument.liquid == "surely" and _gravity.looks_so(number):
        doubt = f"{number:g} is hardly a liquid's density in {argument.unit}; "
        raise Unusable(doubt + _gravity.question(number, argument.unit))
    return number


def _flag(cell: Any) -> bool:
    if isinstance(cell, (bool, int, float)) and cell in (0, 1):
        return bool(cell)
    word = str(cell).strip().casefold()
    if word in ("true", "false"):
        return word == "true"
    raise Unusable(f"'{cell}' is neither TRUE nor FALSE")


def number(argument: Argument, number: float) -> float:
    if not math.isfinite(number):
        raise Unusable("is not a finite number")
    if abs(number) > TOO_LARGE:
        raise Unusable(f"{number:g} is too large")
    if (argument.low is not None and number < argument.low) or (
        argument.high is not None and number > argument.high
    ):
        raise Unusable(f"{number:g} {argument.unit} is outside {_span(argument)}".replace("  ", " "))
    if argument.kind == "number" or not argument.quantity:
        return number
    si = float(converter(argument.unit, argument.quantity).to_si(number))
    if argument.quantity == "temperature" and si < 0:
        raise Unusable(f"{number:g} {argument.unit} is below absolute zero, -273.15 degC")
    return si


def _span(argument: Argument) -> str:
    if argument.high is None:
        span = f"the valid range, {argument.low:g} {argument.unit} and above"
    elif argument.low is None:
        span = f"the valid range, up to {argument.high:g} {argument.unit}"
    else:
        span = f"{argument.low:g} to {argument.high:g} {argument.unit}"
    return span.replace("  ", " ").strip()


@lru_cache(maxsize=4096)
def _number_text(argument: Argument, text: str) -> Any:
    try:
        read = parse(text, argument.quantity or "ratio", argument.unit or None)
    except UnitError as why:
        if argument.kind == "named":
            return text.strip()
        raise Unusable(str(why)) from None
    if not (read.si_low == read.si_high == read.si):
        raise Unusable(f"'{text}' is a range; give one number")
    if argument.kind == "number":
        return number(argument, float(read.number))
    if argument.liquid == "surely" and _gravity.is_bare(text):
        plain_number(argument, float(read.number))
    number(argument, float(converter(argument.unit, argument.quantity).from_si(read.si)))
    return float(read.si)


def sure(argument: Argument) -> tuple[float, float]:
    """Between these two a number without a unit needs no closer look: in range, and never asked back.

    It has to know each reason for which `plain_number` and `number` refuse.
    """
    low = -TOO_LARGE if argument.low is None else max(argument.low, -TOO_LARGE)
    high = TOO_LARGE if argument.high is None else min(argument.high, TOO_LARGE)
    if argument.liquid:
        low = max(low, _gravity.HIGHEST)
    if argument.slip is not None:
        high = min(high, argument.slip[0])
    if argument.quantity == "temperature":
        low = max(low, float(converter(argument.unit, argument.quantity).from_si(0.0)))
    return low, high


def result_unit(function: Function, text: Any) -> str:
    if is_blank(text):
        return function.result.unit
    refuse_error(text)
    if not isinstance(text, str):
        raise Unusable(f"write the result's unit as text, e.g. '{function.result.unit}'")
    try:
        converter(text.strip(), function.result.quantity)
    except UnitError as why:
        some = ", ".join(units_for(function.result.quantity)[:6])
        raise Unusable(f"{why}; use e.g. {some}") from None
    return text.strip()
