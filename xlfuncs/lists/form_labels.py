"""The labels of a form, and where their values stand: beside them or below."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, Final, Literal

from xlfuncs.lists.tags import (
    is_designation,
    is_gauge,
    is_loop_part,
    is_tag,
    letters_of,
)
from xlfuncs.lists.upright import is_blank, is_unit_text
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import ACCEPT, fields, promises, read_heading

COLS: Final = 60

_REACH: Final = 10
"""Columns to the right of a label in which its value is looked for."""

BELOW: Final = 2
"""Rows below a label in which its value is looked for."""

_LONGEST: Final = 120

_NUMBERING: Final = re.compile(
    r"^\s*(?!\d+ mA\b)(?:\d{1,3}(?:\.\d{1,3})*[.)]?|[a-z][.)])\s+(?=\D)", re.IGNORECASE
)

INLINE: Final = re.compile(r"^([^:]{2,80}):\s*(\S.{0,100})$")

_LABELS_OF_ROW: Final = 0.6
"""Share of labels among the cells of a row of labels."""

_BOXES: Final = 4
"""Labels that stand beside each other over their values in a form; what has more is a list."""

_FEW: Final = 0.25
"""Share of the labels of the column with most, which another column of labels has at least."""

Way = Literal["right", "below"]


def clean(text: str) -> str:
    """A label without its number and what sets it off."""
    text = " ".join(text.split())
    return _NUMBERING.sub("", text).rstrip(" :=.") if len(text) <= _LONGEST else ""


@dataclass(frozen=True, slots=True)
class Label:
    row: int
    """Indexes into the grid."""
    col: int
    text: str
    inline: str = ""


@dataclass(slots=True)
class Block:
    """The cells of one gauge: indexes into the grid, the last past the end."""

    top: int
    bottom: int
    left: int
    right: int
    anchor: Label


@dataclass(slots=True)
class Sheet:
    grid: Grid
    values: list[list[Any]]
    way: Way
    said: Mapping[tuple[int, int], str] = field(default_factory=dict)
    """Cell -> the field that a person says it names."""
    over: frozenset[int] = frozenset()
    """Rows of labels that stand over their values, in a form whose other labels stand left of them."""
    labels: dict[tuple[int, int], Label] = field(default_factory=dict)
    label_cols: frozenset[int] = frozenset()


@lru_cache(maxsize=16384)
def label_promises(text: str) -> bool:
    found = INLINE.match(" ".join(text.split()))
    return promises(clean(found[1] if found else text))


def _as_label(value: Any) -> tuple[str, str] | None:
    """(text of a label, the value in the same cell), or None for what is no label."""
    return _label_of(value) if isinstance(value, str) and value.strip() else None


@lru_cache(maxsize=16384)
def _label_of(value: str) -> tuple[str, str] | None:
    plain = " ".join(value.split())
    inline = None if plain.endswith(":") else INLINE.match(plain)  # 'Transmitter: 4 mA at:' is a label
    text = clean(inline[1] if inline else value)
    if not any(map(str.isalpha, text)) or (
        is_tag(text) and (not promises(text) or _of_level(text) or is_designation(text))
    ):
        return None
    if is_unit_text(text) and not promises(text):
        return None
    if inline and not promises(text):
        return None
    return text, inline[2] if inline else ""


def _of_level(tag: str) -> bool:
    letters = letters_of(tag)
    return is_gauge(letters) or is_loop_part(letters)


def labels_right(sheet: Sheet) -> None:
    """The labels with values to their right: texts of the columns that hold many of them."""
    known: dict[tuple[int, int], Label] = {}
    texts: dict[int, set[str]] = {}
    for i, row in enumerate(sheet.values):
        for j, value in enumerate(row):
            found = _as_label(value)
            if found is None and (i, j) in sheet.said:
                found = clean(str(value)), ""
            if found is None:
                continue
            text, inline = found
            if is_unit_text(value) and any((i, k) in known for k in range(max(0, j - 3), j)):
                continue
            known[i, j] = Label(i, j, text, inline)
            if (promises(text) or (i, j) in sheet.said) and (
                inline or any(not is_blank(other) for other in row[j + 1 : j + 1 + _REACH])
            ):
                texts.setdefault(j, set()).add(text)
    sheet.over = frozenset(i for i in range(len(sheet.values) - 1) if _stands_over(sheet, i, known))
    under = {i + 1 for i in sheet.over}
    known = {place: one for place, one in known.items() if place[0] not in under}
    most = max(map(len, texts.values()), default=0)
    sheet.label_cols = frozenset(j for j, said in texts.items() if len(said) >= max(2, _FEW * most))
    sheet.labels = {
        place: one
        for place, one in known.items()
        if place[1] in sheet.label_cols
        or one.inline
        or place[0] in sheet.over
        or place in sheet.said
        or _set_off(sheet, one)
    }


def _stands_over(sheet: Sheet, i: int, known: Mapping[tuple[int, int], Label]) -> bool:
    """Whether a row holds nothing but labels, and the next one their values."""
    row, below = sheet.values[i], sheet.values[i + 1]
    filled = [j for j, value in enumerate(row) if not is_blank(value)]
    named = [j for j in filled if (i, j) in known and not known[i, j].inline]
    if (
        not 2 <= len(filled) <= _BOXES
        or len(named) < len(filled)
        or sheet.grid.rows[i + 1] - sheet.grid.rows[i] > 1
    ):
        return False
    if sum(promises(known[i, j].text) for j in named) < max(2, _LABELS_OF_ROW * len(filled)):
        return False
    values = [j for j, value in enumerate(below) if not is_blank(value)]
    given = [j for j in named if j in values]
    promising = sum(_as_label(below[j]) is not None and label_promises(below[j]) for j in given)
    alone = len(given) >= max(2, len(values) - 1) and {*values} <= {*filled}
    return alone and promising < len(given) / 2 and not _goes_on(sheet, i + 2, given)


def _goes_on(sheet: Sheet, i: int, cols: list[int]) -> bool:
    """Whether values stand in a row below values, as in a table."""
    if i >= len(sheet.values) or sheet.grid.rows[i] - sheet.grid.rows[i - 2] > 2:
        return False
    row = sheet.values[i]
    return 2 * sum(_as_label(row[j]) is None and not is_blank(row[j]) for j in cols) >= len(cols)


def _set_off(sheet: Sheet, label: Label) -> bool:
    """Whether a text says by a colon that it is a label, or names the tag that stands beside it."""
    text = str(sheet.values[label.row][label.col]).rstrip()
    if text.endswith(":"):
        return True
    beside = next((v for v in sheet.values[label.row][label.col + 1 :] if not is_blank(v)), "")
    return isinstance(beside, str) and is_tag(beside) and names_tag(label.text)


def labels_below(sheet: Sheet) -> None:
    """The labels with values below them: the texts of rows that hold little else."""
    for i, row in enumerate(sheet.values):
        found = {j: one for j, value in enumerate(row) if (one := _as_label(value)) is not None}
        filled = [j for j, value in enumerate(row) if not is_blank(value)]
        named = [j for j, (text, _) in found.items() if promises(text)]
        if not named or len(named) < _LABELS_OF_ROW * len(filled) or _holds_value(row):
            continue
        for j, (text, inline) in found.items():
            sheet.labels[i, j] = Label(i, j, text, inline)
    sheet.label_cols = frozenset(j for _, j in sheet.labels)


def _holds_value(row: list[Any]) -> bool:
    return any(isinstance(value, (int, float)) or (isinstance(value, str) and is_tag(value)) for value in row)


def value_of(sheet: Sheet, label: Label, block: Block | None = None) -> tuple[int, int] | None:
    """Indexes of the cell with the value of a label."""
    if label.inline:
        return label.row, label.col
    if sheet.way == "below" or label.row in sheet.over:
        for i in range(label.row + 1, min(label.row + 1 + BELOW, len(sheet.values))):
            near = sheet.grid.rows[i] - sheet.grid.rows[label.row] <= BELOW
            if (i, label.col) in sheet.labels or not near:
                return None
            if not is_blank(sheet.values[i][label.col]) or _is_uncalculated(sheet, i, label.col):
                return i, label.col
        return None
    cells = cells_beside(sheet, label, block)
    plain = [k for k in cells if not is_unit_text(sheet.values[label.row][k])]
    if plain:
        return label.row, plain[0]
    text = bool(cells) and not _takes_number(label.text)
    return (label.row, cells[0]) if text else None


def _is_uncalculated(sheet: Sheet, i: int, j: int) -> bool:
    if not sheet.grid.uncalculated:
        return False
    return (int(sheet.grid.rows[i]), int(sheet.grid.cols[j])) in sheet.grid.uncalculated


def cells_beside(sheet: Sheet, label: Label, block: Block | None) -> list[int]:
    """Columns of the filled cells right of a label, up to the next label."""
    row = sheet.values[label.row]
    out: list[int] = []
    for k in range(label.col + 1, block.right if block is not None else len(row)):
        if k > (out[-1] if out else label.col) + _REACH:
            break
        if (label.row, k) in sheet.labels and (out or has_value(sheet, label.row, k)):
            break
        if not is_blank(row[k]) or _is_uncalculated(sheet, label.row, k):
            out.append(k)
    return out


def has_value(sheet: Sheet, i: int, j: int) -> bool:
    """Whether a label is followed by something that is none."""
    row = sheet.values[i]
    if sheet.labels[i, j].inline:
        return True
    following = next((k for k in range(j + 1, len(row)) if not is_blank(row[k])), -1)
    return following >= 0 and (i, following) not in sheet.labels


@lru_cache(maxsize=8192)
def _takes_number(text: str) -> bool:
    found = read_heading(text).meanings
    return bool(found) and fields()[found[0].field]["kind"] == "quantity"


@lru_cache(maxsize=8192)
def names_tag(text: str) -> bool:
    """Whether a label certainly names a tag."""
    found = read_heading(text).meanings
    return bool(found) and found[0].field == "tag" and found[0].score >= ACCEPT


@lru_cache(maxsize=8192)
def is_uom(text: str) -> bool:
    return read_heading(" ".join(text.split())).is_uom
