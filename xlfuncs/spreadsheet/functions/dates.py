"""Dates, which cells hold as the number of days since the end of 1899 (ECMA-376 part 1, 18.17.4.1)."""

from __future__ import annotations

import calendar
import re
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from xlfuncs.spreadsheet.cell_values import NUM, CellError, NotUnderstood, each, number
from xlfuncs.spreadsheet.functions.common import Arguments, Lazy, count, value_of
from xlfuncs.spreadsheet.tree import At, plain

_ZERO = date(1899, 12, 30)
_FIRST_RIGHT = 61
"""1 March 1900: before it the numbers count a 29 February that did not exist."""
_LAST = 2958465
"""31 December 9999."""


def day_of(serial: float) -> date:
    """The day of a number; ValueError where it has none."""
    days = int(serial // 1)
    if not 1 <= days <= _LAST or days == _FIRST_RIGHT - 1:
        raise ValueError
    return _ZERO + timedelta(days=days + (days < _FIRST_RIGHT))


def serial_of(day: date) -> float:
    """The number of a day; ValueError before 1900."""
    days = (day - _ZERO).days
    days -= days < _FIRST_RIGHT
    if days < 1:
        raise ValueError
    return float(days)


def _date(year: float, month: float, day: float) -> float:
    years = int(year) + (1900 if int(year) < 1900 else 0)
    months = years * 12 + int(month) - 1
    if not 1900 * 12 - 1200 <= months < 10000 * 12:
        raise ValueError
    first = date(max(months // 12, 1), months % 12 + 1, 1)
    return serial_of(first + timedelta(days=int(day) - 1))


def _moved(day: date, months: int) -> tuple[int, int]:
    total = day.year * 12 + day.month - 1 + months
    return total // 12, total % 12 + 1


def _months_on(serial: float, months: float) -> float:
    day = day_of(serial)
    year, month = _moved(day, int(months))
    return serial_of(date(year, month, min(day.day, calendar.monthrange(year, month)[1])))


def _month_end(serial: float, months: float) -> float:
    year, month = _moved(day_of(serial), int(months))
    return serial_of(date(year, month, calendar.monthrange(year, month)[1]))


def _weekday(serial: float, kind: float = 1.0) -> float:
    weekday = day_of(serial).weekday()  # Monday 0
    match int(kind):
        case 1:
            return float((weekday + 1) % 7 + 1)
        case 2:
            return float(weekday + 1)
        case 3:
            return float(weekday)
    raise ValueError


def _week(serial: float, kind: float = 1.0) -> float:
    """Number of the week, of which the first is that of 1 January."""
    if int(kind) == 21:
        return float(day_of(serial).isocalendar().week)
    if int(kind) not in (1, 2):
        raise ValueError
    day = day_of(serial)
    first = day.replace(month=1, day=1)
    before = (first.weekday() + (int(kind) == 1)) % 7  # days of its week in the year before
    return float(((day - first).days + before) // 7 + 1)


def _difference(start: Any, end: Any, unit: Any) -> Any:
    first, last = number(start), number(end)
    if isinstance(first, CellError) or isinstance(last, CellError):
        return first if isinstance(first, CellError) else last
    if first > last:
        return NUM
    try:
        a, b = day_of(first), day_of(last)
    except ValueError:
        return NUM
    months = (b.year - a.year) * 12 + b.month - a.month - (b.day < a.day)
    match str(unit).upper():
        case "D":
            return float((b - a).days)
        case "M":
            return float(months)
        case "Y":
            return float(months // 12)
        case "YM":
            return float(months % 12)
    return NUM


def _seconds(serial: float) -> int:
    return round((serial % 1) * 86400) % 86400


def _time(hours: float, minutes: float, seconds: float) -> float:
    total = int(hours) * 3600 + int(minutes) * 60 + int(seconds)
    if total < 0:
        raise ValueError
    return total % 86400 / 86400


def _cellwise(function: Callable[..., float], first: int) -> Callable[..., Any]:
    """A function whose first arguments are dates, written as numbers."""

    def cellwise(*values: Any) -> Any:
        given = []
        for position, value in enumerate(values):
            found = number(value)
            written = isinstance(value, str) and not isinstance(value, CellError)
            if position < first and written and isinstance(found, CellError):
                raise NotUnderstood("a date written as a text")
            if isinstance(found, CellError):
                return found
            given.append(found)
        try:
            return float(function(*given))
        except (ValueError, OverflowError):
            return NUM

    return cellwise


def _read_day(written: Any) -> Any:
    """A day as ISO 8601 writes it; another order of day and month depends on the country."""
    if isinstance(written, CellError):
        return written
    try:
        return serial_of(date.fromisoformat(str(written).strip()))
    except ValueError:
        raise NotUnderstood("a date written as a text") from None


def _read_time(written: Any) -> Any:
    """A time of day, as 13:45 or 13:45:30."""
    if isinstance(written, CellError):
        return written
    found = re.fullmatch(r"\s*(\d{1,2}):(\d{2})(?::(\d{2}))?\s*", str(written))
    if not found:
        raise NotUnderstood("a time written as a text")
    return _time(*(float(part or 0) for part in found.groups()))


_ALL: dict[str, tuple[int, int, Callable[..., Any]]] = {
    "DATE": (3, 3, _cellwise(_date, 0)),
    "YEAR": (1, 1, _cellwise(lambda serial: day_of(serial).year, 1)),
    "MONTH": (1, 1, _cellwise(lambda serial: day_of(serial).month, 1)),
    "DAY": (1, 1, _cellwise(lambda serial: day_of(serial).day, 1)),
    "EDATE": (2, 2, _cellwise(_months_on, 1)),
    "EOMONTH": (2, 2, _cellwise(_month_end, 1)),
    "WEEKDAY": (1, 2, _cellwise(_weekday, 1)),
    "WEEKNUM": (1, 2, _cellwise(_week, 1)),
    "ISOWEEKNUM": (1, 1, _cellwise(lambda serial: _week(serial, 21.0), 1)),
    "DAYS": (2, 2, _cellwise(lambda last, first: last - first, 2)),
    "DATEDIF": (3, 3, _difference),
    "DATEVALUE": (1, 1, _read_day),
    "TIMEVALUE": (1, 1, _read_time),
    "TIME": (3, 3, _cellwise(_time, 0)),
    "HOUR": (1, 1, _cellwise(lambda serial: _seconds(serial) // 3600, 1)),
    "MINUTE": (1, 1, _cellwise(lambda serial: _seconds(serial) // 60 % 60, 1)),
    "SECOND": (1, 1, _cellwise(lambda serial: _seconds(serial) % 60, 1)),
}


def _counted_from_1900(name: str) -> Lazy:
    fewest, most, cellwise = _ALL[name]

    def lazy(arguments: Arguments, at: At) -> Any:
        count(name, arguments, fewest, most)
        if at.cells.from_1904:
            raise NotUnderstood(f"{name} in a workbook that counts its days from 1904")
        return each(cellwise, *(plain(value_of(a, at), at) for a in arguments))

    return lazy


LAZY = {name: _counted_from_1900(name) for name in _ALL}
