"""Compares what an audit found in a workbook with the truth file of the workbook.

A planted fault is

found       at its cell; or at another cell of its gauge, or as a rule that says the same, or named as what
            one of the gauge's findings repeats (`how` says so)
said        not found, but the audit lists that it could not check the rule for the gauge
unread      not found, and a column in which it stands was named as not read
silent      not found, and nothing was said
refused     in a workbook that was not audited

and invented is an error or a warning that nobody planted and that no planted fault brings with it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from tests.reading import columns
from xlfuncs.audit.engine import audit_book, outcome
from xlfuncs.errors import XlfuncsError

KINDS: Final = ("found", "said", "unread", "silent", "refused")
AT_ITS_CELL: Final = "at its cell"
ELSEWHERE: Final = "elsewhere"
REPEATED: Final = "repeated by another"

Truth = Mapping[str, Any]
Report = Mapping[str, Any]
"""The JSON form of an audit."""


@dataclass(frozen=True)
class Outcome:
    """What became of one planted fault."""

    book: str
    rule: str
    tags: tuple[str, ...]
    cells: tuple[str, ...]
    why: str
    kind: str
    how: str = ""

    def __str__(self) -> str:
        place = f"{self.rule} {' '.join(self.tags)} ({' '.join(self.cells[:3])})"
        return f"{self.book}: {self.kind}: {place}: {self.why}" + f" [{self.how}]" * bool(self.how)


@dataclass(frozen=True)
class Invented:
    """A finding that nobody planted."""

    book: str
    rule: str
    tag: str
    cell: str
    message: str
    clean: bool
    """In a workbook without faults."""

    def __str__(self) -> str:
        where = "invented in a clean book" if self.clean else "invented"
        return f"{self.book}: {where}: {self.rule} {self.tag} ({self.cell}): {self.message}"


@dataclass
class Score:
    """Of one workbook, or of many together."""

    outcomes: list[Outcome] = field(default_factory=list)
    invented: list[Invented] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    """Why clean workbooks were not audited."""
    columns: list[columns.Outcome] = field(default_factory=list)

    def add(self, other: Score) -> None:
        self.outcomes += other.outcomes
        self.invented += other.invented
        self.refused += other.refused
        self.columns += other.columns

    def count(self, kind: str) -> int:
        return sum(outcome.kind == kind for outcome in self.outcomes)

    def invented_in_clean(self) -> int:
        return sum(finding.clean for finding in self.invented)

    def line(self) -> str:
        """The score in one line."""
        found = [outcome.how for outcome in self.outcomes if outcome.kind == "found"]
        elsewhere, other = found.count(ELSEWHERE), sum(how.startswith("as ") for how in found)
        parts = [f"found {len(found)} of {len(self.outcomes)}"]
        parts[0] += f" ({elsewhere} elsewhere, {other} as another rule)" * bool(elsewhere or other)
        parts += [f"{kind} {self.count(kind)}" for kind in KINDS[1:]]
        parts.append(f"invented {len(self.invented)} ({self.invented_in_clean()} in clean books)")
        if self.refused:
            parts.append(f"clean books refused {len(self.refused)}")
        return ", ".join(parts) + "; columns: " + columns.line(self.columns)

    def misses(self) -> Iterator[str]:
        """Each fault that was not found, then what was invented, and the clean books that were refused."""
        yield from (str(outcome) for outcome in self.outcomes if outcome.kind != "found")
        yield from map(str, self.invented)
        yield from self.refused


def total(scores: Iterable[Score]) -> Score:
    out = Score()
    for score in scores:
        out.add(score)
    return out


# --- one workbook -----------------------------------------------------------------------------------


def score_file(path: Path) -> Score:
    """Audit the workbook of a truth file and compare."""
    truth = json.loads(path.read_text(encoding="utf-8"))
    book = path.with_name(truth["book"])
    floats = path.with_name(truth["floats"]) if truth.get("floats") else None
    result = outcome(book, lambda: audit_book(book, floats=floats))
    if isinstance(result, XlfuncsError):
        return compare(truth, str(result).removeprefix(f"{book}: "))
    return compare(truth, result.to_dict())


def truth_files(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.truth.json"))


def compare(truth: Truth, report: Report | str) -> Score:
    """`report`: of an audit, or why there was none."""
    if isinstance(report, str):
        faults = [_outcome(truth["book"], fault, "refused", report) for fault in truth["faults"]]
        return Score(faults, refused=[] if faults else [f"{truth['book']}: not audited: {report}"])
    outcomes, used = [], set()
    for fault in truth["faults"]:
        kind, how, number = _found(fault, report["findings"]) or _missed(fault, report)
        outcomes.append(_outcome(truth["book"], fault, kind, how))
        used.add(number)
    invented = [
        Invented(truth["book"], f["rule"], f["tag"], _cell(f), f["message"], not truth["faults"])
        for number, f in enumerate(report["findings"])
        if number not in used and f["severity"] != "note" and not _is_right(f, truth)
    ]
    taken = columns.compare(truth, report) if "cols" in truth and not truth["faults"] else []
    return Score(outcomes, invented, columns=taken)


def _outcome(book: str, fault: Mapping[str, Any], kind: str, how: str) -> Outcome:
    how = "" if how == AT_ITS_CELL else how
    return Outcome(book, fault["rule"], _tags(fault["tag"]), tuple(fault["cells"]), fault["why"], kind, how)


def _found(fault: Mapping[str, Any], findings: list[Any]) -> tuple[str, str, int] | None:
    """Whether and how a fault was found, and the number of the finding."""
    rule, others, cells, tags = fault["rule"], fault["alt"], set(fault["cells"]), _tags(fault["tag"])
    for how in (AT_ITS_CELL, ELSEWHERE, "as", REPEATED):
        for number, finding in enumerate(findings):
            its_cell, its_gauge = _cell(finding) in cells, _concerns(finding["tag"], tags)
            fits = {
                AT_ITS_CELL: finding["rule"] == rule and its_cell,
                ELSEWHERE: finding["rule"] == rule and its_gauge,
                "as": finding["rule"] in others and (its_cell or its_gauge),
                REPEATED: rule in finding["also"] and its_gauge,
            }
            if fits[how]:
                return "found", f"as {finding['rule']}" if how == "as" else how, number
    return None


def _missed(fault: Mapping[str, Any], report: Report) -> tuple[str, str, None]:
    tags, rules = _tags(fault["tag"]), {fault["rule"], *fault["alt"]}
    places = [re.fullmatch(r"(.*)!([A-Z]+)(\d+)", cell) for cell in fault["cells"]]
    rows = {(place[1], int(place[3])) for place in places if place}
    said = [
        entry
        for entry in report["not_checked"]
        if entry["rule"] in rules
        and (_concerns(entry["tag"], tags) or (entry["sheet"], entry["row"]) in rows)
    ]
    if said:
        return "said", "; ".join(sorted({name for entry in said for name in entry["missing"]})), None
    unread = {(entry["sheet"], entry["column"]) for entry in report["unread_columns"]}
    unread &= {(place[1], place[2]) for place in places if place}
    if unread:
        return "unread", ", ".join("!".join(place) for place in sorted(unread)), None
    return "silent", "", None


def _is_right(finding: Mapping[str, Any], truth: Truth) -> bool:
    """Whether a finding that is no planted fault's own is right all the same."""
    allowed = any(
        entry["rule"] == finding["rule"]
        and (entry["tag"] is None or _concerns(finding["tag"], _tags(entry["tag"])))
        for entry in truth["allow"]
    )
    return allowed or any(
        (finding["rule"] == fault["rule"] and _cell(finding) in fault["cells"])
        or (
            finding["rule"] in (fault["rule"], *fault["alt"])
            and _concerns(finding["tag"], _tags(fault["tag"]))
        )
        for fault in truth["faults"]
    )


def _tags(tag: Any) -> tuple[str, ...]:
    return tuple(tag) if isinstance(tag, list | tuple) else (tag,)


def _cell(finding: Mapping[str, Any]) -> str:
    return f"{finding['sheet']}!{finding['cell']}"


def _concerns(tag: str, tags: tuple[str, ...]) -> bool:
    """Whether a finding's tag ('LG-811 / LT-811', 'LG-811 upper') is one of the gauge's."""
    return bool(tag) and any(
        tag == own or own in tag.replace(" / ", "/").split("/") or tag.startswith(f"{own} ") for own in tags
    )
