"""Speed of units: `pytest tests/benchmarks/bench_units.py --benchmark-only`."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from xlfuncs.units import converter, find_unit, parse, to_si

COLUMN = np.linspace(0.5, 1.1, 100_000)


def test_repeated_unit(benchmark: BenchmarkFixture) -> None:
    converter("SG", "density")
    assert benchmark(to_si, 0.82, "SG", "density") == pytest.approx(819.2, abs=0.1)


def test_repeated_text(benchmark: BenchmarkFixture) -> None:
    parse("0.82 SG", "density")
    assert benchmark(parse, "0.82 SG", "density").number == 0.82


def test_new_text(benchmark: BenchmarkFixture) -> None:
    texts = (f"0.{number} SG" for number in itertools.count(10_000_000))
    benchmark(lambda: parse(next(texts), "density"))


def test_new_range_text(benchmark: BenchmarkFixture) -> None:
    texts = (f"0.{number}–0,87 kg/l (note 1)" for number in itertools.count(10_000_000))
    benchmark(lambda: parse(next(texts), "density"))


def test_new_heading(benchmark: BenchmarkFixture) -> None:
    texts = (f"Operating pressure {number} (barg)" for number in itertools.count())
    benchmark(lambda: find_unit(next(texts)))


@pytest.mark.parametrize("unit", ["kg/m3", "degAPI"])
def test_column(benchmark: BenchmarkFixture, unit: str) -> None:
    one = converter(unit, "density")
    assert benchmark(one.to_si, COLUMN).shape == COLUMN.shape
