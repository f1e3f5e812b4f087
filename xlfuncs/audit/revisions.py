"""What has changed since an older revision of the workbook."""

from __future__ import annotations

from collections import Counter, defaultdict

from xlfuncs.audit.model import AuditResult, Finding


def _key(finding: Finding) -> tuple[str, str]:
    """A finding is the same by its tag and rule, wherever its row has moved; without a tag by its text."""
    return finding.rule, finding.tag.strip().casefold() or finding.message


def compare(new: AuditResult, old: AuditResult) -> None:
    """Mark each finding of `new` as new or still open, and list those of `old` that are mended.

    A rule that fires more often for the same tag than before is new for the surplus.
    """
    before: dict[tuple[str, str], list[Finding]] = defaultdict(list)
    for finding in old.findings:
        before[_key(finding)].append(finding)
    seen: Counter[tuple[str, str]] = Counter()
    for finding in new.findings:
        key = _key(finding)
        seen[key] += 1
        finding.status = "open" if seen[key] <= len(before[key]) else "new"
    new.mended = [finding for key, known in before.items() for finding in known[seen[key] :]]
    new.since = old.workbook
    new.since_sha256 = old.sha256
