"""A long index: any number of gauges in 40 columns, sound but for the faults planted in it."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import xlsxwriter

HEADINGS = (
    "Item", "Tag No.", "P&ID No.", "Line No.", "Service", "Fluid", "Level / Interface", "Gauge Serial No.",
    "Float Part No.", "Float Serial No.", "Operating Density (kg/m3)", "Vapour Density (kg/m3)",
    "Operating Temperature (degC)", "Operating Pressure (barg)", "Design Temperature (degC)",
    "Design Pressure (barg)", "Viscosity (mPa.s)", "Freezing Point (degC)", "Min. Ambient Temperature (degC)",
    "Float Weight (g)", "Float OD (mm)", "Float Length (mm)", "Magnet Height (mm)",
    "Float Max. Pressure (barg)", "Float Max. Temperature (degC)", "Chamber Bore (mm)", "Chamber Material",
    "Flange Class", "Centre to Centre (mm)", "Visible Range (mm)", "LRV (mm)", "URV (mm)", "LSL (mm)",
    "LSH (mm)", "Heat Tracing", "Supplier", "Model No.", "Delivery", "Rev.", "Remarks",
)  # fmt: skip

FLUIDS = {"Water": (10, 150, 0), "Toluene": (0, 140, -95), "n-Hexane": (0, 90, -95), "Acetone": (0, 80, -95)}
"""Pure fluid -> lowest and highest operating temperature, freezing point [degC] (Toluene's and those
below it from memory, rounded)."""

EVERY = 500
"""One row in so many holds a fault."""


@dataclass
class Large:
    """What was written."""

    path: Path
    rows: int
    planted: set[tuple[str, str]] = field(default_factory=set)
    """(rule, cell) of each fault."""


def _saturated(name: str, kelvin: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Density of liquid and vapour, and pressure 8 K above, of the saturated fluid (CoolProp)."""
    from CoolProp.CoolProp import PropsSI

    return (
        np.asarray(PropsSI("D", "T", kelvin, "Q", np.zeros(len(kelvin)), name)),
        np.asarray(PropsSI("D", "T", kelvin, "Q", np.ones(len(kelvin)), name)),
        np.asarray(PropsSI("P", "T", kelvin + 8.0, "Q", np.zeros(len(kelvin)), name)),
    )


def write_large(path: Path, rows: int, seed: int = 1) -> Large:
    """Write an index of `rows` gauges."""
    columns = _columns(rows, np.random.default_rng(seed))
    large = Large(path, rows)
    _plant(columns, large)
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Index")
        sheet.write_row(0, 0, HEADINGS)
        for number, values in enumerate(columns.values()):
            sheet.write_column(1, number, values)
    return large


def _columns(n: int, rng: np.random.Generator) -> dict[str, list[Any]]:
    names = np.array([*FLUIDS, "Blend"])
    fluid = names[rng.choice(len(names), n, p=[0.3, 0.1, 0.1, 0.1, 0.4])]
    celsius = np.zeros(n)
    liquid, vapour = np.zeros(n), np.zeros(n)
    freezing, gauge = np.zeros(n), np.zeros(n)
    for name in names:
        here = fluid == name
        count = int(here.sum())
        if name == "Blend":
            celsius[here] = rng.integers(10, 180, count)
            liquid[here] = np.round(rng.uniform(620, 1150, count), 1)
            vapour[here] = np.round(rng.uniform(0, 12, count), 1)
            gauge[here], freezing[here] = np.round(rng.uniform(1, 18, count), 1), -60
            continue
        low, high, frozen = FLUIDS[name]
        grid = np.arange(low, high + 1.0)
        pick = rng.integers(0, len(grid), count)
        states = _saturated(name, grid + 273.15)
        celsius[here] = grid[pick]
        liquid[here], vapour[here] = np.round(states[0][pick], 1), np.round(states[1][pick], 1)
        boiling = np.maximum(states[2][pick] / 1e5 - 1.01325, 0.0)
        gauge[here] = np.round(boiling + rng.uniform(0.2, 3, count), 1)
        freezing[here] = frozen
    length = rng.choice([200.0, 250.0, 300.0], n)
    magnet = np.round(length * rng.uniform(0.68, 0.78, n))
    area = np.pi / 4 * 0.05**2
    mass = np.round(area * (liquid * magnet + vapour * (length - magnet)), 1)
    span = rng.choice([500.0, 800.0, 1000.0, 1500.0, 2000.0], n)
    design = np.round(np.maximum(gauge * 1.1, gauge + 1.0), 1)
    number = np.arange(n)

    def text(pattern: str, values: Any) -> list[str]:
        return [pattern.format(value) for value in values.tolist()]

    return dict(
        zip(
            HEADINGS,
            (
                (number + 1).tolist(),
                text("LG-{}", 100000 + number),
                text("PID-{:03d}", number % 300),
                text('2"-P-{}-A1', 1000 + number % 5000),
                text("Drum V-{}", number % 3000),
                [f"Blend {i % 90}" if name == "Blend" else name for i, name in enumerate(fluid.tolist())],
                ["level"] * n,
                text("QX-{}", 500000 + number),
                text("ZF-{:03d}A", rng.integers(0, 400, n)),
                text("F-{}", 700000 + number),
                liquid.tolist(),
                vapour.tolist(),
                celsius.tolist(),
                gauge.tolist(),
                (celsius + 20).tolist(),
                design.tolist(),
                np.round(rng.uniform(0.2, 4, n), 2).tolist(),
                freezing.tolist(),
                [-20] * n,
                mass.tolist(),
                [50] * n,
                length.tolist(),
                magnet.tolist(),
                [40] * n,
                [250] * n,
                [60] * n,
                ["316L"] * n,
                ["300"] * n,
                span.tolist(),
                span.tolist(),
                [0] * n,
                span.tolist(),
                (span * 0.2).tolist(),
                (span * 0.8).tolist(),
                np.where(freezing > -31, "electric", "none").tolist(),
                text("Supplier {}", number % 7),
                text("MG-{}", number % 40),
                text("{} weeks", 8 + number % 9),
                (number % 4).tolist(),
                ["hold for vessel data" if i % 11 == 0 else "" for i in range(n)],
            ),
            strict=True,
        )
    )


def _plant(columns: dict[str, list[Any]], large: Large) -> None:
    for row in range(7, large.rows, EVERY):
        kind = row // EVERY % 4
        if kind == 0:
            heading, rule = "URV (mm)", "transmitter-outside-visible-range"
            columns[heading][row] += 150
        elif kind == 1:
            heading, rule = "Float Max. Pressure (barg)", "float-pressure-exceeded"
            columns[heading][row] = columns["Design Pressure (barg)"][row] - 0.5
            heading = "Design Pressure (barg)"
        elif kind == 2:
            heading, rule = "Tag No.", "tag-duplicate"
            columns[heading][row] = columns[heading][row - 1]
        else:
            heading, rule = "LSL (mm)", "switch-order"
            columns[heading][row], columns["LSH (mm)"][row] = columns["LSH (mm)"][row], columns[heading][row]
            heading = "LSH (mm)"
        column = HEADINGS.index(heading)
        large.planted.add((rule, f"{_letters(column)}{row + 2}"))


def _letters(index: int) -> str:
    return (chr(64 + index // 26) if index >= 26 else "") + chr(65 + index % 26)
