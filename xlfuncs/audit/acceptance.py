"""Findings that somebody has accepted: who, when, why and until when.

They are kept in a TOML file, one table each, and every report lists them::

    [[accept]]
    tag = "LG-1201"
    rule = "offset-exceeds-tolerance"
    who = "B. Reviewer"
    when = 2026-03-02
    why = "scale set for this density, see the mark-up"
    until = 2027-03-01
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from xlfuncs.audit.model import Accepted, AuditResult
from xlfuncs.audit.registry import find_rule
from xlfuncs.errors import XlfuncsError

_TEXTS = ("tag", "rule", "who", "why")
_DATES = ("when", "until")


def read_acceptances(entries: Any, origin: str) -> list[Accepted]:
    """Acceptances from the `accept` tables of a TOML file; XlfuncsError names the entry and what it lacks."""
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise XlfuncsError(f"{origin}: write each accepted finding as a table of its own, [[accept]]")
    return [_read(entry, f"{origin}: accepted finding {number}") for number, entry in enumerate(entries, 1)]


def _read(entry: dict[str, Any], origin: str) -> Accepted:
    unknown = set(entry) - {*_TEXTS, *_DATES}
    if unknown:
        raise XlfuncsError(
            f"{origin}: unknown key '{min(unknown)}'; keys are {', '.join((*_TEXTS, *_DATES))}"
        )
    values: dict[str, Any] = {}
    for name in _TEXTS:
        text = entry.get(name)
        if not isinstance(text, str) or not text.strip():
            raise XlfuncsError(f'{origin}: {name} is missing; write {name} = "..."')
        values[name] = text.strip()
    for name in _DATES:
        day = entry.get(name)
        if isinstance(day, datetime):
            day = day.date()
        if not isinstance(day, date):
            raise XlfuncsError(f"{origin}: {name} must be a date, e.g. {name} = 2026-12-31")
        values[name] = day
    if values["until"] < values["when"]:
        raise XlfuncsError(f"{origin}: until is before when; write the day on which the acceptance ends")
    try:
        find_rule(values["rule"])
    except XlfuncsError as why:
        raise XlfuncsError(f"{origin}: {why}") from None
    return Accepted(**values)


def apply(result: AuditResult, acceptances: Iterable[Accepted], today: date | None = None) -> None:
    """Move accepted findings out of `result.findings`; say which acceptances have expired or fit nothing."""
    day = today or date.today()
    listed = []
    for entry in acceptances:
        matching = [
            f for f in result.findings if f.rule == entry.rule and f.tag.casefold() == entry.tag.casefold()
        ]
        if entry.until < day:
            listed.append(replace(entry, state="expired", findings=matching))
            continue
        listed.append(replace(entry, state="used" if matching else "unused", findings=matching))
        taken = set(map(id, matching))
        result.findings = [f for f in result.findings if id(f) not in taken]
    result.accepted = listed
