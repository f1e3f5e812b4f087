"""Revisions of a workbook, and findings that somebody has accepted."""

from __future__ import annotations

from copy import copy
from datetime import date
from pathlib import Path

import pytest

from tests.layouts import LAYOUTS, build
from xlfuncs.audit.acceptance import apply, read_acceptances
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.settings import read_settings
from xlfuncs.errors import XlfuncsError

HEAVY = {"fluid_density": "880 kg/m3", "fluid": "Blend 7"}
ENTRY = {
    "tag": "lg-1001",
    "rule": "offset-exceeds-tolerance",
    "who": "B. Reviewer",
    "when": date(2026, 3, 2),
    "why": "scale set for this density",
    "until": date(2999, 1, 1),
}


def test_findings_are_followed_by_tag_although_their_rows_moved(tmp_path: Path) -> None:
    old = build(
        tmp_path / "a.xlsx",
        LAYOUTS[0],
        [HEAVY | {"tag": "LG-1"}, {"tag": "LG-2", "chamber_material": "A105"}],
    )
    new = build(
        tmp_path / "b.xlsx",
        LAYOUTS[1],
        [{"tag": "LG-9"}, {"tag": "LG-2"}, HEAVY | {"tag": "LG-1"}, {"tag": "LG-3", "scale_zero": "40 mm"}],
    )
    result = audit_book(new.path, since=old.path)
    assert {(f.tag, f.rule, f.status) for f in result.findings} == {
        ("LG-1", "offset-exceeds-tolerance", "open"),
        ("LG-3", "scale-zero-shifted", "new"),
    }
    assert [(f.tag, f.rule) for f in result.mended] == [("LG-2", "chamber-magnetic")]
    assert result.to_dict()["since"]["workbook"] == "a.xlsx"


def test_an_accepted_finding_leaves_the_list_and_is_listed_as_accepted(tmp_path: Path) -> None:
    planted = build(tmp_path / "a.xlsx", LAYOUTS[0], [{}, HEAVY])
    result = audit_book(planted.path, acceptances=read_acceptances([ENTRY], "accept.toml"))
    assert result.findings == []
    (accepted,) = result.accepted
    assert accepted.state == "used"
    assert [f.rule for f in accepted.findings] == ["offset-exceeds-tolerance"]
    assert result.to_dict()["accepted"][0]["until"] == "2999-01-01"


def test_an_expired_acceptance_counts_no_longer_and_an_unused_one_is_reported(tmp_path: Path) -> None:
    planted = build(tmp_path / "a.xlsx", LAYOUTS[0], [{}, HEAVY])
    entries = [ENTRY | {"when": date(2019, 1, 1), "until": date(2020, 1, 1)}, ENTRY | {"tag": "LG-7777"}]
    result = audit_book(planted.path, acceptances=read_acceptances(entries, "accept.toml"))
    assert [f.rule for f in result.findings] == ["offset-exceeds-tolerance"]
    assert [a.state for a in result.accepted] == ["expired", "unused"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"why": ""}, "accepted finding 1: why is missing"),
        ({"who": None}, "accepted finding 1: who is missing"),
        ({"until": date(2020, 1, 1)}, "until is before when"),
        ({"until": "soon"}, "until must be a date, e.g. until = 2026-12-31"),
        ({"rule": "offset-exceeds"}, "did you mean offset-exceeds-tolerance"),
        ({"reason": "x"}, "unknown key 'reason'"),
    ],
)
def test_a_malformed_acceptance_is_named(change: dict[str, object], words: str) -> None:
    with pytest.raises(XlfuncsError, match=r"accept\.toml") as caught:
        read_acceptances([{**ENTRY, **change}], "accept.toml")
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("offset_tolerance = 5", "there is no setting 'offset_tolerance'"),
        ("offset_tolerance_mm = 'x'", "must be a number"),
        ("offset_tolerance_mm = -1", "must be a number from 0 to 1000000"),
        ("offset_tolerance_mm = nan", "must be a number from 0 to 1000000"),
        ("offset_tolerance_mm = [8]", "must be a number from 0 to 1000000"),
        ("safety_factor = 0.5", "must be a number from 1 to 100"),
        ("emissivity = 5", "must be a number from 0 to 1"),
        ("columns = 3", "write [columns] with one text for each field"),
        ("[columns]\nfluid_density = 5", "write [columns] with one text for each field"),
        ("offset_tolerance_mm = ", "is not valid TOML"),
        ("ignore = 'x'", "ignore must be a list"),
    ],
)
def test_a_wrong_setting_is_named_with_its_file(text: str, words: str, tmp_path: Path) -> None:
    path = tmp_path / "limits.toml"
    path.write_text(text)
    with pytest.raises(XlfuncsError, match=r"limits\.toml") as caught:
        read_settings(path)
    assert words in str(caught.value)


def test_a_setting_moves_the_threshold_and_is_reported(tmp_path: Path) -> None:
    planted = build(tmp_path / "a.xlsx", LAYOUTS[0], [HEAVY])
    path = tmp_path / "limits.toml"
    path.write_text("offset_tolerance_mm = 30\nignore = ['tag-malformed']\n")
    settings, _ = read_settings(path)
    result = audit_book(planted.path, settings)
    assert result.findings == []
    assert result.settings["offset_tolerance_mm"] == 30
    assert result.settings["ignore"] == ["tag-malformed"]


def test_a_rule_that_does_not_exist_cannot_be_ignored(tmp_path: Path) -> None:
    planted = build(tmp_path / "a.xlsx", LAYOUTS[0], [{}])
    path = tmp_path / "limits.toml"
    path.write_text("ignore = ['tag-malforned']\n")
    with pytest.raises(XlfuncsError, match="there is no rule 'tag-malforned'"):
        audit_book(planted.path, read_settings(path)[0])


COVERED: list[tuple[dict[str, str], int]] = [
    ({"cell": "SHEET!CELL"}, 1),
    ({"cell": "'SHEET'!CELL"}, 1),
    ({"cell": "SHEET!A1"}, 0),
    ({"tag": "LG-*"}, 2),
    ({"tag": "lg-1"}, 1),
    ({"tag": "LG-?"}, 0),
    ({"tag": "LG-[12]"}, 0),
    ({"rule": "offset-exceeds-tolerance"}, 2),
    ({"rule": "float-sinks"}, 0),
    ({"service": "feed"}, 1),
    ({"service": "*drum"}, 2),
    ({"service": "pump"}, 0),
    ({"tag": "LG-1", "service": "drain"}, 0),
]


def test_what_an_acceptance_covers(tmp_path: Path) -> None:
    rows = [HEAVY | {"tag": "LG-1", "service": "feed drum"}, HEAVY | {"tag": "LG-2", "service": "drain drum"}]
    whole = audit_book(build(tmp_path / "a.xlsx", LAYOUTS[0], rows).path)
    assert [one.tag for one in whole.findings] == ["LG-1", "LG-2"]
    first = whole.findings[0]
    for which, covered in COVERED:
        entry = {name: ENTRY[name] for name in ("who", "when", "why", "until")}
        entry |= {k: v.replace("SHEET", first.sheet).replace("CELL", first.cell) for k, v in which.items()}
        result = copy(whole)
        apply(result, read_acceptances([entry], "accept.toml"))
        assert (len(result.findings), which) == (2 - covered, which)
        assert result.accepted[0].state == ("used" if covered else "unused")
