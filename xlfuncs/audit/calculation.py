"""The calculation behind a finding: inputs with their cells, equations, numbers, and the limit.

An expression is written as a spreadsheet writes it, in the symbols of the inputs and of earlier steps, with
elementary functions only. It is the one place of fact: `evaluate` gives its number, `formula` the formula of
a cell. A step that is not elementary keeps its number and names the function that gave it.
"""

from __future__ import annotations

import ast
import math
import operator
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Generic, TypeVar

from xlfuncs.audit.written import Written


@dataclass(frozen=True, slots=True)
class Value:
    """One input of a calculation."""

    symbol: str
    """As the expressions write it: letters, digits and underscores."""
    name: str
    number: float | None
    """In SI; None for a text."""
    unit: str
    """Of `number`, in SI; "" where it has none."""
    shown: str
    """As a person reads it: '334.2 g', 'flat', '10 mm'."""
    origin: str
    """'cell', 'setting', 'assumed' (nothing is stated), 'constant', or 'proposed' (by a remedy)."""
    sheet: str = ""
    cell: str = ""
    stated: str = ""
    """What the cell itself holds."""
    scale: float | None = None
    offset: float = 0.0
    """number = cell * scale + offset, where the cell holds a plain number that is so converted; else None."""
    link: str = ""
    """`number` as an expression of x, the number in the cell; "" where the cell does not give it so."""
    written: Written | None = None
    """How x stands in the cell, where that is a text."""
    note: str = ""
    """What had to be assumed of it, where the setting or the assumption comes from."""
    takes: tuple[str, ...] = ()
    """Symbols of inputs for which a constant holds: with another of those it would be another."""

    def to_dict(self) -> dict[str, Any]:
        """The stable JSON form."""
        return _plain(self)


@dataclass(frozen=True, slots=True)
class Step:
    """One intermediate number, or the result."""

    symbol: str
    name: str
    expression: str
    """In spreadsheet syntax; "" where the number is not had by elementary functions."""
    number: float
    unit: str
    shown: str
    source: str
    """Of the equation."""
    function: str = ""
    """Of xlfuncs, where there is no expression."""
    takes: tuple[str, ...] = ()
    """Symbols of the inputs of that function; none: those that no expression follows."""

    def to_dict(self) -> dict[str, Any]:
        """The stable JSON form."""
        return _plain(self)


@dataclass(frozen=True, slots=True)
class Stand:
    """A cell that a calculation takes as it stood: with another content another one would be needed."""

    name: str
    sheet: str
    cell: str

    def to_dict(self) -> dict[str, Any]:
        """The stable JSON form."""
        return {name: getattr(self, name) for name in self.__dataclass_fields__}


@dataclass(frozen=True, slots=True)
class Bound:
    """Where the equations of a calculation hold."""

    expression: str
    otherwise: str
    """What is the matter where it is not true: 'T is outside the rows of the table'."""

    def to_dict(self) -> dict[str, Any]:
        """The stable JSON form."""
        return {name: getattr(self, name) for name in self.__dataclass_fields__}


@dataclass(frozen=True, slots=True)
class Calculation:
    """How a finding was computed."""

    inputs: tuple[Value, ...]
    steps: tuple[Step, ...]
    test: str
    """An expression that is true where the rule fires: 'ABS(e)>e_max'; "" where texts were compared."""
    result: str = ""
    """Symbol of what is judged."""
    limit: str = ""
    """Symbol of what it is judged by."""
    note: str = ""
    same: tuple[str, str] = ("", "")
    """Symbols of two texts: the rule fires where they differ, but for case, blanks and punctuation."""
    bounds: tuple[Bound, ...] = ()
    stands: tuple[Stand, ...] = ()
    one_case: bool = False
    """Whether the gauge has further cases, which this does not compute."""

    @property
    def elementary(self) -> bool:
        """Whether a spreadsheet program can recompute all of it by itself."""
        return all(step.expression for step in self.steps)

    def numbers(self) -> dict[str, float]:
        """Symbol -> number of inputs and steps."""
        known = {value.symbol: value.number for value in self.inputs if value.number is not None}
        return known | {step.symbol: step.number for step in self.steps}

    @property
    def fires(self) -> bool:
        """What the test says of these numbers."""
        return bool(self.test) and bool(evaluate(self.test, self.numbers()))

    def again(self, changed: Mapping[str, float]) -> dict[str, float]:
        """The numbers with other inputs (SI); a step that is not elementary keeps its own."""
        known = {value.symbol: value.number for value in self.inputs if value.number is not None}
        known |= changed
        for step in self.steps:
            known[step.symbol] = evaluate(step.expression, known) if step.expression else step.number
        return known

    def unmoved(self) -> list[Value]:
        """The inputs which may not change, since a number that stands as it was computed takes them."""
        followed = {s for step in self.steps for s in symbols(step.expression)} | set(symbols(self.test))
        asked, seen = [*symbols(self.test)], set[str]()
        known: dict[str, Value | Step] = {one.symbol: one for one in self.inputs}
        known |= {one.symbol: one for one in self.steps}
        fixed: set[str] = set()
        while asked:
            if (one := known[asked.pop()]).symbol in seen:
                continue
            seen.add(one.symbol)
            fixed |= set(one.takes)
            asked += symbols(one.expression) if isinstance(one, Step) else ()
        return [
            one
            for one in self.inputs
            if one.number is not None and (one.symbol in fixed or one.symbol not in followed)
        ]

    def to_dict(self) -> dict[str, Any]:
        """The stable JSON form."""
        return {
            "inputs": [value.to_dict() for value in self.inputs],
            "steps": [step.to_dict() for step in self.steps],
            "test": self.test,
            "result": self.result,
            "limit": self.limit,
            "elementary": self.elementary,
            "note": self.note,
            "same": [symbol for symbol in self.same if symbol],
            "bounds": [bound.to_dict() for bound in self.bounds],
            "stands": [stand.to_dict() for stand in self.stands],
            "one_case": self.one_case,
        }


Made = TypeVar("Made")


class Later(Generic[Made]):
    """What is made when somebody asks for it: most reports of long lists ask for little."""

    __slots__ = ("_made", "_make")

    def __init__(self, make: Callable[[], Made | None] | None, made: Made | None = None) -> None:
        self._make = make
        self._made = made

    def get(self) -> Made | None:
        """What was made; None where there is nothing."""
        if self._make is not None:
            self._made, self._make = self._make(), None
        return self._made

    def __reduce__(self) -> tuple[Any, ...]:
        return Later, (None, self.get())

    def __deepcopy__(self, memo: dict[int, Any]) -> Later[Made]:
        return self


def _plain(record: Value | Step) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for name in record.__dataclass_fields__:
        value = getattr(record, name)
        if isinstance(value, Written):
            value = value.to_dict()
        out[name] = None if isinstance(value, float) and not math.isfinite(value) else value
    return out


# --- expressions -------------------------------------------------------------------------------------

_NAME = re.compile(r"(?<![\w.])[A-Za-z_]\w*(?!\w|\()")
_BINARY: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}
_COMPARED: dict[type[ast.cmpop], Callable[[float, float], bool]] = {
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
}
_CALLED: dict[str, Callable[..., float]] = {
    "PI": lambda: math.pi,
    "ABS": abs,
    "SQRT": math.sqrt,
    "EXP": math.exp,
    "LN": math.log,
    "MIN": lambda *parts: min(parts),
    "MAX": lambda *parts: max(parts),
    "AND": lambda *parts: all(parts),
    "OR": lambda *parts: any(parts),
    "NOT": lambda part: not part,
}


@cache
def _parsed(expression: str) -> ast.expr:
    tree = ast.parse(expression.replace("^", "**"), mode="eval").body
    for node in ast.walk(tree):  # a spreadsheet reads these two in another order than Python
        inner = node.operand if isinstance(node, ast.UnaryOp) else None
        inner = node.right if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Pow) else inner
        if isinstance(inner, ast.BinOp) and isinstance(inner.op, ast.Pow):
            raise TypeError(f"write brackets around the power: {expression}")
    return tree


def evaluate(expression: str, numbers: Mapping[str, float]) -> float:
    """The number of an expression; NaN where it has none (a root of a negative number, a division by 0).

    >>> evaluate("m/(PI()/4*d^2*rho)", {"m": 0.4, "d": 0.05, "rho": 850.0})
    0.2396...
    """
    try:
        value = _value(_parsed(expression), numbers)
    except (ZeroDivisionError, OverflowError, ValueError):
        return math.nan
    return math.nan if isinstance(value, complex) else value


def _value(node: ast.expr, numbers: Mapping[str, float]) -> Any:
    match node:
        case ast.Constant(value=int() | float() as value):
            return value
        case ast.Name(id=name):
            return numbers[name]
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return -_value(operand, numbers)
        case ast.BinOp(left=left, op=op, right=right):
            return _BINARY[type(op)](_value(left, numbers), _value(right, numbers))
        case ast.Compare(left=left, ops=[op], comparators=[right]):
            return _COMPARED[type(op)](_value(left, numbers), _value(right, numbers))
        case ast.Call(func=ast.Name(id="IF"), args=[asked, then, otherwise]):
            return _value(then if _value(asked, numbers) else otherwise, numbers)
        case ast.Call(func=ast.Name(id=name), args=args):
            return _CALLED[name](*(_value(arg, numbers) for arg in args))
    raise TypeError(f"no part of an expression: {ast.unparse(node)}")


def formula(expression: str, where: Mapping[str, str]) -> str:
    """The expression as a cell's formula, each symbol by the cell in which it stands, without the '='.

    >>> formula("m/(PI()/4*d^2*rho)", {"m": "$C$4", "d": "$C$5", "rho": "Index!H14"})
    '$C$4/(PI()/4*$C$5^2*Index!H14)'
    """
    return _NAME.sub(lambda found: where[found.group()], expression)


def symbols(expression: str) -> list[str]:
    """The symbols of an expression, each once.

    >>> symbols("ABS(e)>e_max")
    ['e', 'e_max']
    """
    return list(dict.fromkeys(_NAME.findall(expression)))
