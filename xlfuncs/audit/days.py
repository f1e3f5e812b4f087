"""Days as people write them into a cell."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta
from typing import Any, Final

from xlfuncs.errors import XlfuncsError

_EPOCH: Final = date(1899, 12, 30)
"""Day 0 of a spreadsheet's dates from 1900."""
_LAST: Final = 2_958_466
"""The number after 9999-12-31: no day in a spreadsheet."""
_WRITTEN: Final = re.compile(r"(\d{1,2})([./-])\s?(\d{1,2})\2\s?(\d{4})")


def day_of(value: Any, place: str) -> date:
    """The day in a cell; XlfuncsError with the place for none, or for one that could be two.

    >>> day_of("2027-03-01", ""), day_of("31.12.2027", ""), day_of("12/31/2027", "")
    (datetime.date(2027, 3, 1), datetime.date(2027, 12, 31), datetime.date(2027, 12, 31))
    """
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    if isinstance(value, int | float) and not isinstance(value, bool) and 1 <= value < _LAST:
        return _EPOCH + timedelta(days=int(value))
    text = " ".join(str(value).split())
    days = _days(text)
    if len(days) == 1:
        return days.pop()
    raise XlfuncsError(f"{place}: '{text}' is no date that can be read in one way only; write 2027-03-01")


def _days(text: str) -> set[date]:
    """Each day that the text can mean: with points the day stands first, else either may."""
    try:
        return {date.fromisoformat(text[:10])}
    except ValueError:
        found = _WRITTEN.fullmatch(text)
    if found is None:
        return set()
    first, mark, second, year = found.groups()
    orders = [(first, second)] if mark == "." else [(first, second), (second, first)]
    return {day for one, month in orders if (day := _valid(int(year), int(month), int(one))) is not None}


def _valid(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
