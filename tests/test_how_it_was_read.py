"""How a workbook was read: its lists, what is open in them, and the file of it, in memory."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.rows import save
from tests.test_heads_and_rows import sheet
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists import own, shapes
from xlfuncs.lists.instructions import Instructions, SaidColumn
from xlfuncs.lists.layout import find_layouts
from xlfuncs.lists.model import Book
from xlfuncs.lists.reader import read_book, read_floats
from xlfuncs.lists.reading import (
    ColumnRead,
    ListRead,
    OpenColumn,
    doubts,
    narrowed,
    open_columns,
    place_of,
    seen,
)
from xlfuncs.lists.reading_file import check_field, check_once, read_toml, to_toml
from xlfuncs.spreadsheet.grid import Grid

Rows = list[list[Any]]
INDEX: Rows = [
    ["Tag", "Fluid", "Density kg/m3", "Design press barg"],
    *([f"LG-{n}", "Oil", 850 + n, 10] for n in range(1, 4)),
]
FLOATS: Rows = [
    ["Float part no.", "Float mass g", "Float diameter mm", "Float length mm", "Zork"],
    *([f"QF-{n}", 300 + n, 50, 250, 7] for n in range(1, 4)),
]
FORM: Rows = [
    ["Tag", "LG-1"],
    ["Fluid", "Oil"],
    ["Density", 850, "kg/m3"],
    ["Viscosity", 5],
    ["Design pressure", 10, "barg"],
    ["Zorka", "dark"],
]


def named(rows: Rows, name: str) -> Grid:
    grid = sheet(rows)
    grid.sheet = name
    return grid


def read(*sheets: Grid, **more: Any) -> Book:
    return read_book(Path("book.xlsx"), sheets=sheets, **more)


def with_column(*cells: Any) -> Grid:
    return named([[*row, cell] for row, cell in zip(INDEX, cells, strict=True)], "Index")


def columns_of(book: Book, number: int = 0) -> dict[str, ColumnRead]:
    return {column.heading: column for column in book.read[number].columns}


# --- a list and its columns ------------------------------------------------------------------------------


def column(letter: str, heading: str, field: str = "", **more: Any) -> ColumnRead:
    return ColumnRead(letter, f"{letter}1", heading, field, **more)


def listed(
    *columns: ColumnRead, name: str = "Index", rows: Sequence[int] = (1,), records: int = 3
) -> ListRead:
    return ListRead(name, "gauges", tuple(rows), records, columns)


def test_a_list_is_told_in_one_line() -> None:
    tag, zork = column("A", "Tag", "tag"), column("B", "Zork")
    assert listed(tag, zork).line == "Index: 3 rows under headings in row 1, 1 of 2 columns used"
    assert listed(tag, records=1).line == "Index: 1 row under headings in row 1, 1 of 1 columns used"
    assert listed(tag, rows=(3, 4)).line == "Index: 3 rows under headings in rows 3 to 4, 1 of 1 columns used"
    assert listed(tag, rows=()).line == "Index: 3 rows beside labels, 1 of 1 labels used"


def test_how_sure_a_column_is_ends_at_one() -> None:
    more: Rows = [["Zork", "q1", "q2", "q3"], ["Range mm", 900, 900, 900]]
    plain = [[*row, *cells] for row, cells in zip(INDEX, zip(*more, strict=True), strict=True)]
    form: Rows = [*FORM, ["Zork", "q1"], ["Range", 900, "mm"]]
    for book in (read(named(plain, "Index")), read(named(form, "Form"))):
        sure = {one.heading.removesuffix(" mm"): one.sure for one in book.read[0].columns}
        assert sure["Tag"] == 1.0
        assert 0.8 < sure["Range"] < 0.95
        assert sure["Zork"] == 0.0


def test_numbers_without_a_unit_are_those_of_their_column_alone() -> None:
    for book in (read(with_column("Viscosity", 5, 6, 7)), read(named(FORM, "Form"))):
        assert [name for name, one in columns_of(book).items() if one.untold] == ["Viscosity"]


def test_beside_a_single_field_that_a_column_may_be_stands_the_next_of_its_quantity() -> None:
    found = columns_of(read(with_column("Pressure", 5, 6, 7)))["Pressure"]
    assert found.could_be == ("operating_pressure", "float_max_pressure")
    found = columns_of(read(with_column("Design conditions", 50, 60, 70)))["Design conditions"]
    assert found.could_be == ("design_temperature",)
    found = columns_of(read(with_column("Material", "316L", "304 x", "blue")))["Material"]
    assert found.could_be[0] == "chamber_material"


def test_what_comes_nearest_to_headings_names_a_field_for_each_that_may_be_one() -> None:
    rows: Rows = [["Tag", "Fluid", "Zork"], ["x", "y", "z"]]
    (near,) = read(named(rows, "Notes"), need_index=False).read
    assert not near.found
    told = [(one.heading, one.runner_up, one.runner_up_sure) for one in near.columns]
    assert told == [("Tag", "tag", 1.0), ("Fluid", "fluid", 1.0), ("Zork", "", 0.0)]


def test_columns_with_data_and_without_a_heading_are_there_to_be_named() -> None:
    rows = [
        [*row, "", blank, 7 if i else ""] for i, (row, blank) in enumerate(zip(INDEX, [""] * 4, strict=True))
    ]
    grid = sheet([*rows, [""] * 7, ["Float part no.", "Float mass g", "Float length mm"], ["QF-1", 300, 250]])
    first, *_ = find_layouts(grid, Instructions())
    one = seen(0, grid, first)
    assert [(each.row, each.col, each.heading) for each in one.columns] == [
        (1, 1, "Tag"),
        (1, 2, "Fluid"),
        (1, 3, "Density kg/m3"),
        (1, 4, "Design press barg"),
        (0, 7, ""),
    ]
    assert one.last == first.last
    assert first.last <= 6


# --- what is open ----------------------------------------------------------------------------------------


def test_an_option_names_a_column_by_its_letter_where_that_is_plain() -> None:
    zork = column("D", "Zork")
    one = listed(column("A", "Tag", "tag"), zork)
    other, more = replace(one, sheet="Other"), replace(one, headings=(9,))
    assert place_of([one], one, zork) == "D"
    assert place_of([one, other], one, zork) == "Index:D"
    assert place_of([one, more], one, zork) == "Index:D1"
    assert place_of([one, other, replace(other, headings=(9,))], one, zork) == "Index:D"
    assert place_of([listed(zork, column("E", "d"))], listed(zork), zork) == "Index:D1"
    assert place_of([one], replace(one, headings=()), zork) == "Index:D"


def test_only_what_could_be_several_fields_is_a_doubt() -> None:
    either = column("C", "Temp", could_be=("operating_temperature", "design_temperature"))
    one = listed(
        either,
        column("D", "Visc", "viscosity", untold=True),
        column("E", "Zork", may_be=("float_part",)),
        column("F", "Level", "fluid", misfit="kg"),
    )
    assert [each.what for each in open_columns([one])] == ["doubt", "unit", "unread", "unit"]
    assert [doubt.cell for doubt in doubts([one])] == ["C1"]
    assert open_columns([replace(one, records=0)]) == []


def test_what_a_column_is_likeliest_to_be_is_said_by_its_heading_or_by_its_cells() -> None:
    def likeliest(heading: str) -> str:
        names = ("viscosity", "float_part")
        options = tuple(f"--map {name}=E" for name in (*names, "none"))
        one = OpenColumn("Index", "gauges", "E", "E1", heading, names, options, "not understood", "unread")
        found = narrowed(one, "viscosity")
        assert found.options == ("--map viscosity=E", "--map none=E")
        return found.text

    assert "perhaps it is operating viscosity" in likeliest("Viscosity")
    assert "by its cells alone it could be" in likeliest("Zork")
    assert "by its cells alone it could be" in likeliest("Density")


# --- the file --------------------------------------------------------------------------------------------


def test_the_lines_of_what_is_explained_are_filled_to_110_characters() -> None:
    remarks = [line for line in to_toml([], "book.xlsx").splitlines() if line.startswith("#")]
    assert 100 < max(map(len, remarks)) <= 110


def test_entries_are_set_below_each_other_as_far_as_48_characters() -> None:
    def places(*headings: str) -> list[int]:
        one = listed(*(column("ABC"[j], text, "fluid") for j, text in enumerate(headings)))
        return [line.index("field = ") for line in to_toml([one], "b").splitlines() if "{ column" in line]

    assert places("Tag", "Zorkator") == [len('  { column = "A", heading = "Zorkator", ')] * 2
    short, long = places("Tag", "Z" * 60)
    assert short == len('  { column = "A", ') + 48 + 1
    assert long > short


def test_a_reading_file_is_read(tmp_path: Path) -> None:
    def columns(*entries: str, kind: str = "gauges") -> tuple[SaidColumn, ...]:
        path = tmp_path / "r.toml"
        path.write_text(f'[[list]]\nsheet = "Index"\nkind = "{kind}"\ncolumns = [{", ".join(entries)}]\n')
        return read_toml(path)[0].columns

    (one,) = columns('{column = "b", heading = "Zork", field = "viscosity", unit = "mPa.s"}')
    assert (one.letter, one.heading, one.field, one.unit) == ("B", "Zork", "viscosity", "mPa.s")
    (one,) = columns('{column = "B", field = "?", unit = "zork"}')
    assert (one.field, one.unit) == (None, "zork"), "nobody has said yet"
    with pytest.raises(XlfuncsError, match="'zork' is no unit of operating viscosity"):
        columns('{column = "B", field = "viscosity", unit = "zork"}')
    with pytest.raises(XlfuncsError, match="viscosity is already column B"):
        columns('{column = "B", field = "viscosity"}', '{column = "C", field = "viscosity"}')


def test_a_field_of_the_other_kind_of_list_is_refused_but_for_the_tag() -> None:
    check_field("tag", "floats", "x")
    check_field("", "floats", "x")
    check_field("?", "floats", "x")
    check_field("float_mass", "floats", "x")
    with pytest.raises(XlfuncsError, match="flange_class is no field of a float list"):
        check_field("flange_class", "floats", "x")
    with pytest.raises(XlfuncsError, match="there is no field 'zork'"):
        check_field("zork", "floats", "x")


def test_two_columns_of_a_list_are_not_one_field() -> None:
    every = [
        SaidColumn("A", "Tag", "tag", said="x"),
        SaidColumn("B", "Zork", "viscosity", said="y"),
        SaidColumn("C", "Zeta", "area", said="z"),
        SaidColumn("D", "", "", said="u"),
        SaidColumn("E", "", "", said="v"),
    ]
    check_once(every)
    with pytest.raises(XlfuncsError, match="w: viscosity is already column B 'Zork'"):
        check_once([*every, SaidColumn("F", "Zulu", "viscosity", said="w")])


# --- a workbook and others -------------------------------------------------------------------------------


def test_gauges_and_floats_of_a_workbook_are_told_apart() -> None:
    book = read(named(INDEX, "Index"), named(FLOATS, "Floats"))
    assert [(table.kind, len(table)) for table in (*book.gauges, *book.floats)] == [
        ("gauges", 3),
        ("floats", 3),
    ]
    assert [one.kind for one in book.read] == ["gauges", "floats"]


def test_the_workbook_that_is_audited_is_not_its_own_companion() -> None:
    with pytest.raises(XlfuncsError, match=r"--with book\.xlsx: names the workbook that is audited"):
        read(named(INDEX, "Index"), others=[Path("book.xlsx")])


def both(first: Sequence[Grid], second: Sequence[Grid], **more: Any) -> Book:
    return read(*first, floats=Path("floats.xlsx"), float_sheets=second, **more)


def test_the_float_list_of_a_second_workbook_counts_instead_of_the_firsts() -> None:
    more = [[f"QX-{row[0]}" if i else row[0], *row[1:]] for i, row in enumerate(FLOATS)]
    first = [named(INDEX, "Index"), named(FLOATS, "Floats")]
    book = both(first, [named(more, "Theirs"), named(INDEX, "Their index")])
    assert [table.columns["float_part"].text[0] for table in book.floats] == ["QX-QF-1"]
    assert [(one.kind, one.sheet) for one in book.read] == [
        ("gauges", "Index"),
        ("floats", "[floats.xlsx]Theirs"),
    ]
    other: Rows = [
        ["Float part no.", "Mass g", "Zork", "Length mm"],
        ["QF-1", 300, 1, 250],
        ["QF-2", 310, 1, 250],
    ]
    mapping = {"float_wall": "Zork [mm]"}
    (table,) = both([first[0], named(other, "Floats")], [named(FLOATS, "Floats")], mapping=mapping).floats
    assert "float_wall" in table.columns
    with pytest.raises(XlfuncsError, match="float"):
        both(first, [named(INDEX, "Index")])


def test_an_index_that_names_no_float_is_read_with_the_parts_of_the_list() -> None:
    parts = [["Zork", "QF-1", "QF-2", "QF-1"], ["Zork", "QX-1", "QX-2", "QX-1"]]
    for cells, known in zip(parts, (True, False), strict=True):
        book = read(with_column(*cells), named(FLOATS, "Floats"))
        assert ("float_part" in book.gauges[0].columns) is known


def test_what_was_said_of_no_column_is_refused_or_told() -> None:
    grid = named(INDEX, "Index")
    with pytest.raises(XlfuncsError, match="no such heading"):
        read(grid, mapping={"fluid_density": "Nope"})
    with pytest.raises(XlfuncsError, match="no such heading"):
        read(grid, columns={"viscosity": "Nope"})
    for book in (
        read(grid, columns={"fluid_density": "Nope"}),
        read(grid, mapping={"tag": "Nope"}, strict=False),
    ):
        assert any("no such heading" in doubt.text for doubt in book.doubts)


def test_what_was_said_of_floats_is_refused_where_there_is_a_list_of_them(tmp_path: Path) -> None:
    path = save(tmp_path / "floats.csv", Floats=FLOATS)
    with pytest.raises(XlfuncsError, match="no such heading"):
        read_floats(path, mapping={"float_wall": "Nope"})
    with pytest.raises(XlfuncsError, match=r"no .*float list"):
        read_floats(save(tmp_path / "index.csv", Index=INDEX), mapping={"float_wall": "Nope"})


# --- the sheet 'Reading' ---------------------------------------------------------------------------------


def reading(*lines: Sequence[str]) -> Grid:
    """[sheet, column, heading, taken for, unit] of each line."""
    rows: Rows = [list(own.HEADS[own.READING])]
    rows += [[*line, *[""] * (5 - len(line)), "", "", "index of gauges"] for line in lines]
    return named(rows, own.READING)


def test_what_the_sheet_says_is_told_before_what_a_file_says(tmp_path: Path) -> None:
    path = tmp_path / "r.toml"
    path.write_text(
        '[[list]]\nsheet = "Index"\nkind = "gauges"\n'
        'columns = [{column = "A", heading = "Tag", field = "tag"}, '
        '{column = "Y", heading = "Zulu", field = "area"}]\n'
    )
    said = reading(["Index", "A", "Tag", "tag"], ["Index", "Z", "Zeta", "viscosity", "mPa.s"])
    book = read(named(INDEX, "Index"), said, correction=path)
    lost = [doubt.text for doubt in book.doubts if "stands nowhere" in doubt.text]
    assert [next(name for name in ("Zeta", "Zulu") if name in text) for text in lost] == ["Zeta", "Zulu"]


def test_a_shape_that_a_sheet_cannot_have_is_refused_but_for_lists_beside_each_other() -> None:
    said = reading(["Index", "A", "Tag", "tag"], ["Index", "", own.WHOLE, "a row for each property"])
    with pytest.raises(XlfuncsError, match="cannot be read as 'a row for each property'"):
        read(named(INDEX, "Index"), said)
    assert len(read(BESIDE, said).read) == 2


BESIDE = named([[*one, "", *other] for one, other in zip(INDEX, FLOATS, strict=True)], "Index")


@pytest.mark.parametrize(
    "said",
    [{"fluid_density": "C [SG]"}, {"float_wall": "J [mm]"}, {"fluid_density": "C", "float_wall": "J [mm]"}],
)
def test_what_is_said_of_a_list_leaves_the_one_beside_it(said: dict[str, str]) -> None:
    assert [(one.kind, one.records) for one in read(BESIDE, mapping=said).read] == [
        ("gauges", 3),
        ("floats", 3),
    ]


def test_the_shape_that_a_file_says_counts_before_that_of_the_sheet(tmp_path: Path) -> None:
    path = tmp_path / "r.toml"
    shape = "a form with values below their labels"
    said = reading(["Index", "A", "Tag", "tag"], ["Index", "", own.WHOLE, shape])
    assert read(named(INDEX, "Index"), said).read[0].shape == shape
    path.write_text('[[list]]\nsheet = "Index"\nkind = "gauges"\nshape = "a list"\ncolumns = []\n')
    assert read(named(INDEX, "Index"), said, correction=path).read[0].shape == ""


def test_sheets_of_the_same_labels_are_read_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of several sheets each is compared with those before it; a single one with none."""
    asked: list[bool] = []
    choose = shapes.choose

    def watched(*args: Any) -> shapes.Choice:
        asked.append(args[-1] is not None)
        return choose(*args)

    monkeypatch.setattr(shapes, "choose", watched)
    read(named(FORM, "One"), named([["Tag", "LG-2"], *FORM[1:]], "Two"))
    read(named(FORM, "One"))
    assert asked == [True, True, False]
