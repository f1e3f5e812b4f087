"""How finely a list states its floats, how wide a manual page is, and how many gauges are drawn."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from xlfuncs.audit.explain import page
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.profiles import profiles
from xlfuncs.audit.registry import Rule, rules
from xlfuncs.audit.rounding import FIELDS, digit, half_digits


def half(name: str, *cells: Any) -> tuple[list[float], list[str]]:
    """Half the last digit of each cell [mm or g], and how it is said."""
    gauges = gauges_of({FIELDS[name]: list(cells)})
    halves, said = half_digits(gauges, name)
    return [round(float(one) * 1e3, 9) for one in halves], said.tolist()


@pytest.mark.parametrize(
    ("name", "cells", "halves", "words"),
    [
        ("diameter", ("50.0 mm",), [0.05], "half the last digit of 'gauges', 0.1 mm"),
        ("diameter", ("50.01 mm", "50 mm"), [0.005] * 2, "half the last digit of 'gauges', 0.01 mm"),
        ("diameter", (50.0, 50.25), [0.005] * 2, "half the last digit of 'gauges', 0.01 mm"),
        (
            "diameter",
            ("50 mm",),
            [0.05],
            "'gauges' shows no finer than 1 mm, a nominal size: the usual 0.05 mm",
        ),
        ("diameter", ("1.968 in", "50.0 mm"), [0.0127, 0.05], "half the last digit of 'gauges', 0.001 in"),
        ("diameter", ("2 3/8 in",), [0.05], "'gauges' shows no finer than 0.125 in, a nominal size"),
        ("diameter", ("50.12345 mm",), [5e-6], "half the last digit of 'gauges', 1e-05 mm"),
        ("diameter", ("50.123456 mm",), [0.05], "the usual 0.05 mm (common practice, no source)"),
        ("diameter", (None,), [0.05], "the usual 0.05 mm (common practice, no source)"),
        ("mass", ("350 g",), [0.5], "half the last digit of 'gauges', 1 g"),
        ("mass", ("350.5 g", "360 g"), [0.05] * 2, "half the last digit of 'gauges', 0.1 g"),
        (
            "mass",
            ("0.35 kg",),
            [0.5],
            "'gauges' shows no finer than 0.01 kg, a nominal size: the usual 0.5 g",
        ),
        ("mass", ("12.3 oz",), [1.417476156], "half the last digit of 'gauges', 0.1 oz"),
        ("mass", ("12.35 oz", "11 oz"), [0.141747616] * 2, "half the last digit of 'gauges', 0.01 oz"),
        ("mass", ("0.77 lb",), [2.26796185], "half the last digit of 'gauges', 0.01 lb"),
        (
            "mass",
            ("12 oz",),
            [1.417476156],
            "'gauges' shows no finer than 1 oz, a nominal size: the usual 0.05 oz (common practice",
        ),
        (
            "mass",
            ("0.7 lb", "350 g"),
            [2.26796185, 0.5],
            "'gauges' shows no finer than 0.1 lb, a nominal size: the usual 0.005 lb (common practice",
        ),
    ],
)
def test_half_the_last_digit_is_that_of_the_column_and_no_more_than_is_usual(
    name: str, cells: tuple[Any, ...], halves: list[float], words: str
) -> None:
    found, said = half(name, *cells)
    assert found == halves
    assert said[0].startswith(words)


@pytest.mark.parametrize(
    ("numbers", "last"),
    [
        ([528.2, 530.0], 0.1),
        ([60.0, 76.0], 1.0),
        ([2.375, 1 / 3], 0.001),
        ([2.12345], 1e-5),
        ([2.123456], np.nan),
        ([1 / 3], np.nan),
        ([], np.nan),
    ],
)
def test_numbers_show_their_last_digit_up_to_five_decimals(numbers: list[float], last: float) -> None:
    assert digit(np.array(numbers)) == pytest.approx(last, nan_ok=True)


# --- pages and drawings ---------------------------------------------------------------------------------


@pytest.mark.parametrize("item", rules().values(), ids=lambda item: item.slug)
def test_a_manual_page_is_no_wider_than_its_lines(item: Rule) -> None:
    lines = page(item).splitlines()
    assert max(map(len, lines)) <= 92


def test_two_thousand_gauges_are_drawn_and_no_more() -> None:
    gauges = gauges_of({"tag": [f"LG-{i}" for i in range(2005)]})
    assert len(profiles(gauges, gauges.settings, range(2000))) == 2000
    assert [one["tag"] for one in profiles(gauges, gauges.settings, range(2005))][-1] == "LG-1999"
    assert profiles(gauges, gauges.settings, ()) == []
