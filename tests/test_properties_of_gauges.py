"""Gauges set upright: which property is which field, in which unit, and what a person's word changes."""

from __future__ import annotations

from typing import Any

import pytest

from tests.test_set_upright import GAUGES, records, shaped
from xlfuncs.lists.instructions import Bound, Instructions
from xlfuncs.lists.upright import Property, Shaped, read

Rows = list[list[Any]]
PLAIN = ["Tag", "Viscosity mPa.s", "C-C mm"]
BODY: Rows = [[f"LG-{n}", 5, 900] for n in (1, 2, 3)]


def more(one: Property | str, *values: Any, said: Bound | None = None) -> Shaped:
    """Three gauges with one more property."""
    rows = [[*row, value] for row, value in zip(BODY, values or (5, 6, 7), strict=True)]
    given = records([*PLAIN, one], rows)
    found = read(given, Instructions({"Index": (said,)} if said is not None else {}))
    assert found is not None
    return found


def fields(found: Shaped) -> set[str]:
    return set(found.columns) - {"tag", "viscosity", "connection_distance"}


@pytest.mark.parametrize(
    ("title", "field"),
    [
        ("Float", "float_serial"),
        ("Float data", "float_serial"),
        ("Float level", "float_serial"),
        ("Float of the Zork works", "float_serial"),
        ("Float magnet level", "serial"),
        ("Transmitter", "transmitter_serial"),
        ("Chamber", "serial"),
    ],
)
def test_a_title_of_one_or_two_words_names_the_part_whose_labels_stand_below(title: str, field: str) -> None:
    assert fields(more(Property("Serial", 1, 4, (title,), sure=False), "A1", "A2", "A3")) == {field}


@pytest.mark.parametrize(
    ("label", "values", "of_float"),
    [
        ("Service tag", (5, 6, 7), True),
        ("Max. pressure", (5, 6, 7), True),
        ("Rating", ("Class 150", "Class 300", "Class 150"), False),
        ("Rating", (150, 300, 600), False),
    ],
)
def test_a_label_that_is_much_surer_of_itself_than_below_a_part_is_not_the_parts(
    label: str, values: tuple[Any, ...], of_float: bool
) -> None:
    found = more(Property(label, 1, 4, ("Float",), sure=False), *values)
    every = [one.heading for one in (*found.columns.values(), *found.others)]
    assert f"Float / {label}" in every
    assert ("flange_class" in found.columns) is not of_float


@pytest.mark.parametrize(
    ("units", "values", "metres"),
    [
        (("m", "mm", "mm"), (0.9, 1200, 1000), (0.9, 1.2, 1.0)),
        (("m", "mm"), (0.9, 1200), (0.9, 1.2)),
        (("m", "mm", "in"), (0.9, 1200, 40), (0.9, 1.2, 1.016)),
        (("mm", "mm"), (900, 1200), (0.9, 1.2)),
        (("mm", ""), (900, 1200), (0.9, 1.2)),
    ],
)
def test_numbers_in_several_units_are_one_length(
    units: tuple[str, ...], values: tuple[float, ...], metres: tuple[float, ...]
) -> None:
    rows: Rows = [[f"LG-{n}", 850, 5, value] for n, value in enumerate(values)]
    found = shaped(
        ["Tag", "Density kg/m3", "Viscosity mPa.s", "C-C"], rows, [["", "", "", unit] for unit in units]
    )
    assert found is not None
    assert found.made.table.columns["connection_distance"].low.tolist() == pytest.approx(metres)


def test_a_property_whose_place_proves_its_field_has_the_unit_of_its_words() -> None:
    found = more(Property("Limit mm", 1, 4, known="switch_lsh"), 500, 600, 700)
    assert found.made.table.columns["switch_lsh"].low.tolist() == pytest.approx([0.5, 0.6, 0.7])
    assert found.columns["switch_lsh"].unit == "mm"
    strange = more(Property("Zork (m)", 1, 4, known="switch_lsh"), 0.5, 0.6, 0.7)
    assert strange.made.table.columns["switch_lsh"].low.tolist() == pytest.approx([0.5, 0.6, 0.7])
    other = more(Property("Pressure barg", 1, 4, known="switch_lsh"), 500, 600, 700)
    assert other.columns["switch_lsh"].unit == "", "a unit of something else"
    named = more(Property("Point in mm", 1, 4, known="serial"), "A1", "A2", "A3")
    assert named.columns["serial"].unit == ""


def test_the_place_of_a_name_that_became_one_with_another_is_no_row_of_something_else() -> None:
    names = [*PLAIN, "Density kg/m3", Property("Operating density kg/m3", 17, 5)]
    rows: Rows = [["LG-1", 5, 900, 850, None], ["LG-2", 5, 900, None, 900]]
    found = shaped(names, rows)
    assert found is not None
    assert found.made.table.columns["fluid_density"].raw.tolist() == [850, 900]
    assert 17 in found.made.rows["heading"].tolist()
    assert len(found.records.properties) == 4


def test_what_was_not_taken_is_told_with_how_sure_it_is() -> None:
    def told(*labels: str, values: tuple[int, ...] = (5,)) -> dict[str, float]:
        rows = [[*row, *values] for row in BODY]
        found = shaped([*PLAIN, *labels], rows)
        assert found is not None
        return {one.heading: one.confidence for one in found.made.table.unrecognised}

    assert told("Length") == {"Length": 0.5}
    assert told("Zork") == {"Zork": 0.0}
    twice = told("Density", "Operating density", values=(850, 900))
    assert twice == {"Density": 0.5, "Operating density": 1.0}, "no more than certain"
    (length,) = more("Length").made.table.unrecognised
    assert (length.runner_up, length.runner_up_confidence) == ("float_length", 0.5)


def test_two_things_below_one_label_are_told_apart() -> None:
    found = more("Service / fluid", "Drum / Oil", "Tank / Water", "Pot / Oil")
    assert found.made.table.columns["fluid"].text.tolist() == ["Oil", "Water", "Oil"]
    assert found.columns["fluid"].heading == "Service / fluid: fluid"
    rows: Rows = [[f"LG-{n} / QF-{n}", 850, 5, 300] for n in (1, 2)]
    tagged = shaped(["Tag / float no.", "Density", "Viscosity", "Float mass g"], rows)
    assert tagged is not None
    assert tagged.made.table.columns["tag"].text.tolist() == ["LG-1", "LG-2"]


def said(field: str, unit: str = "") -> Bound:
    """A person's word on the fourth label."""
    return Bound("Index", frozenset({1}), 4, field, unit, label=True)


def test_a_persons_word_on_a_label_counts_first() -> None:
    found = more("Zork", said=said("fluid_density", "kg/m3"))
    assert found.made.table.columns["fluid_density"].low.tolist() == [5, 6, 7]
    assert found.columns["fluid_density"].unit_source == "said"
    assert "fluid_density" not in more("Density kg/m3", 850, 860, 870, said=said("")).columns
    other = more("Density kg/m3", 850, 860, 870, said=said("upper_density"))
    assert fields(other) == {"upper_density"}
    assert other.columns["upper_density"].unit == "kg/m3"


def test_what_a_person_confirms_keeps_its_unit_or_gets_the_one_that_was_said() -> None:
    same = more("Density kg/m3", 850, 860, 870, said=said("fluid_density")).columns["fluid_density"]
    assert (same.unit, same.unit_source, same.confirmed) == ("kg/m3", "heading", True)
    again = more("Density kg/m3", 850, 860, 870, said=said("fluid_density", "kg/m3")).columns["fluid_density"]
    assert (again.unit, again.unit_source) == ("kg/m3", "heading")
    sg = more("Density kg/m3", 0.85, 0.86, 0.87, said=said("fluid_density", "SG"))
    assert (sg.columns["fluid_density"].unit, sg.columns["fluid_density"].unit_source) == ("SG", "said")
    assert sg.made.table.columns["fluid_density"].low[0] == pytest.approx(849.2, abs=0.5)


def test_records_of_two_numbers_of_a_float_are_no_floats() -> None:
    names = ["Float part no.", "Float mass g", "Float diameter mm", "Zork", "Zeal"]
    rows: Rows = [[f"QF-{n}", 300, 50, 1, 2] for n in range(3)]
    assert shaped(names, rows, kinds=("floats",)) is None
    assert shaped([*names[:3], "Float length mm"], [[*row[:3], 250] for row in rows], kinds=("floats",))
    tagged = ["Tag", *names[1:]]
    gauges: Rows = [[f"LG-{n}", 300, 50, 1, 2] for n in range(3)]
    assert shaped([*tagged[:3], "Float length mm"], [[*row[:3], 250] for row in gauges], kinds=("gauges",))
    assert shaped(["Tag", "Zork", "Zeal"], [row[:3] for row in GAUGES], kinds=("gauges",)) is None


def test_a_tag_alone_in_a_cell_for_two_things_is_the_tag() -> None:
    rows: Rows = [["Drum / LG-1", 850, 5, 300], ["Tank / LG-2", 850, 5, 300], ["LG-3", 850, 5, 300]]
    for heading, turned in (("Service / tag", False), ("Tag / service", True)):
        given = [[" / ".join(row[0].split(" / ")[::-1]) if turned else row[0], *row[1:]] for row in rows]
        found = shaped([heading, "Density", "Viscosity", "Float mass g"], given)
        assert found is not None
        assert found.made.table.columns["tag"].text.tolist() == ["LG-1", "LG-2", "LG-3"]
        assert found.made.table.columns["service"].text.tolist() == ["Drum", "Tank", ""]
