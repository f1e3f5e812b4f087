"""The sheet 'Calculations' in a real Calc: a changed cell turns the verdict, be it a number or a text."""

from __future__ import annotations

import subprocess
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from xlfuncs.audit.engine import audit_book
from xlfuncs.report import workbook

pytestmark = pytest.mark.calc

DEMO = Path(__file__).parents[1] / "workbooks" / "contractor_index.xlsx"

HEADS = (
    "Tag", "Density (g/cm3)", "Float mass (g)", "Float OD (mm)", "Float length (mm)", "Float ends",
    "Magnet height (mm)", "Operating pressure (barg)", "Design pressure (barg)", "Float max. pressure (barg)",
    "Test pressure (barg)", "Design temperature (C)", "Float max. temperature (C)",
    "Connection distance (mm)", "Visible range (mm)", "LRV (mm)", "URV (mm)", "Chamber bore (mm)",
)  # fmt: skip
SOUND = ("0,9", 300, 50, 270, "flat", 169.8, 8, 10, 25, 15, 90, 200, 1200, 1200, 0, 1200, 62)
"""A gauge in which nothing is wrong."""

NUMBERS: dict[str, tuple[str, Any, Any]] = {
    "offset-exceeds-tolerance": ("Density (g/cm3)", 0.8, 0.9),
    "float-sinks": ("Density (g/cm3)", 0.5, 0.9),
    "float-pressure-exceeded": ("Float max. pressure (barg)", 8, 25),
    "float-temperature-exceeded": ("Float max. temperature (C)", 80, 200),
    "range-exceeds-connections": ("Connection distance (mm)", 1100, 1200),
    "transmitter-range-mismatch": ("URV (mm)", 1100, 1200),
    "float-wider-than-chamber": ("Chamber bore (mm)", 48, 62),
    "test-pressure-low": ("Test pressure (barg)", 9, 15),
    "operating-exceeds-design": ("Operating pressure (barg)", 11, 8),
}
"""Rule -> the column whose cell shows it, what the cell holds first, and then."""
TEXTS: dict[str, tuple[str, Any, Any]] = {
    "offset-exceeds-tolerance": ("Density (g/cm3)", "0,8", "0,905"),
    "float-sinks": ("Density (g/cm3)", "500 kg/m3", "900 kg/m3"),
    "float-pressure-exceeded": ("Float max. pressure (barg)", "8 bar(g)", "25 bar(g)"),
    "float-temperature-exceeded": ("Design temperature (C)", "-20 / 210 °C", "-20 / 180 °C"),
    "range-exceeds-connections": ("Visible range (mm)", "1 213,5", "1 200,0"),
    "transmitter-range-mismatch": ("URV (mm)", "1.1 m", "1.2 m"),
    "float-wider-than-chamber": ("Chamber bore (mm)", '1.9"', '2.5"'),
    "test-pressure-low": ("Test pressure (barg)", "min. 9,5", "min. 15,0"),
    "operating-exceeds-design": ("Operating pressure (barg)", "7 - 11", "7 - 9"),
}


def index(path: Path, faults: dict[str, tuple[str, Any, Any]]) -> Path:
    """A list with a gauge for each fault, which names the gauge."""
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    page.title = "Index"
    page.append(HEADS)
    for number, (head, wrong, _) in enumerate(faults.values(), 1):
        cells = dict(zip(HEADS, (f"LG-{number:03d}", *SOUND), strict=True))
        page.append(list((cells | {head: wrong}).values()))
    book.save(path)
    return path


def recalculated(book: openpyxl.Workbook, folder: Path) -> openpyxl.Workbook:
    """The book as Calc computes it: without kept results it has to."""
    source = folder / "changed.xlsx"
    book.save(source)
    command = ["soffice", f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to"]
    command += ["xlsx", "--outdir", str(folder / "calc"), str(source)]
    subprocess.run(command, capture_output=True, timeout=180, check=True)
    return openpyxl.load_workbook(folder / "calc" / "changed.xlsx", data_only=True)


def verdicts(book: openpyxl.Workbook) -> dict[str, Any]:
    """'LG-1: float-sinks' -> what stands beside it."""
    return {
        str(row[2]): row[3]
        for row in book["Calculations"].iter_rows(min_row=2, values_only=True)
        if isinstance(row[0], int)
    }


def annotated(path: Path, target: Path) -> openpyxl.Workbook:
    made, _ = workbook.write(audit_book(path), path, target)
    return openpyxl.load_workbook(made)


@pytest.mark.parametrize("faults", [NUMBERS, TEXTS], ids=["numbers", "texts"])
def test_a_changed_cell_turns_the_verdict_of_each_rule(
    faults: dict[str, tuple[str, Any, Any]], tmp_path: Path
) -> None:
    book = annotated(index(tmp_path / "index.xlsx", faults), tmp_path / "copy.xlsx")
    names = [f"LG-{number:03d}: {rule}" for number, rule in enumerate(faults, 1)]
    before = verdicts(recalculated(book, tmp_path))
    assert [before.get(name) for name in names] == ["finding"] * len(names)
    for row, (head, _, right) in enumerate(faults.values(), 2):
        book["Index"].cell(row, HEADS.index(head) + 1).value = right
    after = verdicts(recalculated(book, tmp_path))
    assert {name: after[name] for name in names} == dict.fromkeys(names, "in order")


def test_what_cannot_be_read_is_said_and_passes_no_check(tmp_path: Path) -> None:
    """Neither a blank cell nor another unit or mark gives a number, and no verdict is drawn."""
    faults = {
        "number": NUMBERS["float-sinks"],
        "text": TEXTS["float-sinks"],
        "comma": ("Density (g/cm3)", "0,5", ""),
    }
    path = index(tmp_path / "index.xlsx", faults)
    names = [f"LG-{number:03d}: float-sinks" for number in (1, 2, 3)]
    book = annotated(path, tmp_path / "copy.xlsx")
    for contents in ((None, None, None), ("0,9", "0.9 SG", "0.9.1"), (" ", "kg/m3", " ")):
        for row, content in enumerate(contents, 2):
            book["Index"].cell(row, 2).value = content
        assert [verdicts(recalculated(book, tmp_path))[name] for name in names] == [
            "an input is no number"
        ] * 3


def test_a_number_typed_over_a_text_is_taken_in_its_unit(tmp_path: Path) -> None:
    book = annotated(index(tmp_path / "index.xlsx", TEXTS), tmp_path / "copy.xlsx")
    book["Index"]["B3"].value = 900
    assert verdicts(recalculated(book, tmp_path))["LG-002: float-sinks"] == "in order"


def test_the_demos_copy_recalculates_to_what_it_says_and_follows_a_change(tmp_path: Path) -> None:
    book = annotated(DEMO, tmp_path / "copy.xlsx")
    first = verdicts(recalculated(book, tmp_path))
    drawn = [verdict for verdict in first.values() if verdict is not None]
    assert len(drawn) > 30 and set(drawn) == {"finding"}
    cells = book["LI Index"]
    cells["H22"].value = 0.8  # 20-LG-2111: a float of 0.68 SG in a fluid of 0.64 SG
    cells["S65"].value = 150  # 40-LG-4109: a float for 175 degF at 250 degF
    cells["P42"].value = 60  # 30-LG-3109 boils at 15.5 psig, as only the table of its fluid says
    after = verdicts(recalculated(book, tmp_path))
    assert {name: verdict for name, verdict in after.items() if verdict != first[name]} == {
        "20-LG-2111: float-sinks": "in order",
        "40-LG-4109: float-temperature-exceeded": "in order",
        "30-LG-3109: fluid-boils-in-chamber": "audit again",
    }
