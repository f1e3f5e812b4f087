"""What a gauge's float has to do, and the floats that there are: the list's, and its own."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.gauges import (
    DENSITIES,
    SAME_PRESSURE,
    Gauges,
    part_key,
    stated_shape,
)
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.shown import inches_beside, shown
from xlfuncs.audit.working import SI
from xlfuncs.data import load
from xlfuncs.data.words import means
from xlfuncs.gauge import choice
from xlfuncs.worksheet.float_table import QUANTITIES

_TEXTS = {"part": "float_part", "material": "float_material"}
_NUMBERS = {**QUANTITIES, "magnet_temperature": "magnet_max_temperature"}


def listed_rows(gauges: Gauges) -> NDArray[np.intp]:
    """Records of the float lists, each part once: where it stands first."""
    parts = gauges.listed.get("float_part")
    keys = [] if parts is None else [part_key(text) for text in parts.text.tolist()]
    return np.array(sorted({key: i for i, key in reversed(list(enumerate(keys))) if key}.values()), np.intp)


def listed_floats(gauges: Gauges) -> choice.FloatList | None:
    """The floats of the workbook's lists, each part once; None where there is no list."""

    def compute() -> choice.FloatList | None:
        if "float_part" not in gauges.listed:
            return None
        at = listed_rows(gauges)
        columns: dict[str, object] = {}
        for name, field in (*_TEXTS.items(), *_NUMBERS.items()):
            column = gauges.listed.get(field)
            if column is not None:
                given = column.given[at]
                stated = column.text if name in _TEXTS else column.value
                columns[name] = np.where(given, stated[at], "" if name in _TEXTS else np.nan)
        ends = gauges.listed.get("float_ends")
        if ends is not None:
            columns["ends"] = [stated_shape(text) or "" for text in ends.text[at].tolist()]
        service = gauges.listed.get("float_service")
        if service is not None:
            columns["service"] = [_service(text) for text in service.text[at].tolist()]
        return choice.float_list(columns)

    return gauges.derived("listed_floats", compute)


def _service(text: str) -> str:
    """What a float was made for; "" where that is not said, or for both."""
    said = [name for name in ("interface", "level") if means(text, name)]
    return said[0] if len(said) == 1 else ""


def duty_of(gauges: Gauges, settings: Settings, record: int) -> choice.Duty | None:
    """What the gauge's float has to do at all of its cases; None where the densities of the one in question
    are not stated, or contradict themselves."""
    duty = _of_case(gauges, settings, record)
    if duty is None or not gauges.cases[record]:
        return duty
    named = np.flatnonzero(gauges.texts("tag") == gauges.texts("tag")[record]).tolist()
    others = [
        other
        for at in named
        if at != record
        and gauges.is_case_of(record, at)
        and (other := _of_case(gauges, settings, at)) is not None
    ]
    every = [duty, *others]
    return replace(
        duty,
        conditions=tuple(condition for one in every for condition in one.conditions),
        design_pressure=float(np.fmax.reduce([one.design_pressure for one in every])),
        design_temperature=float(np.fmax.reduce([one.design_temperature for one in every])),
        heat_at=tuple(dict.fromkeys(kelvin for one in every for kelvin in one.heat_at)),
    )


def _of_case(gauges: Gauges, settings: Settings, record: int) -> choice.Duty | None:
    """The same at one of its cases."""
    low, high = (float(end[record]) for end in gauges.densities)
    upper = [float(end[record]) for end in gauges.uppers]
    if not gauges.mentioned("upper_density")[record]:
        upper[1] = upper[0]
    above = (min(upper), max(upper))
    viscosity = float(gauges.high("viscosity")[record])
    if np.isnan(low + high + above[0] + above[1]):
        return None
    rate = float(gauges.or_default("level_rate", settings.level_rate_mm_s * 1e-3)[record])
    try:
        return choice.Duty(
            pairs((low, high), above, viscosity),
            design_pressure=float(gauges.high("design_pressure")[record]),
            design_temperature=float(gauges.high("design_temperature")[record]),
            heat_at=tuple(
                dict.fromkeys(
                    float(end("operating_temperature")[record]) for end in (gauges.low, gauges.high)
                )
            ),
            tolerance=settings.offset_tolerance_mm * 1e-3,
            minimum_reserve=min(settings.float_reserve_minimum, 0.49),
            chamber_bore=float(gauges.si("chamber_bore")[record]),
            level_rate=0.0 if np.isnan(rate) else rate,
            safety_factor=settings.safety_factor,
            service="interface" if gauges.interface[record] else "level",
        )
    except ValueError:
        return None


def pairs(
    lower: tuple[float, float], upper: tuple[float, float], viscosity: float
) -> tuple[choice.Condition, ...]:
    """Every pair of densities that a rule takes: ends of the lower with ends of the upper fluid's range."""
    found = choice.between(lower, upper, viscosity=viscosity)
    if lower[0] == lower[1] or upper[0] == upper[1] or upper[1] >= lower[0]:
        return found
    crossed = (("lowest density under the densest", 0, 1), ("highest density under the lightest", 1, 0))
    more = [choice.Condition(name, lower[i], upper[j], viscosity=viscosity) for name, i, j in crossed]
    return (*found, *more)


def crushed(gauges: Gauges, record: int, permitted: float) -> str:
    """What the test asks of a float that is good for so much [Pa gauge]; "" where it withstands it."""
    test = float(gauges.high("test_pressure")[record])
    if not beyond(test, permitted):
        return ""
    say = partial(gauges.say, record, "test_pressure")
    return f"take it out before the test at {say(test)}: its limit is {say(permitted)}"


def beyond(applied: float, permitted: float) -> bool:
    """Whether a pressure is above what a float is good for, as the rules on it have it."""
    return bool(applied > permitted * (1 + SAME_PRESSURE))


def density_field(gauges: Gauges, record: int) -> str:
    """The field in which a gauge states its density, whose unit is that of its sheet."""
    return next((name for name in DENSITIES if gauges.given(name)[record]), DENSITIES[0])


def said_by(gauges: Gauges, record: int) -> choice.Said:
    """The units of the gauge's own sheet."""
    say = partial(gauges.say, record)
    return choice.Said(
        partial(say, density_field(gauges, record)),
        partial(say, "design_pressure"),
        partial(say, "design_temperature"),
        partial(say, "chamber_bore"),
        partial(say, "level_rate"),
        cold=" (cold)",
        worst=" at worst",
    )


def spare(gauges: Gauges, record: int, field: str, difference: float) -> str:
    """A difference [Pa, K] in the unit that the sheet has for a field: '100 psi', '290 degF'."""
    size, unit = _difference(gauges, record, field, difference)
    if not unit:
        return ""
    return f"{size:.0f} {unit}" if unit == "K" or size >= 100 else f"{size:.1f} {unit}"


def by_so_much(gauges: Gauges, record: int, field: str, difference: float) -> str:
    """A difference [SI] that is asked for, in the unit that the sheet has for a field: '9 degF', '0.05 SG'.

    In that of ours where the sheet's is no measure of differences: degrees API.
    """
    size, unit = _difference(gauges, record, field, difference)
    quantity = str(load("fields")[field]["quantity"])
    return f"{size:.4g} {unit}" if unit else shown(difference, f"{SI[quantity]}{_APART.get(quantity, '')}")


_APART: Final = {"temperature": " difference", "pressure_gauge": " difference"}
"""What a unit is called of which the zero does not count."""


def set_by(gauges: Gauges, record: int, metres: float) -> str:
    """How far a scale is set, with inches where the sheet has them: '17.0 mm', '17.0 mm (0.669 in)'."""
    return inches_beside(gauges, record, f"{abs(metres) * 1e3:.1f} mm", abs(metres), 3)


def _difference(gauges: Gauges, record: int, field: str, difference: float) -> tuple[float, str]:
    """Size and unit of a difference; no unit where that of the field measures none."""
    start = 0.0 if load("fields")[field]["quantity"] == "pressure_gauge" else 300.0
    zero, more = (gauges.measure(record, field, end) for end in (start, start + difference))
    if zero is None or more is None or isinstance(zero.value, str) or isinstance(more.value, str):
        return np.nan, ""
    if zero.unit != more.unit or zero.unit == "degAPI":
        return np.nan, ""
    unit = zero.unit.removesuffix("g") if zero.unit in ("barg", "psig", "kPag", "MPag") else zero.unit
    return more.value - zero.value, "K" if unit in ("degC", "\u00b0C", "C") else unit


def own_float(gauges: Gauges, record: int) -> choice.FloatList:
    """The gauge's own float as a list of one, by what index and float list state of it."""
    columns: dict[str, object] = {"part": [str(gauges.texts("float_part")[record])]}
    for name, field in _NUMBERS.items():
        columns[name] = gauges.si(field)[record : record + 1]
    columns["material"] = gauges.texts("float_material")[record : record + 1]
    columns["ends"] = [str(gauges.ends[record]) if gauges.given("float_ends")[record] else ""]
    columns["service"] = [_service(str(gauges.texts("float_service")[record]))]
    return choice.float_list(columns)
