"""The current itself beside what a control system makes of it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.test_data_sheet import TWO, book
from xlfuncs.cli import main

LEVELS = (120, 400, 659)
MILLIAMPS = (6.4, 12.0, 17.18)
PERCENT = (15.0, 50.0, 82.4)
MILLIMETRES = (120, 400, 659)
OFF = (15.0, 53.0, 82.4)


def told(path: Path, heads: tuple[str, str], one: Any, other: Any, capsys: Any) -> dict[str, Any]:
    rows: list[list[Any]] = [["Dipped mm", "Gauge shows mm", *heads]]
    rows += [list(row) for row in zip(LEVELS, LEVELS, one, other, strict=True)]
    main(["diagnose", str(book(path / "a.xlsx", *TWO, *rows)), "--json"])
    captured = capsys.readouterr()
    return dict(json.loads(captured.out)) if captured.out else {"error": captured.err}


@pytest.mark.parametrize(
    ("heads", "other"),
    [
        (("loop current", "% DCS"), PERCENT),
        (("Ausgang mA", "PLS %"), PERCENT),
        (("4-20 mA", "DCS %"), PERCENT),
        (("Transmitter mA", "DCS value mm"), MILLIMETRES),
        (("Signal", "DCS"), PERCENT),
    ],
)
def test_the_two_that_agree_are_no_matter(
    heads: tuple[str, str], other: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made = told(tmp_path, heads, MILLIAMPS, other, capsys)
    assert made["verdict"] == "nothing wrong shows" and not made["not_read"]


@pytest.mark.parametrize("heads", [("loop current", "% DCS"), ("Ausgang mA", "PLS %"), ("4-20 mA", "DCS %")])
def test_the_current_is_read_and_a_percent_that_differs_is_said(
    heads: tuple[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made = told(tmp_path, heads, MILLIAMPS, OFF, capsys)
    (text,) = made["not_read"]
    assert f"not used: column D '{heads[1]}' differs from column C '{heads[0]}'" in text
    assert "by up to 3 % of span, at Visit row 8" in text
    wrong = told(tmp_path, heads, (18, 5, 11), PERCENT, capsys)
    assert wrong["verdict"] != "nothing wrong shows" and wrong["not_read"]


def test_half_a_percent_of_span_is_the_limit(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    heads = ("Loop mA", "DCS %")
    assert not told(tmp_path, heads, MILLIAMPS, (15.0, 50.4, 82.4), capsys)["not_read"]
    assert told(tmp_path, heads, MILLIAMPS, (15.0, 50.6, 82.4), capsys)["not_read"]


def test_a_percent_where_the_current_is_blank_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (text,) = told(tmp_path, ("Loop mA", "DCS %"), (6.4, None, 17.18), PERCENT, capsys)["not_read"]
    assert "is given at Visit row 8, where column C 'Loop mA' is blank" in text


def test_two_currents_are_refused_by_the_headings_of_the_book(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made = told(tmp_path, ("Loop mA", "Output mA"), MILLIAMPS, MILLIAMPS, capsys)
    assert "two columns for the current: column C 'Loop mA' and column D 'Output mA'" in made["error"]


def test_a_percent_under_a_heading_that_may_mean_both_is_one_in_every_row(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """15 among 50 and 82 is a percentage as well, and no current of 15 mA."""
    for dcs in (PERCENT, ("15,0", "50,0", "82,4")):
        made = told(tmp_path, ("Remark", "DCS"), (None, None, None), dcs, capsys)
        assert made["verdict"] == "nothing wrong shows"
