"""Numbers as typed in cells: decimal points and commas, grouped digits, fractions."""

from __future__ import annotations

import re
from typing import Final


class Unreadable(Exception):
    """Not a number; the text says why, or is empty."""


class TwoReadings(Exception):
    """Could be two numbers; the text names both and what to write."""


_PLAIN: Final = re.compile(
    r"(?P<digits>\d{1,3}(?:[ ']\d{3})+(?!\d)(?:[.,]\d+)?|\d+(?:[.,]\d+)*|[.,]\d+)(?:\.(?![.\d]))?"
    r"(?P<power>[eE][+-]?\d+)?"
)
_FRACTION: Final = re.compile(
    r"(?:(?P<whole>\d+)(?:\s+|\s?-\s?(?=\d+⁄)|-))?(?P<top>\d+)\s?(?P<bar>[/⁄])\s?(?P<bottom>\d+)(?![\d.,])"
)
_POINT_FRACTION: Final = re.compile(r"(\d+)\.(\d+)/(\d+)(?![\d.,])")
"""1.1/2 is one and a half to some, and 1.1 to 2 to others."""
_SIGN: Final = re.compile(r"\s*(?:([+-])\s?(?=[\d.,]))?")
_BINARY: Final = (2, 4, 8, 16, 32, 64)
"""Denominators of fractions of an inch."""


def read_number(text: str, at: int, *, length: bool, inches: bool | None) -> tuple[float, int]:
    """The number that starts at `at` in a tidied text, and where it ends.

    `inches` says whether the unit is the inch (None: no unit is stated); it decides whether 3/4 is a
    fraction. Raises `Unreadable` or `TwoReadings`.
    """
    sign = _SIGN.match(text, at)
    factor = -1.0 if sign and sign[1] == "-" else 1.0
    start = sign.end() if sign else at
    fraction = _FRACTION.match(text, start)
    if fraction is not None:
        value = _fraction(fraction, length, inches)
        if value is not None:
            return factor * value, fraction.end()
    dotted = _POINT_FRACTION.match(text, start)
    if dotted is not None and length and inches is not False:
        whole, top, bottom = map(int, dotted.groups())
        if bottom in _BINARY and top % 2 and top < bottom:
            mixed = f"{whole} {top}/{bottom}"
            raise TwoReadings(
                f"could be a fraction or two numbers: write '{mixed} in' or '{whole}.{top} to {bottom}'"
            )
    plain = _PLAIN.match(text, start)
    if plain is None:
        raise Unreadable("")
    value = float(_decimal(plain["digits"]) + (plain["power"] or ""))
    if value == float("inf"):
        raise Unreadable("too large")
    return factor * value, plain.end()


def _decimal(digits: str) -> str:
    """Digits with points and commas as Python writes the number."""
    plain = digits.replace(" ", "").replace("'", "")
    commas, points = plain.count(","), plain.count(".")
    if commas and points:  # the last mark divides, the other one groups
        last = max(plain.rfind(","), plain.rfind("."))
        other = "," if plain[last] == "." else "."
        if plain.count(plain[last]) > 1 or not re.fullmatch(rf"\d{{1,3}}(\{other}\d{{3}})+", plain[:last]):
            raise Unreadable("points and commas are mixed up")
        return plain[:last].replace(other, "") + "." + plain[last + 1 :]
    if commas > 1 or points > 1:
        mark = "," if commas else "."
        if plain != digits or not re.fullmatch(rf"[1-9]\d{{0,2}}(\{mark}\d{{3}})+", plain):
            raise Unreadable("points and commas are mixed up")
        return plain.replace(mark, "")
    if plain == digits and re.fullmatch(r"[1-9]\d{0,2},\d{3}", plain):
        decimal, thousands = plain.replace(",", "."), plain.replace(",", "")
        raise TwoReadings(f"could be {decimal} or {thousands}: write {float(decimal):g} or {thousands}")
    if re.fullmatch(r"\d{3} \d{3}", digits):
        raise TwoReadings(f"could be one number or two: write {plain} or '{digits.replace(' ', ' to ')}'")
    return plain.replace(",", ".")


def _fraction(found: re.Match[str], length: bool, inches: bool | None) -> float | None:
    """Value of 'a/b' or 'n a/b' where it is a fraction, None where it is two numbers."""
    whole, top, bottom = int(found["whole"] or 0), int(found["top"]), int(found["bottom"])
    if found["bar"] == "⁄":  # typed as one character: no range is typed so
        if bottom == 0:
            raise Unreadable("divided by zero")
        value = whole + top / bottom
        if length and inches is None:
            raise TwoReadings(f"could be inches: write '{value:g} in', or {value:g} if it is not")
        return value
    if bottom not in _BINARY:
        return None
    reduced, proper = top % 2 == 1, top < bottom
    if inches and reduced and (proper or not found["whole"]):
        return whole + top / bottom
    doubtful = (
        inches
        or (length and inches is None and reduced)
        or (reduced and proper and bottom <= 8)  # 1/2 bar, 3/4 kg
    )
    if doubtful:
        written = [f"{whole + top / bottom:g}"]
        written += [f"'{found[0]} in'"] if length and not inches else []
        written += [] if found["whole"] else [f"'{top} to {bottom}'"]
        raise TwoReadings(f"could be a fraction or two numbers: write {' or '.join(written)}")
    return None
