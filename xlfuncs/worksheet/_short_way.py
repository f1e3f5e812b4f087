"""The short way of a call with sound single cells: what is known of each argument before any call."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from xlfuncs.units import Converter, converter
from xlfuncs.worksheet import _gravity
from xlfuncs.worksheet._cell import default_of, missing_one, result_unit, single, sure
from xlfuncs.worksheet._problems import Unusable, is_blank
from xlfuncs.worksheet.spec import Argument, Function

ROOM = 4096
"""Texts that are remembered for an argument."""


class Slot:
    """What is known of an argument before any call, and of the texts that it was given."""

    __slots__ = ("argument", "high", "known", "low", "name", "numbers", "offset", "scale")

    def __init__(self, argument: Argument) -> None:
        self.argument, self.name = argument, argument.name
        self.low, self.high = sure(argument)
        self.scale, self.offset = 1.0, 0.0
        self.numbers = argument.kind in ("quantity", "number", "named")
        if self.numbers and argument.kind != "number" and argument.quantity:
            unit = converter(argument.unit, argument.quantity)
            self.scale, self.offset = unit.scale, unit.offset
            self.numbers = type(unit) is Converter
        self.known: dict[Any, Any] = {}
        """Texts, and None for a blank cell, with what the callable takes for them."""

    def learn(self, cell: Any) -> Any:
        """What the callable takes for a text or a blank cell; `Unusable` where that is for a closer look."""
        if is_blank(cell):
            if self.argument.required:
                raise missing_one(self.argument)
            value = default_of(self.argument)
        elif self.argument.liquid == "maybe" and _gravity.is_bare(cell):
            raise Unusable("may be asked back")
        else:
            value = single(self.argument, cell)
        if len(self.known) >= ROOM:
            self.known.clear()
        self.known[cell] = value
        return value

    def look_at(self, cell: float) -> Any:
        """What the callable takes for a number that needs a closer look."""
        if self.argument.liquid == "maybe" and _gravity.looks_so(cell):
            raise Unusable("may be asked back")
        return single(self.argument, cell)


_slots: dict[str, tuple[Function, list[Slot]]] = {}


def slots_of(function: Function) -> list[Slot]:
    found = _slots.get(function.name)
    if found is None or found[0] is not function:
        plain = all(argument.kind not in ("any", "table") for argument in function.arguments)
        found = _slots[function.name] = function, [Slot(a) for a in function.arguments] if plain else []
    return found[1]


def single_cells(function: Function, arguments: Sequence[Any]) -> tuple[dict[str, Any], str] | None:
    """The arguments in SI and the result's unit, where all are single cells and sound; else None.

    Whatever is not is looked at again, to be reported together.
    """
    slots = slots_of(function)
    count = len(slots)
    if not count or len(arguments) > count + function.takes_unit:
        return None
    keywords: dict[str, Any] = {}
    try:
        for slot, cell in zip(slots, arguments, strict=False):
            kind = type(cell)
            if kind is float or kind is int:
                if slot.numbers and slot.low < cell < slot.high:
                    keywords[slot.name] = cell * slot.scale + slot.offset
                else:
                    keywords[slot.name] = slot.look_at(cell)
            elif kind is str or cell is None:
                keywords[slot.name] = slot.known[cell] if cell in slot.known else slot.learn(cell)
            else:
                return None
        for slot in slots[len(arguments) :]:
            keywords[slot.name] = slot.known[None] if None in slot.known else slot.learn(None)
        unit = result_unit(function, arguments[count]) if len(arguments) > count else function.result.unit
    except Unusable:
        return None
    return keywords, unit
