"""Runs that are ended from outside, at any moment: nothing of ours stays beside the workbook."""

from __future__ import annotations

import contextlib
import os
import random
import signal
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import IO

import openpyxl
import pytest

from tests.test_commission import index
from xlfuncs.cli._signals import Stopped, in_order
from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.files import whole_file

AFTER_START = (0.3, 3.0)
"""Seconds; the moments are drawn from a seed."""
NOT_OURS = {".xlfuncs-notes.txt", "index.xlsx.part", ".other-0123456789abcdef.part"}


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workbook of which the copy takes a second to write."""
    rows = [{"Tag": f"LG-{number}", "Remarks": ""} for number in range(30)]
    path = index(tmp_path_factory.mktemp("book") / "index.xlsx", *({"Tag": row["Tag"]} for row in rows))
    made = openpyxl.load_workbook(path)
    sheet = made.active
    assert sheet is not None
    sheet["AH1"] = "Level"
    for row in range(2, 32):
        sheet[f"AH{row}"] = f"=LG_CURRENT_TO_LEVEL(12,0,{row})"
    made.save(path)
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr("xl/media/photo.bin", random.Random(1).randbytes(24_000_000))
    return path


def _folder(book: Path, tmp_path: Path) -> Path:
    os.link(book, tmp_path / "index.xlsx")
    for name in NOT_OURS:
        (tmp_path / name).write_text("somebody else's")
    return tmp_path


def _start(folder: Path, *arguments: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "xlfuncs", *arguments]
    return subprocess.Popen(
        command,
        cwd=folder,
        text=True,
        stderr=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        start_new_session=True,
        preexec_fn=_as_usual,
    )


def _as_usual() -> None:
    """Signals as they are in a terminal: whoever runs the tests in the background may have them ignored."""
    for number in (signal.SIGHUP, signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_DFL)


def _strays(folder: Path) -> set[str]:
    return {entry.name for entry in folder.iterdir()} - NOT_OURS - {"index.xlsx", "out.xlsx"}


def _when_it_writes(folder: Path, process: subprocess.Popen[str]) -> None:
    """Wait until a draft is there."""
    while not _strays(folder) and process.poll() is None:
        time.sleep(0.002)


def _at_any_moment(folder: Path, process: subprocess.Popen[str]) -> None:
    chance = random.Random(str(folder.name))
    with contextlib.suppress(subprocess.TimeoutExpired):
        process.wait(chance.uniform(*AFTER_START))


RECALCULATE = ("recalculate", "index.xlsx", "-o", "out.xlsx")
COMMISSION = ("commission", "index.xlsx", "--all", "-o", "out.xlsx")


@pytest.mark.parametrize(
    ("number", "arguments", "moment"),
    [
        (signal.SIGTERM, RECALCULATE, _when_it_writes),
        (signal.SIGHUP, RECALCULATE, _when_it_writes),
        (signal.SIGINT, RECALCULATE, _when_it_writes),
        (signal.SIGTERM, RECALCULATE, _at_any_moment),
        (signal.SIGHUP, COMMISSION, _at_any_moment),
        (signal.SIGINT, RECALCULATE, _at_any_moment),
        (signal.SIGTERM, COMMISSION, _when_it_writes),
    ],
)
def test_a_signal_to_end_leaves_nothing(
    number: signal.Signals,
    arguments: tuple[str, ...],
    moment: Callable[[Path, subprocess.Popen[str]], None],
    book: Path,
    tmp_path: Path,
) -> None:
    for attempt in range(10):  # on a busy machine a run may end between the draft and the signal
        (part := tmp_path / str(attempt)).mkdir()
        folder = _folder(book, part)
        process = _start(folder, *arguments)
        moment(folder, process)
        process.send_signal(number)
        _, said = process.communicate(timeout=60)
        assert _strays(folder) == set()
        if moment is not _when_it_writes or process.returncode != 0:
            break
    if moment is _when_it_writes:
        assert process.returncode == 128 + number
        assert not (folder / "out.xlsx").exists()
        words = "interrupted" if number == signal.SIGINT else f"stopped by {number.name}"
        assert said == f"xlfuncs: {words}\n"


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_package_that_cannot_be_closed_does_not_hide_the_request_to_end(
    number: signal.Signals, tmp_path: Path
) -> None:
    def write() -> None:
        with in_order(), zipfile.ZipFile(tmp_path / "out.xlsx", "w") as archive:
            parts.append(archive.open("part", "w"))  # open, as it is where the signal finds a library
            signal.raise_signal(number)

    parts: list[IO[bytes]] = []
    before = signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background ignores it
    try:
        with pytest.raises(KeyboardInterrupt if number == signal.SIGINT else Stopped):
            write()
    finally:
        signal.signal(signal.SIGINT, before)
    parts[0].close()


def test_what_no_program_can_clear_away_the_next_run_sweeps(book: Path, tmp_path: Path) -> None:
    folder = _folder(book, tmp_path)
    process = _start(folder, *RECALCULATE)
    _when_it_writes(folder, process)
    process.kill()
    process.communicate(timeout=60)
    [stray] = _strays(folder)
    with whole_file(folder / "out.xlsx") as draft:  # a young one may be another run's, which goes on
        draft.write_text("new")
    assert _strays(folder) == {stray}
    os.utime(folder / stray, (time.time() - 700,) * 2)
    with whole_file(folder / "out.xlsx") as draft:
        draft.write_text("newer")
    assert _strays(folder) == set()
    assert {entry.name for entry in folder.iterdir()} >= NOT_OURS


def test_a_signal_that_is_ignored_stays_so(book: Path, tmp_path: Path) -> None:
    """As under nohup."""
    folder = _folder(book, tmp_path)
    code = (
        "import signal, sys; signal.signal(signal.SIGHUP, signal.SIG_IGN); from xlfuncs.cli import main; "
        f"sys.exit(main({list(RECALCULATE)}))"
    )
    process = subprocess.Popen([sys.executable, "-c", code], cwd=folder, stderr=subprocess.DEVNULL)
    _when_it_writes(folder, process)  # type: ignore[arg-type]
    process.send_signal(signal.SIGHUP)
    assert process.wait(60) == 0
    assert (folder / "out.xlsx").exists()


# --- the file that is written -------------------------------------------------------------------------


def test_nothing_is_there_before_it_is_written(tmp_path: Path) -> None:
    with contextlib.suppress(RuntimeError), whole_file(tmp_path / "out.txt") as draft:
        assert list(tmp_path.iterdir()) == []
        draft.write_text("half")
        assert list(tmp_path.iterdir()) == [draft]
        raise RuntimeError
    assert list(tmp_path.iterdir()) == []


def test_a_file_gets_the_rights_that_new_files_get(tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        with whole_file(tmp_path / "out.txt") as draft:
            draft.write_text("whole")
    finally:
        os.umask(before)
    assert (tmp_path / "out.txt").stat().st_mode & 0o777 == 0o640


def test_a_folder_that_takes_no_file_is_told_before_the_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with (
        pytest.raises(XlfuncsError, match=r"there is no folder .*; make it first"),
        whole_file(tmp_path / "no" / "out.txt"),
    ):
        pytest.fail("it began")
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    with pytest.raises(XlfuncsError, match="write-protected; name another"), whole_file(tmp_path / "out.txt"):
        pytest.fail("it began")
