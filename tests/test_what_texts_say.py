"""The values that a text about a part gives, piece by piece: names, sizes, bounds and words."""

from __future__ import annotations

import pytest

from xlfuncs.lists.spoken import act_of, said_in


def said(text: str, part: str = "") -> list[tuple[str, str]]:
    """(what is read for the name, value) of each piece."""
    return [(one.key or one.name, one.value) for one in said_in(text, part)]


OD = "float outside diameter"


@pytest.mark.parametrize(("text", "heard"), [("Ø 50", True), ("Ø 5", False), ("Ø50", False)])
def test_a_text_of_less_than_four_characters_says_nothing(text: str, heard: bool) -> None:
    assert said(text, "float") == ([(OD, text.split()[-1])] if heard else [])


@pytest.mark.parametrize(("length", "heard"), [(600, True), (601, False), (660, False), (12, True)])
def test_a_text_of_more_than_600_characters_is_no_description(length: int, heard: bool) -> None:
    text = "mass 300 g; ".ljust(length, "x")
    assert (("mass", "300 g") in said(text, "float")) is heard


@pytest.mark.parametrize(
    ("text", "part", "due"),
    [
        ("OD 50 x 270 mm", "float", [(OD, "50 mm"), ("float length", "270 mm")]),
        ("50 x 270", "float", [(OD, "50 mm"), ("float length", "270 mm")]),
        ("50 x 270 mm", "chamber", []),
        ("955 kg/m3 sűrűséghez", "float", [("float design density", "955 kg/m3")]),
        ("955 kg/m3 sűrűséghez", "chamber", []),
        ("Ø 50 mm", "float", [(OD, "50 mm")]),
        ("Ø 50 mm", "chamber", [("Ø", "50 mm")]),
        ("for density 670 kg/m3", "float", [("float design density", "670 kg/m3")]),
        ("for density 670 kg/m3", "chamber", [("for density", "670 kg/m3")]),
        ("for 670 kg/m3", "float", [("float design density", "670 kg/m3")]),
        ("for 670 mm", "float", [("for", "670 mm")]),
        ("magnet 139 mm above the bottom", "float", [("magnet height", "139 mm")]),
        ("magnet 139 mm from top", "float", [("magnet from top", "139 mm")]),
        ("magnet 139 mm above the bottom", "chamber", []),
        ("248 g", "float", [("float mass", "248 g")]),
        ("248 g", "chamber", []),
        ("248 mm", "float", []),
        ("Length 50 mm", "float", [("Length", "50 mm")]),
        ("Length 50 mm", "", []),
        ("PN 16", "", [("flange class", "PN 16")]),
        ("4-20 mA: 0-900 mm", "", [("transmitter range", "0-900 mm")]),
        ("4 mA = 0 mm, 20 mA = 900 mm", "", [("4 mA", "0 mm"), ("20 mA", "900 mm")]),
    ],
)
def test_what_a_piece_says_of_a_part(text: str, part: str, due: list[tuple[str, str]]) -> None:
    assert said(text, part) == due


def test_a_name_that_may_mean_several_things_is_none() -> None:
    assert said("Pressure 5 bar") == []
    assert said("Design pressure 5 bar") == [("Design pressure", "5 bar")]
    assert said("Zork 5 bar") == []


def test_a_bare_temperature_is_of_the_pressure_right_before_it() -> None:
    first = ("Operating pressure", "2 bar")
    assert said("Operating pressure 2 bar / temp. 103 degC") == [first, ("operating temperature", "103 degC")]
    assert said("Operating pressure 2 bar / density 850 kg/m3 / temp. 103 degC")[0] == first
    assert ("operating temperature", "103 degC") not in said(
        "Operating pressure 2 bar / density 850 kg/m3 / temp. 103 degC"
    )
    assert said("Operating and design pressure 2 bar / temp. 103 degC") == [
        ("Operating and design pressure", "2 bar")
    ]
    assert said("Operating density 850 kg/m3 / temp. 103 degC") == [("Operating density", "850 kg/m3")]
    two = "Operating pressure = design pressure 2 bar / temp. 103 degC"
    assert ("operating temperature", "103 degC") not in said(two)


def test_max_holds_for_the_bare_value_right_behind_a_stroke_too() -> None:
    pressure = ("max. pressure", "10 barg")
    assert said("max. 10 barg / 150 degC", "float") == [pressure, ("max. temperature", "150 degC")]
    assert said("max. 10 barg / mass 300 g / 150 degC", "float") == [pressure, ("mass", "300 g")]
    assert said("max. 10 barg / zork / 150 degC", "float") == [pressure]
    assert said("max. 10 mm", "float") == []
    assert said("max. length 270 mm / 150 degC", "float") == [("max. length", "270 mm")]


@pytest.mark.parametrize(
    ("name", "letters"),
    [("high", "LSH"), ("low low", "LSLL"), ("high high", "LSHH"), ("low high", ""), ("zork", "")],
)
def test_the_act_of_a_switch_is_one(name: str, letters: str) -> None:
    assert act_of(name) == letters
    assert said(f"{name} 900 mm", "switch") == ([(letters, "900 mm")] if letters else [])


@pytest.mark.parametrize(
    ("text", "due"),
    [
        ("Medium naphtha", ("Medium", "naphtha")),
        ("Medium water", ("Medium", "water")),
        ("Fluid name", ("Fluid", "name")),
        ("serial no. P-3307", ("serial no.", "P-3307")),
        ("Length naphtha", None),
        ("Name naphtha", None),
        ("naphtha", None),
    ],
)
def test_a_name_with_words_for_its_value(text: str, due: tuple[str, str] | None) -> None:
    assert said(text) == ([due] if due else [])
