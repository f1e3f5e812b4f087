"""Functions of the sheet that are about units and the package, not about gauges."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

from xlfuncs import __version__
from xlfuncs.gauge import Array, scalar
from xlfuncs.units import AmbiguousUnit, Converter, UnitError, converter, quantities_of


@lru_cache(maxsize=256)
def _pair(source: str, target: str) -> tuple[Converter, Converter]:
    """Converters of two units for a quantity that both measure."""
    shared = quantities_of(source) & quantities_of(target)
    ambiguous: AmbiguousUnit | None = None
    for quantity in sorted(shared):
        try:
            return converter(source, quantity), converter(target, quantity)
        except AmbiguousUnit as why:
            ambiguous = why
    if ambiguous is not None:
        raise UnitError(f"from_unit '{source}' and to_unit '{target}' do not fit: {ambiguous}")
    raise UnitError(f"from_unit '{source}' and to_unit '{target}' measure different things")


def convert(value: Any, from_unit: Any, to_unit: Any) -> Array:
    """`value` in `from_unit`, in `to_unit`. Shapes broadcast. UnitError names the units that do not fit."""
    numbers, sources, targets = np.broadcast_arrays(
        np.asarray(value, dtype=np.float64), np.asarray(from_unit, object), np.asarray(to_unit, object)
    )
    out = np.empty(numbers.shape)
    for source, target in {(str(a), str(b)) for a, b in zip(sources.flat, targets.flat, strict=True)}:
        where = (sources == source) & (targets == target)
        read, write = _pair(source, target)
        out[where] = write.from_si(read.to_si(numbers[where]))
    return scalar(out)


def version() -> str:
    """'xlfuncs' and the version of the package."""
    return f"xlfuncs {__version__}"
