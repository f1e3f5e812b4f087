"""The form in which a host reports on its installation."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Check:
    """One link of a chain."""

    name: str
    passed: bool
    found: str
    """What was found, shown in any case."""
    mend: str = ""
    """What to do if it did not pass."""
