"""Time that reading a sheet takes by its shape, against a plain read of the same file.

    python -m tests.benchmarks.bench_shapes [--gauges N] [--rounds N]

Each shape holds the same gauges with the same properties. Printed: seconds of CPU time of `read_book`, of
openpyxl reading every cell, and of the audit's own reading of cells (`load_grid`); their ratios; the gauges
that were found.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from statistics import median
from time import process_time
from typing import Any, Final

from openpyxl import Workbook, load_workbook

from xlfuncs.lists.reader import load_grid, read_book

PROPERTIES: Final[tuple[tuple[str, str, tuple[float | str, ...]], ...]] = (
    ("Service", "", ("condensate", "wash oil", "naphtha")),
    ("Operating density", "kg/m3", (975, 880, 700)),
    ("Operating pressure", "barg", (4, 5, 6)),
    ("Design pressure", "barg", (10, 12, 16)),
    ("Operating temperature", "degC", (60, 45, 80)),
    ("Design temperature", "degC", (120, 110, 150)),
    ("Centre to centre distance", "mm", (1000, 1200, 800)),
    ("Visible range", "mm", (1000, 1200, 800)),
    ("Chamber inside diameter", "mm", (59, 59, 59)),
    ("Transmitter LRV", "mm", (0, 0, 0)),
    ("Transmitter URV", "mm", (1000, 1200, 800)),
    ("Switch set point low", "mm", (150, 200, 100)),
    ("Switch set point high", "mm", (850, 1000, 700)),
    ("Float type", "", ("ZQ-97", "ZQ-88", "ZQ-70")),
    ("Float outside diameter", "mm", (50, 50, 50)),
    ("Float length", "mm", (290, 290, 290)),
    ("Float mass", "g", (399, 360, 286)),
    ("Magnet height above float bottom", "mm", (213, 213, 213)),
    ("Float maximum pressure", "barg", (40, 40, 40)),
    ("Float maximum temperature", "degC", (180, 180, 180)),
)
Row = Sequence[Any]
Sheets = dict[str, list[Row]]


def _tag(i: int) -> str:
    return f"LG-{10001 + i}"


def _value(i: int, values: Sequence[float | str]) -> float | str:
    return values[i % len(values)]


def _headings() -> list[str]:
    return [f"{text} [{unit}]" if unit else text for text, unit, _ in PROPERTIES]


def a_list(n: int) -> Sheets:
    """One row for each gauge: the plain list that the others are compared with."""
    rows: list[Row] = [["Tag", *_headings()]]
    rows += [[_tag(i), *(_value(i, values) for _, _, values in PROPERTIES)] for i in range(n)]
    return {"Index": rows}


def long(n: int) -> Sheets:
    """One row for each property."""
    rows: list[Row] = [["Tag", "Characteristic", "Value", "Unit"]]
    rows += [[_tag(i), text, _value(i, values), unit] for i in range(n) for text, unit, values in PROPERTIES]
    return {"Export": rows}


def forms(n: int) -> Sheets:
    """A form below the other."""
    rows: list[Row] = []
    for i in range(n):
        rows.append(["Tag number", _tag(i)])
        rows += [[text, _value(i, values), unit] for text, unit, values in PROPERTIES]
        rows += [[], []]
    return {"Forms": rows}


def sheets(n: int) -> Sheets:
    """A sheet for each gauge."""
    return {
        _tag(i): [
            ["Tag number", _tag(i)],
            *([text, _value(i, values), unit] for text, unit, values in PROPERTIES),
        ]
        for i in range(n)
    }


def columns(n: int) -> Sheets:
    """A column for each gauge."""
    rows: list[Row] = [["Tag", "Unit", *map(_tag, range(n))]]
    rows += [[text, unit, *(_value(i, values) for i in range(n))] for text, unit, values in PROPERTIES]
    return {"Across": rows}


def below(n: int) -> Sheets:
    """The headings below their list."""
    found = a_list(n)["Index"]
    rows: list[Row] = [*found[1:], found[0]]
    return {"Below": rows}


def keyed(n: int) -> Sheets:
    """'key: value' in the remarks of a register."""
    rows: list[Row] = [["Tag", "Remarks"]]
    for i in range(n):
        said = "; ".join(f"{text}: {_value(i, values)} {unit}".strip() for text, unit, values in PROPERTIES)
        rows.append([_tag(i), said])
    return {"Register": rows}


def points(n: int) -> Sheets:
    """A row for each point of a gauge, beside a list of the gauges."""
    kept = [j for j, (text, _, _) in enumerate(PROPERTIES) if not text.startswith(("Transm", "Switch"))]
    listed: list[Row] = [[row[0], *(row[j + 1] for j in kept)] for row in a_list(n)["Index"]]
    rows: list[Row] = [["Point", "Instrument", "EU low (4 mA)", "EU high (20 mA)", "Set point", "Unit"]]
    for i in range(n):
        number = 10001 + i
        rows += [
            [f"LIT-{number}", _tag(i), 0, _value(i, (1000, 1200, 800)), "", "mm"],
            [f"LSL-{number}", _tag(i), "", "", _value(i, (150, 200, 100)), "mm"],
            [f"LSH-{number}", _tag(i), "", "", _value(i, (850, 1000, 700)), "mm"],
        ]
    return {"Index": listed, "Points": rows}


def bill(n: int) -> Sheets:
    """The parts of a gauge in rows below it."""
    rows: list[Row] = [
        ["Level", "Item", "Description", "Diameter [mm]", "Length [mm]", "Mass [g]", "Range [mm]"]
    ]
    for i in range(n):
        rows += [
            [1, _tag(i), "level gauge", "", _value(i, (1000, 1200, 800)), "", ""],
            [2, "ZQ-97", "float", 50, 290, _value(i, (399, 360, 286)), ""],
            [2, f"LT-{10001 + i}", "transmitter", "", "", "", f"0 - {_value(i, (1000, 1200, 800))}"],
        ]
    return {"Bill": rows}


SHAPES: Final[tuple[Callable[[int], Sheets], ...]] = (
    a_list, long, forms, sheets, columns, below, keyed, points, bill,
)  # fmt: skip


def write(made: Sheets, path: Path) -> None:
    """The sheets as a workbook."""
    book = Workbook(write_only=True)
    for name, rows in made.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    book.save(path)


def _plainly(path: Path) -> int:
    book = load_workbook(path, data_only=True)
    rows = (row for sheet in book for row in sheet.iter_rows(values_only=True))
    return sum(value is not None for row in rows for value in row)


def _seconds(what: Callable[[Path], Any], path: Path, rounds: int) -> float:
    taken = []
    for _ in range(rounds):
        before = process_time()
        what(path)
        taken.append(process_time() - before)
    return median(taken)


def main() -> int:
    """Measure and print; 1 if a shape costs more than five times the plain read, or loses gauges."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--gauges", type=int, default=300)
    parser.add_argument("--rounds", type=int, default=3)
    args = parser.parse_args()
    worst, whole = 0.0, True
    with tempfile.TemporaryDirectory() as folder:
        first = Path(folder) / "first.xlsx"
        write(a_list(3), first)
        read_book(first)  # tables of words are loaded once for all
        for make in SHAPES:
            path = Path(folder) / f"{make.__name__}.xlsx"
            write(make(args.gauges), path)
            found = sum(len(table) for table in read_book(path).gauges)
            read = _seconds(read_book, path, args.rounds)
            plain, cells = _seconds(_plainly, path, args.rounds), _seconds(load_grid, path, args.rounds)
            worst, whole = max(worst, read / plain), whole and found == args.gauges
            print(
                f"{make.__name__:8} {found:5} gauges  read {read:.3f} s  openpyxl {plain:.3f} s "
                f"({read / plain:.2f})  cells alone {cells:.3f} s ({read / cells:.1f})"
            )
    print(f"worst ratio to openpyxl: {worst:.2f}")
    return int(worst > 5 or not whole)


if __name__ == "__main__":
    sys.exit(main())
