"""What keeps a whole list from a duty: the limits that every one of its floats breaks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import isclose

import numpy as np

from xlfuncs.gauge.choice import Candidate, Duty, Said, mm, percent


def in_common(found: Sequence[Candidate], duty: Duty, said: Said) -> dict[str, str]:
    """Of the limits that all of several rejected floats break: their kind, and how near the list comes."""
    if len(found) < 2:
        return {}
    kinds = [kind for kind in _TOLD if all(kind in one.kinds for one in found)]
    return {kind: _TOLD[kind](found, duty, said) for kind in kinds}


_Tell = Callable[[Sequence[Candidate], Duty, Said], str]


def _service(found: Sequence[Candidate], duty: Duty, said: Said) -> str:
    ours = "interface" if duty.interface else "level"
    return f"all are made for another service, the duty is {ours}"


def _temperature(found: Sequence[Candidate], duty: Duty, said: Said) -> str:
    limits, hot = [one.temperature_limit for one in found], said.temperature(duty.design_temperature)
    return f"{_limited(limits, said.temperature)}, the design temperature is {hot}"


def _pressure(found: Sequence[Candidate], duty: Duty, said: Said) -> str:
    limits = [one.pressure_limit for one in found]
    return f"{_limited(limits, said.pressure)}, the design pressure is {said.pressure(duty.design_pressure)}"


def _limited(limits: Sequence[float], say: Callable[[float], str]) -> str:
    """'all are limited to 482 degF', or to how much at most."""
    most = float(np.fmax.reduce(limits))
    same = all(isclose(one, most, rel_tol=1e-9) for one in limits)
    return f"all are limited to {say(most)}" if same else f"none is good for more than {say(most)}"


def _bore(found: Sequence[Candidate], duty: Duty, said: Said) -> str:
    return f"none goes into the bore of {said.length(duty.chamber_bore)}"


def _sinks(found: Sequence[Candidate], duty: Duty, said: Said) -> str:
    lightest = min(one.mean_density for one in found)
    return f"all sink, the lightest has a mean density of {said.density(lightest)}"


def _rises(found: Sequence[Candidate], duty: Duty, said: Said) -> str:
    densest = max(one.mean_density for one in found)
    return f"all rise into the upper fluid, the densest has a mean density of {said.density(densest)}"


def _reserve(found: Sequence[Candidate], duty: Duty, said: Said) -> str:
    side = "either side of the interface" if duty.interface else "the surface"
    where = "on" if duty.interface else "above"
    return f"none keeps {percent(duty.minimum_reserve)} {where} {side}"


def _reading(found: Sequence[Candidate], duty: Duty, said: Said) -> str:
    # cold as well, before heat makes up for a part of it
    off = [float(np.fmax(one.worst_offset, max(-one.reading[0], one.reading[1]))) for one in found]
    nearest = float(np.fmin.reduce([*off, np.nan]))
    part = found[int(np.nanargmin(off))].part if not np.isnan(nearest) else ""
    told = f", the least by {part}, up to {mm(nearest)} off" if part else ""
    return f"none reads within {mm(duty.tolerance)} at worst{told}"


_TOLD: dict[str, _Tell] = {
    "service": _service,
    "sinks": _sinks,
    "rises": _rises,
    "temperature": _temperature,
    "pressure": _pressure,
    "bore": _bore,
    "reserve": _reserve,
    "reading": _reading,
}
