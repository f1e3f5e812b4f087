"""The command as a user types it: exit status, where the output goes, and one clear line for a mistake."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from threading import Thread

import pytest
from openpyxl import Workbook

from tests.layouts import LAYOUTS, build
from xlfuncs.cli import main

ROOT = Path(__file__).parent.parent
CONTRACTOR = ROOT / "workbooks" / "contractor_index.xlsx"
CLEAN = ROOT / "workbooks" / "instrument_index.xlsx"


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _one_line(capsys: pytest.CaptureFixture[str]) -> str:
    """Standard error, which must be a single line."""
    text = capsys.readouterr().err
    assert text.count("\n") == 1, text
    assert text.startswith("xlfuncs: ")
    return text


@pytest.fixture
def contractor(tmp_path: Path) -> Path:
    return Path(shutil.copy(CONTRACTOR, tmp_path))


@pytest.fixture
def sinking(tmp_path: Path) -> Path:
    """A small index with a float that sinks: audited in a twentieth of the time."""
    return build(
        tmp_path / "sinking.xlsx", LAYOUTS[0], [{"fluid_density": "690 kg/m3", "fluid": "Blend 7"}]
    ).path


def test_findings_give_exit_status_1_and_an_annotated_copy_beside_the_workbook(
    contractor: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = _digest(contractor)
    assert main(["audit", str(contractor)]) == 1
    out = capsys.readouterr().out
    assert "float-sinks" in out
    assert _digest(contractor) == before
    assert sorted(p.name for p in contractor.parent.iterdir()) == [
        "contractor_index.audited.xlsx",
        "contractor_index.xlsx",
    ]


def test_a_clean_workbook_gives_exit_status_0(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["audit", str(CLEAN), "--format", "text"]) == 0
    assert "no errors" in capsys.readouterr().out


@pytest.mark.parametrize(("threshold", "status"), [("error", 0), ("warning", 1), ("note", 1), ("never", 0)])
def test_fail_on_sets_the_least_severity_that_counts(threshold: str, status: int, tmp_path: Path) -> None:
    planted = build(tmp_path / "a.xlsx", LAYOUTS[0], [{"tag": "GAUGE-1"}])
    assert main(["audit", str(planted.path), "--format", "json", "--fail-on", threshold]) == status


def test_json_is_all_that_stands_on_standard_output(sinking: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "xlfuncs", "audit", str(sinking), "--format", "json"],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=False,
    )
    assert done.returncode == 1
    document = json.loads(done.stdout)
    assert document["schema"] == 1
    assert document["sha256"] == _digest(sinking)
    assert {"rule", "severity", "sheet", "cell", "tag", "message", "found", "expected", "evidence"} <= set(
        document["findings"][0]
    )


def test_a_missing_file(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["audit", "nowhere.xlsx"]) == 2
    assert "nowhere.xlsx" in _one_line(capsys)


def test_a_text_file_renamed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "index.xlsx"
    path.write_text("this is no workbook\n")
    assert main(["audit", str(path)]) == 2
    assert "index.xlsx" in _one_line(capsys)


def test_an_encrypted_workbook(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from msoffcrypto.format.ooxml import OOXMLFile

    plain = build(tmp_path / "plain.xlsx", LAYOUTS[0], [{}]).path
    path = tmp_path / "secret.xlsx"
    with plain.open("rb") as source, path.open("wb") as target:
        OOXMLFile(source).encrypt("pass", target)
    assert main(["audit", str(path)]) == 2
    line = _one_line(capsys)
    assert "secret.xlsx" in line
    assert "password" in line


def test_an_empty_workbook(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "empty.xlsx"
    Workbook().save(path)
    assert main(["audit", str(path)]) == 2
    assert "empty" in _one_line(capsys)


def test_a_workbook_without_an_index(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (("Name", "Birthday"), ("A", "May"), ("B", "June")):
        sheet.append(row)
    path = tmp_path / "people.xlsx"
    book.save(path)
    assert main(["audit", str(path)]) == 2
    line = _one_line(capsys)
    assert "no index of level gauges" in line
    assert "--map" in line


def test_a_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["audit", str(tmp_path)]) == 2
    assert str(tmp_path) in _one_line(capsys)


def test_one_bad_book_does_not_stop_the_others(sinking: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["audit", "nowhere.xlsx", str(sinking), "--format", "json"]) == 2
    captured = capsys.readouterr()
    assert "nowhere.xlsx" in captured.err
    assert "float-sinks" in captured.out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--map", "fluid_density"], "write FIELD=COLUMN"),
        (["--map", "density=SG"], "there is no field 'density'"),
        (["--map", "fluid_density=No such heading"], "No such heading"),
        (["--settings", "nowhere.toml"], "nowhere.toml does not exist"),
        (["--floats", "nowhere.xlsx"], "nowhere.xlsx"),
        (["--since", "nowhere.xlsx"], "nowhere.xlsx"),
        (["--jobs", "0"], "give 1 or more"),
    ],
)
def test_a_wrong_option_is_named(
    arguments: list[str], words: str, sinking: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["audit", str(sinking), *arguments]) == 2
    assert words in _one_line(capsys)


def test_a_heading_that_is_not_recognised_is_mended_by_map(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from openpyxl import load_workbook

    planted = build(tmp_path / "a.xlsx", LAYOUTS[0], [{"fluid_density": "690 kg/m3", "fluid": "Blend 7"}])
    sheet, _, cell = planted.cells[0, "fluid_density"].partition("!")
    book = load_workbook(planted.path)
    book[sheet][f"{cell.rstrip('0123456789')}1"] = "Qzzq"
    book.save(planted.path)
    assert main(["audit", str(planted.path), "--format", "json"]) == 0
    assert main(["audit", str(planted.path), "--format", "json", "--map", "fluid_density=Qzzq"]) == 1
    assert "float-sinks" in capsys.readouterr().out


def test_rules_and_explain(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules"]) == 0
    assert "float-sinks" in capsys.readouterr().out
    assert main(["explain", "float-sinks"]) == 0
    out = capsys.readouterr().out
    assert "Why it matters" in out
    assert "How to mend it" in out
    assert main(["explain", "float-sink"]) == 2
    assert "did you mean float-sinks" in _one_line(capsys)


def test_functions(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["functions"]) == 0
    assert "LG_IMMERSION" in capsys.readouterr().out
    assert main(["functions", "lg_immersion"]) == 0
    assert "=LG_IMMERSION(280, 50, 200, 850)" in capsys.readouterr().out
    assert main(["functions", "LG_IMERSION"]) == 2
    assert "LG_IMMERSION" in _one_line(capsys)


def test_columns_shows_what_was_taken_for_what(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["columns", str(CONTRACTOR)]) == 0
    out = capsys.readouterr().out
    assert "fluid_density" in out
    assert "SG" in out


def test_a_wrong_command_gives_status_2(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["audti"]) == 2
    assert "audit" in capsys.readouterr().err


def test_output_to_a_file_is_whole_and_named(sinking: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = sinking.parent / "out" / "report.json"
    target.parent.mkdir()
    assert main(["audit", str(sinking), "-o", str(target)]) == 1
    assert json.loads(target.read_text(encoding="utf-8"))["schema"] == 1
    assert str(target) in capsys.readouterr().err


def test_the_workbook_itself_is_never_written_over(sinking: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = _digest(sinking)
    assert main(["audit", str(sinking), "--format", "workbook", "-o", str(sinking)]) == 2
    assert _digest(sinking) == before
    assert str(sinking) in _one_line(capsys)


def test_a_pipe_or_a_link_named_as_output_is_not_replaced(contractor: Path, tmp_path: Path) -> None:
    pipe, link, target = tmp_path / "pipe", tmp_path / "link.csv", tmp_path / "target.csv"
    os.mkfifo(pipe)
    link.symlink_to(target)
    got: list[str] = []
    reader = Thread(target=lambda: got.append(pipe.read_text()))
    reader.start()
    assert main(["audit", str(contractor), "--format", "csv", "-o", str(pipe)]) == 1
    reader.join(20)
    assert pipe.is_fifo() and got[0].count("\n") > 50
    assert main(["audit", str(contractor), "--format", "csv", "-o", str(link)]) == 1
    assert link.is_symlink() and target.read_text() == got[0]
