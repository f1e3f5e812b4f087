"""Texts."""

from __future__ import annotations

import re
from typing import Any

from xlfuncs.spreadsheet.cell_values import VALUE, CellError, number, text
from xlfuncs.spreadsheet.functions.common import (
    MANY,
    Arguments,
    cells,
    count,
    length,
    textual,
    truth,
    value_of,
    wildcards,
)
from xlfuncs.spreadsheet.number_format import formatted
from xlfuncs.spreadsheet.tree import At, content, plain

_LONGEST = 32767
"""Characters that a cell holds."""


def _mid(whole: str, start: Any, many: Any) -> str:
    first = length(start)
    if first < 1:
        raise ValueError
    return whole[first - 1 : first - 1 + length(many)]


def _right(whole: str, many: Any = 1.0) -> str:
    taken = length(many)
    return whole[-taken:] if taken else ""


def _replaced(whole: str, start: Any, many: Any, new: Any) -> str:
    first = length(start)
    if first < 1:
        raise ValueError
    return whole[: first - 1] + text(new) + whole[first - 1 + length(many) :]


def _substituted(whole: str, old: Any, new: Any, which: Any = None) -> str:
    wanted = text(old)
    if not wanted:
        return whole
    if which is None:
        return whole.replace(wanted, text(new))
    parts, at = whole.split(wanted), length(which)
    if at < 1:
        raise ValueError
    if at >= len(parts):
        return whole
    return wanted.join(parts[:at]) + text(new) + wanted.join(parts[at:])


def _found(wanted: str, whole: Any, start: Any = 1.0) -> Any:
    first = length(start)
    inside = text(whole)
    if not 1 <= first <= len(inside) + 1:
        raise ValueError
    return float(inside.index(wanted, first - 1) + 1)


def _searched(wanted: str, whole: Any, start: Any = 1.0) -> Any:
    pattern = wildcards(wanted, whole=False)
    if pattern is None:
        return _found(wanted.casefold(), text(whole).casefold(), start)
    first, inside = length(start), text(whole)
    if not 1 <= first <= len(inside) + 1:
        raise ValueError
    match = pattern.search(inside, first - 1)
    if match is None:
        raise ValueError
    return float(match.start() + 1)


def _proper(whole: str) -> str:
    return re.sub(r"[^\W\d_]+", lambda word: word[0][:1].upper() + word[0][1:].lower(), whole)


def _repeated(whole: str, many: Any) -> str:
    times = length(many)
    if len(whole) * times > _LONGEST:
        raise ValueError
    return whole * times


def _character(value: Any) -> Any:
    found = number(value)
    if isinstance(found, CellError):
        return found
    try:
        return bytes([int(found)]).decode("cp1252") if int(found) else VALUE
    except (ValueError, UnicodeDecodeError):
        return VALUE


def _code(whole: str) -> float:
    return float(whole[0].encode("cp1252", "replace")[0])


def _unicode_character(value: Any) -> Any:
    found = number(value)
    if isinstance(found, CellError):
        return found
    try:
        return chr(int(found)) if found >= 1 else VALUE
    except (ValueError, OverflowError):
        return VALUE


_GROUPED = re.compile(r"\s*[+-]?\d{1,3}(,\d{3})+(\.\d*)?\s*%?\s*\Z")


def _to_number(value: Any) -> Any:
    if value is None or isinstance(value, bool):
        return VALUE
    if isinstance(value, str) and not isinstance(value, CellError) and _GROUPED.match(value):
        value = value.replace(",", "")
    return number(value)


def _number_value(whole: str, point: Any = ".", comma: Any = ",") -> Any:
    decimal, group = text(point)[:1], text(comma)[:1]
    return number(re.sub(r"\s", "", whole).replace(group, "").replace(decimal, ".") or "0")


def _fixed(value: Any, digits: Any = 2.0, without_commas: Any = False) -> Any:
    found, many = number(value), number(digits)
    for one in (found, many):
        if isinstance(one, CellError):
            return one
    places = max(int(many), 0)
    rounded = round(float(found), int(many))
    return f"{rounded:.{places}f}" if truth(without_commas) else f"{rounded:,.{places}f}"


def _exact(left: Any, right: Any) -> Any:
    return next((v for v in (left, right) if isinstance(v, CellError)), text(left) == text(right))


def _shown(value: Any, form: Any) -> Any:
    for one in (value, form):
        if isinstance(one, CellError):
            return one
    return formatted(value, text(form))


def _part(after: bool) -> Any:
    def part(whole: str, mark: Any, which: Any = 1.0) -> Any:
        wanted, found = text(mark), number(which)
        if isinstance(found, CellError) or not int(found) or not wanted:
            raise ValueError
        places = [m.start() for m in re.finditer(re.escape(wanted), whole)]
        at = int(found) - 1 if found > 0 else int(found)
        if not -len(places) <= at < len(places):
            return CellError("#N/A")
        return whole[places[at] + len(wanted) :] if after else whole[: places[at]]

    return part


def _joined(at: At, *values: Any) -> Any:
    parts = []
    for value in values:
        for cell, _ in cells(value, at):
            if isinstance(cell, CellError):
                return cell
            parts.append(text(cell))
    return "".join(parts)


def _joined_by(at: At, mark: Any, without_blanks: Any, *values: Any) -> Any:
    marks = [text(cell) for cell, _ in cells(mark, at)] or [""]
    skip = truth(plain(without_blanks, at))
    parts: list[str] = []
    for value in values:
        for cell, _ in cells(value, at):
            if isinstance(cell, CellError):
                return cell
            if not skip or text(cell):
                parts.append(text(cell))
    out = "".join(part + marks[n % len(marks)] for n, part in enumerate(parts[:-1])) + "".join(parts[-1:])
    return out if len(out) <= _LONGEST else VALUE


def _link(arguments: Arguments, at: At) -> Any:
    count("HYPERLINK", arguments, 1, 2)
    return content(value_of(arguments[-1], at), at)


def _cleaned(whole: str) -> str:
    return re.sub(r"[\x00-\x1f]", "", whole)


LAZY = {"HYPERLINK": _link}
CELLWISE = {
    "EXACT": (2, 2, _exact),
    "VALUE": (1, 1, _to_number),
    "NUMBERVALUE": (1, 3, textual(_number_value)),
    "TEXT": (2, 2, _shown),
    "FIXED": (1, 3, _fixed),
    "LEN": (1, 1, textual(lambda whole: float(len(whole)))),
    "LEFT": (1, 2, textual(lambda whole, many=1.0: whole[: length(many)])),
    "RIGHT": (1, 2, textual(_right)),
    "MID": (3, 3, textual(_mid)),
    "REPLACE": (4, 4, textual(_replaced)),
    "SUBSTITUTE": (3, 4, textual(_substituted)),
    "FIND": (2, 3, textual(_found)),
    "SEARCH": (2, 3, textual(_searched)),
    "TEXTBEFORE": (2, 3, textual(_part(False))),
    "TEXTAFTER": (2, 3, textual(_part(True))),
    "TRIM": (1, 1, textual(lambda whole: re.sub(" +", " ", whole).strip(" "))),
    "CLEAN": (1, 1, textual(_cleaned)),
    "UPPER": (1, 1, textual(str.upper)),
    "LOWER": (1, 1, textual(str.lower)),
    "PROPER": (1, 1, textual(_proper)),
    "REPT": (2, 2, textual(_repeated)),
    "CHAR": (1, 1, _character),
    "CODE": (1, 1, textual(lambda whole: _code(whole) if whole else VALUE)),
    "UNICHAR": (1, 1, _unicode_character),
    "UNICODE": (1, 1, textual(lambda whole: float(ord(whole[0])) if whole else VALUE)),
}
WHOLE = {
    "CONCAT": (1, MANY, _joined),
    "CONCATENATE": (1, MANY, _joined),
    "TEXTJOIN": (3, MANY, _joined_by),
}
