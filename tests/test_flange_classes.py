"""What a cell says of a flange's rating, against cells that were judged by somebody else, and by rule."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from xlfuncs.data import load
from xlfuncs.gauge.classes import ASME, JIS, NONE, PN, Rating, read

READING = Path(__file__).parent / "reading" / "classes.csv"


def judged() -> list[dict[str, str]]:
    with READING.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def said(rating: Rating | None) -> str:
    if rating is None:
        return "ask"
    return "none" if rating.system == NONE else f"{rating.system} {rating.number:g}"


def fair(row: dict[str, str]) -> set[str]:
    also = re.findall(r"also: ((?:asme|pn|jis) [\d.]+|ask|none)", row["note"])
    return {f"{row['system']} {row['rating']}".strip(), *also}


def test_nearly_every_cell_is_understood_as_it_was_judged() -> None:
    rows = judged()
    assert len(rows) > 350
    wrong = [
        (r["text"], said(read(r["text"])), fair(r)) for r in rows if said(read(r["text"])) not in fair(r)
    ]
    assert len(wrong) <= 0.05 * len(rows), wrong


def test_no_rating_is_taken_for_another() -> None:
    for row in judged():
        ours = said(read(row["text"]))
        assert ours == "ask" or ours in fair(row) or "ask" in fair(row), row["text"]


@pytest.mark.parametrize(
    ("text", "rating"),
    [
        ("150#", "asme 150"), ("#300", "asme 300"), ("CL 600", "asme 600"), ("Cl.300", "asme 300"),
        ('2" 150# RF', "asme 150"), ("1500 lb", "asme 1500"), ("ANSI 300", "asme 300"),
        ("Kl. 150", "asme 150"),
        ("ASME B16.5 Cl.300 WN RF", "asme 300"), ("1-1/2 150#", "asme 150"), ("A105N 300# RF", "asme 300"),
        ("Class 150 (PN20)", "asme 150"), ("PN 50", "asme 300"), ("1,500#", "asme 1500"),
        ("DN50 PN40", "pn 40"), ("PN 16", "pn 16"), ("PN1.6 MPa", "pn 16"), ("Ру 16", "pn 16"),
        ("EN 1092-1/11/B1/DN50/PN40", "pn 40"), ("DIN 2635 DN 50", "pn 40"), ("PN 40 (40 bar)", "pn 40"),
        ("JIS 10K", "jis 10"), ("KS 20K", "jis 20"), ("10K-50A", "jis 10"), ("JIS B2220-10K FF", "jis 10"),
        ('3/4" NPT', "none"), ("butt weld", "none"), ("G 1/2", "none"), ("à souder", "none"),
        ('1/2" 3000# SW', "none"), ("DIN 11851 DN50", "none"),
    ],
)  # fmt: skip
def test_a_rating_as_lists_write_it(text: str, rating: str) -> None:
    assert said(read(text)) == rating


@pytest.mark.parametrize(
    "text",
    [
        "Class 150 / 300", "150# or 300#", "PN 10/16", "CL150 / PN16", "150 psig", "10 barg", "175", "DN 150",
        "2 150", "Class 200", "PN 15", "3000#", "K10", "Class l50", "RF", "ASME B16.5", "316L", "", "ND 50",
        '2" NPT 150#', "10 kgf", "150 lbs/sq.in", "150 RF / NPT",
    ],
)  # fmt: skip
def test_what_is_no_rating_or_more_than_one_is_not_decided(text: str) -> None:
    assert read(text) is None


@pytest.mark.parametrize(
    ("number", "rating"),
    [
        (150, "asme 150"),
        (300.0, "asme 300"),
        (16, "pn 16"),
        (25, "pn 25"),
        (40, "pn 40"),
        (10, "ask"),
        (150.5, "ask"),
    ],
)
def test_a_number_alone(number: float, rating: str) -> None:
    assert said(read(number)) == rating
    assert said(read(f"{number:g}")) == rating


SYSTEMS = {system: load("flange_words")[system]["numbers"] for system in (ASME, PN, JIS)}
FORM = {ASME: "Class {:g}", PN: "PN {:g}", JIS: "JIS {:g}K"}


@given(
    st.sampled_from([(s, n) for s in (ASME, JIS) for n in SYSTEMS[s]]),
    st.sampled_from(["", " RF", ", DN 50", " (note 2)"]),
)
def test_every_step_of_a_standard_is_read_with_what_stands_beside_it(
    pair: tuple[str, int], beside: str
) -> None:
    system, number = pair
    assert read(FORM[system].format(number) + beside) == Rating(system, number)


@given(st.integers(1, 5000).filter(lambda n: n not in SYSTEMS[ASME]))
def test_a_step_that_no_standard_has_is_none(number: int) -> None:
    assert read(f"Class {number}") is None


@given(st.sampled_from(SYSTEMS[ASME]), st.sampled_from(SYSTEMS[ASME]))
def test_two_classes_in_one_cell_are_one_only_where_they_agree(one: int, other: int) -> None:
    assert read(f"Cl.{one} RF / Cl.{other} RF") == (Rating(ASME, one) if one == other else None)


@given(st.text(max_size=40))
def test_any_text_is_read_without_a_fault(text: str) -> None:
    rating = read(text)
    assert rating is None or rating.system in (ASME, PN, JIS, NONE)
