"""What an audit returns. Its JSON form is stable: `schema` changes when a field changes its meaning."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from datetime import date
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.calculation import Calculation, Later
from xlfuncs.audit.evidence import Evidence
from xlfuncs.audit.measure import Measure as Measure
from xlfuncs.audit.remedy import Remedy
from xlfuncs.lists.accounts import SheetRows
from xlfuncs.lists.reading import ListRead, OpenColumn

SCHEMA = 1


class Severity(StrEnum):
    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """3 for an error, 1 for a note."""
        return {"error": 3, "warning": 2, "note": 1}[self.value]


@dataclass(slots=True)
class Finding:
    """One thing that is wrong, where it stands and the numbers that prove it."""

    rule: str
    severity: Severity
    sheet: str
    cell: str
    tag: str
    message: str
    """What is wrong, in one sentence with its number."""
    mend: str
    """What to do about it, in one sentence."""
    found: Measure | None = None
    expected: Measure | None = None
    evidence: dict[str, float | str] = field(default_factory=dict)
    """Name with its unit as a suffix (`reading_offset_mm`) -> number."""
    also: tuple[str, ...] = ()
    """Rules that only repeat this finding's cause and were left out."""
    status: str = ""
    """Against an older revision: 'new' or 'open'; "" where none was compared."""
    work: Later[Calculation] | None = field(default=None, repr=False, compare=False)
    """How it was computed, where it was: see `calculation`."""
    cure: Later[Remedy] | None = field(default=None, repr=False, compare=False)
    """What would mend it, where that can be computed: see `remedy`."""
    proof: tuple[Evidence, ...] = ()
    """`evidence` with its units and cells, what the rule itself compared."""
    answer: str = ""
    """What came back to the question about it: the answer, by whom, when, and where it stands."""
    gauge: tuple[str, str] | None = None
    """Sheet and cell of its gauge's tag, whichever cell it names itself; None where it is no gauge's."""

    @property
    def calculation(self) -> Calculation | None:
        """Inputs with their cells, equations, numbers and limit; None where nothing was computed."""
        return None if self.work is None else self.work.get()

    @property
    def remedy(self) -> Remedy | None:
        """What would mend it, with its numbers, the best first; None where that cannot be computed."""
        return None if self.cure is None else self.cure.get()


def gauges_of(findings: Iterable[Finding]) -> set[tuple[str, str]]:
    """The gauges of some findings of one result, by which reports count.

    Not by their tags: a row may lack one, and two rows may have the same.
    """
    return {f.gauge for f in findings if f.gauge is not None}


@dataclass(frozen=True, slots=True)
class Accepted:
    """A finding that somebody has accepted, with the findings that it covers."""

    tag: str
    rule: str
    who: str
    when: date
    why: str
    until: date
    service: str = ""
    """The gauges of a service; a part of its name will do, and "" is any."""
    cell: str = ""
    """The place of a finding without a tag."""
    state: str = ""
    """'used', 'unused' (fits no finding), or 'expired' (its findings count again)."""
    findings: list[Finding] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Waiting:
    """A column that a person has to say something of, the rules that wait for it, and for how many gauges."""

    column: OpenColumn
    rules: tuple[str, ...]
    gauges: int

    def to_dict(self) -> dict[str, Any]:
        """The stable JSON form."""
        out = asdict(self.column)
        return out | {"rules": list(self.rules), "gauges": self.gauges}


@dataclass(frozen=True, slots=True)
class Reading:
    """How the lists of a workbook were read, and what is open about it."""

    lists: tuple[ListRead, ...] = ()
    open: tuple[Waiting, ...] = ()
    """Those first for which most waits."""

    def to_dict(self) -> dict[str, Any]:
        """The stable JSON form."""
        lists = [
            {"sheet": one.sheet, "kind": one.kind, "rows": one.records, "heading_rows": list(one.headings),
             "columns": one.filled, "used": one.used, "line": one.line}
            for one in self.lists
        ]  # fmt: skip
        return {"lists": lists, "open": [one.to_dict() for one in self.open]}


@dataclass(frozen=True, slots=True)
class NotChecked:
    """A rule that could not be decided for a gauge, and the data that is missing."""

    rule: str
    tag: str
    missing: tuple[str, ...]
    """Labels of the missing fields, as a person would ask for them."""
    sheet: str = ""
    row: int = 0
    cell: str = ""
    """Where a value stands that was not understood; "" where none stands."""
    why: str = ""
    """What stands there, and what to write."""
    perhaps: tuple[str, ...] = ()
    """For each of the missing data the columns in doubt in which it may stand; "" where there are none."""

    @property
    def lacking(self) -> tuple[str, ...]:
        """What is missing, with the cell that was not understood."""
        return _lacking(self.missing, self.cell, self.why, self.perhaps)


def _lacking(missing: tuple[str, ...], cell: str, why: str, perhaps: tuple[str, ...]) -> tuple[str, ...]:
    if cell:
        return tuple(f"{label} ({cell}: {why})" for label in missing)
    if not perhaps:
        return missing
    return tuple(
        f"{label} (perhaps in {where}, which is in doubt)" if where else label
        for label, where in zip(missing, perhaps, strict=True)
    )


Place = tuple[str, str, int]
"""Tag, sheet and row of a gauge."""


class Picked(Sequence[Place]):
    """Some of the gauges of an index, by their numbers."""

    def __init__(
        self,
        tags: NDArray[np.object_],
        sheets: NDArray[np.object_],
        rows: NDArray[np.int64],
        numbers: NDArray[np.int64],
    ) -> None:
        self._of_all = tags, sheets, rows
        self._numbers = numbers

    def __len__(self) -> int:
        return len(self._numbers)

    def __iter__(self) -> Iterator[Place]:
        return zip(*(values[self._numbers].tolist() for values in self._of_all), strict=True)

    def __getitem__(self, index: Any) -> Any:
        if isinstance(index, slice):
            return list(Picked(*self._of_all, self._numbers[index]))
        tag, sheet, row = (values[self._numbers[index]] for values in self._of_all)
        return str(tag), str(sheet), int(row)


@dataclass(frozen=True, slots=True)
class UncheckedBlock:
    """One rule that could not be decided, for many gauges that lack the same data."""

    rule: str
    missing: tuple[str, ...]
    gauges: Sequence[Place]
    cell: str = ""
    why: str = ""
    fields: tuple[frozenset[str], ...] = ()
    """For each of the missing data the fields that can give it."""
    perhaps: tuple[str, ...] = ()

    @property
    def lacking(self) -> tuple[str, ...]:
        """What is missing, with the cell that was not understood."""
        return _lacking(self.missing, self.cell, self.why, self.perhaps)

    def of(self, tag: str, sheet: str, row: int) -> NotChecked:
        """The same for one of its gauges."""
        return NotChecked(self.rule, tag, self.missing, sheet, row, self.cell, self.why, self.perhaps)

    def entry(self, tag: str, sheet: str, row: int) -> dict[str, Any]:
        """The same in the stable JSON form."""
        out: dict[str, Any] = {"rule": self.rule, "tag": tag, "missing": list(self.missing)}
        out |= {"sheet": sheet, "row": row}
        if self.cell:
            out |= {"cell": self.cell, "why": self.why}
        return out | ({"perhaps": list(self.perhaps)} if self.perhaps else {})


class Unchecked(Sequence[NotChecked]):
    """`NotChecked` for every rule and gauge, kept by blocks: a long index has millions of them."""

    def __init__(self, blocks: Sequence[UncheckedBlock] = ()) -> None:
        self.blocks = list(blocks)

    def __len__(self) -> int:
        return sum(len(block.gauges) for block in self.blocks)

    def __iter__(self) -> Iterator[NotChecked]:
        for block in self.blocks:
            for tag, sheet, row in block.gauges:
                yield block.of(tag, sheet, row)

    def __getitem__(self, index: Any) -> Any:
        if isinstance(index, slice):
            return list(self)[index]
        for block in self.blocks if index >= 0 else ():
            if index < len(block.gauges):
                tag, sheet, row = block.gauges[index]
                return block.of(tag, sheet, row)
            index -= len(block.gauges)
        raise IndexError(index)


def blocks_of(not_checked: Sequence[NotChecked]) -> Iterable[UncheckedBlock]:
    """The same by blocks."""
    if isinstance(not_checked, Unchecked):
        return not_checked.blocks
    return (
        UncheckedBlock(n.rule, n.missing, [(n.tag, n.sheet, n.row)], n.cell, n.why, perhaps=n.perhaps)
        for n in not_checked
    )


@dataclass(frozen=True, slots=True)
class RuleNotRun:
    """A rule of another distribution that could not be run; the others were."""

    rule: str
    origin: str
    """The distribution and its entry point."""
    file: str
    line: int
    why: str

    def __str__(self) -> str:
        return (
            f"rule {self.rule} was not run: {self.file}, line {self.line}: {self.why}"
            f"; mend or uninstall {self.origin}"
        )


@dataclass(slots=True)
class AuditResult:
    """The one object from which every report is made."""

    workbook: str
    sha256: str
    rows_audited: int
    columns: dict[str, dict[str, str]]
    """Sheet -> field -> column letter."""
    settings: dict[str, Any]
    findings: list[Finding]
    not_checked: Sequence[NotChecked]
    doubts: list[dict[str, Any]] = field(default_factory=list)
    """What the reader would not guess: kind, sheet, cell, text."""
    skipped: dict[str, int] = field(default_factory=dict)
    """Why rows were not audited -> how many."""
    gauges: list[dict[str, Any]] = field(default_factory=list)
    """For the drawings of a report: what is known of each gauge that has a finding."""
    units: dict[str, dict[str, str]] = field(default_factory=dict)
    """Sheet -> field -> unit of its column, where it has one."""
    version: str = ""
    since: str = ""
    """The older revision that this one was compared with."""
    since_sha256: str = ""
    mended: list[Finding] = field(default_factory=list)
    """Findings of the older revision that are gone."""
    accepted: list[Accepted] = field(default_factory=list)
    unread_columns: list[dict[str, Any]] = field(default_factory=list)
    """Headings with data that were taken for nothing: sheet, column, cell, heading, the field that comes
    nearest (nearest), and what it is where the audit knows it and has no use for it (known_as)."""
    reading: Reading = field(default_factory=Reading)
    rows: Sequence[SheetRows] = ()
    """What became of every row of every sheet."""
    own_sheets: tuple[str, ...] = ()
    """Sheets of the workbook that an earlier report has added: a new copy has new ones in their place."""
    rules_not_run: list[RuleNotRun] = field(default_factory=list)
    """Own rules of a company that failed: what they would have found is not among the findings."""
    doubled: Mapping[Place, str] = field(default_factory=dict)
    """Gauges whose tag another one before them has -> a name that tells them apart."""

    def worst(self) -> Severity | None:
        """The highest severity among the findings."""
        return max((f.severity for f in self.findings), key=lambda s: s.rank, default=None)

    def count(self, severity: Severity) -> int:
        return sum(f.severity == severity for f in self.findings)

    def to_dict(self) -> dict[str, Any]:
        """The stable JSON form."""
        return {
            "schema": SCHEMA,
            "xlfuncs": self.version,
            "workbook": self.workbook,
            "sha256": self.sha256,
            "rows_audited": self.rows_audited,
            "gauges_with_findings": len(gauges_of(self.findings)),
            "columns": self.columns,
            "units": self.units,
            "unread_columns": self.unread_columns,
            "reading": self.reading.to_dict(),
            "settings": self.settings,
            "findings": [_finding(f) for f in self.findings],
            "not_checked": [
                block.entry(*gauge) for block in blocks_of(self.not_checked) for gauge in block.gauges
            ],
            "doubts": self.doubts,
            "skipped": self.skipped,
            "rows": {one.sheet: {what: one.places(what) for what in one.rows} for one in self.rows},
            "since": {"workbook": self.since, "sha256": self.since_sha256} if self.since else None,
            "mended": [_finding(f) for f in self.mended],
            "accepted": [_accepted(a) for a in self.accepted],
            "rules_not_run": [asdict(one) for one in self.rules_not_run],
        }


def _finding(finding: Finding) -> dict[str, Any]:
    calculation, remedy = finding.calculation, finding.remedy
    out = asdict(replace(finding, work=None, cure=None))
    del out["work"], out["cure"]
    out["severity"] = finding.severity.value
    out["also"] = list(finding.also)
    out["proof"] = [one.to_dict() for one in finding.proof]
    out["gauge"] = None if finding.gauge is None else dict(zip(("sheet", "cell"), finding.gauge, strict=True))
    out["calculation"] = None if calculation is None else calculation.to_dict()
    out["remedy"] = None if remedy is None else remedy.to_dict()
    return out


def _accepted(entry: Accepted) -> dict[str, Any]:
    out = {name: getattr(entry, name) for name in ("tag", "rule", "service", "cell", "who", "why", "state")}
    out |= {"when": entry.when.isoformat(), "until": entry.until.isoformat()}
    out["findings"] = [_finding(f) for f in entry.findings]
    return out
