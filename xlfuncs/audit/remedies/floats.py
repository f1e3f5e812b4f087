"""The float that would do: parts of the float list, a scale for the operating density, a float to be made."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.calculation import Calculation
from xlfuncs.audit.gauges import Gauges, part_key, stated_shape
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies import states
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings.balance import listed as listed_reading
from xlfuncs.data import load
from xlfuncs.data.words import means
from xlfuncs.gauge import choice, floats, materials, reasons
from xlfuncs.worksheet.float_table import QUANTITIES

BEST = 3
"""Parts that are named in the sentence; all that fit are options."""
NAMED = 10
"""Parts that are named where they cannot be judged for one reason."""

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
    """What the gauge's float has to do; None where its densities are not stated, or contradict themselves."""
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
            choice.between((low, high), above, viscosity=viscosity),
            design_pressure=float(gauges.high("design_pressure")[record]),
            design_temperature=float(gauges.high("design_temperature")[record]),
            lowest_temperature=float(gauges.low("operating_temperature")[record]),
            tolerance=settings.offset_tolerance_mm * 1e-3,
            minimum_reserve=min(settings.float_reserve_minimum, 0.49),
            chamber_bore=float(gauges.si("chamber_bore")[record]),
            level_rate=0.0 if np.isnan(rate) else rate,
            safety_factor=settings.safety_factor,
            service="interface" if gauges.interface[record] else "level",
        )
    except ValueError:
        return None


def another_float(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """Parts of the list that fit the gauge; where none does, the nearest and why not."""
    duty = duty_of(gauges, settings, hit.record)
    return None if duty is None else _chosen(gauges, settings, hit.record, duty, ())


def float_for_test(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """Parts of the list that fit the gauge and withstand its test."""
    duty = duty_of(gauges, settings, hit.record)
    if duty is None:
        return None
    highest = float(np.fmax(duty.design_pressure, gauges.high("test_pressure")[hit.record]))
    return _chosen(gauges, settings, hit.record, replace(duty, design_pressure=highest), ())


def float_for_cold(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """Parts of the list that fit the gauge and are made for its cold; else what the chamber may be of."""
    if hit.case["of"] not in load("fields"):
        return states.for_the_cold(gauges, settings, hit)
    duty, column = duty_of(gauges, settings, hit.record), gauges.listed.get(str(hit.case["of"]))
    if duty is None or column is None:
        return None
    coldest = float(gauges.low("design_temperature_min")[hit.record])
    return _chosen(gauges, settings, hit.record, duty, (), lambda at: bool(column.high[at] <= coldest + 1e-6))


def float_of_fit_metal(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """Parts of the list that fit the gauge and are of a metal that no statement here calls unfit."""
    duty, column = duty_of(gauges, settings, hit.record), gauges.listed.get("float_material")
    if hit.field != "float_material" or duty is None or column is None:
        return None
    unfit = set(load("compatibility")["unfit"][hit.case["statement"]]["families"])
    family = {text: materials.read(text).family for text in set(column.text.tolist())}
    return _chosen(
        gauges,
        settings,
        hit.record,
        duty,
        (),
        lambda at: bool(family[column.text[at]]) and family[column.text[at]] not in unfit,
    )


def right_float(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """Parts of the list that fit the gauge; another scale; where none fits, the float that would."""
    duty = duty_of(gauges, settings, hit.record)
    if duty is None:
        return None
    made = (*_made(gauges, hit.record, duty), *_scale(gauges, hit.record, duty))
    return _chosen(gauges, settings, hit.record, duty, made)


def _chosen(
    gauges: Gauges,
    settings: Settings,
    record: int,
    duty: choice.Duty,
    others: tuple[Option, ...],
    fit_at: Callable[[int], bool] = lambda at: True,
) -> Remedy | None:
    """What the list has for a duty, then the others; `fit_at`: which of its records come into question."""
    listed = listed_floats(gauges)
    if listed is None or not len(listed):
        return Remedy(_sentence("There is no float list to choose from", others), others) if others else None
    with reasons():
        numbers = choice.Judgement(listed, duty)
        found = choice.ranked(numbers)
    own = part_key(str(gauges.texts("float_part")[record]))
    kept = [part_key(text) for text in gauges.listed["float_part"].text[_fit(gauges, fit_at)].tolist()]
    found = [one for one in found if part_key(one.part) != own and part_key(one.part) in kept]
    fit = [_option(one) for one in found if one.status == "fits"]
    rejected = [one for one in found if one.status == "rejected"]
    silent = _not_judged([one for one in found if one.status == "not judged"])
    first = next((one for one in found if one.status == "fits"), rejected[0] if rejected else None)
    shown = None if first is None else _worst(gauges, settings, record, numbers, first)
    if fit:
        best = "; ".join(option.text for option in fit[:BEST])
        more = f"; and {len(fit) - BEST} more" if len(fit) > BEST else ""
        scale = next((f"; or {option.text}" for option in others if not option.name), "")
        these = "these fit" if fit[1:] else "this fits"
        text = f"Of the float list {these}: {best}{more}{scale}{f'; {silent}' if silent else ''}."
        return Remedy(text, (*fit, *others), shown)
    return Remedy(_sentence(_none_fits(rejected, silent), others), others, shown)


def _fit(gauges: Gauges, fit_at: Callable[[int], bool]) -> list[int]:
    return [at for at in listed_rows(gauges).tolist() if fit_at(at)]


def _none_fits(rejected: Sequence[choice.Candidate], silent: str) -> str:
    """That nothing fits, of what could be judged, and what could not."""
    if not rejected:
        return (
            f"No other float of the list could be judged; {silent}"
            if silent
            else "The list has no other float"
        )
    nearest = f"the nearest is {rejected[0].part}: {rejected[0].verdict}"
    if not silent:
        return f"None of the float list fits, {nearest}"
    return f"Of the float list {len(rejected)} could be judged and none fits, {nearest}; {silent}"


def _not_judged(found: Sequence[choice.Candidate]) -> str:
    """The parts that cannot be judged, by what is missing."""
    why: dict[str, list[str]] = {}
    for one in found:
        why.setdefault(one.verdict.removeprefix("not judged: "), []).append(one.part)
    told = [f"{_some(parts)} ({reason})" for reason, parts in why.items()]
    return f"not judged: {'; '.join(told)}" if told else ""


def _some(parts: Sequence[str]) -> str:
    more = f" and {len(parts) - NAMED} more" if len(parts) > NAMED else ""
    return ", ".join(parts[:NAMED]) + more


def _worst(
    gauges: Gauges, settings: Settings, record: int, numbers: choice.Judgement, one: choice.Candidate
) -> Calculation | None:
    """How a part of the list reads at worst in the gauge, from the cells of the list."""
    keys = [part_key(text) for text in gauges.listed["float_part"].text.tolist()]
    at = keys.index(part_key(one.part))
    listed = numbers.floats
    number = [part_key(part) for part in listed.part.tolist()].index(part_key(one.part))
    with reasons():
        extreme = numbers.extreme(number)
    ends = str(listed.ends[number])
    if extreme is None:
        return None
    within = abs(extreme.reading) <= numbers.duty.tolerance
    if within != (one.status == "fits"):
        return None  # it is not its reading for which it was rejected
    spare = (one.pressure_margin, one.temperature_margin) if one.status == "fits" else (np.nan, np.nan)
    return listed_reading(gauges, settings, record, at, extreme, ends, spare)


def _sentence(head: str, options: tuple[Option, ...]) -> str:
    if not options:
        return f"{head}."
    return f"{head}; what would do: {'; or '.join(option.text for option in options)}."


def _option(one: choice.Candidate) -> Option:
    """A part that fits, with its worst reading and its margins."""
    low, high = (1e3 * end for end in one.reading)
    numbers = {"worst_reading_low_mm": low, "worst_reading_high_mm": high}
    spare = []
    if np.isfinite(one.pressure_margin):
        numbers["pressure_margin_bar"] = one.pressure_margin / 1e5
        spare.append(f"{one.pressure_margin / 1e5:.1f} bar")
    if np.isfinite(one.temperature_margin):
        numbers["temperature_margin_K"] = one.temperature_margin
        spare.append(f"{one.temperature_margin:.0f} K")
    margin = f", {' and '.join(spare)} to spare" if spare else ""
    text = f"{one.part}, which {_reads(low, high)} at worst{margin}"
    return Option(text, "float_part", Measure(one.part), numbers)


def _reads(low: float, high: float) -> str:
    """`reads -3.1 to +4.0 mm`, of millimetres; without a minus before zero."""
    low, high = (round(end, 1) + 0.0 for end in (low, high))
    if low == high == 0:
        return "reads true"
    return f"reads {low:+.1f} mm" if low == high else f"reads {low:+.1f} to {high:+.1f} mm"


def _body(gauges: Gauges, record: int) -> tuple[float, float, float, float, str] | None:
    """Mass, diameter, length, magnet plane and ends of the gauge's own float."""
    mass, diameter, length, _ = (column[record] for column in gauges.float_shape)
    plane = gauges.si("magnet_height")[record]
    if not gauges.given("float_ends")[record] or np.isnan(mass + diameter + length + plane):
        return None
    return float(mass), float(diameter), float(length), float(plane), str(gauges.ends[record])


def _offsets(body: tuple[float, float, float, float, str], duty: choice.Duty) -> tuple[float, float]:
    """Lowest and highest offset over the operating conditions [m]; NaN where the float does not float."""
    with reasons():
        found = [
            float(floats.reading_offset(*body[:4], c.lower_density, c.upper_density, body[4]))
            for c in duty.conditions
        ]
    return min(found), max(found)


def _scale(gauges: Gauges, record: int, duty: choice.Duty) -> Iterator[Option]:
    """A scale made for the operating densities, where the float itself does."""
    body = _body(gauges, record)
    if body is None:
        return
    low, high = _offsets(body, duty)
    middle, half = (low + high) / 2, (high - low) / 2
    if not half <= duty.tolerance or not _reserve(body, duty) >= duty.minimum_reserve:
        return
    mass, diameter, length, plane, ends = body
    upper = sum(c.upper_density for c in duty.conditions) / len(duty.conditions)
    with reasons():
        rho = float(floats.implied_density(mass, diameter, length, plane, middle, upper, ends))
    if np.isnan(rho):
        return
    where = gauges.measure(record, "fluid_density", rho)
    side = "higher" if middle > 0 else "lower"
    text = f"a scale made for {where}, set {abs(middle) * 1e3:.1f} mm {side}"
    if half > 5e-5:
        text += f", which leaves {half * 1e3:.1f} mm either way"
    numbers = {"scale_density_kg_m3": rho, "scale_shift_mm": middle * 1e3, "left_mm": half * 1e3}
    yield Option(text, "", where, numbers)


def _reserve(body: tuple[float, float, float, float, str], duty: choice.Duty) -> float:
    """Least share of the float above the surface."""
    mass, diameter, length, _, ends = body
    with reasons():
        shares = [
            float(floats.reserve(mass, diameter, length, c.lower_density, c.upper_density, ends))
            for c in duty.conditions
        ]
    return min(shares)


def _made(gauges: Gauges, record: int, duty: choice.Duty) -> Iterator[Option]:
    """A float of the same size with another mass, or with its magnet elsewhere."""
    body = _body(gauges, record)
    if body is None:
        return
    mass, diameter, length, plane, ends = body
    size = f"{diameter * 1e3:.5g} x {length * 1e3:.5g} mm"
    wanted = _mass(body, duty)
    other = (wanted, diameter, length, plane, ends)
    if wanted > 0 and _does(other, duty):
        low, high = (1e3 * end for end in _offsets(other, duty))
        text = f"a float of this size ({size}, magnet plane {plane * 1e3:.5g} mm above the bottom) of"
        text += f" {wanted * 1e3:.1f} g, which {_reads(low, high)}"
        numbers = {"mass_g": wanted * 1e3, "offset_low_mm": low, "offset_high_mm": high}
        yield Option(text, "float_mass", gauges.measure(record, "float_mass", wanted), numbers)
    low, high = _offsets(body, duty)
    moved = plane - (low + high) / 2
    elsewhere = (mass, diameter, length, moved, ends)
    if 0 < moved < length and _does(elsewhere, duty):
        half = (high - low) / 2 * 1e3
        text = f"this float with its magnet plane {moved * 1e3:.1f} mm above the bottom"
        numbers = {"magnet_height_mm": moved * 1e3, "offset_low_mm": -half, "offset_high_mm": half}
        yield Option(text, "magnet_height", gauges.measure(record, "magnet_height", moved), numbers)


def _mass(body: tuple[float, float, float, float, str], duty: choice.Duty) -> float:
    """Mass with which the float reads true at the middle of the densities [kg]."""
    _, diameter, length, plane, ends = body
    lower = sum(c.lower_density for c in duty.conditions) / len(duty.conditions)
    upper = sum(c.upper_density for c in duty.conditions) / len(duty.conditions)
    with reasons():
        below = float(floats.immersed_volume(plane, diameter, length, ends))
        whole = float(floats.volume(diameter, length, ends))
    return lower * below + upper * (whole - below)


def _does(body: tuple[float, float, float, float, str], duty: choice.Duty) -> bool:
    """Whether it reads within the tolerance at every condition, and floats as high as it must."""
    low, high = _offsets(body, duty)
    inside = max(abs(low), abs(high)) <= duty.tolerance
    return bool(inside and _reserve(body, duty) >= duty.minimum_reserve)
