"""Columns that were left unread although their headings hold all the words of a field.

A rule that uses a field only where it is stated would pass over such a column as if nothing stood there. It
is listed as not checked for the gauges of the sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import reduce
from operator import or_

import numpy as np

from xlfuncs.audit.gauges import Gauges, Mask, label
from xlfuncs.audit.model import Picked, UncheckedBlock
from xlfuncs.audit.registry import Rule
from xlfuncs.audit.waiting import bases
from xlfuncs.data import load
from xlfuncs.lists.reading import ListRead
from xlfuncs.vocabulary.meaning import said_by
from xlfuncs.vocabulary.words import concepts_of

_OF_OTHERS = frozenset({"pump", "valve", "time", "person", "document", "flow", "old"})
"""Things whose quantities are none of a gauge's."""


def passed_over(
    gauges: Gauges,
    lists: Iterable[ListRead],
    rules: Iterable[Rule],
    fired: Mapping[str, list[int]],
    told: Iterable[UncheckedBlock],
) -> Iterator[UncheckedBlock]:
    """What the rules would have used of the columns left unread."""
    items, blocks = list(rules), list(told)
    for sheet, field in _left(lists):
        where = np.asarray((gauges.sheet == sheet) & ~gauges.mentioned(field), dtype=np.bool_)
        for item in items if where.any() else ():
            if not _asks_for(item, field):
                continue
            here = where & _could_be_decided(item, gauges, field)
            here[fired.get(item.slug, [])] = False
            if not here.any():
                continue
            mine = [block for block in blocks if block.rule == item.slug]
            listed = {row for block in mine for _, there, row in block.gauges if there == sheet}
            found = np.flatnonzero(here & gauges.first_cases)
            numbers = [i for i in found.tolist() if int(gauges.row[i]) not in listed]
            if numbers:
                places = Picked(gauges.texts("tag"), gauges.sheet, gauges.row, np.array(numbers))
                yield UncheckedBlock(item.slug, (label(field),), places, fields=(frozenset({field}),))


def _left(lists: Iterable[ListRead]) -> list[tuple[str, str]]:
    """(sheet, field that an unread column of it names)."""
    out: dict[tuple[str, str], None] = {}
    for one in lists:
        for column in one.columns if one.kind == "gauges" and one.records else ():
            if column.field or not column.filled or concepts_of(column.heading) & _OF_OTHERS:
                continue
            for field in said_by(column.heading.rpartition(" / ")[2]):
                out[one.sheet, field] = None
    return list(out)


def _asks_for(item: Rule, field: str) -> bool:
    """Whether a rule is about a field: its own examples state it."""
    asked = {*item.assumes, *(name for group in item.needed for name in group)}
    named = any(field in row for row in (*item.passing, *item.firing))
    return named and any(field in bases(name) for name in asked if name in load("fields") or name == field)


def _could_be_decided(item: Rule, gauges: Gauges, field: str) -> Mask:
    """Gauges for which nothing else is lacking."""
    groups = [group for group in item.needed if not any(field in bases(name) for name in group)]
    have = [reduce(or_, map(gauges.given, group)) for group in groups]
    out = np.ones(gauges.n, dtype=np.bool_)
    for one in have:
        out &= one
    return out
