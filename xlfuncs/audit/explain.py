"""The manual page of a rule, made from its docstring and its declaration."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from textwrap import fill

from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.gauges import VIRTUAL, label, stated_in
from xlfuncs.audit.registry import Row, Rule
from xlfuncs.audit.settings import describe

WIDTH = 92
SPECIAL = {"_hidden": "row hidden", "_index": "in the index itself", "_other": "in another document"}
"""What an example states beside the fields."""
NEEDED = {
    "known_fluid": "name of a pure fluid with reference data",
    "reference_density": "name of a pure fluid with reference data",
}
"""Virtual fields whose label says what is wrong with the stated value, as something to be stated."""
_UNDERSTOOD = {name for name in VIRTUAL if name.startswith("known_")} - {"known_fluid", "known_freezing"}


def _example(rows: tuple[Row, ...]) -> list[str]:
    lines = []
    for row in rows:
        cells = [f"{SPECIAL.get(name) or label(name)}: {_cell(value)}" for name, value in row.items()]
        lines.append(fill("; ".join(cells), WIDTH, initial_indent="  - ", subsequent_indent="    "))
    return lines


def _cell(value: object) -> str:
    if isinstance(value, Mapping):
        return "; ".join(f"{label(name)}: {_cell(cell)}" for name, cell in value.items())
    return "(blank)" if value is None else str(value)


def _names(needs: Iterable[str]) -> list[str]:
    """What is needed, each once; that it must be understood, or known to its end, goes without saying."""
    plain = (need for need in needs if "." not in need and need not in _UNDERSTOOD)
    return list(dict.fromkeys(NEEDED.get(need) or label(need) for need in plain))


def _paragraph(text: str) -> str:
    return fill(text, WIDTH, initial_indent="  ", subsequent_indent="  ")


def page(item: Rule) -> str:
    """What `xlfuncs explain` prints."""
    parts = item.page
    lines = [f"{item.slug} ({item.severity.value})", fill(parts["title"], WIDTH), ""]
    for heading, name in (("What it finds", "finds"), ("Why it matters", "why"), ("How to mend it", "mend")):
        lines += [heading, _paragraph(parts[name]), ""]
    if item.needs:
        needs = map(_names, item.needed)
        lines += ["Needs", _paragraph(", ".join(filter(None, map(" or ".join, needs)))), ""]
    needed = set(_names(name for group in item.needed for name in group))
    if used := [name for name in _names(map(stated_in, item.assumes)) if name not in needed]:
        lines += ["Uses as well, where stated", _paragraph(", ".join(used)), ""]
    if limits := [entry for entry in describe() if entry[0] in item.thresholds]:
        lines.append("Settings")
        for name, default, meaning, source in limits:
            lines.append(_paragraph(f"{name} = {default:g}: {meaning} ({source})"))
        lines.append("")
    lines += ["Fires on a sound gauge changed to", *_example(item.firing)]
    passing = item.passing or ({"tag": SOUND["tag"]},)
    lines += ["Passes on", *_example(passing)]
    if item.covers:
        lines += [
            "",
            "Where it fires, these only repeat its cause and are named with it",
            _paragraph(", ".join(item.covers)),
        ]
    return "\n".join(lines)
