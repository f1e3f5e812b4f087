"""Nothing is said to be right beside a column of numbers that was not read."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.test_data_sheet import TWO, book
from xlfuncs.cli import main
from xlfuncs.worksheet import call
from xlfuncs.worksheet.observed import reading_fields

SOUND = [[120, 121, 6.4], [400, 401, 12.0], [659, 660, 17.18]]


def visit(path: Path, heads: list[str], rows: list[list[Any]]) -> Path:
    return book(path / "a.xlsx", *TWO, heads, *rows)


def test_an_unread_column_of_numbers_leaves_it_open(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = visit(tmp_path, ["Dipped mm", "Zeta mm", "Loop mA"], SOUND)
    assert main(["diagnose", str(path)]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "cannot tell: nothing wrong shows in the columns that were read, but not read: column B" in out
    assert main(["diagnose", str(path), "--json"]) == 1
    assert json.loads(capsys.readouterr().out)["verdict"] == "cannot tell"


def test_the_guided_search_says_the_same_and_asks_for_the_column(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = visit(tmp_path, ["Dipped mm", "Zeta mm", "Loop mA"], SOUND)
    assert main(["diagnose", str(path), "--ask"]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "Cannot tell: nothing wrong shows" in out and "column B 'Zeta mm'" in out
    assert "Nothing wrong shows in these readings" not in out


def test_a_percent_that_differs_leaves_it_open_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = [[*row, percent] for row, percent in zip(SOUND, (15.0, 55.0, 82.4), strict=True)]
    path = visit(tmp_path, ["Dipped mm", "Shown mm", "Loop mA", "DCS %"], rows)
    assert main(["diagnose", str(path)]) == 1
    assert "cannot tell" in capsys.readouterr().out


def test_a_fault_that_shows_is_named_all_the_same(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = [[level, shown, 20 - (current - 4), 7] for level, shown, current in SOUND]
    path = visit(tmp_path, ["Dipped mm", "Shown mm", "Loop mA", "Zeta"], rows)
    assert main(["diagnose", str(path), "--json"]) == 0
    made = json.loads(capsys.readouterr().out)
    assert made["causes"][0]["cause"] == "transmitter reversed" and made["not_read"]


def test_a_column_headed_remark_is_no_reading(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = [[*row, number] for number, row in enumerate(SOUND)]
    path = visit(tmp_path, ["Dipped mm", "Shown mm", "Loop mA", "Remark"], rows)
    assert main(["diagnose", str(path)]) == 0
    assert "nothing wrong shows: as designed" in " ".join(capsys.readouterr().out.split())


def test_the_worksheet_says_it_in_the_row_of_the_verdict() -> None:
    made = call("LG_DIAGNOSE", TWO, [["Dipped mm", "Zeta mm", "Loop mA"], *SOUND])
    assert made[1][8] == "cannot tell" and "column 2 'Zeta mm'" in made[-1][1]


@pytest.mark.parametrize(
    ("heads", "fields"),
    [
        (("Radar mm", "Schwimmeranzeige mm", "mA"), ["level", "indicated", "current"]),
        (("Schauglas (mm)", "Magnetklappen zeigen", "Ausgang mA"), ["level", "indicated", "current"]),
        (("True (sounding)", "Seen on gauge", "I / mA"), ["level", "indicated", "current"]),
        (("Nível medido à vara", "Indicação", "Corrente mA"), ["level", "indicated", "current"]),
        (("Peilglas", "Meter wijst aan", "mA"), ["level", "indicated", "current"]),
        (("Sondeo mm", "Lo que marca", "Salida mA"), ["level", "indicated", "current"]),
        (("Istwert (Peilung) mm", "Anzeige mm", "Strom mA"), ["level", "indicated", "current"]),
        # it may as well be the transmitter's
        (("Istwert mm", "Anzeige mm", "Strom mA"), [None, "indicated", "current"]),
        (("Dipped mm", "Float (mm)", "Magnet height mm"), ["level", None, None]),
    ],
)
def test_headings_by_their_words(heads: tuple[str, ...], fields: list[str | None]) -> None:
    assert reading_fields([heads, *SOUND]) == fields
