"""Headings, rows and faults of the lists in English."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from xlsxwriter.worksheet import Worksheet

from tests.reading.gauges import check_gauge, set_float
from tests.reading.physics import (
    Float,
    collapse_pressure,
    displaced_volume,
    float_lag,
    floating,
    liquid_density,
    mean_density,
    reading_offset,
    saturation_temperature,
)
from tests.reading.units import Converter
from tests.reading.writing import Book, Columns, Gauge

HEADING_STYLE = {"bold": True, "text_wrap": True, "border": 1, "bg_color": "#E7E6E6", "valign": "vcenter"}


def heading_rows(b: Book, ws: Worksheet, r: int, cols: Columns, how: str = "down", c: int = 0, **k: Any) -> int:
    """Headings of several rows; the row below them. `how`: 'down': groups merged across, single headings merged down;
    'across': groups merged only; 'first': the group's word in its first cell only; 'each': the group's word in every
    cell; nothing is merged in the last two."""
    f = b.fmt(**(k or HEADING_STYLE))
    n = max(len(h) if isinstance(h, tuple) else 1 for h, *_ in cols)
    low = how in ("first", "each")
    m = []
    for h, *_ in cols:
        if isinstance(h, tuple):
            m.append(list(h) + [""] * (n - len(h)))
        else:
            m.append([""] * (n - 1) + [h] if low else [h] + [""] * (n - 1))
    for j, col in enumerate(m):
        single = not isinstance(cols[j][0], tuple)
        for i in range(n):
            v = col[i]
            if not v:
                continue
            same = i < n - 1 and not single
            if same and j and m[j - 1][: i + 1] == col[: i + 1]:
                if how == "each":
                    ws.write(r + i, c + j, v, f)
                continue
            e = j
            while same and e + 1 < len(m) and m[e + 1][: i + 1] == col[: i + 1]:
                e += 1
            if e > j and not low:
                ws.merge_range(r + i, c + j, r + i, c + e, v, f)
            elif single and how == "down" and n > 1:
                ws.merge_range(r, c + j, r + n - 1, c + j, v, f)
            else:
                ws.write(r + i, c + j, v, f)
    return r + n


def other_instrument(b: Book, ws: Worksheet, r: int, cols: Columns, d: Mapping[str, Any], c: int = 0, **k: Any) -> None:
    """A row that is no gauge of the truth (another instrument, a pump): written, not marked."""
    for j, (_, field, fn) in enumerate(cols):
        v = (d.get(field[1:]) if d.get(field[1:]) is not None else "") if field.startswith("*") else fn(d.get(field)) if fn else d.get(field)
        b.put(ws, r, c + j, v, **k)


def section_row(b: Book, ws: Worksheet, r: int, n: int, text: str, merged: bool = True) -> int:
    """A line above some rows; the row below it."""
    f = b.fmt(bold=True, bg_color="#FFF2CC", border=1)
    if merged:
        ws.merge_range(r, 0, r, n - 1, text, f)
    else:
        ws.write(r, 0, text, f)
    return r + 1


def note_lines(b: Book, ws: Worksheet, r: int, lines: Iterable[str], c: int = 0) -> int:
    """Lines below a list; the row below them."""
    for t in lines:
        ws.write(r, c, t, b.fmt(italic=True))
        r += 1
    return r


def title_lines(b: Book, ws: Worksheet, *lines: str) -> int:
    """Lines above a list; the row of its headings."""
    for i, t in enumerate(lines):
        ws.write(i, 0, t, b.fmt(bold=i == 0, font_size=13 if i == 0 else 10))
    return len(lines) + 1


def set_values(gs: Sequence[Gauge], **kw: Any) -> None:
    """The same for all (a value), one after the other (a list), or made from the row number (a function)."""
    for i, g in enumerate(gs):
        for k, v in kw.items():
            g[k] = v(i) if callable(v) else v[i % len(v)] if isinstance(v, list) else v


def same_cell(b: Book, g: Gauge, src: str, *dst: str) -> None:
    """The cell that holds `src` holds these as well."""
    for x in dst:
        b.pos.setdefault((g["tag"], x), []).extend(b.pos.get((g["tag"], src), []))


def add_test_pressures(gs: Sequence[Gauge], factor: float = 1.5) -> None:
    """Hydrostatic test pressure, left out where the float could not stay in."""
    for g in gs:
        p = round(g["dp"] * factor + 0.04, 1)
        g["tp"] = p if p <= g["f"]["pmax"] else None


def check_sound(gs: Sequence[Gauge]) -> None:
    """Every gauge is sound, also in what `check_gauge` does not look at."""
    for g in gs:
        check_gauge(g)
        e: list[Any] = []
        for a, c in (("op_max", "dp"), ("ot_max", "dt"), ("op", "op_max"), ("op_min", "op"), ("rho_min", "rho"), ("rho", "rho_max")):
            if isinstance(g.get(a), (int, float)) and isinstance(g.get(c), (int, float)) and g[a] > g[c]:
                e.append((a, c))
        if g.get("tp") and (g["tp"] < 1.3 * g["dp"] or g["tp"] > g["pmax"]):
            e.append("tp")
        if g.get("rho_u") and g["rho_u"] > g["rho"] - (50 if g.get("typ") == "interface" else 0):
            e.append("gap")
        sw = [g[k] for k in ("lsll", "lsl", "lsh", "lshh") if g.get(k) is not None]
        if any(sw[i + 1] - sw[i] < 25 for i in range(len(sw) - 1)) or (sw and (sw[0] < 0 or sw[-1] > g["vis"])):
            e.append("switches")
        if (
            g.get("amb") is not None
            and g.get("trace") in (None, "None", "No", "N", "NO")
            and any(g.get(k) is not None and g[k] + 10 > g["amb"] for k in ("pour", "frz"))
        ):
            e.append("tracing")
        if (
            g.get("tclass")
            and max(g.get("tsheath") or 0, g.get("tmaint") or 0) > {"T1": 450, "T2": 300, "T3": 200, "T4": 135, "T5": 100, "T6": 85}[g["tclass"]]
        ):
            e.append("tclass")
        if max(g.get("tsheath") or 0, g.get("tmaint") or 0) > min(g["tmax"], g.get("ltmax") or 999):
            e.append("tracer")
        if g.get("pure"):
            p = g["op"] if not g.get("sat") else None
            if abs(g["rho"] / liquid_density(g["pure"], g["ot"], p) - 1) > 0.015:
                e.append(f"density {liquid_density(g['pure'], g['ot'], p):.0f}")
            if not g.get("sat") and saturation_temperature(g["pure"], g["op"]) - g["ot"] < 8:
                e.append("boils")
        assert not e, (g["tag"], e)


def allow_boiling(b: Book, gs: Sequence[Gauge], why: str = "saturated by its nature") -> None:
    """A gauge in a saturated liquid may be named."""
    for g in gs:
        if g.get("sat"):
            b.allow("fluid-boils-in-chamber", g["tag"], why)


def finish(b: Book, gs: Sequence[Gauge]) -> None:
    """Write the book and its truth."""
    b.tags = [g["tag"] for g in gs]
    b.close()


def possible_offsets(f: Float, rho: float, g: Gauge, ends: bool, vap: bool) -> list[Any]:
    """Offsets with every shape of ends and every vapour that the sheet leaves open."""
    p = g["op"] if isinstance(g.get("op"), (int, float)) else 1
    heavy = (p + 1.013) * 1e5 * 0.12 / (8.314 * 300)
    return [
        reading_offset(dict(f, ends=x), rho, u)
        for x in ((f["ends"],) if ends else ("flat", "hemispherical", "elliptical"))
        for u in ((g.get("rho_u") or 0,) if vap else (0, heavy))
    ]


def clearly_off(v: Sequence[Any], lo: float) -> bool:
    """All on one side and beyond `lo` mm."""
    return None not in v and min(abs(x) for x in v) >= lo and len({x > 0 for x in v}) == 1


def plant_clear_offset(b: Book, g: Gauge, ends: bool = True, vap: bool = False, lo: float = 13) -> None:
    """The fluid is another than the float was made for."""
    f = g["f"]
    for k in (1.07, 1.09, 1.12, 1.15, 0.93, 1.18, 0.91, 1.22, 1.27, 1.33):
        r = int(round(f["drho"] * k / 5) * 5)
        if clearly_off(possible_offsets(f, r, g, ends, vap), lo) and mean_density(f) < 0.88 * r:
            break
    else:
        raise ValueError(g["tag"])
    g["rho"] = r
    for kk, m in (("rho_min", 0.99), ("rho_max", 1.01)):
        if g.get(kk):
            g[kk] = round(r * m)
    b.fault(
        "offset-exceeds-tolerance",
        g["tag"],
        ["rho", "mass", "part", "mag", "rho_min", "rho_max", "drho"],
        f"{r} kg/m3, float made for {f['drho']}: {reading_offset(f, r, g.get('rho_u') or 0):+.1f} mm",
        alt=["design-density-mismatch"],
    )


def plant_exchanged_float(b: Book, g: Gauge, f: Float, ends: bool = True, vap: bool = False, lo: float = 13) -> None:
    """The float of another fluid stands in the row."""
    set_float(g, f)
    v = possible_offsets(f, g["rho"], g, ends, vap)
    assert clearly_off(v, lo) and mean_density(f) < 0.88 * g["rho"], (g["tag"], v, mean_density(f))
    assert g["dp"] <= f["pmax"] and g["dt"] <= f["tmax"] and (g.get("tp") or 0) <= f["pmax"], g["tag"]
    b.fault(
        "offset-exceeds-tolerance",
        g["tag"],
        ["part", "rho", "mass", "mag", "drho"],
        f"{f['part']} is made for {f['drho']}, fluid {g['rho']}: {v[0]:+.1f} mm",
        alt=["design-density-mismatch"],
    )


def plant_exchanged_float_that_sinks(b: Book, g: Gauge, f: Float) -> None:
    """The float of another, heavier fluid stands in the row."""
    set_float(g, f)
    assert mean_density(f) > g["rho"] * 1.01 and g["dp"] <= f["pmax"] and g["dt"] <= f["tmax"], (g["tag"], mean_density(f))
    b.fault(
        "float-sinks",
        g["tag"],
        ["part", "rho", "rho_min", "mass"],
        f"{f['part']}: mean density {mean_density(f):.0f} > fluid {g['rho']}",
        ok=["offset-exceeds-tolerance", "float-barely-floats", "design-density-mismatch"],
    )


def plant_sinking_at_lowest_density(b: Book, g: Gauge) -> None:
    """Sinks only at the lowest stated density."""
    g["rho_min"] = int(mean_density(g["f"]) * 0.95)
    b.fault(
        "float-sinks",
        g["tag"],
        ["rho_min", "rho", "mass", "part"],
        f"at the minimum density {g['rho_min']}: mean density {mean_density(g['f']):.0f}",
        ok=["float-barely-floats", "offset-exceeds-tolerance", "design-density-mismatch"],
    )


def plant_barely_floating(b: Book, g: Gauge) -> None:
    """Less than 10 % of the float above the surface, but it floats, and the magnet stands right."""
    f = dict(g["f"])
    V = displaced_volume(f["L"], f["od"], f["L"], f["ends"])
    f["mass"] = round(0.95 * V * g["rho"] * 1e-6, 1)
    f["mag"] = round(floating(f, g["rho"], g.get("rho_u") or 0), 1)
    g.update(f=f, mass=f["mass"], mag=f["mag"])
    b.fault(
        "float-barely-floats",
        g["tag"],
        ["mass", "rho", "part", "od", "L"],
        f"mean density {mean_density(f):.0f} in {g['rho']}: 5 % above the surface",
        ok=["design-density-mismatch"],
    )


def plant_highest_above_design(b: Book, g: Gauge, field: str, v: float) -> None:
    """Highest operating condition above design."""
    g[field] = v
    d = "dp" if field.startswith("op") else "dt"
    assert v > g[d]
    b.fault("operating-exceeds-design", g["tag"], [field, d], f"{field} {v} > {d} {g[d]}")


def plant_missing_tag(b: Book, g: Gauge) -> None:
    g["tagtxt"] = ""
    b.fault("tag-missing", g["tag"], ["tag", "svc", "fluid", "rho", "dp", "cc", "part"], "a gauge's row without a tag")


def plant_duplicate_tag(b: Book, g: Gauge, h: Gauge) -> None:
    g["tagtxt"] = h["tag"]
    b.fault("tag-duplicate", [g["tag"], h["tag"]], "tag", f"{h['tag']} stands on two rows")


def plant_malformed_tag(b: Book, g: Gauge, t: str) -> None:
    g["tagtxt"] = t
    b.fault("tag-malformed", g["tag"], "tag", f"{t}: letters are no level identification")


def plant_magnet_above_top(b: Book, g: Gauge) -> None:
    g["mag"] = g["L"] + round(g["L"] * 0.08, 1)
    b.fault(
        "float-data-impossible",
        g["tag"],
        ["mag", "L"],
        f"magnet {g['mag']} above the top of a float of {g['L']}",
        ok=["offset-exceeds-tolerance", "float-data-conflict"],
    )


def plant_narrow_bore(b: Book, g: Gauge, bore: float) -> None:
    assert bore < g["od"]
    g["bore"] = bore
    b.fault("float-wider-than-chamber", g["tag"], ["bore", "od", "part"], f"float {g['od']} in a bore of {bore}", ok=["float-lags"])


def plant_lag(b: Book, g: Gauge, mu: float) -> None:
    v = float_lag(g["f"], mu, g["rho"], g["bore"], g.get("rate") or 10)
    assert v > 25, v
    g["mu"] = mu
    b.fault("float-lags", g["tag"], ["mu", "bore", "od", "rate", "part"], f"lag about {v:.0f} mm at {mu} mPa.s", alt=["viscosity-too-high"])


def plant_other_serial(b: Book, g: Gauge, other_serial: str, field: str = "fgsn") -> None:
    g[field] = other_serial
    b.fault("serial-mismatch", g["tag"], [field, "gsn"], f"{other_serial} noted, gauge {g['gsn']}")


def plant_reused_serial(b: Book, g: Gauge, h: Gauge, ok: Iterable[str] = ()) -> None:
    g["fsn"] = h["fsn"]
    b.fault("serial-reused", [g["tag"], h["tag"]], "fsn", f"float serial {h['fsn']} on two gauges", ok=list(ok))


def plant_reversed_densities(b: Book, g: Gauge) -> None:
    g["rho_min"], g["rho_max"] = g["rho_max"], g["rho_min"]
    assert g["rho_min"] > g["rho_max"] * 1.01
    b.fault("density-range-reversed", g["tag"], ["rho_min", "rho_max", "rho"], f"min {g['rho_min']} > max {g['rho_max']}")


def plant_switch_order(b: Book, g: Gauge, a: str, c: str) -> None:
    g[a], g[c] = g[c], g[a]
    b.fault("switch-order", g["tag"], [a, c], f"{a} {g[a]}, {c} {g[c]}", ok=["switch-spacing-small"])


def plant_close_switches(b: Book, g: Gauge, a: str, c: str, d: float = 14) -> None:
    g[c] = g[a] + d
    b.fault("switch-spacing-small", g["tag"], [a, c], f"{d} mm apart")


def plant_switch_outside(b: Book, g: Gauge, k: str, v: float) -> None:
    g[k] = v
    b.fault("switch-outside-range", g["tag"], [k], f"{k} {v}, visible 0 to {g['vis']}")


def plant_thin_shell(b: Book, g: Gauge, wall: float) -> None:
    """Shell too thin for the design pressure, although the rating written beside it says otherwise."""
    f = dict(g["f"], wall=wall)
    assert f["ends"] != "flat" and collapse_pressure(f) / 3 < 0.7 * g["dp"] and g["dp"] <= g["pmax"], (g["tag"], collapse_pressure(f) / 3, g["dp"])
    g.update(f=f, wall=wall)
    b.fault(
        "float-collapses",
        g["tag"],
        ["wall", "dp", "od", "L", "part"],
        f"wall {wall} mm: about {collapse_pressure(f) / 3:.1f} bar permitted, design {g['dp']} barg",
    )


def plant_no_tracing(b: Book, g: Gauge, word: str = "None") -> None:
    g.update(trace=word, tout=None, tmaint=None, tsheath=None)
    b.fault("tracing-missing", g["tag"], ["trace", "pour", "frz", "amb"], f"solid at {g.get('pour', g.get('frz'))}, ambient {g['amb']} degC, no tracing")


def plant_hot_tracing(b: Book, g: Gauge, field: str, v: float, limit: float, fields: Iterable[str], ok: Iterable[str] = ()) -> None:
    g[field] = v
    assert v > limit
    b.fault("tracing-too-hot", g["tag"], [field, *fields], f"{field} {v} degC > {limit} degC", ok=list(ok))


def heat_loss(g: Gauge, h: float = 30.0) -> float:
    """W/m, conduction through the insulation with a film of a windy day (W/m2K, common practice, no source)."""
    di = g["cdia"] / 1000
    do = di + 2 * g["ins"] / 1000
    return float((g["tmaint"] - g["amb"]) / (math.log(do / di) / (2 * math.pi * (g.get("kins") or 0.04)) + 1 / (h * math.pi * do)))


def machine_text(fn: Converter | None) -> Converter:
    """A number as a machine writes it into a text cell."""

    def g(v: Any) -> Any:
        v = fn(v) if fn and v is not None else v
        return v if v is None or isinstance(v, str) else f"{v:g}" if isinstance(v, float) else str(v)

    return g


def shown_tag(g: Gauge) -> str:
    """The tag as the cell shows it."""
    return str(g.get("tagtxt", g["tag"]))


FLOAT_COLUMNS = [
    ("Float P/N", "part", None),
    ("Weight (g)", "mass", None),
    ("OD (mm)", "od", None),
    ("Length (mm)", "L", None),
    ("End shape", "ends", None),
    ("Magnet above bottom (mm)", "mag", None),
    ("Design density (kg/m³)", "drho", None),
    ("Max. pressure (barg)", "pmax", None),
    ("Max. temp. (°C)", "tmax", None),
    ("Material", "fmat", None),
]
