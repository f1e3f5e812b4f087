"""The one catalogue of worksheet functions, and the one way to call them.

`catalogue()` is cheap: it reads declarations only. `call()` brings in numpy, the units and the
physics of the function that is called.
"""

from __future__ import annotations

import re
from functools import cache
from importlib import import_module
from typing import Any

from xlfuncs.additions import FUNCTIONS, Added, added
from xlfuncs.errors import XlfuncsError
from xlfuncs.worksheet.refusal import Refusal
from xlfuncs.worksheet.spec import Function

__all__ = ["Refusal", "call", "catalogue", "find"]

TOPICS = (
    "floats",
    "strength",
    "response",
    "model",
    "choice",
    "uncertainty",
    "fluid",
    "chamber",
    "signal",
    "switches",
    "heat",
    "ratings",
    "field",
    "general",
)


@cache
def catalogue() -> dict[str, Function]:
    """Every worksheet function by its name, in the order of the topics."""
    functions: dict[str, Function] = {}
    for topic in TOPICS:
        for function in import_module(f"xlfuncs.worksheet.functions.{topic}").FUNCTIONS:
            if function.name in functions:
                raise ValueError(f"{function.name} is declared twice")
            functions[function.name] = function
    for one in added(FUNCTIONS):
        for function in one.content:
            _check(function, one, functions)
            functions[function.name] = function
    return functions


def _check(function: Any, one: Added, known: dict[str, Function]) -> None:
    """XlfuncsError where a function of another distribution cannot stand in the catalogue."""
    if not isinstance(function, Function):
        raise XlfuncsError(f"{one.origin}: {function!r} is no xlfuncs.Function")
    if not re.fullmatch(r"LG_[A-Z][A-Z0-9_]*", function.name):
        raise XlfuncsError(
            f"{one.origin}: the name {function.name!r} must be LG_ and capitals, such as LG_ACME_MASS: by it "
            "formulas are known"
        )
    if function.name in known:
        raise XlfuncsError(f"{one.origin}: there is a function {function.name} already; choose another name")


def find(name: str) -> Function:
    """The declaration of a function, whatever the case of its name; XlfuncsError with the nearest names."""
    if not isinstance(name, str):
        raise XlfuncsError(f"the name of a worksheet function is a text such as 'LG_IMMERSION', not {name!r}")
    function = catalogue().get(name.strip().upper())
    if function is None:
        from difflib import get_close_matches

        near = get_close_matches(name.strip().upper(), catalogue(), 3, 0.5)
        hint = f"did you mean {', '.join(near)}?" if near else "'xlfuncs functions' lists them"
        raise XlfuncsError(f"there is no worksheet function '{name}': {hint}")
    return function


def call(name: str, *arguments: Any) -> Any:
    """Value of a worksheet function, as a cell would show it.

    Each argument is a number in the declared trade unit, text with a unit, None for a blank cell, or
    a range: a list of rows or a numpy array. Scalars give a float or a text; ranges give an array of
    their common shape (dtype float, or object where some cells hold text or refuse); a table is a list
    of rows. What cannot be computed gives a `Refusal`, an error value with its reason, never a number or
    a text; in an array each element for itself. A `Refusal`, or the text of an error value, given as an
    argument is passed on.

    Raises XlfuncsError only for a name that is not in the catalogue.
    """
    from xlfuncs.worksheet._evaluate import evaluate

    return evaluate(find(name), arguments)
