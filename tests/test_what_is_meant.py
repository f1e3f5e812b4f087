"""Which columns a person's words mean, among lists and sheets in memory: each limit on both sides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import pytest

from tests.test_heads_and_rows import STRANGE, sheet
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.binding import Binder, Column, Seen, Spot
from xlfuncs.lists.instructions import OPTION, SETTINGS, of_mapping
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import Kind

Rows = list[list[Any]]
HEADS = ["Tag", "Fluid", "Spec wt", "C/C mm", "Notes"]
BODY: Rows = [["LG-1", "Water", 998, 900, "x"], ["LG-2", "Oil", 870, 900, "y"]]


@dataclass
class Books:
    """Workbooks in memory, with the lists that were found in them."""

    books: list[list[Grid]] = field(default_factory=lambda: [[]])
    seen: list[Seen] = field(default_factory=list)
    likely: list[Spot] = field(default_factory=list)
    names: list[str] = field(default_factory=lambda: ["index.xlsx"])

    def sheet(self, name: str, rows: Rows, book: int = 0) -> Books:
        """A sheet in which nothing was found."""
        while len(self.books) <= book:
            self.books.append([])
            self.names.append(f"more{len(self.books) - 1}.xlsx")
        grid = sheet(rows)
        grid.sheet = name
        self.books[book].append(grid)
        return self

    def found(
        self,
        name: str,
        heads: Sequence[str] = HEADS,
        body: Rows = BODY,
        *,
        kind: Kind = "gauges",
        above: Rows | None = None,
        below: Rows | None = None,
        book: int = 0,
        taken: dict[str, str] | None = None,
    ) -> Books:
        """A sheet with a list. `taken`: heading -> the field that it was taken for."""
        top = above or []
        self.sheet(name, [*top, list(heads), *body, *(below or [])], book)
        return self.listed(name, len(top) + 1, len(body), heads, kind, book, taken)

    def listed(
        self,
        name: str,
        row: int,
        records: int,
        heads: Sequence[str],
        kind: Kind = "gauges",
        book: int = 0,
        taken: dict[str, str] | None = None,
    ) -> Books:
        columns = [Column(row, j, text, (taken or {}).get(text, "")) for j, text in enumerate(heads, 1)]
        self.seen.append(Seen(book, name, kind, (row,), row + records, columns, 1))
        return self

    def labels(self, name: str, texts: Sequence[str]) -> Books:
        """A data sheet: labels in column A, values in B."""
        self.sheet(name, [[text, 5] for text in texts])
        columns = [Column(i, 1, text) for i, text in enumerate(texts, 1)]
        self.seen.append(Seen(0, name, "gauges", (), 0, columns))
        return self

    def say(self, *said: tuple[str, str], origin: int = OPTION) -> Binder:
        binder = Binder(self.books, self.names, self.seen, self.likely)
        self.lost = binder.say(of_mapping(said, origin))
        return binder

    def meant(self, place: str, name: str = "upper_density", origin: int = OPTION) -> list[str]:
        """'Index!C1 [kg/m3]': what a place was taken for."""
        return [
            f"{one.sheet}!{column_letter(one.col)}{min(one.rows)}" + f" [{one.unit}]" * bool(one.unit)
            for _, one in self.say((name, place), origin=origin).bound
        ]

    def asked(self, place: str, name: str = "upper_density") -> str:
        """What is asked back."""
        with pytest.raises(XlfuncsError) as refused:
            self.say((name, place))
        return str(refused.value).replace('"', "")

    def why_not(self, place: str, name: str = "upper_density") -> str:
        binder = self.say((name, place))
        (lost,) = self.lost
        return binder.why_not(lost)


# --- a heading, a letter, a cell ---------------------------------------------------------------------------


def test_a_column_is_named_by_heading_letter_or_cell() -> None:
    books = Books().found("Index", above=[["Plant"], []])
    for place in ("Spec wt", "spec  WT.", "C", "c", "$C$3", "C3", "Index!C", "Index:C3", "'Index'!Spec wt"):
        assert books.meant(place) == ["Index!C3"], place
    assert books.meant("C [kg/m3]") == books.meant("Index:Spec wt [kg/m3]") == ["Index!C3 [kg/m3]"]
    assert books.meant("Z") == books.meant("Spec") == []


@pytest.mark.parametrize(
    ("cell", "column"), [("C3", "C3"), ("C4", "C3"), ("C5", "C3"), ("C2", ""), ("C1", ""), ("C6", "")]
)
def test_a_cell_names_the_list_in_whose_rows_it_stands(cell: str, column: str) -> None:
    books = Books().found("Index", above=[["Plant"], []], below=[["", "", 5]])
    assert books.meant(cell) == ([f"Index!{column}"] if column else [])


def test_a_cell_names_one_of_two_lists_on_a_sheet() -> None:
    books = Books().found("Index", below=[["Valves", "", "Zork"], ["V-1", "x", 5]])
    books.listed("Index", 4, 1, ["Valves", "", "Zork"])
    assert books.meant("C2") == ["Index!C1"]
    assert books.meant("C5") == ["Index!C4"]
    assert books.asked("C").endswith(
        "could mean 'Index' column C 'Spec wt' (--map upper_density=Index:C1) or 'Index' column C 'Zork'"
        " (--map upper_density=Index:C4): say which; for all of them --map upper_density=*:C"
    )


def test_a_row_without_a_number_in_its_name_is_no_row_of_the_list() -> None:
    books = Books().found("Index", body=[BODY[0], ["Zork", "", "Blorp"], BODY[1]])
    assert books.meant("C3") == ["Index!C3"], "a heading of its own"
    assert books.meant("C4") == ["Index!C1"]
    assert books.meant("Blorp") == ["Index!C3"]


def test_a_label_is_named_by_its_text_or_its_very_cell() -> None:
    books = Books().labels("Sheet", ["Tag", "Spec wt", "C/C mm"])
    assert books.meant("Spec wt") == books.meant("A2") == ["Sheet!A2"]
    assert books.meant("A") == []
    assert books.meant("A2") != books.meant("A3")
    books.labels("Other", ["Tag", "Spec wt"])
    assert "'Sheet' cell A2 'Spec wt' (--map upper_density=Sheet:A2)" in books.asked("A2")


def test_a_heading_as_it_is_written_comes_before_one_in_the_same_words_and_before_an_ending() -> None:
    heads = ["Tag", "Spec wt", "Spec. Wt", "Process / Spec-wt", "Data / Process / Zork"]
    books = Books().found("Index", heads)
    assert books.meant("spec wt") == ["Index!B1"]
    assert books.meant("Spec. WT") == ["Index!C1"]
    assert books.meant("Process / Zork") == books.meant("Zork") == ["Index!E1"]
    assert "column B" in books.asked("SPEC-WT") and "column C" in books.asked("SPEC-WT")
    assert Books().found("Index", heads[3:]).meant("Spec wt") == ["Index!A1"]


def test_signs_alone_are_one_heading_as_they_are_written_only() -> None:
    books = Books().found("Index", ["Tag", "*", "#"])
    assert books.meant("#") == ["Index!C1"]
    assert books.meant("%") == []


def test_a_heading_that_is_another_ones_letter_is_asked_back() -> None:
    books = Books().found("Index", ["Tag", "Fluid", "B", "D", "x"])
    assert books.meant("D [SG]") == books.meant("D1 [SG]") == ["Index!D1 [SG]"]
    assert "'Index' column C 'B' " in books.asked("B")
    assert "'Index' column B 'Fluid' " in books.asked("B")
    assert books.meant("Index:D") == ["Index!D1"], "the heading and the letter of one column"


def test_a_heading_with_a_unit_in_brackets_is_no_letter_with_its_unit() -> None:
    books = Books().found("Index", ["Tag", "Fluid", "B [SG]"])
    assert books.meant("B [SG]") == ["Index!C1"]


def test_a_sheet_before_a_colon_that_is_a_heading_as_well() -> None:
    books = Books().found("Unit", ["Tag", "Fluid", "Other: B"]).found("Other", ["Tag", "B", "C"])
    assert books.meant("Other: B") == ["Unit!C1"]


# --- sheets ------------------------------------------------------------------------------------------------


def test_a_sheet_is_named_as_it_is_written_else_in_the_same_words() -> None:
    books = Books().found("LI Index").found("LI-Index").found("A").found("A.")
    assert books.meant("li index!C") == books.meant("'LI Index'!C") == ["LI Index!C1"]
    assert books.meant("LI-Index!C") == ["LI-Index!C1"]
    assert books.meant("'A'!C") == ["A!C1"]
    assert books.meant("A.!C") == ["A.!C1"]
    other = Books().found("LI-Index").found("Other")
    assert other.meant("LI index!C") == ["LI-Index!C1"]
    assert other.meant("*:C") == ["LI-Index!C1", "Other!C1"]


def test_quotes_belong_to_a_name_where_they_are_two_and_hold_it() -> None:
    assert Books().found("Bob's list").found("Bobs list").meant("'Bob''s list'!C") == ["Bob's list!C1"]
    assert Books().found("'t Index").found("t Index").meant("'t Index!C") == ["'t Index!C1"]
    assert Books().found("Index'").found("Index").meant("Index'!C") == ["Index'!C1"]
    assert Books().found("Index").found("Other").meant("''!C") == [], "no sheet, not every one"


def test_a_sheet_of_one_of_two_workbooks_is_named_with_its_file() -> None:
    books = Books().found("Index").found("Index", ["Tag", "x", "y", "z"], book=1)
    line = books.asked("C")
    assert "(--map upper_density=[index.xlsx]Index:C)" in line
    assert "(--map upper_density=[more1.xlsx]Index:C)" in line
    for place, number in (("[INDEX.xlsx]Index!C", 0), ("[more1.xlsx]Index!C", 1), ("[old.xlsx]Index!C", 1)):
        assert [book for book, _ in books.say(("upper_density", place)).bound] == [number], place


def test_brackets_are_part_of_a_name_where_there_is_one_workbook_or_such_a_sheet() -> None:
    assert Books().found("Index").meant("[index.xlsx]Index!C") == []
    both = Books().found("[1]Index").found("Index").found("Other", book=1)
    assert both.meant("[1]Index!C") == ["[1]Index!C1"]


def test_what_was_said_is_handed_to_the_workbook_that_it_is_of() -> None:
    books = Books().found("Index").found("More", book=1)
    binder = books.say(("upper_density", "Index!C"), ("viscosity", "More!D"))
    assert [one.field for one in binder.instructions(0).of("Index")] == ["upper_density"]
    assert [one.field for one in binder.instructions(1).of("More")] == ["viscosity"]
    assert not binder.instructions(0).of("More")


# --- several columns ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("first", "second", "one"),
    [
        (5, 5, True),
        (5, 4, True),
        (4, 5, True),
        (6, 4, False),
        (4, 6, False),
        (5, 3, False),
    ],
)
def test_a_list_goes_on_in_another_one_that_has_eight_tenths_of_its_headings(
    first: int, second: int, one: bool
) -> None:
    texts = ["Spec wt", *STRANGE]
    books = Books().found("Unit 1", texts[:first]).found("Unit 2", texts[:second])
    if one:
        assert books.meant("Spec wt") == books.meant("A") == ["Unit 1!A1", "Unit 2!A1"]
    else:
        assert "'Unit 1' column A" in books.asked("Spec wt")


def test_other_headings_and_a_list_of_another_kind_are_asked_back() -> None:
    texts = ["Spec wt", *STRANGE[:4]]
    books = Books().found("Unit 1", texts).found("Unit 2", ["Spec wt", *STRANGE[:3], "Blorp"])
    assert books.meant("D") == ["Unit 1!D1", "Unit 2!D1"]
    assert "for all of them --map upper_density=*:E" in books.asked("E"), "the headings differ"
    floats = Books().found("Index", texts).found("Floats", texts, kind="floats")
    line = floats.asked("B", "float_part")
    assert "for all of them" not in line
    assert "'Index' column B" in line and "'Floats' column B" in line
    assert floats.meant("B") == ["Index!B1"], "no field of a float list"


def test_the_same_letter_of_all_is_offered_where_it_is_one_in_each_list() -> None:
    books = Books().found("Unit 1", ["Tag", "Zork", "a"]).found("Unit 2", ["Tag", "b", "c", "Zork"])
    assert "for all of them" not in books.asked("Zork")
    same = Books().found("Unit 1", ["Tag", "Zork", "a"]).found("Unit 2", ["Tag", "Zork", "c", "d"])
    assert same.asked("Zork").endswith("; for all of them --map upper_density=*:B")
    assert same.meant("*:B") == same.meant("*:Zork") == ["Unit 1!B1", "Unit 2!B1"]
    twice = Books().found("Unit 1", ["Tag", "Zork", "Zork"])
    assert "for all of them" not in twice.asked("Zork")
    assert "'Unit 1' column B 'Zork'" in twice.asked("*:Zork"), "two columns of one list"


def test_a_heading_of_a_settings_file_stands_for_each_list_and_a_letter_for_one() -> None:
    books = Books().found("Unit 1", ["Tag", "Zork", "a"]).found("Unit 2", ["Tag", "Zork", "c", "d"])
    assert books.meant("Zork", origin=SETTINGS) == ["Unit 1!B1", "Unit 2!B1"]
    with pytest.raises(XlfuncsError, match=r"\[columns\] upper_density = 'B' could mean"):
        books.meant("B", origin=SETTINGS)
    with pytest.raises(XlfuncsError, match="could mean"):
        Books().found("Unit 1", ["Tag", "Zork", "Zork"]).meant("Zork", origin=SETTINGS)


def test_columns_that_are_all_taken_for_the_field_already_are_not_asked_back() -> None:
    taken = {"Zork": "upper_density"}
    books = Books().found("Unit 1", ["Tag", "Zork", "a"], taken=taken)
    books.found("Unit 2", ["Tag", "Zork", "c", "d"], taken=taken)
    assert books.meant("Zork") == ["Unit 1!B1", "Unit 2!B1"]
    assert "could mean" in books.asked("Zork", "viscosity")
    assert "could mean" in books.asked("Zork", "none")


@pytest.mark.parametrize(("sheets", "more"), [(2, ""), (6, ""), (7, " or 1 more"), (9, " or 3 more")])
def test_six_options_are_told_and_how_many_more_there_are(sheets: int, more: str) -> None:
    books = Books()
    for n in range(sheets):
        books.found(f"Unit {n}", ["Tag", "Zork", *(f"Blorp{n}{k}" for k in range(4))])
    line = books.asked("Zork")
    assert line.count(" column B 'Zork'") == min(sheets, 6)
    assert f"){more}: say which" in line


def test_an_option_names_the_row_where_a_sheet_has_several_lists() -> None:
    books = Books().found("Unit 1", ["Tag", "Zork", "a"]).found("Unit 2", ["Tag", "Zork", "c", "d"])
    assert "Unit 1:B)" in books.asked("Zork")
    books.listed("Unit 1", 2, 1, ["x", "y"])
    line = books.asked("Zork")
    assert "Unit 1:B1)" in line and "Unit 2:B)" in line


def test_a_field_without_a_column_holds_for_lists_of_its_kind() -> None:
    books = Books().found("Index").found("Floats", kind="floats")
    bound = books.say(("upper_density", "")).bound
    assert [(one.sheet, one.col, one.without) for _, one in bound] == [("Index", 0, "upper_density")]
    form = Books().labels("Form", ["Tag", "Spec wt", "Zork"])
    form.seen[0].columns[1:] = [Column(2, 1, "Spec wt", "upper_density"), Column(3, 1, "Zork", "viscosity")]
    bound = form.say(("upper_density", "")).bound
    assert [(min(one.rows), one.field) for _, one in bound] == [(2, "")]


# --- outside the lists -------------------------------------------------------------------------------------


@pytest.mark.parametrize(("row", "found"), [(199, True), (200, True), (201, False), (210, False)])
def test_a_heading_is_looked_for_in_200_rows(row: int, found: bool) -> None:
    rows: Rows = [["x", 5, ""] for _ in range(230)]
    rows[row - 1] = ["Zork", "Blorp", "Wibble"]
    assert Books().sheet("Data", rows).meant("Blorp") == ([f"Data!B{row}"] if found else [])


@pytest.mark.parametrize(("col", "found"), [(399, True), (400, True), (401, False), (420, False)])
def test_a_heading_is_looked_for_in_400_columns(col: int, found: bool) -> None:
    row = ["x"] * 450
    row[col - 1] = "Zork"
    assert Books().sheet("Data", [row]).meant("Zork") == ([f"Data!{column_letter(col)}1"] if found else [])


@pytest.mark.parametrize(("length", "found"), [(150, True), (200, True), (201, False), (215, False)])
def test_a_heading_has_200_characters_at_most(length: int, found: bool) -> None:
    text = "Zork ".ljust(length, "x")
    assert Books().sheet("Data", [["Tag", text], ["LG-1", 5]]).meant(text) == (["Data!B1"] if found else [])


def test_of_several_rows_that_with_most_of_the_headings_is_meant() -> None:
    rows: Rows = [["Zork", "", ""], ["Zork", "Blorp", "Wibble"], ["Zork", "Blorp", ""]]
    books = Books().sheet("Data", rows).sheet("Other", [["Zork", "Blorp"]])
    said = [("tag", "Zork"), ("upper_density", "Blorp"), ("viscosity", "Wibble")]
    binder = books.say(*said)
    assert [(one.sheet, one.col, min(one.rows)) for _, one in binder.bound] == [
        ("Data", 1, 2), ("Data", 2, 2), ("Data", 3, 2),
    ]  # fmt: skip
    reverse = Books().sheet("Data", rows[::-1]).say(*said)
    assert [min(one.rows) for _, one in reverse.bound] == [2, 2, 2]
    line = Books().sheet("Data", rows[:1]).sheet("Other", rows[:1]).asked("Zork")
    assert "'Data' cell A1 'Zork' (--map upper_density=Data:A1) or 'Other' cell A1" in line
    assert line.endswith("for all of them --map upper_density=*:A1")


def test_a_row_of_a_list_holds_no_other_heading() -> None:
    body: Rows = [["LG-1", "Zork", 998, 900, "x"], *BODY]
    assert Books().found("Index", body=body).meant("Zork") == []
    assert Books().found("Index", above=[["", "Zork"]]).meant("Zork") == ["Index!B1"]
    books = Books().found("Index").sheet("Other", [["a"], ["b"], ["Zork"]])
    assert books.meant("Zork") == ["Other!A3"], "a row of another sheet's list"
    books = Books().found("Index").sheet("Index", [["a"], ["b"], ["Zork"]], book=1)
    assert books.meant("Zork") == ["Index!A3"], "a row of another workbook's list"


def test_a_letter_where_no_list_stands_is_under_the_likeliest_headings() -> None:
    rows: Rows = [["Plant", ""], ["Zork", "Blorp"], ["LG-1", 5]]
    books = Books().sheet("Data", rows).sheet("Other", rows)
    books.likely = [Spot(0, "Data", frozenset({2}), 2, 1)]
    assert books.meant("B") == ["Data!B2"]
    assert books.meant("Data!B2") == ["Data!B2"]
    assert books.meant("Other!A1") == ["Other!A1"]
    assert books.meant("Data!B3") == books.meant("C") == books.meant("Data!B9") == []
    more = books.say(("tag", "Other!Zork"), ("viscosity", "B"))
    assert [(one.sheet, one.col, min(one.rows)) for _, one in more.bound] == [
        ("Other", 1, 2),
        ("Other", 2, 2),
    ]


# --- what cannot be meant ----------------------------------------------------------------------------------


def test_one_column_for_two_fields_and_two_columns_for_one_are_refused() -> None:
    books = Books().found("Index").found("Other", ["Tag", "x", "y", "z"])
    for said, why in (
        ([("upper_density", "Index!C"), ("viscosity", "Index!Spec wt")], "names the same column"),
        ([("upper_density", "Index!C"), ("upper_density", "Index!D")], "another column of the same list"),
    ):
        with pytest.raises(XlfuncsError, match=why):
            books.say(*said)
    assert len(books.say(("upper_density", "Index!C"), ("upper_density", "Other!D")).bound) == 2
    assert len(books.say(("upper_density", "Index!C"), ("upper_density", "Index!Spec wt")).bound) == 2
    assert len(books.say(("none", "Index!C"), ("none", "Index!D")).bound) == 2


def test_a_sheet_that_there_is_not_is_told_with_those_that_there_are() -> None:
    books = Books().found("Index").found("Other")
    assert books.why_not("Nowhere!C") == "there is no sheet 'Nowhere'; there are 'Index', 'Other'"
    assert books.why_not("Nowhere:C7").startswith("there is no sheet 'Nowhere'")
    assert books.why_not("Index!Zork").startswith("no such heading or column")
    assert books.why_not("Ratio: of all").startswith("no such heading or column")


def test_a_column_of_a_list_of_another_kind_is_told() -> None:
    books = Books().found("Index").found("Floats", ["Part", "Zork", "Blorp"], kind="floats")
    assert books.why_not("Zork") == (
        "'Floats' column B 'Zork' stands in a float list, and upper_density is no field of that"
    )


def test_a_field_that_was_taken_from_another_column_is_told() -> None:
    books = Books().found("Index", taken={"Spec wt": "upper_density"})
    assert "(upper_density was taken from another column)" in books.why_not("Zork")
    assert "was taken" not in books.why_not("Zork", "viscosity")


@pytest.mark.parametrize(("count", "more"), [(2, ""), (12, ""), (13, " and 1 more"), (15, " and 3 more")])
def test_twelve_headings_are_told_and_how_many_more_there_are(count: int, more: str) -> None:
    heads = [f"Zork {chr(65 + n)}{n}" for n in range(count)]
    line = Books().found("Index", heads).why_not("Blimp")
    shown = ", ".join(map(repr, heads[:12]))
    assert line == f"no such heading or column; there are {shown}{more}"


def test_headings_that_are_nearly_what_was_said_come_first() -> None:
    heads = ["Tag", "Fluid", "Specific weight", "Vapour"]
    assert "there are 'Specific weight', 'Tag'" in Books().found("Index", heads).why_not("Specific wieght")
    assert "there are 'Tag', 'Fluid'" in Books().found("Index", heads).why_not("Quux")
    assert "there are 'Weight liquid', 'Tag'" in Books().found("Index", ["Tag", "Weight liquid"]).why_not(
        "Density liquid"
    )
