"""Inquiries of other shapes: gauges with several cases, several inquiries, the many gauges of a plant."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.test_offer import FLOATS, INQUIRY, saved
from xlfuncs.cli import main

STATED = ["Tag No.", "Service", "Chamber bore mm", "Center to center mm", "Design pressure barg",
          "Design temperature °C"]  # fmt: skip
CASE = ["Density kg/m3", "Operating temperature °C", "Viscosity cP"]
DRUM: list[Any] = ["LG-1", "Drum", 59, 800, 16, 90]
TANK: list[Any] = ["LG-2", "Tank", 59, 600, 3.5, 80]
CASES: dict[str, Any] = {"LG-1": ([700, 45, 0.4], [725, 20, 0.5]), "LG-2": ([829, 40, 3], [840, 20, 5])}


@pytest.fixture
def floats(tmp_path: Path) -> Path:
    return saved(tmp_path / "floats.xlsx", FLOATS, "Floats")


def abreast(path: Path) -> Path:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append([*STATED, "Case A", None, None, "Case B", None, None])
    sheet.append([None] * len(STATED) + CASE + CASE)
    for column in "ABCDEF":
        sheet.merge_cells(f"{column}1:{column}2")
    sheet.merge_cells("G1:I1"), sheet.merge_cells("J1:L1")
    for row in (DRUM, TANK):
        sheet.append([*row, *CASES[str(row[0])][0], *CASES[str(row[0])][1]])
    book.save(path)
    return path


def in_one_row(path: Path) -> Path:
    heads = [f"Case {case} {text[:1].lower()}{text[1:]}" for case in "AB" for text in CASE]
    rows = [[*row, *CASES[str(row[0])][0], *CASES[str(row[0])][1]] for row in (DRUM, TANK)]
    return saved(path, [[*STATED, *heads], *rows], "Gauges")


def named_behind(path: Path) -> Path:
    heads = ["Density case A kg/m3", "Density case B kg/m3", "Viscosity cP"]
    rows = [[*row, *(case[0] for case in CASES[str(row[0])]), 5] for row in (DRUM, TANK)]
    return saved(path, [[*STATED, *heads], *rows], "Gauges")


def beneath(path: Path) -> Path:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append([*STATED, "Density, liquid", None, "Viscosity"])
    sheet.append([None] * len(STATED) + ["Normal", "Case B", None])
    sheet.append([None] * len(STATED) + ["kg/m3", "kg/m3", "cP"])
    for column in "ABCDEFI":
        sheet.merge_cells(f"{column}1:{column}2")
    sheet.merge_cells("G1:H1")
    for row in (DRUM, TANK):
        sheet.append([*row, *(case[0] for case in CASES[str(row[0])]), 5])
    book.save(path)
    return path


def below(path: Path) -> Path:
    rows = [[*row, *case] for row in (DRUM, TANK) for case in CASES[str(row[0])]]
    return saved(path, [[*STATED, *CASE], *rows], "Gauges")


def offered(capsys: pytest.CaptureFixture[str], *command: str | Path) -> list[Any]:
    main(["choose", *map(str, command), "--json"])
    return list(json.loads(capsys.readouterr().out)["inquiries"])


@pytest.mark.parametrize("shape", [abreast, below, beneath, in_one_row, named_behind])
def test_the_cases_of_a_gauge_have_one_float(
    shape: Any, floats: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (made,) = offered(capsys, floats, "--for", shape(tmp_path / "inquiry.xlsx"))
    assert [(g["tag"], g["float"]) for g in made["gauges"]] == [("LG-1", "HV-70"), ("LG-2", "HV-85S")]
    for gauge in made["gauges"]:
        densities = [case[0] for case in CASES[gauge["tag"]]]
        assert [c["lower_density_kg_m3"] for c in gauge["cases"]] == densities
        assert len({c["name"] for c in gauge["cases"]}) == 2
        low, high = gauge["worst_reading_mm"]
        for case in gauge["cases"]:
            assert low <= case["worst_reading_mm"][0] and case["worst_reading_mm"][1] <= high


def test_what_cannot_be_read_is_asked_once(
    floats: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    heads = [*STATED, "Density kg/m3", "LRV mm", "URV mm", "Pour point °C"]
    rows = [[*DRUM, 710, 0, "1.200", 5], [*TANK, 835, 0, 600, 5]]
    out = tmp_path / "offer.html"
    path = saved(tmp_path / "inquiry.xlsx", [heads, *rows], "Gauges")
    made = offered(capsys, floats, "--for", path)[0]
    asked = [q["text"] for q in made["gauges"][0]["questions"]]
    assert len([text for text in asked if "pper range value" in text]) == 1
    main(["choose", str(floats), "--for", str(path), "-o", str(out)])
    page = out.read_text(encoding="utf-8")
    # the pour point is stated: only the ambient temperature is lacking
    assert "not decided: lowest ambient temperature is needed" in page
    assert "not decided: pour" not in page


def test_a_tag_at_two_chambers_is_two_gauges(
    floats: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = [[*DRUM, *CASES["LG-1"][0]], [*DRUM[:3], 1200, *DRUM[4:], *CASES["LG-1"][1]]]
    path = saved(tmp_path / "inquiry.xlsx", [[*STATED, *CASE], *rows], "Gauges")
    (made,) = offered(capsys, floats, "--for", path)
    assert [len(g["cases"]) for g in made["gauges"]] == [1, 1]


def test_several_inquiries_have_an_offer_each(
    floats: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first, second = below(tmp_path / "first.xlsx"), saved(tmp_path / "second.xlsx", INQUIRY, "Gauges")
    made = offered(capsys, floats, "--for", first, "--for", second)
    assert [one["inquiry"] for one in made] == ["first", "second"]
    assert [len(one["gauges"]) for one in made] == [2, 5]
    folder = tmp_path / "offers"
    folder.mkdir()
    both = ["--for", str(first), "--for", str(second)]
    assert main(["choose", str(floats), *both, "-o", str(folder)]) == 1
    names = {path.name for path in folder.iterdir()}
    assert names and all(name.startswith(("first", "second")) for name in names)
    assert {name.split(".")[0] for name in names} == {"first", "second"}
    assert main(["choose", str(floats), *both, "-o", str(tmp_path / "one.html")]) == 2
    assert "one file cannot hold several inquiries" in capsys.readouterr().err


def test_twenty_five_gauges_are_a_page_of_summary_and_one_each(floats: Path, tmp_path: Path) -> None:
    head, *gauges = INQUIRY
    many = [[f"LG-{100 + i}", *gauges[i % len(gauges)][1:]] for i in range(25)]
    path = saved(tmp_path / "plant.xlsx", [head, *many], "Gauges")
    out = tmp_path / "offer.pdf"
    assert main(["choose", str(floats), "--for", str(path), "-o", str(out)]) == 1
    assert len(re.findall(rb"/Type\s*/Page\b", out.read_bytes())) == 26
