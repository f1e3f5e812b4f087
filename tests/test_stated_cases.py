"""Cases that a list states in a row each, or in columns beside the normal values: each decided and named."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.layouts import HEADINGS as FIELD_HEADINGS
from tests.rows import save
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.model import AuditResult
from xlfuncs.audit.registry import rules

FLOAT = ["Float mass g", "Float dia mm", "Float length mm", "Float ends", "Magnet height mm"]
ITS = [350, 50, 250, "flat", 203]
"""A float of 350 g and 50 mm is 202.6 mm deep in 880 kg/m3, 191.7 mm in 930, 185.7 mm in 960."""


def told(result: AuditResult, *slugs: str) -> list[tuple[str, str, str]]:
    """Rule, cell and the case named, of the findings of some rules."""
    return [
        (one.rule, one.cell, str(one.evidence.get("case", "")))
        for one in result.findings
        if one.rule in slugs
    ]


def rows_of(folder: Path, heading: str, *rows: list[Any]) -> AuditResult:
    names = ["Tag", heading, "Fluid", "Density kg/m3", "Op press barg", "Op temp degC", "Design press barg"]
    return audit_book(save(folder / "rows.xlsx", Index=[[*names, *FLOAT], *([*row, *ITS] for row in rows)]))


SLUGS = ("tag-duplicate", "offset-exceeds-tolerance", "operating-exceeds-design")
HEADINGS = (
    "Case",
    "Operating case",
    "Betriebsfall",
    "Cas de marche",
    "Caso di esercizio",
    "Режим работы",
    "工况",
)


@pytest.mark.parametrize("heading", HEADINGS)
def test_rows_of_one_tag_are_its_cases(heading: str, tmp_path: Path) -> None:
    result = rows_of(
        tmp_path,
        heading,
        ["LG-1", "Normal", "Blend 7", 880, 5, 60, 10],
        ["LG-1", "Start-up", "Blend 7", 930, 12, 5, 10],
        ["LG-2", "Normal", "Blend 7", 880, 5, 60, 10],
        ["LG-2", "Start-up", "Blend 7", 882, 5, 50, 10],
        ["LG-3", "Normal", "Blend 7", 930, 5, 60, 10],
    )
    assert sorted(told(result, *SLUGS)) == [
        ("offset-exceeds-tolerance", "D3", "Start-up"),
        ("offset-exceeds-tolerance", "D6", ""),
        ("operating-exceeds-design", "E3", "Start-up"),
    ]
    assert result.rows_audited == 3


def test_a_tag_that_repeats_with_the_same_case_is_a_duplicate(tmp_path: Path) -> None:
    two = ["LG-1", "Normal", "Blend 7", 880, 5, 60, 10], ["LG-1", "Normal", "Blend 7", 880, 5, 60, 10]
    assert told(rows_of(tmp_path, "Case", *two), *SLUGS) == [("tag-duplicate", "A3", "")]
    blank = two[0], ["LG-1", None, "Blend 7", 880, 5, 60, 10]
    assert told(rows_of(tmp_path, "Case", *blank), *SLUGS) == [("tag-duplicate", "A3", "")]


def test_what_is_no_operating_condition_holds_for_each_case(tmp_path: Path) -> None:
    names = ["Tag", "Case", "Fluid", "Density kg/m3", "Op press barg", "Design press barg", *FLOAT]
    first = ["LG-1", "A", "Blend 7", 880, 5, 10, *ITS]
    second = ["LG-1", "B", "Blend 7", 930, 12, *[None] * 6]
    third = ["LG-1", "C", "Blend 7", None, 9, *[None] * 6]
    result = audit_book(save(tmp_path / "rows.xlsx", Index=[names, first, second, third]))
    assert sorted(told(result, *SLUGS)) == [
        ("offset-exceeds-tolerance", "D3", "B"),
        ("operating-exceeds-design", "E3", "B"),
    ]
    # the density of case A is not that of case C
    open_ = [one for one in result.not_checked if one.rule == "offset-exceeds-tolerance"]
    assert [one.missing for one in open_] == [("operating density of the (lower) fluid",)]


def columns_of(folder: Path, named: list[str], *rows: list[Any], **options: Any) -> AuditResult:
    names = ["Tag", "Fluid", *named, "Op press barg", "Design press barg"]
    cells = [
        ["LG-" + str(i), options.get("fluid", "Blend 7"), *row, 5, 10, *ITS] for i, row in enumerate(rows, 1)
    ]
    return audit_book(save(folder / "columns.xlsx", Index=[[*names, *FLOAT], *cells]))


@pytest.mark.parametrize(
    ("normal", "other", "case"),
    [
        ("Density kg/m3", "Density at start-up kg/m3", "start-up"),
        ("Normal density kg/m3", "Start-up density kg/m3", "start-up"),
        ("Density (normal) kg/m3", "Density (cold) kg/m3", "cold"),
        ("Density kg/m3", "Density (start-up case) kg/m3", "start-up"),
        ("Dichte kg/m3", "Dichte Anfahren kg/m3", "anfahren"),
        ("Densité kg/m3", "Densité à froid kg/m3", "à froid"),
    ],
)
def test_a_density_at_start_up_is_a_case(normal: str, other: str, case: str, tmp_path: Path) -> None:
    result = columns_of(tmp_path, [normal, other], [880, 960], [880, 882], [880, None], [880, "-"])
    assert told(result, *SLUGS) == [("offset-exceeds-tolerance", "D2", case)]
    assert result.rows_audited == 4
    assert result.unread_columns == []
    assert not [one for one in result.not_checked if one.rule == "offset-exceeds-tolerance"]


def test_conditions_at_start_up_are_decided_together(tmp_path: Path) -> None:
    named = ["Density kg/m3", "Density start-up kg/m3", "Op temp degC", "Op temp start-up degC"]
    # water: 983.2 kg/m3 at 60 degC, 998.2 at 20 degC (IAPWS-95)
    slug = "density-not-at-operating-conditions"
    right = columns_of(tmp_path, named, [983, 998, 60, 20], fluid="Water")
    assert told(right, slug) == []
    wrong = columns_of(tmp_path, named, [983, 940, 60, 20], fluid="Water")
    assert told(wrong, slug) == [(slug, "D2", "start-up")]
    # the normal temperature is not that at start-up
    open_ = columns_of(tmp_path, named[:3], [983, 940, 60], fluid="Water")
    assert told(open_, slug) == []
    assert [one.missing for one in open_.not_checked if one.rule == slug] == [("operating temperature",)]


def test_a_start_up_density_in_another_unit_is_left_unread(tmp_path: Path) -> None:
    result = columns_of(tmp_path, ["Density kg/m3", "Density start-up SG"], [880, 0.96])
    assert told(result, *SLUGS) == []
    assert [one["cell"] for one in result.unread_columns] == ["D1"]


SEVERAL = ("floats-exchanged", "stacked-gauges-gap", "serial-reused", "float-not-in-list")
"""Rules about more than one gauge, or about a float list."""
FIRING = [
    (item.slug, row)
    for item in rules().values()
    if item.family in ("float_fluid", "strength", "geometry", "tracing") and item.slug not in SEVERAL
    for row in item.firing
    if all(isinstance(cell, str) for cell in row.values())
]


@pytest.mark.parametrize(("slug", "row"), FIRING, ids=[f"{n}-{slug}" for n, (slug, _) in enumerate(FIRING)])
def test_every_rule_decides_each_case_and_names_it(slug: str, row: dict[str, str], tmp_path: Path) -> None:
    fields = list(dict.fromkeys([*SOUND, *row]))
    sound, other = [SOUND.get(name) for name in fields], [{**SOUND, **row}.get(name) for name in fields]
    names = [FIELD_HEADINGS[name] for name in fields]
    cells: list[list[Any]] = [["Case", *names], ["Normal", *sound], ["Start-up", *other]]
    result = audit_book(save(tmp_path / "cases.xlsx", Index=cells))
    assert [case for _, _, case in told(result, slug)] == ["Start-up"]
    assert result.rows_audited == 1


def test_what_two_cases_say_alike_is_one_finding(tmp_path: Path) -> None:
    # 350 g and 50 mm: 202.6 mm deep in 880 kg/m3; a magnet plane at 220 mm reads 17.4 mm high in both cases
    heads = ["Tag", "Density case A kg/m3", "Density case B kg/m3", *FLOAT]
    its = [350, 50, 250, "flat", 220]
    path = save(
        tmp_path / "cases.xlsx", Index=[heads, *([f"LG-{i}", 880 + i, 880 + i, *its] for i in (1, 2, 3))]
    )
    found = [one for one in audit_book(path).findings if one.rule == "offset-exceeds-tolerance"]
    assert [one.tag for one in found] == ["LG-1", "LG-2", "LG-3"]
