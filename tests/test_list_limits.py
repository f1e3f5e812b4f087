"""How lists are told from what stands around them: shares and counts, on both sides."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.rows import save
from tests.test_shapes import PROPERTIES, plain
from xlfuncs.audit.engine import audit_book
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.reader import read_book
from xlfuncs.lists.reading_file import to_toml

HEADINGS = ["Tag", "Fluid", "Density kg/m3", "Design press barg"]
ROWS: list[list[Any]] = [[f"LG-{i}", "Oil", 880 + i, 10] for i in range(1, 7)]


@pytest.mark.parametrize(("share", "read"), [(0.62, True), (0.57, False)])
def test_a_legend_has_to_explain_six_tenths_of_the_names(share: float, read: bool, tmp_path: Path) -> None:
    names = {"EQ_ID": ("Gauge tag number", "-")}
    names |= {f"X_{n}": (label, unit or "-") for n, (_, label, unit, _) in enumerate(PROPERTIES)}
    others = [f"Q_{n}" for n in range(round(len(names) * (1 / share - 1)))]
    assert (len(names) / (len(names) + len(others)) >= 0.6) is read
    data = [[*names, *others], *([*row, *others] for row in plain()[1:])]
    legend = [["Field names"], [], ["Field", "Meaning", "Unit"], *([k, *v] for k, v in names.items())]
    path = save(tmp_path / "book.xlsx", Export=data, Legend=legend)
    if read:
        assert audit_book(path).rows_audited == len(data) - 1
    else:
        with pytest.raises(XlfuncsError, match="no index of level gauges found"):
            audit_book(path)


@pytest.mark.parametrize(
    ("last", "kind"),
    [
        ([*[None] * 5, "weather fair", 5], "note"),
        ([*[None] * 5, "weather fair", 5, 7], "not understood"),
        (["Total", 6], "total"),
        (["Total"], "note"),
    ],
)
def test_a_row_of_two_cells_may_be_a_note_and_one_of_three_is_not(
    last: list[Any], kind: str, tmp_path: Path
) -> None:
    result = audit_book(save(tmp_path / "book.xlsx", Index=[HEADINGS, *ROWS, [], last]))
    (rows,) = result.rows
    assert rows.count(kind) == 1
    assert rows.count("audited") == 6


@pytest.mark.parametrize(("columns", "more"), [(12, ""), (13, " and 1 more")])
def test_twelve_headings_are_named_where_none_is_the_wanted_one(
    columns: int, more: str, tmp_path: Path
) -> None:
    others = [f"Remark {letter}" for letter in "ABCDEFGHIJKL"[: columns - 4]]
    path = save(tmp_path / "book.xlsx", Index=[[*HEADINGS, *others], *([*row, *others] for row in ROWS)])
    with pytest.raises(XlfuncsError) as caught:
        audit_book(path, mapping={"viscosity": "Zähigkeit"})
    said = str(caught.value)
    assert "no such heading" in said
    assert said.count("'Remark ") + sum(f"'{name}'" in said for name in HEADINGS) == 12
    assert (" more" in said) == bool(more)
    assert more in said


def test_the_lines_of_a_reading_file_are_no_longer_than_a_screen(tmp_path: Path) -> None:
    path = save(tmp_path / "book.xlsx", Index=[HEADINGS, *ROWS])
    remarks = [line for line in to_toml(read_book(path).read, path.name).splitlines() if line.startswith("#")]
    assert max(map(len, remarks)) <= 110
    assert max(map(len, remarks)) > 100


WORDS = ["Fluid", "Density kg/m3", "Design pressure barg", "Design temperature degC", "Viscosity mPa.s"]


@pytest.mark.parametrize(("unknown", "read"), [(5, True), (6, False)])
def test_six_tenths_of_a_column_have_to_be_headings_where_gauges_stand_beside_each_other(
    unknown: int, read: bool, tmp_path: Path
) -> None:
    rows: list[list[Any]] = [["Tag", *(f"LG-{i}" for i in range(1, 7))], [WORDS[0], *["Oil"] * 6]]
    rows += [[word, *(100 + i for i in range(6))] for word in WORDS[1:]]
    rows += [[f"Zork {'ABCDEF'[k]}", *[f"w{k}"] * 6] for k in range(unknown)]
    result = audit_book(save(tmp_path / "book.xlsx", Gauges=rows))
    assert (result.rows_audited == 6) is read


@pytest.mark.parametrize(("own", "read"), [(3, True), (4, False)])
def test_half_of_the_properties_of_a_long_list_have_to_come_again(
    own: int, read: bool, tmp_path: Path
) -> None:
    rows: list[list[Any]] = [["Tag", "Property", "Value"]]
    for i in range(1, 7):
        rows += [
            [f"LG-{i}", word, 100 + i + k if k else "Oil"] for k, word in enumerate([*WORDS, "Float mass g"])
        ]
        rows += [[f"LG-{i}", f"Viscosity mPa.s at {i}{k} degC", 5] for k in range(own)]
    path = save(tmp_path / "book.xlsx", Gauges=rows)
    if read:
        assert audit_book(path).rows_audited == 6
    else:
        with pytest.raises(XlfuncsError, match="no index of level gauges found"):
            audit_book(path)


@pytest.mark.parametrize(("names", "told"), [(2, False), (3, True)])
def test_a_sheet_that_names_three_data_of_floats_is_said_to_be_unused(
    names: int, told: bool, tmp_path: Path
) -> None:
    notes = [
        ["Some words about it"],
        *([name] for name in ("Float weight", "Float OD", "Float length")[:names]),
    ]
    result = audit_book(save(tmp_path / "book.xlsx", Index=[HEADINGS, *ROWS], Notes=notes))
    assert any("holds float data" in one["text"] for one in result.doubts) is told


@pytest.mark.parametrize(("other", "same"), [("Fluid", True), ("Service", False)])
def test_a_list_goes_on_in_another_sheet_with_four_fifths_of_its_headings(
    other: str, same: bool, tmp_path: Path
) -> None:
    """What is said of a heading holds in both sheets, else it is asked which is meant."""
    first: list[list[Any]] = [["Tag", "Fluid", "Density kg/m3", "Design press barg", "Zork"]]
    first += [[f"LG-{i}", "Oil", 880, 10, 5 + i] for i in range(1, 6)]
    second: list[list[Any]] = [["Tag", other, "Density kg/m3", "Design temp degC", "Zork"]]
    second += [[f"LG-1{i}", "Oil", 880, 100, 5 + i] for i in range(1, 6)]
    path = save(tmp_path / "book.xlsx", One=first, Two=second)
    if same:
        columns = audit_book(path, mapping={"viscosity": "Zork"}).columns
        assert columns["One"]["viscosity"] == columns["Two"]["viscosity"] == "E"
    else:
        with pytest.raises(XlfuncsError, match="Zork"):
            audit_book(path, mapping={"viscosity": "Zork"})


@pytest.mark.parametrize("word", ["Length mm", "Weight g"])
@pytest.mark.parametrize(("between", "read"), [(0, True), (1, True), (2, False)])
def test_a_heading_shares_the_subject_of_one_that_is_two_columns_away(
    word: str, between: int, read: bool, tmp_path: Path
) -> None:
    names = ["Tag", "Fluid", "Density kg/m3", "Float OD mm", *(f"Zork {k}" for k in range(between)), word]
    rows = [[f"LG-{i}", "Oil", 880, 50 + i, *["w"] * between, 250 + i] for i in range(1, 6)]
    result = audit_book(save(tmp_path / "book.xlsx", Index=[names, *rows]))
    of_floats = {name for name in result.columns["Index"] if name.startswith("float_")}
    assert (len(of_floats) == 2) is read
    assert (word in {one["heading"] for one in result.unread_columns}) is not read


@pytest.mark.parametrize("heading", ["mPa.s", "W/m"])
def test_a_column_that_its_unit_alone_names_is_less_sure_than_one_with_a_heading(
    heading: str, tmp_path: Path
) -> None:
    """0.84 is sure enough to decide; what stands in no words is just above."""
    rows = [[f"LG-{i}", "Oil", 10, 20 + i] for i in range(1, 4)]
    path = save(tmp_path / "book.xlsx", Index=[["Tag", "Fluid", "Design press barg", heading], *rows])
    (table,) = read_book(path).gauges
    sure = {column.column: column.confidence for column in table.recognised}
    assert 0.84 <= sure["D"] < 0.9 < sure["C"]


@pytest.mark.parametrize(("blank", "fields"), [(92, {"float_part", "float_mass"}), (93, {"float_part"})])
def test_a_bill_is_read_to_its_hundredth_column(blank: int, fields: set[str], tmp_path: Path) -> None:
    space = [None] * blank
    names = ["Tag", "Description", "Density kg/m3", "C-C mm", "Visible mm", "Float part no.", "Float mass g"]
    rows: list[list[Any]] = [["Level", *space, *names]]
    for n in range(3):
        rows.append(["1", *space, f"LG-{n}", "Level gauge", 850, 1000, 1000, None, None])
        rows.append([".2", *space, None, "Float", None, None, None, f"QF-{n}", 340 + n])
        rows.append([".2", *space, None, "Gasket", None, None, None, None, None])
    columns = audit_book(save(tmp_path / "book.xlsx", Bill=rows)).columns["Bill"]
    assert {name for name in columns if name.startswith("float_")} == fields
