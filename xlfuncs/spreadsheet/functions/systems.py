"""Numbers written to another base, as addresses of a bus and of registers are; at most ten digits of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from xlfuncs.spreadsheet.cell_values import NUM, CellError, number, text
from xlfuncs.spreadsheet.functions.common import Cellwise

_DIGITS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_MOST = 10
"""Digits of a number; with all of them the first half is positive, the rest counts below zero."""


def _written(value: int, base: int) -> str:
    digits = _DIGITS[value % base]
    while value := value // base:
        digits = _DIGITS[value % base] + digits
    return digits


def _to(base: int) -> Callable[..., str]:
    half = base**_MOST // 2

    def to(value: float, places: float = 0.0) -> str:
        whole = int(value)
        if not -half <= whole < half:
            raise ValueError
        if whole < 0:
            return _written(base**_MOST + whole, base)
        return _padded(_written(whole, base), places)

    return to


def _padded(digits: str, places: float) -> str:
    if places and not len(digits) <= int(places) <= _MOST:
        raise ValueError
    return digits.rjust(int(places), "0")


def _from(base: int) -> Callable[[str], float]:
    def read(digits: str) -> float:
        value = _read(digits, base)
        if len(digits) > _MOST:
            raise ValueError
        return float(value - base**_MOST if value >= base**_MOST // 2 else value)

    return read


def _read(digits: str, base: int) -> int:
    allowed = _DIGITS[:base]
    if not all(digit in allowed for digit in digits.upper()):  # int() takes signs and underscores as well
        raise ValueError
    return int(digits, base) if digits else 0


def _any_base(value: float, base: float, length: float = 0.0) -> str:
    if not 0 <= value < 2**53 or not 2 <= int(base) <= 36 or not 0 <= length <= 255:
        raise ValueError
    return _written(int(value), int(base)).rjust(int(length), "0")


def _of_number(function: Callable[..., str]) -> Cellwise:
    def cellwise(*values: Any) -> Any:
        given = [number(value) for value in values]
        for found in given:
            if isinstance(found, CellError):
                return found
        try:
            return function(*given)
        except (ValueError, OverflowError):
            return NUM

    return cellwise


def _of_digits(function: Callable[..., Any]) -> Cellwise:
    def cellwise(digits: Any, *values: Any) -> Any:
        for value in (digits, *values):
            if isinstance(value, CellError):
                return value
        try:
            return function(text(digits), *map(number, values))
        except (ValueError, TypeError):
            return NUM

    return cellwise


def _between(source: int, target: int) -> Cellwise:
    read, write = _from(source), _to(target)
    return _of_digits(lambda digits, places=0.0: write(read(digits), places))


_BASES = {"BIN": 2, "OCT": 8, "HEX": 16}
CELLWISE: dict[str, tuple[int, int, Cellwise]] = {
    "BASE": (2, 3, _of_number(_any_base)),
    "DECIMAL": (2, 2, _of_digits(lambda digits, base: float(_read(digits, int(base))))),
}
for _name, _base in _BASES.items():
    CELLWISE[f"DEC2{_name}"] = (1, 2, _of_number(_to(_base)))
    CELLWISE[f"{_name}2DEC"] = (1, 1, _of_digits(_from(_base)))
    for _other, _target in _BASES.items():
        if _other != _name:
            CELLWISE[f"{_name}2{_other}"] = (1, 2, _between(_base, _target))
