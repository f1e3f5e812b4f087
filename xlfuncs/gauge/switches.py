"""Switches on the chamber: at which true level they act and reset, and whether the float gets there.

A switch acts when the float's magnet plane passes its set point. Heights count from the centre line of the
lower process connection, upwards. A float that reads high by its reading offset acts that much early::

    true level = set_point - (magnet_height - immersion)

The float travels between a lower and an upper stop in the chamber and no further, whatever the level; and
chamber and vessel share a level only while it lies between the connections.

Source: geometry of a guided float; nothing here is an approximation but the point-like magnet plane.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.gauge._reasons import UNUSABLE, Array, not_negative, positive, refuse, scalar

ACTIONS = ("rising", "falling")

Texts = str | NDArray[Any]


def switch_level(set_point: ArrayLike, magnet_height: ArrayLike, immersion: ArrayLike) -> Array:
    """True level at which the switch acts [m]: set_point - (magnet_height - immersion).

    set_point: height of the switch above the lower connection [m]; magnet_height and immersion of the
    float, from its bottom [m]. All broadcast. NaN with the reason for a height below zero.
    """
    plane = not_negative("magnet_height", magnet_height)
    depth = not_negative("immersion", immersion)
    return scalar(np.asarray(np.asarray(set_point, dtype=np.float64) - (plane - depth)))


def set_point(level: ArrayLike, magnet_height: ArrayLike, immersion: ArrayLike) -> Array:
    """Height at which to mount a switch that shall act at a true level [m]: the inverse of `switch_level`."""
    plane = not_negative("magnet_height", magnet_height)
    depth = not_negative("immersion", immersion)
    return scalar(np.asarray(np.asarray(level, dtype=np.float64) + (plane - depth)))


def _rises(action: Texts) -> NDArray[np.bool_]:
    names = np.asarray(action)
    known = np.isin(names, ACTIONS)
    if not known.all():
        raise ValueError(f"action is '{names[~known].flat[0]}': use one of {', '.join(ACTIONS)}")
    return np.asarray(names == "rising")


def reset_level(
    set_point: ArrayLike,
    magnet_height: ArrayLike,
    immersion: ArrayLike,
    differential: ArrayLike,
    action: Texts = "rising",
) -> Array:
    """True level at which the switch goes back [m].

    Below the level of `switch_level` by the differential [m] for a switch that acts on a rising level,
    above it for a falling one.
    """
    band = not_negative("differential", differential)
    return scalar(
        np.asarray(switch_level(set_point, magnet_height, immersion) + np.where(_rises(action), -band, band))
    )


def float_travel(
    immersion: ArrayLike,
    length: ArrayLike,
    connection_distance: ArrayLike,
    room_below: ArrayLike,
    room_above: ArrayLike,
) -> tuple[Array, Array]:
    """Lowest and highest level that the float follows [m].

    The float's bottom cannot go lower than room_below [m] under the lower connection, nor its top higher
    than room_above [m] over the upper connection: immersion - room_below, and connection_distance +
    room_above - length + immersion. Both are limited to 0 and connection_distance, outside which chamber
    and vessel do not share a level. NaN with the reason where the float has no room to move, or follows
    no level between the connections.
    """
    depth = not_negative("immersion", immersion)
    overall = positive("length", length)
    depth = refuse(depth, depth > overall, "immersion must not exceed the length", UNUSABLE)
    distance = positive("connection_distance", connection_distance)
    below, above = not_negative("room_below", room_below), not_negative("room_above", room_above)
    stuck = below + distance + above <= overall
    distance = refuse(distance, stuck, "length leaves the float no way to go between the stops")
    lowest = np.maximum(depth - below, 0.0)
    highest = np.minimum(distance + above - overall + depth, distance)
    none = lowest >= highest
    text = "the float follows no level between the connections: give it more room below or above"
    return (
        refuse(scalar(np.asarray(lowest + 0 * distance)), none, text),
        refuse(scalar(np.asarray(highest)), none, text),
    )


def switch_check(
    set_point: ArrayLike,
    magnet_height: ArrayLike,
    immersion: ArrayLike,
    length: ArrayLike,
    connection_distance: ArrayLike,
    room_below: ArrayLike,
    room_above: ArrayLike,
    differential: ArrayLike = 0.0,
    action: Texts = "rising",
) -> NDArray[Any] | str:
    """Whether the switch acts and resets within the float's travel: "feasible", or what is wrong.

    Compares `switch_level` and `reset_level` with `float_travel`; the ends of the travel do not count,
    since a magnet that stops at the switch does not pass it. Arguments [m] as there. "" where an argument
    is refused.
    """
    acts = switch_level(set_point, magnet_height, immersion)
    resets = reset_level(set_point, magnet_height, immersion, differential, action)
    lowest, highest = float_travel(immersion, length, connection_distance, room_below, room_above)
    acts, resets, lowest, highest = np.broadcast_arrays(acts, resets, lowest, highest)
    texts = np.empty(acts.shape, dtype=object)
    for at in np.ndindex(acts.shape):
        texts[at] = _verdict(float(acts[at]), float(resets[at]), float(lowest[at]), float(highest[at]))
    return texts if texts.shape else str(texts[()])


def _verdict(acts: float, resets: float, lowest: float, highest: float) -> str:
    if np.isnan(acts + resets + lowest + highest):
        return ""
    for level, verb in ((acts, "acts"), (resets, "resets")):
        if level <= lowest:
            return f"never {verb}: {level * 1e3:.1f} mm is not above the lowest level, {lowest * 1e3:.1f} mm"
        if level >= highest:
            return (
                f"never {verb}: {level * 1e3:.1f} mm is not below the highest level, {highest * 1e3:.1f} mm"
            )
    return "feasible"
