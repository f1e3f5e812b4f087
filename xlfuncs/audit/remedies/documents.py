"""Two documents that differ about one value: which of the two the other cells of the gauge bear out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit
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
"""Fields on which strength depends: no other cell tells them, and the stricter value counts meanwhile."""
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
    if bool(against[0]) == bool(against[1]):
        return Remedy(_open(one, against, ask, first, second, _meanwhile(gauges, hit.record, one, values)))
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


def _open(
    one: Difference, against: tuple[list[str], list[str]], ask: str, first: str, second: str, meanwhile: str
) -> str:
    """That the other cells do not tell."""
    both = f"{first} and {second}"
    if against[0]:
        told = f"with the one {'; '.join(against[0])}, with the other {'; '.join(against[1])}"
        return f"Other cells of the gauge contradict {both}: {told}. So {ask}.{meanwhile}"
    why = "No other cell of the gauge tells which holds"
    return f"{why}, {both}: {ask}.{meanwhile}"


def _meanwhile(gauges: Gauges, record: int, one: Difference, values: tuple[Cell, Cell] | None) -> str:
    """The stricter of two values on which strength depends."""
    if one.field not in STRICTER or values is None or record < 0:
        return ""
    first, second = values
    if isinstance(first, str) or isinstance(second, str):
        return ""
    said = gauges.say(record, one.field, STRICTER[one.field](first, second))
    return f" Until it is settled the stricter counts: {said}."


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
