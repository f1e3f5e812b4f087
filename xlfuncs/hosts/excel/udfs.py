"""The user-defined functions that xlwings serves to Excel; one for each entry of the catalogue.

xlwings imports this module and finds the functions by their attribute `__xlfunc__`. Only declarations
are read here; numpy, units and physics come in with the first call.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from inspect import Parameter, Signature
from typing import Any

import xlwings

from xlfuncs.worksheet import catalogue
from xlfuncs.worksheet.spec import Argument, Function

# ndim: ranges as rows, also a single row or column. err_to_str: an error cell as its text, which is passed
# on; without it xlwings hands it over as a blank cell, and a default would be used.
_READ = {"ndim": 2, "err_to_str": True}


def make(function: Function) -> Callable[..., Any]:
    """The function as xlwings takes it: a Python function with named arguments, and its help."""

    def udf(*cells: Any) -> Any:
        from xlfuncs.worksheet.cells import result

        return _shown(result(function.name, [_plain(cell) for cell in cells]))

    udf.__name__ = udf.__qualname__ = function.name
    unit = f" Result in {function.result.unit}." if function.result.unit else ""
    udf.__doc__ = f"{function.summary}.{unit}"
    names = {a.name: (Parameter.empty if a.required else None, _help(a)) for a in function.arguments}
    if function.takes_unit:
        names["unit"] = (None, f"unit of the result; {function.result.unit} if left out")
    udf.__signature__ = Signature(  # type: ignore[attr-defined]
        [Parameter(n, Parameter.POSITIONAL_OR_KEYWORD, default=default) for n, (default, _) in names.items()]
    )
    for name, (_, text) in names.items():
        udf = xlwings.arg(name, doc=text, **_READ)(udf)
    return xlwings.func(category=f"xlfuncs: {function.category}")(udf)  # last: arg() resets the category


def _help(argument: Argument) -> str:
    parts = [argument.meaning]
    if argument.unit:
        parts.append(f"a number in {argument.unit}, or text with its unit")
    if argument.usual:
        parts.append(f"{argument.usual} if left out")
    elif not argument.required:
        parts.append("may be left out")
    return "; ".join(parts)


def _plain(argument: Any) -> Any:
    """A value for one cell, rows for more. Cells with a currency format arrive as decimals, and errors that
    xlwings does not know as integers.
    """
    from xlfuncs.spreadsheet.block import as_block, single

    rows = as_block(argument)
    if any(type(cell) in (int, Decimal) for row in rows for cell in row):
        rows = [[_known(cell) for cell in row] for row in rows]
    return single(rows)


def _known(cell: Any) -> Any:
    from xlfuncs.hosts.excel.errors import text

    if isinstance(cell, Decimal):
        return float(cell)
    return text(cell) if type(cell) is int else cell


def _shown(found: Any) -> Any:
    """A result as xlwings takes it: errors as Excel's own."""
    from xlfuncs.hosts.excel.errors import shown
    from xlfuncs.worksheet.refusal import Refusal

    if isinstance(found, (list, tuple)):
        return [_shown(cell) for cell in found]
    return shown(found.error) if isinstance(found, Refusal) else found


globals().update({name: make(function) for name, function in catalogue().items()})
