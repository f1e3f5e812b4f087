"""Parts of the float list that would lean: the rule float-top-heavy would find them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.remedies.duties import listed_rows
from xlfuncs.gauge import choice, floats, reasons, stability
from xlfuncs.gauge.model import Float, Fluids


def top_heavy(gauges: Gauges, listed: choice.FloatList, duty: choice.Duty) -> frozenset[str]:
    """The parts whose metacentre is not above their stated centre of gravity at every case."""
    column = gauges.listed.get("float_centre_of_gravity")
    if column is None:
        return frozenset()
    at = listed_rows(gauges)
    centre = np.where(column.given[at], column.high[at], np.nan)
    shape = np.where(np.isin(listed.ends, floats.ENDS), listed.ends, "flat").astype(str)
    body = Float(listed.mass, listed.diameter, listed.length, ends=shape, centre_of_gravity=centre)
    with reasons():
        heights = np.stack(
            [
                np.asarray(stability.metacentric_height(body, Fluids(one.lower_density, one.upper_density)))
                for one in duty.conditions
            ]
        )
    with np.errstate(invalid="ignore"):
        return frozenset(listed.part[(heights <= 0).any(axis=0)].tolist())


def lean(one: choice.Candidate, leaning: frozenset[str]) -> choice.Candidate:
    """A part that is top-heavy does not fit."""
    if one.status == "not judged" or one.part not in leaning:
        return one
    why = "is top-heavy and leans"
    return replace(
        one, status="rejected", rank=None, reasons=(*one.reasons, why), kinds=(*one.kinds, "leans")
    )
