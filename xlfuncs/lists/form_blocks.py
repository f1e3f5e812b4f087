"""Where the cells of one gauge begin and end in a form: the tags tell, for forms of one make repeat the same
labels around each."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from typing import Any, Final

from xlfuncs.lists.form_labels import Block, Label, Sheet, names_tag, value_of
from xlfuncs.lists.tags import (
    is_gauge,
    is_tag,
    letters_of,
    perhaps_gauge,
    split_tags,
)
from xlfuncs.lists.upright import is_blank
from xlfuncs.vocabulary.words import fold


def blocks_of(sheet: Sheet) -> list[Block]:
    """The blocks of the gauges; none where no label names a tag."""
    anchors = []
    for label in sheet.labels.values():
        said = sheet.said.get((label.row, label.col))
        if said != "tag" if said else not names_tag(label.text):
            continue
        at = value_of(sheet, label)
        value = label.inline or (sheet.values[at[0]][at[1]] if at is not None else "")
        if isinstance(value, str) and is_tag(value):
            anchors.append((label, value))
    gauges = [label for label, tag in anchors if any(is_gauge(letters_of(one)) for one in split_tags(tag))]
    chosen = gauges or [label for label, _ in anchors] or _by_tags(sheet) or _by_titles(sheet)
    if not chosen:
        return []
    sheet.labels |= {
        (label.row, label.col): label for label in chosen
    }  # a tag that is a title is none by its text
    by_row: dict[int, list[Label]] = {}
    for label in chosen:
        by_row.setdefault(label.row, []).append(label)
    rows = sorted(by_row)
    above = _common_above(sheet, rows)
    width = max(map(len, sheet.values), default=0)
    out = []
    for number, row in enumerate(rows):
        top = row - above if len(rows) > 1 else 0
        bottom = rows[number + 1] - above if number + 1 < len(rows) else len(sheet.values)
        labels = sorted(by_row[row], key=lambda label: label.col)
        left = _common_left(sheet, labels)
        for place, label in enumerate(labels):
            start = 0 if place == 0 else label.col - left
            end = labels[place + 1].col - left if place + 1 < len(labels) else width
            out.append(Block(top, bottom, start, end, label))
    return out


def _by_tags(sheet: Sheet) -> list[Label]:
    """Where no label names a tag: those of one name that all have a gauge's beside them."""
    found: dict[str, list[Label]] = {}
    others: set[str] = set()
    for label in sheet.labels.values():
        at = value_of(sheet, label)
        value = label.inline or (sheet.values[at[0]][at[1]] if at is not None else "")
        letters = letters_of(value) if isinstance(value, str) and is_tag(value) else ""
        if is_gauge(letters) or perhaps_gauge(letters):
            found.setdefault(fold(label.text), []).append(label)
        elif value != "":
            others.add(fold(label.text))
    named = [labels for text, labels in found.items() if text not in others]
    return named[0] if len(named) == 1 else []


def _by_titles(sheet: Sheet) -> list[Label]:
    """Where no label names a tag: the tags of gauges that stand as titles, each over labels of its own."""
    out: list[Label] = []
    for i, row in enumerate(sheet.values):
        filled = [j for j, value in enumerate(row) if not is_blank(value)]
        texts = [j for j in filled[:2] if isinstance(row[j], str)]
        if not texts or len(filled) > _TITLE:
            continue
        tag = row[texts[0]].strip()
        if is_tag(tag) and is_gauge(letters_of(tag)):
            out.append(Label(i, texts[0], "Tag", tag))
    named = Counter(str(value).strip() for row in sheet.values for value in row if isinstance(value, str))
    if len(out) < 2 or any(named[label.inline] > 1 for label in out):
        return []
    ends = [label.row for label in out[1:]] + [len(sheet.values)]
    over = [
        sum(label.row < i < end for i, _ in sheet.labels) >= _OF_BLOCK
        for label, end in zip(out, ends, strict=True)
    ]
    return out if all(over) else []


_TITLE: Final = 3
"""Cells of a row in which a tag is the title of a block."""

_OF_BLOCK: Final = 5
"""Labels of a block, at least."""


def _common_above(sheet: Sheet, rows: list[int]) -> int:
    """How many rows above each row of a tag belong to its block: they are alike in all blocks."""
    if len(rows) < 2:
        return 0
    least = min(later - earlier for earlier, later in pairwise(rows)) - 1
    above = 0
    while above < min(rows[0], least):
        texts = [_texts(sheet.values[row - above - 1]) for row in rows]
        if any(texts) and not frozenset.intersection(*texts):
            break
        above += 1
    while above and not any(_texts(sheet.values[row - above]) for row in rows):
        above -= 1
    return above


def _texts(row: list[Any]) -> frozenset[tuple[int, str]]:
    return frozenset(
        (j, fold(value)) for j, value in enumerate(row) if isinstance(value, str) and value.strip()
    )


def _common_left(sheet: Sheet, labels: list[Label]) -> int:
    """How many columns left of each tag's label belong to its block."""
    if len(labels) < 2:
        return 0
    least = min(later.col - earlier.col for earlier, later in pairwise(labels)) - 1
    left = 0
    for step in range(1, least + 1):
        columns = [_down(sheet, label.col - step) for label in labels]
        if all(columns) and frozenset.intersection(*columns):
            left = step
    return left


def _down(sheet: Sheet, j: int) -> frozenset[str]:
    return frozenset(label.text.casefold() for (_, col), label in sheet.labels.items() if col == j)
