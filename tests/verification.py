"""Every check of a function against a value that this package did not compute.

    python -m tests.verification [--summary]

prints the table: function, case, kind and text of the source, published, ours, deviation, tolerance
and verdict; below it how many checks there are of each kind, which functions have no source outside of this
package, and how often the diagnosis names the fault of made-up gauges. The exit status is 1 if a value is
outside its tolerance or a function of the catalogue has no check, 2 if a table cannot be read. With --summary
only what is outside and the counts, without the made-up gauges, which take three minutes.

The checks are the rows of `tests/published/*.csv`, with these columns:

function    name of a worksheet function, or dotted name of a callable of `xlfuncs.gauge`
case        what the row is about
inputs      JSON: list of arguments as in a cell, or object of SI keyword arguments for a callable
output      which part of the result: an index, several joined by '/' for a table; blank for all of it
value       as printed in the source; a text is compared as it stands
tolerance   absolute: half the last printed digit, or what the source states
unit        of value and tolerance
source      standard, table, page; or the library that computed it; or 'from memory: ...'

The kind of a source follows from its text:

printed     a standard, a handbook, a release, read in print or in a reprint
relation    an equation read in print or in a reprint ('relation: ...'), evaluated for the case
library     a general-purpose library has a function for the quantity: fluids, ht, CoolProp, iapws, magpylib
solver      the governing equation, solved by a general-purpose solver: scipy, numpy
own         by hand or by a script of ours: it shows slips, and is no independent source
memory      a printed value that was not read again
"""

from __future__ import annotations

import csv
import json
import re
import sys
from collections import Counter, defaultdict
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np

from xlfuncs.worksheet import Refusal, call, catalogue

FOLDER = Path(__file__).parent / "published"
OUTSIDE = {"printed", "library", "relation"}
"""Kinds of sources that are independent of this package."""
WIDEST = (40, 50, 8, 70, 26, 22, 9, 9, 7)
"""Characters of each column that are printed."""
COLUMNS = ("function", "case", "inputs", "output", "value", "tolerance", "unit", "source")


KINDS = ("printed", "library", "relation", "solver", "own", "memory")
_LIBRARY = re.compile(r"\b(?:fluids|ht|CoolProp|chemicals|iapws|thermo|pint|shapely|magpylib)\b")
_SOLVER = re.compile(r"\b(?:scipy|numpy|eigenvalues?|odeint|solve_\w+)\b")
_OWN = re.compile(
    r"by hand|by a separate script|plain Python|closed form|simulated|worked in|separate script"
)


def kind(source: str) -> str:
    """Kind of a source by its text.

    >>> kind("from memory: IAPWS R1-76(2014), Table 1"), kind("geometry, by hand")
    ('memory', 'own')
    >>> kind("relation: Rao, Mechanical Vibrations, eq. E.11")
    'relation'
    >>> kind("computed with fluids.geometry.TANK and scipy.optimize.brentq"), kind("ASTM D1250-80, Table 6A")
    ('library', 'printed')
    """
    if "from memory" in source:
        return "memory"
    if source.startswith("relation: "):
        return "relation"
    if _LIBRARY.search(source) and "computed with" in source:
        return "library"
    if _SOLVER.search(source):
        return "solver"
    return "own" if _OWN.search(source) else "printed"


@dataclass(frozen=True)
class Check:
    """One row of a table of published values."""

    place: str
    function: str
    case: str
    inputs: list[Any] | dict[str, Any]
    output: tuple[int, ...]
    value: float | str
    tolerance: float
    unit: str
    source: str

    @property
    def kind(self) -> str:
        """Kind of the source, one of `KINDS`."""
        return kind(self.source)

    def ours(self) -> float | str:
        """What this package gives."""
        if isinstance(self.inputs, dict):
            module, _, name = self.function.rpartition(".")
            given = {key: np.array(x) if isinstance(x, list) else x for key, x in self.inputs.items()}
            result = getattr(import_module(module), name)(**given)
        else:
            result = call(self.function, *self.inputs)
        for index in self.output:
            result = result[index]
        return str(result) if isinstance(result, (str, Refusal)) else float(result)

    def deviation(self, ours: float | str) -> float | None:
        """Ours less the published value; None for texts and where there is no number."""
        if isinstance(ours, str) or isinstance(self.value, str):
            return None
        return ours - self.value

    def holds(self, ours: float | str) -> bool:
        deviation = self.deviation(ours)
        if deviation is None:
            return ours == self.value
        return abs(deviation) <= self.tolerance * (1 + 1e-9)


def _check(place: str, row: dict[str, str]) -> Check:
    try:
        inputs = json.loads(row["inputs"])
        if not isinstance(inputs, dict if "." in row["function"] else list):
            raise ValueError("a worksheet function takes a list of inputs, a gauge callable an object")
        if not row["source"].strip():
            raise ValueError("source is blank")
        value: float | str
        try:
            value, tolerance = float(row["value"]), float(row["tolerance"])
        except ValueError:
            if row["tolerance"].strip():
                raise
            value, tolerance = row["value"], 0.0
        output = tuple(int(part) for part in row["output"].split("/") if part.strip())
    except (KeyError, TypeError, ValueError) as why:
        raise ValueError(f"{place}: {why}") from None
    return Check(
        place, row["function"], row["case"], inputs, output, value, tolerance, row["unit"], row["source"]
    )


def read() -> list[Check]:
    """All rows of all tables."""
    checks = []
    for path in sorted(FOLDER.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as handle:
            reader = csv.DictReader(handle, strict=True)
            if tuple(reader.fieldnames or ()) != COLUMNS:
                raise ValueError(f"{path.name}: the columns must be {', '.join(COLUMNS)}")
            checks += [_check(f"{path.name}:{reader.line_num}", row) for row in reader]
    return checks


def sources(checks: list[Check]) -> dict[str, set[str]]:
    """Different sources behind each function of the catalogue that computes something.

    A check of the callable behind a worksheet function counts for that function.
    """
    found: dict[str, set[str]] = defaultdict(set)
    for check in checks:
        found[check.function].add(check.source)
    return {
        name: found[name] | found[function.call.replace(":", ".")]
        for name, function in catalogue().items()
        if function.source != "this package"
    }


def _shown(value: float | str | None) -> str:
    if value is None:
        return ""
    return value if isinstance(value, str) else f"{value:.10g}"


def kinds(checks: list[Check]) -> dict[str, set[str]]:
    """Kinds of the sources behind each function of the catalogue that computes something."""
    return {name: {kind(source) for source in found} for name, found in sources(checks).items()}


def unconfirmed(checks: list[Check]) -> list[str]:
    """Functions with neither a printed source nor a library's, nor a printed relation."""
    return sorted(name for name, found in kinds(checks).items() if not found & OUTSIDE)


def by_relation(checks: list[Check]) -> list[str]:
    """Functions that have a printed relation, and neither a printed value nor a library's."""
    return sorted(name for name, found in kinds(checks).items() if found & OUTSIDE == {"relation"})


def _by_kind(checks: list[Check]) -> list[str]:
    count = Counter(check.kind for check in checks)
    found = [f"by kind of source: {', '.join(f'{count[name]} {name}' for name in KINDS)}"]
    alone = unconfirmed(checks)
    found.append(f"without a printed source, a library's or a printed relation: {', '.join(alone) or 'none'}")
    found.append(f"of the others by a printed relation alone: {', '.join(by_relation(checks)) or 'none'}")
    return found


def main() -> int:
    """Print the table; the exit status."""
    try:
        checks = read()
    except ValueError as why:
        print(why, file=sys.stderr)
        return 2
    table = [("function", "case", "kind", "source", "published", "ours", "deviation", "tolerance", "verdict")]
    outside = 0
    for check in checks:
        ours = check.ours()
        good = check.holds(ours)
        outside += not good
        deviation = check.deviation(ours)
        table.append(
            (
                check.function.removeprefix("xlfuncs."),
                check.case,
                check.kind,
                check.source,
                f"{_shown(check.value)} {check.unit}".strip(),
                _shown(ours),
                "" if deviation is None else f"{deviation:.2g}",
                "" if deviation is None else f"{check.tolerance:.2g}",
                "ok" if good else "OUTSIDE",
            )
        )
    summary = "--summary" in sys.argv[1:]
    widths = [min(most, max(len(row[i]) for row in table)) for i, most in enumerate(WIDEST)]
    for row in table if not summary else [row for row in table if row[-1] == "OUTSIDE"]:
        print("  ".join(cell[:width].ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
    behind = sources(checks)
    unchecked = [name for name, texts in behind.items() if not texts]
    for name in unchecked:
        print(f"{name}: no check")
    print(
        f"{len(checks)} checks of {len(behind) - len(unchecked)} worksheet functions:"
        f" {len(checks) - outside} within tolerance, {outside} outside, {len(unchecked)} functions unchecked"
    )
    print("\n".join(_by_kind(checks)))
    if not summary:
        from tests.diagnosis_trials import lines, outcomes, searches

        print()
        print("\n".join(lines(outcomes(), searches())))
    return 1 if outside or unchecked else 0


if __name__ == "__main__":
    sys.exit(main())
