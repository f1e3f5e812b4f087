"""Workbooks and headings by people who had not seen the code are read as well as they were; and the scoring.

`python -m tests.reading` prints the score and names what is missed.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from tests.reading import __main__ as command
from tests.reading import columns, documents, floors, heading_tables
from tests.reading.registry import SETS, books, build
from tests.reading.scoring import Score, compare, score_file, total, truth_files
from tests.reading.short_names import FIELDS, UNKNOWN, field_of
from xlfuncs.audit.registry import rules
from xlfuncs.data import load

BOOK = "u09_points_de_mesure_be"
LATER = {"alarm-outside-range", "documents-disagree"}
"""Rules that the books plant and the audit does not have."""


@pytest.fixture(scope="session", params=SETS)
def built(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder, named as the set, with the set's workbooks and their truth."""
    folder = tmp_path_factory.mktemp(request.param, numbered=False)
    build_all(request.param, folder)
    return folder


def build_all(name: str, folder: Path) -> None:
    for make in books(name).values():
        build(make, folder)


def truths(folder: Path) -> list[Any]:
    return [json.loads(path.read_text(encoding="utf-8")) for path in truth_files(folder)]


# --- what must not fall -----------------------------------------------------------------------------


def test_a_set_of_workbooks_is_read_as_well_as_before(built: Path) -> None:
    score = total(map(score_file, truth_files(built)))
    fallen = floors.below(floors.reached(score), floors.read()[built.name])
    assert not fallen, "\n".join((*fallen, *score.misses()))


def test_documents_kept_as_data_are_read_as_well_as_before(tmp_path: Path) -> None:
    score = total(score_file(documents.write(kept, tmp_path)) for kept in documents.files())
    fallen = floors.below(floors.reached(score), floors.read()[documents.NAME])
    assert not fallen, "\n".join((*fallen, *score.misses()))


@pytest.mark.parametrize("name", heading_tables.TABLES)
def test_headings_are_read_as_well_as_before(name: str) -> None:
    headings = heading_tables.read_table(name)
    fallen = floors.below(floors.reached_by_headings(headings), floors.read()[name])
    assert not fallen, "\n".join((*fallen, *(str(h) for h in headings if h.kind == "wrong")))


# --- the workbooks ----------------------------------------------------------------------------------


def test_every_build_gives_the_same_bytes(built: Path, tmp_path: Path) -> None:
    build_all(built.name, tmp_path)
    first, second = ({path.name: path.read_bytes() for path in f.iterdir()} for f in (built, tmp_path))
    assert first == second
    assert len(first) == 4 * len(books(built.name))


def test_only_faulty_workbooks_have_faults_each_of_a_rule_and_at_a_cell(built: Path) -> None:
    for truth in truths(built):
        assert truth["tags"]
        assert bool(truth["faults"]) == ("_faulty" in truth["book"])
        for fault in truth["faults"]:
            assert {fault["rule"], *fault["alt"]} <= {*rules(), *LATER}
            assert fault["cells"]
            assert all(re.fullmatch(r".+![A-Z]+\d+", cell) for cell in fault["cells"])


def test_every_short_name_is_known(built: Path) -> None:
    names = {name for truth in truths(built) for shorts in truth["cols"].values() for name in shorts}
    assert not [name for name in sorted(names) if field_of(name)[0] == UNKNOWN]


def test_short_names_stand_for_fields_of_the_audit() -> None:
    assert set(FIELDS.values()) <= set(load("fields"))


# --- the scoring ------------------------------------------------------------------------------------

FAULT = {"rule": "float-sinks", "tag": "LG-1", "cells": ["Index!C5"], "alt": ["offset-exceeds-tolerance"]}
TRUTH = {
    "book": "a.xlsx",
    "cols": {"Index!A": {"tag": 3}, "Index!C": {"rho": 3}, "Index!D": {"x_price": 3}},
    "tags": ["LG-1"],
    "faults": [FAULT | {"fields": ["rho"], "why": "too light"}],
    "allow": [{"rule": "number-as-text", "tag": None, "why": ""}],
}


def _report(*findings: dict[str, Any], **more: Any) -> dict[str, Any]:
    empty: dict[str, Any] = {"findings": [], "not_checked": [], "unread_columns": [], "columns": {}}
    return empty | {"findings": list(findings)} | more


def _finding(rule: str, tag: str = "LG-1", cell: str = "C5", **more: Any) -> dict[str, Any]:
    found = {"rule": rule, "severity": "error", "sheet": "Index", "cell": cell, "tag": tag}
    return found | {"message": "", "also": []} | more


@pytest.mark.parametrize(
    ("report", "kind", "how"),
    [
        (_report(_finding("float-sinks")), "found", ""),
        (_report(_finding("float-sinks", cell="F5")), "found", "elsewhere"),
        (_report(_finding("float-sinks", tag="LG-1 / LT-1", cell="F5")), "found", "elsewhere"),
        (
            _report(_finding("offset-exceeds-tolerance", cell="F5")),
            "found",
            "as offset-exceeds-tolerance",
        ),
        (
            _report(_finding("float-data-impossible", also=["float-sinks"])),
            "found",
            "repeated by another",
        ),
        (_report(_finding("float-sinks", tag="LG-10", cell="C6")), "silent", ""),
        (
            _report(
                not_checked=[
                    {
                        "rule": "float-sinks",
                        "tag": "LG-1",
                        "sheet": "Index",
                        "row": 5,
                        "missing": ["float mass"],
                    }
                ]
            ),
            "said",
            "float mass",
        ),
        (_report(unread_columns=[{"sheet": "Index", "column": "C"}]), "unread", "Index!C"),
        (_report(unread_columns=[{"sheet": "Index", "column": "B"}]), "silent", ""),
        ("no list of gauges", "refused", "no list of gauges"),
    ],
)
def test_what_became_of_a_fault(report: Any, kind: str, how: str) -> None:
    (outcome,) = compare(TRUTH, report).outcomes
    assert (outcome.kind, outcome.how) == (kind, how)
    assert "LG-1" in str(outcome)


def test_what_is_invented() -> None:
    findings = [
        _finding("float-sinks"),
        _finding("float-sinks", cell="F5"),  # the same fault once more
        _finding("number-as-text", tag="LG-9", severity="warning"),  # allowed everywhere
        _finding("row-hidden", tag="LG-9", severity="note"),
        _finding("float-lags"),
        _finding("float-sinks", tag="LG-11", cell="C7"),
    ]
    score = compare(TRUTH, _report(*findings))
    assert [(f.rule, f.tag, f.clean) for f in score.invented] == [
        ("float-lags", "LG-1", False),
        ("float-sinks", "LG-11", False),
    ]
    clean = compare(TRUTH | {"faults": []}, _report(_finding("float-lags")))
    assert clean.invented_in_clean() == 1
    assert compare(TRUTH | {"faults": []}, "no list of gauges").refused


@pytest.mark.parametrize(
    ("names", "taken", "kind"),
    [
        ({"rho": 5}, {"fluid_density": "C"}, "right"),
        ({"rho": 5, "x_note": 1}, {"fluid_density": "C"}, "right"),
        ({"rho": 5}, {}, "missed"),
        ({"rho": 5}, {"upper_density": "C"}, "wrong"),
        ({"x_price": 5}, {"fluid_density": "C"}, "extra"),
        ({"op@unit": 5}, {"operating_pressure": "C"}, "extra"),
        ({"x_price": 5}, {"fluid_density": "B"}, "right"),
        ({"float svc": 5}, {"float_service": "C"}, "right"),
        ({"opot": 5}, {"operating_pressure": "C"}, "right"),
        ({"cc@vendor": 5}, {}, "right"),
        ({"cc_spec": 5}, {"visible_range": "C"}, "wrong"),
        ({"nonsense": 5}, {"fluid_density": "C"}, "unknown"),
    ],
)
def test_what_became_of_a_column(names: dict[str, int], taken: dict[str, str], kind: str) -> None:
    truth = {"book": "a.xlsx", "cols": {"Index!C": names}}
    (outcome,) = columns.compare(truth, {"columns": {"Index": taken}})
    assert outcome.kind == kind
    assert "Index!C" in str(outcome)


@pytest.mark.parametrize(
    ("fields", "taken", "kind"),
    [
        (("lrv", "ask"), "ask", "right"),
        (("none",), "none", "right"),
        (("none",), "lrv", "wrong"),
        (("lrv",), "urv", "wrong"),
        (("lrv",), "ask", "doubtful"),
        (("none",), "ask", "doubtful"),
        (("lrv", "ask"), "none", "missed"),
    ],
)
def test_what_became_of_a_heading(fields: tuple[str, ...], taken: str, kind: str) -> None:
    heading = heading_tables.Heading("gauges", "", "4 mA", "mm", fields, taken)
    assert heading.kind == kind
    assert heading_tables.count([heading]) == {kind: 1}


# --- floors and the command -------------------------------------------------------------------------


def test_floors_rise_and_never_fall(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(floors, "FILE", tmp_path / "floors.toml")
    first = {"one": {"found": 5, "silent": 2, "invented": 1}, "headings": {"right": 7, "wrong": 3}}
    assert floors.write(first) == []
    assert floors.read() == first
    better = {"one": {"found": 6, "silent": 0, "invented": 1}}
    assert floors.write(better) == []
    assert floors.read() == first | better
    assert floors.write({"one": {"found": 7, "silent": 1, "invented": 1}}) == ["one: silent 1, at most 0"]
    assert floors.read() == first | better
    risen = {"one": {"found": 7, "silent": 0, "invented": 0}}
    assert floors.write({"headings": {"right": 6, "wrong": 3}} | risen) == ["headings: right 6, at least 7"]
    assert floors.read() == first | risen


def test_the_command_scores_a_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    build(books("lists_european")[BOOK], tmp_path)
    score = total(map(score_file, truth_files(tmp_path)))
    assert command.main(["--folder", str(tmp_path)]) == 0
    printed = capsys.readouterr().out
    assert printed.splitlines()[-1] == f"folder: {score.line()}"
    for line in score.misses():
        assert " ".join(line.split()) in printed


def test_the_command_says_what_is_wrong(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for given, why in ((["nowhere"], "no such set: nowhere"), (["--folder", str(tmp_path)], "no truth file")):
        with pytest.raises(SystemExit) as ended:
            command.main(given)
        assert ended.value.code == 2
        assert why in capsys.readouterr().err


def test_a_fallen_floor_fails_the_command(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(floors, "FILE", tmp_path / "floors.toml")
    floors.FILE.write_text("[headings]\nright = 100000\nwrong = 0\n", encoding="utf-8")
    assert command.main(["headings"]) == 1
    assert "FALLEN headings: right" in capsys.readouterr().err


def test_scores_add_up() -> None:
    found = compare(TRUTH, _report(_finding("float-sinks")))
    silent = compare(TRUTH, _report(_finding("float-lags")))
    both = total([found, silent, Score()])
    assert (both.count("found"), both.count("silent"), len(both.invented)) == (1, 1, 1)
    assert both.line().startswith("found 1 of 2, ")
    assert len(list(both.misses())) == 2
