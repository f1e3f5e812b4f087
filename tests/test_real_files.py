"""Spreadsheets that others have made, whole and spoilt: read as another reader does, or refused in a line.

They come with the sources of general-purpose readers (`.ci/setup test` fetches them), with xlwings and with
LibreOffice.
"""

from __future__ import annotations

import hashlib
import random
import shutil
import tarfile
import warnings
from datetime import date, datetime, time, timedelta
from importlib.util import find_spec
from pathlib import Path, PurePath
from typing import Any

import openpyxl
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.test_reader import MUTATED, Limit, spoil_file
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.reader import load_grid, read_book
from xlfuncs.spreadsheet.kept import formula_cells

SOURCES = Path(__file__).parents[1] / ".venv" / "spreadsheets"
SUFFIXES = (".xlsx", ".xlsm", ".xls", ".xlsb", ".ods")
LEAST = 30


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder = tmp_path_factory.mktemp("real")
    for source in sorted(SOURCES.glob("*.tar.gz")):
        with tarfile.open(source) as archive:
            for member in archive.getmembers():
                if member.isfile() and member.name.lower().endswith(SUFFIXES):
                    content = archive.extractfile(member)
                    assert content is not None
                    (folder / PurePath(member.name).name).write_bytes(content.read())
    spec = find_spec("xlwings")
    assert spec is not None and spec.origin is not None
    for path in Path(spec.origin).parent.glob("*.xlsm"):
        shutil.copy(path, folder)
    program = shutil.which("soffice")
    assert program is not None, "LibreOffice is missing: run .ci/setup test"
    for path in sorted((Path(program).resolve().parents[1] / "share" / "template").rglob("*.ots")):
        shutil.copy(path, folder / f"{path.stem}.ods")
    found = sorted(folder.iterdir())
    assert len(found) >= LEAST, f"only {len(found)} files: run .ci/setup test, which fetches {SOURCES}"
    return found


def _outcome(path: Path) -> str:
    """ "read" or the line by which the file is refused; nothing else may happen."""
    before, said = hashlib.sha256(path.read_bytes()).digest(), "read"
    for look in (load_grid, lambda path: read_book(path, need_index=False), formula_cells):
        try:
            with Limit(max(20, 10 * path.stat().st_size / 1e6)):
                look(path)
        except XlfuncsError as error:
            said = str(error)
            assert len(said.splitlines()) == 1
            assert str(path) in said
    assert hashlib.sha256(path.read_bytes()).digest() == before
    return said


def test_all_are_read(files: list[Path]) -> None:
    said = {path.name: _outcome(path) for path in files}
    assert said.pop("empty.ods").endswith("is empty: none of its 1 sheets holds a value")
    assert said == dict.fromkeys(said, "read")
    spread = next(path for path in files if path.name == "pythagoras-kspread.ods")
    assert [value for _, _, value in load_grid(spread)[0].filled()] == [3, 4, 5, 7]


def _plain(value: Any) -> Any:
    """A value as both readers give it."""
    if isinstance(value, bool):
        return value
    if isinstance(value, int | float):
        return pytest.approx(float(value))
    if isinstance(value, datetime | date | time | timedelta):
        return "a date or a time"
    return str(value).replace("\r\n", "\n").strip()


def test_cells_are_those_that_openpyxl_gives(files: list[Path]) -> None:
    compared = 0
    for path in files:
        if path.suffix not in (".xlsx", ".xlsm"):
            continue
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            try:
                book = openpyxl.load_workbook(path, data_only=True)
            except (KeyError, ValueError):  # it demands parts that are not there
                continue
        for grid in load_grid(path):
            theirs = {
                (cell.row, cell.column): _plain(cell.value)
                for row in book[grid.sheet].iter_rows()
                for cell in row
                if cell.value is not None and str(cell.value).strip()
            }
            ours = {(row, col): _plain(value) for row, col, value in grid.filled() if str(value).strip()}
            assert ours == theirs, f"{path.name} {grid.sheet}"
            compared += len(ours)
    assert compared > 500


@MUTATED
@given(seed=st.integers(0, 2**32), cut=st.booleans())
@example(seed=19798, cut=False)  # a name in the archive that is no text
def test_spoilt_copies(
    files: list[Path], tmp_path_factory: pytest.TempPathFactory, seed: int, cut: bool
) -> None:
    chance = random.Random(seed)
    source = chance.choice(files)
    path = tmp_path_factory.mktemp("spoilt") / source.name
    shutil.copy(source, path)
    spoil_file(path, chance, cut)
    _outcome(path)
    shutil.rmtree(path.parent)
