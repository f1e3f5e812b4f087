"""How far a float stands from the wall of its chamber, and its magnet with it from what it turns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import Gauges, part_key
from xlfuncs.audit.remedy import Option
from xlfuncs.audit.shown import small

MARKED: Final = 0.003
"""Metres by which a radial gap is markedly wider than the present float's (common practice, no source: the
field of a magnet falls with the third power of the distance)."""


def wider_gaps(gauges: Gauges, record: int, options: Sequence[Option]) -> str:
    """That some of the floats and bores which are proposed leave the magnet farther from the indicator.

    "" where none does, or the present gap is not known.
    """
    bore, across = (float(gauges.si(name)[record]) for name in ("chamber_bore", "float_diameter"))
    present = (bore - across) / 2
    if not present > 0:
        return ""
    found = {name: gap for name, gap in _gaps(gauges, bore, across, options) if gap - present > MARKED + 1e-9}
    if not found:
        return ""
    say = partial(small, gauges, record)
    alike: dict[str, list[str]] = {}
    for name, gap in found.items():
        alike.setdefault(say(gap), []).append(name)
    each = ", ".join(f"{gap} with {' and '.join(names)}" for gap, names in alike.items())
    farther = say(max(found.values()) - present)
    return (
        f"The radial gap is {each}, {say(present)} now: the magnet then stands up to {farther} farther from"
        " indicator and switches; the maker of the indicator has to confirm that they still respond."
    )


def _gaps(
    gauges: Gauges, bore: float, across: float, options: Sequence[Option]
) -> Iterator[tuple[str, float]]:
    """What an option is called, and the radial gap with it [m]."""
    parts = gauges.listed.get("float_part")
    keys = [] if parts is None else [part_key(text) for text in parts.text.tolist()]
    listed = gauges.listed.get("float_diameter")
    for option in options:
        part = part_key(str(option.value)) if option.name == "float_part" else ""
        if part in keys and listed is not None:
            at = keys.index(part)
            width = float(listed.value[at]) if listed.given[at] else np.nan
            yield str(option.value), (bore - width) / 2
        elif {"float_diameter", "chamber_bore"} & {*option.changes}:
            made = option.changes.get("float_diameter")
            name = "the float to be made" if made is not None else f"that bore of {option.value}"
            width = across if made is None else made
            yield name, (option.changes.get("chamber_bore", bore) - width) / 2
