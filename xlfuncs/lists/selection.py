"""Which records of an index are magnetic float gauges; their transmitters and switches are set aside."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.lists import tags
from xlfuncs.lists.model import Column
from xlfuncs.spreadsheet.grid import Grid

FLOAT_DATA: Final = (
    "float_part", "float_serial", "float_mass", "float_diameter", "float_length", "magnet_height",
    "float_design_density",
)  # fmt: skip
_GAUGE_DATA: Final = (
    "visible_range", "connection_distance", "chamber_bore", "chamber_diameter", "chamber_material",
    "scale_zero", "lrv", "urv", "switch_lsl", "switch_lsh", "transmitter_tag",
)  # fmt: skip
_GEOMETRY: Final = ("connection_distance", "visible_range", "chamber_material", "chamber_bore", "urv")
OTHER: Final = "other instrument"
LOOP_PART: Final = "transmitter or switch of a gauge"
_TAG_PARTS: Final = ("tag_plant", "tag_block", "tag_area", "tag_letters", "tag_number")


@dataclass(slots=True)
class Selected:
    """The gauges of a list."""

    records: NDArray[np.int64]
    """Numbers of the records kept; one twice where its cell holds two tags."""
    columns: dict[str, Column]
    skipped: Counter[str] = field(default_factory=Counter)
    loops: dict[str, list[tuple[str, int]]] = field(default_factory=dict)
    """Loop -> (letters, number of the record in `every`) of transmitters and switches."""
    every: dict[str, Column] = field(default_factory=dict)
    """The columns before the selection."""
    reasons: list[str] = field(default_factory=list)
    """Why each record was left out, "" for one that was kept; empty where all were."""


def of_gauges(columns: dict[str, Column], title: str) -> bool:
    """Whether anything says that a list is one of level gauges, and not of vessels or lines."""
    if any(name in columns and columns[name].given.any() for name in (*FLOAT_DATA, *_GAUGE_DATA)):
        return True
    if tags.mentions_level(title):
        return True
    if "tag" in columns and any(
        tags.letters_of(text)[:1] == "L" for text in columns["tag"].text.tolist() if text
    ):
        return True
    kinds = set(columns["instrument_type"].text.tolist()) if "instrument_type" in columns else set()
    return any(tags.mentions_level(text) for text in kinds)


def select(grid: Grid, columns: dict[str, Column], n: int, title: str = "") -> Selected:
    """Leave out other instruments, level glasses, deleted and sample rows; split several tags in a cell.

    `title`: the texts above the list and the name of its sheet.
    """
    if "tag" not in columns and "tag_number" in columns:
        columns["tag"] = _joined_tag(columns)
    tag = columns.get("tag")
    texts = tag.text.tolist() if tag is not None else [""] * n
    has_float = np.zeros(n, dtype=bool)
    for name in FLOAT_DATA:
        if name in columns:
            has_float |= columns[name].given
    if "float_part" in columns:
        part = columns["float_part"].text.tolist()
        none = {text for text in set(part) if tags.says_no_float(text)}
        none |= {text for text in set(part) if text and not any(map(str.isdigit, text)) and " " in text}
        if none:
            has_float &= np.array([text not in none for text in part], dtype=bool)
    kinds = columns["instrument_type"].text.tolist() if "instrument_type" in columns else [""] * n
    usual = tags.are_plain(texts)
    if tag is not None and not all(usual):
        texts = [text if plain else tags.clean(text) for text, plain in zip(texts, usual, strict=True)]
        tag.text = np.empty(n, dtype=object)
        tag.text[:] = texts
    glasses = tags.mentions_glass(title)
    named = "level" if tags.type_of(title) == "magnetic" else ""
    reasons = [""] * n
    for i in np.flatnonzero(~(has_float & np.array(usual, dtype=bool))).tolist():
        reasons[i] = _no_gauge(texts[i])
        if not has_float[i]:
            reasons[i] = reasons[i] or _other_kind(texts[i], kinds[i] or named, columns, i, glasses)
    if tag is not None:
        _of_another(grid, texts, tag, reasons, has_float)
    _of_no_gauge(texts, reasons)
    _deleted(grid, columns, reasons)
    out = Selected(np.arange(n), columns, every=columns)
    if all(usual) and not any(reasons):
        return out
    out.reasons = reasons
    for i, reason in enumerate(reasons):
        letters = tags.letters_of(texts[i]) if reason == OTHER else ""
        # a list that states types must say that a transmitter is the gauge's: LT-101 may be a radar
        if tags.is_loop_part(letters) and tags.type_of(kinds[i]) in ("", "magnetic"):
            for one in tags.split_tags(texts[i]):
                out.loops.setdefault(tags.loop_of(one), []).append((letters, i))
        if reason:
            out.skipped[reason] += 1
    keep: list[int] = []
    names: list[str] = []
    numbered = tags.numbered(texts)
    for i in range(n):
        if not reasons[i]:
            several = (
                (texts[i],)
                if usual[i] or texts[i] in numbered or not tags.is_tag(texts[i])
                else tags.split_tags(texts[i])
            )
            several = _gauges_of(several) if len(several) > 1 else several
            keep += [i] * len(several)
            names += several
    if names == texts:
        return out
    out.records = np.array(keep, dtype=np.int64)
    out.columns = {name: column.take(out.records) for name, column in columns.items()}
    if tag is not None:
        out.columns["tag"].text = np.array(names, dtype=object)
    return out


def _gauges_of(several: tuple[str, ...]) -> tuple[str, ...]:
    """The tags of a cell without those of the transmitters and switches of its gauges ('LG-811 / LT-811')."""
    loops = {tags.loop_of(tag) for tag in several if tags.is_gauge(tags.letters_of(tag))}
    return tuple(
        tag for tag in several if not (tags.is_loop_part(tags.letters_of(tag)) and tags.loop_of(tag) in loops)
    )


def _of_another(
    grid: Grid, texts: list[str], tag: Column, reasons: list[str], has_float: NDArray[np.bool_]
) -> None:
    """Rows that name no gauge, and in another column the tag of another instrument: points of a system."""
    for i, text in enumerate(texts):
        if text or reasons[i] or has_float[i]:
            continue
        at = int(np.searchsorted(grid.rows, tag.row[i]))
        row = grid.values[at].tolist() if at < len(grid.rows) and grid.rows[at] == tag.row[i] else []
        named = [value.strip() for value in row if isinstance(value, str) and tags.is_tag(value.strip())]
        if named and all(tags.other_instrument(tags.letters_of(one)) for one in named):
            reasons[i] = OTHER


def _no_gauge(tag: str) -> str:
    return "sample row" if tag and tags.is_sample_tag(tag) else ""


def _other_kind(tag: str, kind: str, columns: dict[str, Column], i: int, glasses: bool) -> str:
    """Why a row without float data is not audited, "" if it is."""
    letters = tags.letters_of(tag)
    said = tags.type_of(kind, letters)
    if said == "magnetic":
        return LOOP_PART if tags.is_loop_part(letters) else ""
    if said == "glass" or glasses or _glass_elsewhere(columns, i):
        return "level glass without float"
    if said == "other":
        return OTHER
    if tags.other_instrument(letters) and not (said == "level" and _has_geometry(columns, i)):
        return OTHER
    if not tags.perhaps_gauge(letters):
        return ""
    if said in ("", "level") and _has_geometry(columns, i):
        return LOOP_PART if tags.is_loop_part(letters) else ""
    return OTHER


def _has_geometry(columns: dict[str, Column], i: int) -> bool:
    """Whether a row states what only a gauge with a chamber has."""
    return sum(name in columns and bool(columns[name].given[i]) for name in _GEOMETRY) > 1


def _of_no_gauge(texts: list[str], reasons: list[str]) -> None:
    """A transmitter that is said to be magnetic belongs to the gauge of its loop; without one, it
    is the gauge."""
    parts = [i for i, reason in enumerate(reasons) if reason == LOOP_PART]
    if not parts:
        return
    digits = {tags.digits_of(texts[i]) for i in parts}
    loops = {
        tags.loop_of(text)
        for text, reason in zip(texts, reasons, strict=True)
        if text and not reason and tags.digits_of(text) in digits  # another can be of none of these loops
    }
    for i in parts:
        alone = tags.is_transmitter(tags.letters_of(texts[i])) and tags.loop_of(texts[i]) not in loops
        reasons[i] = "" if alone else OTHER


def _glass_elsewhere(columns: dict[str, Column], i: int) -> bool:
    for name in ("service", "remarks"):
        if name in columns and columns[name].text[i] and tags.mentions_glass(columns[name].text[i]):
            return True
    part = columns.get("float_part")
    return part is not None and bool(part.raw[i]) and tags.says_no_float(str(part.raw[i]))


def _deleted(grid: Grid, columns: dict[str, Column], reasons: list[str]) -> None:
    tag, remarks = columns.get("tag"), columns.get("remarks")
    if grid.struck and tag is not None:
        for i in range(len(reasons)):
            if (int(tag.row[i]), int(tag.col[i])) in grid.struck:
                reasons[i] = "struck through"
    if remarks is not None:
        told = {text: tags.says_deleted(text) for text in set(remarks.text.tolist())}
        if any(told.values()):
            for i, text in enumerate(remarks.text.tolist()):
                if told[text]:
                    reasons[i] = "deleted"


def _joined_tag(columns: dict[str, Column]) -> Column:
    """The tag whose parts stand in columns of their own."""
    number = columns["tag_number"]
    n = len(number)
    parts = [columns[name].text.tolist() for name in _TAG_PARTS if name in columns]
    suffix = columns["tag_suffix"].text.tolist() if "tag_suffix" in columns else [""] * n
    joined = number.take(np.arange(n))
    joined.field = "tag"
    joined.text = np.array(
        [
            "-".join(filter(None, pieces)) + end if number.text[i] else ""
            for i, (pieces, end) in enumerate(zip(zip(*parts, strict=True), suffix, strict=True))
        ],
        dtype=object,
    )
    return joined
