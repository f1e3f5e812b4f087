"""What was not checked, folded by its cause: what was not read, what one answer settles, the rest."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import shorten
from typing import Final

from xlfuncs.audit.model import AuditResult
from xlfuncs.report import _summary as summary
from xlfuncs.report import _words as words

_MANY: Final = 3
"""Gauges from which one answer settles many (common practice, no source)."""
_LINES: Final = 3
_TAGS: Final = 4


@dataclass(slots=True)
class Folded:
    """The gaps by their cause; the widest of each first."""

    unread: list[str]
    """The columns in doubt, with what waits for them."""
    many: list[summary.Want]
    """Data that many gauges lack."""
    rest: list[summary.Want]
    gauges: int
    """Gauges with anything that was not checked."""


def folded(result: AuditResult, groups: Sequence[summary.Gap] | None = None) -> Folded:
    """What was not checked, by cause. `groups`: as `summary.unchecked` gives them, where that is known."""
    wants = summary.wanted(summary.unchecked(result) if groups is None else groups)
    unread = [
        f"{summary.column(one)} {words.one_line(one.column.text)}: {summary.waits(one)}"
        for one in (*summary.in_doubt(result), *summary.not_understood(result))
    ]
    many = [want for want in wants if len(want.tags) >= _MANY]
    rest = [want for want in wants if len(want.tags) < _MANY]
    return Folded(unread, many, rest, len({tag for want in wants for tag in want.tags}))


@dataclass(frozen=True, slots=True)
class Row:
    """What is missing for some gauges, and the rules that wait for it."""

    text: str
    gauges: int
    tags: tuple[str, ...]
    """The gauges; none where a column of a list stands for all of its gauges."""
    rules: tuple[str, ...]


UNREAD: Final = "Columns of which somebody has to say what they are"
MANY: Final = "One answer for many gauges"
REST: Final = "The rest"


def causes(result: AuditResult, groups: Sequence[summary.Gap] | None = None) -> list[tuple[str, list[Row]]]:
    """What was not checked by its cause, each with its rows, the most urgent first; no cause without rows."""
    found = folded(result, groups)
    waiting = (*summary.in_doubt(result), *summary.not_understood(result))
    unread = [
        Row(f"{summary.column(one)}: {words.one_line(one.column.text)}", one.gauges, (), one.rules)
        for one in waiting
    ]
    told = {UNREAD: unread, MANY: list(map(_row, found.many)), REST: list(map(_row, found.rest))}
    return [(title, rows) for title, rows in told.items() if rows]


def _row(want: summary.Want) -> Row:
    return Row("; ".join(want.items), len(want.tags), tuple(want.tags), tuple(want.rules))


def lines(result: AuditResult, with_tags: bool = True) -> list[str]:
    """A few lines that name the causes, the most urgent first; none where all was checked."""
    found = folded(result)
    out = []
    if count := len(found.unread):
        waiting = (*summary.in_doubt(result), *summary.not_understood(result))
        rules = len({rule for one in waiting for rule in one.rules})
        out.append(
            f"{words.plural(count, 'column')} above that nobody has said yet: {words.plural(rules, 'rule')}"
        )
    out += [_line(want, result.rows_audited, with_tags) for want in found.many[:_LINES]]
    rest = [*found.many[_LINES:], *found.rest]
    if rest:
        tags = {tag for want in rest for tag in want.tags}
        items = sum(len(want.items) for want in rest)
        out.append(f"{words.plural(items, 'other item')} at {words.plural(len(tags), 'gauge')}")
    return out


def in_a_line(result: AuditResult) -> str:
    """How much was not checked; "" where all was."""
    found = folded(result)
    wants = [*found.many, *found.rest]
    if not (wants or found.unread):
        return ""
    items = sum(len(want.items) for want in wants)
    waiting = (*summary.in_doubt(result), *summary.not_understood(result))
    rules = {rule for want in wants for rule in want.rules} | {rule for one in waiting for rule in one.rules}
    parts = [words.plural(len(found.unread), "column") + " above" if found.unread else ""]
    if wants:
        parts.append(f"{words.plural(items, 'item')} at {words.plural(found.gauges, 'gauge')}")
    told = " and ".join(filter(None, parts))
    return f"not checked, for want of data: {told}, {words.plural(len(rules), 'rule')}"


def _line(want: summary.Want, every: int, with_tags: bool) -> str:
    tags = list(want.tags)
    which = f"all {every} gauges" if len(tags) == every else words.plural(len(tags), "gauge")
    items = [_short(item) for item in want.items]
    items = items if len(items) <= _LINES else [*items[:2], f"{len(items) - 2} more"]
    told = words.plural(len(want.rules), "rule")
    which += f" ({words.listed(tags, _TAGS)})" if with_tags else ""
    return f"{', '.join(items)}: {which}, {told}"


_EXPLAINED: Final = re.compile(r" \([^()]*\)$")
_WIDE: Final = 48


def _short(item: str) -> str:
    """What is missing without its explanation, cut where it is long.

    >>> _short("bore of the chamber"), _short("boiling point (the fluid's name is not known)")
    ('bore of the chamber', 'boiling point')
    """
    return shorten(_EXPLAINED.sub("", item), _WIDE, placeholder=" ...")
