"""SARIF 2.1.0 (OASIS standard, errata 01), for tools that gather findings of many programs.

A cell is a region: its row the line, its column the column. A rule that could not be decided is a
result of kind `open`: evaluated, and not enough information to say (SARIF 2.1.0, 3.27.9).
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from typing import Any
from urllib.parse import quote

from xlfuncs.audit.model import AuditResult, Finding
from xlfuncs.report import _words as words
from xlfuncs.report.jsonfile import plain

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"


def text(results: Sequence[AuditResult]) -> str:
    """One log with a run for each workbook."""
    log = {"$schema": SCHEMA, "version": "2.1.0", "runs": [_run(result) for result in results]}
    return json.dumps(plain(log), ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _run(result: AuditResult) -> dict[str, Any]:
    slugs = sorted({f.rule for f in result.findings} | {n.rule for n in result.not_checked})
    number = {slug: k for k, slug in enumerate(slugs)}
    artifact = {"uri": quote(result.workbook), "index": 0}
    found = [_result(f, number, artifact) for f in result.findings]
    driver = {
        "name": "xlfuncs",
        "version": result.version or "unknown",
        "rules": [_rule(slug) for slug in slugs],
    }
    return {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "artifacts": [{"location": {"uri": artifact["uri"]}, "hashes": {"sha-256": result.sha256}}],
        "invocations": [{"executionSuccessful": True}],
        "results": found + [_open(*group, number, artifact) for group in words.unchecked(result)],
        "properties": {
            "rowsAudited": result.rows_audited,
            "settings": result.settings,
            "skipped": result.skipped,
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


def _result(f: Finding, number: dict[str, int], artifact: dict[str, Any]) -> dict[str, Any]:
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
        "evidence": f.evidence, "also": f.also,
    }  # fmt: skip
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
    }


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
