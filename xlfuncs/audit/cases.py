"""Findings of gauges with several cases: the case is named, and what holds in each of them is said once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.registry import Hit, Rule

Fired = list[tuple[Rule, Hit]]


def name_cases(hits: Fired, gauges: Gauges) -> Fired:
    """The hits, those of a gauge's cases with the case in their message; one that each case gives, once."""
    if not any(gauges.cases):
        return hits
    out: Fired = []
    groups: dict[tuple[str, ...], Fired] = {}
    for item, hit in hits:
        if hit.record < 0 or not gauges.cases[hit.record]:
            out.append((item, hit))
            continue
        groups.setdefault((item.slug, *_gauge(gauges, hit.record), hit.field), []).append((item, hit))
    count: dict[tuple[str, ...], int] = {}
    for record, case in enumerate(gauges.cases):
        if case:
            gauge = _gauge(gauges, record)
            count[gauge] = count.get(gauge, 0) + 1
    for key, fired in groups.items():
        texts = {hit.message for _, hit in fired}
        if len(texts) == 1 and len({hit.record for _, hit in fired}) == count[key[1:4]]:
            out.append(_once(fired))
        else:
            out += _named(fired, gauges.cases)
    return out


def _gauge(gauges: Gauges, record: int) -> tuple[str, str, str]:
    return (*gauges.place(record, "tag"), gauges.tag(record))


def _once(same: Fired) -> tuple[Rule, Hit]:
    """One hit for those that say the same, with the cells of the other cases."""
    item, hit = same[0]
    cells = dict.fromkeys(f"{one.sheet}!{one.cell}" for _, one in same)
    others = [cell for cell in cells if cell != f"{hit.sheet}!{hit.cell}"]
    if not others:
        return item, hit
    return item, replace(hit, evidence={**hit.evidence, "other_cell": ", ".join(others)})


def _named(fired: Fired, cases: Sequence[str]) -> Fired:
    """One hit for each message, with the cases that gave it."""
    by_text: dict[str, Fired] = {}
    for item, hit in fired:
        by_text.setdefault(hit.message, []).append((item, hit))
    out: Fired = []
    for text, same in by_text.items():
        item, hit = _once(same)
        names = ", ".join(dict.fromkeys(cases[one.record] for _, one in same))
        named = replace(hit, message=f"{names}: {text}", evidence={**hit.evidence, "case": names})
        out.append((item, named))
    return out
