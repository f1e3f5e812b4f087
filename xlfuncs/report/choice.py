"""The choice of a float for a terminal and as JSON."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, TextIO

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from xlfuncs.gauge.choice import Candidate, Duty, barg, celsius, kg, mm, percent
from xlfuncs.gauge.sizing import Sized
from xlfuncs.report import _words as words
from xlfuncs.report.text import Item, banner, terminal

SCHEMA = 1

CAUTIONS = (
    "A check of the stated data, no more: the maker's manual, local codes and a licensed engineer decide.",
    "Take the float out of the chamber before a hydrostatic test above its limit.",
)


@dataclass(frozen=True)
class Chosen:
    """What was asked and what was found."""

    floats: str
    """The file."""
    duty: Duty
    candidates: list[Candidate]
    proposals: list[Sized]
    """Floats that would do, or why none would; empty where a listed one fits."""
    notes: list[str] = field(default_factory=list)

    @property
    def fitting(self) -> list[Candidate]:
        return [item for item in self.candidates if item.status == "fits"]


# --- JSON -------------------------------------------------------------------------------------------


def number_of(value: float, scale: float = 1.0, offset: float = 0.0) -> float | None:
    """In the unit of the key, to 9 digits; None where it is not known, or without end."""
    return float(f"{value * scale + offset:.9g}") if math.isfinite(value) else None


def to_json(chosen: Chosen) -> str:
    """One JSON object; units are part of the names, null is what is not known (or has no upper end)."""
    duty = chosen.duty
    return json.dumps(
        {
            "schema": SCHEMA,
            "floats": chosen.floats,
            "duty": {
                "service": "interface" if duty.interface else "level",
                "conditions": [
                    {
                        "name": c.name,
                        "operating": c.operating,
                        "lower_density_kg_m3": number_of(c.lower_density),
                        "upper_density_kg_m3": number_of(c.upper_density),
                        "viscosity_mpas": number_of(c.viscosity, 1e3),
                    }
                    for c in duty.conditions
                ],
                "design_pressure_barg": number_of(duty.design_pressure, 1e-5),
                "design_temperature_degC": number_of(duty.design_temperature, 1, -273.15),
                "lowest_temperature_degC": number_of(duty.lowest_temperature, 1, -273.15),
                "tolerance_mm": number_of(duty.tolerance, 1e3),
                "minimum_reserve": number_of(duty.minimum_reserve),
                "chamber_bore_mm": number_of(duty.chamber_bore, 1e3),
                "level_rate_mm_s": number_of(duty.level_rate, 1e3),
                "safety_factor": number_of(duty.safety_factor),
            },
            "candidates": [_candidate(item) for item in chosen.candidates],
            "proposals": [_proposal(item) for item in chosen.proposals],
            "notes": chosen.notes,
        },
        ensure_ascii=False,
        indent=1,
    )


def _candidate(item: Candidate) -> dict[str, Any]:
    return {
        "part": item.part,
        "status": item.status,
        "rank": item.rank,
        "reasons": list(item.reasons),
        "remarks": list(item.remarks),
        "offset_mm": {name: number_of(value, 1e3) for name, value in item.offsets.items()},
        "share_above_surface": {name: number_of(value) for name, value in item.shares.items()},
        "density_window_kg_m3": [number_of(end) for end in item.window],
        "mean_density_kg_m3": number_of(item.mean_density),
        "pressure_limit_barg": number_of(item.pressure_limit, 1e-5),
        "pressure_margin_bar": number_of(item.pressure_margin, 1e-5),
        "temperature_limit_degC": number_of(item.temperature_limit, 1, -273.15),
        "temperature_margin_k": number_of(item.temperature_margin),
        "movement_mm": number_of(item.movement, 1e3),
        "worst_reading_mm": [number_of(end, 1e3) for end in item.reading],
    }


def _proposal(item: Sized) -> dict[str, Any]:
    return {
        "exists": not item.reason,
        "reason": item.reason,
        "diameter_mm": number_of(item.body.diameter, 1e3),
        "material": item.body.material,
        "ends": item.body.ends,
        "length_mm": number_of(item.length, 1e3),
        "possible_up_to_mm": number_of(item.longest, 1e3),
        "wall_mm": number_of(item.wall, 1e3),
        "flat_end_mm": number_of(item.end_wall, 1e3),
        "mass_g": number_of(item.mass, 1e3),
        "metal_mass_g": number_of(item.metal_mass, 1e3),
        "inside_mass_g": number_of(item.body.magnets, 1e3),
        "ballast_g": number_of(item.ballast_mass, 1e3),
        "metacentric_height_mm": number_of(item.metacentric_height, 1e3),
        "magnet_height_mm": number_of(item.magnet_height, 1e3),
        "permitted_pressure_barg": number_of(item.permitted_pressure, 1e-5),
        "at_temperature_degC": number_of(item.temperature, 1, -273.15),
    }


# --- terminal ---------------------------------------------------------------------------------------


def print_choice(chosen: Chosen, stream: TextIO) -> None:
    """The floats that fit as a table, the others with their reasons, and what would fit."""
    console = terminal(stream)
    for part in _report(chosen):
        console.print(part)


def _report(chosen: Chosen) -> Iterable[RenderableType]:
    count, fitting = len(chosen.candidates), chosen.fitting
    yield Item(Text(words.one_line(chosen.floats), style="bold"), 0)
    yield Item(_duty(chosen.duty), 0)
    found = f"{len(fitting)} of {words.plural(count, 'float')} fit"
    yield Item(Text(f"{found}{'s' if len(fitting) == 1 else ''}", style="bold"), 0)
    if fitting:
        yield Text()
        yield _table(chosen, fitting)
        for item in fitting:
            for remark in item.remarks:
                yield Item(f"{item.part}: {words.one_line(remark)}")
    yield from _others(chosen)
    if chosen.proposals:
        yield from banner("Floats that would do")
        good = [item for item in chosen.proposals if not item.reason]
        for proposal in good or chosen.proposals:
            yield Item(_proposed(proposal))
        others = len(chosen.proposals) - len(good)
        if good and others:
            yield Item(f"{words.plural(others, 'other build')} would not: --json says why")
    if chosen.notes:
        yield from banner("Notes")
        yield from (Item(words.one_line(note)) for note in chosen.notes)
    yield from banner("Cautions")
    yield from (Item(text) for text in CAUTIONS)


def _others(chosen: Chosen) -> Iterable[RenderableType]:
    """The floats that do not fit; those that do not even float are only counted up."""
    lost: dict[str, list[Candidate]] = {}
    for status, title in (("not judged", "Not judged, for want of data"), ("rejected", "Rejected")):
        others = [item for item in chosen.candidates if item.status == status]
        if others:
            yield from banner(title)
        for item in others:
            word = next((w for w in ("sinks", "rises") if any(r.startswith(w) for r in item.reasons)), "")
            if word:
                lost.setdefault(word, []).append(item)
                continue
            why = "; ".join(reason.removeprefix("not judged: ") for reason in item.reasons)
            yield Item(Text.assemble((words.one_line(item.part), "bold"), f"  {words.one_line(why)}"))
    for word, what in (("sinks", "Sink"), ("rises", "Rise into the upper fluid")):
        found = sorted(lost.get(word, ()), key=lambda item: item.mean_density)
        listed = ", ".join(f"{words.one_line(item.part)} ({item.mean_density:.5g})" for item in found)
        if found:
            yield Item(Text.assemble((what, "bold"), f", by their mean density in kg/m3: {listed}"))


def _duty(duty: Duty) -> str:
    at = [c for c in duty.conditions if c.operating]
    fluid = f"{'interface' if duty.interface else 'level'}, {_span([c.lower_density for c in at])}"
    if any(c.upper_density for c in at):
        fluid += f" under {_span([c.upper_density for c in at])}"
    parts = [fluid]
    if cold := [c for c in duty.conditions if not c.operating]:
        parts.append(f"cold start-up at {_span([c.lower_density for c in cold])}")
    if not math.isnan(at[0].viscosity):
        parts.append(f"viscosity {1e3 * at[0].viscosity:.4g} mPa.s")
    if not math.isnan(duty.chamber_bore):
        parts.append(f"bore {mm(duty.chamber_bore)}")
    parts.append(f"tolerance {mm(duty.tolerance)}, reserve {percent(duty.minimum_reserve)}")
    if not math.isnan(duty.design_pressure):
        parts.append(barg(duty.design_pressure))
    if not math.isnan(duty.design_temperature):
        parts.append(celsius(duty.design_temperature))
    if not math.isnan(duty.lowest_temperature):
        parts.append(f"down to {celsius(duty.lowest_temperature)}")
    missing = [
        name
        for name, value in (("pressure", duty.design_pressure), ("temperature", duty.design_temperature))
        if math.isnan(value)
    ]
    unchecked = f"; not checked, for none is given: {', '.join(missing)}" if missing else ""
    return f"Duty: {'; '.join(parts)}{unchecked}"


def _span(values: list[float]) -> str:
    low, high = min(values), max(values)
    return kg(low) if low == high else f"{low:.5g} to {kg(high)}"


def _table(chosen: Chosen, fitting: list[Candidate]) -> Table:
    table = Table(box=None, padding=(0, 1, 0, 0), pad_edge=False, header_style="bold")
    table.add_column("rank", justify="right", no_wrap=True)
    table.add_column("part", overflow="fold")
    for condition in chosen.duty.conditions:
        start = "" if condition.operating else "cold "
        table.add_column(f"offset\n{start}at\n{condition.lower_density:.4g}\nmm", justify="right")
    table.add_column("within\ntolerance\nkg/m3")
    table.add_column("least\nabove", justify="right")
    moves = any(math.isfinite(item.movement) for item in fitting)
    for heading in ("margin\nbar", "margin\nK", *["moves\nmm"] * moves):
        table.add_column(heading, justify="right")
    for item in fitting:
        low, high = item.window
        upper = f"{high:.0f}" if math.isfinite(high) else "any"
        table.add_row(
            str(item.rank),
            words.one_line(item.part),
            *(_cell(1e3 * value, "+.1f") for value in item.offsets.values()),
            f"{low:.0f} to {upper}",
            _cell(100 * min(item.shares.values()), ".0f", " %"),
            _cell(item.pressure_margin / 1e5, "+.1f"),
            _cell(item.temperature_margin, "+.0f"),
            *[_cell(1e3 * item.movement, ".1f")] * moves,
        )
    return table


def _cell(value: float, form: str, unit: str = "") -> str:
    return f"{value:{form}}{unit}" if math.isfinite(value) else "-"


def _proposed(item: Sized) -> Text:
    body = item.body
    if item.reason:
        return Text(item.reason)
    wall = f"wall {mm(item.wall)}"
    if not math.isnan(item.end_wall):
        wall += f", flat ends of {mm(item.end_wall)}"
    made_of = (
        f"{1e3 * item.metal_mass:.1f} g of metal, {1e3 * item.magnet_mass:.1f} g of magnets and holder,"
        f" {1e3 * item.ballast_mass:.1f} g of ballast on its bottom"
    )
    return Text.assemble(
        (f"{body.material}, {body.ends} ends, outside diameter {mm(body.diameter)}", "bold"),
        f": length {mm(item.length)} (possible up to {mm(item.longest)}), {wall},"
        f" mass {1e3 * item.mass:.1f} g ({made_of}), magnet height {mm(item.magnet_height)};"
        f" permitted {barg(item.permitted_pressure)} at {celsius(item.temperature)}",
    )
