"""Each rule fires on its own example, in every layout, and nothing else does."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.layouts import LAYOUTS, Layout, build
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.explain import page
from xlfuncs.audit.model import AuditResult
from xlfuncs.audit.registry import Rule, rules
from xlfuncs.audit.settings import describe

ONCE_FOR_ALL_ROWS = {
    "tag-duplicate",
    "serial-reused",
    "formula-overwritten",
    "document-orphan",
    "float-list-repeats",
    "copied-column",
    "stacked-gauges-gap",
}
"""Rules that compare rows: the example gives one finding."""
NEEDS_LIST = {"float-not-in-list", "float-data-conflict", "float-list-repeats"}
BY_ITSELF = {*ONCE_FOR_ALL_ROWS, "floats-exchanged", "reading-doubtful", "tag-malformed", "tag-missing"}
"""Rules whose example would disturb those of others in one list, or be disturbed by them."""


def _found(result: AuditResult) -> list[tuple[str, str]]:
    return [(f.rule, f"{f.sheet}!{f.cell}: {f.message}") for f in result.findings]


def _layouts(item: Rule) -> list[Layout]:
    return [layout for layout in LAYOUTS if layout.own_float_sheet or item.slug not in NEEDS_LIST]


def _alone(item: Rule) -> bool:
    """Whether the example stands in a list of its own: it concerns the whole list, or how it is laid out."""
    return item.slug in BY_ITSELF or any(str(name).startswith("_") for row in item.firing for name in row)


ALONE = [(item, layout) for item in rules().values() if _alone(item) for layout in _layouts(item)]


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)
def test_nothing_fires_on_the_sound_gauge(layout: Layout, tmp_path: Path) -> None:
    planted = build(tmp_path / "sound.xlsx", layout, [{}])
    result = audit_book(planted.path)
    assert _found(result) == []
    assert result.rows_audited == 1


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)
def test_each_fires_on_its_example_alone_and_points_at_its_cell(layout: Layout, tmp_path: Path) -> None:
    """The examples of all rules in one list; the cell named is one of the gauge that a rule's example is."""
    items = [item for item in rules().values() if not _alone(item) and layout in _layouts(item)]
    rows = [(item.slug, row) for item in items for row in item.firing]
    planted = build(tmp_path / "firing.xlsx", layout, [row for _, row in rows])
    owner = {cell: number for (number, _), cell in planted.cells.items()}
    result = audit_book(planted.path)
    fired = sorted((owner.get(f"{f.sheet}!{f.cell}", -1), f.rule) for f in result.findings)
    assert fired == [(number, slug) for number, (slug, _) in enumerate(rows)], _found(result)
    assert result.rows_audited == len(rows)


@pytest.mark.parametrize(
    ("item", "layout"), ALONE, ids=[f"{item.slug}-{layout.name}" for item, layout in ALONE]
)
def test_fires_on_its_example_alone_and_points_at_its_cell(
    item: Rule, layout: Layout, tmp_path: Path
) -> None:
    """The cell named is one of those that the example changed, or the tag of its row."""
    planted = build(tmp_path / "firing.xlsx", layout, item.firing)
    result = audit_book(planted.path)
    found = _found(result)
    assert {slug for slug, _ in found} == {item.slug}, found
    assert len(found) == (1 if item.slug in ONCE_FOR_ALL_ROWS else len(item.firing)), found
    for finding in result.findings:
        cell = f"{finding.sheet}!{finding.cell}"
        assert cell in planted.cells.values(), f"{cell} is no cell of a gauge: {finding.message}"


PASSING = [
    (item, _layouts(item)[n % len(_layouts(item))])
    for n, item in enumerate(item for item in rules().values() if item.passing)
]
"""In one layout each, in turn: that a layout is read is told by what fires in it."""


@pytest.mark.parametrize(
    ("item", "layout"), PASSING, ids=[f"{item.slug}-{layout.name}" for item, layout in PASSING]
)
def test_stays_silent_on_what_passes(item: Rule, layout: Layout, tmp_path: Path) -> None:
    planted = build(tmp_path / "passing.xlsx", layout, item.passing)
    assert [found for found in _found(audit_book(planted.path)) if found[0] == item.slug] == []


@pytest.mark.parametrize("item", rules().values(), ids=lambda item: item.slug)
def test_is_explained(item: Rule) -> None:
    assert all(len(text) > 10 for text in item.page.values())
    assert item.firing, "a rule shows an example that fires"


def test_every_setting_is_explained_with_a_rule() -> None:
    shown = "\n".join(page(item) for item in rules().values())
    for name, default, _, _ in describe():
        assert name == "ignore" or f"{name} = {default:g}" in shown


@pytest.mark.parametrize("item", rules().values(), ids=lambda item: item.slug)
def test_the_page_of_a_rule_asks_for_each_thing_once(item: Rule) -> None:
    text = page(item)
    assert max(map(len, text.splitlines())) <= 100
    needs = " ".join(text.partition("\nNeeds\n")[2].partition("\n\n")[0].split()).split(", ")
    assert len(set(needs)) == len(needs)
    if item.thresholds:
        assert "common practice, no source" in item.page["finds"]
