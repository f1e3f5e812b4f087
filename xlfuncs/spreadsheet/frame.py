"""A data frame of any library (pandas, polars, pyarrow ...) as the grid of a sheet, and findings as a frame.

Frames are read and made through narwhals, so that none of those libraries is needed. The headings stand in
row 1, as if the frame had been written to a sheet.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from decimal import Decimal
from importlib.util import find_spec
from typing import Any, Final

import numpy as np

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.grid import Grid

LIBRARIES: Final = ("pandas", "polars", "pyarrow")
"""Those that can be asked for a frame, the first that is installed where none is named."""


def is_frame(source: Any) -> bool:
    """Whether something is a frame, by what it can do; a single column is none."""
    protocols = ("__dataframe__", "__arrow_c_stream__", "__narwhals_dataframe__")
    return any(hasattr(source, protocol) for protocol in protocols) and hasattr(source, "columns")


def grid_of(frame: Any, name: str) -> Grid:
    """The sheet `name` with the cells of a frame. XlfuncsError where it cannot be read."""
    import narwhals

    try:
        frame = _with_named_index(frame)
        table = narwhals.from_native(frame, eager_only=True)
        headings = [_heading(column) for column in _columns(frame, table)]
        columns = [table.get_column(column).to_list() for column in table.columns]
    except (TypeError, ValueError, KeyError) as why:
        reason = " ".join(str(why).split())
        mend = "give a frame of pandas, polars or pyarrow (Table)"
        if not isinstance(why, TypeError):
            mend = "give one column to each name"
        raise XlfuncsError(f"{name}: the frame cannot be read: {reason}; {mend}") from None
    values = np.full((len(table) + 1, len(headings)), "", dtype=object)
    for at, (heading, cells) in enumerate(zip(headings, columns, strict=True)):
        values[0, at] = heading
        values[1:, at] = [_cell(cell) for cell in cells]
    grid = Grid.block(name, values)
    grid.has_formulas = False
    return grid


def _with_named_index(frame: Any) -> Any:
    """A frame of pandas with its index as columns where it has names: tags often stand there."""
    names = getattr(getattr(frame, "index", None), "names", ())
    return frame.reset_index() if any(name is not None for name in names) else frame


def _columns(frame: Any, table: Any) -> Sequence[Any]:
    """The names of the columns as the frame has them: a pandas frame may have several levels."""
    names = list(frame.columns) if hasattr(frame, "iloc") else table.columns
    return names if len(names) == len(table.columns) else table.columns


def _heading(name: Any) -> str:
    parts = name if isinstance(name, tuple) else (name,)
    return " / ".join(str(part) for part in parts if str(part).strip())


def _cell(value: Any) -> Any:
    """A value as a cell of a sheet holds it."""
    if isinstance(value, np.generic):
        value = value.item()
    if value is None or type(value).__name__ in ("NAType", "NaTType"):
        return ""
    if isinstance(value, float) and math.isnan(value):
        return ""
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, (bool, int, float, str, datetime, date, time)):
        return value
    return str(value)


def frame_of(columns: Mapping[str, Sequence[Any]], library: str | None) -> Any:
    """A frame of `library`, or of the first that is installed."""
    wanted = [library] if library else [name for name in LIBRARIES if find_spec(name)]
    if not wanted:
        raise XlfuncsError(f"no library of data frames is installed: install one of {', '.join(LIBRARIES)}")
    if wanted[0] not in LIBRARIES:
        raise XlfuncsError(f"no frame of {library!r} can be made: use one of {', '.join(LIBRARIES)}")
    if find_spec(wanted[0]) is None:
        raise XlfuncsError(f"{wanted[0]} is not installed: install it, or ask for another library")
    import narwhals

    backend: Any = wanted[0]
    return narwhals.from_dict(dict(columns), backend=backend).to_native()
