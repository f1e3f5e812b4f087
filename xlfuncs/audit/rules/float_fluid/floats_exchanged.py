"""The rule floats-exchanged."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.gauges import DENSITIES, Gauges, Mask
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Hit, Outcome, Undecided, gauge_hit, rule
from xlfuncs.audit.remedies import exchanged
from xlfuncs.audit.rules.float_fluid.shared import shapes_of
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.shown import inches_beside
from xlfuncs.audit.workings import balance
from xlfuncs.gauge import Array, floats, reasons
from xlfuncs.lists.assignment import greatest
from xlfuncs.lists.tags import bare_serial

Records = NDArray[np.intp]

MOST = 400
"""Gauges that read wrong, up to which every exchange is tried: their number is squared."""
_KEEPS, _NEVER = 10.0, 1e9
"""What it costs a gauge to keep its own float, which reads wrong, and to get one that does as well."""


@rule(
    "floats-exchanged",
    Severity.ERROR,
    thresholds=("offset_tolerance_mm",),
    calculate=balance.with_anothers_float,
    remedy=exchanged.exchange,
    covers=(
        "offset-exceeds-tolerance",
        "float-sinks",
        "float-barely-floats",
        "design-density-mismatch",
        "worst-reading-exceeds-tolerance",
    ),
    passing=(
        {"tag": "LG-1", "serial": "QX-1", "float_serial": "F-1"},
        {"tag": "LG-2", "serial": "QX-2", "float_serial": "F-2"},
    ),
    firing=(
        {
            "tag": "LG-1",
            "serial": "QX-1",
            "float_serial": "F-1",
            "float_part": "ZF-250B",
            "float_mass": "285 g",
            "float_design_density": "800 kg/m3",
        },
        {
            "tag": "LG-2",
            "serial": "QX-2",
            "float_serial": "F-2",
            "fluid": "Blend 7",
            "fluid_density": "800 kg/m3",
        },
    ),
)
def floats_exchanged(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The floats of two or more gauges changed places.

    Finds: gauges that read wrong by more than 10 mm (common practice, no source), or whose float sinks, and
        that would all read right if their floats changed places, in pairs or in a ring. The exchange is
        solved for all of them at once; where serials say whose float is whose, they decide between equals. A
        gauge whose offset cannot be computed takes no part; where no shape of ends is stated, its float reads
        wrong with each shape, and is taken elsewhere with that which reads nearest to the truth.
    Why: each gauge alone looks like a float that was chosen wrongly; a new float would be bought where two
        only need to change places.
    Mend: read the serials of the floats on site, and exchange the floats, or the lines of the list.
    """
    at = np.flatnonzero(_wrong(gauges, settings))
    if len(at) > MOST:
        many = np.zeros(gauges.n, dtype=np.bool_)
        many[at] = True
        yield Undecided(many, f"fewer gauges that read wrong than {len(at)}: not every exchange is tried")
    if not 1 < len(at) <= MOST:
        return
    read, shape = _readings(gauges, at)
    cost = np.abs(read) / (settings.offset_tolerance_mm * 1e-3)
    fits = (cost <= 1) & _goes_in(gauges, at)
    cost = np.where(fits, cost, _NEVER)
    cost[fits & _noted(gauges, at)] -= 1.0
    cost += 1e-6 * np.abs(np.subtract.outer(at, at)) / max(1, gauges.n)  # neighbours, of equal ones
    np.fill_diagonal(cost, _KEEPS)
    chosen = greatest(-cost)
    for ring in _rings(chosen):
        yield from _hits(gauges, at, ring, chosen, read, shape)


def _wrong(gauges: Gauges, settings: Settings) -> Mask:
    """Gauges whose own float reads wrong, or does not float, with its shape of ends or with each."""
    mass, diameter, length, _ = gauges.float_shape
    plane = gauges.si("magnet_height")
    known = gauges.geometry_known & gauges.first_cases & (plane <= length)
    known &= ~np.isnan(gauges.densities[0] + gauges.densities[1] + gauges.upper)
    wrong = np.flatnonzero(known)
    for ends in shapes_of(gauges):
        own = (mass[wrong], diameter[wrong], length[wrong], plane[wrong])
        right = np.ones(len(wrong), dtype=np.bool_)
        with reasons(), np.errstate(invalid="ignore"):
            for rho in gauges.different_densities:
                offset = floats.reading_offset(*own, rho[wrong], gauges.upper[wrong], ends[wrong])
                right &= np.abs(offset) * 1e3 <= settings.offset_tolerance_mm
        wrong = wrong[~right]
    out = np.zeros(gauges.n, dtype=np.bool_)
    out[wrong] = True
    return out


def _readings(gauges: Gauges, at: Records) -> tuple[Array, NDArray[np.intp]]:
    """Offset of every gauge (rows) with the float of every other (columns), furthest from zero [m].

    Of floats that state no shape of ends with that which reads nearest to the truth, whose number follows.
    """
    mass, diameter, length = (column[at][None, :] for column in gauges.float_shape[:3])
    plane, upper = gauges.si("magnet_height")[at][None, :], gauges.upper[at][:, None]
    each = []
    for ends in shapes_of(gauges):
        body = (mass, diameter, length, plane)
        with reasons():
            low, high = (
                np.asarray(floats.reading_offset(*body, rho[at][:, None], upper, ends[at][None, :]))
                for rho in gauges.densities
            )
        worst = np.where(np.abs(low) >= np.abs(high), low, high)
        each.append(np.where(np.isnan(low + high), np.inf, worst))
    cases = np.stack(each)
    nearest = np.argmin(np.abs(cases), axis=0)
    read: Array = np.take_along_axis(cases, nearest[None], 0)[0]
    return read, nearest


def _goes_in(gauges: Gauges, at: Records) -> Mask:
    """Whether the float of every other gauge (columns) goes into each (rows), and withstands its pressure."""
    bore, across = gauges.si("chamber_bore")[at], gauges.si("float_diameter")[at]
    design, limit = gauges.high("design_pressure")[at], gauges.low("float_max_pressure")[at]
    with np.errstate(invalid="ignore"):
        jams = across[None, :] >= bore[:, None]
        weak = design[:, None] > limit[None, :]
    return np.asarray(~jams & ~weak)


def _noted(gauges: Gauges, at: Records) -> Mask:
    """Whether the float of another gauge (columns) is noted for the serial of each (rows)."""
    own, noted = (
        [bare_serial(str(text)) for text in gauges.texts(name)[at].tolist()]
        for name in ("serial", "float_gauge_serial")
    )
    return np.array([[bool(mine) and mine == theirs for theirs in noted] for mine in own], dtype=np.bool_)


def _rings(chosen: list[int]) -> Iterator[list[int]]:
    """The exchanges: numbers of gauges, each of which gets the float of the next one."""
    seen: set[int] = set()
    for start in range(len(chosen)):
        ring = []
        while start not in seen:
            seen.add(start)
            ring.append(start)
            start = chosen[start]
        if len(ring) > 1:
            yield ring


def _hits(
    gauges: Gauges, at: Records, ring: list[int], chosen: list[int], read: Array, shape: NDArray[np.intp]
) -> Iterator[Hit]:
    """One finding for each gauge of a ring."""
    placed = shapes_of(gauges)
    whose = [
        (int(at[i]), int(at[chosen[i]]), str(placed[shape[i, chosen[i]]][int(at[chosen[i]])])) for i in ring
    ]
    tags = [gauges.tag(int(at[i])) or f"row {gauges.row[at[i]]}" for i in ring]
    for i in sorted(ring):
        record, other = int(at[i]), int(at[chosen[i]])
        then = float(read[i, chosen[i]]) * 1e3
        now = float(read[i, i]) * 1e3
        there, own = (
            inches_beside(gauges, record, f"{round(off, 1) + 0.0:+.1f} mm", off / 1e3) for off in (then, now)
        )
        own = own if np.isfinite(now) else "which does not float there"
        part = str(gauges.texts("float_part")[other])
        serial = str(gauges.texts("float_serial")[other])
        name = f"the float of {gauges.tag(other) or f'row {gauges.row[other]}'}" + _named(part, serial)
        place = next(
            (f for f in ("float_part", "float_serial", *DENSITIES) if gauges.given(f)[record]), "tag"
        )
        yield gauge_hit(
            gauges,
            record,
            place,
            f"the floats of {' and '.join(tags) if len(tags) == 2 else ', '.join(tags)} changed places: with"
            f" {name} this gauge is off by {there}, with its own {own}",
            expected=Measure(part) if part and place == "float_part" else None,
            evidence={"offset_with_the_other_mm": then, "other_tag": gauges.tag(other)}
            | ({"offset_mm": now} if np.isfinite(now) else {}),
            mend=f"put {name} into this chamber, after its serial was read on site.",
            case={"other": other, "ends": str(placed[shape[i, chosen[i]]][other]), "ring": tuple(whose)},
        )


def _named(part: str, serial: str) -> str:
    """` (ZF-250B, F-2)`: what is known of a float."""
    known = ", ".join(text for text in (part, serial) if text)
    return f" ({known})" if known else ""
