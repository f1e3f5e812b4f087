"""The manual page of a rule, made from its docstring and its declaration."""

from __future__ import annotations

from collections.abc import Mapping
from textwrap import fill

from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.gauges import label
from xlfuncs.audit.registry import Row, Rule

WIDTH = 92
SPECIAL = {"_hidden": "row hidden", "_index": "in the index itself"}
"""What an example states beside the fields."""


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


def page(item: Rule) -> str:
    """What `xlfuncs explain` prints."""
    parts = item.page
    lines = [f"{item.slug} ({item.severity.value})", fill(parts["title"], WIDTH), ""]
    for heading, name in (("What it finds", "finds"), ("Why it matters", "why"), ("How to mend it", "mend")):
        lines += [heading, fill(parts[name], WIDTH, initial_indent="  ", subsequent_indent="  "), ""]
    if item.needs:
        needs = (need if isinstance(need, tuple) else (need,) for need in item.needs)
        text = ", ".join(" or ".join(label(name) for name in group) for group in needs)
        lines += ["Needs", fill(text, WIDTH, initial_indent="  ", subsequent_indent="  "), ""]
    lines += ["Fires on a sound gauge changed to", *_example(item.firing)]
    passing = item.passing or ({"tag": SOUND["tag"]},)
    lines += ["Passes on", *_example(passing)]
    if item.covers:
        lines += [
            "",
            "Where it fires, these only repeat its cause and are named with it",
            f"  {', '.join(item.covers)}",
        ]
    return "\n".join(lines)
