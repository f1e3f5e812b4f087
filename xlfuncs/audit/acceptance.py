"""Findings that somebody has accepted: who, when, why and until when.

They are kept in a TOML file, one table each, and every report lists them::

    [[accept]]
    tag = "LG-1201"
    rule = "offset-exceeds-tolerance"
    who = "B. Reviewer"
    when = 2026-03-02
    why = "scale set for this density, see the mark-up"
    until = 2027-03-01

Instead of a tag, or beside it, stand a rule, a service ('saturated drum' covers each service that holds these
words), or a tag with * for anything: a finding is covered that agrees with all that is given.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime
from fnmatch import fnmatchcase
from typing import Any

from xlfuncs.audit.model import Accepted, AuditResult, Finding
from xlfuncs.audit.registry import find_rule
from xlfuncs.errors import XlfuncsError

_WHICH = ("tag", "rule", "service", "cell")
"""What an acceptance covers: at least one of them; a finding has to agree with each that is given."""
_TEXTS = (*_WHICH, "who", "why")
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
        if text is None and name in _WHICH:
            values[name] = ""
            continue
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
    if not any(values[name] for name in _WHICH):
        raise XlfuncsError(f'{origin}: it covers nothing; write tag = "...", rule = "..." or service = "..."')
    if values["until"] < values["when"]:
        raise XlfuncsError(f"{origin}: until is before when; write the day on which the acceptance ends")
    try:
        if values["rule"]:
            find_rule(values["rule"])
    except XlfuncsError as why:
        raise XlfuncsError(f"{origin}: {why}") from None
    return Accepted(**values)


class _Services:
    """The service of each gauge that has a finding."""

    def __init__(self, result: AuditResult) -> None:
        self.by_place = {(g.get("sheet"), int(g.get("row") or 0)): g for g in result.gauges}
        self.by_tag = {str(g.get("tag") or "").casefold(): g for g in result.gauges}

    def of(self, finding: Finding) -> str:
        """What the gauge of a finding serves, as its list says; "" where none is stated."""
        row = "".join(c for c in finding.cell if c.isdigit())
        gauge = self.by_place.get((finding.sheet, int(row or 0))) or self.by_tag.get(finding.tag.casefold())
        return " ".join(str((gauge or {}).get("service") or "").split()).casefold()


def _covers(entry: Accepted, finding: Finding, services: _Services) -> bool:
    """Whether an acceptance covers a finding. A service may be a part of the name; * stands for anything."""
    place = f"{finding.sheet}!{finding.cell}"
    return (
        (not entry.rule or finding.rule == entry.rule)
        and (not entry.tag or fnmatchcase(finding.tag.casefold(), _pattern(entry.tag)))
        and (not entry.cell or entry.cell.replace("'", "") == place)
        and (not entry.service or fnmatchcase(services.of(finding), f"*{_pattern(entry.service)}*"))
    )


def _pattern(text: str) -> str:
    """A text in which * alone has a meaning."""
    return " ".join(text.split()).casefold().replace("[", "[[]").replace("?", "[?]")


def apply(result: AuditResult, acceptances: Iterable[Accepted], today: date | None = None) -> None:
    """Move accepted findings out of `result.findings`; say which acceptances have expired or fit nothing."""
    day = today or date.today()
    services = _Services(result)
    listed = []
    for entry in acceptances:
        matching = [f for f in result.findings if _covers(entry, f, services)]
        if entry.until < day:
            listed.append(replace(entry, state="expired", findings=matching))
            continue
        listed.append(replace(entry, state="used" if matching else "unused", findings=matching))
        taken = set(map(id, matching))
        result.findings = [f for f in result.findings if id(f) not in taken]
    result.accepted = listed
