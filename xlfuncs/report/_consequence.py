"""What a finding means for the plant, which decides what a report says first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from enum import IntEnum
from functools import cache
from typing import Final

from xlfuncs.audit.model import Finding, Severity, gauges_of
from xlfuncs.audit.registry import family_of
from xlfuncs.report._words import plural


class Consequence(IntEnum):
    """From what cannot work to what is only untidy."""

    CANNOT_WORK = 0
    READS_WRONG = 1
    MAY_FAIL = 2
    SHEET = 3


TITLES: Final = {
    Consequence.CANNOT_WORK: "Cannot work",
    Consequence.READS_WRONG: "Reads or signals wrong",
    Consequence.MAY_FAIL: "May read wrong, fail, or cannot be told",
    Consequence.SHEET: "The sheet itself",
}

_VERBS: Final = {
    Consequence.CANNOT_WORK: ("cannot work", "cannot work"),
    Consequence.READS_WRONG: ("reads or signals wrong", "read or signal wrong"),
    Consequence.MAY_FAIL: ("may, or cannot be told", "may, or cannot be told"),
}

# The order within each is that of the report: which of two faults of a gauge an engineer mends first is
# common practice, no source.
_OF_RULES: Final[dict[Consequence, tuple[str, ...]]] = {
    Consequence.CANNOT_WORK: (
        "float-sinks", "interface-float-outside-fluids", "float-service-mismatch", "float-wider-than-chamber",
        "chamber-magnetic", "float-collapses", "float-pressure-exceeded", "float-temperature-exceeded",
        "flange-rating-exceeded", "tracing-missing", "float-top-heavy", "interface-connection-outside",
    ),
    Consequence.READS_WRONG: (
        "offset-exceeds-tolerance", "design-density-mismatch", "floats-exchanged", "serial-mismatch",
        "serial-reused", "scale-zero-shifted", "range-exceeds-connections", "range-not-reachable",
        "chamber-colder", "transmitter-outside-visible-range", "range-reversed", "current-inconsistent",
        "switch-order", "switch-outside-range", "alarm-outside-range", "stacked-gauges-gap",
    ),
    Consequence.SHEET: (
        "tag-missing", "tag-duplicate", "tag-malformed", "result-stale", "never-calculated",
        "function-refused", "formula-path", "formula-overwritten", "number-as-text", "row-hidden",
        "unit-ambiguous", "copied-column", "document-orphan", "reading-doubtful",
    ),
}  # fmt: skip

_SHEETS: Final = ("sheet", "formulas", "reading")
"""Families whose rules speak of the sheet, but for those that leave a gauge unjudged."""


@cache
def of_rule(rule: str, severity: Severity = Severity.ERROR) -> Consequence:
    """What a rule's findings mean; one that is not named here may mean anything, but in a sheet's family."""
    for consequence, rules in _OF_RULES.items():
        if rule in rules:
            return consequence
    sheet = family_of(rule) in _SHEETS and rule not in ("value-implausible", "cell-error")
    return Consequence.SHEET if sheet or severity is Severity.NOTE else Consequence.MAY_FAIL


def of(finding: Finding) -> Consequence:
    """What a finding means."""
    if finding.severity is Severity.NOTE:
        return Consequence.SHEET
    return of_rule(finding.rule, finding.severity)


def grouped(findings: Iterable[Finding]) -> list[tuple[Consequence, list[Finding]]]:
    """The findings by what they mean, the gravest first; each in the order given."""
    found: dict[Consequence, list[Finding]] = {one: [] for one in Consequence}
    for finding in findings:
        found[of(finding)].append(finding)
    return [(one, these) for one, these in found.items() if these]


def headline(*books: Sequence[Finding]) -> str:
    """`2 gauges cannot work, 1 reads or signals wrong, 3 findings about the sheet`; a gauge counts once.

    What concerns no single gauge, such as a float list, is counted as a finding.
    """
    counts: Counter[Consequence | None] = Counter()
    for findings in books:
        told: set[tuple[str, str]] = set()
        for consequence, these in grouped(findings):
            if consequence is Consequence.SHEET:
                counts[consequence] += len(these)
                continue
            here = gauges_of(these) - told
            told |= here
            counts[consequence] += len(here)
            counts[None] += sum(f.gauge is None for f in these)
    parts: list[str] = []
    for consequence in _VERBS:
        if count := counts[consequence]:
            parts.append(_counted(count, consequence, bool(parts)))
    parts += [f"{plural(n, 'finding')} about no single gauge"] if (n := counts[None]) else []
    parts += [f"{plural(n, 'finding')} about the sheet"] if (n := counts[Consequence.SHEET]) else []
    return ", ".join(parts)


def _counted(count: int, consequence: Consequence, again: bool) -> str:
    verb = _VERBS[consequence][count != 1]
    return f"{count:,} {verb}" if again else f"{plural(count, 'gauge')} {verb}"


def by_gauge(findings: Sequence[Finding]) -> bool:
    """Whether the findings of one group are told in fewer blocks gauge by gauge than rule by rule."""
    return len({f.gauge or f.tag for f in findings}) < len({f.rule for f in findings})
