"""Columns that are known by what their cells have to do with those of other columns."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from tests.rows import save
from xlfuncs.lists.reader import read_book

TAGS = [f"LG-{n}" for n in range(101, 107)]
SERIALS = [f"A{4400 + n}" for n in range(6)]
FLUIDS = ["Oil A", "Oil B", "Brine", "Oil C", "Lye", "Slop"]


def taken(folder: Path, **sheets: list[list[Any]]) -> dict[str, str]:
    """Field -> heading of the index, as it was read."""
    (table,) = read_book(save(folder / "book.xlsx", sheets)).gauges
    return {one.field: one.heading for one in table.recognised}


def index(*columns: list[Any]) -> list[list[Any]]:
    """A list with tags and fluids, and further columns, each with its heading first."""
    every = [
        ["Tag no.", *TAGS],
        ["Fluid", *FLUIDS],
        ["Density kg/m3", 840, 850, 1100, 860, 1200, 900],
        *columns,
    ]
    return [list(row) for row in zip(*every, strict=True)]


@pytest.mark.parametrize("heading", ["Label says", "Stamped for no.", "Zeta"])
def test_a_column_that_repeats_the_gauges_serials_notes_them(tmp_path: Path, heading: str) -> None:
    noted = [*SERIALS[:2], SERIALS[1], *SERIALS[3:]]  # one float was changed
    floats = [f"F{n}" for n in range(6)]
    rows = index(["Gauge serial no.", *SERIALS], ["Float serial no.", *floats], [heading, *noted])
    assert taken(tmp_path, Index=rows)["float_gauge_serial"] == heading


def test_serials_of_many_digits_are_told_apart(tmp_path: Path) -> None:
    serials = [44021170 + n for n in range(6)]
    rows = index(
        ["Gauge serial no.", *serials],
        ["Float serial no.", *(f"F{n}" for n in range(6))],
        ["Zeta", *(number + 10 for number in serials)],
        ["Label says", *serials],
    )
    assert taken(tmp_path, Index=rows)["float_gauge_serial"] == "Label says"


def test_after_the_transmitters_columns_it_is_noted_for_the_transmitter(tmp_path: Path) -> None:
    rows = index(
        ["Gauge serial no.", *SERIALS],
        ["Transmitter serial no.", *(f"T{n}" for n in range(6))],
        ["Label says", *SERIALS],
    )
    assert taken(tmp_path, Index=rows)["transmitter_gauge_serial"] == "Label says"


def test_numbers_of_no_gauge_are_no_noted_serials(tmp_path: Path) -> None:
    rows = index(["Gauge serial no.", *SERIALS], ["Zeta", *(f"Q{n}" for n in range(6))])
    assert not {"float_gauge_serial", "transmitter_gauge_serial"} & taken(tmp_path, Index=rows).keys()


@pytest.mark.parametrize("unit", [1.0, 0.1])
def test_a_level_and_its_current_are_known_by_the_range(tmp_path: Path, unit: float) -> None:
    """4 mA + 16 mA times the share of the range; the last current is wrong, as a fault may be."""
    spans, shares = [1000, 1200, 800, 600, 1500, 900], [0.5, 0.25, 0.75, 0.5, 0.6, 0.5]
    levels = [span * share * unit for span, share in zip(spans, shares, strict=True)]
    currents = [*(4 + 16 * share for share in shares[:-1]), 13.4]
    rows = index(["LRV mm", *[0] * 6], ["URV mm", *spans], ["Alpha", *levels], ["Beta", *currents])
    found = taken(tmp_path, Index=rows)
    assert (found["stated_level"], found["stated_current"]) == ("Alpha", "Beta")


def test_currents_that_follow_nothing_are_left_alone(tmp_path: Path) -> None:
    rows = index(
        ["LRV mm", *[0] * 6],
        ["URV mm", 1000, 1200, 800, 600, 1500, 900],
        ["Alpha", 10, 20, 30, 40, 50, 60],
        ["Beta", 5, 9, 7, 20, 6, 11],
    )
    assert not {"stated_level", "stated_current"} & taken(tmp_path, Index=rows).keys()


def test_lengths_that_equal_the_visible_range_are_the_distance_of_the_connections(tmp_path: Path) -> None:
    rows = index(
        ["Visible range mm", 1000, 1200, 800, 600, 1500, 900], ["Zeta mm", 1000, 1200, 800, 600, 1500, 700]
    )
    assert taken(tmp_path, Index=rows)["connection_distance"] == "Zeta mm"


def test_what_stands_in_the_float_list_names_the_floats(tmp_path: Path) -> None:
    parts = ["ZF-1", "ZF-2", "ZF-1", "ZF-3", "ZF-2", "ZF-9"]  # the last one is in no list
    floats: list[list[Any]] = [
        ["Part no.", "Mass g", "Diameter mm", "Length mm", "Magnet height mm"],
        *([part, 300, 50, 250, 180] for part in ("ZF-1", "ZF-2", "ZF-3")),
    ]
    rows = index(["To order", *parts])
    assert taken(tmp_path, Index=rows, Floats=floats)["float_part"] == "To order"


def test_tags_of_gauges_go_before_places_and_equipment(tmp_path: Path) -> None:
    rows = [["Tag", "Loop"], *([f"PLANT-0{n}-CDU", tag] for n, tag in enumerate(TAGS))]
    rows = [[*row, *more] for row, more in zip(rows, [r[1:] for r in index()], strict=True)]
    assert taken(tmp_path, Index=rows)["tag"] == "Loop"


def test_a_last_heading_row_may_hold_units_for_some_columns_and_words_for_others(tmp_path: Path) -> None:
    rows: list[list[Any]] = [
        ["Tag no.", "Fluid", "Density", "Operating pressure (barg)", None, "Centres"],
        [None, None, "kg/m3", "min", "max", "mm"],
        *(
            [tag, fluid, 850, 1, 3, 900 + 100 * n]
            for n, (tag, fluid) in enumerate(zip(TAGS, FLUIDS, strict=True))
        ),
    ]
    found = taken(tmp_path, Index=rows)
    assert found["operating_pressure_min"].endswith("min")
    assert found["operating_pressure_max"].endswith("max")
    assert {"fluid_density", "connection_distance"} <= found.keys()


MADE_FOR = [0.70, 0.80, 0.90, 0.95, 1.00]


def float_list(heading: str, counted: str, density: list[float]) -> list[list[Any]]:
    """Floats of flat ends, 60 mm wide and 300 mm long, with the magnet in the surface of their own liquid."""
    masses = [420.0, 470.0, 520.0, 560.0, 600.0]
    # immersion: mass / (density of the liquid * pi/4 * d2)
    area = math.pi / 4 * 0.06**2
    depths = [1e3 * m / 1e3 / (sg * 999.016 * area) for m, sg in zip(masses, MADE_FOR, strict=True)]
    planes = [round(depth if counted == "bottom" else 300 - depth) for depth in depths]
    heads = ["Float", "Weight g", "O.D. mm", "Length o/a mm", heading, "Design S.G."]
    return [
        heads,
        *(
            [f"ZF-{n}", m, 60, 300, plane, sg]
            for n, (m, plane, sg) in enumerate(zip(masses, planes, density, strict=True))
        ),
    ]


@pytest.mark.parametrize(
    ("counted", "density", "field"),
    [
        ("bottom", MADE_FOR, "magnet_height"),
        ("top", MADE_FOR, "magnet_from_top"),
        ("bottom", [sg * 0.6 for sg in MADE_FOR], None),
    ],
)
def test_a_magnet_plane_is_counted_from_where_the_balance_says(
    tmp_path: Path, counted: str, density: list[float], field: str | None
) -> None:
    rows = index(["Float", *(f"ZF-{n % 5}" for n in range(6))])
    floats = float_list("Magnet Plane mm", counted, density)
    book = read_book(save(tmp_path / "book.xlsx", {"Index": rows, "Floats": floats}))
    told = {one.heading: one.field for one in book.floats[0].recognised}
    assert told.get("Magnet Plane mm") == field


@pytest.mark.parametrize("heading", ["Code", "Norm", "Przepis", "Spec. of vessel"])
def test_a_column_of_codes_of_design_is_known_by_its_cells(tmp_path: Path, heading: str) -> None:
    codes = ["ASME VIII-1", "ASME B31.3", "EN 13445", "PED", "ASME VIII-1", "ASME VIII-1"]
    assert taken(tmp_path, Index=index([heading, *codes])).get("design_code") == heading
    sizes = ["ASME B16.5", "ASME B16.5", "B16.5", "ASME B16.5", "B16.5", "B16.5"]
    assert "design_code" not in taken(tmp_path, Index=index([heading, *sizes]))


@pytest.mark.parametrize("heading", ["Shell", "Xq"])
def test_the_metal_of_the_floats_is_known_by_its_cells(tmp_path: Path, heading: str) -> None:
    rows = float_list("Magnet above bottom mm", "bottom", MADE_FOR)
    metals = [heading, "316L", "Titanium Gr 2", "316L", "316L", "Titanium Gr 2"]
    listed = [[*row, metal] for row, metal in zip(rows, metals, strict=True)]
    gauges = index(["Float", *(f"ZF-{n % 5}" for n in range(6))])
    book = read_book(save(tmp_path / "book.xlsx", {"Index": gauges, "Floats": listed}))
    assert {one.field: one.heading for one in book.floats[0].recognised}["float_material"] == heading


@pytest.mark.parametrize("heading", ["Current at normal level mA", "Strom bei Normalstand mA"])
def test_a_current_at_normal_level_belongs_to_that_level(tmp_path: Path, heading: str) -> None:
    rows = index(
        ["LRV mm", *[0] * 6],
        ["URV mm", *[1000] * 6],
        ["Normal level mm", 500, 400, 250, 500, 500, 500],
        [heading, 12.0, 10.4, 8.0, 12.0, 12.0, 12.5],
    )
    (table,) = read_book(save(tmp_path / "book.xlsx", {"Index": rows})).gauges
    assert [table.columns["stated_level"].number(n) for n in range(3)] == pytest.approx([0.5, 0.4, 0.25])
