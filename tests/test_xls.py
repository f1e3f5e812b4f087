"""Files of the formats before 2007: records in a compound file ([MS-CFB], [MS-XLS]), or bare ones."""

from __future__ import annotations

import struct
import subprocess
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.styles import Font

from tests.test_reader import HEAD, ROWS, assert_sound
from xlfuncs.cli import main
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.model import State
from xlfuncs.lists.reader import load_grid, read_book
from xlfuncs.spreadsheet import biff
from xlfuncs.spreadsheet.grid import Grid

BOF, END, FILEPASS, WRITE_PROTECTED, BOUNDSHEET = 0x809, 0x0A, 0x2F, 0x86, 0x85


def record(kind: int, data: bytes = b"") -> bytes:
    return struct.pack("<HH", kind, len(data)) + data


def compound(path: Path, name: str, stream: bytes) -> Path:
    """A compound file with one stream, in sectors of 512 bytes: their table, the directory, the stream."""
    stream = stream.ljust(4096, b"\0")
    sectors = -(-len(stream) // 512)
    table = [0xFFFFFFFD, 0xFFFFFFFE, *range(3, 2 + sectors), 0xFFFFFFFE]
    head = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(16) + struct.pack("<HHHHH", 62, 3, 0xFFFE, 9, 6)
    head += bytes(10) + struct.pack("<8I", 1, 1, 0, 4096, 0xFFFFFFFE, 0, 0xFFFFFFFE, 0)
    head += struct.pack("<109I", 0, *[0xFFFFFFFF] * 108)

    def entry(title: str, kind: int, child: int, start: int, size: int) -> bytes:
        text = (title + "\0").encode("utf-16-le")
        links = struct.pack("<HBBIII", len(text), kind, 1, 0xFFFFFFFF, 0xFFFFFFFF, child)
        return text.ljust(64, b"\0") + links + bytes(36) + struct.pack("<III", start, size, 0)

    directory = entry("Root Entry", 5, 1, 0xFFFFFFFE, 0) + entry(name, 2, 0xFFFFFFFF, 2, len(stream))
    links = struct.pack(f"<{len(table)}I", *table).ljust(512, b"\xff")
    path.write_bytes(head + links + directory.ljust(512, b"\0") + stream.ljust(512 * sectors, b"\0"))
    return path


def by_xor(scrambled: bytes) -> bytes:
    return record(FILEPASS, struct.pack("<HHH", 0, 0x1234, 0x5678)) + scrambled


def by_rc4(scrambled: bytes) -> bytes:
    return record(FILEPASS, struct.pack("<HHH", 1, 1, 1) + bytes(range(48))) + scrambled


def by_rc4_of_the_system(scrambled: bytes) -> bytes:
    return record(FILEPASS, struct.pack("<HHH", 1, 3, 2) + bytes(range(120))) + scrambled


def by_xor_behind_write_protection(scrambled: bytes) -> bytes:
    return record(WRITE_PROTECTED) + by_xor(scrambled)


def by_xor_before_1997(scrambled: bytes) -> bytes:
    return record(FILEPASS, struct.pack("<HH", 0x1234, 0x5678)) + scrambled


@pytest.mark.parametrize(
    ("lock", "stream", "version"),
    [
        (by_xor, "Workbook", 0x600),
        (by_rc4, "Workbook", 0x600),
        (by_rc4_of_the_system, "Workbook", 0x600),
        (by_xor_behind_write_protection, "Workbook", 0x600),
        (by_xor_before_1997, "Book", 0x500),
    ],
)
def test_an_encrypted_file_is_called_so(
    lock: Any, stream: str, version: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    begin = record(BOF, struct.pack("<HHHHII", version, 5, 0x2000, 1997, 0, 0))
    scrambled = record(BOUNDSHEET, b"\x5a" * 20) + record(0xFC, b"\x5a" * 600) + record(END)
    path = compound(tmp_path / "index.xls", stream, begin + lock(scrambled))
    said = (
        f"xlfuncs: {path} is encrypted: remove the password in the spreadsheet program and save it as .xlsx\n"
    )
    for command in ("audit", "columns"):
        assert main([command, str(path)]) == 2
        assert capsys.readouterr().err == said


def test_a_damaged_file_is_not_called_encrypted(tmp_path: Path) -> None:
    begin = record(BOF, struct.pack("<HHHHII", 0x600, 5, 0x2000, 1997, 0, 0))
    for content in (begin, b"", record(END), begin + record(BOUNDSHEET, b"\xff" * 9)):
        path = compound(tmp_path / "index.xls", "Workbook", content)
        with pytest.raises(XlfuncsError, match=r"save it again|is empty") as caught:
            read_book(path)
        assert "encrypted" not in str(caught.value)


def bare(path: Path, rows: Sequence[Sequence[Any]]) -> Path:
    """A sheet as Excel 2 wrote it: bare records, 8-bit texts."""
    out = record(0x09, struct.pack("<HH", 2, 0x10))
    for i, row in enumerate(rows):
        for j, value in enumerate(row):
            place = struct.pack("<HH3s", i, j, b"\0\0\0")
            if isinstance(value, str):
                out += record(0x04, place + bytes([len(value)]) + value.encode("cp1252"))
            else:
                out += record(0x03, place + struct.pack("<d", value))
    path.write_bytes(out + record(END))
    return path


def test_bare_records_are_read(tmp_path: Path) -> None:
    path = bare(tmp_path / "index.xls", [HEAD, *ROWS])
    assert_sound(path)
    encrypted = path.read_bytes().replace(record(END), by_xor_before_1997(record(END)))
    path.write_bytes(encrypted)
    with pytest.raises(XlfuncsError, match="is encrypted"):
        load_grid(path)


@pytest.fixture(scope="module")
def xls(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file as LibreOffice writes it, with hidden, struck, merged and error cells and a date."""
    folder = tmp_path_factory.mktemp("xls")
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (HEAD, *ROWS, ["LG-103", "Oil", "=1/0", "ZF-3", 900], ["LG-104", "Oil", 850, "ZF-3", 900]):
        sheet.append(row)
    sheet.row_dimensions[3].hidden = True
    sheet.column_dimensions["F"].hidden = True
    for cell in sheet[5]:
        cell.font = Font(strike=True)
    sheet["A8"], sheet["B9"], sheet["C9"] = "a remark", date(2024, 5, 17), True
    sheet.merge_cells("A8:C8")
    book.save(folder / "index.xlsx")
    profile = f"-env:UserInstallation=file://{folder}/profile"
    command = ["soffice", profile, "--headless", "--convert-to", "xls", "--outdir", str(folder / "out")]
    subprocess.run([*command, str(folder / "index.xlsx")], check=True, capture_output=True, timeout=120)
    return folder / "out" / "index.xls"


@pytest.mark.calc
def test_error_hidden_and_struck_cells(xls: Path) -> None:
    found = read_book(xls)
    table = found.gauges[0]
    assert list(table.columns["tag"].text) == ["LG-101", "LG-102", "LG-103"]
    assert table.columns["fluid_density"].state.tolist() == [State.OK, State.OK, State.ERROR]
    assert table.hidden.tolist() == [False, True, False]
    assert found.skipped["struck through"] == 1


def _plain(grid: Grid) -> list[tuple[int, int, str]]:
    """Cells with numbers as they are compared: 800 is 800.0, a day is its midnight."""
    return [
        (row, col, str(float(value) if isinstance(value, int) else value).removesuffix(" 00:00:00"))
        for row, col, value in grid.filled()
    ]


@pytest.mark.calc
def test_where_the_compiled_reader_gives_up_the_other_reads_the_same(
    xls: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    [expected] = biff.read_biff(xls)

    def gives_up(path: Path) -> Any:
        raise BaseException("a panic of compiled code")

    monkeypatch.setattr(biff, "calamine_grids", gives_up)
    [grid] = biff.read_biff(xls)
    assert _plain(grid) == _plain(expected)
    for what in ("hidden", "hidden_rows", "hidden_cols", "struck", "merges", "blind"):
        assert getattr(grid, what) == getattr(expected, what), what
    assert (set(grid.hidden_rows), set(grid.hidden_cols), grid.merges) == ({3}, {6}, [(8, 1, 8, 3)])
    assert grid.struck == {(5, col) for col in range(1, 6)}
    assert (4, 3, "#DIV/0!") in set(grid.filled())
