"""What is wrong with a cell of a call, and how several such become one refusal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from xlfuncs.worksheet.refusal import ERRORS, UNUSABLE, Refusal, refusal
from xlfuncs.worksheet.spec import Argument


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong with the cell of an argument."""

    rank: int
    """Which of several decides the error value: 0 an error that is passed on, 1 what cannot be used, 2
    what is missing."""
    error: str
    text: str


class Unusable(Exception):
    """A value that cannot be taken; the text is the reason."""

    def __init__(self, text: str, error: str = UNUSABLE, rank: int = 1) -> None:
        super().__init__(text)
        self.error, self.rank = error, rank

    def about(self, argument: Argument) -> Problem:
        return Problem(self.rank, self.error, f"{argument.name}: {self}")


def together(problems: Sequence[Problem]) -> Refusal:
    """All problems of a call as one refusal."""
    first = min(problems, key=lambda problem: problem.rank)
    return refusal(first.error, "; ".join(problem.text for problem in problems))


def is_blank(cell: Any) -> bool:
    return cell is None or (isinstance(cell, str) and not cell.strip())


def refuse_error(cell: Any) -> None:
    """Pass on the error value of a cell: a `Refusal`, or the text of an error."""
    if isinstance(cell, Refusal):
        raise Unusable(f"the cell it refers to has no result, {cell}", cell.error, 0)
    if isinstance(cell, str) and cell in ERRORS:
        reason = getattr(cell, "reason", "")
        if reason:
            raise Unusable(f"the cell it refers to has no result, {cell} ({reason})", str(cell), 0)
        raise Unusable(f"the cell it refers to holds {cell}; mend that one first", str(cell), 0)
