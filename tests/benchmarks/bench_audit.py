"""How long an audit takes, beside what bare readers and general-purpose checks need for the same file.

`python -m tests.benchmarks.bench_audit` writes an index of 100,000 rows by 40 columns, runs every contender
in a process of its own, several times in turn, and prints the table; `--rows` and `--rounds` change that, and
`--only json pandera_calamine` leaves out the others. All use compiled modules, as installed programs do,
whatever this process was told: a first round that does not count compiles them.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from tests.generator.large import HEADINGS, write_large


def audit(path: Path) -> int:
    from xlfuncs.audit.engine import audit_book

    return len(audit_book(path).findings)


def audit_json(path: Path) -> int:
    from xlfuncs.audit.engine import audit_book
    from xlfuncs.report.jsonfile import text

    return len(text(audit_book(path)).encode())


def openpyxl_cells(path: Path) -> int:
    import openpyxl

    book = openpyxl.load_workbook(path, read_only=True)
    return sum(cell.value is not None for sheet in book for row in sheet.iter_rows() for cell in row)


def openpyxl_values(path: Path) -> int:
    import openpyxl

    book = openpyxl.load_workbook(path, read_only=True)
    return sum(len(row) for sheet in book for row in sheet.iter_rows(values_only=True))


def calamine(path: Path) -> int:
    import python_calamine

    book = python_calamine.CalamineWorkbook.from_path(path)
    return sum(len(book.get_sheet_by_name(name).to_python()) for name in book.sheet_names)


def pandera_openpyxl(path: Path) -> int:
    return _pandera(path, "openpyxl")


def pandera_calamine(path: Path) -> int:
    return _pandera(path, "calamine")


def _pandera(path: Path, engine: Any) -> int:
    """Ten checks of a table: what can be said of one column, or of two, without knowing what a float is."""
    import pandas as pd
    import pandera.pandas as pa

    frame = pd.read_excel(path, engine=engine)
    positive, kelvin = pa.Check.gt(0), pa.Check.gt(-273.15)
    schema = pa.DataFrameSchema(
        {
            "Tag No.": pa.Column(str, pa.Check.str_matches(r"^L[GIT]-\d+"), unique=True),
            "Operating Density (kg/m3)": pa.Column(float, pa.Check.in_range(50, 14000), coerce=True),
            "Operating Temperature (degC)": pa.Column(float, kelvin, coerce=True),
            "Design Temperature (degC)": pa.Column(float, kelvin, coerce=True),
            "Design Pressure (barg)": pa.Column(float, pa.Check.gt(-1.013), coerce=True),
            "Float Weight (g)": pa.Column(float, positive, coerce=True),
            "Float Length (mm)": pa.Column(float, positive, coerce=True),
        },
        checks=[
            pa.Check(lambda table: table["URV (mm)"] > table["LRV (mm)"]),
            pa.Check(lambda table: table["LSL (mm)"] < table["LSH (mm)"]),
            pa.Check(lambda table: table["Float Max. Pressure (barg)"] >= table["Design Pressure (barg)"]),
        ],
    )
    try:
        schema.validate(frame, lazy=True)
    except pa.errors.SchemaErrors as errors:
        cases = errors.failure_cases
        return len(cases[["check", "index"]].drop_duplicates())
    return 0


CONTENDERS: dict[str, tuple[str, Callable[[Path], int]]] = {
    "audit": ("this audit", audit),
    "json": ("this audit and its JSON", audit_json),
    "openpyxl_cells": ("openpyxl, read-only, cells", openpyxl_cells),
    "openpyxl_values": ("openpyxl, read-only, values only", openpyxl_values),
    "calamine": ("python-calamine, values", calamine),
    "pandera_openpyxl": ("pandas (openpyxl) and pandera, ten checks", pandera_openpyxl),
    "pandera_calamine": ("pandas (calamine) and pandera, ten checks", pandera_calamine),
}


def _measured(name: str, path: Path) -> dict[str, float]:
    """Run one contender in a process of its own: seconds (all imports included), and memory in MiB."""
    command = [sys.executable, "-m", "tests.benchmarks.bench_audit", "--run", name, str(path)]
    environment = os.environ | {"PYTHONPYCACHEPREFIX": str(path.parent / "compiled")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    started = time.perf_counter()
    done = subprocess.run(command, capture_output=True, text=True, check=True, env=environment)
    whole = time.perf_counter() - started
    return {**json.loads(done.stdout.splitlines()[-1]), "whole": whole}


def _run(name: str, path: Path) -> None:
    import resource

    started = time.perf_counter()
    found = CONTENDERS[name][1](path)
    seconds = time.perf_counter() - started
    own, below = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    memory = (_highest() or own.ru_maxrss) / 1024
    if below.ru_maxrss > 0:
        memory += below.ru_maxrss / 1024
    cpu = own.ru_utime + own.ru_stime + below.ru_utime + below.ru_stime
    print(json.dumps({"seconds": seconds, "cpu": cpu, "memory": memory, "found": found}))


def _highest() -> int:
    """Most memory that this process has had, KiB; what `getrusage` says counts its parent's as well."""
    status = Path("/proc/self/status")
    lines = status.read_text().splitlines() if status.exists() else []
    return next((int(line.split()[1]) for line in lines if line.startswith("VmHWM")), 0)


def table(path: Path, rows: int, rounds: int, names: Sequence[str]) -> str:
    """The results as Markdown: the median of the rounds, taken in turn, and what the audit takes of each."""
    results: dict[str, list[dict[str, float]]] = {name: [] for name in names}
    write_large(path.with_name("first.xlsx"), 100)
    for name in names:
        _measured(name, path.with_name("first.xlsx"))
    for _ in range(rounds):
        for name in names:
            results[name].append(_measured(name, path))

    def median(name: str, key: str) -> float:
        return statistics.median(result[key] for result in results[name])

    about = (
        f"{rows:,} rows by {len(HEADINGS)} columns, {path.stat().st_size / 1e6:.1f} MB;"
        f" median of {rounds} rounds; Python {platform.python_version()}, {platform.machine()},"
        f" {os.cpu_count()} processors."
    )
    lines = [
        about,
        "",
        "| | seconds | CPU seconds | peak memory, MiB | found | audit over this, seconds | CPU seconds |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    for name in names:
        seconds, cpu = median(name, "seconds"), median(name, "cpu")
        found = f"{median(name, 'found'):,.0f}" if name == "audit" or name.startswith("pandera") else ""
        lines.append(
            f"| {CONTENDERS[name][0]} | {seconds:.1f} | {cpu:.1f} | {median(name, 'memory'):.0f} | {found} "
            f"| {median('audit', 'seconds') / seconds:.2f} | {median('audit', 'cpu') / cpu:.2f} |"
        )
    return "\n".join(lines)


def test_audit_of_5000_rows(benchmark: Any, tmp_path: Path) -> None:
    large = write_large(tmp_path / "index.xlsx", 5000)
    assert benchmark(audit, large.path) == len(large.planted)


def test_openpyxl_reading_5000_rows(benchmark: Any, tmp_path: Path) -> None:
    large = write_large(tmp_path / "index.xlsx", 5000)
    assert benchmark(openpyxl_values, large.path) == 5001 * len(HEADINGS)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=100_000)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--only", nargs="+", choices=CONTENDERS, default=list(CONTENDERS), metavar="NAME")
    parser.add_argument("--run", nargs=2, metavar=("NAME", "FILE"), help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.run:
        _run(given.run[0], Path(given.run[1]))
        return
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "index.xlsx"
        write_large(path, given.rows)
        print(table(path, given.rows, given.rounds, ["audit", *(n for n in given.only if n != "audit")]))


if __name__ == "__main__":
    main()
