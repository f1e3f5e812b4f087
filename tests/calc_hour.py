"""An hour's work in Calc as a user does it, with the processes counted after each step.

`python -m tests.calc_hour MINUTES` works that long in a LibreOffice of its own and prints the counts: each
step on standard error, the table of them on standard output.
"""

from __future__ import annotations

import random
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from tests.calc_office import CalcOffice
from xlfuncs.cli import main
from xlfuncs.worksheet import call

INDEX = Path(__file__).parent.parent / "workbooks" / "instrument_index.xlsx"
HEADS = (
    "Tag",
    "Mass g",
    "Dia mm",
    "Length mm",
    "Magnet mm",
    "Density",
    "Immersion",
    "Offset",
    "Check",
    "Why",
)
ROWS = 200
FORMATS = {".xlsx": "Calc MS Excel 2007 XML", ".ods": "calc8"}
FIRST = ("LG-1", "280", "50", "200", "150", "850")
FORMULAS = (
    "=LG_IMMERSION(B2,C2,D2,F2)",
    "=LG_READING_OFFSET(B2,C2,D2,E2,F2)",
    '=IF(ABS(H2)<10,"fits","look")',
    '=LG_REASON("LG_IMMERSION",B2,C2,D2,F2)',
)


@dataclass
class Diary:
    """What was done, how long it took and how many processes there were after it."""

    pause: float = 0.0
    """Seconds after each step, in which a user would look at what came of it."""
    lines: list[tuple[str, float, int, int]] = field(default_factory=list)

    def step(self, calc: CalcOffice, what: str, work: Callable[[], object]) -> None:
        start = time.monotonic()
        work()
        taken = time.monotonic() - start
        time.sleep(self.pause)
        self.lines.append((what, taken, len(calc.processes()), len(calc.workers())))
        print(time.strftime("%H:%M:%S"), *self.lines[-1], sep="\t", file=sys.stderr, flush=True)

    def table(self) -> str:
        """Each kind of step: how often, the longest, the most processes and workers."""
        rows = []
        for what in dict.fromkeys(line[0] for line in self.lines):
            same = [line for line in self.lines if line[0] == what]
            most = [max(line[n] for line in same) for n in (1, 2, 3)]
            rows.append(f"| {what} | {len(same)} | {most[0]:.1f} | {most[1]} | {most[2]} |")
        return "\n".join(
            ["| step | times | longest, s | processes | workers |", "| --- | --- | --- | --- | --- |", *rows]
        )


def immersions(calc: CalcOffice, last: int, installed: bool = True) -> None:
    """Results beside their inputs are those of the library, or refuse where it refuses."""
    for row in calc.read(f"A2:J{last}"):
        mass, diameter, length, _, density, immersion = row[1:7]
        expected = call("LG_IMMERSION", mass, diameter, length, density)
        if isinstance(expected, float):
            assert immersion == pytest.approx(expected, rel=1e-9), row
            assert row[9] == "" or not installed, row
        elif installed:
            assert immersion == {"error": expected.error}, row
            assert row[9] == expected.reason, row


def sheet(calc: CalcOffice) -> None:
    """Headings, a first row, and the formulas filled down."""
    calc.do("open", path=None)
    for column, text in zip("ABCDEFGHIJ", HEADS, strict=True):
        calc.type(**{f"{column}1": text})
    for column, text in zip("ABCDEFGHIJ", (*FIRST, *FORMULAS), strict=True):
        calc.type(**{f"{column}2": text})
    calc.do("select", range=f"A2:J{ROWS}")
    calc.do("command", name=".uno:FillDown")
    immersions(calc, ROWS)


def inputs(calc: CalcOffice, chance: random.Random) -> None:
    """One input after the other is typed anew, some of no use."""
    for _ in range(20):
        row = chance.randint(2, ROWS)
        useful = [
            ("B", str(chance.randint(200, 320))),
            ("F", f"0.{chance.randint(70, 99)} SG"),
            ("C", "2 in"),
        ]
        useless = [("F", "abc"), ("B", "-280"), ("F", "")]
        column, text = chance.choice([*useful, *useless])
        calc.type(**{f"{column}{row}": text})
    immersions(calc, ROWS)


def rows(calc: CalcOffice) -> None:
    """Rows are inserted, deleted, copied; undone and done again."""
    calc.do("select", range="A5:J7")
    for name in ("InsertRowsBefore", "Undo", "Redo", "DeleteRows", "Undo", "Undo", "Copy"):
        calc.do("command", name=f".uno:{name}")
    calc.do("command", name=".uno:GoToCell", **{"with": {"ToPoint": "A300"}})
    calc.do("command", name=".uno:Paste")
    assert calc.read("G300:J302") == calc.read("G5:J7")
    calc.do("select", range="A300:J302")
    calc.do("command", name=".uno:ClearContents")
    calc.do("command", name=".uno:CalculateHard")
    immersions(calc, ROWS)


def same(row: list[Any], before: list[Any]) -> bool:
    """Whether a row shows what it did; an .xlsx keeps fifteen digits."""
    numbers = [(a, b) for a, b in zip(row, before, strict=True) if isinstance(a, float)]
    others = [(a, b) for a, b in zip(row, before, strict=True) if not isinstance(a, float)]
    return all(a == b for a, b in others) and all(a == pytest.approx(b, rel=1e-12) for a, b in numbers)


def saved(calc: CalcOffice, folder: Path, ending: str) -> None:
    """Saved in a format, closed, opened again, changed and saved once more."""
    path = folder / f"work{ending}"
    before = calc.read(f"A1:J{ROWS}")
    calc.do("save", path=str(path), filter=FORMATS[ending])
    calc.do("close")
    calc.do("open", path=str(path))
    pairs = zip(calc.read(f"A1:J{ROWS}"), before, strict=True)
    changed = [pair for pair in pairs if not same(*pair)]
    assert not changed, changed[0]
    calc.type(B2="281", F2="851")
    calc.do("save")
    calc.do("close")
    calc.do("open", path=str(path))
    assert calc.value("G2") == pytest.approx(call("LG_IMMERSION", 281, *calc.read("C2:D2")[0], 851))
    immersions(calc, ROWS)


def commands(calc: CalcOffice, folder: Path) -> None:
    """The index of the plant is opened, audited, a cell of it explained, and closed again."""
    path = shutil.copy(INDEX, folder / "plant.xlsx")
    calc.do("open", path=str(path))
    calc.do("menu", command="Audit")
    until(lambda: "plant - audited" in calc.do("documents"))
    calc.do("front", title="plant.xlsx")
    calc.do("select", range="BD2")
    calc.do("menu", command="Explain")
    until(lambda: "Index!BD2" in calc.do("windows"))
    calc.do("press", window="Index!BD2", name="Close")
    calc.do("front", title="plant - audited")
    calc.do("close")
    calc.do("front", title="plant.xlsx")
    calc.do("close")
    calc.do("front", title="work")
    until(lambda: not [p for p in calc.processes() if "xlfuncs.hosts.actions" in p.cmdline()])


def until(found: Callable[[], Any], seconds: float = 120) -> None:
    end = time.monotonic() + seconds
    while not found():
        assert time.monotonic() < end, "nothing has come of it"
        time.sleep(0.2)


def work(calc: CalcOffice, folder: Path, minutes: float, diary: Diary) -> None:
    """As a user for so long, at least once through."""
    chance = random.Random(1)
    end = time.monotonic() + 60 * minutes
    while True:
        diary.step(calc, "a sheet typed, formulas filled down", lambda: sheet(calc))
        for _ in range(3):
            diary.step(calc, "20 inputs changed", lambda: inputs(calc, chance))
            diary.step(calc, "rows inserted, deleted, copied, undone; hard recalculation", lambda: rows(calc))
        for ending in FORMATS:
            diary.step(
                calc,
                f"saved as {ending}, reopened, changed, saved",
                lambda e=ending: saved(calc, folder, e),  # type: ignore[misc]
            )
        diary.step(calc, "plant's index audited, a cell explained", lambda: commands(calc, folder))
        calc.do("close")
        calc.do("front", title="Untitled 1")
        if time.monotonic() > end:
            return


def run(minutes: float, folder: Path) -> Diary:
    """Functions installed, worked with, taken out again and put back."""
    profile, diary = folder / "profile", Diary(pause=5 * (minutes > 0))
    assert main(["install", "calc", "--profile", str(profile)]) == 0
    with CalcOffice(profile) as calc:
        work(calc, folder, minutes, diary)
        calc.do("quit")
        diary.step(calc, "LibreOffice closed", lambda: until(calc.gone))
    assert main(["install", "calc", "--remove", "--profile", str(profile)]) == 0
    with CalcOffice(profile) as calc:
        diary.step(calc, "functions removed, files opened", lambda: without(calc, folder))
        calc.do("quit")
        diary.step(calc, "LibreOffice closed", lambda: until(calc.gone))
    assert main(["install", "calc", "--profile", str(profile)]) == 0
    with CalcOffice(profile) as calc:
        diary.step(calc, "functions back, files changed", lambda: back(calc, folder))
        calc.do("quit")
        diary.step(calc, "LibreOffice closed", lambda: until(calc.gone))
    return diary


def without(calc: CalcOffice, folder: Path) -> None:
    for ending in FORMATS:
        calc.do("open", path=str(folder / f"work{ending}"))
        if ending == ".xlsx":  # of an .ods Calc uses no kept value where it does not know the function
            immersions(calc, ROWS, installed=False)
        assert calc.do("texts", cells=["G3"])[0].upper() == "=LG_IMMERSION(B3;C3;D3;F3)"
        calc.type(L1="=LG_VERSION()")
        assert calc.value("L1") == {"error": "#NAME?"}
    assert calc.do("entries")["menu"] == []


def back(calc: CalcOffice, folder: Path) -> None:
    for ending in FORMATS:
        calc.do("open", path=str(folder / f"work{ending}"))
        calc.type(B3="285", F3="852")
        immersions(calc, ROWS)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        print(run(float(sys.argv[1]), Path(made)).table())
