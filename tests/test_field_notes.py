"""Where readings, the gauge's data and a pack's gauges stand in a filled-in sheet: counts on both sides."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.rows import Rows, save
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.field_notes import FieldNotes, as_left, filled_tags, labelled, read_field_notes

HEADS = ["True level (mm)", "Indicated (mm)", "Current (mA)"]
READ: list[list[Any]] = [HEADS, [0, 5, 4.0], [500, 504, 12.0], [1000, 1003, 20.0]]
DATA: list[list[Any]] = [
    ["Fluid density", 850],
    ["Float mass", 300],
    ["Float diameter", 50],
    ["Float length", 250],
]


def notes(folder: Path, sheet: str | None = None, tag: str | None = None, /, **sheets: Rows) -> FieldNotes:
    return read_field_notes(save(folder / "field.xlsx", sheets), sheet, tag)


def refused(folder: Path, /, **sheets: Rows) -> str:
    with pytest.raises(XlfuncsError) as caught:
        notes(folder, **sheets)
    return str(caught.value)


def test_readings_stand_below_two_headings_of_what_is_compared(tmp_path: Path) -> None:
    assert notes(tmp_path, A=READ).readings.rows == READ
    assert notes(tmp_path, A=[row[:2] for row in READ]).readings.rows == [row[:2] for row in READ]
    told = refused(tmp_path, A=[[row[1], "x"] for row in READ])
    assert "no readings found" in told
    assert (
        notes(tmp_path, A=[["Level", *row[1:]] if row is HEADS else row for row in READ]).readings.rows[1:]
        == READ[1:]
    )
    nominal: Rows = [["As found", *HEADS], *(["x", *row] for row in READ[1:])]
    assert "no readings found" in refused(tmp_path, A=nominal)


def test_the_headings_that_were_not_understood_are_named(tmp_path: Path) -> None:
    told = refused(tmp_path, A=[["Indicated (mm)", "Zork"], [5, 7]])
    assert "A row 1 has 'Indicated (mm)', and not understood: column B 'Zork'" in told
    assert "not understood" not in refused(tmp_path, A=[["Zeta", "Zork"], [5, 7]])
    assert "not understood" not in refused(tmp_path, A=[["Indicated (mm)", "Zork"], ["x", 7]])


def test_readings_end_at_a_blank_row_or_at_a_title(tmp_path: Path) -> None:
    after = [[2000, 2003, 20.0]]
    assert notes(tmp_path, A=[*READ, [], *after]).readings.rows == READ
    assert notes(tmp_path, A=[*READ, ["Switches"], *after]).readings.rows == READ
    assert notes(tmp_path, A=[*READ, *after]).readings.rows == [*READ, *after]


def test_something_has_to_be_written_below_the_headings(tmp_path: Path) -> None:
    assert "nothing is written below the headings of A row 1" in refused(
        tmp_path, A=[HEADS, [None] * 3, ["x"]]
    )
    assert notes(tmp_path, A=READ[:2]).readings.rows == READ[:2]
    directed: Rows = [["Direction", *HEADS], ["up", None, None, None], ["down", 0, 5, 4.0]]
    assert len(notes(tmp_path, A=directed).readings.rows) == 2


def test_of_several_blocks_the_one_that_is_filled_in_is_read(tmp_path: Path) -> None:
    empty: list[list[Any]] = [HEADS, [0, None, None], [500, None, None]]
    assert notes(tmp_path, A=empty, B=READ).readings.sheet == "B"
    assert notes(tmp_path, "A", A=READ, B=READ).readings.sheet == "A"
    assert "readings stand at A row 1 and B row 1; name" in refused(tmp_path, A=READ, B=READ)
    with pytest.raises(XlfuncsError, match="no sheet 'C'; its sheets are A, B"):
        notes(tmp_path, "C", A=READ, B=READ)


@pytest.mark.parametrize(("blocks", "more"), [(8, ""), (9, " and 1 more"), (10, " and 2 more")])
def test_eight_places_of_readings_are_named(blocks: int, more: str, tmp_path: Path) -> None:
    told = refused(tmp_path, **{f"S{n}": READ for n in range(blocks)})
    assert told.count(" row 1") == 8
    assert f"S7 row 1{more};" in told


@pytest.mark.parametrize(("labels", "taken"), [(2, False), (3, True), (4, True)])
def test_three_labels_of_a_gauge_are_its_data(labels: int, taken: bool, tmp_path: Path) -> None:
    data = notes(tmp_path, A=[*DATA[:labels], [], *READ]).gauge
    assert (data.rows if data else []) == ([[*row, ""] for row in DATA[:labels]] if taken else [])
    elsewhere = notes(tmp_path, A=READ, B=DATA[:labels]).gauge
    assert (elsewhere is not None) is taken
    columns = [[row[n] for row in DATA[:labels]] for n in (0, 1)]
    under = notes(tmp_path, A=READ, B=columns).gauge
    assert (under is not None) is taken


def test_the_data_of_two_gauges_in_a_workbook_are_refused(tmp_path: Path) -> None:
    assert "data of a gauge stand at B row 1 and C row 1" in refused(tmp_path, A=READ, B=DATA, C=DATA)
    found = notes(tmp_path, A=[*DATA, [], *READ], B=DATA).gauge
    assert found is not None
    assert found.sheet == "A"


# --- a pack ----------------------------------------------------------------------------------------------


def pack(tag: str, above: int = 0, read: list[list[Any]] = READ) -> list[list[Any]]:
    return [*[["x"]] * above, ["Tag", tag], [], *DATA, [], *read]


def test_a_gauge_of_a_pack_is_known_by_the_tag_in_the_first_eight_rows(tmp_path: Path) -> None:
    book = {"A": pack("LG-1"), "B": pack("LG-2", 7)}
    for tag, sheet in (("LG-1", "A"), ("lg-2 ", "B")):
        assert notes(tmp_path, None, tag, **book).readings.sheet == sheet
    with pytest.raises(XlfuncsError, match="no sheet with readings of LG-2"):
        notes(tmp_path, None, "LG-2", A=pack("LG-1"), B=pack("LG-2", 8))
    with pytest.raises(XlfuncsError, match="no sheet with readings of LG-3"):
        notes(tmp_path, None, "LG-3", C=[["Tag", "LG-3"]], **book)


def test_the_gauges_of_a_pack_whose_sheets_are_filled_in(tmp_path: Path) -> None:
    def tags(**sheets: Rows) -> list[str]:
        return filled_tags(save(tmp_path / "pack.xlsx", sheets))

    empty: list[list[Any]] = [HEADS, [0, None, None]]
    assert tags(A=pack("LG-1"), B=pack("LG-2"), C=pack("LG-3", read=empty)) == ["LG-1", "LG-2"]
    assert tags(A=pack("LG-1"), B=pack("LG-1")) == []
    assert tags(A=pack("LG-1"), B=READ) == []
    assert tags(A=[["Tag", None, None, "LG-1"], [], *READ]) == ["LG-1"]
    assert tags(A=[["Tag", None, None, None, "LG-1"], [], *READ]) == []


def test_readings_as_left_stand_below_their_title(tmp_path: Path) -> None:
    left: list[list[Any]] = [HEADS, [0, 1, 4.0], [500, 501, 12.0]]
    path = save(tmp_path / "left.xlsx", A=[["Tag", "LG-1"], ["As found"], *READ, [], ["As left"], *left])
    found = as_left(path, "LG-1")
    assert found is not None
    assert found.rows == left
    assert read_field_notes(path).readings.rows == READ
    assert as_left(path, None, "B") is None
    assert as_left(save(tmp_path / "found.xlsx", A=[["As found"], *READ]), None) is None


def test_what_stands_within_three_cells_of_a_label_and_the_points_of_switches(tmp_path: Path) -> None:
    rows: list[list[Any]] = [
        ["Tag", "LG-1"],
        ["Near", None, None, 5],
        ["Far", None, None, None, 7],
        ["LSH, high", "x", "y", 800, "z", 790],
        [],
        *READ,
    ]
    said = labelled(save(tmp_path / "labels.xlsx", A=rows), "LG-1")
    assert (said["near"], said["far"]) == (5, None)
    assert (said["LSH found"], said["LSH left"]) == (800, 790)
