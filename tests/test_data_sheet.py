"""The gauge's data of a field sheet as blocks of labels with values side by side."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from xlfuncs.cli import main
from xlfuncs.worksheet.data_sheet import pairs, under_headings
from xlfuncs.worksheet.diagnosis import read_gauge

TWO: list[list[Any]] = [
    ["Tag", "LG-1", None, "Magnet height above float bottom (mm)", 168],
    ["Float mass (g)", 280, None, "Liquid density (kg/m3)", 850],
    ["Float diameter (mm)", 50, None, "Vapour density (kg/m3)", "1,2"],
    ["Float length (mm)", 200, None, "LRV (4 mA) (mm)", 0],
    ["Float ends", "flat", None, "URV (20 mA) (mm)", 800],
]
THREE: list[list[Any]] = [
    ["Float mass", 280, "g", "Float diameter", 50, "mm", "Float length", "mm", 200],
    ["Magnet height", 0.168, "m", "Liquid density", "850 kg/m3", None, "Vapour density", "kg/m3", 1.2],
    ["LRV (mm)", 0, None, "URV (mm)", 800, None, "Float ends", "flat", None],
]
READ = [
    ["True level (mm)", "Indicated (mm)", "Current (mA)"],
    [120, 121, 6.4],
    [400, 401, 12],
    [659, 660, 17.2],
]


def book(path: Path, *rows: Any) -> Path:
    made = Workbook()
    sheet = made.worksheets[0]
    sheet.title = "Visit"
    for row in rows:
        sheet.append(row)
    made.save(path)
    return path


@pytest.mark.parametrize("data", [TWO, THREE])
def test_blocks_side_by_side_state_the_gauge(data: list[list[Any]]) -> None:
    stated = read_gauge(data)
    gauge = stated.gauge
    assert (gauge.mass, gauge.diameter, gauge.length) == pytest.approx((0.28, 0.05, 0.2))
    assert (gauge.magnet_height, gauge.lrv, gauge.urv) == pytest.approx((0.168, 0, 0.8))
    assert (stated.density, gauge.upper_density, gauge.ends) == (850, 1.2, "flat")


@pytest.mark.parametrize("data", [TWO, THREE])
def test_readings_below_such_blocks_are_diagnosed(
    data: list[list[Any]], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["diagnose", str(book(tmp_path / "a.xlsx", *data, *READ)), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["verdict"] == "nothing wrong shows"


def test_a_refusal_names_the_cell(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wrong = [*TWO[:1], ["Float mass (g)", 280, None, "Liquid density (kg/m3)", "heavy"], *TWO[2:]]
    assert main(["diagnose", str(book(tmp_path / "a.xlsx", *wrong, *READ))]) == 2
    assert (
        "Visit E2, operating density of the (lower) fluid: 'heavy' cannot be read" in capsys.readouterr().err
    )


def test_two_values_for_one_label_are_refused_by_their_cells(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    twice = [["Float mass (g)", 300, None, "Tag", "LG-1"], *TWO]
    assert main(["diagnose", str(book(tmp_path / "a.xlsx", *twice, *READ))]) == 2
    told = capsys.readouterr().err
    assert "Visit B3: 'Float mass (g)' names the float mass a second time after Visit B1" in told


def test_the_same_value_twice_is_no_matter() -> None:
    rows: list[list[Any]] = [*TWO, ["Float mass (g)", 280]]
    assert read_gauge(rows).gauge.mass == pytest.approx(0.28)


def test_a_label_without_value_takes_none_from_the_next_block() -> None:
    (ends, density) = pairs(["Float ends", None, None, "Liquid density", 850, "kg/m3"])
    assert (ends.value, density.value, density.unit) == (None, 4, "kg/m3")


def test_the_text_beside_another_label_is_no_label() -> None:
    assert [pair.label for pair in pairs(["Type", "Switch", None, "Float mass", 280])] == [3]


def test_headings_have_their_values_below() -> None:
    heads = ["Float mass (g)", "Float diameter (mm)", "Float length (mm)", "Magnet height (mm)", "Density"]
    rows: list[list[Any]] = [heads, [280, 50, 200, 168, 850]]
    assert under_headings(rows, 0, 3)
    assert not any(under_headings(THREE, at, 3) for at in range(3))
    assert read_gauge(rows).gauge.length == pytest.approx(0.2)
