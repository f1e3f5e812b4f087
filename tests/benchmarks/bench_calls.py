"""Speed of a call, from each host: `pytest tests/benchmarks/bench_calls.py --benchmark-only`.

The plain numpy expression is measured beside each, for comparison.
"""

from __future__ import annotations

import math
import subprocess
import sys
from pathlib import Path

import numpy as np
import openpyxl
import pytest

from xlfuncs.hosts.calc import office
from xlfuncs.hosts.calc.answer import answer
from xlfuncs.hosts.excel.udfs import make
from xlfuncs.hosts.recalculate import recalculate
from xlfuncs.worksheet import call, find

MASSES = np.linspace(270, 300, 100_000).reshape(-1, 1)
ROWS = MASSES.tolist()
FLOAT = (280, 50, 200)


def plain(mass, diameter, density):
    """The immersion of a flat cylinder in mm, without units, ranges or checks."""
    return mass / 1000 / (density * math.pi * (diameter / 1000) ** 2 / 4) * 1000


def test_scalar_plain(benchmark):
    benchmark(plain, 280, 50, 850)


def test_scalar_numbers(benchmark):
    assert benchmark(call, "LG_IMMERSION", *FLOAT, 850) == pytest.approx(plain(280, 50, 850))


def test_scalar_unit_text(benchmark):
    assert benchmark(call, "LG_IMMERSION", *FLOAT, "0.85 SG") == pytest.approx(167.933, abs=1e-3)


def test_scalar_through_excels_function(benchmark):
    function = make(find("LG_IMMERSION"))
    masses = iter(range(10**9))
    benchmark(lambda: function(280 + next(masses) * 1e-9, 50, 200, [["0.85 SG"]], None, None, None))


def test_scalar_through_calcs_answer(benchmark):
    masses = iter(range(10**9))
    benchmark(
        lambda: answer("LG_IMMERSION", (280 + next(masses) * 1e-9, 50, 200, "0.85 SG", None, None, None))
    )


def test_column_plain(benchmark):
    benchmark(plain, MASSES, 50, 850)


def test_column_of_100_000_array(benchmark):
    found = benchmark(call, "LG_IMMERSION", MASSES, 50, 200, 850)
    np.testing.assert_allclose(found, plain(MASSES, 50, 850))


def test_column_of_100_000_cells(benchmark):
    benchmark(call, "LG_IMMERSION", ROWS, 50, 200, 850)


def test_column_of_100_000_through_excels_function(benchmark):
    function = make(find("LG_IMMERSION"))
    benchmark(function, ROWS, 50, 200, 850, None, None, None)


def test_start_of_the_command(benchmark):
    command = [sys.executable, "-m", "xlfuncs", "--help"]
    benchmark.pedantic(subprocess.run, (command,), {"check": True, "stdout": subprocess.DEVNULL}, rounds=5)


@pytest.mark.parametrize("module", ["xlwings", "xlfuncs.hosts.excel.udfs"])
def test_import_for_excel(benchmark, module):
    command = [sys.executable, "-c", f"import {module}"]
    benchmark.pedantic(subprocess.run, (command,), {"check": True}, rounds=3)


@pytest.mark.parametrize("in_process", [False, True], ids=["worker", "in-process"])
def test_calc_calculates_10_000_formulas(benchmark, in_process):
    """The seconds that Calc needs are in extra_info; the measured time is the whole run."""
    count = 10_000
    steps = [
        {"do": "open", "path": None},
        {"do": "fill", "cell": "A1", "rows": [[280 + n / 1000] for n in range(count)]},
        {"do": "fill", "cell": "B1", "rows": [[f"=A{n}/1.6689"] for n in range(1, count + 1)]},
        {"do": "calculate"},
        {
            "do": "fill",
            "cell": "C1",
            "rows": [[f"=LG_IMMERSION(A{n};50;200;850)"] for n in range(1, count + 1)],
        },
        {"do": "fill", "cell": "A1", "rows": [[290 + n / 1000] for n in range(count)]},
        {"do": "calculate"},
        {"do": "array", "range": f"D1:D{count}", "formula": f"=LG_IMMERSION(A1:A{count};50;200;851)"},
        {"do": "formulas", "cells": {f"C{n}": "" for n in range(1, count + 1)}},
        {"do": "calculate"},
    ]
    found = benchmark.pedantic(office.run, (steps, in_process), rounds=1)
    _, _, _, built_in, _, _, ours, _, _, range_ = found
    benchmark.extra_info |= {"built-in": built_in, "ours": ours - built_in, "one range": range_ - built_in}
    print(f"\n{benchmark.extra_info}")


def test_recalculate_10_000_formulas_without_a_program(benchmark, tmp_path: Path):
    book = openpyxl.Workbook()
    for n in range(1, 10_001):
        book.active.append([280 + n / 1000, 50, 200, "0.85 SG", f"=LG_IMMERSION(A{n},B{n},C{n},D{n})"])
    book.save(tmp_path / "in.xlsx")
    files = (tmp_path / "in.xlsx", tmp_path / "out.xlsx")
    assert benchmark.pedantic(recalculate, files, rounds=1).formulas == 10_000
