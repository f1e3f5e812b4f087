"""Ranges and currents, as the rules compute them."""

from __future__ import annotations

from xlfuncs.audit.registry import Hit
from xlfuncs.audit.working import Working
from xlfuncs.lists.joining import SWITCHES

GEOMETRY = "geometry"


def visible_range(work: Working) -> None:
    """Ends of the visible range above the bottom connection: v_low, v_high."""
    work.cell("v_low", "visible_low", default=0.0)
    work.cell("v", "visible_range")
    work.step("v_high", "upper end of the visible range", "v_low+v", "m", GEOMETRY)


def transmitter(work: Working) -> None:
    """LRV, URV and the ends of the range between them."""
    work.cell("lrv", "lrv")
    work.cell("urv", "urv")
    work.step("r_low", "lower end of the transmitter's range", "MIN(lrv,urv)", "m")
    work.step("r_high", "upper end of the transmitter's range", "MAX(lrv,urv)", "m")


def outside(work: Working, hit: Hit) -> None:
    """How far the transmitter's range goes beyond the visible one."""
    visible_range(work)
    transmitter(work)
    work.setting("s", "transmitter_outside_mm", 1e-3, "m")
    work.step("x", "furthest beyond the visible range", "MAX(v_low-r_low,r_high-v_high)", "m")
    work.judge("x>s+1E-9", "x", "s")


def inside(work: Working, hit: Hit) -> None:
    """How far the transmitter's range stays inside the visible one."""
    visible_range(work)
    transmitter(work)
    work.setting("s", "transmitter_mismatch_mm", 1e-3, "m")
    work.step("x", "furthest inside the visible range", "MAX(r_low-v_low,v_high-r_high)", "m")
    work.judge("x>s+1E-9", "x", "s")


def current(work: Working, hit: Hit) -> None:
    """The current that belongs to the stated level."""
    transmitter(work)
    work.cell("lev", str(hit.case["level"]))
    work.cell("i", "stated_current")
    work.setting("i_max", "current_tolerance_ma", 1e-3, "A")
    work.constant("i_low", "least current of a range that is exceeded", 3.8e-3, "A", "NAMUR NE 43")
    work.constant("i_high", "greatest current of a range that is exceeded", 20.5e-3, "A", "NAMUR NE 43")
    falling = work.gauges.says("action", "reverse")[work.record] or work.numbers["urv"] < work.numbers["lrv"]
    work.ask("action")
    turned = work.numbers["urv"] < work.numbers["lrv"]
    work.holds("urv<lrv" if turned else "urv>lrv", "LRV and URV changed their order")
    share = "(r_high-lev)/(r_high-r_low)" if falling else "(lev-r_low)/(r_high-r_low)"
    work.step("p", "share of the range" + (", falling signal" if falling else ""), share, "")
    work.step(
        "i_due",
        "current that belongs to the level",
        "MIN(MAX(0.004+0.016*p,i_low),i_high)",
        "A",
        "4 to 20 mA",
    )
    due = "r_high-(i-0.004)/0.016*(r_high-r_low)" if falling else "r_low+(i-0.004)/0.016*(r_high-r_low)"
    work.step("lev_i", "level that belongs to the stated current", due, "m", "4 to 20 mA")
    work.step("x", "difference", "ABS(i-i_due)", "A")
    work.judge("x>i_max", "x", "i_max")


def connections(work: Working, hit: Hit) -> None:
    """The range against the distance of the connections."""
    work.cell("c", "connection_distance")
    work.setting("s", "transmitter_outside_mm", 1e-3, "m")
    if work.gauges.given("visible_range")[work.record]:
        work.cell("v", "visible_range")
    else:
        transmitter(work)
        work.step("v", "transmitter's range", "r_high-r_low", "m")
    work.judge("v>c+s+1E-9", "v", "c")


def scale_zero(work: Working, hit: Hit) -> None:
    """The scale's zero against the bottom connection."""
    work.cell("x", "scale_zero")
    work.setting("x_max", "offset_tolerance_mm", 1e-3, "m")
    work.judge("ABS(x)>x_max", "x", "x_max")


def reversed_range(work: Working, hit: Hit) -> None:
    """URV against LRV."""
    work.text("action", "action", default="direct")
    work.cell("lrv", "lrv")
    work.cell("urv", "urv")
    work.judge("urv<=lrv", "urv", "lrv")


def _two_of(work: Working, hit: Hit) -> None:
    """Two set points; whether others stand beside them, which this does not compare."""
    work.cell("x_1", str(hit.case["below"]))
    work.cell("x_2", str(hit.case.get("above", hit.field)))
    work.one_case = sum(bool(work.gauges.given(name)[work.record]) for name in SWITCHES) > 2


def switch_order(work: Working, hit: Hit) -> None:
    """A set point against the one below."""
    _two_of(work, hit)
    work.judge("x_2<=x_1", "x_2", "x_1")


def switch_spacing(work: Working, hit: Hit) -> None:
    """The distance of two set points."""
    _two_of(work, hit)
    work.setting("x_min", "switch_spacing_mm", 1e-3, "m")
    work.step("x", "distance of the set points", "x_2-x_1", "m")
    work.step("x_2ok", "least upper set point at that distance", "x_1+x_min", "m")
    work.step("x_1ok", "greatest lower set point at that distance", "x_2-x_min", "m")
    work.judge("x<x_min-1E-9", "x", "x_min")


def switch_outside(work: Working, hit: Hit) -> None:
    """A set point against the visible range."""
    visible_range(work)
    work.cell("x", hit.field)
    work.judge("OR(x<v_low-1E-9,x>v_high+1E-9)", "x")


def serial(work: Working, hit: Hit) -> None:
    """Two serials that should be the same."""
    work.text("own", "serial")
    work.text("noted", hit.field)
    work.judge("", note="Compared without blanks, case and punctuation.", same=("own", "noted"))


def alarm(work: Working, hit: Hit) -> None:
    """A level of the process against the visible range, or the transmitter's."""
    work.cell("x", hit.field, str(hit.case["end"]))
    if not hit.case["transmitter"]:
        visible_range(work)
        work.judge("OR(x<v_low-1E-9,x>v_high+1E-9)", "x")
        return
    transmitter(work)
    work.setting("s", "transmitter_outside_mm", 1e-3, "m")
    work.judge("OR(x<r_low-s-1E-9,x>r_high+s+1E-9)", "x")
