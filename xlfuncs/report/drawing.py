"""Drawings to scale of a gauge, and charts of its float, from one entry of `AuditResult.gauges`.

An entry is a dict. Every key but `tag`, `sheet` and `row` may be missing, or its value None or NaN.

========================================  =======================================================
tag, sheet, row, area, service, fluid     which gauge; row as the spreadsheet counts
float_part, float_mass_kg                 the float
float_diameter_mm, float_length_mm        its outside diameter and its length over all
float_ends                                flat, hemispherical or elliptical
magnet_height_mm                          magnet plane above the float's bottom
lower_density, upper_density              operating densities, kg/m3
lower_density_min, lower_density_max      stated ends of the range, kg/m3
interface                                 True where both fluids are liquids
immersion_mm, reading_offset_mm           at the operating densities; missing where the float does not ride
tolerance_mm, density_window              permitted offset; [lowest, highest] density that keeps it, kg/m3
chamber_bore_mm, connection_distance_mm   of the chamber
visible_range_mm, visible_low_mm          length of the indication, its lower end above the bottom connection
scale_zero_mm                             zero of the scale above the bottom connection
lrv_mm, urv_mm, switches                  above the bottom connection; switches: name -> set point
pressures                                 bar gauge: operating, design, test, float_max, collapse,
                                          permitted (collapse over the safety factor), flange
viscosity                                 {"curve": [[degC, mPa.s], ...], "operating": [degC, mPa.s],
                                          "limit": mPa.s, "pour_point": degC}
units                                     quantity -> unit in which the figures show it, offsets excepted
========================================  =======================================================
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from xlfuncs.report import _svg as svg
from xlfuncs.report import _units as units
from xlfuncs.report import _words as words

Gauge = Mapping[str, Any]

NEEDED = {
    "float_diameter_mm": "float diameter",
    "float_length_mm": "float length",
    "magnet_height_mm": "magnet height",
    "immersion_mm": "immersion",
    "chamber_bore_mm": "bore of the chamber",
    "connection_distance_mm": "connection distance",
    "visible_range_mm": "visible range",
}
"""What the drawings need, as a person calls it."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture and what stands below it."""

    svg: str
    caption: str
    shows: str = ""
    """float, gauge, offset, pressure or viscosity."""


_BEYOND, _NOTHING = 1e9, 1e-9
"""No length, density or pressure of a gauge in its trade unit is larger, or smaller and not zero."""


def value(gauge: Gauge, key: str) -> float | None:
    """A number that can be drawn, or None."""
    found = gauge.get(key)
    if isinstance(found, bool) or not isinstance(found, int | float) or not abs(found) < _BEYOND:
        return None
    return float(found) if abs(found) > _NOTHING else 0.0


def unknown(gauge: Gauge) -> list[str]:
    """What is not known and therefore not drawn."""
    missing = [name for key, name in NEEDED.items() if value(gauge, key) is None]
    told = bool({"float diameter", "float length"} & set(missing)) or sinks(gauge)
    return [name for name in missing if name != "immersion" or not told]


def mean_density(gauge: Gauge) -> float | None:
    """Mass of the float over its volume, kg/m3."""
    from xlfuncs.gauge import floats

    size = [value(gauge, key) for key in ("float_mass_kg", "float_diameter_mm", "float_length_mm")]
    if None in size:
        return None
    mass, diameter, length = (float(part or 0) for part in size)
    try:
        found = float(floats.float_density(mass, diameter / 1e3, length / 1e3, _ends(gauge)))
    except ValueError:  # ends of a shape that is none of ours
        return None
    return found if math.isfinite(found) else None


def sinks(gauge: Gauge) -> bool:
    """Whether the float cannot ride in the fluid that is stated."""
    density = value(gauge, "lower_density")
    if density is None:
        density = value(gauge, "lower_density_min")
    mean = mean_density(gauge)
    return mean is not None and density is not None and mean >= density


def _ends(gauge: Gauge) -> str:
    return str(gauge.get("float_ends") or "flat")


def figures(gauge: Gauge) -> list[Figure]:
    """Every figure for which the data suffices."""
    makers = {
        "float": detail,
        "gauge": overview,
        "offset": offset_chart,
        "pressure": pressure_chart,
        "viscosity": viscosity_chart,
    }
    made = ((name, maker(gauge)) for name, maker in makers.items())
    return [replace(figure, shows=name) for name, figure in made if figure is not None]


_OF_FAMILY = {
    "float_fluid": ("float", "offset"),
    "strength": ("pressure",),
    "geometry": ("gauge",),
}
"""Family of rules -> the figures in which its findings can be seen."""

OF_RULE = {
    "float-data-conflict": ("float", "pressure"),
    "float-lags": ("viscosity",),
    "float-not-in-list": (),
    "float-wider-than-chamber": ("float",),
    "operating-exceeds-design": ("pressure",),
    "viscosity-too-high": ("viscosity",),
    "chamber-magnetic": (),
    "float-temperature-exceeded": (),
    "serial-mismatch": (),
    "serial-reused": (),
}  # fmt: skip
"""The same for rules that their family does not fit."""


def shown_in(rules: Iterable[str]) -> set[str]:
    """The figures in which findings of these rules can be seen."""
    from xlfuncs.audit.registry import family_of

    return {name for rule in rules for name in OF_RULE.get(rule, _OF_FAMILY.get(family_of(rule), ()))}


def direction(offset: float) -> str:
    """`18.4 mm low`."""
    return "true" if abs(offset) < 0.05 else f"{_mm(abs(offset))} {'high' if offset > 0 else 'low'}"


_mm = units.Scale("length", "mm").text
"""A reading offset: the tolerance is in millimetres too."""


def _length(gauge: Gauge, millimetres: float) -> str:
    return units.scale(gauge, "length").text(millimetres)


def _wrong(gauge: Gauge) -> bool:
    offset, allowed = value(gauge, "reading_offset_mm"), value(gauge, "tolerance_mm")
    return offset is not None and allowed is not None and abs(offset) > allowed


def _float(x: float, top: float, width: float, height: float, end: float, cls: str) -> str:
    """Outline of a float round the axis at `x`: `end` is the depth of each of its ends."""
    r, end = width / 2, min(end, height / 2)
    if end <= 0:
        return svg.rect(x - r, top, width, height, cls)
    n, arc = svg.num, f"A{svg.num(r)} {svg.num(end)} 0 0 1"
    path = (
        f"M{n(x - r)} {n(top + end)}{arc} {n(x + r)} {n(top + end)}V{n(top + height - end)}"
        f"{arc} {n(x - r)} {n(top + height - end)}z"
    )
    return svg.el("path", d=path, cls=cls)


def _end_depth(gauge: Gauge, diameter: float) -> float:
    share = {"hemispherical": 0.5, "elliptical": 0.25}
    return share.get(_ends(gauge), 0.0) * diameter


def _scale_bar(gauge: Gauge, x: float, y: float, scale: float, room: float) -> str:
    """A bar of a round length, at most `room` pixels long. `scale`: pixels per millimetre."""
    shown = units.scale(gauge, "length")
    scale /= float(shown(1.0))
    rounds = [m * 10.0**e for e in range(-3, 5) for m in (1, 2, 5)]
    length = max((length for length in rounds if length * scale <= room), default=rounds[0])
    bar = svg.line(x, y, x + length * scale, y, "bar")
    ends = "".join(svg.line(x + d, y - 3, x + d, y + 3, "bar") for d in (0, length * scale))
    return bar + ends + svg.text(x + length * scale + 6, y + 4, f"{length:g} {shown.unit}", "tick")


def detail(gauge: Gauge) -> Figure | None:
    """The float at the surface: immersion, magnet plane, true and indicated level, to one scale."""
    diameter, length = value(gauge, "float_diameter_mm"), value(gauge, "float_length_mm")
    if diameter is None or length is None or diameter <= 0 or length <= 0:
        return None
    bore, plane = value(gauge, "chamber_bore_mm"), value(gauge, "magnet_height_mm")
    depth = value(gauge, "immersion_mm")
    high = max(length, depth or 0, plane or 0) + 0.12 * length
    low = -0.12 * length
    scale = min(270 / (high - low), 110 / max(diameter, bore or 0))
    width, height, axis = 360.0, (high - low) * scale + 44, 180.0

    def y(level: float) -> float:
        return 8 + (high - level) * scale

    wide = (bore or diameter * 1.25) * scale
    left, right = axis - wide / 2, axis + wide / 2
    upper = "liquid upper" if gauge.get("interface") else "vapour"
    out = [svg.rect(left, y(high), wide, (high - low) * scale, upper)]
    if depth is not None or sinks(gauge):
        surface = high if depth is None else depth
        out.append(svg.rect(left, y(surface), wide, (surface - low) * scale, "liquid"))
    wall = "wall" if bore is not None else "wall guess"
    out += [svg.line(x, y(high), x, y(low), wall) for x in (left, right)]
    shape = _float(
        axis, y(length), diameter * scale, length * scale, _end_depth(gauge, diameter) * scale, "float"
    )
    out.append(shape)
    if plane is not None:
        out.append(
            svg.rect(axis - diameter * scale * 0.32, y(plane) - 3, diameter * scale * 0.64, 6, "magnet")
        )
        out.append(svg.dimension(left - 14, y(0), y(plane), f"magnet {_length(gauge, plane)}", -1))
        cls = "indicated wrong" if _wrong(gauge) else "indicated"
        out.append(svg.line(axis, y(plane), right + 34, y(plane), cls))
    if depth is not None:
        out.append(svg.line(left - 8, y(depth), right + 34, y(depth), "level"))
        out.append(svg.dimension(right + 14, y(0), y(depth), f"immersed {_length(gauge, depth)}"))
    out += _level_names(gauge, y, depth, plane, right + 38)
    out.append(_scale_bar(gauge, axis - 40, height - 12, scale, 90))
    return Figure(
        svg.picture(width, height, f"Float of {gauge.get('tag', '')} to scale", "".join(out), "drawing"),
        _ride_text(gauge) + (" Chamber wall drawn without its bore." if bore is None else ""),
    )


def _level_names(gauge: Gauge, y: Any, depth: float | None, plane: float | None, x: float) -> list[str]:
    """Names of the two levels, kept apart where the lines are close."""
    names = []
    if depth is not None:
        names.append((y(depth), "interface" if gauge.get("interface") else "true level", "levelname"))
    if plane is not None:
        names.append((y(plane), "indicated" if depth is not None else "magnet plane", "levelname"))
    names.sort()
    if len(names) == 2 and names[1][0] - names[0][0] < 13:
        middle = (names[0][0] + names[1][0]) / 2
        names = [(middle - 6.5, *names[0][1:]), (middle + 6.5, *names[1][1:])]
    return [svg.text(x, at + 4, name, cls) for at, name, cls in names]


def _ride_text(gauge: Gauge) -> str:
    offset, allowed = value(gauge, "reading_offset_mm"), value(gauge, "tolerance_mm")
    if offset is None:
        if sinks(gauge):
            mean = units.scale(gauge, "density").text(mean_density(gauge) or 0.0)
            return f"The float to scale. It sinks: its mean density is {mean}, the fluid's is less."
        depth = value(gauge, "immersion_mm")
        return (
            "The float to scale." if depth is not None else "The float to scale; how it rides is not known."
        )
    limit = "" if allowed is None else f"; {_mm(allowed)} are allowed"
    rho = value(gauge, "lower_density")
    liquid = "" if rho is None else units.scale(gauge, "density").text(rho)
    where = f"in liquid of {liquid}" if liquid else "at the operating densities"
    return f"The float to scale {where}: it reads {direction(offset)}{limit}."


def overview(gauge: Gauge) -> Figure | None:
    """The whole gauge: chamber, connections, visible range, transmitter range and switches, to one scale."""
    distance, visible = value(gauge, "connection_distance_mm"), value(gauge, "visible_range_mm")
    if not (distance and distance > 0) and not (visible and visible > 0):
        return None
    start = value(gauge, "visible_low_mm")
    begin = start if start is not None else 0.0
    marks = _marks(gauge)
    ends = [0.0, distance or 0.0, begin, begin + (visible or 0.0), *(at for _, at in marks)]
    low, high = min(ends), max(ends)
    scale = 250 / (high - low)
    axis, strip = 130.0, 190.0

    def y(level: float) -> float:
        return 24 + (high - level) * scale

    out: list[str] = []
    bore = value(gauge, "chamber_bore_mm")
    if distance:
        if bore:
            out.append(
                svg.rect(
                    axis - bore * scale / 2, y(high) - 12, bore * scale, y(low) - y(high) + 24, "chamber"
                )
            )
        else:
            out.append(svg.line(axis, y(high) - 12, axis, y(low) + 12, "wall guess"))
        for level in (0.0, distance):
            out.append(svg.line(axis - 44, y(level), axis - (bore or 0) * scale / 2, y(level), "nozzle"))
        out.append(svg.dimension(axis - 54, y(0), y(distance), _length(gauge, distance), -1))
    level = begin + visible / 2 if visible else (distance or 0) / 2
    if bore and value(gauge, "immersion_mm") is not None:
        out.append(
            svg.rect(axis - bore * scale / 2, y(level), bore * scale, y(low) + 12 - y(level), "liquid")
        )
    out += _float_in_chamber(gauge, axis, level, scale, y)
    if visible:
        long = distance is not None and visible > distance
        out.append(
            svg.rect(strip, y(begin + visible), 10, visible * scale, "strip wrong" if long else "strip")
        )
        unit = float(units.scale(gauge, "length")(1.0))
        for tick in svg.ticks(begin * unit, (begin + visible) * unit, 10):
            out.append(svg.line(strip, y(tick / unit), strip + 5, y(tick / unit), "axis"))
    offset = value(gauge, "reading_offset_mm")
    if offset is not None and visible:
        cls = "indicated wrong" if _wrong(gauge) else "indicated"
        out.append(svg.line(strip - 8, y(level + offset), strip + 16, y(level + offset), cls))
    out += _mark_names([(y(at), f"{name} {_length(gauge, at)}") for name, at in marks], strip)
    height = y(low) + 40
    out.append(_scale_bar(gauge, axis - 40, height - 8, scale, 110))
    notes = ["The gauge to scale, with the level in the middle of the visible range."]
    if visible and start is None:
        notes.append("Where the visible range begins is not stated: drawn from the bottom connection.")
    picture = svg.picture(360.0, height, f"Gauge {gauge.get('tag', '')} to scale", "".join(out), "drawing")
    return Figure(picture, " ".join(notes))


def _float_in_chamber(gauge: Gauge, axis: float, level: float, scale: float, y: Any) -> list[str]:
    diameter, length = value(gauge, "float_diameter_mm"), value(gauge, "float_length_mm")
    depth, bore = value(gauge, "immersion_mm"), value(gauge, "chamber_bore_mm")
    out = []
    half = max((bore or diameter or 0) * scale / 2, 6)
    if depth is not None:
        out.append(svg.line(axis - half - 6, y(level), axis + half + 6, y(level), "level"))
    if diameter and length and depth is not None:
        shape = (diameter * scale, length * scale, _end_depth(gauge, diameter) * scale)
        out.append(_float(axis, y(level - depth + length), *shape, "float"))
    return out


def _marks(gauge: Gauge) -> list[tuple[str, float]]:
    """LRV, URV, switch set points and a shifted scale zero, as stated, from the bottom up."""
    found = [(name.upper(), value(gauge, f"{name}_mm")) for name in ("lrv", "urv")]
    if value(gauge, "scale_zero_mm"):
        found.append(("scale zero", value(gauge, "scale_zero_mm")))
    switches = gauge.get("switches")
    if isinstance(switches, Mapping):
        found += [(str(name), value(switches, name)) for name in switches]
    return sorted(((n, at) for n, at in found if at is not None), key=lambda mark: mark[1])


def _mark_names(marks: Sequence[tuple[float, str]], strip: float) -> list[str]:
    """Marks at the scale, their names pushed apart so that each can be read."""
    out, at = [], math.inf
    for y, name in marks:  # from the bottom up
        at = min(y, at - 13)
        out.append(svg.el("path", d=f"M{svg.num(strip + 12)} {svg.num(y)}l7 -4v8z", cls="mark"))
        out.append(svg.line(strip + 20, y, strip + 34, at, "lead"))
        out.append(svg.text(strip + 38, at + 4, name, "tick"))
    return out


def offset_chart(gauge: Gauge) -> Figure | None:
    """Reading offset over the lower fluid's density, with the tolerance band and the operating points."""
    import numpy as np

    from xlfuncs.gauge import floats

    keys = ("float_mass_kg", "float_diameter_mm", "float_length_mm", "magnet_height_mm")
    mass, diameter, length, plane = (value(gauge, key) for key in keys)
    if mass is None or diameter is None or length is None or plane is None:
        return None
    ends, upper, mean = _ends(gauge), value(gauge, "upper_density") or 0.0, mean_density(gauge)
    size = (mass, diameter / 1e3, length / 1e3)
    stated = [(k, value(gauge, k)) for k in ("lower_density_min", "lower_density", "lower_density_max")]
    points = {k: v for k, v in stated if v is not None}
    if (nominal := points.get("lower_density")) is not None:  # ends of a range that is none say nothing
        points = {k: v for k, v in points.items() if k == "lower_density" or abs(v - nominal) > 0.05}
    window = [w for w in gauge.get("density_window") or () if isinstance(w, int | float) and math.isfinite(w)]
    near = [*points.values(), *window]
    if mean is None or not near:
        return None
    low, high = min([mean, *near]), max([1.08 * mean, *near])
    span = max(high - low, 0.05 * high)
    density = np.linspace(max(low - 0.1 * span, 1.0), high + 0.15 * span, 160)
    offset = np.asarray(floats.reading_offset(*size, plane / 1e3, density, upper, ends)) * 1e3
    rides = np.isfinite(offset)
    if not rides.any():
        return None
    allowed = value(gauge, "tolerance_mm")
    at = {
        k: float(floats.reading_offset(*size, plane / 1e3, rho, upper, ends)) * 1e3
        for k, rho in points.items()
    }
    at = {k: v for k, v in at.items() if math.isfinite(v)}
    least = min(float(np.min(offset[rides])), -(allowed or 0) * 1.4, *at.values())
    most = max(float(np.max(offset[rides])), (allowed or 0) * 1.4, *at.values())
    room = 0.06 * (most - least or 1)
    shown = units.scale(gauge, "density")
    chart = svg.Chart(
        (float(shown(density[0])), float(shown(density[-1]))), (least - room, most + room),
        f"density of the lower fluid, {shown.unit}", "reading offset, mm",
    )  # fmt: skip
    if allowed is not None:
        chart.band(-allowed, allowed, "allowed")
    chart.level(0.0, "zero")
    if mean > density[0]:
        chart.upright(float(shown(mean)), "sinks")
    pairs = zip(shown(density[rides]).tolist(), offset[rides].tolist(), strict=True)
    chart.curve(list(pairs), "curve")
    texts = ["Reading offset over density."]
    texts += [f"Shaded: \u00b1{_mm(allowed)}."] if allowed is not None else []
    names = {"lower_density_min": "lowest", "lower_density": "operating", "lower_density_max": "highest"}
    for key, off in at.items():
        beyond = allowed is not None and abs(off) > allowed
        chart.point(
            float(shown(points[key])), off, "point wrong" if beyond else "point", key == "lower_density"
        )
        texts.append(f"At the {names[key]} density, {shown.text(points[key])}, it reads {direction(off)}.")
    sunk = [names[k] for k in points if k not in at]
    if mean > density[0]:
        note = f" (so it does at the {' and '.join(sunk)} density)" if sunk else ""
        texts.append(f"Dashed: below {shown.text(mean)}, its own mean density, the float sinks{note}.")
    title = f"Reading offset of {gauge.get('tag', '')} over density"
    return Figure(chart.svg(title), " ".join(texts))


_LIMITS = {"float_max": "float, stated", "permitted": "float, computed", "flange": "flange"}
_LOADS = {"operating": "operating", "design": "design", "test": "test"}


def pressure_chart(gauge: Gauge) -> Figure | None:
    """What the parts stand, against design and test pressure."""
    given = gauge.get("pressures")
    if not isinstance(given, Mapping):
        return None
    shown = units.scale(gauge, "pressure_gauge")

    def stated(key: str) -> float | None:
        at = value(given, key)
        return None if at is None else float(shown(at))

    limits = [(name, stated(key)) for key, name in _LIMITS.items()]
    bars = [(name, number) for name, number in limits if number is not None and number >= 0]
    loads = [(name, at) for key, name in _LOADS.items() if (at := stated(key)) is not None and at >= 0]
    if not bars or not loads:
        return None
    design = stated("design")
    most = max(number for _, number in [*bars, *loads]) * 1.05 or 1.0
    left, width, top, row = 100.0, 380.0, 34.0, 30.0
    ground = top + row * len(bars) + 4

    def x(pressure: float) -> float:
        return left + pressure / most * (width - left - 20)

    out: list[str] = []
    labels = []
    for k, (name, number) in enumerate(bars):
        y = top + row * k
        below = design is not None and number < design
        out.append(svg.text(left - 8, y + 15, name, "tick", "end"))
        out.append(svg.rect(left, y + 4, x(number) - left, 15, "limit wrong" if below else "limit"))
        inside, cls = number > most * 0.55, "inbar short" if below else "inbar"
        label = f"{words.number(number)}{' below design' if below else ''}"
        at = x(number) + (-6 if inside else 6)
        labels.append(svg.text(at, y + 16, label, cls if inside else "tick", "end" if inside else ""))
    place = -math.inf
    for name, at in sorted(loads, key=lambda load: load[1]):
        out.append(svg.line(x(at), top - 6, x(at), ground, f"load {name}"))
        label = f"{name} {words.number(at)}"
        place = max(x(at) - 3 * len(label), place + 8, left - 60)
        place = min(place, width - 6.2 * len(label))
        out.append(svg.text(place, 14 if name != "test" else 26, label, "tick"))
        place += 6.2 * len(label)
    out += [*labels, svg.line(left, ground, width - 20, ground, "axis")]
    for tick in svg.ticks(0, most, 6):
        out.append(svg.line(x(tick), ground, x(tick), ground + 4, "axis"))
        out.append(svg.text(x(tick), ground + 16, f"{tick:g}", "tick", "middle"))
    out.append(svg.text((left + width) / 2, ground + 34, f"pressure, {shown.unit}", "name", "middle"))
    texts = ["Bars: what each part stands. Lines: the pressures that it meets."]
    collapse = value(given, "collapse")
    if collapse is not None:
        texts.append(f"Computed collapse of the float: {shown.text(collapse)}.")
    title = f"Pressure margins of {gauge.get('tag', '')}"
    return Figure(svg.picture(width, ground + 42, title, "".join(out), "chart"), " ".join(texts))


def viscosity_chart(gauge: Gauge) -> Figure | None:
    """Viscosity over temperature with the operating point and the limits that are known."""
    given = gauge.get("viscosity")
    if not isinstance(given, Mapping):
        return None
    heat, flow = units.scale(gauge, "temperature"), units.scale(gauge, "dynamic_viscosity")

    def both(pair: Sequence[float]) -> tuple[float, float]:
        return float(heat(pair[0])), float(flow(pair[1]))

    curve = [both(pair) for pair in given.get("curve") or () if pair[1] > 0 and math.isfinite(pair[1])]
    operating = given.get("operating")
    spot = None
    if operating and all(isinstance(o, int | float) and math.isfinite(o) for o in operating):
        spot = both(operating) if operating[1] > 0 else None
    if len(curve) < 2:
        return None
    limit, pour = value(given, "limit"), value(given, "pour_point")
    limit = float(flow(limit)) if limit is not None and limit > 0 else None
    pour = None if pour is None else float(heat(pour))
    heats = [t for t, _ in curve] + ([spot[0]] if spot else []) + ([pour] if pour is not None else [])
    thick = [v for _, v in curve] + ([spot[1]] if spot else []) + ([limit] if limit is not None else [])
    chart = svg.Chart(
        (min(heats), max(heats)), (min(thick) / 1.3, max(thick) * 1.3),
        f"temperature, {heat.unit}", f"viscosity, {flow.unit}", log=True,
    )  # fmt: skip
    texts = ["Viscosity over temperature."]
    if limit is not None:
        chart.band(limit, max(thick) * 1.3, "forbidden")
        chart.level(limit, "bound")
        texts.append(f"Shaded: above the limit of {words.number(limit)} {flow.unit}.")
    if pour is not None:
        chart.upright(pour, "sinks")
        texts.append(f"Dashed: pour point, {words.number(pour)} {heat.unit}.")
    chart.curve(curve, "curve")
    if spot is not None:
        beyond = limit is not None and spot[1] > limit
        chart.point(spot[0], spot[1], "point wrong" if beyond else "point")
        texts.append(
            f"Operating: {words.number(spot[1])} {flow.unit} at {words.number(spot[0])} {heat.unit}."
        )
    return Figure(chart.svg(f"Viscosity of {gauge.get('fluid') or 'the fluid'}"), " ".join(texts))
