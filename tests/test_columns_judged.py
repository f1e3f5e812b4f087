"""What headings and cells say together of a column, in memory: shares and scores on both sides."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from tests.test_heads_and_rows import page, sheet
from xlfuncs.lists import neighbours
from xlfuncs.lists.found import Found, Layout
from xlfuncs.lists.heads import heads_under
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.judge import judge
from xlfuncs.lists.layout import find_layouts

TAGS = ["Tag", *(f"LG-{n}" for n in range(1, 7))]
DENSITY = ["Density kg/m3", *(850 + n for n in range(6))]
FLUID = ["Fluid", *["Oil"] * 6]


def layout_of(*columns: Sequence[Any]) -> Layout:
    n = len(columns[0])
    rows = [list(row) for row in zip(TAGS[:n], DENSITY[:n], FLUID[:n], *columns, strict=True)]
    (found,) = find_layouts(sheet(rows), Instructions())
    return found


def fourth(heading: str, *cells: Any) -> Found:
    """What a column beside tags, densities and fluids was taken for."""
    found = layout_of([heading, *cells])
    return next(one for one in (*found.columns.values(), *found.others) if one.index == 3)


def test_a_heading_of_two_quantities_over_texts_is_that_of_both() -> None:
    found = fourth("Design P/T", "10 / 120", "16 / 200", "8 / 150", 9)
    assert found.field == "design_pressure_temperature"
    assert found.runner_up == "float_pressure_temperature"
    assert found.runner_up_score == pytest.approx(0.5, abs=0.05)


def test_over_as_many_numbers_it_may_be_that_of_one_as_well() -> None:
    found = fourth("Design P/T", "10 / 120", "16 / 200", 8, 9)
    assert found.runner_up == "design_pressure"
    assert fourth("Design P/T", 10, 16, 8, 9).doubted == "design_pressure"


def test_a_heading_of_two_quantities_is_that_of_both_over_any_texts() -> None:
    cells = "per data sheet", "as the vessel", "of the line", "blue"
    assert fourth("Design P/T", *cells).field == "design_pressure_temperature"


@pytest.mark.parametrize(
    ("cells", "left"), [(["g"] * 4 + ["round"], "float_ends"), (["g"] * 5 + ["round"], ""), (["g"] * 6, "")]
)
def test_more_than_four_fifths_of_units_below_a_heading_of_little_weight_are_units(
    cells: list[str], left: str
) -> None:
    assert fourth("Ends", *cells).runner_up == left


def test_a_heading_that_is_sure_counts_over_units_as_well() -> None:
    assert fourth("Remarks", "mm", "g", "kg", "in").field == "remarks"


def test_columns_are_decided_anew_three_times_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    """However much they lend to each other."""
    rounds: list[int] = []

    def lend(*_: object) -> bool:
        rounds.append(1)
        return True

    monkeypatch.setattr(neighbours, "lend", lend)
    sheet_of = page(["Tag", "Fluid"], ["LG-1", "Oil"])
    judge(sheet_of, 1, "gauges", heads_under(sheet_of, 0, 1, []))
    assert len(rounds) == 3
