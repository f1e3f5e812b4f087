"""The reports as the command writes them: several books, several processes, folders, names of files."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.layouts import LAYOUTS, build
from xlfuncs.cli import main

SINKS = {"fluid_density": "690 kg/m3", "fluid": "Blend 7"}
ACCEPT = """
[[accept]]
tag = "LG-1000"
rule = "float-sinks"
who = "B. Reviewer"
when = 2026-03-02
why = "float weighed on site"
until = 2999-01-01
"""


@pytest.fixture
def books(tmp_path: Path) -> list[Path]:
    """Three indexes: one with an error, a sound one, and one with a warning."""
    folder = tmp_path / "in"
    folder.mkdir()
    gap: dict[str, Any] = {"viscosity": None}
    rows: dict[str, list[dict[str, Any]]] = {
        "bad": [SINKS, gap, {}, {}],
        "good": [gap],
        "odd": [gap | {"tag": "GAUGE-1"}],
    }
    return [build(folder / f"{name}.xlsx", LAYOUTS[0], made).path for name, made in rows.items()]


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_several_books_are_reported_in_their_order_with_a_table_of_them(
    books: list[Path], capsys: pytest.CaptureFixture[str], jobs: str
) -> None:
    assert main(["audit", *map(str, books), "--format", "text", "--jobs", jobs]) == 1
    out = capsys.readouterr().out
    assert re.findall(r"^(\w+\.xlsx)$", out, re.M) == ["bad.xlsx", "good.xlsx", "odd.xlsx"]
    assert out.count("ERROR  float-sinks  ") == 1
    table = out[out.rindex("workbook  ") :].splitlines()
    assert [line.split()[::2] for line in table[1:]] == [
        ["bad.xlsx", "1", "0"],
        ["good.xlsx", "0", "0"],
        ["odd.xlsx", "0", "0"],
    ]
    assert table[3].split()[-2:] == ["1", "0"]


def test_two_processes_give_the_same_text_as_one(
    books: list[Path], capsys: pytest.CaptureFixture[str]
) -> None:
    shown = []
    for jobs in ("1", "2"):
        main(["audit", *map(str, reversed(books)), "--format", "text", "--jobs", jobs])
        shown.append(capsys.readouterr().out)
    assert shown[0] == shown[1]


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_a_book_that_cannot_be_read_gives_status_2_and_the_others_their_reports(
    books: list[Path], capsys: pytest.CaptureFixture[str], jobs: str
) -> None:
    books[1].write_text("no workbook")
    assert main(["audit", *map(str, books), "--format", "text", "--jobs", jobs, "--fail-on", "never"]) == 2
    told = capsys.readouterr()
    assert "good.xlsx" in told.err
    assert told.err.count("\n") == 1
    assert re.findall(r"^(\w+\.xlsx)$", told.out, re.M) == ["bad.xlsx", "odd.xlsx"]


def test_no_table_stands_where_no_book_could_be_audited(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["audit", str(tmp_path / "a.xlsx"), str(tmp_path / "b.xlsx"), "--format", "text"]) == 2
    told = capsys.readouterr()
    assert (told.out, told.err.count("\n")) == ("", 2)


@pytest.mark.parametrize(("book", "status"), [("bad", 1), ("good", 0), ("odd", 0)])
def test_the_exit_status_is_that_of_the_findings(books: list[Path], book: str, status: int) -> None:
    path = next(path for path in books if path.stem == book)
    assert main(["audit", str(path), "--format", "text"]) == status


def test_each_book_gets_an_annotated_copy_beside_it(
    books: list[Path], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["audit", *map(str, books), "--jobs", "2"]) == 1
    assert names(books[0].parent) == sorted(
        [f"{b.stem}.xlsx" for b in books] + [f"{b.stem}.audited.xlsx" for b in books]
    )
    assert capsys.readouterr().err.count("annotated copy: ") == 3


@pytest.mark.parametrize(
    ("format", "ending"),
    [
        ("text", "audit.txt"),
        ("html", "audit.html"),
        ("workbook", "audited.xlsx"),
        ("request", "request.xlsx"),
    ],
)
def test_a_folder_gets_a_report_of_each_book(
    books: list[Path], tmp_path: Path, format: str, ending: str
) -> None:
    out = tmp_path / "new" / "out"
    main(["audit", *map(str, books), "--format", format, "-o", str(out)])
    assert names(out) == sorted(f"{b.stem}.{ending}" for b in books)


@pytest.mark.parametrize("name", ["all.txt", "all.html", "all.csv", "all.json"])
def test_a_named_file_gets_one_report_of_all_books(books: list[Path], tmp_path: Path, name: str) -> None:
    out = tmp_path / name
    main(["audit", *map(str, books), "-o", str(out)])
    text = out.read_text(encoding="utf-8")
    assert all(f"{b.stem}.xlsx" in text for b in books)


def test_one_document_in_a_folder_is_named_after_none_of_the_books(books: list[Path], tmp_path: Path) -> None:
    main(["audit", *map(str, books), "--format", "csv", "-o", str(tmp_path)])
    rows = csv.DictReader(io.StringIO((tmp_path / "audit.csv").read_text(encoding="utf-8-sig")))
    assert {r["workbook"] for r in rows if r["severity"] == "error"} == {"bad.xlsx"}


def test_copies_of_several_books_need_a_folder(
    books: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["audit", *map(str, books), "--format", "workbook", "-o", str(tmp_path / "a.xlsx")]) == 2
    assert "name a folder with -o" in capsys.readouterr().err
    assert names(tmp_path) == ["in"]


def test_reports_of_one_name_are_refused_before_any_is_written(
    books: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other"
    other.mkdir()
    twin = shutil.copy(books[0], other)
    out = tmp_path / "out"
    assert main(["audit", str(books[0]), str(twin), "--format", "html", "-o", str(out)]) == 2
    line = capsys.readouterr().err
    assert str(books[0]) in line
    assert str(twin) in line
    assert names(tmp_path) == ["in", "other"]


def test_a_macro_workbook_keeps_its_ending_in_a_folder(books: list[Path], tmp_path: Path) -> None:
    macro = books[0].rename(books[0].with_suffix(".xlsm"))
    main(["audit", str(macro), "--format", "workbook", "-o", str(tmp_path)])
    assert names(tmp_path) == ["bad.audited.xlsm", "in"]


def test_the_request_of_several_books_in_one_workbook(books: list[Path], tmp_path: Path) -> None:
    out = tmp_path / "ask.xlsx"
    main(["audit", *map(str, books), "--format", "request", "-o", str(out)])
    rows = list(openpyxl.load_workbook(out)["Data request"].iter_rows(values_only=True))
    place = rows[0].index("Workbook")
    assert {row[place] for row in rows[1:]} == {b.name for b in books}
    assert "operating viscosity" in {row[rows[0].index("What is needed")] for row in rows[1:]}


def test_an_older_revision_and_acceptances_reach_every_report(
    books: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    settings = tmp_path / "limits.toml"
    settings.write_text(ACCEPT + ACCEPT.replace("LG-1000", "LG-7777"))
    bad, good, _ = books
    options = ["--since", str(good), "--settings", str(settings)]
    assert main(["audit", str(bad), "--format", "text", *options]) == 0  # the error is accepted
    text = " ".join(capsys.readouterr().out.split())
    assert "Since good.xlsx: 0 new, 0 still open, 0 mended" in text
    assert "LG-1000 float-sinks until 2999-01-01 B. Reviewer, 2026-03-02: float weighed on site" in text
    assert "LG-7777 float-sinks fits no finding" in text
    assert main(["audit", str(good), "--format", "json", "--since", str(bad)]) == 0
    (mended,) = json.loads(capsys.readouterr().out)["mended"]
    assert mended["rule"] == "float-sinks"
    for format in ("html", "csv", "sarif"):
        out = tmp_path / f"report.{format}"
        assert main(["audit", str(bad), "-o", str(out), *options]) == 0
        assert "float weighed on site" in out.read_text(encoding="utf-8")
    main(["audit", str(bad), "--format", "workbook", "-o", str(tmp_path), *options])
    assert "Accepted" in openpyxl.load_workbook(tmp_path / "bad.audited.xlsx").sheetnames


@pytest.mark.parametrize("width", [45, 60, 80, 160])
def test_columns_fit_the_terminal_and_break_no_name(
    books: list[Path], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    assert main(["columns", str(books[0])]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= width
    assert any(re.match(r"[A-Z]+ +\d+%  fluid_density\b", line) for line in lines)
    assert any("100%" in line and "tag" in line for line in lines)


def test_columns_show_markup_in_a_heading_as_it_is(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    planted = build(tmp_path / "a.xlsx", LAYOUTS[0], [{}, {}])
    book = openpyxl.load_workbook(planted.path)
    sheet, _, cell = planted.cells[0, "fluid"].partition("!")
    head = book[sheet][f"{cell.rstrip('0123456789')}1"]
    head.value = f"{head.value} [bold]"
    book.save(planted.path)
    assert main(["columns", str(planted.path)]) == 0
    assert "[bold]" in capsys.readouterr().out
