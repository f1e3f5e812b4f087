"""Which rows of an index are gauges with a float, what became of the others, in memory."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from tests.test_heads_and_rows import sheet
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.layout import attempt
from xlfuncs.lists.tables import Made, make

Rows = list[list[Any]]
HEADS = ["Tag", "Density kg/m3", "C-C mm", "Visible range mm"]
GEOMETRY = [900, 800]


def index(rows: Rows, heads: Sequence[str] = HEADS, title: str = "Index") -> Made:
    grid = sheet([list(heads), *rows])
    grid.sheet = title
    layout = attempt(grid, 0, "gauges", Instructions())
    assert layout is not None
    return make(grid, layout)


def kept(made: Made) -> list[str]:
    return [] if "tag" not in made.table.columns else made.table.columns["tag"].text.tolist()


def audited(*tags: str, title: str = "Index", geometry: Sequence[Any] = GEOMETRY) -> list[str]:
    """Which of some tags are audited beside three gauges, with a distance and a visible range of theirs."""
    gauges = [[f"LG-90{n}", 850, *GEOMETRY] for n in range(3)]
    made = index([*([tag, 860, *geometry] for tag in tags), *gauges], title=title)
    return [tag for tag in kept(made) if not tag.startswith("LG-90")]


@pytest.mark.parametrize(
    ("title", "geometry", "gauge"),
    [
        ("Magnetic level gauges", GEOMETRY, True),
        ("Magnetic level gauges", ["", ""], False),
        ("Magnetic level gauges", [900, ""], False),
        ("Index", GEOMETRY, False),
        ("Level gauges", GEOMETRY, False),
    ],
)
def test_in_a_list_of_magnetic_gauges_a_strange_tag_with_a_chambers_sizes_is_one(
    title: str, geometry: list[Any], gauge: bool
) -> None:
    assert audited("QX-101", title=title, geometry=geometry) == (["QX-101"] if gauge else [])


def test_a_tag_of_level_with_a_chambers_sizes_is_a_gauge_and_without_another_instrument() -> None:
    assert audited("LI-101") == ["LI-101"]
    assert audited("LI-101", geometry=[900, ""]) == []
    assert audited("LI-101", geometry=["", ""]) == []
    assert audited("PT-101") == []


def test_the_tags_of_a_cell_are_gauges_of_their_own_and_those_of_their_loops_are_not() -> None:
    assert audited("LG-101A/B") == ["LG-101A", "LG-101B"]
    assert audited("LG-101 / LT-101") == ["LG-101"]
    assert audited("LG-101 / LT-102") == ["LG-101", "LT-102"]
    made = index([["LG-101A/B", 850, *GEOMETRY], ["LG-102", 860, *GEOMETRY]])
    assert made.table.columns["fluid_density"].raw.tolist() == [850, 850, 860]
    assert made.rows["audited"].tolist() == [2, 2, 3]


TYPED = [*HEADS, "Type"]


def test_a_magnetic_transmitter_is_its_gauges_and_a_gauge_where_it_stands_alone() -> None:
    def of(*tags: str) -> list[str]:
        return kept(index([[tag, 850, *GEOMETRY, "magnetic"] for tag in tags], TYPED))

    assert of("LG-101", "LT-101", "LT-102") == ["LG-101", "LT-102"]
    assert of("LT-101", "LG-102") == ["LT-101", "LG-102"]
    assert of("LG-101", "LSH-101", "LSH-102") == ["LG-101"]
    made = index([[tag, 850, *GEOMETRY, "magnetic"] for tag in ("LG-101", "LT-101", "LT-102")], TYPED)
    assert made.skipped == {"other instrument": 1}
    assert made.rows["other instrument"].tolist() == [3]
    assert made.selected is not None
    assert made.selected.loops == {"101": [("LT", 1)]}


def test_types_tell_glasses_and_other_instruments_from_gauges() -> None:
    def of(kind: str, tag: str = "LG-101") -> bool:
        rows: Rows = [[tag, 850, *GEOMETRY, kind], *([f"LG-90{n}", 850, *GEOMETRY, ""] for n in range(3))]
        return tag in kept(index(rows, TYPED))

    assert of("magnetic")
    assert of("")
    assert not of("reflex")
    assert not of("radar")
    assert of("level", "QX-101")
    assert not of("", "QX-101")
    assert not of("valve", "QX-101")


def test_the_parts_of_a_code_make_the_tag() -> None:
    heads = ["Letters", "Loop number", "Suffix", *HEADS[1:]]
    rows: Rows = [["LG", 101, "A", 850, *GEOMETRY], ["LG", 102, "", 850, *GEOMETRY]]
    rows.append(["LG", "TBC", "", 850, *GEOMETRY])
    made = index(rows, heads)
    found = made.table.columns["tag"]
    assert found.text.tolist() == ["LG-101A", "LG-102", ""]
    assert found.given.tolist() == [True, True, False]


def test_a_list_of_vessels_is_none_of_gauges() -> None:
    heads = ["Tag", "Density kg/m3", "Design pressure barg"]

    def of(tag: str, title: str = "Index") -> int:
        return len(kept(index([[f"{tag}{n}", 850, 10] for n in range(3)], heads, title)))

    assert of("LG-10") == 3
    assert of("QXYZAB-10") == 0
    assert of("QXYZAB-10", "Level gauges") == 3
    (doubt,) = index([[f"QXYZAB-10{n}", 850, 10] for n in range(3)], heads).doubts
    assert "not one of level gauges" in doubt.text


def test_a_row_without_a_tag_that_names_another_instrument_is_that_ones() -> None:
    heads = ["Gauge tag", "Loop", *HEADS[1:]]
    rows: Rows = [["LG-101", "LT-1", 850, *GEOMETRY], ["", "PT-101", 850, *GEOMETRY]]
    rows += [["", "blue", 850, *GEOMETRY], ["LG-102", "PT-102", 850, *GEOMETRY]]
    made = index(rows, heads)
    assert kept(made) == ["LG-101", "", "LG-102"]
    assert made.rows["other instrument"].tolist() == [3]
