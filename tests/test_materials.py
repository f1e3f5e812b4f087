"""What a cell says of a material, against designations that were judged by somebody else, and by rule."""

from __future__ import annotations

import csv
import re
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from xlfuncs.data import load
from xlfuncs.gauge import materials
from xlfuncs.gauge.materials import BORDERLINE, OPEN, SEVERAL, UNKNOWN, read

READING = Path(__file__).parent / "reading" / "materials.csv"
ALLOYS = load("alloys")["alloy"]
FAMILIES = load("alloys")["family"]
WORDS = load("material_words")

FAMILY_OF = {
    "austenitic stainless": "austenitic",
    "super austenitic stainless": "super_austenitic",
    "high-manganese austenitic": "high_manganese",
    "austenitic age-hardening": "austenitic_hardening",
    "duplex stainless": "duplex",
    "martensitic stainless": "martensitic",
    "ferritic stainless": "ferritic",
    "precipitation-hardening martensitic": "precipitation_hardening",
    "carbon steel": "carbon_steel",
    "low alloy steel": "low_alloy",
    "lined carbon steel": "carbon_steel",
    "lined austenitic": "austenitic",
}
"""Families as the table of designations calls them, where ours are named otherwise."""


def judged() -> list[dict[str, str]]:
    with READING.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def answer(text: str) -> str:
    return {True: "yes", False: "no", None: "ask"}[read(text).ferromagnetic]


def fair(row: dict[str, str]) -> set[str]:
    return {row["ferromagnetic"], *re.findall(r"also: (\w+)", row["note"])}


# --- against the table of designations --------------------------------------------------------------


def test_the_table_is_large_enough_to_mean_something() -> None:
    rows = judged()
    assert len(rows) > 800
    assert len({row["text"] for row in rows}) == len(rows)
    assert {row["ferromagnetic"] for row in rows} == {"yes", "no", "ask"}


def test_nearly_every_designation_is_understood_as_it_was_judged() -> None:
    rows = judged()
    wrong = [
        (row["text"], answer(row["text"]), fair(row)) for row in rows if answer(row["text"]) not in fair(row)
    ]
    assert len(wrong) <= 0.05 * len(rows), wrong


def test_no_magnetic_material_passes_and_no_other_fires() -> None:
    for row in judged():
        assert {answer(row["text"]), row["ferromagnetic"]} != {"yes", "no"}, row["text"]


def test_every_material_group_that_was_judged_is_ours() -> None:
    stated = [row for row in judged() if row["b16_5_group"]]
    assert len(stated) > 100
    assert [(r["text"], read(r["text"]).group("asme"), r["b16_5_group"]) for r in stated] == [
        (r["text"], r["b16_5_group"], r["b16_5_group"]) for r in stated
    ]


def test_the_families_are_those_that_were_judged() -> None:
    rows = [row for row in judged() if row["family"] in FAMILY_OF and read(row["text"]).family]
    wrong = [
        (r["text"], read(r["text"]).family) for r in rows if read(r["text"]).family != FAMILY_OF[r["family"]]
    ]
    assert len(wrong) <= 0.02 * len(rows), wrong


# --- the tables -------------------------------------------------------------------------------------


def names() -> list[tuple[str, str, str]]:
    """(alloy, system, name) of every designation."""
    return [
        (alloy, system, name)
        for alloy, block in ALLOYS.items()
        for system, listed in block.items()
        if isinstance(listed, list)
        for name in listed
    ]


def test_every_designation_is_read_as_what_it_stands_under() -> None:
    wrong = [(name, alloy, read(name)) for alloy, _, name in names() if read(name).alloy != alloy]
    assert wrong == []
    assert len(names()) > 4000


def test_no_name_stands_for_two_alloys() -> None:
    places = defaultdict(set)
    for alloy, system, name in names():
        latin = materials._latin(name) if system == "gost" else ()
        for spelling in (name, *latin):
            places[materials._key_of(spelling)].add(alloy)
    assert {key: alloys for key, alloys in places.items() if len(alloys) > 1} == {}


def test_every_word_that_leaves_the_metal_open_does_so() -> None:
    words = [word for block in WORDS["open"].values() for word in block["words"]]
    assert {word: read(word) for word in words if read(word).doubt != OPEN} == {}


def test_every_block_has_a_family_and_every_family_a_source() -> None:
    assert {block["family"] for block in ALLOYS.values()} <= FAMILIES.keys()
    assert {system for _, system, _ in names()} <= load("alloys")["system"].keys()
    for family in FAMILIES.values():
        assert family["source"].strip() and family["kind"] in ("metal", "liner")
    for item in WORDS["pattern"]:
        assert item["source"].strip() and item["family"] in FAMILIES
    for block in (*WORDS["open"].values(), WORDS["lining"], WORDS["denial"], WORDS["beside"], WORDS["spec"]):
        assert block["source"].strip()


def test_every_specification_has_a_family_or_leaves_it_to_the_grade() -> None:
    for name, spec in WORDS["spec"].items():
        if name != "source":
            assert spec.get("mixed") or spec["family"] in FAMILIES, name
            assert set(spec.get("grades", {}).values()) <= FAMILIES.keys()


def test_a_material_group_that_a_table_rates_is_spelled_as_there() -> None:
    rated = load("flange_ratings")
    assert {b["en_1092"] for b in ALLOYS.values() if "en_1092" in b} <= rated["pn"]["group"].keys()
    jis = {group for kind in ("carbon", "austenitic", "low_carbon") for group in rated["jis"]["group"][kind]}
    assert {b["jis_b2220"] for b in ALLOYS.values() if "jis_b2220" in b} <= jis
    asme = {b["b16_5"] for b in ALLOYS.values() if "b16_5" in b}
    assert all(re.fullmatch(r"[123]\.\d{1,2}", group) for group in asme)


# --- designations by system -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "family"),
    [
        ("1.4404", "austenitic"), ("X2CrNiMo17-12-2", "austenitic"), ("P235GH", "carbon_steel"),
        ("1.0345", "carbon_steel"), ("S31603", "austenitic"), ("S31803", "duplex"),
        ("N10276", "nickel_alloy"),
        ("A106 Gr.B", "carbon_steel"), ("A312 TP316L", "austenitic"), ("A182 F316L", "austenitic"),
        ("A105", "carbon_steel"), ("A351 CF8M", "austenitic"), ("St 37", "carbon_steel"),
        ("St35.8", "carbon_steel"), ("Z2 CND 17-12", "austenitic"), ("X2CrNiMo1712", "austenitic"),
        ("12Х18Н10Т", "austenitic"), ("12Kh18N10T", "austenitic"), ("12X18H10T", "austenitic"),
        ("Ст20", "carbon_steel"), ("SUS316L", "austenitic"), ("SS400", "carbon_steel"),
        ("STPG370", "carbon_steel"), ("Q235B", "carbon_steel"), ("Q245R", "carbon_steel"),
        ("20#", "carbon_steel"), ("06Cr19Ni10", "austenitic"), ("022Cr17Ni12Mo2", "austenitic"),
        ("acciaio al carbonio", "carbon_steel"), ("acero al carbono", "carbon_steel"), ("CS", "carbon_steel"),
        ("C.St.", "carbon_steel"), ("SS316", "austenitic"), ("SS 410", "martensitic"), ("SS430", "ferritic"),
        ("STS316L", "austenitic"), ("1.4512", "ferritic"), ("1.4190", "martensitic"), ("1.7218", "low_alloy"),
        ("G10450", "carbon_steel"), ("S42900", "ferritic"), ("C63000", "copper_alloy"),
        ("EN AW-5049", "aluminium"), ("EN-GJS-400-15", "cast_iron"), ("PVDF/GFK", "reinforced_plastic"),
        ("碳钢", "carbon_steel"), ("ステンレス鋼 SUS304", "austenitic"), ("сталь 09Г2С", "carbon_steel"),
    ],
)  # fmt: skip
def test_a_designation_of_each_system(text: str, family: str) -> None:
    assert read(text).family == family


@pytest.mark.parametrize(
    ("text", "family"),
    [
        ("Carbon steel A106 Gr.B", "carbon_steel"), ("1.0345 (P235GH)", "carbon_steel"),
        ("22Cr duplex (UNS S31803)", "duplex"), ("316L, electropolished", "austenitic"),
        ("AISI 316 / PN 40", "austenitic"), ("A105N galvanised, NACE MR0175", "carbon_steel"),
        ("A106-B SMLS SCH 40", "carbon_steel"), ("316L (EN 10204 3.1)", "austenitic"),
        ("No. 1.4571", "austenitic"), ("tubo sin costura A106 Gr.B", "carbon_steel"),
        ("CS + 3 mm corrosion allowance", "carbon_steel"), ("316L, 2B finish, Ra 0.8", "austenitic"),
        ("1.4404/316L", "austenitic"), ("A53/A106/API 5L Gr.B", "carbon_steel"),
    ],
)  # fmt: skip
def test_a_designation_in_a_phrase(text: str, family: str) -> None:
    assert read(text).family == family


@pytest.mark.parametrize(
    "text",
    [
        "PTFE lined CS", "CS/PTFE", "Steel, rubber lined", "Stahl emailliert", "acier revêtu PTFE",
        "316L clad A516 Gr.70", "CS with 316L cladding", "SS lined CS", "galvanised steel", "Ni plated CS",
        "сталь 20, футеровка Ф-4", "A105 PFA lined",
    ],
)  # fmt: skip
def test_a_lined_steel_is_the_steel_behind_the_lining(text: str) -> None:
    assert read(text).family == "carbon_steel"
    assert read(text).ferromagnetic is True


def test_a_trade_word_for_many_steels_leaves_the_grade_beside_it_its_group() -> None:
    """18-8 stands for 18 % chromium and 8 % nickel: a group of steels, of which 316L is one."""
    assert read("18-8 316L") == read("316L") and read("18-8 316L").group("asme") == "2.3"
    assert read("18-8").group("asme") is None


@pytest.mark.parametrize("text", ["316L, PTFE lined", "316L + ECTFE coating", "1.4404 PFA-ausgekleidet"])
def test_a_lined_austenitic_steel_stays_what_it_is(text: str) -> None:
    assert read(text).lined
    assert read(text).ferromagnetic is False


# --- what is not decided ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "doubt"),
    [
        ("steel", OPEN), ("stainless steel", OPEN), ("Edelstahl", OPEN), ("inox", OPEN), ("сталь", OPEN),
        ("Stahlguss", OPEN), ("special alloy", OPEN), ("nickel alloy", OPEN), ("PTFE lined", OPEN),
        ("CS / 316L", SEVERAL), ("CS / SS", SEVERAL), ("316L body, A105 flanges", SEVERAL),
        ("SS316L or duplex", SEVERAL), ("stainless steel A105", SEVERAL), ("steel clad with 316L", SEVERAL),
        ("alloy 400", BORDERLINE), ("UNS N04400", BORDERLINE),
        ("", UNKNOWN), ("?", UNKNOWN), ("316X", UNKNOWN), ("3161", UNKNOWN), ("316B", UNKNOWN),
        ("20", UNKNOWN),
        ("C22", UNKNOWN), ("A999 Gr.7", UNKNOWN), ("1.9999", UNKNOWN), ("Ni-something", UNKNOWN),
        ("no carbon steel", UNKNOWN), ("not 316L", UNKNOWN), ("by vendor", UNKNOWN), ("as vessel", UNKNOWN),
        ("PN 40", UNKNOWN), ("150#", UNKNOWN), ("SS 2343", UNKNOWN), ("316L XQ55", UNKNOWN),
    ],
)  # fmt: skip
def test_what_is_not_understood_has_a_doubt_and_no_properties(text: str, doubt: str) -> None:
    material = read(text)
    assert (material.doubt, material.ferromagnetic) == (doubt, None)


GRADES = ["304", "304L", "316", "316L", "321", "410", "430", "A105", "P265GH", "S31803", "1.4404", "PVDF"]


@given(
    st.sampled_from(GRADES), st.sampled_from([str.lower, str.upper, str.title]), st.text(" \t", max_size=3)
)
def test_case_and_blanks_do_not_matter(grade: str, change: Callable[..., Any], blank: str) -> None:
    assert read(blank + change(grade) + blank) == read(grade)


@given(st.sampled_from(GRADES), st.sampled_from("XYZQJ"), st.booleans())
def test_a_letter_too_many_is_another_name(grade: str, letter: str, before: bool) -> None:
    assert read(letter + grade if before else grade + letter).ferromagnetic is None


@given(st.sampled_from(GRADES), st.sampled_from(GRADES), st.sampled_from(["/", " or ", " + ", ", ", " & "]))
def test_two_that_differ_are_not_decided_and_two_that_agree_are(one: str, other: str, joint: str) -> None:
    both = read(f"{one}{joint}{other}")
    plastic = "PVDF" in (one, other)
    answers = {read(grade).ferromagnetic for grade in (one, other) if grade != "PVDF"} or {False}
    assert both.ferromagnetic == (answers.pop() if len(answers) == 1 else None), plastic


@given(st.text(max_size=40))
def test_any_text_is_read_without_a_fault(text: str) -> None:
    material = read(text)
    assert (material.ferromagnetic is None) == bool(material.doubt)


# --- groups -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "asme", "pn", "jis", "listed"),
    [
        ("A182 F316L", "2.3", "13E0", "023a", True),
        ("A312 TP316L", "2.3", "13E0", "023a", False),
        ("1.4404", "2.3", "13E0", "023a", False),
        ("316/316L", "2.2", None, None, True),
        ("A351 CF3M", "2.2", None, None, True),
        ("304/316", None, None, None, True),
        ("A105", "1.1", None, None, True),
        ("A106 Gr.B", None, None, None, False),
        ("A516 Gr.70N", "1.1", None, None, True),
        ("A182 F22 Cl.3", "1.10", None, None, True),
        ("A182 F22", None, None, None, True),
        ("P265GH", None, "3E0", None, False),
        ("SS400", None, None, "001", False),
        ("12Х18Н10Т", None, None, None, False),
        ("duplex", None, None, None, True),
        ("22Cr duplex (UNS S31803)", "2.8", None, None, True),
        ("cast iron", None, None, None, True),
    ],
)
def test_the_groups_of_the_flange_standards(
    text: str, asme: str | None, pn: str | None, jis: str | None, listed: bool
) -> None:
    material = read(text)
    assert [material.group(system) for system in ("asme", "pn", "jis")] == [asme, pn, jis]
    assert material.listed is listed


def test_a_grade_has_the_limit_that_the_notes_of_the_standard_set() -> None:
    assert read("A182 F51").highest == 315
    assert read("A182 F316L").highest is None
