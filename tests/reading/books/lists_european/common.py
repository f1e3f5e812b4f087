"""Lists, cells and faults of the lists in other European languages."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from xlsxwriter.utility import xl_col_to_name
from xlsxwriter.worksheet import Worksheet

from tests.reading.gauges import check_gauge, loop_current
from tests.reading.physics import Float, collapse_pressure, float_lag, floating, liquid_density, mean_density, reading_offset, saturation_temperature
from tests.reading.units import Converter
from tests.reading.writing import Book, Columns, Gauge, count_float_cells

FLOAT_NAMES: Final = ("mass", "mag", "pmax", "tmax", "drho", "od", "L", "ends", "fsvc", "wall")
"""Short names of what a float list says."""


ENDS = {
    "de": {"flat": "eben", "hemispherical": "halbkugelig", "elliptical": "elliptisch"},
    "fr": {"flat": "plats", "hemispherical": "hémisphériques", "elliptical": "elliptiques"},
    "es": {"flat": "planos", "hemispherical": "semiesféricos", "elliptical": "elípticos"},
    "it": {"flat": "piani", "hemispherical": "emisferici", "elliptical": "ellittici"},
    "pt": {"flat": "planos", "hemispherical": "hemisféricos", "elliptical": "elípticos"},
}


HEADING_STYLE = {"bold": True, "text_wrap": True, "border": 1, "bg_color": "#E2EFDA", "valign": "vcenter"}


# --- layout ----------------------------------------------------------------------------------------


def heading_rows(b: Book, ws: Worksheet, r: int, c: int, cols: Columns, merge: str = "h", **k: Any) -> int:
    """Headings of several rows; the row below them. `merge`: 'h': groups merged; 'hv': single headings merged down as well;
    '': the group's word in its first cell only."""
    k = k or HEADING_STYLE
    n = max(len(h) if isinstance(h, tuple) else 1 for h, *_ in cols)
    rows = [(h if isinstance(h, tuple) else (h,)) for h, *_ in cols]
    rows = [h + ("",) * (n - len(h)) for h in rows]
    for i in range(n):
        j = 0
        while j < len(cols):
            v, e = rows[j][i], j
            if i < n - 1 and v:
                while e + 1 < len(cols) and rows[e + 1][: i + 1] == rows[j][: i + 1]:
                    e += 1
            alone = i < n - 1 and e == j and not any(rows[j][i + 1 :])
            if v and e > j and "h" in merge:
                ws.merge_range(r + i, c + j, r + i, c + e, v, b.fmt(align="center", **k))
            elif v and alone and "v" in merge:
                ws.merge_range(r + i, c + j, r + n - 1, c + j, v, b.fmt(**k))
            elif v:
                ws.write(r + i, c + j, v, b.fmt(**k))
            j = e + 1
    return r + n


def write_list(
    b: Book,
    ws: Worksheet,
    r: int,
    cols: Columns,
    rows: Iterable[Any],
    c: int = 0,
    merge: str = "h",
    secmerge: bool = True,
    hk: dict[str, Any] | None = None,
    width: float = 12,
    **k: Any,
) -> int:
    """One list; the row below it. `rows`: a gauge, None (blank row), a text (section row) or `other_instrument(...)`."""
    ws.set_column(c, c + len(cols) - 1, width)
    r = heading_rows(b, ws, r, c, cols, merge, **(hk or {}))
    names = [f.lstrip("*") for _, f, *_ in cols]
    letters = {f: xl_col_to_name(c + j) for j, f in enumerate(names)}
    for g in rows:
        if isinstance(g, str):
            fm = b.fmt(bold=True, bg_color="#FFF2CC")
            if secmerge:
                ws.merge_range(r, c, r, c + len(cols) - 1, g, fm)
            else:
                ws.write(r, c + 1, g, fm)
        elif isinstance(g, tuple):
            for j, f in enumerate(names):
                if g[1].get(f) is not None:
                    b.put(ws, r, c + j, g[1][f], **k)
        elif g is not None:
            show = g.get("_show", {})
            for j, (_h, f, fn, *nf) in enumerate(cols):
                name = names[j]
                if name in show:
                    v = show[name]
                elif f.startswith("*"):
                    v = fn(g)
                else:
                    v = fn(g.get(name)) if fn else g.get(name)
                if isinstance(v, tuple):
                    v = (v[0].format(r=r + 1, **letters), v[1])
                fm = dict(k, num_format=nf[0]) if nf else k
                if hasattr(v, "year"):
                    b.mark(ws, r, c + j, g["tag"], name)
                    ws.write_datetime(r, c + j, v, b.fmt(**fm))
                else:
                    b.put(ws, r, c + j, v, g["tag"], name, **fm)
        r += 1
    return r


def write_float_list(
    b: Book,
    name: str,
    fl: Iterable[Float],
    cols: Columns,
    gs: Iterable[Gauge],
    r: int = 0,
    title: str | None = None,
    merge: str = "h",
    seen: Iterable[str] = FLOAT_NAMES,
    **k: Any,
) -> Worksheet:
    """A float list on a sheet of its own; its cells count for the gauges as well."""
    ws = b.sheet(name)
    if title:
        ws.write(0, 0, title, b.fmt(bold=True, font_size=13))
        r = max(r, 2)
    write_list(b, ws, r, cols, [dict(f, tag=("float", f["part"]), fsvc=f["svc"]) for f in fl], merge=merge, **k)
    for g in gs:
        count_float_cells(b, g, *seen)
    return ws


def other_instrument(**fields: Any) -> tuple[str, dict[str, Any]]:
    """A row that is no gauge of the truth."""
    return ("oth", fields)


def show(g: Gauge, **texts: Any) -> None:
    """What the cells show instead of the value (ditto marks, placeholders, estimates); the value itself stays true."""
    g.setdefault("_show", {}).update(texts)


def finish(b: Book, gs: Sequence[Gauge], *allow: str | tuple[Any, ...]) -> None:
    """Write the book and its truth; `allow`: rules, or the arguments of `Book.allow`."""
    for a in allow:
        b.allow(*((a,) if isinstance(a, str) else a))
    b.tags = list(dict.fromkeys(g["tag"] for g in gs if g.get("_show", {}).get("tag", "") is not None))
    b.close()


# --- cell texts ------------------------------------------------------------------------------------


def thousands_dot(v: Any) -> Any:
    """1250 -> '1.250'"""
    return v if v is None or isinstance(v, str) else f"{round(v):,}".replace(",", ".")


def thousands_apostrophe(v: Any) -> Any:
    """1250 with an apostrophe before the hundreds."""
    return v if v is None or isinstance(v, str) else f"{round(v):,}".replace(",", "'")


def thousands_space(v: Any) -> Any:
    """1250 -> '1 250' with a no-break space."""
    return v if v is None or isinstance(v, str) else f"{round(v):,}".replace(",", "\u00a0")


def end_shape_in(lang: str) -> Converter:
    """The shape of the float's ends in a language."""

    def say(v: Any) -> Any:
        return ENDS[lang].get(v, v)

    return say


def number_with_unit(fn: Converter, unit: str) -> Converter:
    """The number with a decimal comma and its unit in the cell."""

    def say(v: Any) -> Any:
        if v is None or isinstance(v, str):
            return v
        x = fn(v)
        return f"{x if isinstance(x, str) else str(x).replace('.', ',')} {unit}"

    return say


def titanium_in(lang: str) -> Converter:
    """The floats' material as the country writes it."""
    words = {"de": "Titan Gr. 2", "fr": "Titane T40", "es": "Titanio Gr. 2", "it": "Titanio gr. 2", "pt": "Titânio gr. 2"}

    def say(v: Any) -> Any:
        return words[lang] if v == "Titanium Gr.2" else v

    return say


def in_unit_of_row(field: str, ukey: str, units: Mapping[str, Converter]) -> Converter:
    """The value in the unit that the row names."""

    def say(g: Gauge) -> Any:
        v = g.get(field)
        return v if v is None or isinstance(v, str) else units[g[ukey]](v)

    return say


def stated(name: str) -> Converter:
    """The value as it is."""

    def say(g: Gauge) -> Any:
        return g.get(name)

    return say


def always(text: Any) -> Converter:
    """The same in every row."""

    def say(g: Gauge) -> Any:
        return text

    return say


def density_at(nd: int = 0, unit: float = 1.0, a: float = 0.7, t: float = 15) -> Converter:
    """The density at a reference temperature, beside the operating one; it falls by `a` kg/m3 in a kelvin."""

    def say(g: Gauge) -> Any:
        v = (g["rho"] + a * (g["ot"] - t)) / unit
        return round(v, nd) if nd else round(v)

    return say


# --- soundness beyond `check_gauge` ----------------------------------------------------------------


def prepare(gs: Sequence[Gauge], test: float = 1.43, mm: float | None = None, **kw: Any) -> None:
    """Row numbers, test pressures (1.43 times design: PED annex I, 7.4), a range of densities, and values that all share."""
    for i, g in enumerate(gs, 1):
        g["x_item"] = i
        g["rho"] = round(g["rho"])
        if mm:
            g["rho_min"], g["rho_max"] = round(g["rho"] * (1 - mm)), round(g["rho"] * (1 + mm))
        t = round(g["dp"] * test, 1)
        g.setdefault("tp", t if t <= g["pmax"] else None)
        for n, v in kw.items():
            g.setdefault(n, v)
    check_sound(gs)


def lag_by_drag(g: Gauge) -> float:
    """Lag by the drag of a cylinder in its tube with return flow, mm at 10 mm/s (Bird, Stewart and Lightfoot, 2nd ed.,
    problem 2C.4)."""
    f = g["f"]
    r, big = f["od"] / 2, g["bore"] / 2
    drag = 2 * math.pi * g["mu"] * 1e-3 * 0.01 / (math.log(big / r) - (big**2 - r**2) / (big**2 + r**2))
    return float(1e3 * drag * floating(f, g["rho"]) * 1e-3 / (math.pi * (r * 1e-3) ** 2 * g["rho"] * 9.81))


def heat_loss(g: Gauge) -> float:
    """Of the insulated chamber, W/m, with a film of 30 W/m2K (common practice, no source)."""
    d = g["cod"] * 1e-3
    do = d + 2e-3 * g["insth"]
    return float((g["tmaint"] - g["tamb"]) / (math.log(do / d) / (2 * math.pi * g.get("kins", 0.04)) + 1 / (30 * math.pi * do)))


def check_sound(gs: Sequence[Gauge]) -> None:
    """Every gauge is sound, also in what `check_gauge` does not look at."""
    seen = set()
    for g in gs:
        t = g["tag"]
        check_gauge(g)
        v0 = g.get("v0") or 0
        assert v0 + g["vis"] <= g["cc"] + 0.5, (t, "visible")
        assert abs(g["lrv"] - v0) < 3 and abs(g["urv"] - v0 - g["vis"]) < 3, (t, "range")
        sw = [g[k] for k in ("lsll", "lsl", "lsh", "lshh") if g.get(k) is not None]
        assert all(y - x > 35 for x, y in itertools.pairwise(sw)) and all(v0 < s < v0 + g["vis"] for s in sw), (t, "switch")
        if g.get("scur") is not None:
            assert abs(loop_current(g) - g["scur"]) < 0.02, (t, "current")
        if g.get("tp"):
            assert 1.1 * g["dp"] < g["tp"] <= g["pmax"], (t, "test", g["tp"])
        assert g.get("op_max", g["op"]) <= g["dp"] and g.get("op_min", g["op"]) <= g["op"], (t, "pressure")
        assert g.get("ot_max", g["ot"]) <= g["dt"] and g.get("ot_min", g["ot"]) <= g["ot"], (t, "temperature")
        if g.get("rho_min"):
            assert g["rho_min"] <= g["rho"] <= g["rho_max"], (t, "density range")
        if g.get("pure"):
            ref = liquid_density(g["pure"], g["ot"], None if g.get("boil") else g["op"])
            assert abs(g["rho"] / ref - 1) < 0.012, (t, "density", ref)
            assert g.get("boil") or saturation_temperature(g["pure"], g["op"]) - g["ot"] > 8, (t, "boils")
        if g.get("typ") == "interface":
            assert g["rho"] - g["rho_u"] > 70 and g["f"]["svc"] == "interface", (t, "interface")
        elif g.get("f"):
            assert g["f"]["svc"] == "level", (t, "float service")
        if g.get("bore") and g.get("mu"):
            assert lag_by_drag(g) < 7, (t, "lag", lag_by_drag(g))
        if g.get("wpm"):
            assert g["wpm"] > 1.7 * heat_loss(g), (t, "tracer", heat_loss(g))
        if g.get("tmaint") is not None:
            assert g["tmaint"] < min(g["tmax"], g.get("ttmax", 999)) - 5, (t, "maintain")
        for s in (g.get("fsn"), g.get("gsn")):
            assert s is None or s not in seen, (t, "serial")
            seen.add(s)


# --- planting --------------------------------------------------------------------------------------


def possible_offsets(g: Gauge, rho: float, ends_told: bool = True) -> list[float]:
    """Reading offsets with the shapes and vapours that the sheet leaves open."""
    f, res = g["f"], []
    for e in [f["ends"]] if ends_told else ["flat", "hemispherical", "elliptical"]:
        for ru in [g["rho_u"]] if g.get("rho_u") is not None else [0.0, 3.0 * (g["op"] + 1)]:
            o = reading_offset(dict(f, ends=e), rho, ru)
            if o is not None:
                res.append(o)
    return res


def plant_clear_offset(b: Book, g: Gauge, k: float, ends_told: bool = True, also: Iterable[str] = ()) -> None:
    """The float reads wrong; `k`: density over the float's design density."""
    rho = round(g["drho"] * k)
    o = possible_offsets(g, rho, ends_told)
    assert o and (min(o) > 12 or max(o) < -12) and mean_density(g["f"]) < 0.89 * rho, (g["tag"], o)
    scale = rho / g["rho"]
    g["rho"] = rho
    for n in ("rho_min", "rho_max"):
        if g.get(n):
            g[n] = round(g[n] * scale)
    b.fault(
        "offset-exceeds-tolerance",
        g["tag"],
        ["rho", "mass", "part", "mag", "rho_min", "rho_max", "drho"],
        f"at {rho} kg/m3 the magnet stands {o[0]:+.1f} mm from the surface (float for {g['drho']})",
        alt=["design-density-mismatch"],
        ok=also,
    )


def plant_reversed_densities(b: Book, g: Gauge) -> None:
    g["rho_min"], g["rho_max"] = g["rho_max"], g["rho_min"]
    b.fault("density-range-reversed", g["tag"], ["rho_min", "rho_max", "rho"], f"min {g['rho_min']} > max {g['rho_max']}")


def plant_over_design(b: Book, g: Gauge, field: str, v: float) -> None:
    """Operating value above the design value."""
    lim = "dt" if field.startswith("ot") else "dp"
    assert v > g[lim] and v < g["tmax" if lim == "dt" else "pmax"], (g["tag"], v)
    g[field] = v
    both = {"op": "opot", "ot": "opot", "dp": "dpdt", "dt": "dpdt"}
    b.fault("operating-exceeds-design", g["tag"], [field, lim, both.get(field, field), both[lim]], f"{field} {v} > {lim} {g[lim]}")


def plant_other_temperature_density(b: Book, g: Gauge, rho: float, also: Iterable[str] = ()) -> None:
    """The density of another temperature."""
    ref = liquid_density(g["pure"], g["ot"], None if g.get("boil") else g["op"])
    assert abs(rho / ref - 1) > 0.035, (g["tag"], rho, ref)
    g["rho"] = rho
    b.fault(
        "density-not-at-operating-conditions",
        g["tag"],
        ["rho"],
        f"{g['pure']} at {g['ot']} degC: {ref:.0f}, stated {rho}",
        ok=["offset-exceeds-tolerance", "design-density-mismatch", *also],
    )


def plant_switch_order(b: Book, g: Gauge, lo: str, hi: str) -> None:
    g[lo], g[hi] = g[hi], g[lo]
    b.fault("switch-order", g["tag"], [lo, hi], f"{lo} {g[lo]} above {hi} {g[hi]}", ok=["switch-spacing-small"])


def plant_switch_outside(b: Book, g: Gauge, k: str, v: float) -> None:
    assert v > g["vis"] + (g.get("v0") or 0) + 10
    g[k] = v
    b.fault("switch-outside-range", g["tag"], [k, "vis"], f"{k} {v} > visible {g['vis']}")


def plant_close_switches(b: Book, g: Gauge, lo: str, hi: str, d: float) -> None:
    g[lo] = g[hi] - d
    b.fault("switch-spacing-small", g["tag"], [lo, hi], f"{d} mm apart")


def plant_reused_serial(b: Book, g: Gauge, h: Gauge) -> None:
    g["fsn"] = h["fsn"]
    b.fault("serial-reused", [g["tag"], h["tag"]], "fsn", f"float serial {g['fsn']} on both")


def plant_other_serial(b: Book, g: Gauge, serial: str) -> None:
    g["fgsn"] = serial
    b.fault("serial-mismatch", g["tag"], ["fgsn", "gsn"], f"float plate {serial}, gauge {g['gsn']}")


def plant_shown_value(
    b: Book, g: Gauge, field: str, shown: Any, why: str, rule: str = "value-implausible", alt: Iterable[str] = (), ok: Iterable[str] = ()
) -> None:
    """The cell shows what cannot be."""
    show(g, **{field: shown})
    b.fault(rule, g["tag"], [field], why, alt=alt, ok=ok)


def plant_duplicate_tag(b: Book, g: Gauge, h: Gauge) -> None:
    g["tag"] = h["tag"]
    b.fault("tag-duplicate", h["tag"], "tag", "the tag stands on two rows")


def plant_missing_tag(b: Book, g: Gauge) -> None:
    show(g, tag=None)
    b.fault("tag-missing", g["tag"], ["tag", "svc", "fluid"], "row with data and no tag")


def plant_other_float_service(b: Book, g: Gauge, to: str) -> None:
    g["fsvc"] = to
    b.fault(
        "float-service-mismatch",
        g["tag"],
        ["fsvc", "typ", "part"],
        f"float made for {to}, gauge for {g['typ']}",
        ok=["interface-float-outside-fluids", "offset-exceeds-tolerance", "float-sinks", "float-barely-floats"],
    )


def plant_small_density_gap(b: Book, g: Gauge, d: float) -> None:
    g["rho_u"] = g["rho"] - d
    b.fault(
        "interface-density-gap-small",
        g["tag"],
        ["rho", "rho_u"],
        f"{d} kg/m3 between the liquids",
        ok=["interface-float-outside-fluids", "offset-exceeds-tolerance", "float-sinks"],
    )


def plant_swapped_densities(b: Book, g: Gauge, also: Iterable[str] = ()) -> None:
    g["rho"], g["rho_u"] = g["rho_u"], g["rho"]
    b.fault(
        "densities-swapped",
        g["tag"],
        ["rho", "rho_u"],
        f"lower {g['rho']}, upper {g['rho_u']}",
        ok=[
            "interface-density-gap-small",
            "interface-float-outside-fluids",
            "offset-exceeds-tolerance",
            "float-sinks",
            "float-barely-floats",
            "design-density-mismatch",
            *also,
        ],
    )


def plant_heavy_upper_liquid(b: Book, g: Gauge, rho_u: float) -> None:
    """The upper liquid is too heavy for the float."""
    md = mean_density(g["f"])
    assert md < rho_u - 10 and g["rho"] - rho_u > 55, (g["tag"], md)
    g["rho_u"] = rho_u
    b.fault(
        "interface-float-outside-fluids",
        g["tag"],
        ["rho", "rho_u", "mass", "part"],
        f"mean density {md:.0f} below the upper liquid {rho_u}",
        ok=["offset-exceeds-tolerance", "float-sinks"],
    )


def plant_conflict_with_float_list(b: Book, g: Gauge, field: str, v: float) -> None:
    assert abs(v / g[field] - 1) > 0.03
    g[field] = v
    b.fault("float-data-conflict", g["tag"], [field, "part"], f"list of gauges {field} {v}, float list {g['f'].get(field)}")


def plant_shifted_zero(b: Book, g: Gauge, v: float) -> None:
    g["zero"] = v
    b.fault(
        "scale-zero-shifted",
        g["tag"],
        ["zero"],
        f"scale zero {v} mm above the bottom connection",
        ok=["range-exceeds-connections", "transmitter-outside-visible-range", "transmitter-range-mismatch"],
    )


def plant_narrow_bore(b: Book, g: Gauge, bore: float) -> None:
    assert bore < g["od"]
    g["bore"] = bore
    b.fault("float-wider-than-chamber", g["tag"], ["od", "bore", "part"], f"float {g['od']} mm, bore {bore} mm", ok=["float-lags"])


def plant_lag(b: Book, g: Gauge, mu: float) -> None:
    g["mu"] = mu
    d = float_lag(g["f"], mu, g["rho"], g["bore"])
    assert d > 14 and lag_by_drag(g) > 14, (g["tag"], d)
    b.fault("float-lags", g["tag"], ["mu", "bore", "od", "mass", "part"], f"lag {d:.0f} mm at 10 mm/s", alt=["viscosity-too-high"])


def plant_viscous_untraced(b: Book, g: Gauge, mu: float) -> None:
    g["mu"] = mu
    b.fault("viscosity-too-high", g["tag"], ["mu", "trace"], f"{mu} mPa.s without tracing", alt=["float-lags"])


def plant_no_tracing(b: Book, g: Gauge, no: str, **kw: Any) -> None:
    g.update(trace=no, **kw)
    t = g["pour"] if g.get("pour") is not None else g["frz"]
    assert t + 10 > g["tamb"] + 5
    b.fault("tracing-missing", g["tag"], ["trace", "pour", "frz", "tamb"], f"sets at {t}, ambient {g['tamb']} degC, no tracing", ok=["viscosity-too-high"])


def plant_weak_tracer(b: Book, g: Gauge, w: float) -> None:
    assert 1.2 * heat_loss(dict(g, kins=g.get("kins", 0.04))) > 1.5 * w, (g["tag"], heat_loss(g))
    g["wpm"] = w
    b.fault("tracing-underpowered", g["tag"], ["wpm", "tmaint", "tamb", "insth", "cod"], f"{w} W/m, loss {heat_loss(g):.0f} W/m")


def plant_hot_tracing(b: Book, g: Gauge, field: str, v: float | str, lim: str, ok: Iterable[str] = ()) -> None:
    g[field] = v
    b.fault("tracing-too-hot", g["tag"], [field, lim, "tmax", "ttmax", "tcls", "part"], f"{field} {v} degC against {lim} {g.get(lim)}", ok=ok)


def plant_thin_shell(b: Book, g: Gauge, wall: float) -> None:
    f = dict(g["f"], wall=wall)
    p = collapse_pressure(f) / 3
    assert p < 0.6 * g["dp"], (g["tag"], p)
    g["wall"] = wall
    b.fault("float-collapses", g["tag"], ["wall", "dp", "od", "L", "part", "ffmat"], f"permitted {p:.1f} bar < {g['dp']} barg")


def blame_also(b: Book, *names: str) -> None:
    """Further columns in which the last planted fault stands."""
    b.faults[-1]["fields"] += names


def plant_typed_over_formula(b: Book, g: Gauge, field: str, v: Any) -> None:
    show(g, **{field: v})
    b.fault("formula-overwritten", g["tag"], [field], "typed value where the other rows have the formula")
