"""What a remedy takes from the rows beside: units, tags that count on, switches, whose part it is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from tests.test_remedies_taken import table
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.registry import Hit, find_rule, remedy_of
from xlfuncs.audit.settings import Settings


def mends(slug: str, rows: Sequence[dict[str, Any]]) -> list[str]:
    """The remedies of what a rule finds; "" where it has none."""
    gauges = table([dict(row) for row in rows])
    settings = Settings()
    found = [hit for hit in find_rule(slug).check(gauges, settings) if isinstance(hit, Hit)]
    remedies = [remedy_of(find_rule(slug), gauges, settings, hit) for hit in found]
    return [remedy.text if remedy is not None else "" for remedy in remedies]


def tags(*names: str) -> list[str]:
    return mends("tag-duplicate", [{"tag": name, "serial": f"S{at}x"} for at, name in enumerate(names)])


COUNTS_ON = "The tags of the rows above it count on: if so, it is tag LG-{}, which is free."


@pytest.mark.parametrize(
    ("names", "free"),
    [
        (("LG-1301", "LG-1302", "LG-1302"), "1303"),
        (("LG-1300", "LG-1301", "LG-1302", "LG-1302", "LG-1401"), "1303"),
        (("LG-1300", "LG-1301", "LG-1302", "LG-1302"), "1303"),
        (("LG-1300", "LG-1305", "LG-1302", "LG-1302", "LG-1401"), ""),  # they do not count
        (("LG-1302", "LG-1302", "LG-1401"), ""),  # one row above does not count
        (("LG-1300", "LG-1301", "LG-1302", "LG-1302", "LG-1303"), ""),  # taken
        (("LG-1303", "LG-1300", "LG-1301", "LG-1302", "LG-1302", "LG-1401"), ""),
    ],
)
def test_a_tag_that_stands_twice_has_the_number_to_which_the_rows_above_count(
    names: tuple[str, ...], free: str
) -> None:
    assert tags(*names) == [COUNTS_ON.format(free) if free else ""]


def test_a_number_in_another_unit_is_told_in_that_of_its_neighbours() -> None:
    lengths = ("38.5 in", "40.1 in", "39.4 in", "39 in", "39.8 in", "39.4 in", "39.4 in", "1000 mm")
    assert mends("copied-column", [{"connection_distance": one} for one in lengths]) == []
    lengths = (*lengths[:7], "1000 in")
    assert mends("copied-column", [{"connection_distance": one} for one in lengths]) == [
        "Taken in the other unit it is 39.37 in, as its neighbours are."
    ]
    one_value = [
        {"fluid": f"Blend {at}", "fluid_density": "850 kg/m3", "viscosity": f"{at} cP"} for at in range(1, 6)
    ]
    assert mends("copied-column", one_value) == [""]


CLEAR = "clear of the end of travel"
BESIDE = f"{CLEAR} and of the switches beside it"


@pytest.mark.parametrize(
    ("switches", "text"),
    [
        (
            {"switch_lsh": "900 mm", "switch_lshh": "1040 mm"},
            f"Set it within 925 mm to 990 mm, {BESIDE}; the nearest is LSHH 990 mm.",
        ),
        (
            {"switch_lsh": "965 mm", "switch_lshh": "1040 mm"},
            f"Set it within 990 mm to 990 mm, {BESIDE}; the nearest is LSHH 990 mm.",
        ),
        (
            {"switch_lsll": "-20 mm", "switch_lsl": "100 mm", "switch_lsh": None},
            f"Set it within 10 mm to 75 mm, {BESIDE}; the nearest is LSLL 10 mm.",
        ),
        (
            {"switch_lsll": None, "switch_lsl": None, "switch_lsh": None, "switch_lshh": "1040 mm"},
            f"Set it within 10 mm to 990 mm, {CLEAR}; the nearest is LSHH 990 mm.",
        ),
        (
            {"visible_range": "40 in", "switch_lsh": "900 mm", "switch_lshh": "41 in"},
            f"Set it within 36.42 in to 38.97 in, {BESIDE}; the nearest is LSHH 38.97 in.",  # 1000 mm less 10
        ),
    ],
)
def test_a_set_point_goes_where_the_float_reaches_it_clear_of_those_beside_it(
    switches: dict[str, str | None], text: str
) -> None:
    """By 10 mm, the tolerance of the reading, and 25 mm, between switches; 36.417 in is rounded up."""
    assert (Settings().switch_spacing_mm, Settings().offset_tolerance_mm) == (25, 10)
    (told,) = mends("switch-outside-range", [switches])
    assert told.startswith(text)
    assert told.endswith("What it trips is the process's: change it as the plant's own rules ask.")


def test_it_stays_at_the_end_of_the_range_where_the_others_leave_no_room() -> None:
    (text,) = mends("switch-outside-range", [{"switch_lsh": "966 mm", "switch_lshh": "1040 mm"}])
    assert text.startswith("Set it within 0 mm to 1000 mm; the nearest is LSHH 1000 mm.")


def test_the_bore_of_the_other_floats_as_wide_is_named_first() -> None:
    wide = {"float_diameter": "70 mm", "chamber_bore": "82.5 mm"}
    slip = wide | {"chamber_bore": "54.5 mm"}
    said = "The other floats of this list as wide stand in a bore of 82.5 mm: if this one does, "
    (text,) = mends("float-wider-than-chamber", [slip, wide, wide, wide])
    assert text.startswith(said)
    others = [wide, wide, wide | {"chamber_bore": "90 mm"}]
    for rows in ([slip, wide, wide], [slip, *others]):
        (text,) = mends("float-wider-than-chamber", rows)
        assert said not in text


def test_of_a_part_that_stands_twice_the_gauges_that_have_it_are_named() -> None:
    listed = {
        "float_part": ["PX-1", "PX-1"],
        "float_mass": ["250 g", "250 g"],
        "float_max_pressure": ["16 barg", "10 barg"],
    }
    own = {"tag": ["LG-1", "LG-2", "LG-3"], "float_part": ["PX-1", "PX-2", "px-1"]}
    gauges, settings = gauges_of(own, listed), Settings()
    (hit,) = [one for one in find_rule("float-list-repeats").check(gauges, settings) if isinstance(one, Hit)]
    remedy = remedy_of(find_rule("float-list-repeats"), gauges, settings, hit)
    assert remedy is not None
    assert remedy.text == (
        "Which of the two holds is not computed; it is that of LG-1, LG-3: read the number on the float."
    )
