"""What the columns of a list say about one another: every share, limit and score on both sides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pytest

from xlfuncs.lists.decide import Verdict, decide
from xlfuncs.lists.evidence import AGAINST, profile
from xlfuncs.lists.neighbours import lend, question
from xlfuncs.vocabulary.meaning import Kind, read_heading
from xlfuncs.vocabulary.words import fold

ACCEPTED, SUPPORTED, NAMED, RELATED, BY_CELLS, ALONE = 0.84, 0.88, 0.98, 0.96, 0.86, 0.75
"""The scores that are given; what is raised to 0.84 is taken."""


@dataclass
class Column:
    """A column of a list as it stands before it is decided."""

    text: str
    cells: Sequence[Any] = ()
    scores: dict[str, float] | None = None
    sure: str = ""
    above: tuple[str, ...] = ()
    unit_row: str = ""
    index: int = 0


def tags(share: float = 1.0, other: str = "blue", rows: int = 100, start: str = "LG-1") -> list[str]:
    count = round(share * rows)
    return [f"{start}{n:02d}" for n in range(count)] + [
        f"{other} {_lettered(n)}" for n in range(rows - count)
    ]


def _lettered(number: int) -> str:
    """A word of its own for a number: what is no tag."""
    return "".join("abcdefghij"[int(digit)] for digit in str(number))


def words(one: str, share: float, other: str = "blue", rows: int = 100) -> list[str]:
    count = round(share * rows)
    return [one] * count + [other] * (rows - count)


def questioned(*columns: Column) -> list[dict[str, float]]:
    """The scores of columns after the list as a whole was asked."""
    scores = [dict(one.scores or {}) for one in columns]
    question(columns, _readings(columns, "gauges"), [profile(one.cells) for one in columns], scores)
    return scores


TAG = Column("Tag no.", sure="tag")


def lent(
    *those: Column, kind: Kind = "gauges", parts: frozenset[str] = frozenset(), tagged: bool = True
) -> list[dict[str, float]]:
    """The scores of columns after those beside them have supported them. `tagged`: tags stand beside them."""
    columns = [*those, TAG] if tagged else [*those]
    scores = [dict(one.scores or ({one.sure: 1.0} if one.sure else {})) for one in columns]
    verdicts = [Verdict(one.sure, 1.0, bool(one.sure)) for one in columns]
    profiles = [profile(one.cells) for one in columns]
    before = [dict(one) for one in scores]
    changed = lend(columns, _readings(columns, kind), profiles, scores, verdicts, kind, parts)
    assert changed is (scores != before), "whether anything was changed is told"
    further = [dict(one) for one in scores]
    rounds = (
        lend(columns, _readings(columns, kind), profiles, further, decide(further), kind, parts)
        for _ in range(4)
    )
    assert not all(rounds), "what was supported is not supported anew for ever, or no list would be decided"
    return scores[: len(those)]


def _readings(columns: Sequence[Column], kind: Kind) -> list[Any]:
    return [read_heading(one.text, " / ".join(one.above), kind, one.unit_row) for one in columns]


# --- what speaks against a meaning ----------------------------------------------------------------------


@pytest.mark.parametrize(("share", "score"), [(0.89, 0.5), (0.91, NAMED), (0.95, NAMED)])
def test_connections_that_say_side_or_end_are_the_arrangement(share: float, score: float) -> None:
    cells = words("side-side", share)
    (one,) = questioned(Column("Process connection", cells, {"connection_arrangement": 0.5}))
    assert one["connection_arrangement"] == score
    (other,) = questioned(Column("Zork", cells, {"connection_arrangement": 0.5}))
    assert other["connection_arrangement"] == 0.5
    (more,) = questioned(Column("Process connection", cells, {"connection_arrangement": 1.0}))
    assert more["connection_arrangement"] == 1.0


@pytest.mark.parametrize(("share", "moved"), [(0.9, False), (0.91, True), (0.95, True)])
def test_types_that_say_level_or_interface_are_the_service(share: float, moved: bool) -> None:
    for score, enough in ((ACCEPTED, True), (0.83, False)):
        (one,) = questioned(Column("Type", words("interface", share), {"instrument_type": score}))
        assert one == ({"service_type": score} if moved and enough else {"instrument_type": score})
    both = {"instrument_type": 0.9, "service_type": 0.95}
    (one,) = questioned(Column("Type", words("interface", share), both))
    assert one == ({"service_type": 0.95} if moved else both)
    (one,) = questioned(Column("Type", ["level"] * 9, {"instrument_type": 0.9}))
    assert one == {"instrument_type": 0.9}


@pytest.mark.parametrize(("cells", "shared"), [("ABCDD", False), ("ABCCC", True), ("AABBC", True)])
def test_a_number_that_two_gauges_share_is_a_type_and_no_serial(cells: str, shared: bool) -> None:
    values = [f"F-{letter}1" for letter in cells]
    left = {"float_part": ACCEPTED, "float_serial": 0.8 * AGAINST if shared else 0.8}
    (one,) = questioned(Column("Float no.", values, {"float_part": ACCEPTED, "float_serial": 0.8}))
    assert one == pytest.approx(left)
    (one,) = questioned(Column("Float no.", values, {"float_part": 0.83, "float_serial": 0.8}))
    assert one == {"float_part": 0.83, "float_serial": 0.8}
    (one,) = questioned(Column("Float serial", values, {"float_part": ACCEPTED, "float_serial": 0.8}))
    assert one == {"float_part": ACCEPTED, "float_serial": 0.8}


@pytest.mark.parametrize(
    ("heading", "score", "cells", "named"),
    [
        ("Tag of place", 0.1, tags(0.72), True),
        ("Tag of place", 0.1, tags(0.76), True),
        ("Tag of place", 0.1, tags(0.69), False),
        ("Tag of place", 0.1, ["LG-101"], False),
        ("Tag of place", 0.1, ["LG-101", "LG-102"], True),
        ("Tag of transmitter", 0.1, tags(), False),
        ("Item", 0.5, tags(0.72), True),
        ("Item", 0.5, tags(0.76), True),
        ("Item", 0.5, tags(0.69), False),
        ("Item", 0.49, tags(), False),
        ("Item", 0.5, tags(start="PT-1"), False),
    ],
)
def test_tags_of_gauges_below_a_word_that_may_mean_them_are_the_tags(
    heading: str, score: float, cells: list[str], named: bool
) -> None:
    (one,) = questioned(Column(heading, cells, {"tag": score}))
    assert one["tag"] == (NAMED if named else score)
    (one,) = questioned(Column(heading, cells, {"tag": 1.0}))
    assert one["tag"] == 1.0


@pytest.mark.parametrize(("share", "named"), [(0.49, False), (0.51, True), (0.54, True)])
def test_half_of_the_tags_are_of_level_instruments(share: float, named: bool) -> None:
    cells = [f"{'LT' if n < 100 * share else 'PT'}-1{n:02d}" for n in range(100)]
    (one,) = questioned(Column("Tag of place", cells, {"tag": 0.1}))
    assert one["tag"] == (NAMED if named else 0.1)


@pytest.mark.parametrize(
    ("share", "strange", "score", "lowered"),
    [
        (1.0, 0.0, 1.0, True),
        (1.0, 0.19, 1.0, True),
        (1.0, 0.2, 1.0, False),
        (1.0, 0.21, 1.0, False),
        (1.0, 0.0, 0.8, True),
        (1.0, 0.0, 0.79, False),
        (0.5, 0.0, 1.0, True),
        (0.54, 0.0, 1.0, True),
        (0.49, 0.0, 1.0, False),
    ],
)
def test_beside_tags_of_gauges_another_column_is_not_that_of_the_tags(
    share: float, strange: float, score: float, lowered: bool
) -> None:
    equipment = Column("Tag", tags(strange, "V"), {"tag": score})
    gauges = Column("Gauge", tags(share), {"tag": 0.4})
    one, other = questioned(equipment, gauges)
    assert one["tag"] == pytest.approx(ALONE * score if lowered else score)
    assert other["tag"] == (NAMED if lowered else 0.4)
    more = Column("Gauge", tags(share), {"tag": 1.002})
    assert questioned(equipment, more)[1]["tag"] == 1.002


def test_tags_of_former_gauges_or_of_a_single_row_say_nothing_of_another_column() -> None:
    equipment = Column("Tag", [f"V-{n}" for n in range(9)], {"tag": 1.0})
    assert questioned(equipment, Column("Former tag", tags(), {"old_tag": 1.0}))[0] == {"tag": 1.0}
    assert questioned(equipment, Column("Gauge", ["LG-101"], {}))[0] == {"tag": 1.0}
    assert questioned(equipment, Column("Gauge", ["LG-101", "LG-102"], {}))[0] == {"tag": ALONE}


@pytest.mark.parametrize(
    ("other", "score", "left"),
    [("Water density", ACCEPTED, 0.9), ("Water density", 0.83, 0.9 * ALONE), ("Density", 1.0, 0.9 * ALONE)],
)
def test_the_density_of_oil_is_that_of_the_upper_fluid_beside_that_of_water(
    other: str, score: float, left: float
) -> None:
    oil = Column("Oil density", [800, 810], {"upper_density": 0.9})
    assert questioned(oil, Column(other, [990, 995], {"fluid_density": score}))[0] == pytest.approx(
        {"upper_density": left}
    )
    upper = Column("Upper oil density", [800, 810], {"upper_density": 0.9})
    assert questioned(upper, Column(other, [990, 995], {"fluid_density": score}))[0] == {"upper_density": 0.9}


@pytest.mark.parametrize(("score", "left"), [(ACCEPTED, 0.9 * ALONE), (0.83, 0.9)])
def test_a_gravity_in_api_is_no_operating_density_beside_one(score: float, left: float) -> None:
    api = Column("API", [35, 40], {"fluid_density": 0.9})
    for name in ("fluid_density", "fluid_density_min", "fluid_density_max"):
        one, _ = questioned(api, Column("Density", [850, 830], {name: score}))
        assert one["fluid_density"] == pytest.approx(left)
    assert questioned(api)[0] == {"fluid_density": 0.9}


@pytest.mark.parametrize(
    ("heading", "points", "shortest", "score", "shares"),
    [
        ("High", [90, 100], 251, ACCEPTED, True),
        ("High", [90, 101], 251, ACCEPTED, False),
        ("High", [90, 105], 251, ACCEPTED, False),
        ("High", [90, 100], 250, ACCEPTED, False),
        ("High", [90, 100], 270, ACCEPTED, True),
        ("High", [90, 100], 251, 0.83, False),
        ("High mm", [90, 100], 251, ACCEPTED, False),
    ],
)
def test_set_points_up_to_a_hundred_beside_long_gauges_may_be_percentages(
    heading: str, points: list[float], shortest: float, score: float, shares: bool
) -> None:
    high = Column(heading, points, {"switch_lsh": 0.9})
    for name, other in (("visible_range", "connection_distance"), ("connection_distance", "visible_range")):
        lengths = Column("Length", [shortest, 900], {name: score, other: 0.4})
        assert questioned(high, lengths)[0] == pytest.approx({"switch_lsh": 0.9 * (ALONE if shares else 1)})


# --- what speaks for one --------------------------------------------------------------------------------


SERIALS = [f"A{n}" for n in range(440, 450)]


@pytest.mark.parametrize(
    ("near", "field"), [("float_part", "float"), ("transmitter_tag", "transmitter"), ("fluid", "float")]
)
def test_serials_that_are_repeated_are_noted_for_the_part_whose_columns_stand_before(
    near: str, field: str
) -> None:
    first = Column("Serial", SERIALS, sure="serial")
    columns = [first, Column("Part", sure=near), Column("Zork"), Column("Label", SERIALS)]
    assert lent(*columns)[3] == {f"{field}_gauge_serial": RELATED}
    assert lent(Column("Label", SERIALS), first, Column("Part", sure=near))[0] == {
        "float_gauge_serial": RELATED
    }


@pytest.mark.parametrize(
    ("score", "rival", "raised"),
    [(0.9, 0.87, True), (0.9, 0.89, False), (ACCEPTED, 0.5, True), (0.83, 0.5, False)],
)
def test_of_two_columns_of_serials_the_one_that_is_repeated_is_the_gauges(
    score: float, rival: float, raised: bool
) -> None:
    one, other = lent(
        Column("Number", SERIALS, {"serial": score}), Column("Label", SERIALS, {"serial": rival})
    )
    assert one["serial"] == (1.1 if raised else score)
    assert other["serial"] == rival


LEVELS, CURRENTS = [0, 250, 500, 750, 1000], [4, 8, 12, 16, 20]


def _loop(*known: str) -> list[Column]:
    ends = {"lrv": [0] * 5, "urv": [1000] * 5}
    return [Column(name.upper(), ends[name], sure=name) for name in known]


def test_a_level_and_its_current_are_told_by_the_range() -> None:
    columns = [Column("Zork", LEVELS), Column("Zeta", CURRENTS)]
    assert lent(*_loop("lrv", "urv"), *columns)[2:] == [
        {"stated_level": RELATED},
        {"stated_current": RELATED},
    ]
    assert lent(*_loop("lrv"), *columns)[1:] == [{}, {}]
    known = [Column("Zork", LEVELS, sure="stated_level"), Column("Zeta", CURRENTS, sure="stated_current")]
    assert lent(*_loop("lrv", "urv"), *known, *columns)[4:] == [{}, {}]


@pytest.mark.parametrize(
    ("heading", "score", "raised"),
    [("Zork", 0.83, True), ("Zork", ACCEPTED, False), ("Former", 0.1, False), ("Price", 0.1, False)],
)
def test_lengths_that_equal_the_visible_range_are_the_connections(
    heading: str, score: float, raised: bool
) -> None:
    lengths = [500, 600, 700, 800]
    for known, wanted in (("visible_range", "connection_distance"), ("connection_distance", "visible_range")):
        columns = [Column("Length", lengths, sure=known), Column(heading, lengths, {"lrv": score})]
        assert (lent(*columns)[1].get(wanted) == SUPPORTED) is raised
        assert lent(*columns, Column("Other", sure=wanted))[1] == {"lrv": score}


PARTS = frozenset(fold(f"QF-{n}") for n in range(10))


@pytest.mark.parametrize(
    ("listed", "named"), [(1, False), (2, True), (4, False), (5, True)], ids=["one", "two", "few", "half"]
)
def test_a_column_half_of_whose_cells_stand_in_the_float_list_names_the_floats(
    listed: int, named: bool
) -> None:
    rows = {1: 1, 2: 2}.get(listed, 10 if listed == 5 else 9)
    cells = [f"QF-{n}" for n in range(listed)] + [f"ZZ-{n}" for n in range(rows - listed)]
    one, other = lent(
        Column("Zork", cells), Column("Float no.", [f"X1{n}" for n in range(rows)], {"float_part": 0.6}),
        parts=PARTS,
    )  # fmt: skip
    assert one == ({"float_part": NAMED} if named else {})
    assert other["float_part"] == (AGAINST if named else 0.6)
    assert other.get("float_serial") == (0.6 if named else None)


@pytest.mark.parametrize(("share", "serial"), [(0.62, True), (0.65, True), (0.59, False)])
def test_another_column_that_may_name_floats_has_serials_where_six_tenths_are_numbers(
    share: float, serial: bool
) -> None:
    named = Column("Zork", [f"QF-{n % 10}" for n in range(100)])
    other = Column("Float no.", words("X12", share), {"float_part": 0.6})
    assert lent(named, other, parts=PARTS)[1].get("float_serial") == (0.6 if serial else None)
    low = Column("Float no.", words("X12", share), {"float_part": AGAINST})
    assert lent(named, low, parts=PARTS)[1] == {"float_part": AGAINST}


@pytest.mark.parametrize(("score", "lends"), [(0.83, True), (ACCEPTED, False)])
def test_a_bare_heading_takes_the_subject_beside_it(score: float, lends: bool) -> None:
    columns = [Column("Float OD", sure="float_diameter"), Column("Weight", [340, 350], {"urv": score})]
    raised = lent(*columns)[1].get("float_mass", 0.0)
    assert (raised >= ACCEPTED) is lends
    assert raised == pytest.approx(0.93, abs=0.02) or not lends
    before = lent(columns[1], columns[0])[0].get("float_mass", 0.0)
    assert before == raised
    assert "float_mass" not in lent(*columns, kind="floats")[1]
    below = Column("Weight", [340, 350], {"urv": score}, above=("Data",))
    assert "float_mass" not in lent(columns[0], below)[1]
    taken = Column("Mass", sure="float_mass")
    assert "float_mass" not in lent(*columns, taken)[1]


def _pressures(sure: str, other: str, score: float, first: Sequence[float], second: Sequence[float]) -> Any:
    columns = [
        Column("Pressure barg", first, sure=sure),
        Column("Pressure barg", second, {other: score}),
    ]
    return lent(*columns)[1][other]


LOW = [5.0] * 10


@pytest.mark.parametrize(("score", "enough"), [(0.65, True), (0.64, False), (0.69, True)])
@pytest.mark.parametrize(("below", "nearly"), [(6, True), (5, False), (10, True)])
def test_a_bare_pressure_below_the_design_pressure_is_the_operating_one(
    score: float, enough: bool, below: int, nearly: bool
) -> None:
    high = [10.0] * below + [1.0] * (10 - below)
    due = SUPPORTED if enough and nearly else score
    assert _pressures("design_pressure", "operating_pressure", score, high, LOW) == due
    assert _pressures("operating_pressure", "design_pressure", score, LOW, high) == due


def test_pressures_that_are_equal_to_the_last_digit_are_not_above() -> None:
    assert _pressures("design_pressure", "operating_pressure", 0.7, LOW, LOW) == SUPPORTED


@pytest.mark.parametrize(("median", "due"), [(11.0, SUPPORTED), (4.0, 0.7)])
def test_columns_of_pressures_with_gaps_are_compared_by_their_medians(median: float, due: float) -> None:
    high = [1.0, median, 20.0]
    assert _pressures("design_pressure", "operating_pressure", 0.7, high, [5.0, 5.0]) == due
    assert _pressures("design_pressure", "operating_pressure", 0.7, high, []) == 0.7


def test_a_temperature_without_a_unit_is_not_compared() -> None:
    columns = [
        Column("Design temp.", [100, 110], sure="design_temperature"),
        Column("Temp.", [50, 60], {"operating_temperature": 0.7}),
    ]
    assert lent(*columns)[1] == {"operating_temperature": 0.7}


@pytest.mark.parametrize(
    ("group", "score", "due"),
    [
        ("Density", 0.45, SUPPORTED),
        ("Density", 0.46, SUPPORTED),
        ("Density", 0.44, 0.44),
        ("Other", 0.5, 0.5),
    ],
)
def test_a_bound_beside_the_normal_value_below_the_same_group_is_its_end(
    group: str, score: float, due: float
) -> None:
    normal = Column("Normal", sure="fluid_density", above=("Density",))
    assert lent(normal, Column("Min.", [800, 810], {"fluid_density_min": score}, above=(group,)))[1] == {
        "fluid_density_min": due
    }


@pytest.mark.parametrize("score", [0.65, 0.7])
def test_a_range_is_the_visible_one_or_the_transmitters_by_what_else_there_is(score: float) -> None:
    def of(cells: Sequence[Any], *sure: str, scores: dict[str, float] | None = None) -> dict[str, float]:
        columns = [Column(name, sure=name) for name in sure]
        return lent(*columns, Column("Range", cells, scores or {"visible_range": score}))[-1]

    numbers = [500, 600]
    assert of(numbers, "lrv")["visible_range"] == SUPPORTED
    assert of(numbers, "visible_range")["transmitter_range"] == SUPPORTED
    assert of(numbers, "visible_range", "lrv")["visible_range"] == score
    assert of(numbers) == {"visible_range": SUPPORTED}
    assert of(numbers, scores={"visible_range": 0.64}) == {"visible_range": 0.64}
    assert of(numbers, "lrv", scores={"transmitter_range": score})["visible_range"] == SUPPORTED
    assert of(["0 to 500", "0 to 600"]) == {"visible_range": score}
    assert of(["0 to 500", "0 to 600"], "connection_distance") == {"visible_range": SUPPORTED}


@pytest.mark.parametrize(("numbers", "due"), [(50, SUPPORTED), (52, SUPPORTED), (49, 0.7)])
def test_half_of_the_cells_of_a_visible_range_are_numbers(numbers: int, due: float) -> None:
    cells = [500 + n for n in range(numbers)] + ["blue"] * (100 - numbers)
    assert lent(Column("Range", cells, {"visible_range": 0.7}))[0] == {"visible_range": due}


@pytest.mark.parametrize(
    ("ours", "theirs", "meant"), [(0.9, 0.95, 0.98), (0.95, 0.9, 0.98), (0.89, 0.95, 0), (0.95, 0.89, 0)]
)
def test_ends_of_a_scale_are_the_transmitters_beside_a_visible_range(
    ours: float, theirs: float, meant: float
) -> None:
    for low, name, other in (("Scale low", "lrv", "visible_low"), ("Scale high", "urv", "visible_high")):
        scores = {name: ours, other: theirs}
        beside = lent(Column("Visible", sure="visible_range"), Column(low, [0, 0], scores))[1]
        assert beside == pytest.approx({**scores, **({name: meant} if meant else {})})
        alone = lent(Column(low, [0, 0], scores))[0]
        assert alone == pytest.approx({**scores, **({other: meant} if meant else {})})


@pytest.mark.parametrize(
    ("score", "beside", "due"),
    [
        (0.7, "design_temperature", SUPPORTED),
        (0.75, "operating_pressure", SUPPORTED),
        (0.69, "design_temperature", 0.69),
        (0.8, "fluid", 0.8),
    ],
)
def test_dp_beside_a_design_temperature_is_the_design_pressure(score: float, beside: str, due: float) -> None:
    columns = [Column("Other", sure=beside), Column("DP", [10, 12], {"design_pressure": score})]
    assert lent(*columns)[1] == {"design_pressure": due}


@pytest.mark.parametrize(("share", "named"), [(0.9, False), (0.91, True), (0.95, True)])
def test_the_one_column_of_gauges_tags_in_a_float_list_names_the_gauges(share: float, named: bool) -> None:
    part = Column("Part", sure="float_part")
    column = Column("Used at", tags(share), {"remarks": 0.7})
    due = {"tag": SUPPORTED} if named else {"remarks": 0.7}
    assert lent(part, column, kind="floats", tagged=False)[1] == due
    assert lent(part, column, column, kind="floats", tagged=False)[1:] == [{"remarks": 0.7}] * 2
    alone = Column("Used at", ["LG-101"], {"remarks": 0.7})
    assert lent(part, alone, kind="floats", tagged=False)[1] == {"remarks": 0.7}


@pytest.mark.parametrize(("share", "named"), [(0.7, False), (0.72, True), (0.76, True)])
def test_a_list_without_tags_has_them_in_the_column_of_gauges_tags(share: float, named: bool) -> None:
    column = Column("Zeta", tags(share), {"remarks": 0.9})
    assert lent(column, tagged=False)[0] == ({"tag": SUPPORTED} if named else {"remarks": 0.9})
    by_parts = [Column("Letters", sure="tag_letters"), Column("Number", sure="tag_number")]
    assert lent(*by_parts, column, tagged=False)[2] == {"remarks": 0.9}
    assert lent(by_parts[1], column, tagged=False)[1] == ({"tag": SUPPORTED} if named else {"remarks": 0.9})


@pytest.mark.parametrize(
    ("heading", "cells", "named"),
    [
        ("Designation", ["QX-1", "QX-2", "QX-3"], True),
        ("Designation", ["QX-1", "QX-2"], False),
        ("Designation", ["QX-1", "QX-2", "QX-2"], False),
        ("Designation", ["QX-1", "QX-2", "QX-3", 5], False),
        (
            "Designation",
            [f"QX-{n}" for n in range(90)] + [f"{'abcdefghij'[n]} blue" for n in range(10)],
            True,
        ),
        (
            "Designation",
            [f"QX-{n}" for n in range(89)] + [f"{'abcdefghijk'[n]} blue" for n in range(11)],
            False,
        ),
        ("Designation", [f"QX-{n}" for n in range(97)] + [f"{'abc'[n]} blue" for n in range(3)], True),
        ("Float designation", ["QX-1", "QX-2", "QX-3"], False),
    ],
)
def test_a_list_without_tags_has_them_where_all_have_the_shape_of_one(
    heading: str, cells: list[Any], named: bool
) -> None:
    assert (lent(Column(heading, cells, {"service": 1.0}), tagged=False)[0].get("tag") == 1.01) is named


def _code(*texts: str, letters: float = 1.0, digits: float = 1.0) -> list[dict[str, float]]:
    cells = {
        "A": [str(n) + "X-" for n in range(100)],
        "L": words("LG", letters, "blue 1"),
        "N": words("101", digits, "blue"),
    }
    columns = (Column(f"{text}{n}", cells[text], above=("Tag",)) for n, text in enumerate(texts))
    return lent(*columns, tagged=False)


def test_the_parts_of_a_code_below_one_heading_are_told_by_their_cells() -> None:
    tagged = {"tag_letters": 1.0}, {"tag_number": 1.0}
    assert _code("A", "L", "N") == [{"tag_area": 1.0}, *tagged]
    assert _code("A", "A", "L", "N") == [{"tag_block": 1.0}, {"tag_area": 1.0}, *tagged]
    assert _code("A", "L", "N", digits=0.91)[1:] == [*tagged]
    for other in (_code("L", "N"), _code("A", "N", "L"), _code("A", "L", "N", digits=0.89)):
        assert {"tag_letters": 1.0} not in other
    assert {"tag_letters": 1.0} not in _code("A", "L", "N", letters=0.89)
    floats = [Column(f"L{n}", ["LG"] * 9, above=("Float",)) for n in range(3)]
    assert lent(*floats) == [{}] * 3


@pytest.mark.parametrize(
    ("share", "score", "due"), [(0.72, 0.31, 1), (0.76, 0.32, 1), (0.7, 0.5, 0), (0.9, 0.3, 0)]
)
@pytest.mark.parametrize("name", ["tag", "tag_number"])
def test_numbers_beside_a_column_of_letters_are_the_loops(
    share: float, score: float, due: int, name: str
) -> None:
    numbers = Column("Tag no.", words("101", share), {name: score})
    letters = Column("Letters", ["LG"] * 100, sure="tag_letters")
    assert (lent(letters, numbers)[1].get("tag_number") == SUPPORTED) is bool(due)
    assert lent(numbers)[0].get("tag_number") != SUPPORTED


@pytest.mark.parametrize(
    ("heading", "unit_row", "field"),
    [
        ("Zeta", "mPa.s", "viscosity"),
        ("Zeta", "cSt", "viscosity"),
        ("Zeta (W/m)", "", "tracer_output"),
        ("Zeta mPa.s", "", "viscosity"),
        ("Zeta", "s", ""),
        ("Zeta", "", ""),
    ],
)
def test_a_unit_that_one_field_alone_has_names_it(heading: str, unit_row: str, field: str) -> None:
    cells = [20, 25]
    assert lent(Column(heading, cells, unit_row=unit_row))[0] == ({field: BY_CELLS} if field else {})
    for score, raised in ((0.64, bool(field)), (0.65, False), (0.7, False)):
        one = lent(Column(heading, cells, {"remarks": score}, unit_row=unit_row))[0]
        assert (one.get(field) == BY_CELLS) is raised
    assert lent(Column(heading, [20], unit_row=unit_row))[0] == {}
    if field:
        taken = Column("Known", sure=field)
        assert lent(taken, Column(heading, cells, unit_row=unit_row))[1] == {}


@pytest.mark.parametrize(("share", "named"), [(0.6, False), (0.62, True), (0.65, True)])
def test_a_column_of_numbers_of_parts_in_a_float_list_names_the_floats(share: float, named: bool) -> None:
    column = Column("Zeta", words("QF-12", share))
    assert lent(column, kind="floats")[0] == ({"float_part": BY_CELLS} if named else {})
    assert lent(Column("Zeta", words("QF-12", 1.0)), kind="gauges")[0] == {}
    assert lent(Column("Part", sure="float_part"), column, kind="floats")[1] == {}


@pytest.mark.parametrize(("share", "named"), [(0.9, False), (0.91, True), (0.95, True)])
def test_a_column_of_levels_and_interfaces_is_the_service(share: float, named: bool) -> None:
    column = Column("Zeta", words("interface", share))
    assert lent(column)[0] == ({"service_type": BY_CELLS} if named else {})
    assert lent(Column("Float zeta", column.cells))[0].get("float_service") == (BY_CELLS if named else None)
    second = lent(Column("Service", sure="service_type"), column)[1]
    assert second == ({"float_service": BY_CELLS} if named else {})
    assert lent(Column("Zeta", words("level", 1.0)))[0] == {}


@pytest.mark.parametrize(
    ("field", "cell", "least"),
    [
        ("fluid", "water", 0.5),
        ("action", "reverse", 0.9),
        ("float_ends", "flat", 0.9),
        ("flange_class", "CL150", 0.8),
    ],
)
def test_cells_that_are_of_one_field_alone_name_it(field: str, cell: str, least: float) -> None:
    for share, named in ((least, True), (least - 0.01, False), (least + 0.04, True)):
        cells = words(cell, share, "zork")
        assert lent(Column("Zeta", cells))[0] == ({field: BY_CELLS} if named else {})
        assert lent(Column("Zeta", cells, {"remarks": 0.59}))[0].get(field) == (BY_CELLS if named else None)
        assert lent(Column("Zeta", cells, {"remarks": 0.6}))[0] == {"remarks": 0.6}
        assert lent(Column("Known", sure=field), Column("Zeta", cells))[1] == {}
        assert field not in lent(Column("Zeta", cells), kind="floats")[0]
