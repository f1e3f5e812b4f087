"""SARIF 2.1.0 (OASIS standard, errata 01), for tools that gather findings of many programs.

A cell is a region: its row the line, its column the column. A rule that could not be decided is a
result of kind `open`: evaluated, and not enough information to say (SARIF 2.1.0, 3.27.9). Against an
older revision every result has to state whether it is new (3.27.24), which is not known of those: they
become notifications then. Accepted findings are suppressed results (3.27.23).
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from typing import Any
from urllib.parse import quote

from xlfuncs.audit.model import Accepted, AuditResult, Finding
from xlfuncs.report import _summary as summary
from xlfuncs.report import _words as words
from xlfuncs.report.jsonfile import plain

_BASELINE = {"new": "new", "open": "unchanged"}

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"


def text(results: Sequence[AuditResult]) -> str:
    """One log with a run for each workbook."""
    log = {"$schema": SCHEMA, "version": "2.1.0", "runs": [_run(result) for result in results]}
    return json.dumps(plain(log), ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _run(result: AuditResult) -> dict[str, Any]:
    accepted = [(f, entry) for entry in result.accepted if entry.state == "used" for f in entry.findings]
    every = [*result.findings, *result.mended, *(f for f, _ in accepted)]
    slugs = sorted({f.rule for f in every} | {n.rule for n in result.not_checked})
    number = {slug: k for k, slug in enumerate(slugs)}
    new, old = ({"uri": quote(name), "index": k} for k, name in enumerate((result.workbook, result.since)))
    hashes = {(new["uri"], result.sha256): None}
    hashes |= {(old["uri"], result.since_sha256): None} if result.since else {}
    found = [_result(f, number, new) for f in summary.ordered(result)]
    found += [_result(f, number, new, entry) for f, entry in accepted]
    found += [_result(f, number, old, mended=True) for f in summary.ordered(result, result.mended)]
    gaps = [_open(*group, number, new) for group in summary.unchecked(result)]
    if result.accepted:
        for item in (*found, *gaps):
            item.setdefault("suppressions", [])
    invocation: dict[str, Any] = {"executionSuccessful": True}
    if complaints := [_complaint(e, number) for e in summary.acceptances(result) if e.state != "used"]:
        invocation["toolConfigurationNotifications"] = complaints
    if result.since:
        invocation["toolExecutionNotifications"] = [_notice(gap) for gap in gaps]
    driver = {
        "name": "xlfuncs",
        "version": result.version or "unknown",
        "rules": [_rule(slug) for slug in slugs],
    }
    return {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "artifacts": [{"location": {"uri": uri}, "hashes": {"sha-256": digest}} for uri, digest in hashes],
        "invocations": [invocation],
        "results": found if result.since else found + gaps,
        "properties": {
            "rowsAudited": result.rows_audited,
            "settings": result.settings,
            "skipped": result.skipped,
            "rows": {one.sheet: {what: one.places(what) for what in one.rows} for one in result.rows},
        },
    }


def _rule(slug: str) -> dict[str, Any]:
    from xlfuncs.audit.registry import rules

    rule = rules().get(slug)
    if rule is None:
        return {"id": slug}
    page = rule.page
    return {
        "id": slug,
        "shortDescription": {"text": page["title"]},
        "fullDescription": {"text": page["finds"]},
        "help": {"text": f"{page['why']}\n\n{page['mend']}"},
        "defaultConfiguration": {"level": rule.severity.value},
    }


def _result(
    f: Finding,
    number: dict[str, int],
    artifact: dict[str, Any],
    accepted: Accepted | None = None,
    mended: bool = False,
) -> dict[str, Any]:
    from openpyxl.utils.cell import column_index_from_string, coordinate_from_string

    physical: dict[str, Any] = {"artifactLocation": artifact}
    if f.cell:
        letters, row = coordinate_from_string(f.cell)
        physical["region"] = {"startLine": row, "startColumn": column_index_from_string(letters)}
    logical = {"fullyQualifiedName": words.place(f) or "workbook", "kind": "cell" if f.cell else "sheet"}
    # The tag stays with a gauge when rows move, the cell does not.
    same = "|".join((f.rule, f.tag, *(() if f.tag else (f.sheet, f.cell))))
    properties = {
        "tag": f.tag, "found": words.measure(f.found), "expected": words.measure(f.expected),
        "evidence": f.evidence, "proof": [one.to_dict() for one in f.proof], "also": f.also,
    }  # fmt: skip
    state = "absent" if mended else _BASELINE.get(f.status)
    return {
        "ruleId": f.rule,
        "ruleIndex": number[f.rule],
        "level": f.severity.value,
        "message": {
            "text": " ".join(words.one_line(part) for part in (f.tag, f.message, f.mend) if part) or f.rule
        },
        "locations": [{"physicalLocation": physical, "logicalLocations": [logical]}],
        "partialFingerprints": {"ruleAndTag/v1": hashlib.sha256(same.encode()).hexdigest()},
        "properties": {key: value for key, value in properties.items() if value},
        **({"baselineState": state} if state else {}),
        **({"suppressions": [_suppression(accepted)]} if accepted else {}),
    }


def _suppression(entry: Accepted) -> dict[str, Any]:
    return {
        "kind": "external",
        "status": "accepted",
        "justification": words.one_line(entry.why),
        "properties": {"who": entry.who, "when": entry.when, "until": entry.until},
    }


def _complaint(entry: Accepted, number: dict[str, int]) -> dict[str, Any]:
    """An acceptance that covers nothing, or no longer."""
    told = f"Acceptance of {entry.rule} for {entry.tag} {summary.acceptance_state(entry)}"
    rule = {"id": entry.rule} | ({"index": number[entry.rule]} if entry.rule in number else {})
    return {
        "level": "warning",
        "message": {"text": f"{words.one_line(told)} ({summary.acceptance_reason(entry)})"},
        "associatedRule": rule,
    }


def _notice(gap: dict[str, Any]) -> dict[str, Any]:
    """A rule that could not be decided, where it cannot be a result."""
    rule = {"id": gap["ruleId"], "index": gap["ruleIndex"]}
    kept = {key: gap[key] for key in ("message", "locations", "properties")}
    return {"level": "note", "associatedRule": rule, **kept}


def _open(
    rule: str, missing: tuple[str, ...], tags: list[str], number: dict[str, int], artifact: dict[str, Any]
) -> dict[str, Any]:
    which = f"{words.plural(len(tags), 'gauge')}, for want of {', '.join(missing)}"
    need = f"Not checked for {which}: {words.listed(tags, 20)}"
    return {
        "ruleId": rule,
        "ruleIndex": number[rule],
        "kind": "open",
        "level": "none",
        "message": {"text": words.one_line(need)},
        "locations": [{"physicalLocation": {"artifactLocation": artifact}}],
        "properties": {"missing": missing, "gauges": tags},
    }
