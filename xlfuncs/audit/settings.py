"""The thresholds of the audit. Every report prints those it used; a TOML file changes them."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field, fields, replace
from pathlib import Path
from typing import Any

from xlfuncs.errors import XlfuncsError

_CP = "common practice, no source"


def _setting(
    default: float, unit: str, meaning: str, low: float = 0.0, high: float = 1e6, source: str = _CP
) -> Any:
    """A number from `low` to `high`."""
    details = {"unit": unit, "meaning": meaning, "source": source, "low": low, "high": high}
    return field(default=default, metadata=details)


@dataclass(frozen=True, slots=True)
class Settings:
    """One audit's thresholds; the unit is part of each name."""

    offset_tolerance_mm: float = _setting(10.0, "mm", "permitted reading offset, either way")
    float_reserve_minimum: float = _setting(
        0.10, "", "share of the float that must stay above the surface", high=0.9
    )
    design_density_tolerance: float = _setting(
        0.05, "", "permitted deviation of design density from the fluid's", high=1.0
    )
    interface_liquid_from_kg_m3: float = _setting(
        300.0,
        "kg/m3",
        "density from which an upper fluid counts as a liquid",
    )
    interface_gap_minimum_kg_m3: float = _setting(50.0, "kg/m3", "least density difference of an interface")
    density_order_tolerance: float = _setting(
        0.005, "", "how far a density may lie outside its stated range", high=1.0
    )
    float_data_tolerance: float = _setting(
        0.01, "", "difference up to which two statements of a float agree", high=1.0
    )
    density_deviation: float = _setting(
        0.03, "", "permitted deviation of stated from reference density", high=1.0
    )
    boiling_margin_k: float = _setting(5.0, "K", "least distance of operating temperature from saturation")
    hot_vessel_c: float = _setting(
        150.0, "degC", "operating temperature from which the chamber's is asked for", -270.0
    )
    level_rate_mm_s: float = _setting(10.0, "mm/s", "rate of level change where none is stated", low=1e-3)
    viscosity_limit_mpas: float = _setting(200.0, "mPa.s", "viscosity up to which a float moves untraced")
    safety_factor: float = _setting(3.0, "", "collapse pressure over permitted pressure", 1.0, 100.0)
    test_pressure_factor: float = _setting(
        1.0, "", "test pressure over design pressure where the sheet states no code", 1.0, 3.0
    )
    transmitter_outside_mm: float = _setting(
        1.0, "mm", "how far LRV or URV may lie outside the visible range"
    )
    transmitter_mismatch_mm: float = _setting(
        5.0, "mm", "how far LRV or URV may lie inside the visible range"
    )
    travel_missing_mm: float = _setting(
        1.0, "mm", "how far the float may stop short of an end of the visible range"
    )
    stacked_overlap_mm: float = _setting(
        25.0, "mm", "least overlap of the visible ranges of gauges above each other", -1e4
    )
    stacked_density_deviation: float = _setting(
        0.03, "", "difference up to which gauges of one vessel agree in density", high=1.0
    )
    cryogenic_below_c: float = _setting(
        -50.0, "degC", "temperature below which ice on the gauge hides it without a frost extension", -270.0
    )
    current_tolerance_ma: float = _setting(0.05, "mA", "permitted deviation of a stated current")
    switch_spacing_mm: float = _setting(25.0, "mm", "least distance of neighbouring set points")
    freezing_margin_k: float = _setting(10.0, "K", "distance kept from pour or freezing point")
    tracing_margin: float = _setting(1.2, "", "tracer output over heat loss", 1.0, 10.0)
    wind_m_s: float = _setting(10.0, "m/s", "wind speed taken for the heat loss", high=100.0)
    emissivity: float = _setting(0.9, "", "emissivity of the jacket taken for the heat loss", high=1.0)
    insulation_conductivity_w_mk: float = _setting(
        0.04, "W/m/K", "conductivity of the insulation where none is stated", 1e-3, 10.0
    )
    ignore: tuple[str, ...] = field(
        default=(), metadata={"unit": "", "meaning": "rules left out", "source": ""}
    )

    def to_dict(self) -> dict[str, Any]:
        """Name -> value, as a report prints it."""
        return {f.name: list(v) if isinstance(v := getattr(self, f.name), tuple) else v for f in fields(self)}


def describe() -> list[tuple[str, Any, str, str]]:
    """(name, default, meaning, source) of each setting."""
    return [(f.name, f.default, f.metadata["meaning"], f.metadata["source"]) for f in fields(Settings)]


def setting_source(name: str) -> tuple[str, str]:
    """(meaning, source) of a setting."""
    details = next(f.metadata for f in fields(Settings) if f.name == name)
    return str(details["meaning"]), str(details["source"])


def read_settings(path: Path, base: Settings | None = None) -> tuple[Settings, dict[str, Any]]:
    """Settings from a TOML file, and the tables in it (`columns`, `accept`), which belong to others.

    XlfuncsError names the file, the key and what would be right.
    """
    try:
        content = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise XlfuncsError(f"settings file {path} does not exist") from None
    except (OSError, UnicodeDecodeError) as why:
        raise XlfuncsError(f"settings file {path} cannot be read: {why}") from None
    except tomllib.TOMLDecodeError as why:
        raise XlfuncsError(f"settings file {path} is not valid TOML: {why}") from None
    known = {f.name for f in fields(Settings)}
    tables = {k: v for k, v in content.items() if isinstance(v, (dict, list)) and k not in known}
    values = {k: v for k, v in content.items() if k not in tables}
    columns = tables.get("columns", content.get("columns", {}))
    if not isinstance(columns, dict) or not all(isinstance(v, str) and v.strip() for v in columns.values()):
        raise XlfuncsError(
            f'settings file {path}: write [columns] with one text for each field, fluid_density = "Spec wt"'
        )
    return checked(values, base or Settings(), str(path)), tables


def checked(values: dict[str, Any], base: Settings, origin: str) -> Settings:
    """`base` with `values`, each checked; `origin` is named in the error."""
    known = {f.name: f for f in fields(Settings)}
    for name, value in values.items():
        if name not in known:
            raise XlfuncsError(f"{origin}: there is no setting '{name}'; settings are {', '.join(known)}")
        if name == "ignore":
            if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
                raise XlfuncsError(f"{origin}: ignore must be a list of rule names, e.g. ['number-as-text']")
        else:
            low, high = known[name].metadata["low"], known[name].metadata["high"]
            if isinstance(value, bool) or not isinstance(value, (int, float)) or not low <= value <= high:
                raise XlfuncsError(
                    f"{origin}: {name} must be a number from {low:.7g} to {high:.7g}, not {value!r}"
                )
    numbers = {k: tuple(v) if k == "ignore" else float(v) for k, v in values.items()}
    return replace(base, **numbers)  # type: ignore[arg-type]
