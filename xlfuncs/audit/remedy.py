"""What would mend a finding, computed: the value as it should be, or the parts that fit, the best first."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from xlfuncs.audit.calculation import Calculation
from xlfuncs.audit.measure import Measure


@dataclass(frozen=True, slots=True)
class Option:
    """One thing that would mend it."""

    text: str
    """What to do and what it gives, as the rest of a sentence: 'float ZF-261, which reads ...'."""
    name: str = ""
    """The field that would change; "" where none of the sheet would."""
    value: Measure | None = None
    """Its new value."""
    numbers: dict[str, float] = field(default_factory=dict)
    """What it gives, name with its unit: `worst_reading_mm`."""
    changes: dict[str, float] = field(default_factory=dict)
    """The float as it would be made: field -> number in SI, for its calculation."""
    along: tuple[tuple[str, Measure], ...] = ()
    """Other fields that have to change with it, each with its new value."""
    cell: str = ""
    """Where the value that would change stands, with its sheet where that is not the finding's; "" where it
    stands nowhere."""

    def to_dict(self) -> dict[str, Any]:
        """The stable JSON form."""
        value = None if self.value is None else {"value": self.value.value, "unit": self.value.unit}
        along = {name: {"value": one.value, "unit": one.unit} for name, one in self.along}
        numbers = dict(self.numbers)
        out: dict[str, Any] = {"text": self.text, "field": self.name, "cell": self.cell, "value": value}
        return out | {"numbers": numbers, "along": along}


@dataclass(frozen=True, slots=True)
class Remedy:
    """What would mend a finding."""

    text: str
    """One sentence."""
    options: tuple[Option, ...] = ()
    """The best first."""
    calculation: Calculation | None = None
    """How the float that is named first reads at worst, or what the class that suffices carries."""
    further: tuple[tuple[str, Calculation], ...] = ()
    """What else is computed, each with what it is of: 'the new scale'."""

    def to_dict(self) -> dict[str, Any]:
        """The stable JSON form."""
        return {
            "text": self.text,
            "options": [option.to_dict() for option in self.options],
            "calculation": None if self.calculation is None else self.calculation.to_dict(),
            "further_calculations": [{"of": name} | one.to_dict() for name, one in self.further],
        }
