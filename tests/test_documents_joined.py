"""Two documents of the same gauges, rows that are no gauge, and what texts say: shares and limits on both
sides."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.rows import save
from tests.test_heads_and_rows import sheet
from tests.test_measured_otherwise import column
from xlfuncs.audit.engine import audit_book
from xlfuncs.lists.accounts import float_headings, of_sheet
from xlfuncs.lists.joining import is_by_gauge, join_sheets
from xlfuncs.lists.model import Book, Column, Recognised, Table
from xlfuncs.lists.reader import read_book
from xlfuncs.lists.spoken import said_in
from xlfuncs.lists.tables import Made
from xlfuncs.vocabulary.meaning import fields

Rows = list[list[Any]]
FIRST = ["Tag", "Fluid", "Density kg/m3", "Design press barg"]
SECOND = ["Tag", "Visible mm", "C-C mm", "Viscosity mPa.s", "Service"]


def index(tags: Sequence[str], heads: Sequence[str] = FIRST, **changed: Any) -> Rows:
    values = {
        "Fluid": "Oil",
        "Density kg/m3": 850,
        "Design press barg": 10,
        "Visible mm": 900,
        "C-C mm": 1000,
    }
    values |= {"Viscosity mPa.s": 5, "Service": "drum"}
    return [list(heads), *([tag, *({**values, **changed}[name] for name in heads[1:])] for tag in tags)]


def tags(first: int, last: int) -> list[str]:
    return [f"LG-{n}" for n in range(first, last + 1)]


def book(**sheets: Rows) -> Book:
    grids = []
    for name, rows in sheets.items():
        grids.append(sheet([["" if value is None else value for value in row] for row in rows]))
        grids[-1].sheet = name
    return read_book(Path("book.xlsx"), sheets=grids)


@pytest.mark.parametrize(("shared", "joined"), [(3, True), (2, False), (5, True)])
def test_documents_of_the_same_gauges_share_six_tenths_of_their_tags(shared: int, joined: bool) -> None:
    """Of five; each states the density, so that they are not documents for different data."""
    heads = [*FIRST, "Viscosity mPa.s"]
    others = ["Tag", "Density kg/m3", "Design press barg", "Visible mm", "C-C mm"]
    one, other = index(tags(1, 5), heads), index(tags(6 - shared, 10 - shared), others)
    found = book(One=one, Two=other)
    assert sum(map(len, found.gauges)) == (10 - shared if joined else 10)


@pytest.mark.parametrize(("same", "joined"), [(1, True), (2, False)])
def test_documents_for_different_data_share_a_third_of_their_fields(same: int, joined: bool) -> None:
    """Of three each; one tag of four is enough then."""
    heads = ["Tag", *FIRST[2 : 2 + same], *SECOND[1 : 4 - same]]
    one = index(tags(1, 4), ["Tag", *FIRST[2:], "Viscosity mPa.s"])
    found = book(One=one, Two=index(tags(4, 7), heads))
    assert sum(map(len, found.gauges)) == (7 if joined else 8)


@pytest.mark.parametrize(("shared", "told"), [(6, True), (5, False)])
def test_a_gauge_that_one_document_lacks_is_told_where_they_share_six_tenths(shared: int, told: bool) -> None:
    """Of ten."""
    found = book(One=index(tags(1, 10)), Two=index(tags(1, shared), SECOND))
    orphans = [one.tag for one in found.differences.orphans]
    assert orphans == (tags(shared + 1, 10) if told else [])


def differing(heading: str, one: Any, other: Any) -> int:
    found = book(
        One=index(tags(1, 3), [*FIRST[:3], heading], **{heading: one}),
        Two=index(tags(1, 3), ["Tag", "Visible mm", "C-C mm", heading], **{heading: other}),
    )
    return len(found.differences.values)


@pytest.mark.parametrize(
    ("heading", "one", "other", "apart"),
    [
        ("Viscosity mPa.s", 100, 100.4, 0),
        ("Viscosity mPa.s", 100, 100.52, 3),
        ("Viscosity mPa.s", 100, 100.6, 3),
        ("Viscosity mPa.s", 100.6, 100, 3),
        ("Viscosity mPa.s", "90-110", 105, 0),
        ("Design temperature degC", 100, 100.59, 0),
        ("Design temperature degC", 100, 100.63, 3),
        ("Design temperature degC", 300, 301, 3),
        ("LRV mm", 10, 10.6, 0),
        ("LRV mm", 10, 10.7, 3),
        ("Design pressure barg", 0, 0.009, 0),
        ("Design pressure barg", 0, 0.0106, 3),
        ("Float part no.", "QF-1", "qf 1", 0),
        ("Float part no.", "QF-1", "QF-2", 3),
        ("Fluid name", "Oil", "oil light", 0),
    ],
)
def test_values_differ_by_more_than_rounding_in_another_unit(
    heading: str, one: Any, other: Any, apart: int
) -> None:
    """0.5 %, 0.6 K, 0.6 mm, 10 mbar."""
    assert differing(heading, one, other) == apart


@pytest.mark.parametrize(
    ("apart", "of", "two"), [(5, 5, True), (4, 4, False), (5, 6, True), (5, 7, False), (4, 5, False)]
)
def test_set_points_of_which_five_and_four_fifths_differ_are_two_things(
    apart: int, of: int, two: bool
) -> None:
    one = index(tags(1, of), [*FIRST[:3], "HH mm"], **{"HH mm": 800})
    other = index(tags(1, of), ["Tag", "Visible mm", "C-C mm", "HH mm"], **{"HH mm": 800})
    for row in other[1 : 1 + apart]:
        row[3] = 700
    found = book(One=one, Two=other)
    assert any("two things" in doubt.text for doubt in found.doubts) is two
    assert len(found.differences.values) == (0 if two else apart)


# --- what joins a gauge ----------------------------------------------------------------------------------

LOOP = ["Tag", "Fluid", "Density kg/m3", "LRV mm", "URV mm"]


def test_a_transmitters_row_gives_its_gauge_what_that_lacks() -> None:
    rows: Rows = [
        LOOP,
        ["LG-1201", "Oil", 850],
        ["LT-1201", "", "", 0, 1000],
        ["LG-1202", "Oil", 850, 100, 900],
        ["LT-1202", "", "", 0, 1000],
        ["LG-1203", "Oil", 850],
        ["LT-1203", "", "", "", 500],
    ]
    (table,) = book(Index=[[*row, *[""] * (5 - len(row))] for row in rows]).gauges
    assert list(table.columns["tag"].text) == ["LG-1201", "LG-1202", "LG-1203"]
    assert table.columns["lrv"].low.tolist() == pytest.approx([0.0, 0.1, np.nan], nan_ok=True)
    assert table.columns["urv"].low.tolist() == pytest.approx([1.0, 0.9, 0.5])
    assert list(table.columns["transmitter_tag"].text) == ["LT-1201", "LT-1202", "LT-1203"]


def made(**columns: Column) -> Made:
    n = len(next(iter(columns.values())))
    rows, hidden = np.arange(2, n + 2), np.zeros(n, dtype=bool)
    return Made(Table("floats", "Floats", dict(columns), [], rows, hidden))


@pytest.mark.parametrize(
    ("named", "joined"),
    [
        (["LG-1", "LG-2", "LG-3", "V-8", "V-9"], True),
        (["LG-1", "LG-2", "V-7", "V-8", "V-9"], False),
        (["lg 1", "LG-2", "LG-3", "", ""], True),
        (["LG-1", "LG-2", "", "", ""], False),
        (["LG-1", "LG-2", "LG-2"], False),
        (["", ""], False),
    ],
)
def test_a_float_list_by_gauge_names_a_gauge_of_the_index_in_six_tenths_of_its_rows(
    named: list[str], joined: bool
) -> None:
    """Each once, and the index names no float otherwise."""
    floats = made(tag=column("tag", words=named))
    gauges = made(tag=column("tag", words=tags(1, 5)))
    assert is_by_gauge(floats, [gauges]) is joined
    gauges.table.columns["float_part"] = column("float_part", words=["QF-1"] * 5)
    assert not is_by_gauge(floats, [gauges])
    assert not is_by_gauge(made(float_part=column("float_part", words=["QF-1"])), [gauges])


QUANTITIES = [name for name, entry in fields().items() if entry["kind"] == "quantity"]


def document(named: Sequence[str], first: int, last: int, headings: Sequence[str]) -> Made:
    """Some of the quantities for some tags, under some headings."""
    columns = {name: column(name, *[1.0] * len(named)) for name in QUANTITIES[first:last]}
    document = made(tag=column("tag", words=named), **columns)
    document.table.kind = "gauges"
    document.table.recognised = [Recognised("", "X", "A", text, "A1", "") for text in headings]
    return document


def joined(*documents: Made) -> list[int]:
    """Records of the lists that are left."""
    return [len(one.table) for one in join_sheets(list(documents))[0]]


def test_a_short_document_of_the_same_gauges_is_joined_with_a_long_one() -> None:
    long = tags(1, 10), 0, 3, ["Zorka"]
    assert joined(document(*long), document(tags(1, 3), 0, 3, ["Zorkb"])) == [10]
    assert joined(document(*long), document(tags(10, 12), 0, 3, ["Zorkb"])) == [10, 3]


@pytest.mark.parametrize(
    ("both", "one", "other", "left"),
    [(1, 3, 3, [4, 3]), (2, 3, 6, [4, 4]), (2, 6, 3, [4, 4]), (3, 11, 11, [4, 3]), (4, 11, 11, [4, 4])],
)
def test_a_third_of_the_fields_of_the_one_with_fewer_may_be_the_same(
    both: int, one: int, other: int, left: list[int]
) -> None:
    """Of documents for different data, which share one tag of four."""
    first = document(tags(1, 4), 0, one, ["Zorka"])
    assert joined(first, document(tags(4, 7), one - both, one - both + other, ["Zorkb"])) == left


@pytest.mark.parametrize(("same", "of", "apart"), [(4, 5, True), (3, 5, False), (5, 5, True), (5, 10, False)])
def test_lists_with_four_fifths_of_their_headings_in_common_are_one_document(
    same: int, of: int, apart: bool
) -> None:
    """In which a tag stands twice."""
    heads = [f"Zork{letter}" for letter in "abcdefghijklmno"]
    one, other = heads[:5], heads[5 - same : 5 - same + of]
    left = joined(document(tags(1, 4), 0, 3, one), document(tags(1, 4), 0, 3, other))
    assert left == ([4, 4] if apart else [4])


def test_of_a_tag_that_stands_twice_each_takes_its_own_row_of_the_other_list() -> None:
    def ranges(*other: int) -> list[float]:
        two: Rows = [["Tag", "Visible mm", "C-C mm"], *(["LG-1", 900 + n, 1000] for n in other)]
        (table,) = book(One=index(["LG-1", "LG-1", "LG-2"]), Two=two).gauges
        return [round(1000 * value) for value in table.columns["visible_range"].value if not np.isnan(value)]

    assert ranges(1, 2) == [901, 902]
    assert ranges(1) == [901]


def test_gauges_are_repeated_for_the_cases_of_another_list() -> None:
    cases: Rows = [["Tag", "Case", "Density kg/m3", "Viscosity mPa.s"]]
    cases += [
        [f"LG-{n}", case, 800 + 10 * n + k, 5] for n in (1, 2) for k, case in enumerate(("Case A", "Case B"))
    ]
    one: Rows = [
        ["Tag", "Design press barg", "Visible mm", "C-C mm"],
        *([tag, 10, 900, 1000] for tag in tags(1, 3)),
    ]
    (table,) = book(One=one, Two=cases).gauges
    assert list(table.columns["tag"].text) == ["LG-1", "LG-1", "LG-2", "LG-2", "LG-3"]
    assert table.cases == ("Case A", "Case B", "Case A", "Case B", "")
    assert [float(value) for value in table.columns["fluid_density"].value[:4]] == [810, 811, 820, 821]


@pytest.mark.parametrize(("level", "apart"), [(500, 1), (500.5, 1), (501, 0)])
def test_currents_are_compared_at_the_same_level(level: float, apart: int) -> None:
    heads = ["Tag", "Density kg/m3", "Level at reading mm", "Current at reading mA"]
    one: Rows = [
        [*heads[:2], "LRV mm", "URV mm", *heads[2:]],
        *([tag, 850, 0, 1000, 500, 12] for tag in tags(1, 3)),
    ]
    two: Rows = [
        ["Tag", "Visible mm", "C-C mm", *heads[2:]],
        *([tag, 900, 1000, level, 13] for tag in tags(1, 3)),
    ]
    found = book(One=one, Two=two)
    assert {one.field for one in found.differences.values} == ({"stated_current"} if apart else set())


# --- rows that are no gauge ------------------------------------------------------------------------------


def audited(folder: Path, rows: Rows) -> tuple[int, dict[str, int]]:
    result = audit_book(save(folder / "book.xlsx", Index=rows))
    return result.rows_audited, dict(read_book(folder / "book.xlsx").skipped)


TYPED = ["Tag", "Type", "Fluid", "Density kg/m3", "C-C mm", "Visible mm", "Remarks", "Float part no."]


@pytest.mark.parametrize(
    ("row", "kept"),
    [
        (["LG-9", "magnetic", "Oil", 850], True),
        (["LG-9", "glass", "Oil", 850], False),
        (["LG-9", "glass", "Oil", 850, "", "", "", "QF-1"], True),
        (["PT-9", "", "Oil", 850], False),
        (["PT-9", "level", "Oil", 850, 1000, 900], True),
        (["PT-9", "level", "Oil", 850, 1000], False),
        (["LI-9", "level", "Oil", 850, 1000, 900], True),
        (["LI-9", "level", "Oil", 850, 1000], False),
        (["LI-9", "magnetic", "Oil", 850], True),
        (["LG-9", "magnetic", "Oil", 850, "", "", "deleted"], False),
        (["LG-9", "", "Oil", 850, "", "", "sight glass"], False),
        (["LG-9", "", "Oil", 850, "", "", "", "no float"], False),
        (["XX-LG-XXXX", "magnetic", "Oil", 850], False),
    ],
)
def test_which_rows_are_gauges_with_a_float(row: list[Any], kept: bool, tmp_path: Path) -> None:
    body: Rows = [[f"LG-{n}", "magnetic", "Oil", 850, 1000, 900, "", "QF-1"] for n in range(1, 5)]
    rows, skipped = audited(tmp_path, [TYPED, *body, row])
    assert rows == (5 if kept else 4)
    assert sum(skipped.values()) == (0 if kept else 1)


def test_two_tags_of_a_cell_are_two_gauges_and_a_gauge_with_its_transmitter_is_one() -> None:
    body: Rows = [["LG-1/2", "Oil", 850, 10], ["LG-11 / LT-11", "Oil", 850, 10], ["LG-21", "Oil", 850, 10]]
    (table,) = book(Index=[FIRST, *body]).gauges
    assert list(table.columns["tag"].text) == ["LG-1", "LG-2", "LG-11", "LG-21"]
    (table,) = book(Index=[FIRST, *body[1:], ["LG-31/1", "Oil", 850, 10], ["LG-31/2", "Oil", 850, 10]]).gauges
    assert list(table.columns["tag"].text) == ["LG-11", "LG-21", "LG-31/1", "LG-31/2"]


# --- what became of rows ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("row", "what"),
    [
        (["weather fair", 5], "note"),
        (["weather fair", 5, 7], "not understood"),
        ([5, 7], "not understood"),
        ([5], "not understood"),
        (["LG-1", 5], "not understood"),
        (["Total", 5], "total"),
        (["Total"], "note"),
        (["", None], ""),
    ],
)
def test_a_row_that_belongs_to_no_list(row: list[Any], what: str) -> None:
    rows = of_sheet(sheet([row, ["", ""], ["weather fair"]]), [], set())
    assert rows.count("note") == 1 + (what == "note")
    assert not what or rows.count(what) >= 1
    assert rows.total == 1 + bool(what)


def test_adjacent_rows_of_a_kind_are_one_run() -> None:
    grid = sheet([["fair"], ["fair"], [5], ["fair"], [""], ["fair"]])
    rows = of_sheet(grid, [], set())
    assert rows.places("note") == ["1-2", "4", "6"]
    assert rows.places("not understood") == ["3"]
    assert of_sheet(grid, [], {"Index"}).places("legend") == ["1-4", "6"]


@pytest.mark.parametrize(("length", "named"), [(80, 3), (81, 0)])
def test_float_data_are_named_by_three_headings_of_eighty_characters(length: int, named: int) -> None:
    heads = ["Float mass", "Float diameter", f"Float length {'(mm)':>{length - 13}}"]
    assert len(heads[2]) == length
    assert len(float_headings(sheet([heads]))) == named
    assert float_headings(sheet([["Fluid", "Density", "Float mass", "Float mass"]])) == []


@pytest.mark.parametrize(
    ("line", "column", "found"), [(399, 0, True), (400, 0, False), (0, 197, True), (0, 198, False)]
)
def test_they_are_looked_for_in_400_rows_and_200_columns(line: int, column: int, found: bool) -> None:
    rows = [[""]] * line + [[*[""] * column, "Float mass", "Float diameter", "Float length"]]
    assert bool(float_headings(sheet(rows))) is found


# --- what a text says ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "part", "told"),
    [
        ("Density 850 kg/m3; viscosity: 5 mPa.s", "",
         [("Density", "850 kg/m3", ""), ("viscosity", "5 mPa.s", "")]),
        ("312 g", "float", [("float mass", "312 g", "float mass")]),
        ("312 g", "", []),
        ("50 x 250", "float",
         [("d x L", "50 mm", "float outside diameter"), ("d x L", "250 mm", "float length")]),
        ("50 x 250", "chamber", []),
        ("4-20 mA = 0-1000 mm", "", [("4-20 mA", "0-1000 mm", "transmitter range")]),
        ("4 mA at 0 mm", "", [("4 mA", "0 mm", "")]),
        ("CL150", "flange", [("class", "CL150", "flange class")]),
        ("max 10 barg / 120 °C", "",
         [("max", "10 barg", "max pressure"), ("max", "120 °C", "max temperature")]),
        ("Ø 50 mm", "float", [("Ø", "50 mm", "float outside diameter")]),
        ("Operating pressure 2 bar / temp. 103 °C", "",
         [("Operating pressure", "2 bar", ""), ("temp.", "103 °C", "operating temperature")]),
        ("Serial no. P-3307", "", [("Serial no.", "P-3307", "")]),
        ("high 800 mm", "switch high", [("high", "800 mm", "LSH")]),
        ("a 5", "", []),
        ("blue sky", "", []),
        ("magnet 139 mm from top", "float", [("magnet", "139 mm", "magnet from top")]),
    ],
)  # fmt: skip
def test_the_values_that_a_text_names(text: str, part: str, told: list[tuple[str, str, str]]) -> None:
    assert [(one.name, one.value, one.key) for one in said_in(text, part)] == told


@pytest.mark.parametrize(("length", "told"), [(600, 1), (601, 0), (640, 0)])
def test_a_text_of_more_than_600_characters_is_not_taken_apart(length: int, told: int) -> None:
    assert len(said_in("Density 850 kg/m3".ljust(length), "")) == told
    assert len(said_in("pH 8", "")) <= 1
    assert said_in("SG1", "") == ()
