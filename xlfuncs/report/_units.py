"""The units that the audited workbook itself uses, for figures and questions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from xlfuncs.audit.gauges import DISPLAY_UNITS
from xlfuncs.audit.model import AuditResult
from xlfuncs.data import load
from xlfuncs.report._words import number
from xlfuncs.units import UnitError, converter

# Units of lengths as of a plant, too coarse for a float.
_COARSE = ("m", "ft", "yd", "km")

# Quantity -> unit in which the data of a figure are given.
BASE = {
    "length": "mm", "mass": "kg", "density": "kg/m3", "pressure_gauge": "barg", "temperature": "degC",
    "dynamic_viscosity": "mPa.s",
}  # fmt: skip


def usual(result: AuditResult) -> dict[str, str]:
    """Quantity -> the unit that most columns of the workbook have for it."""
    fields = load("fields")
    counts: dict[str, Counter[str]] = {}
    for columns in result.units.values():
        for name, unit in columns.items():
            quantity = fields.get(name, {}).get("quantity", "")
            if quantity and unit not in _COARSE:
                counts.setdefault(quantity, Counter())[unit] += 1
    return {quantity: count.most_common(1)[0][0] for quantity, count in counts.items()}


def asked(field: str, result: AuditResult | None = None) -> str:
    """The unit in which to ask for a field: its column's, else one that the workbook uses, else ours."""
    spec = load("fields")[field]
    if result is not None:
        own = next((columns[field] for columns in result.units.values() if field in columns), "")
        if unit := own or usual(result).get(spec["quantity"], ""):
            return unit
    return str(spec.get("unit") or DISPLAY_UNITS.get(spec["quantity"], "state the unit"))


class Scale:
    """Shows numbers of a figure in a unit of the workbook."""

    def __init__(self, quantity: str, unit: str) -> None:
        self._base = converter(BASE[quantity], quantity)
        self._shown = _converter(unit, quantity) or self._base
        self.unit: str = self._shown.unit

    def __call__(self, value: Any) -> Any:
        """The number, or each number of an array."""
        return value if self._shown == self._base else self._shown.from_si(self._base.to_si(value))

    def text(self, value: float) -> str:
        """With its unit; millimetres to a tenth."""
        if self.unit == "mm":
            return f"{value:.1f}".removesuffix(".0") + " mm"
        return f"{number(float(self(value)))} {self.unit}"


@cache
def _converter(unit: str, quantity: str) -> Any:
    """None for what is no unit of the quantity, and for scales that fall where the quantity rises."""
    try:
        found = converter(unit, quantity, assume=True) if unit else None
    except UnitError:
        return None
    return found if found is not None and found.rising else None


def scale(gauge: Mapping[str, Any], quantity: str) -> Scale:
    """The scale for a gauge's figures; `units` of the gauge: quantity -> unit."""
    return _scale(quantity, str((gauge.get("units") or {}).get(quantity, "")))


_scale: Callable[[str, str], Scale] = cache(Scale)
