"""How a worksheet function is declared. Nothing heavy is imported here: every host, the help and
the command line read the catalogue at start-up.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final, Literal


class _Required:
    def __repr__(self) -> str:
        return "REQUIRED"


REQUIRED: Final = _Required()
"""Default of an argument that has none."""

Kind = Literal["quantity", "number", "named", "text", "choice", "flag", "table", "any"]
"""quantity: a number in `unit`, or text with a unit. number: no unit. named: a quantity, or a name such
as a material (handed over as a str). choice: one of `choices`. flag: TRUE or FALSE. table: a range with
headings, handed over as rows. any: a cell or a range, handed over as it is."""


@dataclass(frozen=True, slots=True)
class Argument:
    """One argument. `name` is that of a parameter of the `gauge` callable, or of a field of its parts."""

    name: str
    meaning: str
    unit: str = ""
    """Trade unit of a plain number (a unit name that `xlfuncs.units` knows)."""
    quantity: str = ""
    """Quantity of `xlfuncs.units`, such as "length" or "pressure_absolute"; decides which unit texts fit."""
    kind: Kind = "quantity"
    default: Any = REQUIRED
    """In the trade unit, as a user would type it. None: handed to the callable as None, or as NaN where a
    cell of a range is blank."""
    choices: tuple[str, ...] = ()
    low: float | None = None
    """Smallest valid number in the trade unit, itself valid."""
    high: float | None = None
    said: bool = False
    """Asked for like a required one, but a blank cell is handed on: the function's answer says that it is
    missing."""
    liquid: Literal["", "surely", "maybe"] = ""
    """Whether it is a liquid's density, whose plain number may be a specific gravity without its unit.
    surely: one that can be that is asked back. maybe: of a gas or a liquid; asked back where either could
    be meant."""

    slip: tuple[float, str] | None = None
    """(number, unit): a number without a unit above it is more likely one in that other unit, and is asked
    back."""

    @property
    def required(self) -> bool:
        return self.default is REQUIRED

    @property
    def usual(self) -> str:
        """The default as a sheet shows it; "" where there is none."""
        if self.required or self.default is None:
            return ""
        return str(self.default).upper() if isinstance(self.default, bool) else str(self.default)


@dataclass(frozen=True, slots=True)
class Result:
    """What a function returns. A table has its headings in the first row."""

    meaning: str
    unit: str = ""
    quantity: str = ""
    shape: Literal["cell", "row", "table", "any"] = "cell"
    """cell: one value, or one for each cell of the ranges given. row: several values side by side
    (the callable returns a tuple). table: the callable returns rows, headings first. any: as the callable
    returns it, in the form of `xlfuncs.worksheet.call`."""
    text: bool = False


@dataclass(frozen=True, slots=True)
class Example:
    """A call as typed in a sheet (without '=', commas between arguments) and its answer."""

    arguments: tuple[Any, ...]
    answer: Any
    tolerance: float = 1e-6
    """Relative, for numbers."""


@dataclass(frozen=True, slots=True)
class Function:
    """The one declaration from which hosts, help, documentation and tests are made."""

    name: str
    summary: str
    category: str
    arguments: tuple[Argument, ...]
    result: Result
    call: str
    """'module:attribute' of the SI callable, resolved at the first call."""
    example: Example
    source: str
    notes: tuple[str, ...] = field(default=())
    """Validity, assumptions, cautions: each one sentence."""
    repeats: int = 0
    """How many of the last arguments are one argument, given as often as wanted."""

    @property
    def takes_unit(self) -> bool:
        """A quantity result can be asked for in another unit by a last, optional argument."""
        return bool(self.result.quantity)

    @property
    def named(self) -> tuple[Argument, ...]:
        """The arguments, one that is repeated once."""
        return self.arguments[: len(self.arguments) - max(self.repeats - 1, 0)]

    @property
    def signature(self) -> str:
        """Arguments as shown to a user: optional ones in brackets, with their defaults."""
        parts = []
        for argument in self.named:
            if argument.required or argument.said:
                parts.append(argument.name)
            else:
                parts.append(f"[{f'{argument.name} {argument.usual}'.rstrip()}]")
        if self.repeats:
            parts.append("...")
        if self.takes_unit:
            parts.append("[unit]")
        return f"{self.name}({', '.join(parts)})"
