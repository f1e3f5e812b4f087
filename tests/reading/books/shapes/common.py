"""Cells, lists and faults of the shapes, and a look at every gauge for what was not meant."""

from __future__ import annotations

import math
from collections.abc import Container, Iterable, Sequence
from itertools import pairwise
from typing import Any

from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from tests.reading.gauges import loop_current
from tests.reading.physics import (
    Float,
    collapse_pressure,
    displaced_volume,
    flange_rating,
    float_lag,
    floating,
    immersion,
    liquid_density,
    mean_density,
    saturation_pressure,
    saturation_temperature,
    water_density,
)
from tests.reading.units import Converter
from tests.reading.writing import Book, Columns, Gauge, count_float_cells, float_sheet

# --- writing ---------------------------------------------------------------------------------------


def shown_value(g: Gauge, names: str, fn: Converter | None = None) -> Any:
    """What a cell shows: with '*' before the names a function of the gauge, else of the first name's value."""
    if fn is not None and names.startswith("*"):
        return fn(g)
    v = g.get(names.split()[0]) if names else None
    return fn(v) if fn and v is not None else v


def write_cell(b: Book, ws: Worksheet, r: int, c: int, v: Any, g: Gauge | None = None, names: str = "", **k: Any) -> None:
    """A cell that may hold several values; a text that begins with '=' stays a text."""
    if isinstance(v, str):
        ws.write_string(r, c, v, b.fmt(**k) if k else None)
    else:
        b.put(ws, r, c, v, **k)
    if g is not None and v is not None:
        for n in names.lstrip("*").split():
            b.mark(ws, r, c, g["tag"], n)


def write_rows(b: Book, ws: Worksheet, r: int, c: int, cols: Columns, gs: Iterable[Gauge], **k: Any) -> int:
    """A row for each gauge; the row below them."""
    for g in gs:
        for j, (_, names, fn) in enumerate(cols):
            write_cell(b, ws, r, c + j, shown_value(g, names, fn), g, names, **k)
        r += 1
    return r


def write_list(b: Book, ws: Worksheet, r: int, c: int, cols: Columns, gs: Iterable[Gauge], **k: Any) -> int:
    """Headings and a row for each gauge; the row below them."""
    return write_rows(b, ws, b.head(ws, r, c, cols), c, cols, gs, **k)


def bold(b: Book) -> Format:
    return b.fmt(bold=True)


def always(w: Any) -> Converter:
    """One word whatever the value."""
    return lambda v: w


def translated(**d: Any) -> Converter:
    """A word for another."""
    return lambda v: d.get(v, v)


CONSEQUENCES = ["offset-exceeds-tolerance", "float-sinks", "float-barely-floats"]


def plant_swapped_densities(b: Book, g: Gauge) -> None:
    g["rho"], g["rho_u"] = g["rho_u"], g["rho"]
    b.fault(
        "densities-swapped",
        g["tag"],
        ["rho", "rho_u"],
        f"upper {g['rho_u']} is not lighter than lower {g['rho']} kg/m3",
        ok=["interface-density-gap-small", "interface-float-outside-fluids", *CONSEQUENCES],
    )


def plant_small_density_gap(b: Book, g: Gauge, gap: float = 32) -> None:
    g["rho_u"] = g["rho"] - gap
    b.fault(
        "interface-density-gap-small",
        g["tag"],
        ["rho", "rho_u"],
        f"{g['rho']} over {g['rho_u']}: {gap} kg/m3 apart",
        ok=["interface-float-outside-fluids", *CONSEQUENCES],
    )


def plant_heavy_upper_liquid(b: Book, g: Gauge, rho_u: float) -> None:
    assert rho_u < g["rho"] - 50 and mean_density(g["f"]) < rho_u - 5
    g["rho_u"] = rho_u
    b.fault(
        "interface-float-outside-fluids",
        g["tag"],
        ["rho_u", "rho", "mass", "part"],
        f"mean density {mean_density(g['f']):.0f} below the upper liquid's {rho_u}",
        ok=CONSEQUENCES,
    )


def plant_other_float_service(b: Book, g: Gauge, word_: str, alt: Iterable[str] = ()) -> None:
    g["fsvc"] = word_
    b.fault("float-service-mismatch", g["tag"], ["fsvc", "typ", "part"], f"float for {word_}, gauge for {g['typ']}", alt=alt)


def plant_narrow_bore(b: Book, g: Gauge, v: float) -> None:
    assert v < g["od"]
    g["bore"] = v
    b.fault("float-wider-than-chamber", g["tag"], ["bore", "od", "part"], f"bore {v} below float {g['od']} mm", ok=["float-lags"])


def plant_lag(b: Book, g: Gauge, mu: float) -> None:
    assert float_lag(g["f"], mu, g["rho"], g["bore"], g.get("rate", 10)) > 15
    g["mu"] = mu
    b.fault("float-lags", g["tag"], ["mu", "bore", "od", "part"], f"lag {float_lag(g['f'], mu, g['rho'], g['bore'], g.get('rate', 10)):.0f} mm")


def plant_viscous_untraced(b: Book, g: Gauge, mu: float) -> None:
    g["mu"] = mu
    b.fault("viscosity-too-high", g["tag"], ["mu", "trace"], f"{mu} mPa.s, no tracing, bore unknown", alt=["float-lags"])


def plant_other_serial(b: Book, g: Gauge, other: str) -> None:
    g["fgsn"] = other
    b.fault("serial-mismatch", g["tag"], ["gsn", "fgsn"], f"gauge {g['gsn']}, float noted for {other}")


def plant_reused_serial(b: Book, g: Gauge, h: Gauge) -> None:
    g["fsn"] = h["fsn"]
    b.fault("serial-reused", [g["tag"], h["tag"]], "fsn", f"float serial {g['fsn']} on both")


def plant_switch_order(b: Book, g: Gauge, lo: str, hi: str) -> None:
    g[lo], g[hi] = g[hi], g[lo]
    b.fault("switch-order", g["tag"], [lo, hi], f"{lo} {g[lo]} above {hi} {g[hi]}", ok=["switch-spacing-small"])


def plant_close_switches(b: Book, g: Gauge, lo: str, hi: str, gap: float = 12) -> None:
    g[hi] = g[lo] + gap
    b.fault("switch-spacing-small", g["tag"], [lo, hi], f"{lo} {g[lo]} and {hi} {g[hi]}: {gap} mm apart")


def plant_switch_outside(b: Book, g: Gauge, name: str, add: float = 60, alt: Iterable[str] = ()) -> None:
    g[name] = g["vis"] + add
    b.fault("switch-outside-range", g["tag"], [name], f"{name} {g[name]} above the visible {g['vis']}", alt=alt)


def plant_shifted_zero(b: Book, g: Gauge, v: float) -> None:
    g["sz"] = v
    b.fault("scale-zero-shifted", g["tag"], ["sz"], f"scale zero {v} mm from the lower connection")


def plant_reversed_densities(b: Book, g: Gauge) -> None:
    g["rho_min"], g["rho_max"] = g["rho_max"], g["rho_min"]
    b.fault("density-range-reversed", g["tag"], ["rho_min", "rho_max"], f"lowest {g['rho_min']} above highest {g['rho_max']}")


def plant_barely_floating(b: Book, g: Gauge) -> None:
    """A heavier float whose magnet is where the liquid's surface is, but almost wholly immersed."""
    f = dict(g["f"])
    f["mass"] = round(g["rho"] * displaced_volume(0.945 * f["L"], f["od"], f["L"], f["ends"]) * 1e-6, 1)
    f["mag"] = round(floating(f, g["rho"]), 1)
    assert 0.91 < mean_density(f) / g["rho"] < 0.97
    g["f"], g["mass"], g["mag"] = f, f["mass"], f["mag"]
    b.fault("float-barely-floats", g["tag"], ["mass", "rho", "od", "L"], f"{100 * (1 - mean_density(f) / g['rho']):.1f} % above the surface")


def plant_boiling(b: Book, g: Gauge, cp: str) -> None:
    g["op"] = round(saturation_pressure(cp, g["ot"]) + 0.06, 2)
    b.fault(
        "fluid-boils-in-chamber",
        g["tag"],
        ["op", "ot", "fluid"],
        f"{cp} at {g['op']} barg boils at {saturation_temperature(cp, g['op']):.1f}, operated at {g['ot']} degC",
    )


def plant_other_temperature_density(b: Book, g: Gauge, cp: str, t: float) -> None:
    """The density of another temperature."""
    g["rho"] = round(liquid_density(cp, t))
    assert abs(g["rho"] / liquid_density(cp, g["ot"], g["op"]) - 1) > 0.04
    b.fault(
        "density-not-at-operating-conditions",
        g["tag"],
        ["rho"],
        f"{g['rho']} is {cp} at {t} degC, at {g['ot']} degC {liquid_density(cp, g['ot'], g['op']):.0f}",
        ok=[*CONSEQUENCES, "design-density-mismatch"],
    )


def plant_magnet_above_top(b: Book, g: Gauge, more: float = 25) -> None:
    g["mag"] = round(g["L"] + more, 1)
    b.fault("float-data-impossible", g["tag"], ["mag", "L", "part"], f"magnet {g['mag']} above the top of a float of {g['L']} mm", ok=CONSEQUENCES)


def plant_thin_shell(b: Book, g: Gauge, wall: float) -> None:
    f = dict(g["f"], wall=wall)
    assert f["ends"] != "flat" and collapse_pressure(f) / 3 < 0.7 * g["dp"]
    g["f"], g["wall"] = f, wall
    b.fault("float-collapses", g["tag"], ["wall", "part", "dp"], f"collapse {collapse_pressure(f):.1f} bar / 3 below design {g['dp']} barg")


def plant_disagreement(b: Book, g: Gauge, name: str, where: str, v: Any) -> None:
    """Another document says something else."""
    g[f"{name}@{where}"] = v
    b.fault("documents-disagree", g["tag"], [name, f"{name}@{where}"], f"{name} {g[name]} in one document, {v} in the other")


def blame_also_in(b: Book, where: str) -> None:
    """The other document's cell of a field that is at fault counts as well."""
    for f in b.faults:
        f["fields"] += [f"{n}@{where}" for n in f["fields"] if "@" not in n and f"{n}@{where}" not in f["fields"]]


def plant_implausible_density(b: Book, g: Gauge, why: str) -> None:
    b.fault("value-implausible", g["tag"], ["rho"], why)


def plant_malformed_tag(b: Book, g: Gauge, new: str) -> None:
    g["tag"] = new
    b.fault("tag-malformed", new, "tag", f"{new} is no level instrument's identification")


def plant_duplicate_tag(b: Book, g: Gauge, h: Gauge) -> None:
    g["tag"] = h["tag"]
    b.fault("tag-duplicate", g["tag"], "tag", f"{g['tag']} on two rows")


def plant_missing_tag(b: Book, g: Gauge) -> None:
    g["tag"] = ""
    b.fault("tag-missing", "", ["tag", "svc", "fluid", "part"], "a row of gauge data without a tag")


def plant_no_tracing(b: Book, g: Gauge, none: str) -> None:
    g["trace"] = none
    for k in ("tout", "tmain"):
        if g.get(k) is not None:
            g[k] = None
    assert g["pour"] + 10 > g["amb"]
    b.fault("tracing-missing", g["tag"], ["trace", "pour", "amb"], f"pour point {g['pour']}, ambient {g['amb']} degC, not traced")


def heat_loss(g: Gauge, k: float = 0.04) -> float:
    """W/m, insulation alone."""
    return 2 * math.pi * k * float(g["tmain"] - g["amb"]) / math.log(1 + 2 * g["ins"] / g["cod"])


def plant_weak_tracer(b: Book, g: Gauge, w: float) -> None:
    assert w < 0.8 * heat_loss(g)
    g["tout"] = w
    b.fault("tracing-underpowered", g["tag"], ["tout", "tmain", "amb", "ins", "cod"], f"{w} W/m installed, loss {heat_loss(g):.1f} W/m")


def plant_hot_tracing(b: Book, g: Gauge, v: float, limit: float) -> None:
    assert v > limit
    g["tsh"] = v
    b.fault("tracing-too-hot", g["tag"], ["tsh", "tcl"], f"sheath {v} degC, {g['tcl']} permits {limit} degC")


def plant_error_value(b: Book, g: Gauge, name: str, err: str = "#N/A") -> None:
    g[name] = ("=NA()" if err == "#N/A" else "=" + err, err)
    b.fault("cell-error", g["tag"], [name], f"{err} where a value belongs")


# --- finishing, with an own look for what was not meant --------------------------------------------


def broken_rules(g: Gauge, shown: Container[str]) -> set[str]:
    """Rules that a gauge's shown values break, by own calculation."""
    out = set()
    n = {k: v for k, v in g.items() if isinstance(v, (int, float)) and k in shown}

    def has(*ks: str) -> bool:
        return all(k in n for k in ks)

    def add(rule: str, hit: bool) -> None:
        if hit:
            out.add(rule)

    f = dict(g["f"], **{k: n[k] for k in ("mass", "mag", "od", "L", "wall") if k in n})
    level = g.get("typ", "level") == "level"
    for k in ("rho", "rho_min", "rho_max"):
        if has(k, "mass", "od", "L") and level:
            o = immersion(f, n[k], n.get("rho_u", 0))
            add("float-sinks", o is None)
            add("float-barely-floats", o is not None and mean_density(f) > 0.9 * n[k])
            add("offset-exceeds-tolerance", o is not None and "mag" in n and abs(f["mag"] - o) > 9)
        elif has(k, "drho") and level and not has("mass", "mag"):
            add("design-density-mismatch", abs(n["drho"] / n[k] - 1) > 0.045)
    add("float-data-impossible", has("mag", "L") and n["mag"] > n["L"])
    add("float-pressure-exceeded", has("dp", "pmax") and n["dp"] > n["pmax"])
    add("float-test-pressure-exceeded", has("tp", "pmax") and n["tp"] > n["pmax"])
    add("float-temperature-exceeded", has("dt", "tmax") and n["dt"] > n["tmax"])
    add("operating-exceeds-design", (has("op", "dp") and n["op"] > n["dp"]) or (has("ot", "dt") and n["ot"] > n["dt"]))
    add("operating-exceeds-design", (has("op_max", "dp") and n["op_max"] > n["dp"]) or (has("ot_max", "dt") and n["ot_max"] > n["dt"]))
    add("range-exceeds-connections", has("vis", "cc") and n["vis"] > n["cc"] + 1)
    add("scale-zero-shifted", has("sz") and abs(n["sz"]) > 9)
    if has("lrv", "urv"):
        add("range-reversed", n["urv"] <= n["lrv"])
        if has("vis") and n["urv"] > n["lrv"]:
            lo = n.get("vlo", 0)
            add("transmitter-outside-visible-range", n["urv"] > lo + n["vis"] + 0.5 or n["lrv"] < lo - 0.5)
            add("transmitter-range-mismatch", n["urv"] < lo + n["vis"] - 4 or n["lrv"] > lo + 4)
        if has("slev", "scur") and n["urv"] > n["lrv"]:
            add("current-inconsistent", abs(loop_current(n) - n["scur"]) > 0.03)
    sp = [(k, n[k]) for k in ("lsll", "lsl", "lsh", "lshh") if k in n]
    for (_, u), (_, v) in pairwise(sp):
        add("switch-order", v <= u)
        add("switch-spacing-small", 0 < v - u < 27)
    add("switch-outside-range", has("vis") and any(not -1 <= v <= n["vis"] + 1 for _, v in sp))
    if has("dp", "dt") and "fclass" in shown and g.get("grp"):
        add("flange-rating-exceeded", n["dp"] > flange_rating(g["grp"], g["fclass"], n["dt"]) - 0.2)
    if has("wall", "dp", "od", "L") and f["ends"] != "flat":
        add("float-collapses", collapse_pressure(f) / 3 < 1.2 * n["dp"])
    if has("rho", "rho_u"):
        add("densities-swapped", n["rho_u"] >= n["rho"])
        if not level and has("mass", "od", "L") and n["rho_u"] < n["rho"]:
            add("interface-density-gap-small", n["rho"] - n["rho_u"] < 55)
            add("interface-float-outside-fluids", not n["rho_u"] + 3 < mean_density(f) < n["rho"] - 3)
    if has("rho_min", "rho_max"):
        add("density-range-reversed", n["rho_min"] > n["rho_max"])
        add("density-range-reversed", has("rho") and not min(n["rho_min"], n["rho_max"]) * 0.996 < n["rho"] < max(n["rho_min"], n["rho_max"]) * 1.004)
    add("float-wider-than-chamber", has("bore", "od") and n["bore"] <= n["od"] + 1)
    if has("bore", "od", "mu", "rho", "mass", "L") and n["bore"] > n["od"] and immersion(f, n["rho"]):
        add("float-lags", float_lag(f, n["mu"], n["rho"], n["bore"], n.get("rate", 10)) > 9)
    if has("tout", "tmain", "amb", "ins", "cod"):
        add("tracing-underpowered", n["tout"] < 1.25 * heat_loss(g))
    return out


def broken(b: Book, gs: Iterable[Gauge]) -> set[tuple[str, str]]:
    """Rule and tag of all that is wrong."""
    return {(rule, g["tag"]) for g in gs for rule in broken_rules(g, {f for t, f in b.pos if t == g["tag"]})}


def finish(b: Book, gs: Sequence[Gauge], check: bool = True) -> None:
    """Write the book and its truth; nothing may be wrong that was not meant. Gauges known by other names get them there."""
    seen = broken(b, gs) if check else set()
    for rule, tag in sorted(seen):
        meant = any((tag == f["tag"] or tag in f["tag"]) and rule in [f["rule"]] + f["alt"] for f in b.faults)
        if not meant and not any(a["rule"] == rule and a["tag"] in (None, tag) for a in b.allows):
            raise AssertionError(f"{b.path.name}, {tag}: {rule} was not meant")
    for f in b.faults:
        ts = f["tag"] if isinstance(f["tag"], list) else [f["tag"]]
        more = [a for t in ts for g in gs if g["tag"] == t for a in g.get("aka", [])]
        if more:
            f["tag"] = ts + [a for a in dict.fromkeys(more) if a not in ts]
    b.allows += [dict(a, tag=x) for a in b.allows for g in gs if a["tag"] == g["tag"] for x in g.get("aka", [])]
    b.tags = list(dict.fromkeys(g["tag"] for g in gs if g["tag"]))
    b.close()


def water(t: float, p: float = 1.0) -> float:
    """kg/m3 at degC and barg."""
    return water_density(t, p)


# --- 25 to 32 plain lists in further languages -----------------------------------------------------


def plain_list(
    b: Book,
    sheet: str,
    title: str,
    cols: Columns,
    gs: Sequence[Gauge],
    fsheet: str | None = None,
    fcols: Columns = (),
    fl: Iterable[Float] = (),
    rtl: bool = False,
) -> None:
    """An index and a float list."""
    for i, g in enumerate(gs):
        g["no"] = i + 1
    for f in fl:
        f["fsvc"] = f["svc"]
    ws = b.sheet(sheet)
    ws.write(0, 0, title, b.fmt(bold=True, font_size=13))
    write_list(b, ws, 2, 0, cols, gs)
    w2 = float_sheet(b, fsheet, fl, fcols) if fsheet else ws
    if rtl:
        ws.right_to_left()
        w2.right_to_left()
    for g in gs:
        count_float_cells(b, g, "mass", "od", "L", "mag", "pmax", "tmax", "drho", "fsvc")
    finish(b, gs)
