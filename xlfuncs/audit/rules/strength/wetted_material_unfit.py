"""The rule wetted-material-unfit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from xlfuncs.audit.compatibility import is_aggressive, statements, strength
from xlfuncs.audit.gauges import Gauges, Mask, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, Outcome, Undecided, gauge_hit, rule
from xlfuncs.audit.remedies import metals as cures
from xlfuncs.audit.rules.strength.shared import MATERIAL_DOUBTS
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import materials

WETTED = {"chamber_material": "the chamber", "float_material": "the float"}
FLUIDS = ("fluid", "service", "upper_fluid")
"""Where the name of a fluid stands; the service counts where no fluid is stated."""

_FLOAT = {"float_material": "Titanium", "float_wall": "1.2 mm"}


@rule(
    "wetted-material-unfit",
    Severity.WARNING,
    calculate=limits.unfit,
    remedy=cures.fit_metal,
    when=lambda gauges: _named(gauges) != "",
    needs=(tuple(WETTED),),
    passing=(
        {"fluid": "Acetic acid 20 %", "chamber_material": "316L"},
        {"fluid": "Brine", "operating_temperature": "50 degC"},
    ),
    firing=(
        {"fluid": "Hydrochloric acid 15 %", "chamber_material": "Alloy C-276", **_FLOAT},
        {"fluid": "Hydrochloric acid 5 %", **_FLOAT},
        {"fluid": "Brine", "operating_temperature": "80 degC", **_FLOAT},
    ),
)
def wetted_material_unfit(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The fluid attacks the material of chamber or float.

    Finds: a chamber or a float whose metal a published statement calls unfit for the fluid by its name:
        acids, chlorides from 60 degC on, chlorine, caustic, ammonia, mercury and the like (the source is
        named). Chamber and float are judged each by its own metal. Of an aggressive fluid and a metal on
        which no statement is held here, or none for that strength, it is said to be not checked. A coat or
        a lining is not judged.
    Why: a float has a wall of half a millimetre to two; it leaks long before a pipe of that metal would,
        fills, and sinks.
    Mend: take a metal that is known to stand the fluid, at its concentration and temperature.
    """
    asked = _named(gauges)
    for text in dict.fromkeys(asked[asked != ""].tolist()):
        here = np.asarray(asked == text)
        for field, part in WETTED.items():
            for material, where in gauges.by_text(field, here & gauges.given(field)):
                yield from _judged(gauges, text, field, part, material, where)


def _judged(
    gauges: Gauges, fluid: str, field: str, part: str, material: str, where: Mask
) -> Iterator[Outcome]:
    read = materials.read(material)
    if read.doubt or read.lined or not read.family:
        why = MATERIAL_DOUBTS.get(read.doubt, "is lined or coated" if read.lined else "is in no family")
        yield Undecided(where, label(f"known_{field}"), field, f"'{material}' {why}")
        return
    hottest = gauges.high("operating_temperature") - ZERO_CELSIUS
    told = False
    for name, block in statements(fluid):
        if read.family not in block["families"]:
            continue
        told = True
        if "strength" in block and not (strength(fluid) or 0.0) > block["strength"]:
            lacking = f"strength of {fluid} in per cent"
            weak = f"published statement on {fluid} and {read.label} at that strength"
            yield Undecided(where, lacking if strength(fluid) is None else weak)
            continue
        above = float(block.get("above", -np.inf))
        with np.errstate(invalid="ignore"):
            hot = where & ((hottest >= above) | np.isneginf(above))
        yield Undecided(where & ~hot & np.isnan(hottest), label("operating_temperature"))
        for record in np.flatnonzero(hot).tolist():
            yield _hit(gauges, record, fluid, field, part, read, name, block)
    if not told and is_aggressive(fluid):
        yield Undecided(where, f"published statement on {fluid} and {read.label}")


def _hit(
    gauges: Gauges,
    record: int,
    fluid: str,
    field: str,
    part: str,
    material: materials.Material,
    name: str,
    block: Mapping[str, Any],
) -> Hit:
    return gauge_hit(
        gauges,
        record,
        field,
        f"{part} is of {gauges.texts(field)[record]}, the fluid is {fluid}: {material.label} {block['why']}",
        evidence={"fluid": fluid, "family": material.label, "source": str(block["source"])},
        case={"statement": name, "fluid": _field_of(gauges, record)},
    )


def _field_of(gauges: Gauges, record: int) -> str:
    """Where the fluid's name stands."""
    return "fluid" if gauges.given("fluid")[record] else "service"


def _named(gauges: Gauges) -> np.ndarray[Any, np.dtype[np.object_]]:
    """The fluid by its name, or by the service where none is stated; "" for one that nothing is known of."""
    names = np.where(gauges.given("fluid"), gauges.texts("fluid"), gauges.texts("service"))
    kept = {
        text: bool(text) and bool(statements(text) or is_aggressive(text)) for text in set(names.tolist())
    }
    return np.array([text if kept[text] else "" for text in names.tolist()], dtype=object)
