"""Diagnosis as the worksheet calls it: float data and observations as ranges in, a ranked table out."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np

from xlfuncs.data import load
from xlfuncs.data.words import says
from xlfuncs.gauge import MISSING, Array, Refused
from xlfuncs.gauge.causes import AS_DESIGNED, NONE
from xlfuncs.gauge.density import liquid_density
from xlfuncs.gauge.diagnosis import FOUND, UNEXPLAINED, UNTOLD, Diagnosis, Finding, diagnose
from xlfuncs.gauge.floats import ENDS, immersion
from xlfuncs.gauge.guide import confirming
from xlfuncs.gauge.observations import next_observation
from xlfuncs.gauge.readings import DENSITY_NOISE, FALLING, LEVEL_NOISE, NAN, RISING, STILL, Gauge, Readings
from xlfuncs.gauge.signal import MEASURING_HIGH, MEASURING_LOW, current_status
from xlfuncs.units import UnitError, converter, find_unit, parse
from xlfuncs.worksheet.answers import read_answers
from xlfuncs.worksheet.compared import headed, left_out
from xlfuncs.worksheet.data_sheet import pairs, under_headings
from xlfuncs.worksheet.float_table import is_blank, is_placeholder, is_unit_row, squash
from xlfuncs.worksheet.observed import Field, find_field, reading_fields, vocabulary
from xlfuncs.worksheet.said import as_numbers

Rows = Sequence[Sequence[Any]]
Cells = Sequence[Sequence[str]]
"""How to name each cell of a range."""

HEADINGS = (
    *("rank", "cause", "what is fitted", "value", "unit", "standard uncertainty", "misfit", "weight"),
    *("verdict", "next observation"),
)

FROM_INDEX = {
    "mass": "float_mass",
    "diameter": "float_diameter",
    "length": "float_length",
    "magnet_height": "magnet_height",
    "density": "fluid_density",
    "upper_density": "upper_density",
    "lrv": "lrv",
    "urv": "urv",
    "visible_range": "visible_range",
    "set_point": "set_point",
}
"""What a diagnosis takes from an index -> its field there."""

_LEAST_DENSITY = 50.0
"""kg/m3; a smaller number is a specific gravity without its unit."""


def _unit(field: Field, heading: str, below: str, what: str) -> str:
    """Unit of the numbers under a heading."""
    if not field.quantity:
        return ""
    unit = find_unit(below, field.quantity) or find_unit(heading, field.quantity)
    if unit is None:
        if other := find_unit(below) or find_unit(heading):
            raise ValueError(f"{what}: '{heading.strip()}' states {other}, no unit of {field.quantity}")
        return field.unit
    try:
        converter(unit, field.quantity)
    except UnitError as why:
        raise ValueError(f"{what}: '{heading.strip()}': {why}") from None
    return unit


def _cell(cell: Any, field: Field, unit: str) -> float | str:
    """SI number (NaN: not read) or text ("": none) of a cell; ValueError says why it cannot be one."""
    if field.name == "scale_density" and squash(str(cell)) in _words_of("yes"):
        return math.inf  # the stated one
    if field.name == "switch" and squash(str(cell)) in _words_of("acted") | _words_of("not_acted"):
        return f"{cell:g}" if isinstance(cell, float) else str(cell)  # 'no' is a state here, not no value
    if is_blank(cell) or is_placeholder(cell):
        return NAN if field.quantity else ""
    if not field.quantity:
        return f"{cell:g}" if isinstance(cell, float) else " ".join(str(cell).split())
    if isinstance(cell, str):
        read = parse(cell, field.quantity, unit)
        if read.si_low != read.si_high:
            raise ValueError(f"'{cell}' is a range; give one number")
        value = float(read.si)
    elif isinstance(cell, (int, float)) and not isinstance(cell, bool):
        value = float(converter(unit, field.quantity).to_si(cell))
    else:
        raise ValueError(f"{str(cell).upper()} is no number")
    if field.quantity == "density" and 0 < value < _LEAST_DENSITY and field.name != "upper_density":
        raise ValueError(f"{cell} is {value:g} kg/m3; write SG into the heading for a specific gravity")
    return value


def _columns(
    rows: Rows,
    part: str,
    what: str,
    places: Sequence[str] = (),
    which: Sequence[str | None] | None = None,
    named_as: Sequence[str] = (),
) -> tuple[dict[str, list[float | str]], list[str]]:
    """(values by field, place of each row of values) of a range with headings in its first row.

    `places` and `named_as`: how to name each row and each column of the range in an error. `which`: the field
    of each column.
    """
    fields, _ = vocabulary(part)
    at_rows = [i for i, row in enumerate(rows) if any(not is_blank(cell) for cell in row)]
    filled = [list(rows[i]) for i in at_rows]
    if len(filled) < 2:
        raise ValueError(f"{what}: give a range with its headings in the first row and data beneath")
    units = filled[1] if is_unit_row(filled[1]) else None
    first = 2 if units else 1
    body = filled[first:]
    named = [places[i] for i in at_rows[first:]] if places else []
    named = named or [f"{what}, reading {number}" for number in range(1, len(body) + 1)]
    found: dict[str, list[float | str]] = {}
    wrong: list[str] = []
    if which is None:
        which = [find_field(part, cell) for cell in filled[0]]
    for at, (heading, name) in enumerate(zip(filled[0], which, strict=True)):
        if name not in fields:
            continue
        if name in found:
            heads = named_as or [f"'{head}'" for head in filled[0]]
            both = " and ".join(h for h, n in zip(heads, which, strict=True) if n == name)
            raise ValueError(
                f"{what}: two columns for the {fields[name].label}: {both}; keep one, with a row for each"
                " reading, and head the other 'Remark'"
            )
        below = units[at] if units and isinstance(units[at], str) else ""
        unit = _unit(fields[name], heading, below, what)
        found[name] = []
        for place, row in zip(named, body, strict=True):
            try:
                found[name].append(_cell(row[at], fields[name], unit))
            except (UnitError, ValueError) as why:
                wrong.append(f"{place}, {fields[name].label}: {why}")
    if wrong:
        raise ValueError("; ".join(wrong))
    if not found:
        shown = ", ".join(f"'{h}'" for h in filled[0] if isinstance(h, str) and h.strip())
        some = ", ".join(field.label for field in list(fields.values())[:4])
        raise ValueError(f"{what}: no heading understood ({shown or 'none is a text'}); use e.g. {some}")
    return found, named


def _pairs(rows: Rows, what: str, cells: Cells) -> dict[str, float | str]:
    """Values by field of labels with their values beside them, perhaps several blocks in a row."""
    fields, _ = vocabulary("gauge")
    found: dict[str, float | str] = {}
    first: dict[str, str] = {}
    for at, row in enumerate(rows):
        for pair in pairs(row):
            field, label = fields[pair.name], str(row[pair.label]).strip()
            cell = pair.label if pair.value is None else pair.value
            place = cells[at][cell] if cells else what
            try:
                unit = _unit(field, label, pair.unit, place)
                value = _cell(None if pair.value is None else row[pair.value], field, unit)
            except (UnitError, ValueError) as why:
                raise ValueError(f"{place}, {field.label}: {why}") from None
            if pair.name in found and not _same(value, found[pair.name]):
                before = f" after {first[pair.name]}" if cells else ""
                raise ValueError(f"{place}: '{label}' names the {field.label} a second time{before}")
            if pair.name not in found:
                found[pair.name], first[pair.name] = value, place
    return found


def _same(value: float | str, other: float | str) -> bool:
    return value == other or value != value


def _single(rows: Rows, what: str, cells: Cells = ()) -> dict[str, float | str]:
    """The data of one gauge: headings with one row beneath, or label and value pairs."""
    first = next((at for at, row in enumerate(rows) if any(not is_blank(cell) for cell in row)), None)
    if first is None or not under_headings(rows, first, 2):
        return _pairs(rows, what, cells)
    columns, places = _columns(rows, "gauge", what, [what] * len(rows))
    if len(places) != 1:
        raise ValueError(f"{what}: {len(places)} rows under the headings; give the one float in the gauge")
    return {name: values[0] for name, values in columns.items()}


@cache
def _words_of(group: str) -> frozenset[str]:
    return frozenset(squash(word) for word in load("observations")["words"][group])


def _word(text: float | str, groups: Mapping[str, float], what: str) -> float:
    """What a word of `observations.toml` stands for, NaN for none."""
    plain = squash(str(text))
    if not plain:
        return NAN
    words = load("observations")["words"]
    for group, value in groups.items():
        if plain in {squash(word) for word in words[group]}:
            return value
    # within a sentence, what comes first of it: 'going up slowly'
    within = [
        (f" {plain} ".find(f" {known} "), -len(known), value)
        for group, value in groups.items()
        for known in map(squash, words[group])
        if len(known) > 2 and f" {known} " in f" {plain} "
    ]
    if within:
        at, _, value = min(within)
        return _STATES["not_acted"] if "acted" in groups and _negated(plain, at) else value
    some = ", ".join(load("observations")["words"][group][0] for group in groups)
    raise ValueError(f"{what}: '{text}' is none of {some}")


def _negated(plain: str, at: int) -> bool:
    """'has not yet tripped': a word that denies stands before what begins there."""
    return not _words_of("negation").isdisjoint(plain[:at].split())


@dataclass(frozen=True, slots=True)
class Stated:
    """What is stated of the gauge: its data, and for its liquid where the readings do not say."""

    gauge: Gauge
    density: float = NAN
    fluid: str = ""


def stated_gauge(data: Mapping[str, float | str], what: str = "float") -> Stated:
    """A gauge from values by field (SI numbers, texts); ValueError names what is missing or wrong."""
    fields, _ = vocabulary("gauge")
    missing = [f.label for f in fields.values() if f.needed and not _number(data, f.name) > 0]
    if missing:
        raise Refused(f"{what}: missing or not above 0: {', '.join(missing)}", MISSING)
    ends = str(data.get("ends", "")) or "flat"
    shape = next((e for e in ENDS if says(np.array([ends], dtype=object), e)[0]), None)
    if shape is None:
        raise ValueError(f"{what}: ends '{ends}' are none of {', '.join(ENDS)}")
    action = np.array([str(data.get("action", ""))], dtype=object)
    turned = _word(data.get("switch_action", ""), {"rising": 0.0, "falling": 1.0}, f"{what}, switch action")
    gauge = Gauge(
        mass=_number(data, "mass"),
        diameter=_number(data, "diameter"),
        length=_number(data, "length"),
        magnet_height=_number(data, "magnet_height"),
        ends=shape,
        upper_density=_number(data, "upper_density", 0.0),
        lrv=_number(data, "lrv"),
        urv=_number(data, "urv"),
        reverse=bool(says(action, "reverse")[0]),
        visible_range=_number(data, "visible_range"),
        room_below=_number(data, "room_below"),
        set_point=_number(data, "set_point"),
        differential=_number(data, "differential", 0.0),
        falling_switch=turned == 1.0,
    )
    gauge = replace(gauge, scale_shift=_scale_shift(gauge, data, what))
    if gauge.magnet_height > gauge.length:
        raise ValueError(f"{what}: the magnet height is above the float's top: give it from the bottom")
    if gauge.urv <= gauge.lrv:
        raise ValueError(f"{what}: URV must be above LRV; state reverse action for a falling signal")
    return Stated(gauge, _number(data, "density"), str(data.get("fluid", "")))


def _scale_shift(gauge: Gauge, data: Mapping[str, float | str], what: str) -> float:
    """By what the scale is set for the float: so that it reads true in a density, or by its zero's height.

    A gauge is usually set so that it reads true in its design density, wherever the magnet is in the float.
    """
    zero, density = _number(data, "scale_zero"), _number(data, "scale_density")
    if math.isinf(density):
        density = _number(data, "density")
        if math.isnan(density):
            raise Refused(
                f"{what}: the scale is set for the float, at which density? State the density", MISSING
            )
    if math.isnan(density):
        return 0.0 if math.isnan(zero) else -zero
    if not math.isnan(zero):
        raise ValueError(f"{what}: state the density that the scale is set for or the scale's zero, not both")
    deep = float(
        immersion(gauge.mass, gauge.diameter, gauge.length, density, gauge.upper_density, gauge.ends)
    )
    if math.isnan(deep):
        raise ValueError(f"{what}: the float sinks in the density that the scale is set for")
    return deep - gauge.magnet_height


def _number(data: Mapping[str, float | str], name: str, absent: float = NAN) -> float:
    value = data.get(name, NAN)
    return absent if isinstance(value, str) or math.isnan(value) else value


def read_gauge(rows: Rows, what: str = "float", cells: Cells = ()) -> Stated:
    """The gauge in a range; `what` names the range, and `cells` each of its cells, in an error."""
    return stated_gauge(_single(rows, what, cells), what)


_MOVES = {"rising": RISING, "falling": FALLING, "still": STILL, "drained": 9.0}
_STATES = {"acted": 1.0, "not_acted": 0.0}


def read_observations(
    rows: Rows,
    stated: Stated,
    what: str = "observations",
    places: Sequence[str] = (),
    letters: Sequence[str] = (),
) -> Readings:
    """The readings in a range, headings first. ValueError names the row and the column that is wrong.

    `what` names the range, `places` each of its rows and `letters` each of its columns in an error.
    """
    which = reading_fields(rows)
    said = as_numbers(rows, which, stated.gauge, what)
    columns, named = _columns(said.rows, "readings", what, places, which, headed(rows, letters))
    absent = np.full(len(named), NAN)
    numbers = {
        name: np.array(values, dtype=np.float64)
        for name, values in columns.items()
        if vocabulary("readings")[0][name].quantity
    }
    temperature = numbers.pop("temperature", absent)
    density = _densities(numbers.pop("density", absent), temperature, stated, named)
    if "current" in numbers:
        numbers["current"] = _sent(numbers["current"], named)

    def coded(name: str, groups: Mapping[str, float]) -> Array:
        cells = columns.get(name, [""] * len(named))
        return np.array([_word(cell, groups, f"{p}, {name}") for p, cell in zip(named, cells, strict=True)])

    motion = coded("direction", _MOVES)
    no_level = np.isin(np.arange(len(named)), list(said.drained))
    on_stop = (motion == _MOVES["drained"]) | (no_level & np.isnan(motion))
    motion = np.where(on_stop, NAN, motion)
    motion = np.where(np.isnan(motion), np.sign(numbers.get("level_rate", absent)), motion)
    return Readings(
        density,
        **numbers,
        direction=motion,
        switch=coded("switch", _STATES),
        limit=np.array(said.limits),
        drained=np.where(on_stop, 1.0, NAN),
    )


def _sent(current: Array, places: Sequence[str]) -> Array:
    """Currents as far as they state a level: beyond the measuring range the transmitter holds at its end, and
    the level is there or beyond (NAMUR NE 43); a failure signal states none, and is refused."""
    for place, text in zip(places, current_status(current), strict=True):
        if text.startswith("failure"):
            raise ValueError(
                f"{place}: the current signals {text} (NE 43): see to the transmitter first, or leave the"
                " cell blank to diagnose the rest"
            )
    return np.clip(current, MEASURING_LOW, MEASURING_HIGH)


def _densities(read: Array, temperature: Array, stated: Stated, places: Sequence[str]) -> Array:
    """Stated density of each reading: its own, the gauge's, or that of a known fluid at its temperature."""
    density = np.where(np.isnan(read), stated.density, read)
    if np.isnan(density).any() and stated.fluid:
        known = np.asarray(liquid_density(stated.fluid, temperature, None))
        density = np.where(np.isnan(density), known, density)
    if np.isnan(density).any():
        raise Refused(
            f"{places[int(np.argmax(np.isnan(density)))]}: no density; add a column, state it with the float,"
            " or state a known fluid there and temperatures here",
            MISSING,
        )
    return density


def table(found: Diagnosis, most: int | None = None) -> list[list[Any]]:
    """The ranked causes as rows, headings first; untested ones at the end. `most`: how many, None for all."""
    rivals = {f.cause.name for f in found.rivals} if found.verdict != UNEXPLAINED else set()
    rows: list[list[Any]] = [list(HEADINGS)]
    for rank, finding in enumerate(found.findings[:most], start=1):
        near = finding.cause.name in rivals
        verdict = found.verdict if rank == 1 else "cannot be told from the first" if near else "unlikely"
        rows.append([rank, *_row(found, finding), verdict, next_text(found, rank - 1)])
    if most is None:
        rows += [["", cause.name, *[""] * 6, "not tested", f"needs {what}"] for cause, what in found.untested]
    return rows


def _row(found: Diagnosis, finding: Finding) -> list[Any]:
    cause, case = finding.cause, found.case
    misfit = finding.misfit if math.isfinite(finding.misfit) else ""
    if not cause.parameters or math.isnan(finding.value):
        return [cause.name, "", "", "", "", misfit, finding.weight]
    first, *more = cause.parameters
    value = first.shown(case, finding.value)
    u = first.shown(case, finding.uncertainty)
    further = "".join(
        f"; {p.name} {p.shown(case, x):.4g} {p.unit}".rstrip()
        for p, x in zip(more, finding.values[1:], strict=True)
    )
    return [cause.name, first.name + further, value, first.unit, u, misfit, finding.weight]


def lacks_level(found: Diagnosis) -> bool:
    """Indicator and current were compared with each other alone, and agree: nothing is known of the level."""
    best = found.findings[0]
    return best.cause is AS_DESIGNED and found.verdict == UNTOLD and not found.case.level_known


def next_text(found: Diagnosis, index: int) -> str:
    """What to read next to tell a cause from the first, for those that cannot be told from it; of the
    first, from the second."""
    if index == 0 and lacks_level(found):
        return (
            "the true level by another means (dip, gauge glass, dp), beside what is indicated, at two levels"
            " or more; as a column 'True level (mm)'"
        )
    if found.withheld:
        return (
            "the columns that were not read: head them by what they hold, and diagnose again"
            if not index
            else ""
        )
    if found.verdict == UNEXPLAINED:
        return "read again: a reading is in error, or the cause is in no list" if index == 0 else ""
    rivals = found.rivals
    if index == 0 and found.verdict == FOUND:
        question = confirming(found)
        return "" if question is None else f"confirm it before anything is mended: {question.text}"
    if index >= len(rivals) or (index == 0 and found.verdict != UNTOLD):
        return ""
    if index:
        other = rivals[index]
    else:
        others = [f for f in rivals[1:] if f.cause is not NONE]
        if not others:
            return "read again at other levels: one cause fits, but not well enough to name it"
        other = others[0]
    return "" if other.cause is NONE else next_observation(found.case, rivals[0], other).text


def _places_of(answers: Rows) -> list[str]:
    return [f"answers, row {number}" for number in range(1, len(answers) + 1)]


def diagnosis_table(
    float: Rows,
    observations: Rows,
    level_noise: Any = LEVEL_NOISE,
    density_noise: Any = DENSITY_NOISE * 100,
    most: Any = None,
    answers: Rows | None = None,
) -> list[list[Any]]:
    """`xlfuncs.gauge.diagnosis.diagnose` for two ranges of a sheet: one row for each cause, best first.

    `level_noise` in m, `density_noise` in percent; `most` causes are shown. ValueError, which a cell shows
    as its reason, for a range that cannot be read.
    """
    if np.ndim(level_noise) or np.ndim(density_noise) or np.ndim(most):
        raise ValueError("level_noise, density_noise and most: give one cell each, not a range")
    stated = read_gauge(float)
    readings = read_observations(observations, stated)
    seen = {} if answers is None else read_answers(answers, _places_of(answers))
    aside = left_out(observations, stated.gauge)
    found = diagnose(stated.gauge, readings, level_noise, density_noise / 100, answers=seen, not_read=aside)
    made = table(found, None if most is None else int(most))
    return made + [["", text, *[""] * 6, "not read", ""] for text in aside]
