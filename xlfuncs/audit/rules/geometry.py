"""Rules about ranges, signal, switches and the identity of the parts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from xlfuncs.audit.gauges import Gauges, Mask
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import values
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import signal as signal_workings
from xlfuncs.gauge import Floats, signal
from xlfuncs.lists.tags import SERIAL_SIGNS, bare_serial

SWITCHES = ("switch_lsll", "switch_lsl", "switch_lsh", "switch_lshh")
"""In the order in which their set points must rise."""

MM = 1e-3


def _letters(field: str) -> str:
    return field.removeprefix("switch_").upper()


def _any_mentioned(gauges: Gauges, *fields: str) -> Mask:
    return np.asarray(np.logical_or.reduce([gauges.mentioned(name) for name in fields]), dtype=np.bool_)


def _visible(gauges: Gauges) -> tuple[Floats, Floats]:
    """Ends of the visible range above the bottom connection [m]; it starts there unless stated."""
    low = gauges.or_default("visible_low", 0.0)
    return low, low + gauges.si("visible_range")


def _range(gauges: Gauges) -> tuple[Floats, Floats]:
    """The lower and the higher of LRV and URV [m]."""
    lrv, urv = gauges.si("lrv"), gauges.si("urv")
    return np.minimum(lrv, urv), np.maximum(lrv, urv)


def _reversed(gauges: Gauges) -> Mask:
    return gauges.says("action", "reverse")


def _action_unclear(gauges: Gauges) -> Mask:
    """Where something is stated as the transmitter's action that is neither direct nor reverse."""
    return gauges.unusable("action") | ~gauges.given("known_action")


@rule(
    "range-exceeds-connections",
    Severity.ERROR,
    calculate=signal_workings.connections,
    needs=(("visible_range", "both_range_values"), "connection_distance"),
    assumes=("visible_range", "connection_arrangement"),
    passing={
        "visible_range": "1200 mm",
        "urv": "1200 mm",
        "stated_current": None,
        "connection_arrangement": "top / bottom",
    },
    firing=(
        {"visible_range": "1200 mm", "urv": "1200 mm", "stated_current": None},
        {"visible_range": None, "urv": "1200 mm", "stated_current": None},
    ),
)
def range_exceeds_connections(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The visible range is longer than the distance of the connections.

    Finds: a side-connected gauge whose visible range, or whose transmitter's where none is stated, is longer
        than the centre-to-centre distance of its process connections by more than 1 mm (common practice, no
        source). A gauge counts as side-connected unless it is stated to be connected at top or bottom.
    Why: beyond its connections the liquid in the chamber does not follow the vessel: that part of the
        scale shows nothing that exists.
    Mend: correct the range or the distance, or state how the gauge is connected.
    """
    elsewhere = gauges.says("connection_arrangement", "end_connected")
    elsewhere |= gauges.unusable("connection_arrangement")
    bottom, top = _range(gauges)
    stated, distance = gauges.si("visible_range"), gauges.si("connection_distance")
    span = np.where(np.isnan(stated), top - bottom, stated)
    with np.errstate(invalid="ignore"):
        over = ~elsewhere & (span > distance + settings.transmitter_outside_mm * MM)
    for record in np.flatnonzero(over).tolist():
        field, words = ("urv", "transmitter's") if np.isnan(stated[record]) else ("visible_range", "visible")
        yield gauge_hit(
            gauges,
            record,
            field,
            f"the {words} range of {gauges.say(record, field, span[record])} is longer than the"
            f" {gauges.say(record, field, distance[record])} between the connections",
            expected=gauges.measure(record, field, float(distance[record])),
            evidence={
                "range_mm": float(span[record] / MM),
                "connection_distance_mm": float(distance[record] / MM),
            },
        )


@rule(
    "scale-zero-shifted",
    Severity.ERROR,
    calculate=signal_workings.scale_zero,
    remedy=values.scale_at_zero,
    needs=("scale_zero",),
    when=lambda gauges: gauges.mentioned("scale_zero"),
    passing={"scale_zero": "0 mm"},
    firing={"scale_zero": "35 mm"},
)
def scale_zero_shifted(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The scale does not start at the bottom connection.

    Finds: a scale zero further from the centre line of the bottom process connection than the permitted
        reading offset (common practice, no source).
    Why: the whole scale is shifted: the indicator reads wrong by this distance at every level.
    Mend: mount the scale with its zero at the centre line of the bottom connection.
    """
    zero = gauges.si("scale_zero")
    with np.errstate(invalid="ignore"):
        off = np.abs(zero) > settings.offset_tolerance_mm * MM
    for record in np.flatnonzero(off).tolist():
        side = "above" if zero[record] > 0 else "below"
        reads = "low" if zero[record] > 0 else "high"
        off_by = gauges.say(record, "scale_zero", abs(zero[record]))
        yield gauge_hit(
            gauges,
            record,
            "scale_zero",
            f"scale zero is {off_by} {side} the bottom connection: the gauge reads {reads}",
            expected=gauges.measure(record, "scale_zero", 0.0),
            evidence={"reading_offset_mm": float(-zero[record] / MM)},
        )


@rule(
    "transmitter-outside-visible-range",
    Severity.ERROR,
    calculate=signal_workings.outside,
    remedy=values.whole_range,
    when=lambda gauges: _any_mentioned(gauges, "lrv", "urv"),
    needs=("lrv", "urv", "visible_range"),
    assumes=("visible_low",),
    covers=("transmitter-range-mismatch",),
    passing={"urv": "1000.8 mm", "stated_current": None},
    firing={"urv": "1080 mm", "stated_current": None},
)
def transmitter_outside_visible_range(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The transmitter's range goes beyond the visible range.

    Finds: an LRV or URV outside the visible range by more than 1 mm (common practice, no source).
    Why: the transmitter never reaches 4 or 20 mA, and what it sends there cannot be checked by eye.
    Mend: set LRV and URV to the ends of the visible range, or correct the range.
    """
    low, high = _visible(gauges)
    bottom, top = _range(gauges)
    slack = settings.transmitter_outside_mm * MM
    yield from _range_hits(gauges, bottom < low - slack, top > high + slack, "outside")


@rule(
    "transmitter-range-mismatch",
    Severity.WARNING,
    calculate=signal_workings.inside,
    remedy=values.whole_range,
    when=lambda gauges: _any_mentioned(gauges, "lrv", "urv"),
    needs=("lrv", "urv", "visible_range"),
    assumes=("visible_low",),
    passing={"lrv": "4 mm", "stated_current": None},
    firing={"lrv": "60 mm", "stated_current": None},
)
def transmitter_range_mismatch(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The transmitter's 0 and 100 % are not the ends of the visible range.

    Finds: an LRV or URV inside the visible range, but more than 5 mm from its end (common practice, no
        source).
    Why: indicator and control room show different percentages for the same level.
    Mend: set LRV and URV to the ends of the visible range, or confirm that the difference is wanted.
    """
    low, high = _visible(gauges)
    bottom, top = _range(gauges)
    slack = settings.transmitter_mismatch_mm * MM
    yield from _range_hits(gauges, bottom > low + slack, top < high - slack, "inside")


def _range_hits(gauges: Gauges, at_bottom: Mask, at_top: Mask, side: str) -> Iterator[Hit]:
    """One hit for each gauge, at LRV or, if only the upper end is off, at URV."""
    low, high = _visible(gauges)
    lrv, urv = gauges.si("lrv"), gauges.si("urv")
    for record in np.flatnonzero(at_bottom | at_top).tolist():
        falling = urv[record] < lrv[record]
        lower_end = bool(at_bottom[record])
        field = "lrv" if lower_end != falling else "urv"
        value = float(gauges.si(field)[record])
        end = float(low[record] if lower_end else high[record])
        say = partial(gauges.say, record, field)
        yield gauge_hit(
            gauges,
            record,
            field,
            f"{field.upper()} is {say(value)}, {say(abs(value - end))} {side}"
            f" the visible range, which ends at {say(end)}",
            expected=gauges.measure(record, field, end),
            evidence={
                "lrv_mm": float(lrv[record] / MM),
                "urv_mm": float(urv[record] / MM),
                "visible_low_mm": float(low[record] / MM),
                "visible_high_mm": float(high[record] / MM),
            },
        )


@rule(
    "range-reversed",
    Severity.ERROR,
    calculate=signal_workings.reversed_range,
    remedy=values.other_way,
    when=lambda gauges: _any_mentioned(gauges, "lrv", "urv"),
    needs=("lrv", "urv"),
    assumes=("action", "known_action"),
    covers=("current-inconsistent",),
    passing={"lrv": "1000 mm", "urv": "0 mm", "action": "reverse"},
    firing={"lrv": "1000 mm", "urv": "0 mm"},
)
def range_reversed(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """URV is not above LRV.

    Finds: an upper range value not above the lower range value, where no reverse action is stated.
    Why: the signal falls as the level rises, or does not move at all: alarms and control act the wrong way.
    Mend: swap LRV and URV, or state the reverse action.
    """
    lrv, urv = gauges.si("lrv"), gauges.si("urv")
    with np.errstate(invalid="ignore"):
        wrong = (urv <= lrv) & ~((_reversed(gauges) | _action_unclear(gauges)) & (urv < lrv))
    for record in np.flatnonzero(wrong).tolist():
        yield gauge_hit(
            gauges,
            record,
            "urv",
            f"URV of {gauges.say(record, 'urv', urv[record])} is not above"
            f" LRV of {gauges.say(record, 'lrv', lrv[record])}",
            evidence={"lrv_mm": float(lrv[record] / MM), "urv_mm": float(urv[record] / MM)},
        )


@rule(
    "current-inconsistent",
    Severity.ERROR,
    calculate=signal_workings.current,
    remedy=values.right_current,
    when=lambda gauges: gauges.mentioned("stated_current"),
    needs=("stated_level", "stated_current", "lrv", "urv"),
    assumes=("action", "known_action"),
    passing={"stated_level": "372.5 mm", "stated_current": "9.96 mA"},
    firing={"stated_level": "372.5 mm", "stated_current": "10.96 mA"},
)
def current_inconsistent(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A stated current does not belong to its level.

    Finds: a stated loop current that differs by more than 0.05 mA (common practice, no source) from the
        one that LRV, URV and the stated level give; 3.8 or 20.5 mA for a level beyond them (NAMUR NE 43).
    Why: one of the four is wrong, and the loop is set by them.
    Mend: compute the current anew, or correct the range or the level.
    """
    low, high = _range(gauges)
    with np.errstate(invalid="ignore"):
        falling = _reversed(gauges) | (gauges.si("urv") < gauges.si("lrv"))
    due = np.asarray(signal.held_current(gauges.si("stated_level"), low, high, falling))
    stated = gauges.si("stated_current")
    with np.errstate(invalid="ignore"):
        wrong = np.abs(stated - due) > settings.current_tolerance_ma * MM
    wrong &= ~_action_unclear(gauges)
    for record in np.flatnonzero(wrong).tolist():
        yield gauge_hit(
            gauges,
            record,
            "stated_current",
            f"{stated[record] / MM:.2f} mA is stated where LRV, URV and level give {due[record] / MM:.2f} mA",
            expected=gauges.measure(record, "stated_current", float(due[record])),
            evidence={
                "stated_current_mA": float(stated[record] / MM),
                "computed_current_mA": float(due[record] / MM),
            },
        )


def _has_switch(gauges: Gauges) -> Mask:
    return _any_mentioned(gauges, *SWITCHES)


def _neighbours(gauges: Gauges, wrong: Callable[[Floats], Mask]) -> list[tuple[int, str, str]]:
    """(gauge, lower, upper) of set points that follow each other and whose distance [m] is `wrong`."""
    found = []
    for at, lower in enumerate(SWITCHES):
        between = np.zeros(gauges.n, dtype=np.bool_)
        for upper in SWITCHES[at + 1 :]:
            with np.errstate(invalid="ignore"):
                here = wrong(gauges.si(upper) - gauges.si(lower)) & ~between
            found += [(record, lower, upper) for record in np.flatnonzero(here).tolist()]
            between |= gauges.given(upper)
    return sorted(found, key=lambda entry: entry[0])


@rule(
    "switch-order",
    Severity.ERROR,
    calculate=signal_workings.switch_order,
    remedy=values.in_order,
    assumes=SWITCHES,
    covers=("switch-spacing-small",),
    passing={"switch_lsl": "150 mm", "switch_lsh": "850 mm"},
    firing={"switch_lsl": "900 mm", "switch_lsh": "850 mm"},
)
def switch_order(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """Set points in the wrong order.

    Finds: set points that do not rise in the order LSLL, LSL, LSH, LSHH.
    Why: a trip acts before its alarm, or an alarm never comes.
    Mend: correct the set points, or the switch that each belongs to.
    """
    for record, lower, upper in _neighbours(gauges, lambda gap: gap <= 0):
        below, above = float(gauges.si(lower)[record]), float(gauges.si(upper)[record])
        yield gauge_hit(
            gauges,
            record,
            upper,
            f"{_letters(upper)} at {gauges.say(record, upper, above)} is not above"
            f" {_letters(lower)} at {gauges.say(record, lower, below)}",
            evidence={f"{lower}_mm": below / MM, f"{upper}_mm": above / MM},
            case={"below": lower},
        )


@rule(
    "switch-outside-range",
    Severity.ERROR,
    calculate=signal_workings.switch_outside,
    remedy=values.into_range,
    when=_has_switch,
    needs=("visible_range",),
    assumes=("visible_low", *SWITCHES),
    passing={"switch_lshh": "990 mm"},
    firing={"switch_lshh": "1040 mm"},
)
def switch_outside_range(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A set point where the float never comes.

    Finds: a set point outside the visible range.
    Why: the float does not travel there, so the switch stays silent.
    Mend: move the set point into the visible range, or correct the range.
    """
    low, high = _visible(gauges)
    for name in SWITCHES:
        point = gauges.si(name)
        with np.errstate(invalid="ignore"):
            outside = (point < low - 1e-9) | (point > high + 1e-9)
        for record in np.flatnonzero(outside).tolist():
            say = partial(gauges.say, record, name)
            yield gauge_hit(
                gauges,
                record,
                name,
                f"{_letters(name)} at {say(point[record])} is outside the visible range,"
                f" {say(low[record])} {'upwards' if np.isnan(high[record]) else f'to {say(high[record])}'}",
                expected=gauges.measure(
                    record, name, float(np.clip(point[record], low[record], high[record]))
                ),
                evidence={
                    "set_point_mm": float(point[record] / MM),
                    "visible_low_mm": float(low[record] / MM),
                    "visible_high_mm": float(high[record] / MM),
                },
            )


@rule(
    "switch-spacing-small",
    Severity.WARNING,
    calculate=signal_workings.switch_spacing,
    remedy=values.apart,
    assumes=SWITCHES,
    passing={"switch_lsh": "850 mm", "switch_lshh": "900 mm"},
    firing={"switch_lsh": "850 mm", "switch_lshh": "865 mm"},
)
def switch_spacing_small(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """Set points too close together.

    Finds: neighbouring set points less than 25 mm apart (common practice, no source).
    Why: the bodies of the switches do not fit, one magnet acts on both, and their hysteresis overlaps.
    Mend: move the set points apart, or confirm with the maker that the switches fit.
    """
    least = settings.switch_spacing_mm * MM
    for record, lower, upper in _neighbours(gauges, lambda gap: (gap > 0) & (gap < least - 1e-9)):
        below = float(gauges.si(lower)[record])
        gap = float(gauges.si(upper)[record]) - below
        yield gauge_hit(
            gauges,
            record,
            upper,
            f"{_letters(upper)} is only {gauges.say(record, upper, gap)} above {_letters(lower)}",
            expected=gauges.measure(record, upper, below + least),
            evidence={"spacing_mm": gap / MM},
            case={"below": lower},
        )


@rule(
    "serial-mismatch",
    Severity.ERROR,
    calculate=signal_workings.serial,
    when=lambda gauges: _any_mentioned(gauges, "float_gauge_serial", "transmitter_gauge_serial"),
    needs=("serial",),
    assumes=("float_gauge_serial", "transmitter_gauge_serial"),
    passing={"float_gauge_serial": "QX 50100"},
    firing=({"float_gauge_serial": "QX-50101"}, {"transmitter_gauge_serial": "QX-50999"}),
)
def serial_mismatch(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """Float or transmitter belongs to another gauge.

    Finds: a gauge serial noted for the float or the transmitter that differs from the gauge's own serial.
        Blanks, case and punctuation do not count.
    Why: floats are made for one density and one gauge; swapped, both gauges read wrong.
    Mend: find out on site which float is in which chamber, and correct the list or the floats.
    """
    own = gauges.texts("serial")
    for field, part in (("float_gauge_serial", "float"), ("transmitter_gauge_serial", "transmitter")):
        noted = gauges.texts(field)
        for record in np.flatnonzero((own != "") & (noted != "")).tolist():
            if bare_serial(str(own[record])) != bare_serial(str(noted[record])):
                yield gauge_hit(
                    gauges,
                    record,
                    field,
                    f"the {part} is noted for gauge serial {noted[record]}, this gauge is {own[record]}",
                    expected=Measure(str(own[record])),
                    evidence={"gauge_serial": str(own[record]), "noted_serial": str(noted[record])},
                )


@rule(
    "serial-reused",
    Severity.ERROR,
    assumes=("float_serial",),
    passing=({"float_serial": "F-7101", "tag": "LG-1"}, {"float_serial": "F-7102", "tag": "LG-2"}),
    firing=({"float_serial": "F-7101", "tag": "LG-1"}, {"float_serial": "F-7101", "tag": "LG-2"}),
)
def serial_reused(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """One float serial on two gauges.

    Finds: a float serial number that stands on more than one gauge.
    Why: a float is in one chamber only; the other gauge's float is unknown.
    Mend: read the serials on site, and correct the list.
    """
    for record, earlier in gauges.repeats("float_serial", SERIAL_SIGNS):
        sheet, cell = gauges.place(earlier, "float_serial")
        other = gauges.tag(earlier) or "another gauge"
        yield gauge_hit(
            gauges,
            record,
            "float_serial",
            f"float serial {gauges.texts('float_serial')[record]} stands already on {other} ({sheet}!{cell})",
            evidence={"other_tag": gauges.tag(earlier)},
        )


RULES = (
    range_exceeds_connections,
    scale_zero_shifted,
    transmitter_outside_visible_range,
    transmitter_range_mismatch,
    range_reversed,
    current_inconsistent,
    switch_order,
    switch_outside_range,
    switch_spacing_small,
    serial_mismatch,
    serial_reused,
)
