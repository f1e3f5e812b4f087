"""Two documents that differ about one value: which of the two the other cells of the gauge bear out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit, rules
from xlfuncs.audit.remedies.taken import Cell, after, before, tried
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.lists.model import Difference, Stated
from xlfuncs.units import UnitError, parse

CONTRADICTIONS: Final = (
    *("current-inconsistent", "range-exceeds-connections", "range-reversed", "switch-order"),
    *("transmitter-outside-visible-range", "transmitter-range-mismatch", "switch-outside-range"),
    *("alarm-outside-range", "interface-connection-outside", "density-range-reversed", "densities-swapped"),
    *("density-not-at-operating-conditions", "design-density-mismatch", "offset-exceeds-tolerance"),
    *("float-data-conflict", "float-data-impossible", "float-not-in-list", "float-service-mismatch"),
    *("float-wider-than-chamber", "interface-float-outside-fluids", "float-sinks", "serial-mismatch"),
)
"""Rules that hold cells of a gauge against each other. That a limit would be broken says nothing of which
value is right: the gauge may be too weak."""
_Stricter = Callable[[float, float], float]
STRICTER: Final[Mapping[str, _Stricter]] = {
    "design_pressure": max,
    "design_temperature": max,
    "operating_pressure": max,
    "operating_temperature": max,
    "test_pressure": max,
    "design_temperature_min": min,
    "float_max_pressure": min,
    "float_max_temperature": min,
    "magnet_max_temperature": min,
    "float_wall": min,
}
"""Fields on which strength depends, and which of two values is the stricter: the gauge may be too weak for
that, so the limits that it breaks speak against it and prove nothing."""
_PROCESS: Final = (
    *("fluid", "upper_", "operating_", "viscosity", "pour_", "freezing_", "service", "level_"),
    *("normal_level", "liquid_top"),
)
_MAKER: Final = ("float_", "magnet_", "chamber_", "visible_", "room_", "scale_", "serial", "frost_")
_ASKED: Final = {
    "the process data": _PROCESS,
    "the data sheet of the vessel or line": ("design_", "test_", "flange_", "material_", "connection_"),
    "the maker's data sheet and the name plate": _MAKER,
    "the instrument's data sheet": ("lrv", "urv", "switch_", "stated_", "action", "transmitter_"),
}
"""Document that decides -> how the fields begin of which it speaks (common practice, no source)."""


@tried
def which_holds(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """The value with which the other cells of the gauge agree; else whom to ask, and both cells."""
    one: Difference = hit.case["difference"]
    values = _in_si(gauges, hit.record, one)
    against = ([], []) if values is None else _contradicted(gauges, settings, hit.record, one, values)
    first, second = (f"{_said(each)} in {each.sheet}!{each.cell}" for each in (one.first, one.second))
    ask = f"settle it by {_document(one.field)}"
    if one.field in STRICTER:
        return Remedy(_by_strength(gauges, settings, hit, one, values, (first, second), ask))
    if bool(against[0]) == bool(against[1]):
        return Remedy(_open(against, ask, first, second))
    right, wrong, why = (first, second, against[1]) if against[1] else (second, first, against[0])
    text = (
        f"The other cells of the gauge agree with {right}, not with {wrong}, with which {'; '.join(why)}:"
        f" {ask}, and correct the other document."
    )
    if right == first or values is None:
        return Remedy(text)
    there = values[1]
    value = Measure(there) if isinstance(there, str) else gauges.measure(hit.record, one.field, there)
    name = label(one.field)
    return Remedy(text, () if value is None else (Option(f"{name} {value}", one.field, value),))


def _said(stated: Stated) -> str:
    return " ".join(stated.text.split())


def _open(against: tuple[list[str], list[str]], ask: str, first: str, second: str) -> str:
    """That the other cells do not tell."""
    both = f"{first} and {second}"
    if against[0]:
        told = f"with the one {'; '.join(against[0])}, with the other {'; '.join(against[1])}"
        return f"Other cells of the gauge contradict {both}: {told}. So {ask}."
    return f"No other cell of the gauge tells which holds, {both}: {ask}."


def _by_strength(
    gauges: Gauges,
    settings: Settings,
    hit: Hit,
    one: Difference,
    values: tuple[Cell, Cell] | None,
    places: tuple[str, str],
    ask: str,
) -> str:
    """What the test, the ratings and the other cells say of two values on which strength depends, and what
    would follow with the stricter one."""
    first, second = values or (None, None)
    if hit.record < 0 or not isinstance(first, float) or not isinstance(second, float):
        return _open(([], []), ask, *places)
    broken = _only_with(gauges, settings, hit.record, one.field, (first, second))
    at_strict = int(STRICTER[one.field](first, second) == second)
    limits = "; ".join(broken[at_strict])
    said = [
        f"With the stricter, {places[at_strict]}" + (f": {limits}" if limits else ", no further limit breaks")
    ]
    if broken[1 - at_strict]:
        said.append(f"with {places[1 - at_strict]}: {'; '.join(broken[1 - at_strict])}")
    tested = [_tested(gauges, hit.record, one.field, value) for value in (first, second)]
    if bool(tested[0]) != bool(tested[1]):
        said.append(tested[0] or tested[1])
    for_ = [
        bool(tested[at]) - bool(tested[1 - at]) + bool(broken[1 - at]) - bool(broken[at]) for at in (0, 1)
    ]
    if for_[0] == for_[1]:
        return f"{'; '.join(said)}. That does not tell which holds, {places[0]} or {places[1]}: {ask}."
    likely = places[int(for_[1] > for_[0])]
    proof = "which is no proof, since the gauge may be too weak"
    return f"{'; '.join(said)}. That speaks for {likely} (common practice), {proof}: {ask}."


def _only_with(
    gauges: Gauges, settings: Settings, record: int, field: str, values: tuple[float, float]
) -> tuple[list[str], list[str]]:
    """What all rules find with the first of two values only, and with the second only."""
    first = before(gauges, settings, record, {field})
    second = after(gauges, settings, record, {field: values[1]})
    return _left(first, second), _left(second, first)


def _left(mine: Mapping[str, Hit], other: Mapping[str, Hit]) -> list[str]:
    """What is found here and is not found there, nor repeats the cause of what is."""
    known = {*other, *(slug for item in other for slug in rules()[item].covers)}
    return [f"{hit.message} ({slug})" for slug, hit in mine.items() if slug not in known]


_TEST: Final = 1.5
"""Times the design pressure at which a gauge is usually tested (common practice, no source)."""
_NEAR: Final = 0.02
"""Share by which a test pressure is rounded (common practice, no source)."""


def _tested(gauges: Gauges, record: int, field: str, value: float) -> str:
    """That test and design pressure go together with a value; "" where they do not."""
    pair = {"design_pressure": float(gauges.high("design_pressure")[record])}
    pair["test_pressure"] = float(gauges.high("test_pressure")[record])
    if field not in pair:
        return ""
    pair[field] = value
    design, test = pair["design_pressure"], pair["test_pressure"]
    if not design > 0 or not abs(test - _TEST * design) <= _NEAR * test:
        return ""
    say = {name: gauges.say(record, name, number) for name, number in pair.items()}
    return f"the test pressure of {say['test_pressure']} is {_TEST:g} times {say['design_pressure']}"


def _in_si(gauges: Gauges, record: int, one: Difference) -> tuple[Cell, Cell] | None:
    """Both values in SI, or both texts; None where one is a range, or is in no unit.

    The first is the gauge's own: what its cell leaves out stands in the heading.
    """
    known = load("fields")[one.field]
    if known["kind"] == "text":
        return one.first.text, one.second.text
    if record < 0:
        return None
    try:
        read = parse(one.second.text, str(known["quantity"]), assume=True)
    except UnitError:
        return None
    low, high = (float(end(one.field)[record]) for end in (gauges.low, gauges.high))
    if low != high or read.si_low != read.si_high:
        return None
    return low, float(read.si_low)


def _contradicted(
    gauges: Gauges, settings: Settings, record: int, one: Difference, values: tuple[Cell, Cell]
) -> tuple[list[str], list[str]]:
    """What the rules find with the first value only, and with the second only."""
    if record < 0 or one.field in STRICTER:
        return [], []
    there = before(gauges, settings, record), after(gauges, settings, record, {one.field: values[1]})
    found = [
        {slug: f"{hit.message} ({slug})" for slug, hit in each.items() if slug in CONTRADICTIONS}
        for each in there
    ]
    first, second = found
    return (
        [said for slug, said in first.items() if slug not in second],
        [said for slug, said in second.items() if slug not in first],
    )


def _document(field: str) -> str:
    """The document that decides on a field."""
    return next((name for name, starts in _ASKED.items() if field.startswith(starts)), "those who issue both")
