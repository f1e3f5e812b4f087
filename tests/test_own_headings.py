"""Headings as offices of 27 languages write them: most are read, and none is taken for another field.

`tests/reading/own_headings.csv` holds language, table, group heading, heading, unit row and the field that is
meant: several separated by '|' where the words alone leave it open, 'none' for what looks like a field only.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path
from typing import NamedTuple, cast

import pytest

from xlfuncs.vocabulary.meaning import ACCEPT, Kind, read_heading

LISTED = Path(__file__).parent / "reading" / "own_headings.csv"
READ = 0.93
READ_OF_A_LANGUAGE = 0.88
"""Share of the headings with a field that has to be read. Thai leaves no blanks and is the least one."""
MEANT_OF_A_LANGUAGE = 60
NEAR_MISSES_OF_A_MAIN_LANGUAGE = 25


class Row(NamedTuple):
    language: str
    table: str
    group: str
    heading: str
    unit_row: str
    field: str


@cache
def rows() -> tuple[Row, ...]:
    with LISTED.open(encoding="utf-8", newline="") as lines:
        return tuple(Row(**row) for row in csv.DictReader(lines))


@cache
def taken(row: Row) -> str:
    """The field that a heading is taken for without doubt, 'none' if it is taken for none."""
    found = read_heading(row.heading, row.group, cast(Kind, row.table), row.unit_row).meanings
    return found[0].field if found and found[0].score >= ACCEPT else "none"


def meant(language: str = "") -> list[Row]:
    """The rows that mean a field, of one language or of all."""
    return [row for row in rows() if row.field != "none" and language in ("", row.language)]


LANGUAGES = sorted({row.language for row in rows()})


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_heading_is_taken_for_another_field(language: str) -> None:
    mine = [row for row in rows() if row.language == language]
    assert [(*row, taken(row)) for row in mine if taken(row) not in ("none", *row.field.split("|"))] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_most_headings_of_a_language_are_read(language: str) -> None:
    missed = [row.heading for row in meant(language) if taken(row) == "none"]
    assert len(meant(language)) >= MEANT_OF_A_LANGUAGE
    assert len(missed) <= (1 - READ_OF_A_LANGUAGE) * len(meant(language)), missed


def test_nearly_all_headings_are_read() -> None:
    read = [row for row in meant() if taken(row) in row.field.split("|")]
    assert len(read) >= READ * len(meant())


@pytest.mark.parametrize("language", ["en", "de", "fr", "es", "it", "pt"])
def test_near_misses_are_listed(language: str) -> None:
    listed = [row for row in rows() if row.language == language and row.field == "none"]
    assert len(listed) >= NEAR_MISSES_OF_A_MAIN_LANGUAGE


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("Zéro échelle / axe tubulure basse", "scale_zero"),
        ("Cero de escala / eje toma inferior", "scale_zero"),
        ("Élévation tubulure basse", "connection_elevation"),
        ("Hauteur prise basse", "connection_elevation"),
        ("Elevación toma baja", "connection_elevation"),
        ("Elevazione presa bassa", "connection_elevation"),
        ("Elevação tomada baixa", "connection_elevation"),
        ("Process connections", "flange_class"),
        ("Proc. connections", "flange_class"),
        ("Vessel nozzles", "flange_class"),
    ],
)
def test_adjectives_of_either_gender_and_phrases_in_the_plural_are_read(heading: str, field: str) -> None:
    best = read_heading(heading).meanings[0]
    assert best.field == field and best.score >= 0.75
