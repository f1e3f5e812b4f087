"""Two documents that differ: the other cells decide, or it is said whom to ask; nothing is guessed."""

from __future__ import annotations

from typing import Any

import pytest

from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.registry import Hit, find_rule, remedy_of
from xlfuncs.audit.remedies.documents import STRICTER
from xlfuncs.audit.remedy import Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.lists.model import Difference, Differences, Stated

RULE = find_rule("documents-disagree")


def table(
    field: str, here: str, there: str, floats: dict[str, list[Any]] | None = None, **row: Any
) -> Gauges:
    """The index with one value, and what another sheet states of it."""
    full = SOUND | row | {field: here}
    gauges = gauges_of({name: [cell] for name, cell in full.items()}, floats)
    first, second = Stated("gauges", "H2", here), Stated("Process data", "C9", there)
    gauges.book.differences = Differences([Difference(str(full["tag"]), field, first, second)])
    return gauges


def remedy(gauges: Gauges) -> Remedy:
    (hit,) = (one for one in RULE.check(gauges, Settings()) if isinstance(one, Hit))
    found = remedy_of(RULE, gauges, Settings(), hit)
    assert found is not None
    return found


AGREE = "The other cells of the gauge agree with"
AGREES: list[tuple[str, str, str, dict[str, Any], str]] = [
    ("visible_range", "1000 mm", "1200 mm", {}, "range-exceeds-connections"),
    ("connection_distance", "1000 mm", "900 mm", {}, "range-exceeds-connections"),
    ("stated_current", "12 mA", "13.6 mA", {}, "current-inconsistent"),
    ("fluid_density", "983.2 kg/m3", "880 kg/m3", {}, "offset-exceeds-tolerance"),
    ("switch_lsl", "150 mm", "900 mm", {}, "switch-order"),
]


@pytest.mark.parametrize(("field", "right", "wrong", "row", "slug"), AGREES, ids=[one[0] for one in AGREES])
def test_the_value_with_which_the_other_cells_agree_is_named_wherever_it_stands(
    field: str, right: str, wrong: str, row: dict[str, Any], slug: str
) -> None:
    here = remedy(table(field, right, wrong, **row))
    said = (
        f"The other cells of the gauge agree with {right} in gauges!H2, not with {wrong} in Process data!C9"
    )
    assert here.text.startswith(said) and f"({slug})" in here.text
    assert here.options == ()  # this sheet is right
    there = remedy(table(field, wrong, right, **row))
    said = (
        f"The other cells of the gauge agree with {right} in Process data!C9, not with {wrong} in gauges!H2"
    )
    assert there.text.startswith(said) and f"({slug})" in there.text
    (option,) = there.options
    assert option.name == field and str(option.value) == right


def test_the_option_that_is_taken_leaves_no_contradiction() -> None:
    (option,) = remedy(table("visible_range", "1200 mm", "1000 mm")).options
    after = gauges_of({name: [cell] for name, cell in (SOUND | {option.name: str(option.value)}).items()})
    found = find_rule("range-exceeds-connections").check(after, Settings())
    assert [one for one in found if isinstance(one, Hit)] == []


def test_the_number_on_the_float_decides_between_two_serials() -> None:
    found = remedy(table("serial", "QX-1", "QX-2", float_gauge_serial="QX-2"))
    assert "agree with QX-2 in Process data!C9" in found.text and "(serial-mismatch)" in found.text


def test_a_cell_without_its_unit_is_taken_as_the_gauge_has_it() -> None:
    gauges = table("visible_range", "1200 mm", "1000 mm")
    (one,) = gauges.book.differences.values
    bare = Difference(one.tag, one.field, Stated("gauges", "H2", "1200"), one.second)
    gauges.book.differences = Differences([bare])
    assert "agree with 1000 mm in Process data!C9, not with 1200 in gauges!H2" in remedy(gauges).text


def test_the_float_list_decides_between_two_masses() -> None:
    floats = {"float_part": ["ZF-250A"], "float_mass": ["350 g"]}
    found = remedy(table("float_mass", "365 g", "350 g", floats))
    assert "agree with 350 g in Process data!C9" in found.text
    assert "(float-data-conflict)" in found.text
    assert "name plate" in found.text


def test_the_float_list_decides_between_two_parts_by_the_data_of_the_row() -> None:
    floats = {"float_part": ["ZF-250A", "ZF-300B"], "float_mass": ["350 g", "420 g"]}
    found = remedy(table("float_part", "ZF-300B", "ZF-250A", floats))
    assert "agree with ZF-250A in Process data!C9" in found.text
    (option,) = found.options
    assert (option.name, str(option.value)) == ("float_part", "ZF-250A")


def test_where_no_other_cell_tells_both_cells_and_whom_to_ask_are_named() -> None:
    found = remedy(table("level_rate", "5 mm/s", "4 mm/s"))
    assert found.options == ()
    said = "No other cell of the gauge tells which holds, 5 mm/s in gauges!H2 and 4 mm/s in Process data!C9"
    assert found.text == f"{said}: settle it by the process data."


def test_where_both_are_contradicted_neither_is_called_right() -> None:
    row: dict[str, Any] = {"fluid": "Blend 7", "float_design_density": None}
    found = remedy(table("fluid_density", "880 kg/m3", "1100 kg/m3", **row))
    assert "agree with" not in found.text and found.options == ()
    assert "gauges!H2" in found.text and "Process data!C9" in found.text


STRENGTH: list[tuple[str, str, str, tuple[str, ...], str]] = [
    # the stricter first, what breaks with it, and what that speaks for
    (
        "design_pressure",
        "16 barg",
        "10 barg",
        ("test-pressure-low", "15 barg is 1.5 times 10 barg"),
        "10 barg",
    ),
    ("test_pressure", "24 barg", "15 barg", ("15 barg is 1.5 times 10 barg",), "15 barg"),
    ("design_temperature", "150 degC", "120 degC", ("no further limit breaks",), ""),
    ("design_temperature", "230 degC", "120 degC", ("float-temperature-exceeded",), "120 degC"),
    ("float_max_pressure", "25 barg", "40 barg", ("no further limit breaks",), ""),
    ("float_max_pressure", "8 barg", "40 barg", ("float-pressure-exceeded",), "40 barg"),
    ("operating_pressure", "12 barg", "5 barg", ("operating-exceeds-design",), "5 barg"),
]


@pytest.mark.parametrize(("field", "strict", "mild", "told", "speaks"), STRENGTH)
@pytest.mark.parametrize("turned", [False, True])
def test_of_what_strength_depends_on_none_is_chosen_and_what_the_stricter_breaks_is_told(
    field: str, strict: str, mild: str, told: tuple[str, ...], speaks: str, turned: bool
) -> None:
    """A limit that breaks and the usual 1.5 times of a test speak for a value; the gauge may be too weak."""
    found = remedy(table(field, mild, strict) if turned else table(field, strict, mild))
    assert found.options == () and "agree with" not in found.text and "counts" not in found.text
    assert f"With the stricter, {strict} in {'Process data!C9' if turned else 'gauges!H2'}" in found.text
    assert all(one in found.text for one in told)
    says = f"That speaks for {speaks} in" if speaks else "That does not tell which holds"
    assert says in found.text and ("no proof" in found.text) == bool(speaks)
    assert "settle it by" in found.text


def test_a_limit_that_breaks_and_a_test_that_goes_with_the_same_value_do_not_tell() -> None:
    """15 barg is 1.5 times 10 barg, and the float withstands 9 barg only."""
    found = remedy(table("design_pressure", "10 barg", "8 barg", float_max_pressure="9 barg"))
    assert "float-pressure-exceeded" in found.text and "1.5 times 10 barg" in found.text
    assert "That does not tell which holds" in found.text


def test_every_pressure_and_temperature_on_which_strength_depends_is_left_to_a_person() -> None:
    fields = {name for name, one in load("fields").items() if str(name).startswith(("design_pr", "design_t"))}
    assert {name for name in fields if load("fields")[name]["kind"] == "quantity"} - {
        "design_pressure_temperature"
    } <= {*STRICTER}


def test_a_range_and_a_number_without_unit_are_not_tried() -> None:
    for there in ("900 to 1200 mm", "1200"):
        found = remedy(table("visible_range", "1000 mm", there))
        assert found.text.startswith("No other cell of the gauge tells which holds")
        assert found.options == ()


def test_a_tag_that_no_row_bears_is_only_asked_for() -> None:
    gauges = table("visible_range", "1000 mm", "1200 mm")
    one = gauges.book.differences.values[0]
    gauges.book.differences = Differences([Difference("LG-9", one.field, one.first, one.second)])
    assert remedy(gauges).options == ()
