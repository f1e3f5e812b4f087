"""Speed of a call, from each host: `pytest tests/benchmarks/bench_calls.py --benchmark-only`.

The plain numpy expression is measured beside each, for comparison.
"""

from __future__ import annotations

import math
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from itertools import chain
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from tests.calc_office import CalcOffice
from xlfuncs.cli import main
from xlfuncs.hosts.calc.answer import answer
from xlfuncs.hosts.excel import udfs
from xlfuncs.hosts.recalculate import recalculate
from xlfuncs.worksheet import call

MASSES = np.linspace(270, 300, 100_000).reshape(-1, 1)
ROWS = MASSES.tolist()
MILLION = np.linspace(270, 300, 1_000_000).reshape(-1, 1)
FLOAT = (280, 50, 200)
COUNT = 10_000
"""Formulas in Calc."""


def plain(mass: Any, diameter: float, density: float) -> Any:
    """The immersion of a flat cylinder in mm, without units, ranges or checks."""
    return mass / 1000 / (density * math.pi * (diameter / 1000) ** 2 / 4) * 1000


def test_scalar_plain(benchmark: BenchmarkFixture) -> None:
    benchmark(plain, 280, 50, 850)


def test_scalar_numbers(benchmark: BenchmarkFixture) -> None:
    assert benchmark(call, "LG_IMMERSION", *FLOAT, 850) == pytest.approx(plain(280, 50, 850))


def test_scalar_unit_text(benchmark: BenchmarkFixture) -> None:
    assert benchmark(call, "LG_IMMERSION", *FLOAT, "0.85 SG") == pytest.approx(167.933, abs=1e-3)


def test_scalar_through_excels_function(benchmark: BenchmarkFixture) -> None:
    masses = iter(range(10**9))
    benchmark(lambda: udfs.answer("LG_IMMERSION", 280 + next(masses) * 1e-9, 50.0, 200.0, "0.85 SG"))


def test_scalar_through_calcs_answer(benchmark: BenchmarkFixture) -> None:
    masses = iter(range(10**9))
    benchmark(
        lambda: answer("LG_IMMERSION", (280 + next(masses) * 1e-9, 50, 200, "0.85 SG", None, None, None))
    )


def test_column_plain(benchmark: BenchmarkFixture) -> None:
    benchmark(plain, MASSES, 50, 850)


def test_column_of_100_000_array(benchmark: BenchmarkFixture) -> None:
    found = benchmark(call, "LG_IMMERSION", MASSES, 50, 200, 850)
    np.testing.assert_allclose(found, plain(MASSES, 50, 850))


def test_column_of_100_000_cells(benchmark: BenchmarkFixture) -> None:
    benchmark(call, "LG_IMMERSION", ROWS, 50, 200, 850)


def test_column_of_100_000_through_excels_function(benchmark: BenchmarkFixture) -> None:
    benchmark(udfs.answer, "LG_IMMERSION", tuple(map(tuple, ROWS)), 50.0, 200.0, 850.0)


def test_a_million_plain(benchmark: BenchmarkFixture) -> None:
    benchmark(plain, MILLION, 50, 850)


def test_a_million_array(benchmark: BenchmarkFixture) -> None:
    benchmark(call, "LG_IMMERSION", MILLION, 50, 200, 850)


def test_a_million_rows_by_fromiter(benchmark: BenchmarkFixture) -> None:
    rows = MILLION.tolist()
    benchmark(lambda: np.fromiter(chain.from_iterable(rows), float, len(rows)))


def test_a_million_rows(benchmark: BenchmarkFixture) -> None:
    benchmark(call, "LG_IMMERSION", MILLION.tolist(), 50, 200, 850)


def test_start_of_the_command(benchmark: BenchmarkFixture) -> None:
    command = [sys.executable, "-m", "xlfuncs", "--help"]
    benchmark.pedantic(subprocess.run, (command,), {"check": True, "stdout": subprocess.DEVNULL}, rounds=5)


@pytest.mark.parametrize("module", ["xlwings", "xlfuncs.hosts.excel.udfs"])
def test_import_for_excel(benchmark: BenchmarkFixture, module: str) -> None:
    command = [sys.executable, "-c", f"import {module}"]
    benchmark.pedantic(subprocess.run, (command,), {"check": True}, rounds=3)


@pytest.mark.parametrize("way", ["worker", "in-process"])
def test_calc_calculates_10_000_formulas(
    benchmark: BenchmarkFixture, tmp_path: Path, capsys: pytest.CaptureFixture[str], way: str
) -> None:
    """Calc as its user starts it: seconds on the clock, and processor time of office and worker."""
    profile = tmp_path / "profile"
    main(["install", "calc", "--profile", str(profile), *(["--in-process"] if way == "in-process" else [])])
    found = {}
    with CalcOffice(profile) as calc:

        def measure(what: str, work: Callable[[], object]) -> None:
            start = time.perf_counter()
            processor = calc.seconds(work)
            found[what] = {"clock": time.perf_counter() - start, "processor": processor}

        def changed(cell: str, rows: list[list[Any]]) -> None:
            calc.do("fill", cell=cell, rows=rows)
            calc.do("calculate")

        calc.do("fill", cell="A1", rows=[[280 + n / 1000] for n in range(COUNT)])
        calc.do("fill", cell="B1", rows=[[850]])
        calc.do("fill", cell="C1", rows=[[f"=SUM(A{n};50;200;$B$1)"] for n in range(1, COUNT + 1)])
        measure("sums", lambda: calc.do("calculate"))
        ours = [[f"=LG_IMMERSION(A{n};50;200;$B$1)"] for n in range(1, COUNT + 1)]
        calc.do("fill", cell="C1", rows=ours)
        benchmark.pedantic(measure, ("nothing changed", lambda: calc.do("calculate")), rounds=1)
        measure("the shared argument changed", lambda: changed("B1", [[851]]))
        measure("each its own changed", lambda: changed("A1", [[270 + n / 1000] for n in range(COUNT)]))
        calc.do("fill", cell="C1", rows=[[""]] * COUNT)
        calc.do("array", range=f"C1:C{COUNT}", formula=f"=LG_IMMERSION(A1:A{COUNT};50;200;852)")
        measure("one formula for the range", lambda: calc.do("calculate"))
        calc.do("formulas", cells={"D1": "=LG_IMMERSION(E1;50;200;850)"})
        seconds = calc.do("time", cell="E1", values=[300 + n for n in range(101)], read="D1")
        found["one changed cell"] = {"clock": statistics.median(seconds)}
    benchmark.extra_info |= found
    with capsys.disabled():
        print()
        for what, times in found.items():
            print(f"{way:12}{what:28}", *(f"{kind} {seconds:.3f} s" for kind, seconds in times.items()))


def test_recalculate_10_000_formulas_without_a_program(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    for n in range(1, 10_001):
        book.worksheets[0].append([280 + n / 1000, 50, 200, "0.85 SG", f"=LG_IMMERSION(A{n},B{n},C{n},D{n})"])
    book.save(tmp_path / "in.xlsx")
    files = (tmp_path / "in.xlsx", tmp_path / "out.xlsx")
    assert benchmark.pedantic(recalculate, files, rounds=1).formulas == 10_000
