"""The gauge's own part as the float list has it, where the gauge's row states other data of that part."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import Gauges, Mask, label
from xlfuncs.audit.remedies.taken import along
from xlfuncs.audit.remedies.values import whole
from xlfuncs.audit.remedy import Option
from xlfuncs.audit.settings import Settings

COMPARED: Final = (
    *("float_mass", "float_diameter", "float_length", "magnet_height", "float_wall"),
    *("float_max_pressure", "float_max_temperature", "float_design_density", "magnet_max_temperature"),
)
"""Fields of a float that both an index and a float list may state."""
_CHECKED: Final = {
    "float_mass": "weigh the float",
    "float_diameter": "measure the float",
    "float_length": "measure the float",
    "magnet_height": "measure the float",
    "float_wall": "ask its maker for its drawing",
}
"""Field -> what tells it (common practice, no source)."""


def differs(gauges: Gauges, settings: Settings, field: str) -> Mask:
    """Where the index states another value of its part than the float list does."""
    if field not in gauges.own or field not in gauges.listed:
        return np.zeros(gauges.n, dtype=np.bool_)
    ours, theirs = gauges.own[field], gauges.listed[field].take(gauges.float_row)
    with np.errstate(invalid="ignore"):
        apart = np.abs(ours.value - theirs.value) > settings.float_data_tolerance * np.abs(theirs.value)
    return np.asarray(apart & ours.given & theirs.given)


def checked_by(field: str) -> str:
    """What tells which of two values of a float is right."""
    return _CHECKED.get(field, "look at its name plate and data sheet")


def as_listed(gauges: Gauges, settings: Settings, record: int) -> Option | None:
    """The list's data in the gauge's row; None where the row states no other."""
    fields = [field for field in COMPARED if differs(gauges, settings, field)[record]]
    if not fields:
        return None
    listed = [float(gauges.listed[field].take(gauges.float_row).value[record]) for field in fields]
    each = [whole(gauges, record, field, si, label(field)) for field, si in zip(fields, listed, strict=True)]
    stated = [f"{one.text}, here {gauges.measure(record, one.name)}" for one in each]
    do = " and ".join(dict.fromkeys(checked_by(field) for field in fields))
    first, *more = each
    return replace(
        first, text=f"({'; '.join(stated)}: {do})", along=along(*((one.name, one.value) for one in more))
    )
