"""The sound gauge from which the rules' examples differ: nothing fires on it.

`explain`, the tests and the demo workbooks are made from it. The plant and the float are invented.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

SOUND: dict[str, Any] = {
    "tag": "LG-1000",
    "service": "Feed drum V-10",
    "service_type": "level",
    "fluid": "Water",
    "serial": "QX-50100",
    "float_part": "ZF-250A",
    "float_serial": "F-7100",
    "fluid_density": "983.2 kg/m3",
    "upper_density": "3 kg/m3",
    "operating_temperature": "60 degC",
    "operating_pressure": "5 barg",
    "design_temperature": "120 degC",
    "design_pressure": "10 barg",
    "test_pressure": "15 barg",
    "viscosity": "0.466 mPa.s",
    "level_rate": "5 mm/s",
    "float_mass": "350 g",
    "float_diameter": "50 mm",
    "float_length": "250 mm",
    "float_ends": "flat",
    "magnet_height": "181 mm",
    "float_design_density": "983 kg/m3",
    "float_max_pressure": "40 barg",
    "float_max_temperature": "200 degC",
    "float_service": "level",
    "float_wall": "0.9 mm",
    "float_material": "316L",
    "magnet_max_temperature": "250 degC",
    "chamber_bore": "60 mm",
    "chamber_diameter": "66 mm",
    "chamber_material": "316L",
    "flange_class": "150",
    "material_group": "2.3",
    "connection_distance": "1000 mm",
    "visible_range": "1000 mm",
    "lrv": "0 mm",
    "urv": "1000 mm",
    "stated_level": "500 mm",
    "stated_current": "12 mA",
    "switch_lsll": "50 mm",
    "switch_lsl": "150 mm",
    "switch_lsh": "850 mm",
    "switch_lshh": "950 mm",
    "freezing_point": "0 degC",
    "minimum_ambient": "-20 degC",
    "tracing": "electric",
    "tracer_output": "40 W/m",
    "maintain_temperature": "20 degC",
    "sheath_temperature": "90 degC",
    "temperature_class": "T4",
    "transmitter_max_temperature": "120 degC",
    "insulation_thickness": "40 mm",
}
"""Field -> cell, as text with its unit; layouts write it in their own unit."""


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula in an example's cell, with the value that the file keeps for it."""

    text: str
    kept: float | str | None
    """A `CellError` of `spreadsheet.formula` for an error value."""

    def __str__(self) -> str:
        return f"{self.text} keeping {self.kept}" if self.kept is not None else f"{self.text} without a value"


@dataclass(frozen=True, slots=True)
class Unclear:
    """A value of an example under a heading that may be one or another field's."""

    heading: str
    text: str

    def __str__(self) -> str:
        return f"{self.text} under '{self.heading}'"


@dataclass(frozen=True, slots=True)
class CellError:
    """An error value in an example's cell."""

    code: str

    def __str__(self) -> str:
        return self.code
