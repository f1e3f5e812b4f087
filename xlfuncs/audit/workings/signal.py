"""Ranges and currents, as the rules compute them."""

from __future__ import annotations

from xlfuncs.audit.registry import Hit
from xlfuncs.audit.working import Working

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
    work.judge("x>s", "x", "s")


def inside(work: Working, hit: Hit) -> None:
    """How far the transmitter's range stays inside the visible one."""
    visible_range(work)
    transmitter(work)
    work.setting("s", "transmitter_mismatch_mm", 1e-3, "m")
    work.step("x", "furthest inside the visible range", "MAX(r_low-v_low,v_high-r_high)", "m")
    work.judge("x>s", "x", "s")


def current(work: Working, hit: Hit) -> None:
    """The current that belongs to the stated level."""
    transmitter(work)
    work.cell("lev", "stated_level")
    work.cell("i", "stated_current")
    work.setting("i_max", "current_tolerance_ma", 1e-3, "A")
    work.constant("i_low", "least current of a range that is exceeded", 3.8e-3, "A", "NAMUR NE 43")
    work.constant("i_high", "greatest current of a range that is exceeded", 20.5e-3, "A", "NAMUR NE 43")
    falling = work.gauges.says("action", "reverse")[work.record] or work.numbers["urv"] < work.numbers["lrv"]
    share = "(r_high-lev)/(r_high-r_low)" if falling else "(lev-r_low)/(r_high-r_low)"
    work.step("p", "share of the range" + (", falling signal" if falling else ""), share, "")
    work.step(
        "i_due",
        "current that belongs to the level",
        "MIN(MAX(0.004+0.016*p,i_low),i_high)",
        "A",
        "4 to 20 mA",
    )
    work.step("x", "difference", "ABS(i-i_due)", "A")
    work.judge("x>i_max", "x", "i_max")
