"""Room and travel of the float, and levels against the connections, as the rules compute them."""

from __future__ import annotations

from xlfuncs.audit.calculation import Calculation
from xlfuncs.audit.gauges import SAME_PRESSURE
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.working import Working
from xlfuncs.audit.workings import balance
from xlfuncs.audit.workings.signal import GEOMETRY, visible_range
from xlfuncs.audit.workings.strength import ROUNDING


def reach(work: Working, hit: Hit) -> None:
    """The room that the float needs at an end of the visible range, against the room that there is."""
    _room(work, hit.field, str(hit.case["ends"]), float(hit.case["lower"]), float(hit.case["upper"]))
    work.judge("x-b>s+1E-9", "x", "b")


def reached(work: Working, field: str, ends: str, lower: float, upper: float) -> Calculation:
    """The same of another float, which has room enough."""
    _room(work, field, ends, lower, upper)
    work.judge("x-b<=s+1E-9", "x", "b")
    return work.done()


def _room(work: Working, field: str, ends: str, lower: float, upper: float) -> None:
    """x, the room that the float needs at an end, and b, that which there is."""
    balance.shape(work, ends)
    balance.densities(work, lower, upper)
    balance.immersion(work, ends)
    work.cell("b", field, "low")
    work.setting("s", "travel_missing_mm", 1e-3, "m")
    if field == "room_below":
        work.cell("v_low", "visible_low", default=0.0)
        work.step("x", "room that the float needs below the lower connection", "h-v_low", "m", GEOMETRY)
    else:
        visible_range(work)
        work.cell("c", "connection_distance")
        work.step("x", "room that the float needs above the upper connection", "v_high-h+L-c", "m", GEOMETRY)


def interface(work: Working, hit: Hit) -> None:
    """A level against the connections."""
    work.cell("x", hit.field, str(hit.case["end"]))
    work.cell("c", "connection_distance")
    if hit.field == "normal_level":
        work.judge("OR(x<-1E-9,x>c+1E-9)", "x", "c")
    else:
        work.judge("x<c-1E-9", "x", "c")


def stack(work: Working, hit: Hit) -> None:
    """The upper end of one range against the lower end of the next; or two statements of one vessel."""
    if "beside" in hit.case:
        _beside(work, str(hit.case["field"]), int(hit.case["beside"]), hit.record)
        return
    work.record = int(hit.case["lower"])
    work.cell("E_1", "connection_elevation")
    work.cell("v_1", "visible_low", default=0.0)
    work.cell("v", "visible_range")
    work.step("t", "upper end of the range below", "E_1+v_1+v", "m", GEOMETRY)
    work.record = hit.record
    work.cell("E_2", "connection_elevation")
    work.cell("v_2", "visible_low", default=0.0)
    work.step("f", "lower end of the range above", "E_2+v_2", "m", GEOMETRY)
    work.setting("s", "stacked_overlap_mm", 1e-3, "m")
    work.step("x", "overlap, negative for a gap", "t-f", "m")
    work.judge("x<s-1E-9", "x", "s")


def _beside(work: Working, field: str, first: int, second: int) -> None:
    """One field of two gauges of a vessel."""
    if field == "fluid":
        for symbol, record in (("x_1", first), ("x_2", second)):
            work.record = record
            work.text(symbol, field)
        work.judge("", note="The names are those of two different fluids.")
        return
    work.record = first
    work.cell("x_1", field)
    work.record = second
    work.cell("x_2", field)
    if field == "fluid_density":
        work.setting("k", "stacked_density_deviation")
    else:
        work.constant("k", "relative difference that rounding explains", SAME_PRESSURE, "", ROUNDING)
    work.step("x", "difference", "ABS(x_1-x_2)/MAX(ABS(x_1),ABS(x_2))", "")
    work.judge("x>k", "x", "k")
