"""The verdict on a float, in words, and what a result hangs on where vapour and ends are left out."""

from __future__ import annotations

import math
import random
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.rows import save
from xlfuncs import Settings, audit
from xlfuncs.worksheet import call, catalogue
from xlfuncs.worksheet.assumed import FROM, STEAM, changes, sentences
from xlfuncs.worksheet.check import HEAVY, LEAST_RESERVE
from xlfuncs.worksheet.help import help_text

FLAT = (280, 50, 200)
"""Floats 167.77 mm deep in 850 kg/m3: 0.28 kg / (850 kg/m3 x 19.635 cm2)."""
DEPTH = 1e3 * 0.28 / (850 * math.pi * 0.025**2)


def verdict(*cells: Any) -> str:
    found = call("LG_CHECK_FLOAT", *cells)
    assert isinstance(found, str), found
    return found


def flat(magnet_height: Any = 160, *more: Any) -> str:
    """With everything stated that concerns the reading: no vapour, flat ends, 10 mm."""
    return verdict(*FLAT, magnet_height, 850, 0, 10, "flat", *more)


@pytest.mark.parametrize(
    ("magnet_height", "expected"),
    [
        (160, "fits"),
        (DEPTH - 9, "fits"),
        (DEPTH - 10, "may read 10.8 mm low (offset -10.0, uncertainty -0.8)"),
        (DEPTH - 10.06, "reads 10.1 mm low"),
        (DEPTH + 9, "fits"),
        (DEPTH + 10, "may read 10.8 mm high (offset +10.0, uncertainty +0.8)"),
        (DEPTH + 10.06, "reads 10.1 mm high"),
        (DEPTH + 17, "reads 17 mm high"),
        (None, "not checked: magnet height missing"),
    ],
)
def test_the_reading_is_held_against_the_tolerance(magnet_height: Any, expected: str) -> None:
    assert flat(magnet_height) == expected


def test_what_comes_on_top_of_the_offset_counts_where_it_is_stated() -> None:
    moving = flat(DEPTH, *[None] * 4, 200, 60)
    assert moving == "is drawn under by a level that moves 10 mm/s"
    moving = flat(DEPTH + 8, *[None] * 4, 25, 60)
    assert moving.startswith("may read ")
    assert "movement +" in moving
    assert flat(DEPTH, *[None] * 4, 200, 60, 1) == "fits"  # 1 mm/s
    assert flat(DEPTH, *[None] * 4, None, 49) == "50 mm wide, the bore is 49 mm"
    assert flat(DEPTH, *[None] * 4, 200) == flat(DEPTH, *[None] * 4, None, 60) == "fits"


def test_a_verdict_is_the_audits_for_the_same_row(tmp_path: Path) -> None:
    chance = random.Random(5)
    heads: tuple[str, ...] = (
        "Tag",
        "Float mass g",
        "Float diameter mm",
        "Float length mm",
        "Magnet height mm",
        "Float ends",
    )
    heads += ("Density kg/m3", "Vapour density kg/m3", "Viscosity mPa.s", "Chamber bore mm")
    rows: list[tuple[Any, ...]] = [heads]
    for n in range(60):
        mass, density = chance.uniform(260, 380), chance.uniform(700, 1000)
        plane = min(195.0, max(5.0, mass / density * 1e6 / (math.pi * 625) + chance.uniform(-13, 13)))
        thick = chance.choice([2, 30, 60, 80])
        rows.append((f"LG-{n + 101}", mass, 50, 200, plane, "flat", density, 5, thick, 60))
    book = save(tmp_path / "index.xlsx", Index=rows)
    findings = audit(book).findings
    found = {
        (f.tag, f.rule) for f in findings
    }  # rows that could have each other's float are reported as such
    # rows that could have each other's float are reported as such
    found |= {(f.tag, rule) for f in findings if f.rule == "floats-exchanged" for rule in f.also}
    words = {
        "float-sinks": "sinks",
        "offset-exceeds-tolerance": "reads",
        "worst-reading-exceeds-tolerance": "may read",
        "float-lags": "a level that moves",  # behind it, or drawn under by it
        "float-barely-floats": "barely floats",
    }
    seen = set()
    for tag, *body, density, vapour, thick, bore in rows[1:]:
        *sizes, ends = body
        said = verdict(*sizes, density, vapour, 10, ends, *[None] * 4, thick, bore)
        for rule, word in words.items():
            if rule not in ("worst-reading-exceeds-tolerance", "float-lags") or "reads" not in said:
                assert ((tag, rule) in found) == (word in said), (tag, rule, said)
        seen |= {word for word in (*words.values(), "fits") if word in said}
    assert seen == {*words.values(), "fits"}


def test_the_thresholds_are_the_audits() -> None:
    usual = Settings()
    assert usual.float_reserve_minimum == LEAST_RESERVE
    arguments = {a.name: a.default for a in catalogue()["LG_CHECK_FLOAT"].arguments}
    assert arguments["tolerance"] == usual.offset_tolerance_mm
    assert arguments["level_rate"] == usual.level_rate_mm_s


def test_a_float_that_cannot_ride_says_so_before_anything_else() -> None:
    assert verdict(400, 50, 200, None, 850, 0, 10, "flat") == (
        "sinks: its mean density of 1019 kg/m3 is not below 850 kg/m3"
    )
    assert verdict(400, 50, 200, 150, 850).startswith("sinks: its mean density of at least 1019 kg/m3")
    assert verdict(*FLAT, 150, 1000, "720 kg/m3", 10, "flat") == (
        "hangs free in the upper fluid: its mean density of 713 kg/m3 is not above 720 kg/m3"
    )
    # on both sides of the mean density, 0.28 kg / 392.7 cm3
    mean = 0.28 / (math.pi * 0.025**2 * 0.2)
    assert verdict(*FLAT, 198, mean * 0.9999, 0, 10, "flat").startswith("sinks")
    assert verdict(*FLAT, 198, mean * 1.0001, 0, 10, "flat").startswith("fits, but barely floats: 0 %")


@pytest.mark.parametrize(("share", "barely"), [(0.0999, True), (0.1001, False)])
def test_a_float_that_barely_floats_is_named(share: float, barely: bool) -> None:
    mass = 1e3 * (1 - share) * 850 * math.pi * 0.025**2 * 0.2
    found = verdict(mass, 50, 200, 200 * (1 - share), 850, 0, 10, "flat")
    assert found == ("fits, but barely floats: 10 % above the surface" if barely else "fits")


@pytest.mark.parametrize(
    ("limits", "expected"),
    [
        ((20, 20), "fits"),
        ((19.9, 20), "bears 19.9 barg, the design pressure is 20 barg"),
        ((None, 20), "fits; not checked: maximum pressure missing"),
        ((20,), "fits"),
        ((None, None, 80, 80), "fits"),
        ((None, None, 80, 80.5), "bears 80 degC, the design temperature is 80.5 degC"),
        ((None, None, None, 80), "fits; not checked: maximum temperature missing"),
        (
            (6, 20, 80, 120),
            "bears 6 barg, the design pressure is 20 barg; bears 80 degC, the design temperature is 120 degC",
        ),
        (("21 bara", "20 barg"), "bears 19.99 barg, the design pressure is 20 barg"),
    ],
)
def test_limits_are_compared_where_the_design_is_stated(limits: tuple[Any, ...], expected: str) -> None:
    assert flat(160, *limits) == expected


def test_what_is_missing_is_named_and_what_is_known_is_still_said() -> None:
    assert verdict() == "not checked: mass, diameter, length, lower density, magnet height missing"
    assert verdict(None, 50, 200, 160, 850, 0, 10, "flat", 6, 20) == (
        "not checked: mass missing; bears 6 barg, the design pressure is 20 barg"
    )


def test_a_verdict_that_hangs_on_the_ends_is_not_given() -> None:
    assert verdict(*FLAT, 160, 850, 0) == (
        "not checked: ends missing; fits with flat ends; reads 16.1 mm low with hemispherical ends"
    )


def test_a_verdict_that_hangs_on_the_vapour_is_not_given() -> None:
    found = verdict(*FLAT, DEPTH - 10.5, 850, None, 10, "flat")
    assert found == (
        "not checked: upper density missing; reads 10.5 mm low with no vapour; fits with a vapour of 55 kg/m3"
    )


def test_a_verdict_that_stands_says_by_how_much_what_is_left_out_changes_it() -> None:
    body = (*FLAT, 150)
    without = call("LG_READING_OFFSET", *body, 850)
    shapes = [
        call("LG_READING_OFFSET", *body, 850, 0, ends) - without for ends in ("hemispherical", "elliptical")
    ]
    vapour = call("LG_READING_OFFSET", *body, 850, HEAVY) - without
    found = verdict(*body, 850)
    assert found == (
        f"reads {-without:.1f} mm low; ends not stated: up to {min(shapes):+.1f} mm;"
        f" upper density not stated: up to {vapour:+.1f} mm (at 55 kg/m3)"
    )


def test_the_design_pressure_bounds_the_vapour() -> None:
    # an ideal gas of 100 g/mol at 0 degC: 5 barg 26.5 kg/m3, a change of 1 mm; 1 barg 8.9 kg/m3, less
    assert "(at 26.5 kg/m3)" in verdict(*FLAT, 160, 850, None, 10, "flat", 10, 5)
    assert verdict(*FLAT, 160, 850, None, 10, "flat", 10, 1) == "fits"


def test_a_shape_that_the_float_is_too_short_for_is_no_possibility() -> None:
    # 30 mm long and 50 mm wide: hemispherical ends would be 50 mm
    found = verdict(40, 50, 30, 24, 1000, 0)
    assert "hemispherical" not in found
    assert not found.startswith("not checked: ends")


def test_a_column_gives_a_verdict_for_each_row() -> None:
    masses = [[280], [None], ["x"], [400]]
    found = call("LG_CHECK_FLOAT", masses, 50, 200, 160, 850, 0, 10, [["flat"], ["flat"], ["flat"], [None]])
    assert found[0, 0] == "fits"
    assert found[1, 0] == "not checked: mass missing"
    assert found[2, 0].error == "#VALUE!"
    assert found[3, 0].startswith("sinks")
    blank_ends = call("LG_CHECK_FLOAT", 280, 50, 200, 160, 850, 0, 10, [["flat"], [None]])
    assert blank_ends[0, 0] == "fits"
    assert blank_ends[1, 0].startswith("not checked: ends missing")


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ((*FLAT, 260, 850), "magnet_height is above the float's bottom and must not exceed the length"),
        ((*FLAT, 160, 850, 900), "upper_density must be below lower_density"),
        ((0, 50, 200, 160, 850), "mass must be above 0"),
        ((*FLAT, 160, 0.85), 'write "0.85 SG"'),
        ((*FLAT, 160, 850, 0, 10, "flat/round"), "not one of"),
    ],
)
def test_what_cannot_be_used_is_refused(cells: tuple[Any, ...], words: str) -> None:
    found = call("LG_CHECK_FLOAT", *cells)
    assert found.error == "#VALUE!"
    assert words in found.reason
    column = call("LG_CHECK_FLOAT", [[cells[0]], [280]], *([[cell], [cell]] for cell in cells[1:]))
    assert column[0, 0] == found


# --- left out ---------------------------------------------------------------------------------------------


def lengths(name: str, cells: list[Any]) -> list[float]:
    """The lengths in a result, in mm; none where it refuses."""
    result = call(name, *cells)
    if isinstance(result, list) and isinstance(result[0], list):
        at = [i for i, heading in enumerate(result[0]) if str(heading).endswith(", mm")]
        return [row[i] for row in result[1:] for i in at if isinstance(row[i], float)]
    cells = result if isinstance(result, list) else [result]
    return cells if all(isinstance(cell, float) for cell in cells) else []


@pytest.mark.parametrize("name", catalogue())
def test_the_help_says_by_how_much_vapour_or_ends_left_out_can_change_a_length(name: str) -> None:
    function = catalogue()[name]
    names = [a.name for a in function.arguments if not a.required]
    said = {argument: (value, change) for argument, value, change in changes(function)}
    if function.result.quantity != "length" and function.result.shape != "table":
        assert not said
        return
    for argument, values in (
        ("upper_density", [STEAM]),
        ("vapour_density", [STEAM]),
        ("ends", ["hemispherical", "elliptical"]),
    ):
        if argument not in names:
            assert argument not in said
            continue
        cells = [*function.example.arguments, *([None] * len(function.arguments))][: len(function.arguments)]
        at = [a.name for a in function.arguments].index(argument)
        cells[at] = None
        left_out = lengths(name, cells)
        for value in values:
            cells[at] = value
            stated = lengths(name, cells)
            if left_out and len(stated) == len(left_out):
                break
        largest = max((b - a for a, b in zip(left_out, stated, strict=True)), key=abs, default=0.0)
        if abs(largest) > FROM:
            given, gain = said[argument]
            assert given == value and gain == pytest.approx(largest)
        else:
            assert argument not in said
    text = " ".join(help_text(function).split())
    for sentence in sentences(function):
        assert sentence in text


def test_the_usual_functions_speak_of_both() -> None:
    for name in ("LG_IMMERSION", "LG_RIDE_HEIGHT", "LG_READING_OFFSET", "LG_MAGNET_HEIGHT"):
        assert {argument for argument, _, _ in changes(catalogue()[name])} == {"upper_density", "ends"}
    assert np.isclose(HEAVY, call("LG_VAPOUR_DENSITY", "steam", None, "100 bara"), rtol=0.02)
