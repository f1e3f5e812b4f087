"""Tags and serials that a list's own pattern tells: where it tells one, and where it tells none."""

from __future__ import annotations

import numpy as np
import pytest

from tests.remedy_rows import Row, columns, mended, remedies, values
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.remedy import Remedy


def listed(tags: list[str | None], services: list[str | None] | None = None) -> Gauges:
    """Gauges of some tags, each with what its service says."""
    rows: list[Row] = [{"tag": tag, "service": "Tank"} for tag in tags]
    for row, service in zip(rows, services or (), strict=False):
        row["service"] = service
    return gauges_of(columns(rows))


def tag_of(remedy: Remedy | None) -> str:
    """The tag that is proposed; "" for none."""
    if remedy is None:
        return ""
    (option,) = remedy.options
    return str(option.value)


def missing(tags: list[str | None], services: list[str | None] | None = None) -> str:
    """What is proposed for the one row without a tag."""
    (found,) = remedies("tag-missing", listed(tags, services))
    return tag_of(found)


@pytest.mark.parametrize(
    ("tags", "right"),
    [
        (["LG-10", None, "LG-12"], "LG-11"),
        (["LG-009", None, "LG-011"], "LG-010"),  # as many digits as theirs
        (["LG-10", None, "LG-13"], ""),  # two numbers are left out
        (["LG-12", None, "LG-10"], ""),  # falling
        (["LG-10", None, "LT-12"], ""),  # of two kinds
        (["LG-98", None, "LG-100"], ""),  # of two lengths
        ([None, "LG-10", "LG-12"], ""),  # nothing before it
        (["LG-10", "LG-12", None], ""),  # nothing behind it
        (["LG-10", None, "LG-12", "lg - 11"], ""),  # the number is used
    ],
)
def test_the_rows_beside_a_row_tell_its_tag_where_they_leave_one_number_out(
    tags: list[str | None], right: str
) -> None:
    assert missing(tags) == right


def test_rows_of_another_sheet_tell_no_tag() -> None:
    for sheets, right in ((["A", "A", "A"], "LG-11"), (["A", "A", "B"], ""), (["B", "A", "A"], "")):
        gauges = listed(["LG-10", None, "LG-12"])
        gauges.sheet = np.array(sheets, dtype=object)
        (found,) = remedies("tag-missing", gauges)
        assert tag_of(found) == right


def numbered(numbers: list[int], stem: str = "LG-") -> list[str | None]:
    return [f"{stem}{number}" for number in numbers]


def test_a_row_on_another_sheet_is_not_beside_and_the_service_still_tells() -> None:
    """The row before is the last of another sheet, with other tags."""
    tags = ["XT-7", None, *numbered([302, 303, 304])]
    services: list[str | None] = ["Pump", "Tank V-301", "Tank V-302", "Tank V-303", "Tank V-304"]
    gauges = listed(tags, services)
    assert tag_of(remedies("tag-missing", gauges)[0]) == "LG-301"
    gauges = listed(["LT-401", *tags[1:]], services)
    assert remedies("tag-missing", gauges) != [None]  # most tags of the list have LG
    gauges = listed(["LT-401", None, "LG-302"], ["Pump", "Tank V-301", "Tank V-302"])
    assert remedies("tag-missing", gauges) == [None]  # too few to tell which of the two
    gauges.sheet = np.array(["A", "B", "B"], dtype=object)
    assert remedies("tag-missing", gauges) == [None]


def test_of_two_kinds_beside_a_row_that_of_most_tags_counts() -> None:
    tags: list[str | None] = ["LT-401", None, *numbered([302, 303, 304])]
    services: list[str | None] = ["Pump", "V-301", "V-302", "V-303", "V-304"]
    assert missing(tags, services) == "LG-301"
    assert missing([*tags[:3], "LG-303", "LI-9"], [*services[:3], "V-303", None]) == ""  # two of LG


@pytest.mark.parametrize(
    ("follow", "odd", "right"),
    [
        (3, 0, "LG-301"),
        (2, 0, ""),  # too few
        (9, 1, "LG-301"),
        (8, 2, ""),  # nine in ten have to follow
    ],
)
def test_a_column_that_ends_with_the_tags_number_tells_it(follow: int, odd: int, right: str) -> None:
    numbers = [302 + at for at in range(follow + odd)]
    ends = [number if at < follow else 900 + at for at, number in enumerate(numbers)]
    services: list[str | None] = ["V-301", *[f"V-{end}" for end in ends]]
    assert missing([None, *numbered(numbers)], services) == right


def test_its_own_number_is_as_long_as_those_of_the_tags() -> None:
    tags = [None, *numbered([302, 303, 304])]
    assert missing(tags, ["V-1301", "V-1302", "V-1303", "V-1304"]) == "LG-301"
    assert missing(tags, ["V-01", "V-302", "V-303", "V-304"]) == ""
    # rows whose tags are of another length tell nothing
    tags = [None, "LG-302", *numbered([1303, 1304, 1305])]
    assert missing(tags, ["V-301", "V-302", "V-1303", "V-1304", "V-1305"]) == ""


def test_two_columns_that_tell_different_tags_tell_none() -> None:
    rows: list[Row] = [
        {"tag": None if at == 1 else f"LG-{300 + at}", "service": f"V-{300 + at}", "serial": f"Q{300 + at}"}
        for at in range(1, 6)
    ]
    (found,) = remedies("tag-missing", gauges_of(columns(rows)))
    assert tag_of(found) == "LG-301"
    rows[0]["serial"] = "Q317"
    assert remedies("tag-missing", gauges_of(columns(rows))) == [None]


def test_a_tag_that_another_column_tells_must_be_free() -> None:
    tags: list[str | None] = [None, *numbered([302, 303, 304])]
    services: list[str | None] = ["V-303", "V-302", "V-303", "V-304"]
    assert missing(tags, services) == ""


@pytest.mark.parametrize(("at", "right"), [(500, "LG-1000"), (501, "")])
@pytest.mark.parametrize("behind", [True, False])
def test_rows_within_five_hundred_tell_the_pattern(at: int, right: str, behind: bool) -> None:
    """Two rows beside the one without a tag follow the pattern; the third that is needed stands far off."""
    tags: list[str | None] = [None, "LG-1001", "LG-1002", *["XQ"] * (at - 3), "LG-1777", *["XQ"] * 60]
    services: list[str | None] = ["V-1000", "V-1001", "V-1002", *["Tank"] * (at - 3), "V-1777"]
    services += ["Tank"] * 60
    if not behind:
        tags, services = tags[::-1], services[::-1]
    assert missing(tags, services) == right


@pytest.mark.parametrize(
    ("usual", "others", "right"),
    [
        (11, 9, "LG-999"),  # 55 in a hundred
        (10, 10, ""),
        (3, 2, "LG-999"),
        (2, 1, ""),  # two make no pattern
    ],
)
def test_the_letters_of_most_tags_are_proposed(usual: int, others: int, right: str) -> None:
    tags: list[str | None] = ["XQ-999", *numbered(list(range(100, 100 + usual)))]
    tags += [f"LI-{200 + at}" for at in range(others - 1)]
    (found,) = remedies("tag-malformed", listed(tags))
    assert tag_of(found) == right


def test_a_tag_of_two_words_is_not_guessed() -> None:
    tags = ["XQ-999-B", *numbered([101, 102, 103])]
    assert remedies("tag-malformed", listed(tags)) == [None]
    tags = ["XQ-101", *numbered([101, 102, 103])]  # that number is used
    assert remedies("tag-malformed", listed(tags)) == [None]


def doubled(serials: list[str | None], floats: list[str | None]) -> Gauges:
    """Gauges with their serials and those of their floats, of which two are alike."""
    rows: list[Row] = [
        {"tag": f"LG-{301 + at}", "serial": own, "float_serial": other}
        for at, (own, other) in enumerate(zip(serials, floats, strict=True))
    ]
    return gauges_of(columns(rows))


GAUGES: list[str | None] = ["Q-50", "Q-57", "Q-61", "Q-75", "Q-80", "Q-82"]


@pytest.mark.parametrize(
    ("serials", "floats", "right"),
    [
        # they count on with the gauges' serials: the second has its own, 157
        (GAUGES, ["F-150", "F-150", "F-161", "F-175", "F-180", "F-182"], "F-157"),
        # the first of the two is the wrong one
        (GAUGES, ["F-157", "F-157", "F-161", "F-175", "F-180", "F-182"], "F-150"),
        # with the rows
        ([None] * 6, ["F-098", "F-098", "F-100", "F-101", "F-102", None], "F-099"),
        # one of the others does not count on
        ([None] * 6, ["F-098", "F-098", "F-100", "F-101", "F-109", None], ""),
        # two others are too few
        ([None] * 6, ["F-098", "F-098", "F-100", "F-101", None, None], ""),
        ([None] * 6, ["F-098", "F-098", "F-100", "F-101", "F-102", "spare"], "F-099"),
    ],
)
def test_a_serial_that_two_rows_have_is_told_by_how_the_others_count_on(
    serials: list[str | None], floats: list[str | None], right: str
) -> None:
    (found,) = remedies("serial-reused", doubled(serials, floats))
    assert found is not None
    assert [list(one.values()) for one in values(found)] == ([[right]] if right else [])


def test_a_serial_that_a_third_float_has_is_not_proposed() -> None:
    floats: list[str | None] = ["F-150", "F-150", "F-161", "F-175", "F-180", "X-157"]
    remedy = mended("serial-reused", doubled([*GAUGES[:5], None], floats))
    assert remedy.options == ()


def test_whose_serial_is_noted_is_told() -> None:
    """A float is marked for gauge QX-2, which is the serial of another row."""
    rows: list[Row] = [
        {"tag": "LG-1", "serial": "QX-1", "float_gauge_serial": "QX-2"},
        {"tag": "LG-2", "serial": "QX-2", "float_gauge_serial": "QX-2"},
        {"tag": "LG-3", "serial": "QX-3", "float_gauge_serial": "QX-8"},
    ]
    other, none = remedies("serial-mismatch", gauges_of(columns(rows)))
    assert other is not None and none is not None
    assert "serial of LG-2;" in other.text and "LG-1" not in other.text and "LG-3" not in other.text
    assert none.text.startswith("No gauge here has serial QX-8")
    assert [values(one)[0]["float_gauge_serial"] for one in (other, none)] == ["QX-1", "QX-3"]
