"""Layouts as contractors make them: in each, the audit finds every planted fault, and nothing else.

Each layout is drawn from its number (`tests.generator`); its clean workbook must give no finding, its
planted one each fault at its cell. `python -m tests.test_many_layouts 17` writes layout 17 and says what was
expected.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

import pytest

from tests.generator.layouts import Made, build, choose
from tests.generator.planting import faults
from tests.generator.style import KINDS, Style, draw
from tests.generator.vocabulary import LANGUAGES
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.gauges import label
from xlfuncs.audit.model import AuditResult

LAYOUTS = 300
MEASURED = 40
CHUNK = 10
CLEAN_THAT_DIFFER = 3
"""Of the clean layouts of a chunk."""
PLANTED_FOUND = 0.85
FAULTS = 10
"""Planted in each."""
OFFICE = (".xls", ".ods", ".xlsx")
"""Written by a spreadsheet program."""


def _differences(made: Made, result: AuditResult) -> list[str]:
    """What was found and not planted, or planted and not found; empty if all is well."""
    other = f"[{made.floats.name}]" if made.floats else ""
    places = [(f.rule, f"{f.sheet.removeprefix(other)}!{f.cell}") for f in result.findings]
    found = Counter(places)
    messages = {place: f.message for place, f in zip(places, result.findings, strict=True)}
    out = [f"not found: {rule} at {cell}" for rule, cell in (made.expected - found).elements()]
    out += [f"invented: {key[0]} at {key[1]}: {messages[key]}" for key in (found - made.expected).elements()]
    if result.rows_audited != made.gauges:
        out.append(f"{result.rows_audited} gauges were audited, {made.gauges} stand in the list")
    if out:
        out += [f"doubt: {doubt['text']}" for doubt in result.doubts]
        out.append(f"skipped: {result.skipped}")
    return out


def _missing_data(made: Made, result: AuditResult) -> list[str]:
    """Fields left open that the audit does not name among what it could not check."""
    named = {
        (entry.tag.removeprefix("23-").replace(" ", "-"), text)
        for entry in result.not_checked
        for text in entry.missing
    }
    return [
        f"{tag}: {name} is open and not named"
        for tag, name in made.unchecked
        if (tag, label(name)) not in named
    ]


@pytest.mark.parametrize("first", range(0, MEASURED, CHUNK))
def test_most_layouts_give_what_is_planted_and_little_else(first: int, tmp_path: Path) -> None:
    """Floors, as measured: the rest are headings that the reading leaves in doubt."""
    clean: dict[int, list[str]] = {}
    planted = found = 0
    for number in range(first, first + CHUNK):
        style = draw(number)
        for faulty in ([], choose(style, FAULTS)):
            made = build(tmp_path, style, faulty)
            before = made.path.read_bytes()
            differences = _differences(made, audit_book(made.path, floats=made.floats))
            assert made.path.read_bytes() == before
            if not faulty and differences:
                clean[number] = differences
            planted += sum(made.expected.values()) if faulty else 0
            found -= sum(one.startswith("not found") for one in differences) if faulty else 0
    found += planted
    assert len(clean) <= CLEAN_THAT_DIFFER, clean
    assert found / planted >= PLANTED_FOUND, (found, planted)


@pytest.mark.calc
def test_files_of_a_spreadsheet_program(tmp_path: Path) -> None:
    """The same through a real spreadsheet program, which writes .xls, .ods and .xlsx in its own way."""
    lost: dict[str, list[str]] = {}
    planted = 0
    styles = [style for style in map(draw, range(LAYOUTS)) if style.ooxml and _survives(style)]
    for suffix, style in zip(OFFICE * 2, styles, strict=False):
        style.suffix, style.writer, style.options = suffix, "office", {}
        made = build(tmp_path, style, choose(style, FAULTS))
        differences = _differences(made, audit_book(made.path, floats=made.floats))
        planted += sum(made.expected.values())
        lost[made.path.name] = [one for one in differences if one.startswith("not found")]
    assert sum(map(len, lost.values())) <= (1 - PLANTED_FOUND) * planted, lost


def _survives(style: Style) -> bool:
    """Whether a spreadsheet program hands on what the layout needs: it drops results of unknown functions."""
    return not (style.formulas or style.tag == "formula" or style.vertical)


def test_every_kind_of_layout_occurs() -> None:
    seen = Counter(feature for number in range(LAYOUTS) for feature in draw(number).features())
    files = {f"file {suffix}" for _, suffix, _ in KINDS}
    languages = {f"language {language}" for language in LANGUAGES}
    places = {
        f"units in {place}"
        for place in ("brackets", "square", "comma", "plain", "line", "row", "cells", "mixed")
    }
    flags = {name for name, value in vars(draw(0)).items() if isinstance(value, bool)} - {"merged"}
    rare = {name: seen[name] for name in files | languages | places | flags if seen[name] < 5}
    assert not rare


def test_every_rule_is_planted_often() -> None:
    planted = Counter(fault.slug for number in range(LAYOUTS) for fault in choose(draw(number), FAULTS))
    assert {fault.slug for fault in faults()} - {
        slug for slug, count in planted.items() if count >= 5
    } == set()


def test_the_same_number_gives_the_same_workbook(tmp_path: Path) -> None:
    for number in (3, 6):
        contents = []
        for name in ("one", "other"):
            folder = tmp_path / f"{name}{number}"
            folder.mkdir()
            made = build(folder, draw(number), choose(draw(number), FAULTS))
            result = audit_book(made.path, floats=made.floats)
            contents.append((made.expected, [(f.rule, f.sheet, f.cell, f.message) for f in result.findings]))
        assert contents[0] == contents[1]


if __name__ == "__main__":
    shown = draw(int(sys.argv[1]))
    print(shown)
    for case in ([], choose(shown, FAULTS)):
        written = build(Path.cwd(), shown, case)
        print(written.path, written.planted, *sorted(written.expected.elements()), sep="\n  ")
        print(*_differences(written, audit_book(written.path, floats=written.floats)), sep="\n")
