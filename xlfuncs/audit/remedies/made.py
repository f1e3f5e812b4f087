"""Floats and scales to be made: another mass, the magnet elsewhere, a scale for the operating density."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.remedies.doubted import Body, Doubted, beside, between, by_right, in_doubt, offsets
from xlfuncs.audit.remedies.shells import larger, shell_for
from xlfuncs.audit.remedy import Option
from xlfuncs.gauge import choice, floats, reasons, sizing


def body_of(gauges: Gauges, record: int) -> Body | None:
    """Mass, diameter, length, magnet plane and ends of the gauge's own float."""
    mass, diameter, length, _ = (column[record] for column in gauges.float_shape)
    plane = gauges.si("magnet_height")[record]
    if not gauges.given("float_ends")[record] or np.isnan(mass + diameter + length + plane):
        return None
    return float(mass), float(diameter), float(length), float(plane), str(gauges.ends[record])


def scale(gauges: Gauges, record: int, duty: choice.Duty, doubt: Doubted | None = None) -> Iterator[Option]:
    """A scale made for the operating densities, where the float itself does."""
    body = body_of(gauges, record)
    if body is None:
        return
    low, high = offsets(body, duty)
    middle, half = (low + high) / 2, (high - low) / 2
    if not half <= duty.tolerance or not _reserve(body, duty) >= duty.minimum_reserve:
        return
    mass, diameter, length, plane, ends = body
    upper = sum(c.upper_density for c in duty.conditions) / len(duty.conditions)
    with reasons():
        rho = float(floats.implied_density(mass, diameter, length, plane, middle, upper, ends))
    if np.isnan(rho):
        return
    where = gauges.measure(record, "fluid_density", rho)
    side = "higher" if middle > 0 else "lower"
    text = f"a scale made for {where}, set {abs(middle) * 1e3:.1f} mm {side}"
    if half > 5e-5:
        text += f", which leaves {half * 1e3:.1f} mm either way"
    numbers = {"scale_density_kg_m3": rho, "scale_shift_mm": middle * 1e3, "left_mm": half * 1e3}
    if doubt is not None:
        lowest, highest = offsets(body, doubt.duty)
        there = 1e3 * (lowest - middle), 1e3 * (highest - middle)
        text += f", which reads {between(*there)} at {doubt.right}"
        numbers |= beside(doubt, there)
    yield Option(text, "", where, numbers)


def _reserve(body: Body, duty: choice.Duty) -> float:
    """Least share of the float above the surface."""
    mass, diameter, length, _, ends = body
    with reasons():
        shares = [
            float(floats.reserve(mass, diameter, length, c.lower_density, c.upper_density, ends))
            for c in duty.conditions
        ]
    return min(shares)


@dataclass(frozen=True)
class Made:
    """Floats that would have to be made."""

    options: tuple[Option, ...] = ()
    impossible: str = ""
    """Why a float of the present size cannot be made as it would have to be."""


def made(gauges: Gauges, record: int, duty: choice.Duty, doubt: Doubted | None = None) -> Made:
    """A float with another mass or of another size; the present one with its magnet elsewhere."""
    body = body_of(gauges, record)
    if body is None:
        return Made()
    options, impossible = _of_another_mass(gauges, record, duty, body, doubt)
    return Made((*options, *_moved(gauges, record, duty, body, doubt)), impossible)


def _of_another_mass(
    gauges: Gauges, record: int, duty: choice.Duty, body: Body, doubt: Doubted | None
) -> tuple[tuple[Option, ...], str]:
    """The mass with which a float of this size does; where it cannot be made, a larger one and why."""
    mass, diameter, length, plane, ends = body
    wanted = _mass(body, duty)
    other = (wanted, diameter, length, plane, ends)
    if not (wanted > 0 and _does(other, duty)):
        return (), ""
    size = sizing.Body(diameter, str(gauges.texts("float_material")[record]), length, ends)
    shell = shell_for(gauges, record, duty, wanted, mass, size)
    if not shell.possible:
        weight = gauges.say(record, "float_mass", wanted)
        why = f"a float of this size would have to weigh {weight} and cannot be made: {shell.said}"
        return tuple(larger(gauges, record, duty, size, doubt)), why
    low, high = (1e3 * end for end in offsets(other, duty))
    there, say = by_right(other, doubt), partial(gauges.say, record)
    text = (
        f"a float of this size ({say('float_diameter', diameter)} x {say('float_length', length)}, magnet"
        f" plane {say('magnet_height', plane)} above the bottom) of {say('float_mass', wanted)}"
        f"{f' ({shell.said})' if shell.said else ''}, which {in_doubt(doubt, low, high, there)}"
    )
    numbers = {"mass_g": wanted * 1e3, "offset_low_mm": low, "offset_high_mm": high}
    numbers |= shell.numbers | beside(doubt, there)
    value = gauges.measure(record, "float_mass", wanted)
    return (Option(text, "float_mass", value, numbers, {"float_mass": wanted}),), ""


def _moved(
    gauges: Gauges, record: int, duty: choice.Duty, body: Body, doubt: Doubted | None
) -> Iterator[Option]:
    """The present float with its magnet elsewhere."""
    mass, diameter, length, plane, ends = body
    low, high = offsets(body, duty)
    moved = plane - (low + high) / 2
    elsewhere = (mass, diameter, length, moved, ends)
    if 0 < moved < length and _does(elsewhere, duty):
        half = (high - low) / 2 * 1e3
        there = by_right(elsewhere, doubt)
        height = gauges.say(record, "magnet_height", moved)
        text = f"this float with its magnet plane {height} above the bottom"
        if doubt is not None:
            text += f", which {in_doubt(doubt, -half, half, there)}"
        numbers = {"magnet_height_mm": moved * 1e3, "offset_low_mm": -half, "offset_high_mm": half}
        numbers |= beside(doubt, there)
        yield Option(
            text,
            "magnet_height",
            gauges.measure(record, "magnet_height", moved),
            numbers,
            {"magnet_height": moved},
        )


def _mass(body: Body, duty: choice.Duty) -> float:
    """Mass with which the float reads true at the middle of the densities [kg]."""
    _, diameter, length, plane, ends = body
    lower = sum(c.lower_density for c in duty.conditions) / len(duty.conditions)
    upper = sum(c.upper_density for c in duty.conditions) / len(duty.conditions)
    with reasons():
        below = float(floats.immersed_volume(plane, diameter, length, ends))
        whole = float(floats.volume(diameter, length, ends))
    return lower * below + upper * (whole - below)


def _does(body: Body, duty: choice.Duty) -> bool:
    """Whether it reads within the tolerance at every condition, and floats as high as it must."""
    low, high = offsets(body, duty)
    inside = max(abs(low), abs(high)) <= duty.tolerance
    return bool(inside and _reserve(body, duty) >= duty.minimum_reserve)
