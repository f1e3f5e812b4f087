"""Which rules wait for a column that a person has to say something of, and for how many gauges."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cache

from xlfuncs.audit.gauges import DENSITIES, FLANGE_MATERIALS, VIRTUAL, label, stated_in
from xlfuncs.audit.model import Unchecked, UncheckedBlock, Waiting
from xlfuncs.data import load
from xlfuncs.lists.reading import OpenColumn, narrowed

_BASES = {
    "any_density": DENSITIES,
    "lowest_density": DENSITIES,
    "both_range_values": ("lrv", "urv"),
    "known_material_group": FLANGE_MATERIALS,
    "float_list": ("float_part",),
}
"""What a rule needs -> the fields any of which can give it."""
_GIVES = {"float_straight_length": ("float_length",), "magnet_from_top": ("magnet_height",)}


@cache
def bases(need: str) -> frozenset[str]:
    """The fields any of which can give what a rule needs."""
    return frozenset(_BASES.get(need) or (stated_in(need),))


@cache
def gives(field: str) -> frozenset[str]:
    """The fields that a column of a field gives: itself, its parts, the whole that it is a part of."""
    entry = load("fields")[field]
    parts = (*entry.get("split", ()), *entry.get("pair", ()), *_GIVES.get(field, ()))
    whole = (entry["part_of"],) if "part_of" in entry else ()
    tag = ("tag",) if field in ("tag_letters", "tag_number") else ()
    return frozenset((field, *parts, *whole, *tag))


@cache
def _by_label() -> dict[str, frozenset[str]]:
    """What a report calls a need -> the fields that can give it."""
    return {label(need): bases(need) for need in (*load("fields"), *VIRTUAL)}


def fields_of(missing: str) -> frozenset[str]:
    """The fields that can give what a report says is missing; none where it is no field's."""
    return _by_label().get(missing, frozenset())


def waiting(
    columns: Sequence[OpenColumn], not_checked: Unchecked, sheets: Mapping[str, int]
) -> list[Waiting]:
    """What waits for each open column: those in doubt first, and of them those for which most does.

    A column that was not understood is taken to be the one of its possible fields for which most waits, no
    two of them the same, and none what a column in doubt may be. `sheets`: the sheets on which gauges stand
    -> how many.
    """
    told = [_waiting(column, not_checked, sheets) for column in columns if column.what != "unread"]
    out = sorted(told, key=_much, reverse=True)
    taken = {name for one in told for name in one.column.fields}
    for column in columns:
        if column.what == "unread":
            free = [name for name in column.fields if name not in taken]
            least = _SHARE * sheets.get(column.sheet, sum(sheets.values()))
            best = max(free, key=lambda name: _urgent(gives(name), not_checked, least), default="")
            if best and _urgent(gives(best), not_checked, least):
                taken.add(best)
                out.append(_waiting(narrowed(column, best), not_checked, sheets))
    return out


_SHARE = 0.5
"""Share of the gauges that lack something, from which it may stand in a column that was not understood."""


def _urgent(given: frozenset[str], not_checked: Unchecked, least: float) -> int:
    """How much waits for some fields, reckoned quickly."""
    sizes = (len(block.gauges) for block in not_checked.blocks if any(given & one for one in block.fields))
    return sum(size for size in sizes if size >= least)


def _much(one: Waiting) -> tuple[int, int]:
    return len(one.rules) * one.gauges, len(one.rules)


def _waiting(column: OpenColumn, not_checked: Unchecked, sheets: Mapping[str, int]) -> Waiting:
    rules: dict[str, None] = {}
    gauges: set[tuple[str, int]] = set()
    here = column.kind == "gauges" and column.sheet in sheets
    for block in not_checked.blocks:
        if may_give(column, block):
            places = {(sheet, row) for _, sheet, row in block.gauges if not here or sheet == column.sheet}
            if places:
                rules[block.rule] = None
                gauges |= places
    return Waiting(column, tuple(rules), len(gauges))


def may_give(column: OpenColumn, block: UncheckedBlock) -> bool:
    """Whether something that a rule lacks may stand in an open column."""
    return any(given(column) & needed for needed in block.fields)


def given(column: OpenColumn) -> frozenset[str]:
    """What an open column may give."""
    return frozenset(name for field in column.fields for name in gives(field))


def named(columns: Sequence[OpenColumn], not_checked: Unchecked) -> Unchecked:
    """The same, each block with the open columns in which what it lacks may stand."""
    sure = [column for column in columns if column.what != "unread"]
    return Unchecked([_named(sure, block) for block in not_checked.blocks]) if sure else not_checked


def _named(columns: Iterable[OpenColumn], block: UncheckedBlock) -> UncheckedBlock:
    perhaps = []
    for needed in block.fields:
        texts = [
            f"{column.sheet}!{column.column} {column.heading!r}"
            for column in columns
            if needed & given(column)
        ]
        perhaps.append(", ".join(texts))
    return replace(block, perhaps=tuple(perhaps)) if any(perhaps) else block
