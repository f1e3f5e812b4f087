"""The rule chamber-magnetic."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Outcome, Undecided, gauge_hit, rule
from xlfuncs.audit.remedies import metals as cures
from xlfuncs.audit.rules.strength.shared import MATERIAL_DOUBTS
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits
from xlfuncs.gauge import materials, ratings


@rule(
    "chamber-magnetic",
    Severity.ERROR,
    calculate=limits.magnetic,
    remedy=cures.not_magnetic,
    needs=("chamber_material",),
    passing=({"chamber_material": "304L"}, {"chamber_material": "1.4404 (316L), electropolished"}),
    firing=(
        {"chamber_material": "A105", "flange_class": "300", "material_group": "1.1"},
        {"chamber_material": "PTFE lined CS"},
        {"chamber_material": "P265GH"},
    ),
)
def chamber_magnetic(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The chamber is magnetic.

    Finds: a chamber of carbon or low alloy steel, cast iron, nickel, or ferritic, martensitic or duplex
        stainless steel, lined or not. Words that leave the metal open ('steel', 'stainless steel'), and
        several metals that differ, are not decided.
    Why: its wall shields the field of the float's magnet and drags the float: the indicator does not
        follow, or not at all.
    Mend: make the chamber of austenitic stainless steel, titanium, a nickel alloy or plastic.
    """
    magnetic = gauges.each("chamber_material", ratings.is_ferromagnetic)
    for record in np.flatnonzero(magnetic.astype(np.bool_)).tolist():
        text = str(gauges.texts("chamber_material")[record])
        material = materials.read(text)
        lined = " behind its lining" if material.lined else ""
        yield gauge_hit(
            gauges,
            record,
            "chamber_material",
            f"the chamber's material {text} is ferromagnetic ({material.label}{lined})",
            expected=Measure("a material that is not ferromagnetic"),
            evidence={"material": text, "family": material.label},
        )
    open_ = gauges.given("chamber_material") & np.array([found is None for found in magnetic.tolist()])
    for text, where in gauges.by_text("chamber_material", open_):
        why = f"'{text}' {MATERIAL_DOUBTS[materials.read(text).doubt]}"
        yield Undecided(where, label("known_chamber_material"), "chamber_material", why)
