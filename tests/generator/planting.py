"""Faults to plant: the examples of the rules, each with the cell at which it must be found, and some more."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from tests.generator.style import Style
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.gauges import stated_in
from xlfuncs.audit.registry import rules

PLACE: Final[dict[str, tuple[str, ...]]] = {
    "tag-missing": ("tag",),
    "tag-duplicate": ("tag",),
    "tag-malformed": ("tag",),
    "float-data-conflict": ("float_max_pressure",),
    "density-range-reversed": ("fluid_density_min",),
    "operating-exceeds-design": ("operating_pressure", "operating_temperature"),
    "densities-swapped": ("upper_density",),
    "float-not-in-list": ("float_part",),
    "float-service-mismatch": ("float_part",),
    "interface-float-outside-fluids": ("float_part",),
    "interface-density-gap-small": ("upper_density",),
    "float-sinks": ("fluid_density",),
    "float-barely-floats": ("fluid_density",),
    "offset-exceeds-tolerance": ("fluid_density",),
    "design-density-mismatch": ("fluid_density",),
    "density-not-at-operating-conditions": ("fluid_density",),
    "fluid-boils-in-chamber": ("operating_temperature",),
    "float-wider-than-chamber": ("chamber_bore",),
    "float-lags": ("viscosity",),
    "viscosity-too-high": ("viscosity",),
    "float-pressure-exceeded": ("design_pressure",),
    "float-test-pressure-exceeded": ("test_pressure",),
    "float-temperature-exceeded": ("design_temperature",),
    "float-collapses": ("design_pressure",),
    "flange-rating-exceeded": ("flange_class",),
    "chamber-magnetic": ("chamber_material",),
    "range-exceeds-connections": ("visible_range", "urv"),
    "scale-zero-shifted": ("scale_zero",),
    "transmitter-outside-visible-range": ("urv",),
    "transmitter-range-mismatch": ("lrv",),
    "range-reversed": ("urv",),
    "current-inconsistent": ("stated_current",),
    "switch-order": ("switch_lsh",),
    "switch-outside-range": ("switch_lshh",),
    "switch-spacing-small": ("switch_lshh",),
    "serial-reused": ("float_serial",),
    "tracing-missing": ("freezing_point",),
    "tracing-underpowered": ("tracer_output",),
    "tracing-boils-fluid": ("maintain_temperature",),
    "tracing-too-hot": ("sheath_temperature",),
}
"""Rule -> the field whose cell it must name; the first that the row fills. Others name what was changed."""

LEANS_ON: Final[dict[str, tuple[str, ...]]] = {
    "float-data-conflict": ("float_max_pressure", "design_pressure"),
    "operating-exceeds-design": ("design_pressure", "design_temperature"),
    "interface-float-outside-fluids": ("service_type", "float_service"),
    "float-barely-floats": ("magnet_height",),
    "design-density-mismatch": ("float_mass",),
    "density-not-at-operating-conditions": ("float_mass", "magnet_height"),
    "viscosity-too-high": ("freezing_point", "minimum_ambient"),
    "range-exceeds-connections": ("lrv", "connection_distance"),
    "transmitter-outside-visible-range": ("connection_distance",),
    "transmitter-range-mismatch": ("visible_range",),
    "range-reversed": ("visible_range",),
    "current-inconsistent": ("visible_range",),
    "switch-order": ("switch_lsll", "switch_lshh"),
    "switch-spacing-small": ("visible_range",),
    "serial-mismatch": ("serial",),
    "tracing-underpowered": ("tracing",),
    "tracing-boils-fluid": ("tracing", "sheath_temperature", "chamber_diameter", "insulation_thickness"),
    "tracing-too-hot": ("tracing", "sheath_temperature"),
    "tracing-missing": ("freezing_point",),
    "number-as-text": ("stated_level", "lrv"),
    "result-stale": ("stated_level", "lrv"),
    "chamber-magnetic": ("flange_class",),
}
"""Rule -> fields of the sound gauge without which its example would be another one."""

OF_FORMULAS: Final = ("result-stale", "never-calculated", "function-refused", "formula-path")
TOGETHER: Final = ("tag-duplicate", "serial-reused")
"""Rules whose example is several rows that make one finding, at the last."""
ELSEWHERE: Final = (
    *("formula-overwritten", "row-hidden", "design-temperature-low", "alarm-outside-range", "chamber-colder"),
    *("stacked-gauges-gap", "float-top-heavy", "range-not-reachable", "interface-connection-outside"),
)
"""The first two are planted by the layout itself; for the others no layout has a column
(`tests.test_rule_limits`, `tests.test_further_rules`)."""


@dataclass(frozen=True)
class Fault:
    """Rows to add to a list, and what must be found."""

    slug: str
    rows: tuple[Mapping[str, Any], ...]
    found: tuple[tuple[int, str, str], ...]
    """(number of the row, rule, field) of each finding; none for an example that passes."""
    uses: frozenset[str]
    """Fields that must have a column."""

    @property
    def name(self) -> str:
        changed = sorted({name for row in self.rows for name in row})
        return f"{self.slug} ({', '.join(changed)})"

    def fits(self, style: Style) -> bool:
        """Whether a layout can hold it."""
        if not self.uses <= style.columns:
            return False
        tagged = any("tag" in row for row in self.rows)
        if style.pairs and self.slug == "unit-ambiguous":
            return False
        if tagged and (style.loops or style.tag not in ("plain", "area", "formula")):
            return False
        return _fits(self.slug, style, {name for row in self.rows for name in row})


def _fits(slug: str, style: Style, changed: set[str]) -> bool:
    match slug:
        case "tag-missing":
            return style.tag == "plain" and not style.vertical
        case "float-not-in-list":
            return style.sheets_apart
        case "float-data-conflict":
            return style.sheets_apart and not style.shared_floats
        case "never-calculated":
            return style.writer == "openpyxl"
        case _ if slug in OF_FORMULAS:
            return style.writer in ("xlsxwriter", "xlsm") and not style.formulas
        case "unit-ambiguous":
            return style.units["pressure_gauge"].name not in ("bar", "psi")
        case "number-as-text":
            in_cells = style.suffix == ".csv" and style.unit_place in (
                "cells",
                "mixed",
            )  # all commas are decimal
            return not (style.options.get("comma") or style.formulas or style.database or in_cells)
        case "tag-duplicate" | "serial-reused":
            return not style.vertical or slug == "tag-duplicate"
    by_formula = {"lrv", "urv", "stated_level", "stated_current"}
    return not (style.formulas and changed & by_formula)


def _needed(item: Any) -> Iterator[str]:
    """Fields that a rule needs; of alternatives, the one that the sound gauge has."""
    for need in item.needs:
        names = [need] if isinstance(need, str) else list(need)
        names = [stated_in(name) for name in names]
        yield from [name for name in names if name in SOUND][:1]


def _changed(row: Mapping[str, Any]) -> set[str]:
    return {name for name in row if not name.startswith("_")} | set(row.get("_index", ()))


def _uses(item: Any, rows: Iterable[Mapping[str, Any]]) -> frozenset[str]:
    changed = set().union(*map(_changed, rows))
    needed = set(_needed(item)) if not item.slug.startswith(("float-temperature", "tracing-too")) else set()
    return frozenset(changed | needed | set(LEANS_ON.get(item.slug, ())))


def _place(slug: str, row: Mapping[str, Any]) -> str:
    """The field at whose cell the finding must stand."""
    if slug not in PLACE:
        return next(iter(row))
    if slug == "operating-exceeds-design":
        return "operating_pressure" if "operating_pressure" in row else "operating_temperature"
    return next((name for name in PLACE[slug] if row.get(name, "") is not None), PLACE[slug][0])


@cache
def faults() -> tuple[Fault, ...]:
    """The examples of the rules on which they fire."""
    out = []
    for item in rules().values():
        if item.slug in ELSEWHERE:
            continue
        if item.slug in TOGETHER:
            last = len(item.firing) - 1
            found = ((last, item.slug, _place(item.slug, item.firing[-1])),)
            out.append(Fault(item.slug, item.firing, found, _uses(item, item.firing)))
            continue
        for row in item.firing:
            found = ((0, item.slug, _place(item.slug, row)),)
            out.append(Fault(item.slug, (row,), found, _uses(item, (row,))))
    return (*out, *OWN)


@cache
def near_misses() -> tuple[Fault, ...]:
    """The examples of the rules on which they stay silent."""
    return tuple(
        Fault(item.slug, (row,), (), _uses(item, (row,)))
        for item in rules().values()
        if item.slug not in (*ELSEWHERE, *OF_FORMULAS, *TOGETHER)
        for row in item.passing
        if "SG" not in str(row.get("fluid_density"))  # right in itself, but noted as text, or another fluid's
    )


def _own(slug: str, row: Mapping[str, Any], field: str, *uses: str) -> Fault:
    return Fault(slug, (row,), ((0, slug, field),), frozenset({*_changed(row), *uses}))


_GEOMETRY: Final = ("float_mass", "float_diameter", "float_length", "magnet_height")

OWN: Final = (
    _own("offset-exceeds-tolerance", {"fluid_density": "870 - 983 kg/m3", "fluid": "Blend 3"}, "fluid_density",
         *_GEOMETRY),
    _own("offset-exceeds-tolerance", {"float_mass": "385 g"}, "fluid_density", *_GEOMETRY),
    _own("float-pressure-exceeded", {"float_max_pressure": "9.5 - 12 barg"}, "design_pressure"),
    _own("float-temperature-exceeded", {"float_max_temperature": "115 degC"}, "design_temperature"),
    _own("value-implausible", {"visible_range": "-1000 mm"}, "visible_range"),
    _own("value-implausible", {"operating_pressure": "-2 barg"}, "operating_pressure"),
    _own("switch-outside-range", {"switch_lsll": "-20 mm"}, "switch_lsll", "visible_range", "switch_lsl"),
    _own("current-inconsistent", {"stated_level": "250 mm"}, "stated_current", "stated_current", "lrv", "urv"),
)  # fmt: skip
"""More than the rules' pages show."""
