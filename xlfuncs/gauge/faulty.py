"""The forward model of a faulty gauge: what indicator, transmitter, sample and switch show for a true level.

A `State` says what of the gauge is not as it should be; every effect may be present at once, in the order
in which it acts: reference, chamber, float, indicator, transmitter, switch. Balance of the float: `floats`;
two columns: `chamber`. What flows through a leg is laminar or turbulent: the head that it takes grows with
the rate or its square (Hagen, Poiseuille; Darcy, Weisbach), less where the level moved too briefly.

Fields of a State broadcast: a column for values that are tried, scalars for the rest. SI units.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from xlfuncs.gauge._reasons import Array
from xlfuncs.gauge.chamber import chamber_level
from xlfuncs.gauge.floats import immersion
from xlfuncs.gauge.readings import NAN, Case

Value = Array | float
CHOKE_SPREAD = 0.5
"""Spread of how far a choked chamber is behind, as a share: common practice, no source."""
LEAST_GAS = 0.05
"""m of gas that a chamber shuts in at the least, so that its law holds up to the top."""
_MISTAKEN = 0.01
"""Chance that a switch's state was taken down wrong: common practice, no source."""


@dataclass(frozen=True, slots=True)
class State:
    """Differences from a sound gauge."""

    reference: Value = 0.0
    """The level by other means less the true one."""
    reference_gain: Value = 1.0
    density: Value = 1.0
    """Actual over stated density of the vessel's liquid."""
    upper: Value = 0.0
    """Added to the density above."""
    chamber: Value = 1.0
    """Density in the chamber over that in the vessel."""
    gas_low: Value = 0.0
    """Share of gas in the vessel's liquid at the lower connection."""
    gas_high: Value = 0.0
    """... and at the top of the range."""
    pocket: Value = 0.0
    """Added to the chamber's level."""
    lean: Value = 0.0
    """Degrees by which the chamber, its scale and its sensor are out of plumb."""
    choke: Value = 0.0
    """By which the chamber is behind at the usual rate of the readings."""
    choke_power: Value = 1.0
    """Of the rate; how far behind also hangs on how long the level moved (`choke_spread`)."""
    choke_spread: Value = CHOKE_SPREAD
    trapped: Value = NAN
    """Level in a chamber that its vessel does not reach, or the one at which both are equal."""
    compliance: Value = 0.0
    """Share of the vessel's movement that the chamber still makes."""
    mass: Value = 0.0
    plane: Value = 0.0
    """Added to the height of the magnet plane above the surface."""
    inverted: bool = False
    band: Value = 0.0
    hang: Value = 0.0
    """Greatest of uneven hang-ups."""
    lag: Value = 0.0
    """s"""
    held: Value = NAN
    """Height of a magnet plane that does not follow."""
    ceiling: Value = math.inf
    floor: Value = -math.inf
    stop: Value = 0.0
    """What the float's stop is too low."""
    scale: Value = 0.0
    indicator: Value = NAN
    """Where an indicator stands that does not follow."""
    dead: Value = NAN
    """Middle of a part of the indicator that does not follow."""
    dead_length: Value = 0.0
    mounting: Value = 0.0
    zero: Value = 0.0
    """What the transmitter's LRV is too high."""
    span: Value = 1.0
    """Span that the transmitter is set to over the stated one."""
    reversed: bool = False
    frozen: Value = NAN
    """Level that a transmitter states that does not follow."""
    step: Value = 0.0
    no_field: bool = False
    """The magnet's field tells a switch nothing."""
    sample_spread: float = 0.0
    """Of ln of a sample's density, where it may be of another liquid."""
    set_point: Value = NAN
    """Where the switch really acts, if not at its set point."""


SOUND = State()


class Prediction(NamedTuple):
    """What a state predicts: one row for each value of its parameters, one column for each reading."""

    magnet: Array
    magnet_variance: Array
    """Of its height about the predicted one, the error of the true level included."""
    indicated: Array
    indicated_variance: Array
    """Of indicated less predicted level."""
    signal: Array
    """Level that the transmitter states."""
    signal_variance: Array
    shared: Array
    """Covariance of the two."""
    sample: Array
    """ln of the sample's density over the stated one."""
    acted: Array
    """Probability that the switch has acted."""


def float_height(case: Case, s: State, scale: float) -> tuple[Array, Array]:
    """(height of the magnet plane, its variance); `scale`: actual over stated density."""
    g, r = case.gauge, case.readings
    upper = g.upper_density + s.upper
    vessel = r.density * scale * s.density
    true = (r.level - s.reference) / s.reference_gain
    chamber = vessel * s.chamber
    choked = np.asarray(s.choke) * case.motion * (np.abs(case.rate) / case.usual_rate) ** s.choke_power
    level, slope = _in_chamber(case, s, true - choked, vessel, chamber, upper)
    along = 1 / np.cos(np.radians(s.lean))
    level, slope = level * along, slope * along
    plane = (g.length - g.magnet_height if s.inverted else g.magnet_height) + g.scale_shift
    depth = immersion(g.mass + s.mass, g.diameter, g.length, chamber, upper, g.ends)
    hung = s.band + np.asarray(s.hang) / 2
    afloat = level + plane + s.plane - depth - hung * case.motion - s.lag * case.rate
    # at rest the float is anywhere within the band; uneven hang-ups leave it anywhere within theirs
    still = case.motion == 0
    loose = np.where(still, np.asarray(s.band) ** 2 / 3, 0.0)
    loose = loose + np.asarray(s.hang) ** 2 / np.where(still, 3.0, 12.0)
    loose = loose + (np.asarray(s.choke_spread) * np.where(still, s.choke, choked)) ** 2
    low = g.magnet_height + g.scale_shift - g.room_below
    height = np.clip(afloat, np.fmax(s.floor, low) if not math.isnan(low) else s.floor, s.ceiling)
    variance = np.where(height == afloat, (slope * case.level_noise) ** 2 + loose, 0.0)
    stopped = np.maximum(plane - g.room_below - s.stop, s.floor)
    height, variance = np.where(case.drained, stopped, height), np.where(case.drained, 0.0, variance)
    stays = ~np.isnan(s.held)
    shape = np.broadcast_shapes(height.shape, np.shape(s.held))
    return (
        np.broadcast_to(np.where(stays, s.held, height), shape),
        np.broadcast_to(np.where(stays, 0.0, variance), shape),
    )


def _in_chamber(
    case: Case, s: State, true: Array, vessel: Array, chamber: Array, upper: Value
) -> tuple[Array, Array]:
    """(level in the chamber, its change with the vessel's)."""
    slope: Value = 1.0 / np.asarray(s.reference_gain)
    level = true
    if np.ndim(s.gas_low) or s.gas_low:
        here = np.clip(true / case.top, 0.0, 1.0)
        mean = s.gas_low + (np.asarray(s.gas_high) - s.gas_low) * here / 2
        level = true * (vessel * (1 - mean) - upper) / (chamber - upper)
    elif np.ndim(s.chamber) or s.chamber != 1.0:
        level = np.where(true > 0, chamber_level(np.maximum(true, 0.0), vessel, chamber, upper), true)
    level = level + s.pocket
    shut = ~np.isnan(s.trapped)
    if shut.any():
        held, gain = _behind_gas(case, s, true)
        level, slope = np.where(shut, held, level), np.where(shut, gain, slope)
    return np.asarray(level), np.asarray(slope)


def _behind_gas(case: Case, s: State, true: Array) -> tuple[Array, Array]:
    """(level in a chamber whose gas is shut in, its change with the vessel's).

    Boyle's law and both columns: a (H - h0)/(H - hc) + hc = a + h with a = p/(rho g), H the top of the gas,
    h0 the level at which it was shut in. `compliance` is the change at h0.
    """
    if case.interface:  # liquid is shut in
        share = np.asarray(s.compliance)
        return s.trapped + share * (true - s.trapped), share + np.zeros_like(true)
    room = np.maximum(case.top - np.asarray(s.trapped), LEAST_GAS)
    share = np.asarray(s.compliance)
    # x = H - hc is the root of x2 + (a + h - H) x - a room = 0; both parts times the compliance
    pressure = (1 - share) * room
    half = pressure + share * (true - s.trapped - room)
    root = np.sqrt(half**2 + 4 * share * pressure * room)
    depth = 2 * pressure * room / (half + root)
    return s.trapped + room - depth, share * depth / root


def _indicated(case: Case, s: State, magnet: Array, variance: Array) -> tuple[Array, Array, Array]:
    """(what the indicator shows, what of the float's variance is in it, what its dead part adds)."""
    shown, follows, own = magnet, np.ones_like(magnet), np.zeros_like(magnet)
    half = np.asarray(s.dead_length) / 2
    within = np.abs(magnet - s.dead) < half
    if within.any():
        # it stands at the edge that the magnet passed last: the one that was read, or by the direction
        read = case.readings.indicated
        way = np.where(np.isnan(read), case.motion, np.sign(s.dead - read))
        shown = np.where(within, s.dead - half * way, shown)
        own = np.where(within & (way == 0), half**2, 0.0)
        follows = np.where(within, 0.0, follows)
    stays = ~np.isnan(s.indicator)
    shown = np.where(stays, s.indicator, shown + s.scale)
    return shown, np.where(stays, 0.0, follows), np.where(stays, 0.0, own)


def _stated(case: Case, s: State, magnet: Array) -> tuple[Array, Array]:
    """(level that the transmitter states, its change with the magnet's)."""
    g = case.gauge
    seen = magnet + s.mounting
    share = 1 / np.asarray(s.span)
    level = g.lrv + (seen - g.lrv - s.zero) * share
    slope = np.broadcast_to(share, np.broadcast_shapes(share.shape, magnet.shape))
    if s.reversed:
        level, slope = g.lrv + g.urv - level, -slope
    stays = ~np.isnan(s.frozen)
    return np.where(stays, s.frozen, level), np.where(stays, 0.0, slope)


def predict(case: Case, s: State, scale: float = 1.0) -> Prediction:
    """What a gauge in this state shows for the true levels of `case`; `scale`: actual over stated density."""
    magnet, variance = float_height(case, s, scale)
    own = case.level_noise**2
    shown, follows, dead = _indicated(case, s, magnet, variance)
    sent, slope = _stated(case, s, magnet)
    # within a step all is equally likely (JCGM 100:2008, 4.3.7)
    stepped = own + np.asarray(s.step) ** 2 / 12
    # gas bubbles are not in a sample
    sample = np.log(np.asarray(s.density) * s.chamber) + math.log(scale)
    return Prediction(
        *np.broadcast_arrays(
            magnet,
            variance,
            shown,
            own + dead + follows * variance,
            sent,
            stepped + slope**2 * variance,
            follows * slope * variance,
            sample,
            np.full_like(magnet, 0.5) if s.no_field else acted(case, magnet, s.set_point),
        )
    )


def acted(case: Case, height: Array, moved: Value) -> Array:
    """Probability that the switch has acted with the magnet plane at `height`."""
    g = case.gauge
    if math.isnan(g.set_point):
        return np.full_like(height, 0.5)
    half = g.differential / 2
    sign = -1.0 if g.falling_switch else 1.0
    point = np.where(np.isnan(moved), g.set_point, moved) - sign * half
    past = sign * (height - point) / math.hypot(case.level_noise, half)
    # the normal distribution function within 0.01 (logistic approximation)
    share = 1 / (1 + np.exp(-np.clip(1.702 * past, -50, 50)))
    return np.asarray(_MISTAKEN + (1 - 2 * _MISTAKEN) * share)


def from_indicator(case: Case, s: State, shown: Array) -> tuple[Array, Array]:
    """(level that the transmitter states, its change) where only the indicator tells where the float is."""
    return _stated(case, s, shown - s.scale)
