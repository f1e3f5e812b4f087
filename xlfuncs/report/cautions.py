"""The cautions that a report carries: one place for their text.

Each names the rules beside which it belongs; one without rules stands in every report.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from xlfuncs.audit.model import Finding


@dataclass(frozen=True, slots=True)
class Caution:
    title: str
    text: str
    rules: frozenset[str] = frozenset()


CAUTIONS: tuple[Caution, ...] = (
    Caution(
        "Pressure test",
        "Take the float out of the chamber before a hydrostatic test unless its maker states that it "
        "stands the test pressure. A float that has once been crushed or bent has to be replaced.",
        frozenset({"float-test-pressure-exceeded", "float-pressure-exceeded", "float-collapses"}),
    ),
    Caution(
        "Pressure parts",
        "The pressure margins here are a check of stated data against published ratings and formulas. "
        "They do not replace the design calculation of the pressure equipment nor its certificate.",
        frozenset(
            {
                "float-pressure-exceeded",
                "float-test-pressure-exceeded",
                "float-collapses",
                "flange-rating-exceeded",
                "float-temperature-exceeded",
            }
        ),
    ),
    Caution(
        "Opening a chamber",
        "Isolate, depressurise, drain and vent the chamber, and prove it, before a flange is opened. Hot, "
        "toxic, flammable or flashing fluid can stay behind a float or in a blocked connection.",
        frozenset(
            {
                "float-not-in-list",
                "float-sinks",
                "float-barely-floats",
                "offset-exceeds-tolerance",
                "design-density-mismatch",
                "float-service-mismatch",
                "interface-float-outside-fluids",
                "fluid-boils-in-chamber",
                "viscosity-too-high",
                "serial-mismatch",
                "serial-reused",
            }
        ),
    ),
    Caution(
        "Hazardous area",
        "Heat tracing, transmitters and switches in an area where an explosive atmosphere can occur have "
        "to be certified for its zone or division, gas group and temperature class. A competent person "
        "approves changes.",
        frozenset(
            {
                "tracing-missing",
                "tracing-underpowered",
                "tracing-boils-fluid",
                "tracing-too-hot",
                "current-inconsistent",
                "transmitter-outside-visible-range",
                "transmitter-range-mismatch",
                "range-reversed",
            }
        ),
    ),
    Caution(
        "Trips",
        "Set points that belong to a trip or a safety function are changed only through the plant's "
        "management of change.",
        frozenset({"switch-order", "switch-outside-range", "switch-spacing-small"}),
    ),
    Caution(
        "What this report is",
        "A check of the data in the workbook, no more: it does not see the plant. The maker's manual, the "
        "local codes and regulations, and the judgement of a licensed engineer take precedence over it.",
    ),
)


FIELD: tuple[str, ...] = (
    *(f"{c.title}: {c.text}" for c in CAUTIONS if c.title == "Opening a chamber"),
    "Moving the level or taking a signal out of service can trip the plant: agree it with the operators.",
    "The maker's manual, the site's permits and procedures and competent persons take precedence over this.",
)
"""For work at the gauge itself."""


def cautions(findings: Iterable[Finding]) -> list[Caution]:
    """The cautions that belong to the findings, and the ones that always stand."""
    rules = {f.rule for f in findings}
    return [c for c in CAUTIONS if not c.rules or c.rules & rules]
