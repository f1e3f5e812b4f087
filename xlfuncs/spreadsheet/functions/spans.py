"""Spans between days: shares of a year by the conventions of ISDA and SIA (as spreadsheets number them), and
days of work with holidays and weekends of one's own.
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Collection
from datetime import date, datetime, timedelta
from typing import Any

from xlfuncs.spreadsheet.cell_values import NUM, VALUE, CellError, NotUnderstood, number
from xlfuncs.spreadsheet.functions.common import Arguments, ErrorMet, Whole, count, numbers, real, value_of
from xlfuncs.spreadsheet.functions.dates import day_of, serial_of
from xlfuncs.spreadsheet.tree import At, plain

_WEEKENDS = {
    **{1 + n: frozenset({(5 + n) % 7, (6 + n) % 7}) for n in range(7)},
    **{11 + n: frozenset({(6 + n) % 7}) for n in range(7)},
}
"""Number of a weekend -> its days, Monday 0."""


def _day(value: Any, at: At) -> date:
    found = number(plain(value, at))
    if isinstance(found, CellError):
        if isinstance(value, str) and not isinstance(value, CellError):
            raise NotUnderstood("a date written as a text")
        raise ErrorMet(found)
    try:
        return day_of(found)
    except ValueError:
        raise ErrorMet(NUM) from None


def _end_of_february(day: date) -> bool:
    return day.month == 2 and day.day == calendar.monthrange(day.year, 2)[1]


def _thirties(one: date, other: date, european: bool, februaries: bool) -> int:
    """Days between two dates where each month has thirty."""
    first, last = one.day, other.day
    if european:
        first, last = min(first, 30), min(last, 30)
    else:
        if februaries and _end_of_february(one) and _end_of_february(other):
            last = 30
        if first == 31 or _end_of_february(one):
            first = 30
        if last == 31 and first == 30:
            last = 30
    return 360 * (other.year - one.year) + 30 * (other.month - one.month) + last - first


def _year_between(one: date, other: date) -> float:
    """The length of the year that two dates span, by actual days."""
    if one.year == other.year:
        return 365.0 + calendar.isleap(one.year)
    if other.year == one.year + 1 and (one.month, one.day) >= (other.month, other.day):
        leap = (calendar.isleap(one.year) and one < date(one.year, 3, 1)) or (
            calendar.isleap(other.year) and other >= date(other.year, 2, 29)
        )
        return 365.0 + leap
    years = range(one.year, other.year + 1)
    return sum(365 + calendar.isleap(year) for year in years) / len(years)


def _share_of_year(at: At, start: Any, end: Any, basis: Any = None) -> Any:
    one, other = sorted((_day(start, at), _day(end, at)))
    match int(real(basis, at)):
        case 0:
            return _thirties(one, other, False, True) / 360
        case 1:
            return (other - one).days / _year_between(one, other)
        case 2:
            return (other - one).days / 360
        case 3:
            return (other - one).days / 365
        case 4:
            return _thirties(one, other, True, False) / 360
    return NUM


def _days_360(at: At, start: Any, end: Any, european: Any = None) -> Any:
    one, other = _day(start, at), _day(end, at)
    return float(_thirties(one, other, bool(real(european, at)), False))


# --- days of work ---------------------------------------------------------------------------------------


def _free(at: At, weekend: Any) -> Collection[int]:
    """The days of the week on which nobody works, Monday 0."""
    found = plain(weekend, at)
    if isinstance(found, str) and not isinstance(found, CellError):
        if not re.fullmatch("[01]{7}", found):
            raise ErrorMet(VALUE)
        return frozenset(n for n, mark in enumerate(found) if mark == "1")
    which = int(real(found, at, 1.0))
    if which not in _WEEKENDS:
        raise ErrorMet(NUM)
    return _WEEKENDS[which]


def _holidays(at: At, given: Any) -> frozenset[date]:
    if given is None:
        return frozenset()
    try:
        return frozenset(day_of(value) for value in numbers(at, (given,)) if value >= 1)
    except ValueError:
        raise ErrorMet(NUM) from None


def _counted(one: date, other: date, free: Collection[int], holidays: frozenset[date]) -> float:
    sign = 1 if one <= other else -1
    first, last = sorted((one, other))
    weeks, rest = divmod((last - first).days + 1, 7)
    days = weeks * (7 - len(free)) + sum((first.weekday() + n) % 7 not in free for n in range(rest))
    return float(sign * (days - sum(first <= h <= last and h.weekday() not in free for h in holidays)))


def _moved(at: At, start: date, days: int, free: Collection[int], holidays: frozenset[date]) -> float:
    if len(free) == 7:
        raise ErrorMet(VALUE)
    day, step = start, timedelta(days=1 if days > 0 else -1)
    try:
        for _ in range(abs(days)):
            day += step
            while day.weekday() in free or day in holidays:
                day += step
        return serial_of(day)
    except (OverflowError, ValueError):
        raise ErrorMet(NUM) from None


def _network(at: At, start: Any, end: Any, holidays: Any = None) -> Any:
    return _counted(_day(start, at), _day(end, at), _WEEKENDS[1], _holidays(at, holidays))


def _network_of(at: At, start: Any, end: Any, weekend: Any = None, holidays: Any = None) -> Any:
    return _counted(_day(start, at), _day(end, at), _free(at, weekend), _holidays(at, holidays))


def _workday(at: At, start: Any, days: Any, holidays: Any = None) -> Any:
    return _moved(at, _day(start, at), int(real(days, at)), _WEEKENDS[1], _holidays(at, holidays))


def _workday_of(at: At, start: Any, days: Any, weekend: Any = None, holidays: Any = None) -> Any:
    free = _free(at, weekend)
    return _moved(at, _day(start, at), int(real(days, at)), free, _holidays(at, holidays))


def _now(at: At) -> float:
    now = datetime.now()
    return serial_of(now.date()) + (now - datetime(now.year, now.month, now.day)) / timedelta(days=1)


_ALL: dict[str, tuple[int, int, Whole]] = {
    "YEARFRAC": (2, 3, _share_of_year),
    "DAYS360": (2, 3, _days_360),
    "NETWORKDAYS": (2, 3, _network),
    "NETWORKDAYS.INTL": (2, 4, _network_of),
    "WORKDAY": (2, 3, _workday),
    "WORKDAY.INTL": (2, 4, _workday_of),
    "TODAY": (0, 0, lambda at: serial_of(date.today())),
    "NOW": (0, 0, _now),
}


def _counted_from_1900(name: str) -> Any:
    fewest, most, whole = _ALL[name]

    def lazy(arguments: Arguments, at: At) -> Any:
        count(name, arguments, fewest, most)
        if at.cells.from_1904:
            raise NotUnderstood(f"{name} in a workbook that counts its days from 1904")
        return whole(at, *(value_of(a, at) for a in arguments))

    return lazy


LAZY = {name: _counted_from_1900(name) for name in _ALL}
