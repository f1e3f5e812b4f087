"""A diagnosis for a terminal and as JSON."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, TextIO

import numpy as np
from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from xlfuncs.gauge import reasons
from xlfuncs.gauge.causes import AS_DESIGNED, NONE
from xlfuncs.gauge.diagnosis import (
    FOUND,
    LEAST_PROBABILITY,
    NOTHING_WRONG,
    UNEXPLAINED,
    UNTOLD,
    Diagnosis,
    Finding,
)
from xlfuncs.gauge.faulty import predict
from xlfuncs.gauge.signal import SPAN, ZERO
from xlfuncs.report import _words as words
from xlfuncs.report.cautions import FIELD
from xlfuncs.report.text import Item, banner, terminal
from xlfuncs.worksheet.diagnosis import HEADINGS, lacks_level, next_text, table

_SHOWN = 6
"""Causes in the table; the rest is beyond doubt."""
_NAMED = 8
"""Causes in the verdict."""
_IN_A_CELL = 3
"""Causes in a cell of the history."""
SCHEMA = 1


@dataclass(frozen=True)
class Diagnosed:
    """What was read and what was found."""

    source: str
    """The file."""
    tag: str
    diagnosis: Diagnosis
    not_read: Sequence[str] = ()
    """Columns of the readings that were not understood, each with what to do."""
    left: Diagnosis | None = None
    """Of the readings after the work."""

    @property
    def settled(self) -> bool:
        """One cause stands out or nothing is wrong; what was left, if it was read, shows nothing wrong."""
        left = self.left is None or _may_be_right(self.left)
        return self.diagnosis.verdict in (FOUND, NOTHING_WRONG) and left


def _expected(found: Diagnosis, finding: Finding) -> tuple[list[float], list[float]]:
    """Indicated level [mm] and current [mA] that a cause gives for each reading."""
    gauge = found.case.gauge
    with reasons():
        made = predict(found.case, finding.cause.state(found.case, np.array([finding.values])))
    share = (np.atleast_2d(made.signal)[0] - gauge.lrv) / (gauge.urv - gauge.lrv)
    current = ZERO + SPAN * (1 - share if gauge.reverse else share)
    return (1e3 * np.atleast_2d(made.indicated)[0]).tolist(), (1e3 * current).tolist()


def _designed(found: Diagnosis) -> Finding:
    return next(f for f in found.findings if f.cause is AS_DESIGNED)


# --- JSON -------------------------------------------------------------------------------------------


def to_json(diagnosed: Diagnosed) -> str:
    """One JSON object; null is what is not known."""
    found = diagnosed.diagnosis
    names = [heading.replace(" ", "_") for heading in HEADINGS]
    rows = [dict(zip(names, map(_value, row), strict=True)) for row in table(found)[1:]]
    return json.dumps(
        {
            "schema": SCHEMA,
            "source": diagnosed.source,
            "tag": diagnosed.tag,
            "not_read": list(diagnosed.not_read),
            "verdict": found.verdict,
            "level_known": found.case.level_known,
            "rivals": [f.cause.name for f in found.rivals],
            "next_observation": next_text(found, 0),
            "as_left": None if diagnosed.left is None else _as_left(diagnosed.left),
            "level_noise_mm": _value(1e3 * found.case.level_noise),
            "density_noise_percent": _value(100 * found.case.density_noise),
            "causes": rows,
        },
        indent=2,
    )


def _value(cell: Any) -> Any:
    if cell == "" or (isinstance(cell, float) and not math.isfinite(cell)):
        return None
    return float(f"{cell:.9g}") if isinstance(cell, float) else cell


# --- terminal ---------------------------------------------------------------------------------------


def print_diagnosis(diagnosed: Diagnosed, stream: TextIO) -> None:
    """The verdict, what to read next, the causes, and the readings beside what was to be expected."""
    console = terminal(stream)
    for part in _report(diagnosed):
        console.print(part)


def _report(diagnosed: Diagnosed) -> Iterable[RenderableType]:
    found = diagnosed.diagnosis
    name = " ".join(filter(None, (words.one_line(diagnosed.source), words.one_line(diagnosed.tag))))
    count = words.plural(len(found.case.readings), "reading")
    noise = f"{1e3 * found.case.level_noise:g} mm, density {100 * found.case.density_noise:g} %"
    yield Item(Text.assemble((name, "bold"), f": {count}, each level to {noise}"), 0)
    for text in diagnosed.not_read:
        yield Item(Text(words.one_line(text[:1].upper() + text[1:]), "bold"), 0)
    told = _verdict(found)
    yield Item(Text.assemble(("Verdict: ", "bold"), told), 0)
    if diagnosed.left is not None:
        yield Item(Text.assemble(("As left: ", "bold"), _as_left(diagnosed.left)), 0)
    if what := next_text(found, 0):
        yield Item(Text.assemble(("Next: ", "bold"), what), 0)
    yield Text()
    yield _causes(found)
    yield from banner("Readings, and what they would be")
    yield _readings(found)
    if found.untested:
        yield from banner("Not tested")
        lacking: dict[str, list[str]] = {}
        for cause, what in found.untested:
            lacking.setdefault(what, []).append(cause.name)
        yield from (Item(f"{', '.join(names)}: needs {what}") for what, names in lacking.items())
    yield from banner("Cautions")
    yield from (Item(text) for text in FIELD)


def cause_found(found: Diagnosis) -> str:
    """The verdict in a cell: the cause, or those that are left."""
    if found.verdict in (FOUND, NOTHING_WRONG):
        return found.findings[0].cause.name if found.verdict == FOUND else "nothing wrong"
    if found.verdict == UNEXPLAINED:
        return "none of the listed causes"
    if found.withheld:
        return "nothing wrong in what was read; not all was"
    names = [f.cause.name for f in found.rivals]
    more = f"; and {len(names) - _IN_A_CELL} more" if len(names) > _IN_A_CELL else ""
    return f"one of: {'; '.join(names[:_IN_A_CELL])}{more}"


def _as_left(found: Diagnosis) -> str:
    """How far off the gauge was left, and what that shows."""
    off = 1e3 * (found.case.readings.indicated - np.array(_expected(found, _designed(found))[0]) / 1e3)
    known = off[~np.isnan(off)]
    count = words.plural(len(found.case.readings), "reading")
    told = "no fault shows" if _may_be_right(found) else _verdict(found)
    return f"{count}, off by {known.min():+.0f} to {known.max():+.0f} mm: {told}" if len(known) else told


def _may_be_right(found: Diagnosis) -> bool:
    """Nothing wrong fits the readings as well as anything else."""
    return found.case.level_known and not found.withheld and any(f.cause is AS_DESIGNED for f in found.rivals)


def withheld(found: Diagnosis) -> str:
    """Why nothing is said to be right though nothing wrong shows."""
    first, *more = found.withheld
    others = f"; and {len(more)} more" if more else ""
    return f"{UNTOLD}: nothing wrong shows in the columns that were read, but {first}{others}"


def _verdict(found: Diagnosis) -> str:
    if found.withheld:
        return withheld(found)
    if lacks_level(found):
        return f"{UNTOLD}: no true level was read; indicated level and current only agree with each other"
    if found.verdict == UNTOLD:
        names = [f.cause.name for f in found.rivals]
        more = f"; and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
        return f"{UNTOLD} between {'; '.join(names[:_NAMED])}{more}"
    first = found.findings[0]
    if found.verdict == UNEXPLAINED:
        first = next(f for f in found.findings if f.cause is not NONE)
        return (
            f"{UNEXPLAINED}: no listed cause explains the readings; nearest: {first.cause.name}"
            f"{fitted(found, first, ', ')}"
        )
    return f"{found.verdict}: {first.cause.name}{fitted(found, first, ', ')}"


def fitted(found: Diagnosis, finding: Finding, before: str = "") -> str:
    """`shift -20.3 ± 1.5 mm`: the uncertainty to two figures, the value to as many decimals.

    Without it where the noise does not explain the misfit: it would be that of a wrong model.
    """
    texts = []
    for parameter, value, about in zip(
        finding.cause.parameters, finding.values, finding.uncertainties, strict=True
    ):
        if math.isnan(value):
            continue
        shown, u = (parameter.shown(found.case, x) for x in (value, about))
        if finding.probability < LEAST_PROBABILITY or not u > 0:
            text = f"{parameter.name} {shown:.3g} {parameter.unit}"
        else:
            decimals = min(max(0, 1 - math.floor(math.log10(u))), 4)
            text = f"{parameter.name} {shown:.{decimals}f} ± {max(u, 1e-4):.{decimals}f} {parameter.unit}"
        texts.append(text.rstrip())
    ends = " (at the end of what it can be)" if finding.at_end else ""
    return f"{before}{', '.join(texts)}{ends}" if texts else ""


def _causes(found: Diagnosis) -> Table:
    made = Table(box=None, padding=(0, 1, 0, 0), pad_edge=False, header_style="bold")
    made.add_column("", justify="right")
    made.add_column("cause")
    made.add_column("fitted")
    made.add_column("misfit", justify="right")
    made.add_column("weight", justify="right")
    for rank, finding in enumerate(found.findings[:_SHOWN], start=1):
        misfit = f"{finding.misfit:.2f}" if finding.misfit < 1000 else "> 1000"
        if finding.cause is NONE:
            misfit = "-"
        weight = f"{finding.weight:.2f}" if finding.weight >= 0.005 else "< 0.01"
        made.add_row(str(rank), finding.cause.name, fitted(found, finding), misfit, weight)
    return made


def _readings(found: Diagnosis) -> Table:
    read, case = found.case.readings, found.case
    best = next(f for f in found.findings if f.cause is not NONE)
    designed = _designed(found)
    pairs = [("as designed", _expected(found, designed))]
    if best is not designed:
        pairs.append(("cause 1", _expected(found, best)))
    made = Table(box=None, padding=(0, 1, 0, 0), pad_edge=False, header_style="bold")
    columns: list[tuple[str, list[float], str]] = [("true\nmm", (1e3 * read.level).tolist(), ".0f")]
    columns.append(("indicated\nmm", (1e3 * read.indicated).tolist(), ".0f"))
    columns += [(f"{name}\nmm", shown, ".0f") for name, (shown, _) in pairs]
    if not np.isnan(case.signal).all():
        columns.append(("current\nmA", (1e3 * read.current).tolist(), ".2f"))
        columns += [(f"{name}\nmA", current, ".2f") for name, (_, current) in pairs]
    for head, _, _ in columns:
        made.add_column(head, justify="right")
    for row in zip(*(values for _, values, _ in columns), strict=True):
        cells = (
            f"{value:{form}}" if math.isfinite(value) else "-"
            for value, (_, _, form) in zip(row, columns, strict=True)
        )
        made.add_row(*cells)
    return made
