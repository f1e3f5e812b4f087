"""The sheet 'Calculations' in a real Calc: a changed cell turns the verdict, be it a number or a text."""

from __future__ import annotations

import subprocess
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.utils import get_column_letter

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


def verdicts(book: openpyxl.Workbook) -> dict[str, Any]:
    """'LG-1: float-sinks' -> what stands beside it."""
    return {
        str(row[2]): row[3]
        for row in book["Calculations"].iter_rows(min_row=2, values_only=True)
        if isinstance(row[0], int)
    }


FLOAT_SINKS = {
    "number": NUMBERS["float-sinks"],
    "text": TEXTS["float-sinks"],
    "comma": ("Density (g/cm3)", "0,5", ""),
}
Edits = dict[str, Any]
"""'Sheet!A1' -> what is typed there."""


def right(faults: dict[str, tuple[str, Any, Any]]) -> Edits:
    """What mends each fault of a list, in its cell."""
    return {
        f"Index!{get_column_letter(HEADS.index(head) + 1)}{row}": content
        for row, (head, _, content) in enumerate(faults.values(), 2)
    }


def densities(*contents: Any) -> Edits:
    return {f"Index!B{row}": content for row, content in enumerate(contents, 2)}


def demo(**cells: Any) -> Edits:
    return {f"LI Index!{cell}": content for cell, content in cells.items()}


MADE: dict[str, dict[str, tuple[str, Any, Any]] | None] = {
    "numbers": NUMBERS,
    "texts": TEXTS,
    "sinks": FLOAT_SINKS,
    "demo": None,
}
"""Name of a book -> the faults of which its list is made; None for the demo workbook."""
CHANGES: dict[str, tuple[str, Edits]] = {
    "numbers": ("numbers", {}),
    "numbers mended": ("numbers", right(NUMBERS)),
    "texts": ("texts", {}),
    "texts mended": ("texts", right(TEXTS)),
    "number over a text": ("texts", {"Index!B3": 900}),
    "blanks": ("sinks", densities(None, None, None)),
    "other marks": ("sinks", densities("0,9", "0.9 SG", "0.9.1")),
    "units alone": ("sinks", densities(" ", "kg/m3", " ")),
    "heading": ("sinks", {"Index!B1": "Density (SG)"}),
    "filled blank": ("numbers", {"Index!F2": "hemispherical"}),
    "demo": ("demo", {}),
    "demo mended": ("demo", demo(H22=0.8, S65=150, P42=60, U68="316L", AF69="hd 14113", AT72=3)),
    "demo hot": ("demo", demo(S67=700, R67=115, S66=700, R66=35, AP72=-40, H61=0.886)),
    "demo cool": ("demo", demo(S67=100, R67=210, G41="Ethanol", AF69=None)),
    "demo texts": ("demo", demo(X67="300#", AC22="ZX-12", AC63=" zx-23", Q41=100)),
    "demo material": ("demo", demo(U67="A105")),
}
"""Name of a changed copy -> the book, and what is typed into its annotated copy."""


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    """The verdicts of each changed copy as Calc computes them, in one run: without kept results it has to."""
    folder = tmp_path_factory.mktemp("copies")
    copies = {}
    for name, faults in MADE.items():
        path = DEMO if faults is None else index(folder / f"{name}-index.xlsx", faults)
        copies[name], _ = workbook.write(audit_book(path), path, folder / f"{name}-copy.xlsx")
    books = {name: openpyxl.load_workbook(path) for name, path in copies.items()}
    files = {name: folder / f"changed{number}.xlsx" for number, name in enumerate(CHANGES)}
    for name, (of, edits) in CHANGES.items():
        cells = [books[of][place.split("!")[0]][place.split("!")[1]] for place in edits]
        held = [cell.value for cell in cells]
        for cell, content in zip(cells, edits.values(), strict=True):
            cell.value = content
        books[of].save(files[name])
        for cell, content in zip(cells, held, strict=True):
            cell.value = content
    command = ["soffice", f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to"]
    command += ["xlsx", "--outdir", str(folder / "calc"), *map(str, files.values())]
    subprocess.run(command, capture_output=True, timeout=180, check=True)
    return {
        name: verdicts(openpyxl.load_workbook(folder / "calc" / file.name, read_only=True, data_only=True))
        for name, file in files.items()
    }


@pytest.mark.parametrize("kind", ["numbers", "texts"])
def test_a_changed_cell_turns_the_verdict_of_each_rule(kind: str, drawn: dict[str, dict[str, Any]]) -> None:
    faults = MADE[kind]
    assert faults
    names = [f"LG-{number:03d}: {rule}" for number, rule in enumerate(faults, 1)]
    assert [drawn[kind].get(name) for name in names] == ["finding"] * len(names)
    after = drawn[f"{kind} mended"]
    assert {name: after[name] for name in names} == dict.fromkeys(names, "in order")


@pytest.mark.parametrize("change", ["blanks", "other marks", "units alone"])
def test_what_cannot_be_read_is_said_and_passes_no_check(
    change: str, drawn: dict[str, dict[str, Any]]
) -> None:
    """Neither a blank cell nor another unit or mark gives a number, and no verdict is drawn."""
    assert [drawn[change][f"LG-{number:03d}: float-sinks"] for number in (1, 2, 3)] == [
        "an input is no number"
    ] * 3


def test_a_number_typed_over_a_text_is_taken_in_its_unit(drawn: dict[str, dict[str, Any]]) -> None:
    assert drawn["number over a text"]["LG-002: float-sinks"] == "in order"


def test_a_heading_with_another_unit_needs_another_audit(drawn: dict[str, dict[str, Any]]) -> None:
    told = drawn["heading"]["LG-001: float-sinks"]
    assert told == "audit again, changed: heading of operating density of the (lower) fluid (B1)"


def test_another_shape_of_the_ends_needs_another_audit(drawn: dict[str, dict[str, Any]]) -> None:
    """The equations are those of flat ends; a gauge whose rule does not look at them keeps its verdict."""
    told = drawn["filled blank"]["LG-001: offset-exceeds-tolerance"]
    assert told == "audit again, changed: shape of the float's ends (F2)"
    assert drawn["filled blank"]["LG-003: float-pressure-exceeded"] == "finding"


def turned(drawn: dict[str, dict[str, Any]], change: str) -> dict[str, Any]:
    """The verdicts of the demo's copy that a change turned, by tag."""
    first = drawn["demo"]
    assert len(first) > 35 and set(first.values()) == {"finding"}
    return {name.split(":")[0]: verdict for name, verdict in drawn[change].items() if verdict != first[name]}


def test_the_demos_copy_follows_a_change(drawn: dict[str, dict[str, Any]]) -> None:
    assert turned(drawn, "demo mended") == {
        "20-LG-2111": "in order",  # a float of 0.68 SG in a fluid of 0.64 SG, now 0.8
        "40-LG-4109": "in order",  # a float for 175 degF at 250 degF, now 150
        "40-LG-4113": "in order",  # the serial, written in another way
        "40-LG-4116": "in order",  # a stronger tracer
        "30-LG-3109": "audit again, changed: operating pressure",  # only the table of its fluid says
        "40-LG-4112": "audit again, changed: chamber material (U68)",
    }


def test_no_verdict_is_drawn_outside_the_rows_of_a_table(drawn: dict[str, dict[str, Any]]) -> None:
    """Flanges of class 150 carry 109.6 psig at 700 degF, by B16.5, and 257 psig at 100 degF."""
    again = "not decided, audit again: "
    hot = turned(drawn, "demo hot")
    assert hot["40-LG-4111"].startswith(f"{again}design temperature is outside the rows of the table")
    assert hot["40-LG-4110"].startswith(f"{again}design temperature is outside the rows of the table")
    assert hot["40-LG-4116"] == f"{again}surface temperature has to be solved anew"
    assert hot["40-LG-4105"] == "in order"  # reads high now, and everything together is within the tolerance
    assert turned(drawn, "demo cool")["40-LG-4111"] == hot["40-LG-4111"]


def test_a_text_on_which_numbers_depend_needs_another_audit(drawn: dict[str, dict[str, Any]]) -> None:
    assert turned(drawn, "demo texts") == {
        "40-LG-4111": "audit again, changed: flange class (X67)",
        "20-LG-2111": "audit again, changed: float part number (AC22)",
        "30-LG-3108": "audit again, changed: operating temperature",
    }
    assert turned(drawn, "demo material") == {"40-LG-4111": "audit again, changed: chamber material (U67)"}
    cool = turned(drawn, "demo cool")
    assert cool["30-LG-3108"] == "audit again, changed: fluid name (G41)"
    assert cool["40-LG-4113"].startswith("not decided")
