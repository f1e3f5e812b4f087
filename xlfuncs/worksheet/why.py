"""The reason for an error value, as a worksheet function."""

from __future__ import annotations

from typing import Any

import numpy as np

from xlfuncs.errors import XlfuncsError
from xlfuncs.worksheet import call
from xlfuncs.worksheet.refusal import Refusal


def reason(name: Any, **arguments: Any) -> Any:
    """The reason for which a function refuses its arguments, "" where it answers.

    In the shape of the function's result: a text, an array of texts, or rows. ValueError where there is no
    function of that name.
    """
    if not isinstance(name, str):
        raise ValueError("name: give the name of one function")
    try:
        return texts(call(name, *arguments.values()))
    except XlfuncsError as error:
        raise ValueError(f"name: {error}") from None


def texts(result: Any) -> Any:
    """The reasons in a result, in its shape; "" for what is no refusal."""
    if isinstance(result, np.ndarray):
        found = np.full(result.shape, "", dtype=object)
        for at in np.ndindex(result.shape) if result.dtype == object else ():
            found[at] = texts(result[at])
        return found
    if isinstance(result, (list, tuple)):
        return [texts(cell) for cell in result]
    return result.reason if isinstance(result, Refusal) else ""
