"""Files up to 20 MB, ordinary and made to ask for gigabytes: the audit stays below 1 GiB."""

from __future__ import annotations

import json
import subprocess
import sys
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from tests.test_reader import HEAD, NS, ROWS, sheet_xml, tiny, unpacked
from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.budget import Budget, shared_numbers
from xlfuncs.spreadsheet.ooxml import Reach

LIMIT = 1 << 30
SHEET = "xl/worksheets/sheet1.xml"
INDEX = sheet_xml([HEAD, *ROWS])


def packed(path: Path, part: str, *pieces: tuple[str, int]) -> Path:
    """The tiny workbook with one part of texts that are repeated."""
    parts = unpacked(tiny(path, INDEX))
    parts.pop(part, None)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
        with archive.open(part, "w") as stream:
            for text, times in pieces:
                for count in _portions(times):
                    stream.write((text * count).encode())
    return path


def _portions(times: int) -> Iterator[int]:
    while times > 0:
        yield min(times, 10_000)
        times -= 10_000


def one_text_in_half_a_million_cells(path: Path) -> Path:
    strings = f"<sst {NS}><si><t>{'long ' * 6000}</t></si></sst>"
    cells = '<row><c t="s"><v>0</v></c><c t="s"><v>0</v></c></row>'
    head = INDEX.split("</sheetData>")[0]
    packed(path, SHEET, (head, 1), (cells, 250_000), ("</sheetData></worksheet>", 1))
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/sharedStrings.xml", strings)
    return path


def a_text_of_100_megabytes(path: Path) -> Path:
    head = INDEX.replace("</sheetData></worksheet>", '<row r="9"><c r="A9" t="inlineStr"><is><t>')
    return packed(path, SHEET, (head, 1), ("ten letter" * 10, 1_000_000), ("</t></is></c></row>", 1))


def ten_million_shared_texts(path: Path) -> Path:
    return packed(path, "xl/sharedStrings.xml", (f"<sst {NS}>", 1), ("<si><t>a</t></si>", 10_000_000))


def five_million_merged_ranges(path: Path) -> Path:
    head = INDEX.replace("</worksheet>", "<mergeCells>")
    return packed(
        path, SHEET, (head, 1), ('<mergeCell ref="A5:B5"/>', 5_000_000), ("</mergeCells></worksheet>", 1)
    )


def a_million_hidden_columns(path: Path) -> Path:
    head, rest = INDEX.split("<sheetData>")
    cols = '<col min="1" max="16384" hidden="1"/>'
    return packed(path, SHEET, (head + "<cols>", 1), (cols, 1_000_000), ("</cols><sheetData>" + rest, 1))


def five_million_cell_formats(path: Path) -> Path:
    return packed(
        path,
        "xl/styles.xml",
        (f"<styleSheet {NS}><cellXfs>", 1),
        ('<xf fontId="0"/>', 5_000_000),
        ("</cellXfs></styleSheet>", 1),
    )


def ten_million_lines(path: Path) -> Path:
    path = path.with_suffix(".csv")
    path.write_text(",".join(HEAD) + "\n" + "a\n" * 9_900_000)
    return path


def a_cell_repeated_to_the_edges(path: Path) -> Path:
    path = path.with_suffix(".ods")
    spaces = {
        name: f"urn:oasis:names:tc:opendocument:xmlns:{name}:1.0" for name in ("office", "table", "text")
    }
    declared = " ".join(f'xmlns:{name}="{space}"' for name, space in spaces.items())
    cell = (
        '<table:table-cell office:value-type="float" office:value="1" table:number-columns-repeated="16384"/>'
    )
    row = f'<table:table-row table:number-rows-repeated="1048576">{cell}</table:table-row>'
    content = (
        f"<office:document-content {declared}><office:body><office:spreadsheet>"
        f'<table:table table:name="Index">{row}</table:table>'
        "</office:spreadsheet></office:body></office:document-content>"
    )
    with zipfile.ZipFile(path, "w") as archive:
        kind = "application/vnd.oasis.opendocument.spreadsheet"
        archive.writestr("mimetype", kind)
        archive.writestr(
            "META-INF/manifest.xml",
            '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
            f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{kind}"/></manifest:manifest>',
        )
        archive.writestr("content.xml", content)
    return path


LOOK = """
import json, resource, sys
from pathlib import Path
from xlfuncs.audit.engine import audit_book
from xlfuncs.errors import XlfuncsError
try:
    said = f"{audit_book(Path(sys.argv[1])).rows_audited} rows"
except XlfuncsError as error:
    said = str(error)
used = [resource.getrusage(who).ru_maxrss * 1024 for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
print(json.dumps([max(used), said]))
"""


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (one_text_in_half_a_million_cells, "MB in its cells, more than are read of a file of its size"),
        (a_text_of_100_megabytes, "longer than any can be"),
        (ten_million_shared_texts, "more than are read of a file of its size"),
        (five_million_merged_ranges, "5,000,000 merged ranges, more than are read of a file of its size"),
        (a_million_hidden_columns, "2 rows"),
        (five_million_cell_formats, "more cell formats than a workbook can"),
        (ten_million_lines, "rows, more than are read of a file of its size"),
        (a_cell_repeated_to_the_edges, "cannot be read"),
    ],
    ids=lambda value: getattr(value, "__name__", ""),
)
def test_a_small_file_cannot_ask_for_gigabytes(
    make: Callable[[Path], Path], said: str, tmp_path: Path
) -> None:
    path = make(tmp_path / "index.xlsx")
    assert path.stat().st_size < 20_000_000
    done = subprocess.run(
        [sys.executable, "-c", LOOK, str(path)], capture_output=True, text=True, check=True, timeout=300
    )
    used, told = json.loads(done.stdout)
    assert used < LIMIT
    assert said in told
    assert len(told.splitlines()) == 1


def test_numbers_of_shared_texts_are_read_as_programs_write_them() -> None:
    numbers = [0, 7, 12, 345_678, 99_999_999]
    xml = "".join(f'<c r="A1" s="3" t="s"><v>{number}</v></c><c><v>5</v></c>' for number in numbers)
    assert np.array_equal(shared_numbers(xml.encode()), numbers)
    assert len(shared_numbers(b"")) == 0


def test_a_larger_file_may_hold_more(tmp_path: Path) -> None:
    small, large = tmp_path / "small.xlsx", tmp_path / "large.xlsx"
    for path, size in ((small, 1_000_000), (large, 60_000_000)):
        with path.open("wb") as file:
            file.truncate(size)
    sheet = Reach(row=100_000, col=100, values=10_000_000)
    with pytest.raises(
        XlfuncsError, match="10,000,000 cells with a value in 100,000 rows, more than are read"
    ):
        Budget(small).take(sheet, tuple)
    budget = Budget(large)
    budget.take(sheet, tuple)
    with pytest.raises(XlfuncsError, match="20,000,000 cells"):
        budget.take(sheet, tuple)
