"""The evidence of a finding: name, value, unit, and the cell in which it stands."""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan
from typing import TYPE_CHECKING, Any, Final

from xlfuncs.data import load

if TYPE_CHECKING:
    from xlfuncs.audit.gauges import Gauges
    from xlfuncs.audit.registry import Hit

ENDINGS: Final = (
    ("_kg_m3", "kg/m3", "density"), ("_g_cm3", "g/cm3", "density"), ("_mm_s", "mm/s", "velocity"),
    ("_m_s", "m/s", "velocity"), ("_w_m_k", "W/m/K", "conductivity"), ("_w_mk", "W/m/K", "conductivity"),
    ("_w_m", "W/m", "power_per_length"), ("_mpa_s", "mPa.s", "dynamic_viscosity"),
    ("_mpas", "mPa.s", "dynamic_viscosity"), ("_n_m", "N/m", "stiffness"),
    ("_mm2_s", "mm2/s", "kinematic_viscosity"), ("_percent", "%", "percent"),
    ("_barg", "barg", "pressure_gauge"), ("_bara", "bara", "pressure_absolute"),
    ("_bar", "bar", "pressure_difference"), ("_mbar", "mbar", "pressure_difference"),
    ("_kpa", "kPa", "pressure_difference"), ("_mpa", "MPa", "pressure_difference"),
    ("_pa", "Pa", "pressure_difference"), ("_psi", "psi", "pressure_difference"),
    ("_degc", "degC", "temperature"), ("_k", "K", "temperature_difference"), ("_mm", "mm", "length"),
    ("_cm3", "cm3", ""), ("_m", "m", "length"), ("_kg", "kg", "mass"), ("_g", "g", "mass"),
    ("_ma", "mA", "current"), ("_ohm", "ohm", "resistance"), ("_sg", "SG", "density"), ("_s", "s", "time"),
    ("_w", "W", ""), ("_n", "N", "force"), ("_v", "V", "voltage"),
)  # fmt: skip
"""Ending of an evidence name, longest first; its unit; the quantity, "" where no sheet has a unit of it."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """One thing that proves a finding."""

    name: str
    """`reading_offset`, without its unit."""
    value: float | str
    unit: str = ""
    sheet: str = ""
    cell: str = ""
    """Where it stands; "" where it was computed."""

    def to_dict(self) -> dict[str, Any]:
        """The stable JSON form."""
        return {name: getattr(self, name) for name in self.__dataclass_fields__}


def split(name: str) -> tuple[str, str, str]:
    """(name, unit, quantity) of a name that ends in its unit.

    >>> split("reading_offset_mm"), split("material")
    (('reading_offset', 'mm', 'length'), ('material', '', ''))
    """
    lower = name.lower()
    for ending, unit, quantity in ENDINGS:
        if lower.endswith(ending) and len(lower) > len(ending):
            return name[: -len(ending)], unit, quantity
    return name, "", ""


DENSITIES: Final = ("fluid_density", "fluid_density_min", "fluid_density_max")
_JUDGED: Final = ("set_point", "level", "room", "noted_serial")
"""Names of evidence for the value at the finding's own cell."""
_ALSO: Final = {
    "density": DENSITIES,
    "stated_density": DENSITIES,
    "lower_density": DENSITIES,
    "design_density": ("float_design_density",),
    "gauge_serial": ("serial",),
    "material": ("chamber_material", "flange_material"),
    "centre_of_gravity": ("float_centre_of_gravity",),
}
"""Names of evidence -> the fields in one of which it stands, where the name is no field's."""


def evidence_of(gauges: Gauges, hit: Hit) -> tuple[Evidence, ...]:
    """The evidence of one place where a rule fired; a number that the sheet does not state is left out."""
    out = []
    for name, value in hit.evidence.items():
        if isinstance(value, float):
            if isnan(value):
                continue
            value = round(value, 6) + 0.0
        plain, unit, _ = split(name) if isinstance(value, int | float) else (name, "", "")
        out.append(Evidence(plain, value, unit, *_place(gauges, hit, plain, value)))
    return tuple(out)


def _place(gauges: Gauges, hit: Hit, name: str, value: float | str) -> tuple[str, str]:
    """Sheet and cell of an evidence; "" for one that no cell states."""
    if hit.record < 0:
        return "", ""
    names = (name,) if name in load("fields") else _ALSO.get(name, ())
    if name in _JUDGED:
        names = (hit.field,)
    stated = [field for field in names if gauges.given(field)[hit.record]]
    if len(stated) > 1 and not isinstance(value, str):
        stated = [field for field in stated if _states(gauges, hit.record, field, value)]
    elif isinstance(value, str):
        stated = [field for field in stated if str(gauges.texts(field)[hit.record]) == value]
    return gauges.place(hit.record, stated[0]) if stated else ("", "")


def _states(gauges: Gauges, record: int, field: str, value: float) -> bool:
    """Whether a density of a gauge, or an end of it, is this one."""
    column = gauges.column(field)
    return any(abs(float(end[record]) - value) <= 1e-6 for end in (column.low, column.high))
