"""Sheets that are no plain list, told by counts and shares of their cells: each on both sides, in memory."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from tests.test_heads_and_rows import STRANGE, sheet
from xlfuncs.lists import abreast, bill, keyed, legend, long, turned
from xlfuncs.lists.advice import near_of
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.layout import find_layouts, likely
from xlfuncs.lists.upright import Records
from xlfuncs.spreadsheet.grid import Grid

Rows = list[list[Any]]

# --- a sheet of names beside what they mean ---------------------------------------------------------------

NAMES: Rows = [
    ["EQ_ID", "Gauge tag number", ""],
    ["FL_1", "Fluid name", ""],
    ["DN_1", "Fluid density", "kg/m3"],
    ["DP_1", "Design pressure", "barg"],
    ["DT_1", "Design temperature", "degC"],
]


def _legends(rows: Rows) -> list[legend.Legend]:
    return legend.legends([sheet(rows)])


def test_a_legend_explains_four_names_in_more_words_than_one() -> None:
    (found,) = _legends(NAMES)
    assert found.meanings["dn_1"] == ("Fluid density", "kg/m3")
    assert found.meanings["eq_id"] == ("Gauge tag number", "")
    assert len(_legends(NAMES[1:])) == 1
    assert _legends(NAMES[2:]) == []
    assert _legends([[name, text.split()[-1], unit] for name, text, unit in NAMES]) == []
    assert len(_legends([*NAMES[1:], ["X_1", "Fluid"]])) == 1
    assert _legends([*NAMES[2:], ["X_1", "Fluid"]]) == []


@pytest.mark.parametrize(("others", "made"), [(5, True), (6, True), (7, True), (8, False), (9, False)])
def test_four_tenths_of_its_names_are_explained_in_words_of_headings(others: int, made: bool) -> None:
    rows = [*NAMES, *([f"Q_{n}", "some other words"] for n in range(others))]
    assert bool(_legends(rows)) is made


@pytest.mark.parametrize(("length", "made"), [(30, True), (31, False), (32, False)])
def test_a_name_is_one_word_of_no_more_than_thirty_characters(length: int, made: bool) -> None:
    rows = [[name.ljust(length, "x"), *rest] for name, *rest in NAMES[1:]]
    assert bool(_legends(rows)) is made
    assert _legends([[f"{name} x", *rest] for name, *rest in NAMES[1:]]) == []


@pytest.mark.parametrize(("units", "taken"), [(1, ""), (2, "kg/m3"), (3, "kg/m3")])
def test_two_units_make_a_column_of_units(units: int, taken: str) -> None:
    rows = [*NAMES[:2], *([*row[:2], row[2] if n < units else "x"] for n, row in enumerate(NAMES[2:]))]
    assert _legends(rows)[0].meanings["dn_1"] == ("Fluid density", taken)


@pytest.mark.parametrize(("rows", "made"), [(500, True), (501, False), (520, False)])
def test_a_sheet_of_more_than_500_rows_is_no_legend(rows: int, made: bool) -> None:
    assert bool(_legends([*NAMES, *([["", "", 5]] * (rows - 5))])) is made


@pytest.mark.parametrize(("before", "made"), [(11, True), (12, False)])
def test_a_legend_stands_in_the_first_twelve_columns(before: int, made: bool) -> None:
    assert bool(_legends([[*[5] * (before - 1), *row] for row in NAMES])) is made


EXPLAINED: Rows = [
    ["EQ_ID", "FL_1", "DN_1", "DP_1", "DT_1"],
    ["LG-1", "Oil", 850, 10, 100],
    ["LG-2", "Oil", 860, 10, 100],
    ["LG-3"],
    ["V-3"],
    ["", "Oil", 850, 10],
]


def _explained(rows: Rows) -> list[Records]:
    known = legend.legends([sheet(NAMES)])
    grid = sheet(rows)
    assert not list(legend.records_of(grid, known)), "the legend is a sheet of its own"
    grid.sheet = "Export"
    return list(legend.records_of(grid, known))


def test_records_below_names_that_a_legend_explains_have_a_tag_and_a_value() -> None:
    (found,) = _explained(EXPLAINED)
    assert [record.cells[0].value for record in found.records] == ["LG-1", "LG-2"]
    assert [(one.key, one.unit) for one in found.properties][2] == ("Fluid density", "kg/m3")
    assert _explained([row[:3] for row in EXPLAINED]) == []
    assert len(_explained([row[:4] for row in EXPLAINED])) == 1
    few: Rows = [EXPLAINED[0], ["LG-1", "Oil"]]
    assert len(_explained(few)[0].records) == 1


@pytest.mark.parametrize(("others", "made"), [(2, True), (3, True), (4, False)])
def test_six_tenths_of_the_names_are_in_the_legend(others: int, made: bool) -> None:
    rows = [[*EXPLAINED[0], *STRANGE[:others]], *EXPLAINED[1:]]
    assert bool(_explained(rows)) is made


@pytest.mark.parametrize(("above", "made"), [(29, True), (30, False), (31, False)])
def test_the_names_stand_in_the_first_thirty_rows(above: int, made: bool) -> None:
    assert bool(_explained([["x"]] * above + EXPLAINED)) is made


# --- a row for each property ------------------------------------------------------------------------------

PROPERTIES = ["Fluid density", "Viscosity", "Design pressure", "Design temperature", "Float mass"]
UNITS = ["kg/m3", "mPa.s", "barg", "degC", "g"]


def _long(
    gauges: int = 3, names: Sequence[str] = PROPERTIES, units: Sequence[str] = UNITS, more: Rows | None = None
) -> Grid:
    rows: Rows = [["Tag", "Property", "Value", "Unit"]]
    for n in range(gauges):
        rows += [
            [f"LG-{n}", name, 100 + 10 * n + k, unit]
            for k, (name, unit) in enumerate(zip(names, units, strict=False))
        ]
    return sheet([*rows, *(more or [])])


def test_a_long_list_has_four_properties_that_come_again() -> None:
    (found,) = long.records_of(_long())
    assert [one.text for one in found.properties] == ["Tag", *PROPERTIES]
    assert [record.cells[1].value for record in found.records] == [100, 110, 120]
    assert [record.units[1] for record in found.records] == ["kg/m3"] * 3
    assert list(long.records_of(_long(4, names=PROPERTIES[:3]))), "with the heading of their column"
    assert not list(long.records_of(_long(6, names=PROPERTIES[:2])))
    assert not list(long.records_of(_long(1)))
    assert not list(long.records_of(_long(2))), "six names in eleven rows"


@pytest.mark.parametrize(("other", "made"), [(1, True), (2, True), (3, False)])
def test_six_tenths_of_the_names_of_properties_are_understood(other: int, made: bool) -> None:
    """Of five with the heading of their column, and others."""
    names = [*PROPERTIES, *STRANGE[:other]]
    assert bool(list(long.records_of(_long(4, names, [*UNITS, *["kg"] * other])))) is made


@pytest.mark.parametrize(("different", "made"), [(4, True), (5, False)])
def test_half_of_the_names_come_again(different: int, made: bool) -> None:
    rows: Rows = [[f"LG-{n % 2}", PROPERTIES[n % 4], 100 + n, "g"] for n in range(8)]
    rows[7][1] = PROPERTIES[3 if different == 4 else 4]
    assert bool(list(long.records_of(sheet(rows)))) is made
    assert not list(long.records_of(sheet(rows[:7])))


@pytest.mark.parametrize(("strange", "made"), [(13, True), (14, False), (16, False)])
def test_six_tenths_of_the_keys_are_tags(strange: int, made: bool) -> None:
    """With four gauges of five properties, and the heading."""
    more = [["blue", PROPERTIES[n % 5], 5, "g"] for n in range(strange - 1)]
    assert bool(list(long.records_of(_long(4, more=more)))) is made


@pytest.mark.parametrize(("given", "unit"), [(3, "kg/m3"), (2, ""), (4, "kg/m3")])
def test_units_stand_in_half_of_a_column_of_units(given: int, unit: str) -> None:
    """Three of the first gauge are units at least, and half."""
    texts = [*UNITS[:given], *["x"] * (5 - given)]
    (found,) = long.records_of(_long(3, units=texts))
    assert found.records[0].units[1] == unit


@pytest.mark.parametrize(("before", "made"), [(37, True), (38, False), (39, False)])
def test_a_long_list_stands_in_the_first_forty_columns(before: int, made: bool) -> None:
    rows = [[*[""] * before, *row[:3]] for row in _long().values.tolist()]
    assert bool(list(long.records_of(sheet(rows)))) is made


@pytest.mark.parametrize(("different", "made"), [(10, True), (11, False)])
def test_of_twenty_names_eleven_different_ones_are_too_many(different: int, made: bool) -> None:
    names = [*PROPERTIES, "Fluid", "Service", "Float length", "Float diameter"]
    names += ["Operating pressure", "Operating temperature"]
    rows: Rows = [[f"LG-{n % 2}", names[n % different], 100 + n * n, "g"] for n in range(20)]
    assert bool(list(long.records_of(sheet(rows)))) is made


@pytest.mark.parametrize(("tags", "made"), [(["LG-0", "LG-1"], True), (["LG-0", ""], False)])
def test_two_tags_make_a_key(tags: list[str], made: bool) -> None:
    """Each stands once, above the properties of its gauge."""
    rows: Rows = [[tags[n // 5] if n % 5 == 0 else "", PROPERTIES[n % 5], 100 + n * n] for n in range(10)]
    found = list(long.records_of(sheet(rows)))
    assert bool(found) is made
    assert [len(each.records) for each in found] == [2] * made


@pytest.mark.parametrize(("given", "unit"), [(2, ""), (3, "kg/m3")])
def test_three_texts_make_a_column_of_units(given: int, unit: str) -> None:
    rows = [[*row[:3], row[3] if 0 < n <= given else ""] for n, row in enumerate(_long().values.tolist())]
    (found,) = long.records_of(sheet(rows))
    assert found.records[0].units[1] == unit


@pytest.mark.parametrize(("given", "unit"), [(5, "kg/m3"), (4, "")])
def test_half_of_a_column_of_units_are_units(given: int, unit: str) -> None:
    rows = [[*row[:3], row[3] if n < given else "dark"] for n, row in enumerate(_long(2).values.tolist()[1:])]
    (found,) = long.records_of(sheet(rows))
    assert found.records[0].units[1] == unit


@pytest.mark.parametrize(("above", "made"), [(380, True), (400, False)])
def test_a_long_list_is_known_by_its_first_400_rows(above: int, made: bool) -> None:
    assert bool(list(long.records_of(sheet([[""]] * above + _long().values.tolist())))) is made


@pytest.mark.parametrize("heading", [[], [["", "", ""], ["Tag", "Property", "Value"]]])
def test_the_tag_of_a_long_list_is_named_in_the_row_above_it(heading: Rows) -> None:
    rows = [row[:3] for row in _long().values.tolist()[1:]]
    (found,) = long.records_of(sheet([*heading, *rows]))
    assert found.properties[0].row == max(1, len(heading))


def test_values_of_words_and_numbers_are_rather_meant_than_numbers_alone() -> None:
    """Which may be those of a revision, or of a price."""
    values = ["dark", 5.5, 10, "see note", 300]
    rows: Rows = [
        [f"LG-{n}", name, value, 7 * n * n + 3 * k]
        for n in range(4)
        for k, (name, value) in enumerate(zip(PROPERTIES, values, strict=True))
    ]
    (found,) = long.records_of(sheet(rows))
    assert [place.value for place in found.records[1].cells.values()][1:] == values


def test_values_stand_rather_right_of_their_names_than_left_of_them() -> None:
    rows: Rows = [
        [f"LG-{n}", 200 + 7 * n * n + 3 * k, name, 500 + 7 * n * n + 3 * k]
        for n in range(4)
        for k, name in enumerate(PROPERTIES)
    ]
    (found,) = long.records_of(sheet(rows))
    assert found.records[0].cells[1].value == 500


def test_names_that_another_sheet_explains_are_properties() -> None:
    names = STRANGE[:4]
    (known,) = _legends([[name, *rest] for name, (_, *rest) in zip(names, NAMES[1:], strict=True)])
    rows: Rows = [[f"LG-{n}", name, 100 + n] for n in range(4) for name in names]
    grid = sheet(rows)
    assert not list(long.records_of(grid))
    assert not list(long.records_of(grid, [known])), "the legend is a sheet of its own"
    grid.sheet = "Export"
    (found,) = long.records_of(grid, [known])
    assert [one.key for one in found.properties][2] == "Fluid density"


def test_a_column_that_counts_the_rows_holds_no_values() -> None:
    rows = [[n, *row] for n, row in enumerate(_long().values.tolist())]
    (found,) = long.records_of(sheet(rows))
    assert found.records[0].cells[1].value == 100
    at_right = [[*row[:2], n, row[2]] for n, row in enumerate(_long().values.tolist())]
    (found,) = long.records_of(sheet(at_right))
    assert found.records[0].cells[1].value == 100


def test_the_lower_and_the_upper_limit_of_a_row_are_a_range() -> None:
    rows: Rows = [["Tag", "Property", "Value", "Limit lower", "Limit upper"]]
    for n in range(3):
        rows += [
            [f"LG-{n}", name, "" if k == 3 else 100 + n + k, 0, 50 + k] for k, name in enumerate(PROPERTIES)
        ]
    (found,) = long.records_of(sheet(rows))
    assert found.records[0].cells[4].value == "0 - 53"
    assert found.records[0].cells[1].value == 100


# --- headings below or beside what they head -------------------------------------------------------------


def _turned(rows: Rows) -> list[str]:
    return [found.shape for found in turned.records_of(sheet(rows))]


HEADS = ["Tag", "Fluid", "Density", "Viscosity", "Design pressure"]
GAUGES: Rows = [[f"LG-{n}", "Oil", 850 + n, 5, 10] for n in range(4)]


def _flipped(rows: Rows) -> Rows:
    return [list(column) for column in zip(*rows, strict=True)]


@pytest.mark.parametrize(
    ("heads", "made"),
    [
        (HEADS, True),
        (HEADS[:4], True),
        (HEADS[:3], False),
        ([*HEADS[:3], "Tag"], False),
        ([*HEADS[:4], *STRANGE[:2]], True),
        ([*HEADS[:4], *STRANGE[:3]], False),
        ([*HEADS, *STRANGE[:3]], True),
    ],
)
def test_headings_below_are_four_words_and_six_tenths_of_their_row(heads: list[str], made: bool) -> None:
    rows = [[*row, *["x"] * 5][: len(heads)] for row in GAUGES]
    assert ("a list with its headings below" in _turned([*rows, heads])) is made
    flipped = _flipped([*rows, heads])
    assert ("gauges in columns, headings right of them" in _turned(flipped)) is made
    assert ("gauges in columns" in _turned(_flipped([heads, *rows]))) is made


@pytest.mark.parametrize(("rows", "made"), [(500, True), (501, False), (520, False)])
def test_sheets_of_more_than_500_rows_are_not_turned(rows: int, made: bool) -> None:
    every: Rows = [*([f"LG-{n}", "Oil", 850, 5, 10] for n in range(rows - 1)), HEADS]
    assert ("a list with its headings below" in _turned(every)) is made
    if rows < 510:
        assert ("gauges in columns, headings right of them" in _turned(_flipped(every))) is made


@pytest.mark.parametrize(
    ("units", "stated"),
    [
        (["", "", "kg/m3", "mPa.s", "barg"], "kg/m3"),
        (["", "", "kg/m3", "mPa.s", ""], "kg/m3"),
        (["", "", "kg/m3", "", ""], ""),
        (["x", "x", "kg/m3", "mPa.s", ""], "kg/m3"),
        (["x", "x", "kg/m3", "mPa.s", "x"], ""),
    ],
)
def test_two_units_in_half_of_a_row_beside_the_headings_are_their_units(
    units: list[str], stated: str
) -> None:
    for rows in ([*GAUGES, units, HEADS], [*GAUGES, HEADS, units]):
        found = next(turned.records_of(sheet(rows)))
        assert found.properties[2].unit == stated
        assert len(found.records) == (4 if stated or rows[-1] is units else 5 - (sum(map(bool, units)) < 2))


@pytest.mark.parametrize(("filled", "records"), [(1, 4), (2, 5), (3, 5)])
def test_a_gauge_fills_three_tenths_of_the_fullest_line_and_two_cells(filled: int, records: int) -> None:
    more = ["LG-9", "Oil", 850][:filled] + [""] * (5 - filled)
    assert len(next(turned.records_of(sheet([*GAUGES, more, HEADS]))).records) == records
    wide = [
        [*HEADS, *(f"Density {n}" for n in range(5))],
        [*GAUGES[0], *[1] * 5],
        ["LG-9", "Oil", 850, *[""] * 7],
    ]
    assert len(next(turned.records_of(sheet(wide[::-1]))).records) == 2
    wide[2] = ["LG-9", "Oil", *[""] * 8]
    assert len(next(turned.records_of(sheet(wide[::-1]))).records) == 1


@pytest.mark.parametrize(("same", "records"), [(1, 5), (2, 4), (3, 4)])
def test_a_line_that_repeats_two_headings_is_no_gauge(same: int, records: int) -> None:
    more = [*HEADS[5 - same :], "Oil", "850", "x", "LG-9"][:5]
    more = ["LG-9", *["y"] * (4 - same), *HEADS[5 - same :]]
    assert len(next(turned.records_of(sheet([*GAUGES, more, HEADS]))).records) == records


def test_tags_of_a_plants_own_code_count_where_a_heading_names_them() -> None:
    def made(tags: list[str], heading: str = "Tag") -> bool:
        rows = [[tag, "Oil", 850, 5, 10] for tag in tags]
        return "a list with its headings below" in _turned([*rows, [heading, *HEADS[1:]]])

    assert made(["QX-1", "QX-2"])
    assert not made(["QX-1"])
    assert made(["QX-1", "QX-2", "blue"])
    assert not made(["QX-1", "QX-2", "blue", "red"])
    assert not made(["QX-1", "QX-2"], "Service")


def test_three_names_of_floats_make_a_list_of_floats_without_tags() -> None:
    def kinds(*names: str) -> list[tuple[str, ...]]:
        heads = ["Fluid", "Service", "Viscosity", *names]
        rows: Rows = [["Oil", 850, 5, *[1] * len(names)]] * 3
        return [found.kinds for found in turned.records_of(sheet([*rows, heads]))]

    assert ("floats",) in kinds("Float mass", "Float diameter", "Float length")
    assert kinds("Float mass", "Float diameter") == []


def test_a_title_stands_alone_beside_the_headings() -> None:
    rows = [["", *row] for row in _flipped([HEADS, *GAUGES])]
    rows.insert(3, ["Process", *[""] * 5])
    found = next(one for one in turned.records_of(sheet(rows)) if one.shape == "gauges in columns")
    assert [one.above for one in found.properties] == [(), (), (), ("Process",), ("Process",)]


def test_two_bands_of_gauges_in_columns_are_one_list() -> None:
    one, other = _flipped([HEADS, *GAUGES[:2]]), _flipped([HEADS, *GAUGES[2:]])
    found = [each for each in turned.records_of(sheet([*one, [""], *other])) if "bands" in each.shape]
    assert [record.cells[0].value for record in found[0].records] == ["LG-0", "LG-1", "LG-2", "LG-3"]
    assert not any("bands" in shape for shape in _turned(one))
    assert not any("bands" in shape for shape in _turned([*one, [""], ["Tag", "LG-7", "LG-8"]]))


# --- several named values in a cell ----------------------------------------------------------------------


def _keyed(cells: Sequence[Any], names: Sequence[str] = ("Tag", "Process data")) -> list[list[str]]:
    rows: Rows = [[*names], *([f"LG-{n}", cell] for n, cell in enumerate(cells))]
    return [[one.text for one in found.properties] for found in keyed.records_of(sheet(rows))]


PAIRS = "Density: 850; Viscosity: 5"


def test_named_values_of_a_cell_are_properties_of_their_own() -> None:
    due = [["Tag", "Process data", "Density", "Viscosity"]]
    assert _keyed([PAIRS] * 3) == due
    assert _keyed([PAIRS]) == due
    assert _keyed(["Density 850; Viscosity 5"] * 3) == due
    assert _keyed(["Density: 850 in all"] * 3) == []
    assert _keyed(["Density 850 in all it is"] * 3) == []
    assert _keyed(["Zork: 850; Zeta: 5; Zeal: 7"] * 3) == []
    assert _keyed(["Density: 850; Zork: 5 x"] * 3) == [["Tag", "Process data", "Density", "Zork"]]
    assert _keyed(["Density: 850; Zork: 5; Zeta: 7"] * 3) == []
    assert _keyed([PAIRS] * 3, ("Tag", "")) == []


@pytest.mark.parametrize(("held", "made"), [(5, True), (4, False), (10, True)])
def test_half_of_the_cells_of_a_column_hold_named_values(held: int, made: bool) -> None:
    assert bool(_keyed([PAIRS] * held + ["blue"] * (10 - held))) is made
    assert bool(_keyed([PAIRS] * held + ["blue"] * (10 - held) + [""] * 20)) is made


@pytest.mark.parametrize(("above", "made"), [(298, True), (299, False)])
def test_named_values_are_looked_for_in_300_rows_and_100_columns(above: int, made: bool) -> None:
    assert bool(_keyed([""] * above + [PAIRS])) is made
    rows: Rows = [["Tag", *["x"] * (above - 200), "Data"], ["LG-1", *[""] * (above - 200), PAIRS]]
    assert bool(list(keyed.records_of(sheet(rows)))) is made


def test_a_row_without_a_tag_goes_on_with_the_gauge_above() -> None:
    rows: Rows = [
        ["Tag", "Data"],
        ["LG-1", PAIRS],
        ["", "Float mass: 300; Design pressure: 10"],
        ["", "blue"],
    ]
    (found,) = keyed.records_of(sheet(rows))
    assert [one.text for one in found.properties][2:] == [
        "Density",
        "Viscosity",
        "Float mass",
        "Design pressure",
    ]
    assert [len(record.cells) for record in found.records] == [6]


@pytest.mark.parametrize(
    ("name", "value", "key"),
    [
        ("max", "25 barg / 200 degC", "max pressure / temperature"),
        ("max", "25 barg", ""),
        ("Temperature", "25 barg / 200 degC", ""),
        ("Design pressure", "25 barg / 200 degC", ""),
    ],
)
def test_a_name_of_two_quantities_is_that_of_both_unless_it_says_itself(
    name: str, value: str, key: str
) -> None:
    rows: Rows = [["Tag", "Data"], *([f"LG-{n}", f"{name}: {value}; Density: 850"] for n in range(3))]
    (found,) = keyed.records_of(sheet(rows))
    assert next(one.key for one in found.properties if one.text == name) == key


def test_short_texts_and_very_long_ones_hold_none() -> None:
    assert _keyed(["pH: 8; SG: 1."] * 3)
    assert _keyed(["pH: 8; SG: 1"] * 3) == []
    assert _keyed([PAIRS.ljust(4000)] * 3)
    assert _keyed([PAIRS.ljust(4001)] * 3) == []


def test_a_current_with_two_ends_is_two_values() -> None:
    (found,) = _keyed(["Signal: 4 mA = 0 mm, 20 mA = 1300 mm; Density: 850"] * 2)
    assert found[2:] == ["4 mA", "20 mA", "Density"]
    (found,) = _keyed(["Signal: 4 mA = 0 mm; Density: 850"] * 2)
    assert found[2:] == ["Signal", "Density"]


# --- parts below their gauge -----------------------------------------------------------------------------

BILL = ["Level", "Tag", "Description", "Density kg/m3", "Float mass g"]


def _bill(*levels: Sequence[Any], own: Any = 1, heads: Sequence[str] = BILL) -> list[Records]:
    """A sheet with the levels of the parts of each gauge."""
    rows: Rows = [list(heads)]
    for n, parts in enumerate(levels):
        rows.append([own, f"LG-{n}", "Level gauge", 850 + n, ""])
        rows += [[level, "", "Float" if k == 0 else "Gasket", "", 340 + n] for k, level in enumerate(parts)]
    return list(bill.records_of(sheet(rows)))


@pytest.mark.parametrize(
    ("own", "part"), [(1, 2), ("1", "2"), (1.0, 2.0), ("1", ".2"), ("10", "10.1"), ("1", "..3"), ("a", "  b")]
)
def test_the_depth_of_a_part_is_its_level_its_position_or_its_indent(own: Any, part: Any) -> None:
    (found,) = _bill([part, part], [part, part], own=own)
    assert len(found.records) == 2
    assert len(found.components) == 4
    assert _bill([part, part], own=own) == []
    assert _bill([own, own], [own, own], own=own) == []


@pytest.mark.parametrize(("with_parts", "made"), [(3, True), (2, False), (5, True)])
def test_six_tenths_of_the_gauges_have_a_part_that_is_named(with_parts: int, made: bool) -> None:
    assert bool(_bill(*[[2]] * with_parts, *[[]] * (5 - with_parts))) is made


def test_gauges_at_different_depths_make_no_bill() -> None:
    rows: Rows = [BILL, [1, "LG-0", "", 850], [2, "", "Float"], [2, "LG-1", "", 850], [3, "", "Float"]]
    assert list(bill.records_of(sheet(rows))) == []
    rows[3][0], rows[4][0] = 1, 2
    assert len(list(bill.records_of(sheet(rows)))) == 1


@pytest.mark.parametrize(
    ("heads", "made"),
    [
        (BILL, True),
        (["Zorka", "Zorkb", "Zorkc", "", ""], True),
        (["Zorka", "Zorkb", "", "", ""], False),
        (["Zorka", "Tag", "Density", "", ""], True),
    ],
)
def test_a_bill_has_three_headings(heads: list[str], made: bool) -> None:
    assert bool(_bill([2], [2], heads=heads)) is made


@pytest.mark.parametrize(("gap", "made"), [(2, True), (3, False)])
def test_headings_that_are_not_understood_stand_right_above_the_first_gauge(gap: int, made: bool) -> None:
    rows: Rows = [["Zorka", "Zorkb", "Zorkc"], *[["x"]] * gap, *[[1, "LG-0"], [2, "", "Float"]] * 2]
    rows[-2] = [1, "LG-1"]
    assert bool(list(bill.records_of(sheet(rows)))) is made
    rows[0] = ["Tag", "Density", "Float mass"]
    assert bool(list(bill.records_of(sheet(rows))))


POINTS = ["Gauge", "Tag", "Service", "Limit mm"]


def _points(*rows: Sequence[Any]) -> list[int]:
    found = bill.records_of(sheet([POINTS, *map(list, rows)]))
    return [len(each.records) for each in found]


def test_a_list_of_points_has_a_row_for_each_part_of_its_gauges() -> None:
    def of(gauge: str, *parts: str) -> Rows:
        return [[gauge, part, "x", 500] for part in parts]

    assert _points(*of("LG-1", "LT-1", "LSH-1"), *of("LG-2", "LT-2", "LSH-2")) == [2]
    assert _points(*of("LG-1", "LT-1", "LSH-1"), *of("LG-2", "LT-2")) == [2]
    assert _points(*of("LG-1", "LT-1", "LSH-1"), *of("LG-2", "LT-2"), *of("LG-3", "LT-3")) == []
    assert _points(*of("LG-1", "LT-1", "LSH-1")) == []
    assert _points(*of("LG-1", "LT-1", "LT-1"), *of("LG-2", "LT-2", "LT-2")) == []
    more = "LT-1", "LSH-1", "Chamber"
    assert _points(*of("LG-1", *more), *of("LG-2", *more)) == [2]
    assert _points(*of("LG-1", *more, "Insulation"), *of("LG-2", *more, "Insulation")) == []
    assert _points(*of("LG-1", *more[:2], "blue"), *of("LG-2", *more[:2], "blue")) == []


# --- where the lists of a sheet stand --------------------------------------------------------------------


def _layouts(rows: Rows) -> list[tuple[int, int]]:
    found = find_layouts(sheet(rows), Instructions())
    return [(one.headings[-1], one.last) for one in found]


@pytest.mark.parametrize(("above", "found"), [(59, True), (60, False), (62, False)])
def test_headings_are_looked_for_in_sixty_rows(above: int, found: bool) -> None:
    assert bool(_layouts([["x"]] * above + [HEADS, *GAUGES])) is found


def test_lists_below_each_other_are_told_by_their_headings() -> None:
    other = ["Tag", "Density", "Fluid", "Float mass", "Viscosity"]
    body: Rows = [[f"LG-{n}", 850, "Oil", 300, 5] for n in range(10, 13)]
    assert _layouts([HEADS, *GAUGES, [""], other, *body]) == [(0, 6), (6, 10)]
    assert _layouts([HEADS, *GAUGES, [""], HEADS, *GAUGES]) == [(0, 11)]
    near = [*HEADS[:4], "Float mass"]
    assert _layouts([HEADS, *GAUGES, [""], near, *GAUGES]) == [(0, 11)]


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("QF-12", True),
        ("QF", False),
        ("QF 12", False),
        ("Q1".ljust(60, "x"), True),
        ("Q1".ljust(61, "x"), False),
        ("Q1".ljust(64, "x"), False),
        ("Total12", False),
    ],
)
def test_a_part_number_is_one_word_with_a_digit_of_sixty_characters_at_most(text: str, part: bool) -> None:
    rows: Rows = [
        ["Part no.", "Mass g", "Diameter mm", "Length mm"],
        [text, 300, 50, 250],
        ["Q2", 310, 50, 250],
    ]
    grid = sheet(rows)
    (layout,) = find_layouts(grid, Instructions())
    assert layout.kind == "floats"
    assert likely(grid, layout).tolist() == [part, True]
    assert likely(grid, layout, 2).tolist() == [part]


# --- cases side by side -----------------------------------------------------------------------------------


def _abreast(rows: Rows) -> list[str]:
    grid = sheet(rows)
    return [found.shape for found in abreast.records_of(grid, find_layouts(grid, Instructions()))]


def test_columns_that_name_their_case_are_cases() -> None:
    heads = ["Tag", "Fluid", "Case A density kg/m3", "Case B density kg/m3", "Design pressure barg"]
    rows: Rows = [[f"LG-{n}", "Oil", 850, 700, 10] for n in range(4)]
    assert _abreast([heads, *rows]) == ["a list with 2 cases side by side"]
    assert _abreast([[*heads[:3], "Viscosity mPa.s", heads[4]], *rows]) == []


# --- what comes nearest to a list ------------------------------------------------------------------------


def _near(rows: Rows) -> int | None:
    found = near_of(sheet(rows))
    return None if found is None else found.row


@pytest.mark.parametrize(("above", "found"), [(59, True), (60, False)])
def test_what_comes_nearest_is_looked_for_in_sixty_rows(above: int, found: bool) -> None:
    assert _near([["x"]] * above + [["Zorka", "Zorkb"], ["c", "d"]]) == (above if found else None)


def test_of_two_rows_the_one_with_known_words_or_values_below_comes_nearest() -> None:
    assert _near([["Zorka", "Zorkb"], ["Fluid", "Zorkc"], ["x", "y"]]) == 1
    assert _near([["Zorka", "Zorkb"], ["Zorkc", "Zorkd"], ["x", 5]]) == 0
    assert _near([["Zorka", "Zorkb", ""], ["x", "y", ""], *[["x", "y", "z"]] * 3, ["1", "2", "3"]]) == 2
    assert _near([["Zorka", "Zorkb"], ["LG-1", "Zorkd"]]) == 0
    assert _near([["Zorka"], ["Zorkb"]]) is None
    assert _near([["Zorka", "Zorkb", 5, 7], ["Zorkc", "Zorkd", "", ""]]) == 1
