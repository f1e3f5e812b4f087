"""Findings accepted in the annotated copy, by tag, rule and service; calculations in Calc."""

from __future__ import annotations

import subprocess
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.layouts import LAYOUTS, build
from xlfuncs.audit.acceptance import read_acceptances
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.model import AuditResult
from xlfuncs.errors import XlfuncsError
from xlfuncs.report import _consequence, workbook

HEAVY = {"fluid_density": "880 kg/m3", "fluid": "Blend 7"}
WHO = {
    "who": "B. Reviewer",
    "when": date(2026, 3, 2),
    "why": "scale set for this density",
    "until": date(2999, 1, 1),
}


def accepted(path: Path, **which: str) -> list[tuple[str, str]]:
    """(tag, rule) of what an acceptance takes out of the findings."""
    result = audit_book(path, acceptances=read_acceptances([WHO | which], "accept.toml"))
    return [(f.tag, f.rule) for f in result.accepted[0].findings]


@pytest.fixture
def index(tmp_path: Path) -> Path:
    rows = [
        HEAVY | {"tag": "LG-1", "service": "Saturated drum V-1"},
        HEAVY | {"tag": "LG-2", "service": "Slop tank"},
        {"tag": "LG-3", "chamber_material": "A105"},
    ]
    return build(tmp_path / "a.xlsx", LAYOUTS[0], rows).path


def test_one_acceptance_covers_a_rule_a_service_or_the_tags_of_a_pattern(index: Path) -> None:
    offset = "offset-exceeds-tolerance"
    assert accepted(index, rule=offset) == [("LG-1", offset), ("LG-2", offset)]
    assert accepted(index, rule=offset, tag="LG-2*") == [("LG-2", offset)]
    assert accepted(index, tag="lg-*") == [("LG-1", offset), ("LG-2", offset), ("LG-3", "chamber-magnetic")]


def test_an_acceptance_of_nothing_is_refused() -> None:
    with pytest.raises(XlfuncsError, match=r"it covers nothing; write tag"):
        read_acceptances([WHO], "accept.toml")


@pytest.fixture
def drums(tmp_path: Path) -> Path:
    """Two gauges on boiling water, of one service and of another."""
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    page.append(
        ["Tag", "Service", "Fluid", "Density (kg/m3)", "Operating pressure (barg)", "Operating temp. (C)"]
    )
    page.append(["LG-1", "Saturated drum V-1", "Water", 887, 9, 179])
    page.append(["LG-2", "Hot well", "Water", 887, 9, 179])
    book.save(tmp_path / "drums.xlsx")
    return tmp_path / "drums.xlsx"


def test_a_service_is_accepted_by_words_of_its_name(drums: Path) -> None:
    rule = "fluid-boils-in-chamber"
    assert accepted(drums, rule=rule) == [("LG-1", rule), ("LG-2", rule)]
    assert accepted(drums, rule=rule, service="saturated drum") == [("LG-1", rule)]


def copy_of(path: Path, target: Path) -> tuple[AuditResult, Path]:
    result = audit_book(path)
    return result, workbook.write(result, path, target)[0]


def fill(path: Path, row: int, *values: Any) -> None:
    book = openpyxl.load_workbook(path)
    page = book["Findings"]
    heads = [cell.value for cell in page[1]]
    for name, value in zip(("Accepted by", "Why", "Until"), values, strict=True):
        page.cell(row, heads.index(name) + 1).value = value
    book.save(path)


@pytest.mark.parametrize("until", [date(2999, 1, 1), "2999-01-01"])
def test_what_was_accepted_in_the_copy_is_read_back_and_stays_in_the_next_copies(
    index: Path, tmp_path: Path, until: object
) -> None:
    first, path = copy_of(index, tmp_path / "one.xlsx")
    fill(path, 2, "B. Reviewer", "scale set for it", until)
    second, again = copy_of(path, tmp_path / "two.xlsx")
    assert len(second.findings) == len(first.findings) - 1
    (entry,) = second.accepted
    assert (entry.state, entry.who, entry.why, entry.until) == (
        "used", "B. Reviewer", "scale set for it", date(2999, 1, 1),
    )  # fmt: skip
    third, _ = copy_of(again, tmp_path / "three.xlsx")
    assert [(one.tag, one.rule, one.until) for one in third.accepted] == [
        (entry.tag, entry.rule, entry.until)
    ]
    assert audit_book(index, since=again).accepted[0].state == "used"


@pytest.mark.parametrize(
    ("values", "words"),
    [
        (("B. Reviewer", None, date(2999, 1, 1)), "'Why' is blank"),
        (("B. Reviewer", "so", "1/2/2030"), "no date that can be read in one way only; write 2027-03-01"),
        (("B. Reviewer", "so", "for ever"), "no date that can be read in one way only; write 2027-03-01"),
    ],
)
def test_a_half_filled_acceptance_names_its_cell(
    index: Path, tmp_path: Path, values: tuple[object, ...], words: str
) -> None:
    _, path = copy_of(index, tmp_path / "one.xlsx")
    fill(path, 2, *values)
    with pytest.raises(XlfuncsError, match=r"one\.xlsx: Findings![L-N]2") as caught:
        audit_book(path)
    assert words in str(caught.value)


@pytest.mark.parametrize("until", ["31.12.2999", "1.2.2999", "31/12/2999", "12/31/2999"])
def test_a_day_that_can_be_no_other_is_read_as_it_was_typed(index: Path, tmp_path: Path, until: str) -> None:
    _, path = copy_of(index, tmp_path / "one.xlsx")
    fill(path, 2, "B. Reviewer", "so", until)
    assert audit_book(path).accepted[0].until.year == 2999


def test_an_acceptance_that_has_ended_accepts_nothing_and_is_listed(index: Path, tmp_path: Path) -> None:
    before, path = copy_of(index, tmp_path / "one.xlsx")
    fill(path, 2, "B. Reviewer", "so", date(2020, 1, 1))
    result = audit_book(path)
    assert [entry.state for entry in result.accepted] == ["expired"]
    assert len(result.findings) == len(before.findings)


def changed(path: Path, change: Any) -> Path:
    book = openpyxl.load_workbook(path)
    change(book["Findings"])
    book.save(path)
    return path


def put_a_title_above(page: Any) -> None:
    page.insert_rows(1, 2)
    page["A1"] = "Meeting of May 3"


def name_a_heading_otherwise(page: Any) -> None:
    page["B1"] = "Schwere"


def delete_a_column(page: Any) -> None:
    page.delete_cols([cell.value for cell in page[1]].index("Found") + 1)


def sort_and_delete(page: Any) -> None:
    rows = [[cell.value for cell in row] for row in page.iter_rows(min_row=2)][::-1][:-1]
    page.delete_rows(2, page.max_row)
    for row in rows:
        page.append(row)


def name_the_sheet_otherwise(page: Any) -> None:
    page.title = "Befunde"


@pytest.mark.parametrize(
    "change",
    [put_a_title_above, name_a_heading_otherwise, delete_a_column, sort_and_delete, name_the_sheet_otherwise],
)
def test_an_acceptance_is_read_from_a_sheet_that_was_worked_on(
    change: Any, index: Path, tmp_path: Path
) -> None:
    first, path = copy_of(index, tmp_path / "one.xlsx")
    page = openpyxl.load_workbook(path)["Findings"]
    fill(path, page.max_row, "B. Reviewer", "so", date(2999, 1, 1))
    result = audit_book(changed(path, change))
    assert [(one.state, one.rule) for one in result.accepted] == [("used", page.cell(page.max_row, 5).value)]
    assert [one.sheet for one in result.reading.lists] == [one.sheet for one in first.reading.lists]


def test_what_is_written_where_nothing_is_read_is_refused_by_its_cell(index: Path, tmp_path: Path) -> None:
    _, path = copy_of(index, tmp_path / "one.xlsx")
    fill(path, 2, "B. Reviewer", "so", date(2999, 1, 1))
    other = tmp_path / "other.xlsx"
    other.write_bytes(path.read_bytes())

    def translate(page: Any) -> None:
        page.cell(1, [cell.value for cell in page[1]].index("Accepted by") + 1).value = "Akzeptiert von"

    with pytest.raises(XlfuncsError, match=r"Findings!K2: 'B. Reviewer' stands under 'Akzeptiert von'"):
        audit_book(changed(path, translate))
    with pytest.raises(XlfuncsError, match=r"Findings!N2: 'ok for me' stands under no heading"):
        audit_book(changed(other, lambda page: page.cell(2, page.max_column + 1, "ok for me")))


def test_of_two_findings_of_one_rule_and_gauge_only_the_one_is_accepted(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    page.append(["Tag", "Density (kg/m3)", "Operating pressure (barg)", "Design pressure (barg)"])
    page.append(["LG-1", "870,5", "4,5", 10])
    book.save(tmp_path / "two.xlsx")
    first, path = copy_of(tmp_path / "two.xlsx", tmp_path / "one.xlsx")
    cells = [f.cell for f in first.findings if f.rule == "number-as-text"]
    assert len(cells) == 2
    rows = openpyxl.load_workbook(path)["Findings"].iter_rows(min_row=2, max_col=4, values_only=True)
    number = next(n for n, row in enumerate(rows, 2) if str(row[3]).endswith(cells[0]))
    fill(path, number, "B. Reviewer", "so", date(2999, 1, 1))
    assert [f.cell for f in audit_book(path).findings] == cells[1:]


def by_hand(path: Path, row: int, **values: Any) -> None:
    book = openpyxl.load_workbook(path)
    page = book["Accepted"]
    heads = [cell.value for cell in page[1]]
    for name, value in values.items():
        page.cell(row, heads.index(name) + 1).value = value
    book.save(path)


def test_a_rule_or_a_service_is_accepted_in_a_free_row_of_the_copy(drums: Path, tmp_path: Path) -> None:
    rule, end = "fluid-boils-in-chamber", date(2999, 1, 1)
    _, path = copy_of(drums, tmp_path / "one.xlsx")
    by_hand(path, 3, Rule=rule, Service="saturated drum", Who="B. Reviewer", Why="boils", Until=end)
    second, again = copy_of(path, tmp_path / "two.xlsx")
    (entry,) = second.accepted
    assert (entry.state, entry.when, [f.tag for f in entry.findings]) == ("used", date.today(), ["LG-1"])
    third, _ = copy_of(again, tmp_path / "three.xlsx")
    assert [(one.rule, one.service) for one in third.accepted] == [(rule, "saturated drum")]
    by_hand(path, 3, Who=None)
    with pytest.raises(XlfuncsError, match=r"Accepted!F3: 'Who' is blank"):
        audit_book(path)


def test_cells_are_coloured_and_numbered_once_and_keep_what_is_in_them(index: Path, tmp_path: Path) -> None:
    result, path = copy_of(index, tmp_path / "one.xlsx")
    _, again = copy_of(path, tmp_path / "two.xlsx")
    old = openpyxl.load_workbook(index).worksheets[0]
    for made in (path, again):
        page = openpyxl.load_workbook(made).worksheets[0]
        coloured = [str(r) for f in page.conditional_formatting for r in f.sqref.ranges]
        assert sorted(coloured) == sorted({f.cell for f in result.findings})
        assert page.print_title_rows
        for row in old.iter_rows():
            for cell in row:
                other = page[cell.coordinate]
                assert (other.value, repr(other.fill)) == (cell.value, repr(cell.fill))


def formats_of_numbers(path: Path) -> set[str]:
    column = [row[3] for row in openpyxl.load_workbook(path)["Calculations"].iter_rows(min_row=2)]
    return {
        cell.number_format
        for cell in column
        if isinstance(cell.value, (int, float)) or str(cell.value or "").startswith("=")
    }


@pytest.mark.parametrize("own", ["General", "@ "])
def test_numbers_of_calculations_keep_their_formats_whatever_the_book_has_of_its_own(
    own: str, index: Path, tmp_path: Path
) -> None:
    """A number typed into a cell whose format is text would be a text."""
    book = openpyxl.load_workbook(index)
    book.worksheets[0]["A1"].number_format = own  # takes the first number that is free
    mixed = tmp_path / "mixed.xlsx"
    book.save(mixed)
    _, path = copy_of(mixed, tmp_path / "one.xlsx")
    found = formats_of_numbers(path)
    assert found <= {"General", "#,##0", "0.0000##", "0.00000E+00"}
    assert len(found) > 1


@pytest.mark.calc
def test_a_changed_cell_changes_the_verdict_in_calc(index: Path, tmp_path: Path) -> None:
    _, path = copy_of(index, tmp_path / "one.xlsx")
    book = openpyxl.load_workbook(path)
    kept = openpyxl.load_workbook(path, data_only=True)["Calculations"]
    rows = {row[2].value: row[0].row for row in kept.iter_rows() if row[0].value}
    head = rows["LG-1: offset-exceeds-tolerance"]
    assert kept.cell(head, 4).value == "finding"
    density = next(r for r in range(head, kept.max_row) if kept.cell(r, 2).value == "rho")
    place = audit_book(index).findings[0].cell
    assert f"Index!{place}" in str(book["Calculations"].cell(density, 4).value).replace("$", "")
    page = book.worksheets[0]
    page[place].value = page.cell(page[place].row + 2, page[place].column).value
    book.save(tmp_path / "changed.xlsx")
    command = ["soffice", f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to"]
    command += ["xlsx", "--outdir", str(tmp_path / "calc"), str(tmp_path / "changed.xlsx")]
    subprocess.run(command, capture_output=True, timeout=180, check=True)
    after = openpyxl.load_workbook(tmp_path / "calc" / "changed.xlsx", data_only=True)["Calculations"]
    assert after.cell(head, 4).value == "in order"
    assert after.cell(rows["LG-2: offset-exceeds-tolerance"], 4).value == "finding"


def test_each_rule_that_is_named_for_its_consequence_is_named_once() -> None:
    named = [rule for rules in _consequence._OF_RULES.values() for rule in rules]
    assert len(named) == len(set(named))
