"""An error value in place of a result, and the reason for it.

A text in place of a number would let a check pass: it compares above every number, and sums pass over it.
An error value goes through IF, AND, MAX and SUM, and IFERROR catches it. Nothing heavy is imported here.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal

MISSING: Final = "#N/A"
"""Data is missing."""
UNUSABLE: Final = "#VALUE!"
"""An argument is none that can be used."""
IMPOSSIBLE: Final = "#NUM!"
"""The arguments are sound, and physics, the equation or the table has no answer: the float sinks."""

KINDS: Final = {"missing": MISSING, "unusable": UNUSABLE, "impossible": IMPOSSIBLE}
"""Kind of a reason in `gauge` -> error value."""

ERRORS: Final = frozenset(
    (
        *(MISSING, UNUSABLE, IMPOSSIBLE, "#NULL!", "#DIV/0!", "#REF!", "#NAME?", "#GETTING_DATA", "#SPILL!"),
        *("#CONNECT!", "#BLOCKED!", "#UNKNOWN!", "#FIELD!", "#CALC!", "#BUSY!"),
    )
)
"""The error values of spreadsheet programs. A cell with one of them, or with its text, has no value."""

_SHORT = 120
_LONGEST = 4000
_LONG_QUOTE = re.compile(r"((?<!\w)'[^']{60})[^']{60,}'")


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a cell has no result. It is no text and no number: nothing can be compared with it."""

    error: str
    """The error value that the cell shows: one of `ERRORS`."""
    reason: str
    """One line that names the argument and the mend; what it quotes is cut short."""

    @property
    def kind(self) -> Literal["missing", "unusable", "impossible", "passed on"]:
        """What is wrong; passed on: a cell that is referred to holds an error of its own."""
        match self.error:
            case "#N/A":
                return "missing"
            case "#VALUE!":
                return "unusable"
            case "#NUM!":
                return "impossible"
        return "passed on"

    def __str__(self) -> str:
        return f"{self.error} ({self.reason})"


def refusal(error: str, text: str) -> Refusal:
    """A refusal whose reason is one line of a readable length."""
    line = " ".join(text.split())
    if len(line) > _SHORT:
        line = _LONG_QUOTE.sub(r"\1...'", line)
    return Refusal(error, line if len(line) <= _LONGEST else f"{line[:_LONGEST]} ...")
