"""How a number stands in the text of a cell."""

from __future__ import annotations

import pytest

from xlfuncs.audit.calculation import evaluate
from xlfuncs.audit.written import find, link
from xlfuncs.units import converter


@pytest.mark.parametrize(
    ("text", "number", "again", "then"),
    [
        ("0,925", 0.925, "0,9", 0.9),
        ("870 kg/m3", 870, "1012.5 kg/m3", 1012.5),
        ("1 013,5", 1013.5, "998,2", 998.2),
        ("1\u00a0013,5", 1013.5, "1\u00a0002,5", 1002.5),
        ("1.013,5 kg/m3", 1013.5, "998,2 kg/m3", 998.2),
        ("1,013.5", 1013.5, "998.2", 998.2),
        ("1'013.5", 1013.5, "998.2", 998.2),
        ("950 - 1010 kg/m3", 1010, "950 - 1020 kg/m3", 1020),
        ("950-1010", 950, "940-1010", 940),
        ("312.4 / 50 / 300", 300, "312.4 / 50 / 280", 280),
        ("0.905 @ 15°C\n0.866 @ OT", 0.866, "0.905 @ 15°C\n0.9 @ OT", 0.9),
        ("−20 °C", -20, "-5 °C", -5),
        ("1.500", 1500, "2.500", 2500),
        ("1,500", 1500, "2,500", 2500),
        ("1.500", 1.5, "2.500", 2.5),
        ("1,500", 1.5, "2,500", 2.5),
    ],
)
def test_a_number_is_found_again_where_it_stood(text: str, number: float, again: str, then: float) -> None:
    written = find(text, number, lambda x: x)
    assert written is not None
    assert written.number(text) == number
    assert written.number(again) == then


@pytest.mark.parametrize("text", ["900 g/l", "kg/m3", "", "900", "9.0.0 kg/m3", "0,9 kg/m3"])
def test_what_is_written_otherwise_is_no_number(text: str) -> None:
    written = find("870 kg/m3", 870, lambda x: x)
    assert written is not None and written.number(text) is None


@pytest.mark.parametrize(("text", "number"), [("4 1/2 in", 4.5), ("4'-4\"", 52), ("DN50", 50), ("ditto", 50)])
def test_what_native_functions_do_not_read_is_not_found(text: str, number: float) -> None:
    assert find(text, number, lambda x: x) is None


def test_the_decimal_mark_of_a_whole_number_is_that_of_its_column() -> None:
    written = find("870 kg/m3", 870, lambda x: x, ["0,925", 12, None])
    assert written is not None and written.decimal == ","


@pytest.mark.parametrize(
    ("unit", "quantity", "number"),
    [("degAPI", "density", 35.0), ("bara", "pressure_gauge", 9.0), ("degF", "temperature", 250.0)],
)
def test_a_link_gives_what_the_converter_gives(unit: str, quantity: str, number: float) -> None:
    known = converter(unit, quantity)
    assert evaluate(link(known), {"x": number}) == pytest.approx(known.to_si(number), rel=1e-12)


def test_seconds_of_a_viscometer_have_no_link() -> None:
    assert link(converter("SUS", "kinematic_viscosity")) == ""
