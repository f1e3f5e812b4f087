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


@pytest.mark.parametrize(
    ("field", "first", "second", "counts"),
    [
        ("design_pressure", "10 barg", "16 barg", "16 barg"),
        ("design_pressure", "16 barg", "10 barg", "16 barg"),
        ("design_temperature", "120 degC", "150 degC", "150 degC"),
        ("float_max_pressure", "40 barg", "25 barg", "25 barg"),
        ("float_wall", "0.9 mm", "0.8 mm", "0.8 mm"),
    ],
)
def test_of_what_strength_depends_on_none_is_chosen_and_the_stricter_counts(
    field: str, first: str, second: str, counts: str
) -> None:
    """Even where one of them breaks a limit: the gauge may be too weak."""
    found = remedy(table(field, first, second))
    assert found.options == () and "agree with" not in found.text
    assert f"Until it is settled the stricter counts: {counts}." in found.text


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
