"""What a result hangs on where vapour and shape of the ends are left out: by how much, in the example."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from xlfuncs.worksheet import call
from xlfuncs.worksheet.spec import Function

FROM = 1.0
"""mm; a smaller change is not spoken of (common practice, no source)."""
STEAM = "55 kg/m3"
"""Saturated steam at 100 bar absolute (IAPWS-IF97: 55.45 kg/m3)."""
_WHAT = {
    "upper_density": ("no vapour is counted", f"a vapour of {STEAM}, as of steam at 100 bara,", (STEAM,)),
    "vapour_density": ("no vapour is counted", f"a vapour of {STEAM}, as of steam at 100 bara,", (STEAM,)),
    "ends": ("flat ends are taken", "{} ones", ("hemispherical", "elliptical")),
}
"""Argument -> what stands for it where it is left out, what may be true instead, and that as values."""


def changes(function: Function) -> Iterator[tuple[str, str, float]]:
    """(argument, value instead, change in mm) for each that changes the example by more than `FROM`."""
    places = {argument.name: at for at, argument in enumerate(function.arguments)}
    for name in (n for n in _WHAT if n in places and not function.arguments[places[n]].required):
        for value in _WHAT[name][2]:
            difference = _changed(function, places[name], value)
            if difference is None:
                continue  # such a float sinks
            if abs(difference) > FROM:
                yield name, value, difference
            break


def sentences(function: Function) -> list[str]:
    """The same in words."""
    return [
        f"{name}: {_WHAT[name][0]}. In the example {_WHAT[name][1].format(value)} change"
        f"{'' if name == 'ends' else 's'} the result by {difference:+.1f} mm."
        for name, value, difference in changes(function)
    ]


def _changed(function: Function, at: int, value: str) -> float | None:
    """Largest change of a length in the example's result; None where one of the results has none."""
    left_out, stated = (
        _lengths(function, call(function.name, *_with(function, at, cell))) for cell in (None, value)
    )
    if left_out is None or stated is None or left_out.shape != stated.shape or not left_out.size:
        return None
    difference = stated - left_out
    return float(difference[np.argmax(np.abs(difference))])


def _with(function: Function, at: int, cell: Any) -> list[Any]:
    given = [*function.example.arguments, *([None] * len(function.arguments))][: len(function.arguments)]
    given[at] = cell
    return given


def _lengths(function: Function, result: Any) -> np.ndarray[Any, Any] | None:
    """The lengths in a result, in mm; None where it holds something else in their place."""
    if function.result.shape == "table":
        if not isinstance(result, list):
            return None
        columns = [at for at, heading in enumerate(result[0]) if str(heading).endswith(", mm")]
        cells = [row[at] for row in result[1:] for at in columns]
        return np.array([cell for cell in cells if isinstance(cell, float)])
    if function.result.quantity != "length":
        return np.array([])
    cells = result if isinstance(result, list) else [result]
    return np.array(cells) if all(isinstance(cell, float) for cell in cells) else None
