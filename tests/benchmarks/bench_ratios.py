"""The speed that is promised of a call, as ratios: `python -m tests.benchmarks.bench_ratios`.

Each thing is timed in turn with what it is compared with, in processor time, so that other programs on the
machine disturb both; the least of many rounds counts.
"""

from __future__ import annotations

import gc
import math
import time
from collections.abc import Callable
from itertools import chain
from typing import Any

import numpy as np

from xlfuncs.worksheet import call

COLUMN = np.linspace(270, 300, 1_000_000).reshape(-1, 1)
ROWS = COLUMN.tolist()
MASS, DIAMETER, LENGTH, MAGNET, DENSITY = 280, 50, 200, 160, 850


def immersion(mass: Any, diameter: float, density: float) -> Any:
    """The immersion of a flat cylinder in mm, without units, ranges or checks."""
    return mass / 1000 / (density * math.pi * (diameter / 1000) ** 2 / 4) * 1000


def offset(mass: Any, diameter: float, density: float) -> Any:
    """Indicated minus true level in mm, likewise."""
    return MAGNET - immersion(mass, diameter, density)


FUNCTIONS: dict[str, tuple[tuple[int, ...], Callable[..., Any]]] = {
    "LG_IMMERSION": ((DIAMETER, LENGTH), immersion),
    "LG_READING_OFFSET": ((DIAMETER, LENGTH, MAGNET), offset),
}
"""Arguments between mass and density, and the plain numpy expression of each."""


def least(rounds: int, *works: Callable[[], Any]) -> list[float]:
    """Processor seconds of each, the least of the rounds; they take turns."""
    seconds = [math.inf] * len(works)
    for work in works:
        work()
    gc.collect()
    gc.disable()
    try:
        for _ in range(rounds):
            for at, work in enumerate(works):
                start = time.process_time()
                work()
                seconds[at] = min(seconds[at], time.process_time() - start)
    finally:
        gc.enable()
    return seconds


def main() -> None:
    count = 1000

    def scalars(density: Any) -> Callable[[], Any]:
        return lambda: [call("LG_IMMERSION", MASS, DIAMETER, LENGTH, density) for _ in range(count)]

    numbers, texts = least(100, scalars(DENSITY), scalars("0.85 SG"))
    print(f"a scalar call: numbers {numbers / count * 1e6:.1f} us, unit text {texts / count * 1e6:.1f} us")
    for name, (between, plain) in FUNCTIONS.items():
        _ranges(name, between, plain)


def _ranges(name: str, between: tuple[int, ...], plain: Callable[..., Any]) -> None:
    def ours(masses: Any, density: Any) -> Callable[[], Any]:
        return lambda: call(name, masses, *between, density)

    array, texts, bare = least(
        60, ours(COLUMN, DENSITY), ours(COLUMN, "0.85 SG"), lambda: plain(COLUMN, DIAMETER, DENSITY)
    )
    print(
        f"{name} of an array of a million: {array * 1e3:.2f} ms, unit text {texts * 1e3:.2f} ms; "
        f"the plain numpy expression {bare * 1e3:.2f} ms; ratio {array / bare:.2f}"
    )
    rows, iterated = least(
        8, ours(ROWS, DENSITY), lambda: np.fromiter(chain.from_iterable(ROWS), np.float64, len(ROWS))
    )
    print(
        f"{name} of a column as a million rows: {rows * 1e3:.0f} ms; np.fromiter over it "
        f"{iterated * 1e3:.0f} ms; ratio {rows / iterated:.2f}"
    )


if __name__ == "__main__":
    main()
