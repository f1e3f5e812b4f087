"""How far the level in a chamber stays behind that of its vessel, by the loss in the connections.

The chamber fills and empties through its connections: Q = pi B^2/4 times the level's rate, through a nozzle
of the bore d and the length l::

    head = (f l/d + K) rho V^2/(2 (rho_l - rho_u) g),   V = rate (B/d)^2

with Darcy's friction factor f by Churchill's equation for all regimes, which is 64/Re (Hagen and Poiseuille)
where the flow is laminar, and the loss coefficient K of entrance, outlet and valve.

Source: Darcy and Weisbach; Churchill, Chem. Eng. 84 (1977) 91, as the library fluids has it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from xlfuncs.data import load
from xlfuncs.gauge import STANDARD_GRAVITY
from xlfuncs.gauge._reasons import UNUSABLE, Array, not_negative, positive, refuse, scalar
from xlfuncs.gauge.model import Chamber, Fluids, Movement, stated_or


def friction_factor(reynolds: ArrayLike, relative_roughness: ArrayLike = 0.0) -> Array:
    """Darcy's friction factor of a pipe for any Reynolds number above 0 (Churchill 1977)."""
    re = np.asarray(reynolds, dtype=np.float64)
    rough = np.asarray(relative_roughness, dtype=np.float64)
    with np.errstate(over="ignore", divide="ignore"):
        a = (2.457 * np.log(1 / ((7 / re) ** 0.9 + 0.27 * rough))) ** 16
        b = (37530 / re) ** 16
        return scalar(np.asarray(8 * ((8 / re) ** 12 + 1 / (a + b) ** 1.5) ** (1 / 12)))


def nozzle_lag(chamber: Chamber, fluids: Fluids, movement: Movement) -> Array:
    """How far the chamber's level stays behind the vessel's [m] while that moves at a steady rate.

    The loss coefficient is that of entrance, outlet and open valve together; 1.5, without a valve, where it
    is not stated. One connection carries the
    flow; the other passes the upper fluid, whose loss is left out. A rising level is read low by it.
    NaN with the reason where it is more than the distance between the connections, or than any chamber is
    long where that is not stated: such a chamber does not follow at all.

    >>> chamber = Chamber(0.06, nozzle_bore=0.024, nozzle_length=0.2)
    >>> float(round(nozzle_lag(chamber, Fluids(850.0, viscosity=0.2), Movement(0.01)), 5))
    0.01696
    """
    head = head_lost(chamber, fluids, movement)
    room = stated_or(chamber.distance, load("nozzle")["chamber"]["longest"])
    return scalar(refuse(head, head > positive("connection_distance", room) * (1 + 1e-9), DOES_NOT_FOLLOW))


DOES_NOT_FOLLOW = (
    "the loss in the connections is more than the chamber is high: it does not follow that level_rate; widen"
    " the nozzle or state a slower level"
)


def head_lost(chamber: Chamber, fluids: Fluids, movement: Movement) -> Array:
    """Loss of the flow through the connections, as a height of the lower fluid under the upper one [m].

    However high: what of it a chamber can show depends on its level.
    """
    wide, narrow = positive("chamber_bore", chamber.bore), positive("nozzle_bore", chamber.nozzle_bore)
    along = positive("nozzle_length", chamber.nozzle_length)
    rate = not_negative("level_rate", movement.level_rate)
    lower, mu = positive("lower_density", fluids.lower_density), positive("viscosity", fluids.viscosity)
    upper = not_negative("upper_density", fluids.upper_density)
    lower = refuse(lower, upper >= lower, "upper_density must be below lower_density", UNUSABLE)
    usual = load("nozzle")["loss"]["coefficient"]
    loss = not_negative("loss_coefficient", stated_or(chamber.loss_coefficient, usual))
    speed = rate * (wide / narrow) ** 2
    rough = load("nozzle")["roughness"]["value"] / 1e3 / narrow
    moving = np.where(speed > 0, speed, 1.0)
    factor = friction_factor(lower * moving * narrow / mu, rough)
    head = (factor * along / narrow + loss) * lower * speed**2 / 2 / ((lower - upper) * STANDARD_GRAVITY)
    return scalar(np.asarray(head))
