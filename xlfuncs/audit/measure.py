"""A number with its unit, as a report shows it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Measure:
    """A number (or a text) with its unit, in the unit of the sheet."""

    value: float | str
    unit: str = ""

    def __str__(self) -> str:
        if isinstance(self.value, str):
            return f"{self.value} {self.unit}".strip()
        number = f"{self.value:.0f}" if abs(self.value) >= 1000 else f"{self.value:.4g}"
        return f"{number} {self.unit}".strip()
