"""Which rules wait for a column that a person has to say something of, and for how many gauges."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache

from xlfuncs.audit.gauges import DENSITIES, FLANGE_MATERIALS, VIRTUAL, label, stated_in
from xlfuncs.audit.model import Unchecked, UncheckedBlock, Waiting
from xlfuncs.data import load
from xlfuncs.lists.reading import OpenColumn

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


def waiting(columns: Sequence[OpenColumn], not_checked: Unchecked) -> list[Waiting]:
    """What waits for each open column, those first for which most do."""
    if not columns:
        return []
    sheets = {sheet for block in not_checked.blocks for _, sheet, _ in block.gauges}
    out = []
    for column in columns:
        rules: dict[str, None] = {}
        gauges: set[tuple[str, int]] = set()
        for block in not_checked.blocks:
            if _may_give(column, block):
                here = column.kind == "gauges" and column.sheet in sheets
                places = {(sheet, row) for _, sheet, row in block.gauges if not here or sheet == column.sheet}
                if places:
                    rules[block.rule] = None
                    gauges |= places
        out.append(Waiting(column, tuple(rules), len(gauges)))
    return sorted(out, key=lambda one: (-len(one.rules) * one.gauges, -len(one.rules)))


def _may_give(column: OpenColumn, block: UncheckedBlock) -> bool:
    given = frozenset(name for field in column.fields for name in gives(field))
    return any(given & needed for needed in block.fields)


def named(columns: Sequence[OpenColumn], not_checked: Unchecked) -> Unchecked:
    """The same, each block with the open columns in which what it lacks may stand."""
    if not columns:
        return not_checked
    return Unchecked([_named(columns, block) for block in not_checked.blocks])


def _named(columns: Iterable[OpenColumn], block: UncheckedBlock) -> UncheckedBlock:
    perhaps = []
    for needed in block.fields:
        texts = [
            f"{column.sheet}!{column.column} {column.heading!r}"
            for column in columns
            if needed & frozenset(name for field in column.fields for name in gives(field))
        ]
        perhaps.append(", ".join(texts))
    return replace(block, perhaps=tuple(perhaps)) if any(perhaps) else block
