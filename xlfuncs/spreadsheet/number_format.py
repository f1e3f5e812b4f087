"""A number in a number format, as the function TEXT shows it (ECMA-376 part 1, 18.8.31).

Understood are digits, thousands, percent, exponents, texts, sections by sign, dates and times. What is not,
such as fractions and conditions, is named and not guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal, localcontext
from functools import lru_cache
from typing import Any

from xlfuncs.spreadsheet.cell_values import VALUE, CellError, NotUnderstood, number, text

_TOKEN = re.compile(
    r'"[^"]*"|\\.|_.|\*.|\[[^\]]*\]|AM/PM|A/P|General|[Ee][+-]|y+|m+|d+|h+|s+|[0#?]|.',
    re.IGNORECASE | re.DOTALL,
)
_DIGITS = "0#?"
_COLOUR = re.compile(r"\[(?:black|blue|cyan|green|magenta|red|white|yellow|colou?r ?\d+)\]\Z", re.IGNORECASE)
_CURRENCY = re.compile(r"\[\$([^\]-]*)(?:-[^\]]*)?\]\Z")
_EXPONENT = re.compile(r"[Ee][+-]\Z")
_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July", "August", "September"),
    *("October", "November", "December"),
)
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def formatted(value: Any, form: str) -> Any:
    """A value of a cell in a number format; NotUnderstood for a format that is not known here."""
    if isinstance(value, CellError):
        return value
    if isinstance(value, bool):
        return text(value)
    found = number(value)
    sections = _sections(form)
    if isinstance(found, CellError):
        whole = text(value)
        last = sections[3] if len(sections) > 3 else sections[0] if "@" in sections[0] else None
        return whole if last is None else "".join(_with_text(last, whole))
    if not form:
        return ""
    numeric = sections[:3]
    if len(numeric) == 3 and not found:
        section, shown = numeric[2], 0.0
    elif len(numeric) > 1 and found < 0:
        section, shown = numeric[1], -found
    else:
        section, shown = numeric[0], found
    if "@" in section:
        return "".join(_with_text(section, text(found)))
    if _is_date(section):
        return _date(section, found)
    return _number(section, shown)


@lru_cache(maxsize=512)
def _sections(form: str) -> list[tuple[str, ...]]:
    """The parts between semicolons, as tokens."""
    found: list[list[str]] = [[]]
    for token in _TOKEN.findall(form):
        if token == ";":
            found.append([])
        else:
            found[-1].append(token)
    return [tuple(section) for section in found]


def _literal(token: str) -> str | None:
    """The text that a token stands for; None where it stands for a part of the number."""
    if token[0] == '"' and len(token) > 1:
        return token[1:-1]
    if token[0] == "\\" and len(token) > 1:
        return token[1]
    if token[0] == "_" and len(token) > 1:
        return " "
    if token[0] == "*" and len(token) > 1:
        return ""
    if token[0] == "[":
        currency = _CURRENCY.match(token)
        if currency:
            return currency[1]
        if _COLOUR.match(token):
            return ""
        raise NotUnderstood(f"the number format {token}")
    return None


def _with_text(section: tuple[str, ...], whole: str) -> Iterator[str]:
    for token in section:
        literal = _literal(token)
        yield whole if token == "@" else token if literal is None else literal


def _is_date(section: tuple[str, ...]) -> bool:
    return any(token[0].lower() in "ymdhs" and token.lower() != "general" for token in section)


# --- numbers ----------------------------------------------------------------------------------------------


def _number(section: tuple[str, ...], value: float) -> str:
    tokens = [(token, _literal(token)) for token in section]
    codes = [token if literal is None else "" for token, literal in tokens]
    if any(code.lower() == "general" for code in codes):
        shown = [text(abs(value)) if code.lower() == "general" else None for code in codes]
        parts = [p if p is not None else _written(*token) for p, token in zip(shown, tokens, strict=True)]
        return "-" * (value < 0) + "".join(parts)
    places = [at for at, code in enumerate(codes) if code and code in (*_DIGITS, ".")]
    if not places:
        return "-" * (value < 0) + "".join(_written(*token) for token in tokens)
    first, last = places[0], places[-1]
    while last + 1 < len(codes) and codes[last + 1] == ",":
        last += 1
    inside = codes[first : last + 1]
    exponents = [code for code in inside if _EXPONENT.match(code)]
    if len(exponents) > 1 or set(inside) - {*_DIGITS, ".", ",", *exponents}:
        raise NotUnderstood(f"the number format {''.join(section)}")
    scaled = Decimal(f"{abs(value):.15g}") * (100 ** codes.count("%"))
    number_ = _scientific(inside, scaled) if exponents else _fixed(inside, scaled)
    negative = value < 0 and any(digit in "123456789" for digit in number_)
    before = "".join(_written(*token) for token in tokens[:first])
    return "-" * negative + before + number_ + "".join(_written(*token) for token in tokens[last + 1 :])


def _written(token: str, literal: str | None) -> str:
    """What stands for a token beside the digits."""
    if literal is None and token == "/":
        raise NotUnderstood("a number format with a fraction")
    return token if literal is None else literal


def _rounded(value: Decimal, digits: int) -> Decimal:
    with localcontext() as context:
        context.prec = 400
        return value.quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP)


def _fixed(tokens: list[str], value: Decimal) -> str:
    whole, _, rest = "".join(tokens).partition(".")
    if "." in rest or "," in rest.rstrip(",") or "?" in whole + rest:
        raise NotUnderstood(f"the number format {''.join(tokens)}")
    tail = rest if "." in tokens else whole
    scale = len(tail) - len(tail.rstrip(","))
    whole, rest = whole.rstrip(",") if "." not in tokens else whole, rest.rstrip(",")
    grouped = "," in whole
    digits = _rounded(value / (Decimal(1000) ** scale), len(rest))
    left, _, right = f"{digits:f}".partition(".")
    least = whole.count("0")
    left = left.lstrip("0").rjust(least, "0")
    if grouped:
        left = _grouped(left)
    needed = rest.rfind("0") + 1
    right = right[:needed] + right[needed:].rstrip("0")
    return left + ("." if "." in tokens else "") + right


def _grouped(digits: str) -> str:
    parts = []
    while len(digits) > 3:
        parts.append(digits[-3:])
        digits = digits[:-3]
    return ",".join([digits, *reversed(parts)])


def _scientific(tokens: list[str], value: Decimal) -> str:
    at = next(n for n, token in enumerate(tokens) if _EXPONENT.match(token))
    mantissa, powers = tokens[:at], tokens[at + 1 :]
    whole, _, rest = "".join(mantissa).partition(".")
    if len(whole) != 1 or set(powers) - {"0", "#"} or "," in rest or "?" in rest:
        raise NotUnderstood(f"the number format {''.join(tokens)}")
    exponent = value.adjusted() if value else 0
    digits = _rounded(value.scaleb(-exponent), len(rest)) if value else Decimal(0)
    if digits >= 10:
        exponent, digits = exponent + 1, digits / 10
    shown = _fixed(mantissa, digits)
    sign = "-" if exponent < 0 else "+" if tokens[at][1] == "+" else ""
    return f"{shown}{tokens[at][0]}{sign}{str(abs(exponent)).rjust(powers.count('0'), '0')}"


# --- dates ------------------------------------------------------------------------------------------------


def _date(section: tuple[str, ...], value: float) -> Any:
    from xlfuncs.spreadsheet.functions.dates import day_of

    if value < 0:
        return VALUE
    parts = [(token, _literal(token)) for token in section]
    seconds = round((value % 1) * 86400)
    whole, seconds = value // 1 + seconds // 86400, seconds % 86400
    kinds = [token[0].lower() if literal is None else "" for token, literal in parts]
    try:
        day = day_of(whole) if whole >= 1 else None
    except ValueError:
        return VALUE
    if day is None and any(kind in ("y", "d") for kind in kinds):
        return VALUE
    noon = any(token.upper() in ("AM/PM", "A/P") for token, literal in parts if literal is None)
    hours = seconds // 3600
    shown = []
    for at, (token, literal) in enumerate(parts):
        if literal is not None:
            shown.append(literal)
            continue
        kind, width = token[0].lower(), len(token)
        if token.upper() in ("AM/PM", "A/P"):
            shown.append((("AM", "PM") if len(token) > 3 else ("A", "P"))[hours >= 12])
        elif kind == "m" and (_last(kinds[:at]) == "h" or _next(kinds[at + 1 :]) == "s"):
            shown.append(f"{seconds // 60 % 60:0{min(width, 2)}d}")
        elif kind == "h":
            shown.append(f"{(hours % 12 or 12) if noon else hours:0{min(width, 2)}d}")
        elif kind == "s":
            shown.append(f"{seconds % 60:0{min(width, 2)}d}")
        elif kind in ("y", "m", "d"):
            if day is None:
                return VALUE
            shown.append(_day_part(kind, width, day))
        elif kind in "0#?.":
            raise NotUnderstood(f"the number format {''.join(section)}")
        else:
            shown.append(token)
    return "".join(shown)


def _last(kinds: list[str]) -> str:
    return next((kind for kind in reversed(kinds) if kind and kind in "ymdhs"), "")


def _next(kinds: list[str]) -> str:
    return next((kind for kind in kinds if kind and kind in "ymdhs"), "")


def _day_part(kind: str, width: int, day: Any) -> str:
    if kind == "y":
        return f"{day.year % 100:02d}" if width <= 2 else f"{day.year:04d}"
    if kind == "d":
        name = _DAYS[day.weekday()]
        return f"{day.day:0{width}d}" if width <= 2 else name[:3] if width == 3 else name
    month = _MONTHS[day.month - 1]
    if width > 4:
        return month[:1]
    return f"{day.month:0{width}d}" if width <= 2 else month[:3] if width == 3 else month
