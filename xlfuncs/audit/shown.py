"""Numbers of a calculation as a person reads them: in the units of the workbook, beside ours."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Final

from xlfuncs.audit.measure import Measure
from xlfuncs.units import Converter, UnitError, converter

if TYPE_CHECKING:
    from xlfuncs.audit.gauges import Gauges
    from xlfuncs.lists.model import Column

SHOWN = {
    "m": (1e-3, 0.0, "mm"),
    "kg": (1e-3, 0.0, "g"),
    "A": (1e-3, 0.0, "mA"),
    "K": (1.0, 273.15, "degC"),
    "K difference": (1.0, 0.0, "K"),
    "Pa": (1e5, 0.0, "barg"),
    "Pa.s": (1e-3, 0.0, "mPa.s"),
    "Pa difference": (1e5, 0.0, "bar"),
    "Pa stress": (1e6, 0.0, "MPa"),
    "1/K": (1e-6, 0.0, "1e-6/K"),
    "m2": (1e-4, 0.0, "cm2"),
    "m3": (1e-6, 0.0, "cm3"),
}
"""SI unit -> size, zero and name of the unit in which a person reads it."""

ROUNDED: Final = 1e-12
"""What is left of a zero when its unit was converted, over the numbers that were subtracted."""
_QUANTITIES: Final = {
    "kg/m3": ("density", ""),
    "m": ("length", ""),
    "kg": ("mass", ""),
    "K": ("temperature", ""),
    "K difference": ("temperature", "temperature_difference"),
    "Pa": ("pressure_gauge", ""),
    "Pa difference": ("pressure_gauge", "pressure_difference"),
    "Pa.s": ("dynamic_viscosity", ""),
    "W/m": ("power_per_length", ""),
}
"""Unit of a number -> the quantity whose columns say how it is read; its own quantity, where another."""


def shown(number: float, unit: str) -> str:
    """An SI number as a person reads it.

    >>> shown(0.0184, "m"), shown(850.0, "kg/m3"), shown(0.25, "")
    ('18.4 mm', '850 kg/m3', '0.25')
    """
    size, zero, name = SHOWN.get(unit, (1.0, 0.0, unit))
    value = (number - zero) / size
    if abs(value) < ROUNDED * max(abs(number), abs(zero)) / size:  # 273.15 K is 0 degC, not 5.7e-14
        value = 0.0
    return f"{_digits(value)} {name}".strip()


def small(gauges: Gauges, record: int, metres: float) -> str:
    """A gap or an offset in the unit of the book, as finely as matters: '12.3 mm', '0.48 in'."""
    return f"{metres / INCH:.2f} in" if gauges.in_inches(record) else f"{metres * 1e3:.1f} mm"


def inches_beside(gauges: Gauges, record: int, said: str, metres: float, decimals: int = 2) -> str:
    """A length that is said in millimetres, with the inches where the book has them: '17.0 mm (0.67 in)'.

    What is within a tolerance or beyond it stays in millimetres in every book, as the settings state it.
    """
    sign = "+" if said.startswith(("+", "-")) else ""
    return f"{said} ({metres / INCH:{sign}.{decimals}f} in)" if gauges.in_inches(record) else said


INCH: Final = 0.0254


def _digits(value: float) -> str:
    """Five digits, and whole from ten thousand on."""
    return f"{value:.0f}" if abs(value) >= 10000 else f"{value:.5g}"


class Units:
    """The units in which the workbook of a gauge speaks."""

    def __init__(self, gauges: Gauges, record: int) -> None:
        self._gauges = gauges
        self._record = record

    def say(self, number: float, unit: str) -> str:
        """An SI number in the unit that the workbook uses for such; in ours where it has none.

        A length and a difference of temperatures in both: findings say them in millimetres and kelvins.
        """
        return self.both(number, unit) if unit in ("m", "K difference") else self._say(number, unit)

    def _say(self, number: float, unit: str) -> str:
        known = self._known.get(unit)
        if known is None:
            return shown(number, unit)
        value = float(known.from_si(number))
        value = 0.0 if abs(value) * known.scale < ROUNDED * abs(number) else value
        return f"{_digits(value)} {known.unit}"

    def both(self, number: float, unit: str) -> str:
        """The same beside our own unit, in which settings and sources state it."""
        ours, theirs = shown(number, unit), self._say(number, unit)
        return ours if theirs.split()[-1] == ours.split()[-1] else f"{ours} ({theirs})"

    def stated(self, column: Column, record: int, quantity: str, number: float) -> str:
        """A cell's number in the unit of the cell, and the text of which it was read."""
        from xlfuncs.audit.gauges import DISPLAY_UNITS

        raw, unit = column.raw[record], str(column.unit[record]) or DISPLAY_UNITS[quantity]
        try:
            known = converter(unit, quantity, assume=True)
        except UnitError:
            unit, known = DISPLAY_UNITS[quantity], converter(DISPLAY_UNITS[quantity], quantity)
        said = str(Measure(float(known.from_si(number)), unit))
        text = " ".join(raw.split()) if isinstance(raw, str) else ""
        return said if text.casefold() in ("", said.casefold(), said.split()[0]) else f"{said}, from '{text}'"

    @cached_property
    def _known(self) -> dict[str, Converter]:
        """Unit of a number -> the converter to that of the workbook, where it is another than ours."""
        from xlfuncs.audit.gauges import FINE

        found = {}
        for unit, (quantity, own) in _QUANTITIES.items():
            theirs = self._gauges.usual_unit(self._record, quantity)
            theirs = FINE.get(theirs, theirs)
            if own:
                theirs = "K" if theirs == "degC" else theirs.removesuffix("g") if "bar" in theirs else theirs
                theirs = "psi" if theirs in ("psig", "psia") else theirs
            try:
                known = converter(theirs, own or quantity, assume=True) if theirs else None
            except UnitError:
                continue
            if type(known) is Converter and known.scale > 0:
                found[unit] = known
        return found
