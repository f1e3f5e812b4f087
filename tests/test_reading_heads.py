"""Headings of readings as people write them: read or asked back; no column of numbers is dropped unsaid."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from xlfuncs.cli import main
from xlfuncs.worksheet import call
from xlfuncs.worksheet.answers import read_answers
from xlfuncs.worksheet.observed import find_field, not_read, reading_fields

FIELDS = {
    "level": [
        *("Peilung [mm]", "Handpeilung [mm]", "Wahrer Füllstand [mm]", "Schauglas mm", "Level by tape, mm"),
        *("Level by radar (mm)", "Gauge glass (mm)", "Werkelijk niveau (mm)", "Niveau à la pige mm"),
        *("Interface by sample taps (mm)", "Trennschicht, Probehähne [mm]", "Medida con cinta (mm)"),
        *("Livello vero mm", "Visor de nível (mm)", "Pejlad nivå (mm)", "Virkelig nivå (mm)"),
        *("Poziom rzeczywisty (mm)", "Skutečná hladina (mm)", "Gerçek seviye (mm)", "Замер рулеткой (мм)"),
        *("Todellinen pinta (mm)", "Radar LT-102 (mm)", "Level (laser) mm", "Glass reading mm"),
    ],
    "indicated": [
        *("MLG indication (mm)", "Angezeigter Stand (mm)", "Lecture de l'indicateur (mm)", "Aflezing (mm)"),
        *("Livello indicato (mm)", "Leitura do indicador (mm)", "Visad nivå (mm)", "Показания (мм)"),
    ],
    "current": ["Ausgangsstrom mA", "Courant de sortie (mA)", "Stroom (mA)", "Ток (мА)", "Loop mA"],
    "switch": ["Switch LSHH", "Grenzschalter LSH", "Contact niveau haut", "Chave de nível alto"],
    "direction": ["Filling / draining", "Kierunek", "Sentido (subindo/descendo)", "Bewegungsrichtung"],
    "sample_density": ["Dichte Probe kg/m3", "Density by lab (kg/m3)"],
    "density": ["Masse volumique (kg/m3)", "Плотность кг/м3"],
}


@pytest.mark.parametrize(
    ("heading", "field"), [(heading, field) for field, heads in FIELDS.items() for heading in heads]
)
def test_the_order_of_words_and_what_stands_beside_them_do_not_matter(heading: str, field: str) -> None:
    assert find_field("readings", heading) == field


@pytest.mark.parametrize(
    "heading",
    [
        *("Ullage (mm)", "Distance by radar (mm)", "Gauge temperature (C)", "Dip no.", "Magnet height"),
        *("Radar (mA)", "Radar (%)", "Actual reading (mm)", "Dip against indicator (mm)", "Istwert [mm]"),
        *(
            "Indicated rising by dip (mm)",
            "Switch set point (mm)",
            "Time of dip",
            "Range of transmitter (mA)",
        ),
    ],
)
def test_what_is_none_or_could_be_two_is_not_taken_for_a_reading(heading: str) -> None:
    assert find_field("readings", heading) is None


def test_a_bare_level_is_the_true_one_beside_what_is_indicated_and_else_nobodys() -> None:
    assert reading_fields([["Level (mm)", "Indicated (mm)"], [1, 1]])[0] == "level"
    assert reading_fields([["Hladina (mm)", "Údaj (mm)"], [1, 1]])[0] == "level"
    assert reading_fields([["Level (mm)", "Current (mA)"], [1, 4.1]])[0] is None


def test_a_column_of_texts_is_no_reading_though_its_heading_sounds_like_one() -> None:
    rows: list[list[Any]] = [["True level (mm)", "Indicated (mm)", "Reference"], [500, 500, "tape no. 4"]]
    assert reading_fields(rows)[2] is None and not not_read(rows)


def test_a_column_of_numbers_that_is_not_understood_is_named_with_what_to_do() -> None:
    rows: list[list[Any]] = [["Time", "Foo (mm)", "Indicated (mm)", "Current (mA)"], ["8:12", 500, 500, 12.0]]
    (told,) = not_read(rows, "BCDE")
    assert "column C 'Foo (mm)'" in told and "'True level'" in told
    (told,) = not_read([[*rows[0], "Dip (mm)"], [*rows[1], 501]])
    assert "Foo" in told and "True level" not in told


def book(path: Path, *readings: list[Any]) -> Path:
    made = Workbook()
    sheet = made.active
    assert sheet is not None
    data = [("Float mass", 280, "g"), ("Float diameter", 50, "mm"), ("Float length", 200, "mm")]
    data += [("Magnet height", 168, "mm"), ("Density", 850, "kg/m3"), ("LRV", 0, "mm"), ("URV", 1000, "mm")]
    for row in data:
        sheet.append(list(row))
    other = made.create_sheet("Readings")
    for line in readings:
        other.append(line)
    made.save(path)
    return path


STUCK = [["08:12", 301, 639, 14.25], ["08:30", 521, 640, 14.25], ["08:50", 852, 640, 14.22]]


def test_nothing_wrong_is_never_said_of_indicator_and_current_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = book(tmp_path / "a.xlsx", ["Time", "Foo [mm]", "Anzeige [mm]", "Strom [mA]"], *STUCK)
    assert main(["diagnose", str(place)]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert out.index("column B 'Foo [mm]'") < out.index("Verdict:")
    assert "no true level was read" in out and "nothing wrong" not in out
    assert main(["diagnose", str(place), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert not told["level_known"] and "Foo [mm]" in told["not_read"][0]


def test_a_sheet_is_told_of_the_column_that_was_not_read() -> None:
    gauge = [["Float mass", 280, "g"], ["Float diameter", 50, "mm"], ["Float length", 200, "mm"]]
    gauge += [["Magnet height", 168, "mm"], ["Density", 850, "kg/m3"], ["LRV", 0, "mm"], ["URV", 1000, "mm"]]
    rows: Any = call("LG_DIAGNOSE", gauge, [["Istwert (mm)", "Indicated (mm)", "mA"], [301, 640, 14.24]])
    assert rows[1][8] == "cannot tell" and rows[1][9].startswith("the true level by another means")
    assert rows[-1][8] == "not read" and "'Istwert (mm)': it could be more than one" in rows[-1][1]


def test_a_true_level_under_a_usual_heading_shows_the_stuck_float(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = book(tmp_path / "a.xlsx", ["Uhrzeit", "Peilung [mm]", "Anzeige [mm]", "Strom [mA]"], *STUCK)
    assert main(["diagnose", str(place)]) == 1
    out = capsys.readouterr().out
    assert "float stuck" in out.split("Next:")[0] and "not read" not in out.lower()


def test_a_table_of_one_known_heading_is_refused_with_the_others_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = book(tmp_path / "a.xlsx", ["Foo [mm]", "Anzeige [mm]"], [301, 639], [521, 640])
    assert main(["diagnose", str(place)]) == 2
    assert "column A 'Foo [mm]'" in capsys.readouterr().err


@pytest.mark.parametrize("current", [3.78, 3.65, 3.8])
def test_a_current_held_at_its_end_is_evidence_for_a_float_that_lies_at_the_bottom(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], current: float
) -> None:
    rows = [[level, "<0", current] for level in (301, 520, 850)]
    place = book(tmp_path / "a.xlsx", ["True level (mm)", "Indicated (mm)", "Current (mA)"], *rows)
    assert main(["diagnose", str(place)]) in (0, 1)
    assert "float sunk" in capsys.readouterr().out.split("Next:")[0]


def test_a_failure_signal_states_no_level(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = [[301, 300, 8.8], [520, 521, 3.6]]
    place = book(tmp_path / "a.xlsx", ["True level (mm)", "Indicated (mm)", "Current (mA)"], *rows)
    assert main(["diagnose", str(place)]) == 2
    assert "Readings row 3: the current signals failure low" in capsys.readouterr().err


def test_answers_on_sheets_that_were_printed_before_are_read() -> None:
    printed = (
        "Does a second means (dip, gauge glass, pressure with the true density) confirm the level that you"
        " compare with?"
    )
    assert read_answers([["Question", "Answer"], [printed, "yes"]], ["row 1", "row 2"]) == {"reference": True}
    # it asked for the opposite of what is asked now
    with pytest.raises(ValueError, match="row 2: 'Is the lower block valve fully open"):
        read_answers(
            [["Question", "Answer"], ["Is the lower block valve fully open?", "yes"]], ["row 1", "row 2"]
        )
