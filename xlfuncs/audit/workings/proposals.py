"""Floats, scales and chambers as a remedy proposes them, computed like a finding."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np

from xlfuncs.audit.calculation import Calculation
from xlfuncs.audit.gauges import DENSITIES, Gauges
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.working import Working
from xlfuncs.audit.workings import balance, effects, shells
from xlfuncs.gauge import STANDARD_GRAVITY, choice


@dataclass(frozen=True)
class Asked:
    """The gauge that a proposal is for."""

    gauges: Gauges
    settings: Settings
    record: int

    def working(self, listed_at: int = -1) -> Working:
        return Working(self.gauges, self.settings, self.record, listed_at)


def listed(
    asked: Asked,
    at: int,
    reads: choice.Extreme,
    ends: str,
    spare: tuple[float, float],
    lag: float,
    *,
    whole: bool = False,
) -> Calculation | None:
    """The worst reading of a float of the list in a gauge.

    `at`: its record in the float lists; `spare`: pressure and temperature that it withstands beyond the
    design conditions, `lag`: how far it is behind a moving level [m], each NaN where it is not known.
    `whole`: whether those decide as well, and the bore.
    """
    work = asked.working(at)
    _reading(work, reads, ends, "reading offset with this float")
    _spare(work, *spare)
    tests = ["ABS(w)<=e_max*(1+1E-9)"]
    if np.isfinite(lag) and _behind(work, ends, lag):
        tests.append("e_lag<=e_max")
    if whole:
        if asked.gauges.given("chamber_bore")[asked.record]:
            effects.bore(work)
            tests.append("d<D")
        tests += [f"{symbol}>=-1E-6" for symbol in ("p_more", "T_more") if symbol in work.numbers]
    test = f"AND({','.join(tests)})" if tests[1:] else tests[0]
    work.judge(test, "w", "" if whole else "e_max")
    return work.done()


def made(
    asked: Asked, changes: dict[str, float], reads: choice.Extreme, shell: Mapping[str, float] | None = None
) -> Calculation:
    """The worst reading of a float to be made, or of the present one with other densities.

    `shell`: `wall_mm`, `shell_g` and `magnets_g`, of what its mass is made.
    """
    work = asked.working()
    work.proposed = changes
    _reading(work, reads, str(asked.gauges.ends[asked.record]), "reading offset with this float")
    if shell is not None and {"wall_mm", "shell_g", "magnets_g"} <= shell.keys():
        shells.weight(work, *(shell[name] / 1e3 for name in ("wall_mm", "shell_g", "magnets_g")))
    work.judge("ABS(w)<=e_max*(1+1E-9)", "w", "e_max")
    return work.done()


def of_another(asked: Asked, other: int, reads: choice.Extreme, ends: str) -> Calculation:
    """The worst reading of the float of another gauge in this one."""
    work = asked.working()
    work.floats_of = other
    _reading(work, reads, ends, "reading offset with that float")
    work.judge("ABS(w)<=e_max*(1+1E-9)", "w", "e_max")
    return work.done()


def scaled(asked: Asked, reads: choice.Extreme, shift: float, density: float) -> Calculation:
    """What another scale leaves of the worst reading: set so much higher [m], for a density [kg/m3]."""
    work = asked.working()
    ends = str(asked.gauges.ends[asked.record])
    _reading(work, reads, ends, "reading offset")
    work.propose("s", "the scale set higher by (negative: lower)", shift, "m")
    name = "density for which that scale is made"
    under = "V_b+A*(z-s-c_b)" if "c_b" in work.numbers else "A*(z-s)"
    at = f"rho_u+(m-rho_u*V)/({under})"
    if not work.tried(partial(work.step, "rho_s", name, at, "kg/m3", effects.STRAIGHT), density):
        work.computed("rho_s", name, density, "kg/m3", "gauge.floats.implied_density", balance.BALANCE)
    work.step("w_s", "what it leaves of the worst reading", "w-s", "m", "the scale moves, not the float")
    work.judge("ABS(w_s)<=e_max*(1+1E-9)", "w_s", "e_max")
    return work.done()


def lag_with(asked: Asked, changes: dict[str, float]) -> Calculation:
    """The lag of the gauge's float in another bore, or in a thinner liquid."""
    work = asked.working()
    work.proposed = changes
    balance.lag_of(work, str(asked.gauges.ends[asked.record]))
    work.judge("AND(e<=e_max,F<=B)", "e", "e_max")
    return work.done()


def _reading(work: Working, reads: choice.Extreme, ends: str, name: str) -> None:
    """w: the offset and all that is added to it, at one case."""
    balance.shape(work, ends)
    work.cell("z", "magnet_height")
    _densities(work, reads.lower, reads.upper)
    work.setting("e_max", "offset_tolerance_mm", 1e-3, "m")
    balance.immersion(work, ends)
    balance.summed(work, name, reads.shares)


def _densities(work: Working, lower: float, upper: float) -> None:
    """Both densities, that of the reference data where no cell states it."""
    stated = [
        float(end(name)[work.record])
        for name in DENSITIES
        for end in (work.gauges.low, work.gauges.high)
        if work.gauges.given(name)[work.record]
    ]
    if lower in stated:
        balance.densities(work, lower, upper)
        return
    source = "reference data of the fluid, or another document: as the remedy says"
    work.constant("rho", "density beside the stated one", lower, "kg/m3", source)
    if work.gauges.given("upper_density")[work.record]:
        balance.stated_density(work, "rho_u", upper, ("upper_density",))
    else:
        work.assume("rho_u", "density of the vapour above", upper, "kg/m3")


def _behind(work: Working, ends: str, lag: float) -> bool:
    """e_lag: how far the float is behind a moving level with all of it in the closed end of the chamber.

    At the lowest density, where it is furthest behind. False where the elementary steps give another number:
    the surface is at an end.
    """
    return work.tried(partial(_lag_steps, work, ends), lag)


def _lag_steps(work: Working, ends: str) -> float:
    lowest = balance.lowest_density(work)
    for symbol, field in (("mu", "viscosity"), ("D", "chamber_bore")):
        if symbol not in work.numbers:
            work.cell(symbol, field, "high" if field == "viscosity" else "")
    if "v_l" not in work.numbers:
        balance.level_rate(work, "v_l")
    if "g" not in work.numbers:
        work.constant("g", "standard gravity", STANDARD_GRAVITY, "m/s2", "ISO 80000-3, CGPM 1901")
    if "k" not in work.numbers:
        effects.drag_coefficient(work)
    at = ""
    if work.numbers["rho"] != lowest:
        at = "_l"
        balance.stated_density(work, "rho_l", lowest)
        balance.immersion(work, ends, at)
    work.step("F_l", "drag in the closed end of the chamber", f"k*mu*h{at}*v_l", "N", effects.STOKES)
    stiff = f"(A*(rho{at}-rho_u)*g)"
    return work.step("e_lag", "lag at the lower connection", f"F_l/{stiff}", "m", effects.STRAIGHT)


def _spare(work: Working, pressure: float, temperature: float) -> None:
    """What a float of the list withstands beyond the design conditions."""
    if not np.isnan(pressure):
        name = "pressure to spare"
        work.cell("p", "design_pressure", "high")
        if work.states("float_max_pressure"):
            work.cell("p_f", "float_max_pressure", "low")
        if not ("p_f" in work.numbers and work.tried(partial(_more, work, "p", "p_f", name), pressure)):
            computed = "LG_FLOAT_COLLAPSE over the safety factor"
            work.computed("p_more", name, pressure, "Pa difference", computed, "strength of the shell")
    limits = []
    for symbol, field in (("T_f", "float_max_temperature"), ("T_m", "magnet_max_temperature")):
        if not np.isnan(temperature) and work.states(field):
            work.cell(symbol, field, "low")
            limits.append(symbol)
    if limits:
        work.cell("T_d", "design_temperature", "high")
        least = f"MIN({','.join(limits)})"
        work.step("T_more", "temperature to spare", f"{least}-T_d", "K difference")


def _more(work: Working, stated: str, limit: str, name: str) -> float:
    return work.step(f"{stated}_more", name, f"{limit}-{stated}", "Pa difference")
