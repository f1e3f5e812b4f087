"""A proposed float that is slim for its bore, or a wider bore, is told with the radial gap that it leaves."""

from __future__ import annotations

import re
from math import pi
from typing import Any

import pytest

from tests.remedy_rows import Row, gauges_from, mended

LIGHT: Row = {"fluid_density": "900 kg/m3", "fluid": "Blend 7"}
"""In it the float of 50 mm in a bore of 60 mm reads wrong: its radial gap is 5 mm."""


def part(across: float, unit: str = "mm") -> Row:
    """A float of the list that reads true in it."""
    mm = across * (25.4 if unit == "in" else 1.0)
    return {
        "float_part": f"ZF-{across:g}",
        "float_mass": f"{900 * pi / 4 * (mm / 1e3) ** 2 * 180:.1f} g",
        "float_diameter": f"{across:g} {unit}",
        "float_length": "250 mm",
        "float_ends": "flat",
        "magnet_height": "180 mm",
        "float_max_pressure": "60 barg",
        "float_max_temperature": "300 degC",
        "magnet_max_temperature": "300 degC",
    }


def told(*parts: Row, **changed: Any) -> str:
    """What the remedy says of gaps."""
    text = mended("offset-exceeds-tolerance", gauges_from(LIGHT | changed, floats=[*parts])).text
    assert "this fits" in text or "these fit" in text
    found = re.search(r"The radial gap .*? still respond\.", text)
    return found[0] if found else ""


@pytest.mark.parametrize(("across", "marked"), [(50, False), (44, False), (43.9, True), (40, True)])
def test_a_gap_is_told_where_it_is_three_millimetres_wider_than_now(across: float, marked: bool) -> None:
    assert bool(told(part(across))) is marked


def test_the_magnet_stands_as_much_farther_off_as_the_gap_is_wider() -> None:
    assert told(part(40)) == (
        "The radial gap is 10.0 mm with ZF-40, 5.0 mm now: the magnet then stands up to 5.0 mm farther from"
        " indicator and switches; the maker of the indicator has to confirm that they still respond."
    )
    assert told(part(50), part(43), part(40)).startswith(
        "The radial gap is 8.5 mm with ZF-43, 10.0 mm with ZF-40, 5.0 mm now: the magnet then stands up to"
    )


def test_of_a_book_in_inches_the_gap_is_in_inches() -> None:
    inches = {"chamber_bore": "2.4 in", "float_diameter": "2 in"}
    lengths = ("connection_distance", "visible_range", "float_length", "magnet_height", "chamber_diameter")
    inches |= dict(zip(lengths, ("40 in", "40 in", "9.84 in", "7.13 in", "2.6 in"), strict=True))
    assert told(part(1.5, "in"), **inches).startswith(
        "The radial gap is 0.45 in with ZF-1.5, 0.20 in now: the magnet then stands up to 0.25 in farther"
    )


@pytest.mark.parametrize("unknown", ["chamber_bore", "float_diameter"])
def test_without_the_present_gap_nothing_is_told(unknown: str) -> None:
    slug = "offset-exceeds-tolerance" if unknown == "chamber_bore" else "float-not-in-list"
    row = LIGHT | {unknown: None} | ({} if unknown == "chamber_bore" else {"float_part": "ZF-9"})
    text = mended(slug, gauges_from(row, floats=[part(40)])).text
    assert "ZF-40" in text and "radial gap" not in text


def test_a_wider_bore_for_the_same_float_is_told_too() -> None:
    thick = mended("float-lags", gauges_from({"viscosity": "400 mPa.s", "fluid": "Blend 7"})).text
    assert "The radial gap is 10.0 mm with that bore of 70 mm, 5.0 mm now" in thick
    thinner = mended("float-lags", gauges_from({"viscosity": "100 mPa.s", "fluid": "Blend 7"})).text
    assert "a chamber bore of 62 mm" in thinner and "radial gap" not in thinner
