"""Long workbooks, many workbooks, and clusters."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path

import distributed
import numpy as np
import openpyxl
import pytest

from tests.generator.large import HEADINGS, Large, write_large
from tests.generator.layouts import Made, build, choose
from tests.generator.style import draw
from xlfuncs.audit import engine
from xlfuncs.audit.engine import audit_book, audit_many
from xlfuncs.audit.model import AuditResult
from xlfuncs.cli import main
from xlfuncs.errors import XlfuncsError

ROWS = 5000
SHARE = 0.42
"""Of the processor's time that openpyxl takes, what the audit of a middling list may take: a third was
measured, the rest is for busy machines."""


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Large:
    return write_large(tmp_path_factory.mktemp("large") / "index.xlsx", ROWS)


@pytest.fixture(scope="module")
def audited(large: Large) -> AuditResult:
    return audit_book(large.path)


def _found(result: AuditResult) -> set[tuple[str, str]]:
    return {(f.rule, f.cell) for f in result.findings}


# --- one long workbook ---------------------------------------------------------------------------


def test_finds_what_is_planted_in_a_long_list(large: Large, audited: AuditResult) -> None:
    assert _found(audited) == large.planted
    assert len(audited.findings) == len(large.planted)
    assert audited.rows_audited == ROWS
    assert audited.skipped == {}


@pytest.mark.usefixtures("audited")  # imports and equations of state
def test_takes_less_than_a_share_of_a_bare_read(large: Large) -> None:
    ours, theirs = [], []
    for _ in range(2):
        started = time.process_time()
        audit_book(large.path)
        ours.append(time.process_time() - started)
        started = time.process_time()
        book = openpyxl.load_workbook(large.path, read_only=True)
        cells = sum(len(row) for sheet in book for row in sheet.iter_rows(values_only=True))
        assert cells == (ROWS + 1) * len(HEADINGS)
        theirs.append(time.process_time() - started)
    assert min(ours) < SHARE * min(theirs)


def test_time_grows_no_faster_than_the_rows(tmp_path: Path, large: Large) -> None:
    """Nothing is done for every pair of rows, not even where every row has a finding and lacks data."""
    seconds = []
    for rows in (1000, 4000):
        path = tmp_path / f"{rows}.xlsx"
        _every_row_wrong(path, rows)
        best = np.inf
        for _ in range(2):
            started = time.process_time()
            result = audit_book(path)
            best = min(best, time.process_time() - started)
        assert len(result.findings) == rows
        seconds.append(best)
    assert seconds[1] < 4 * 2.5 * seconds[0]


def _every_row_wrong(path: Path, rows: int) -> None:
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("Index")
    sheet.append(["Tag", "Fluid", "Operating Density (kg/m3)", "Visible Range (mm)", "LRV (mm)", "URV (mm)"])
    for number in range(rows):
        sheet.append([f"LG-{number + 1}", f"Blend {number}", 900 + number % 90, 1000, 0, 1200 + number % 7])
    book.save(path)


_FRESH = """
import sys
from pathlib import Path
from xlfuncs.audit.engine import audit_book
found = {(f.rule, f.cell) for f in audit_book(Path(sys.argv[1])).findings}
print(len(found), "CoolProp" in sys.modules)
"""


def test_equations_of_state_stay_out_of_the_process_of_a_long_audit(large: Large) -> None:
    command = [sys.executable, "-c", _FRESH, str(large.path)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert done.stdout.split() == [str(len(large.planted)), "False"]


# --- many workbooks ------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> list[Made]:
    """A document store: lists of several contractors."""
    folder = tmp_path_factory.mktemp("store")
    styles = [style for style in map(draw, range(40)) if style.floats != "book"][:5]
    return [build(folder, style, choose(style, 6)) for style in styles]


@pytest.fixture(scope="module")
def alone(store: list[Made]) -> dict[Path, list[tuple[str, str]]]:
    """What is found in each list when it is audited by itself."""
    return {made.path: _places(audit_book(made.path)) for made in store}


def _places(result: AuditResult) -> list[tuple[str, str]]:
    return sorted((f.rule, f"{f.sheet}!{f.cell}") for f in result.findings)


def _check(
    results: Iterator[tuple[Path, AuditResult | XlfuncsError]],
    alone: dict[Path, list[tuple[str, str]]],
    bad: Path,
) -> None:
    """Together they give what each gives alone; what is planted is looked for in test_many_layouts."""
    outcomes = dict(results)
    assert isinstance(outcomes.pop(bad), XlfuncsError)
    assert outcomes.keys() == alone.keys()
    for path, result in outcomes.items():
        assert isinstance(result, AuditResult)
        assert _places(result) == alone[path] != []


@pytest.fixture
def bad(tmp_path: Path) -> Path:
    path = tmp_path / "damaged.xlsx"
    path.write_bytes(b"PK\x03\x04 this is no workbook")
    return path


@pytest.mark.parametrize("kind", [ThreadPoolExecutor, ProcessPoolExecutor])
def test_many_workbooks_on_an_executor(
    kind: type[Executor], alone: dict[Path, list[tuple[str, str]]], bad: Path
) -> None:
    paths = [bad, *alone]
    with kind(2) as executor:  # type: ignore[call-arg]
        _check(audit_many(paths, executor), alone, bad)


@pytest.mark.parametrize("processes", [False, True])
def test_a_document_store_on_a_dask_cluster(
    processes: bool, alone: dict[Path, list[tuple[str, str]]], bad: Path
) -> None:
    paths = [bad, *alone]
    with (
        distributed.Client(
            processes=processes, n_workers=2, threads_per_worker=1, dashboard_address=None, silence_logs=50
        ) as client,
        client.get_executor() as executor,
    ):
        _check(audit_many(paths, executor), alone, bad)


def test_results_come_as_they_are_ready(store: list[Made], large: Large) -> None:
    """A long workbook named first does not hold back the short ones."""
    paths = [large.path, *(made.path for made in store[:3])]
    with ThreadPoolExecutor(2) as executor:
        order = [path for path, _ in audit_many(paths, executor)]
    assert set(order) == set(paths)
    assert order[0] != large.path


# --- the command ---------------------------------------------------------------------------------


def _books(store: list[Made]) -> list[str]:
    return [str(made.path) for made in store]


def test_jobs_of_the_command(
    store: list[Made], bad: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A damaged book is named and costs nothing but itself; one document has the others in their order."""
    output = tmp_path / "all.json"
    arguments = ["audit", _books(store)[0], str(bad), *_books(store)[1:], "--jobs", "2", "-o", str(output)]
    assert main(arguments) == 2
    assert str(bad) in capsys.readouterr().err
    audited = json.loads(output.read_text(encoding="utf-8"))
    names = [entry["workbook"] for entry in audited["results"]]
    assert names == [made.path.name for made in store]


def _ends_its_process(path: Path, *arguments: object, **options: object) -> AuditResult:
    if path.name == "killer.xlsx":
        os._exit(9)
    return audit_book(path)


def test_a_book_that_ends_its_process_stops_no_other(
    store: list[Made], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    killer = tmp_path / "killer.xlsx"
    killer.write_bytes(store[0].path.read_bytes())
    monkeypatch.setattr(engine, "audit_book", _ends_its_process)
    books = [str(killer), *_books(store)]
    assert main(["audit", *books, "--jobs", "2", "--format", "json", "-o", str(tmp_path / "all.json")]) == 2
    assert f"{killer}: the process that audited it ended" in capsys.readouterr().err
    audited = json.loads((tmp_path / "all.json").read_text(encoding="utf-8"))
    assert len(audited["results"]) == len(store)


@pytest.mark.parametrize("terminal", [True, False])
def test_progress_is_shown_on_a_terminal_only(terminal: bool, large: Large, tmp_path: Path) -> None:
    ours, theirs = os.openpty()
    command = [sys.executable, "-m", "xlfuncs", "audit", str(large.path), "--format", "json"]
    with subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=theirs if terminal else subprocess.PIPE,
        env=os.environ | {"TERM": "xterm"},
    ) as process:
        os.close(theirs)
        shown = b""
        reader = ThreadPoolExecutor(1).submit(_all_of, ours)
        report, errors = process.communicate(timeout=120)
        shown = reader.result(timeout=10)
    assert len(json.loads(report)["findings"]) == len(large.planted)
    assert (large.path.name.encode() in shown) == terminal
    assert terminal or errors == b""


def _all_of(handle: int) -> bytes:
    out = b""
    try:
        while piece := os.read(handle, 4096):
            out += piece
    except OSError:  # the other end is closed
        pass
    return out
