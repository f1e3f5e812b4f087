"""What remarks say of a gauge that no column states: that its transmitter acts in reverse.

A list has a column for the action of its transmitters where many act in reverse; where one does, it stands
among the remarks.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache, lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.data.words import fold, listed, pattern_of
from xlfuncs.lists.model import Column, State, Table
from xlfuncs.vocabulary.words import concepts_of

_PIECES: Final = re.compile(r"[;,\n|，；、。]|\.\s+|\.$|\s[-–]\s")
_UNSPACED: Final = re.compile(r"[\u0e00-\u0e7f\u3040-\u30ff\u4e00-\u9fff\uac00-\ud7af]")
"""Scripts without blanks, or whose words take on endings: a word is looked for anywhere."""
_OF_SIGNAL: Final = frozenset({"transmitter", "output", "current", "action"})
_DIRECT: Final = re.compile(r"\b(?:dire[ck]t|dirett|дирек|прям)|正作用|正動作|正动作|정작용|正/|정/")
"""'direct / reverse': a choice that is open."""
_BARE: Final = 2
"""Words of a remark that says nothing but 'reverse' (common practice, no source)."""


def settle_action(table: Table) -> None:
    """Put the reverse action that remarks state into the column of actions, where that states none."""
    remarks = table.columns.get("remarks")
    if table.kind != "gauges" or remarks is None:
        return
    told = {text: says_reverse(str(text)) for text in set(remarks.text.tolist()) if text}
    bare = {text for text, how in told.items() if how == "bare"}
    sure = {text for text, how in told.items() if how == "sure"}
    if not (bare or sure):
        return
    where = np.isin(remarks.text, [*sure]) | (np.isin(remarks.text, [*bare]) & _falls(table))
    own = table.columns.get("action")
    if own is not None:
        where &= own.state == State.BLANK
    if where.any():
        table.columns["action"] = _with(own, remarks, where)


def _falls(table: Table) -> NDArray[np.bool_]:
    """Where 4 mA stands above 20 mA: of what but the signal should a bare 'reverse' speak?"""
    low, high = table.columns.get("lrv"), table.columns.get("urv")
    if low is None or high is None:
        return np.zeros(len(table), dtype=np.bool_)
    with np.errstate(invalid="ignore"):
        return np.asarray(low.value > high.value, dtype=np.bool_)


def _with(own: Column | None, remarks: Column, where: NDArray[np.bool_]) -> Column:
    n = len(remarks)
    out = remarks.take(np.where(where, np.arange(n), -1)) if own is None else own.take(np.arange(n))
    out.field = "action"
    for i in np.flatnonzero(where).tolist():
        out.raw[i], out.text[i], out.state[i] = remarks.raw[i], "reverse", State.OK
        out.sheet[i], out.row[i], out.col[i] = remarks.sheet[i], remarks.row[i], remarks.col[i]
        out.noted[i] = "said in the remarks"
    return out


@lru_cache(maxsize=4096)
def says_reverse(text: str) -> str:
    """ "sure" where a remark says that the transmitter acts in reverse, "bare" where it says 'reverse' alone,
    "" for any other remark."""
    plain = fold(text)
    if not (_found(plain, "reverse_acting") or _found(plain, "turned_round")):
        return ""
    return max(map(_of_piece, _PIECES.split(plain)), key=("", "bare", "sure").index)


def _of_piece(piece: str) -> str:
    acting, turned = _found(piece, "reverse_acting"), _found(piece, "turned_round")
    at = acting or turned
    if at is None or "?" in piece or _DIRECT.search(piece) or _found(piece, "other_reversal"):
        return ""
    if _found(piece[: at[0]].rstrip(" -"), "not_before", at_end=True):
        return ""
    if acting or concepts_of(piece) & _OF_SIGNAL or _found(piece, "signal_words"):
        return "sure"
    return "bare" if len(piece.split()) <= _BARE and not piece[: at[0]].strip() else ""


def _found(text: str, block: str, at_end: bool = False) -> tuple[int, int] | None:
    """Where a word of a block stands in a folded text; `at_end`: where it ends."""
    spaced, anywhere = _tests(block)
    for found in spaced.finditer(text):
        if not at_end or found.end() == len(text):
            return found.span()
    places: Iterable[int] = (text.find(word) for word in anywhere)
    first = min((at for at in places if at >= 0), default=-1)
    return (first, first) if first >= 0 and not at_end else None


@cache
def _tests(block: str) -> tuple[re.Pattern[str], tuple[str, ...]]:
    words = tuple(dict.fromkeys(map(fold, listed(block))))
    spaced = sorted((word for word in words if not _UNSPACED.search(word)), key=lambda one: one.endswith("*"))
    return pattern_of(tuple(spaced)), tuple(word for word in words if _UNSPACED.search(word))
