"""The rule chamber-colder."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.gauges import ATMOSPHERE, Gauges, Mask, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.operating import liquid_at
from xlfuncs.audit.registry import Hit, Outcome, Undecided, gauge_hit, rule, unexplained
from xlfuncs.audit.remedies import states as cures
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.shown import inches_beside
from xlfuncs.audit.workings import fluids as states
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import Array, chamber, density, fluids, reasons


def _asked(gauges: Gauges) -> Mask:
    """Level gauges whose chamber has a temperature of its own, or will have."""
    with np.errstate(invalid="ignore"):
        hot = gauges.high("operating_temperature") >= gauges.settings.hot_vessel_c + ZERO_CELSIUS
    return np.asarray(
        ~gauges.interface & (gauges.mentioned("chamber_temperature") | _held_hotter(gauges) | hot)
    )


def _held_hotter(gauges: Gauges) -> Mask:
    """Where the tracing keeps the chamber above the vessel's temperature."""
    with np.errstate(invalid="ignore"):
        above = gauges.low("maintain_temperature") > gauges.high("operating_temperature")
    return np.asarray(gauges.traced & above & ~gauges.mentioned("chamber_temperature"))


@rule(
    "chamber-colder",
    Severity.WARNING,
    thresholds=("offset_tolerance_mm", "hot_vessel_c", "boiling_margin_k"),
    calculate=states.chamber_level,
    remedy=cures.warmer_chamber,
    late=True,
    when=_asked,
    needs=("operating_temperature", ("visible_range", "connection_distance")),
    assumes=("chamber_temperature", "operating_pressure", "upper_density"),
    passing={"chamber_temperature": "55 degC"},
    firing={"chamber_temperature": "30 degC"},
)
def chamber_colder(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The liquid in the chamber has another temperature than that in the vessel.

    Finds: a recognised pure fluid whose density at the chamber's temperature differs so much from that at
        the vessel's that, with the level at the upper end of the range, the chamber stands lower or higher
        than the vessel by more than the permitted reading offset (common practice, no source). The vessel's
        is the operating temperature; the chamber's is stated, or that at which tracing keeps it, where that
        is the higher one. For a vessel from 150 degC on (common practice, no source) it is asked for.
    Why: both columns weigh the same: the colder, denser one is the shorter. The float shows it truly, and the
        gauge is wrong all the same: of a steam drum at 40 bar by a sixth of the level.
    Mend: bring the chamber to the vessel's temperature: insulate or heat a colder one, take the heat away
        from a hotter one; or give the scale a correction for the operating state.
    """
    asked = _asked(gauges) & gauges.given("operating_temperature")
    if not asked.any():
        return
    names = _names(gauges)
    stated = gauges.given("chamber_temperature") | _held_hotter(gauges)
    yield Undecided(asked & ~stated, label("chamber_temperature"))
    asked &= stated
    known = np.zeros(gauges.n, dtype=np.bool_)
    known[asked] = [bool(name) and fluids.resolve(name) is not None for name in names[asked].tolist()]
    yield Undecided(asked & ~known, "density of the liquid in the chamber and in the vessel")
    where = asked & known & ~gauges.unusable("operating_pressure")
    if not where.any():
        return
    found: list[tuple[Array, Array, Array, Array, Array]] = []
    with reasons() as why:
        for vessel, inside in _temperatures(gauges):
            dense, here = (_density(gauges, settings, names, kelvin, where) for kelvin in (vessel, inside))
            level = chamber.chamber_level(_level(gauges), dense, here, gauges.upper)
            found.append((vessel, inside, dense, here, np.asarray(level)))
    yield from unexplained(where, found[0][4], why, "temperatures and pressure at which the fluid is liquid")
    errors = np.stack([each[4] - _level(gauges) for each in found])
    at = np.argmax(np.where(np.isnan(errors), -1.0, np.abs(errors)), axis=0)
    worst = np.take_along_axis(errors, at[None], 0)[0]
    with np.errstate(invalid="ignore"):
        wrong = where & (np.abs(worst) * 1e3 > settings.offset_tolerance_mm)
    for record in np.flatnonzero(wrong).tolist():
        numbers = [float(part[record]) for part in found[at[record]]]
        yield _hit(gauges, record, str(names[record]), numbers)


def _hit(gauges: Gauges, record: int, fluid: str, numbers: list[float]) -> Hit:
    vessel, inside, dense, here, level = numbers
    name = "chamber_temperature" if gauges.given("chamber_temperature")[record] else "maintain_temperature"
    full = float(_level(gauges)[record])
    stands = "lower" if level < full else "higher"
    off = abs(level - full)
    high = inches_beside(gauges, record, f"{full * 1e3:.0f} mm", full, 1)
    far = inches_beside(gauges, record, f"{off * 1e3:.1f} mm", off)
    return gauge_hit(
        gauges,
        record,
        name,
        f"{fluid} at {gauges.say(record, name, inside)} in the chamber and"
        f" {gauges.say(record, name, vessel)} in the vessel: at a level of {high} the chamber"
        f" stands {far} {stands}",
        evidence={
            "chamber_error_mm": (level - full) * 1e3,
            "vessel_density_kg_m3": dense,
            "chamber_density_kg_m3": here,
        },
        mend=_mend(gauges, record, name, hotter=here < dense),
        case={"fluid": fluid, "field": name, "vessel": dense, "chamber": here, "level": full},
    )


def _mend(gauges: Gauges, record: int, name: str, *, hotter: bool) -> str:
    """What to do with a chamber that is colder, or hotter, than its vessel."""
    if not hotter:
        way = "insulate or heat the chamber to the vessel's temperature"
    elif name == "maintain_temperature" or gauges.traced[record]:
        way = "the chamber is hotter than its vessel: set its tracing lower, or switch it by the chamber"
    else:
        way = "the chamber is hotter than its vessel: find what heats it, and shield it"
    return f"{way}; or give the scale a correction for the operating state."


def _names(gauges: Gauges) -> NDArray[np.object_]:
    """The fluid's name, or the service where that stands in its place."""
    return np.where(gauges.given("fluid"), gauges.texts("fluid"), gauges.texts("service"))


def _temperatures(gauges: Gauges) -> list[tuple[Array, Array]]:
    """[K] in vessel and chamber, at both ends of what is stated."""
    held = _held_hotter(gauges)
    vessel = gauges.low("operating_temperature"), gauges.high("operating_temperature")
    inside = [
        np.where(held, end("maintain_temperature"), end("chamber_temperature"))
        for end in (gauges.low, gauges.high)
    ]
    return [(vessel[1], inside[0]), (vessel[0], inside[1])]


def _level(gauges: Gauges) -> Array:
    """The highest level that the gauge shows [m]: the upper end of its range, or its upper connection."""
    top = gauges.visible_ends[1]
    return np.fmin(top, gauges.si("connection_distance"))


def _density(
    gauges: Gauges, settings: Settings, names: NDArray[np.object_], kelvin: Array, where: Mask
) -> Array:
    """[kg/m3] of the liquid at operating pressure, or saturated where none is stated."""
    out = np.full(gauges.n, np.nan)
    pascal = gauges.low("operating_pressure")[where] + ATMOSPHERE
    lifted = liquid_at(names[where], kelvin[where], pascal, settings.boiling_margin_k)
    out[where] = density.liquid_density(names[where], kelvin[where], lifted)
    return out
