"""Headings, rows and faults of the lists by trade."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from typing import Any, Final

from xlsxwriter.worksheet import Worksheet

from tests.reading.gauges import check_gauge, loop_current
from tests.reading.physics import flange_rating, mean_density, reading_offset
from tests.reading.units import Converter
from tests.reading.writing import Book, Columns, Gauge

DENSITY_STEPS: Final = (1.08, 1.1, 1.13, 0.92, 0.9, 1.16, 1.2, 0.88, 1.25, 1.3, 1.36, 1.45)
"""Of the fluid's density over the float's, tried in this order."""
NO_GROUPS: Final[Mapping[str, Any]] = {}
SHAPES: Final = ("flat", "hemispherical", "elliptical")


# --- own checks ------------------------------------------------------------------------------------


def heavy_vapour(g: Gauge) -> float:
    """A heavy vapour (100 g/mol, ideal) at the gauge's conditions, kg/m3."""
    p, t = g.get("op") or 0, 20 if g.get("ot") is None else g["ot"]
    return 0.1 * (p + 1.013) * 1e5 / (8.314 * (t + 273.15))


def possible_offsets(g: Gauge, rho: float, ends: bool, vap: bool) -> list[Any]:
    """Offsets with every shape where none is stated, without and with a heavy vapour where none is stated."""
    f = g["f"]
    us = [g.get("rho_u") or 0] if vap else [0.0, heavy_vapour(g)]
    return [reading_offset(dict(f, ends=e), rho, u) for e in ((f["ends"],) if ends else SHAPES) for u in us]


def plant_clear_offset(
    b: Book, g: Gauge, ends: bool = True, vap: bool = True, thr: float = 14, ks: Iterable[float] = DENSITY_STEPS, ok: Iterable[str] = ()
) -> None:
    """The fluid's density is another one than the float's, beyond tolerance however the open data are taken."""
    f = g["f"]
    for k in ks:
        r = round(f["drho"] * k / 5) * 5.0
        o = possible_offsets(g, r, ends, vap)
        if None not in o and (min(o) > thr or max(o) < -thr) and mean_density(f) < 0.87 * r:
            break
    else:
        raise ValueError(("no robust offset", g["tag"]))
    g["rho"] = r
    for kk, m in (("rho_min", 0.99), ("rho_max", 1.01)):
        if g.get(kk):
            g[kk] = round(r * m, 1)
    b.fault(
        "offset-exceeds-tolerance",
        g["tag"],
        ["rho", "mass", "part", "mag", "mag_top", "rho_min", "rho_max", "drho"],
        f"at {r} kg/m3 the magnet stands {min(o):+.1f} to {max(o):+.1f} mm from the surface (float for {f['drho']})",
        alt=["design-density-mismatch"],
        ok=list(ok),
    )
    g["_bad"] = 1


def plant_weak_flange(b: Book, g: Gauge, dp: float, ok: Iterable[str] = ()) -> None:
    r = flange_rating(g["grp"], g["fclass"], g["dt"])
    assert dp > r * 1.05, (dp, r)
    g["dp"] = dp
    b.fault(
        "flange-rating-exceeded",
        g["tag"],
        ["dp", "fclass", "flgmat", "cmat", "grp", "dt"],
        f"class {g['fclass']} group {g['grp']} at {g['dt']} degC: {r:.1f} barg < {dp} barg",
        ok=list(ok),
    )


def plant_other_serial(b: Book, g: Gauge, other: str, field: str = "fgsn") -> None:
    g[field] = other
    b.fault("serial-mismatch", g["tag"], [field, "gsn"], f"gauge {g['gsn']}, noted {other}")


def plant_reused_serial(b: Book, g: Gauge, h: Gauge) -> None:
    g["fsn"] = h["fsn"]
    b.fault("serial-reused", [g["tag"], h["tag"]], "fsn", f"float {h['fsn']} on both")


def plant_duplicate_tag(b: Book, g: Gauge, h: Gauge) -> None:
    """One gauge is shown with the other's tag."""
    g["shown"] = h["tag"]
    b.fault("tag-duplicate", [h["tag"], g["tag"]], "tag", f"{h['tag']} stands on two rows")


def plant_missing_tag(b: Book, g: Gauge, fields: list[str]) -> None:
    g["shown"] = None
    b.fault("tag-missing", g["tag"], ["tag", *fields], "no tag in a row with gauge data")


def plant_reversed_densities(b: Book, g: Gauge) -> None:
    g["rho_min"], g["rho_max"] = g["rho_max"], g["rho_min"]
    assert g["rho_min"] > 1.006 * g["rho_max"]
    b.fault("density-range-reversed", g["tag"], ["rho_min", "rho_max", "rho"], f"min {g['rho_min']} > max {g['rho_max']}")


def shown_tag(g: Gauge) -> str | None:
    """The tag as the cell shows it."""
    tag: str | None = g["shown"] if "shown" in g else g["tag"]
    return tag


SWITCHES = ("lsll", "lsl", "lsh", "lshh")


def _number(g: Gauge, name: str) -> Any:
    value = g.get(name)
    return value if isinstance(value, (int, float)) else None


def check_sound(b: Book, gs: Sequence[Gauge]) -> None:
    """Every gauge without a planted fault is sound; levels, ranges and switches as well."""
    bad = set()
    for f in b.faults:
        bad.update(f["tag"] if isinstance(f["tag"], list) else [f["tag"]])
    for g in gs:
        if g["tag"] in bad:
            continue
        check_gauge(g)

        n = partial(_number, g)
        v0, v1 = g.get("vlow", 0) or 0, n("vis")
        s = [n(k) for k in SWITCHES if n(k) is not None]
        assert all(y - x >= 30 for x, y in itertools.pairwise(s)), (g["tag"], s)
        if v1 and s:
            assert s[0] >= v0 and s[-1] <= v0 + v1, (g["tag"], s)
        if g.get("_tx"):
            lo, hi = sorted((g["lrv"], g["urv"]))
            assert abs(lo - v0) <= 2 and abs(hi - v0 - v1) <= 0.6, (g["tag"], lo, hi, v1)
            if g["lrv"] > g["urv"]:
                assert g.get("action") in ("R", "REV", "Reverse", "invers", "inverse")
        if n("scur") is not None:
            assert abs(g["scur"] - loop_current(g)) < 0.02, g["tag"]
        for a, z in (
            ("op_min", "op"),
            ("op", "op_max"),
            ("op_max", "dp"),
            ("ot_min", "ot"),
            ("ot", "ot_max"),
            ("ot_max", "dt"),
            ("dt_min", "ot_min"),
            ("rho_min", "rho"),
            ("rho", "rho_max"),
        ):
            if n(a) is not None and n(z) is not None and not (z == "dt" and g["dt"] < 0):
                assert n(a) <= n(z), (g["tag"], a, z)
        if g.get("gsn") and g.get("fgsn"):
            assert g["gsn"] == g["fgsn"], g["tag"]
    assert len({g["fsn"] for g in gs if g.get("fsn") and g["tag"] not in bad}) == len([g for g in gs if g.get("fsn") and g["tag"] not in bad])


def heat_loss(tm: float, ta: float, od: float, ins: float, k: float) -> float:
    """Upper bound, W/m: the jacket is as cold as the air."""
    return 2 * math.pi * k * (tm - ta) / math.log(1 + 2 * ins / od)


HEADING_STYLE = {"bold": True, "text_wrap": True, "border": 1, "bg_color": "#E2EFDA", "valign": "vcenter"}


def heading_rows(b: Book, ws: Worksheet, r: int, c: int, cols: Columns, merge: bool = True, at: str = "top", down: bool = False, **k: Any) -> int:
    """Headings of several rows; the row below them. A plain string stands in the top or the bottom row (`at`); groups
    are merged or stand in their first cell only."""
    k = k or HEADING_STYLE
    n = max(len(h) if isinstance(h, tuple) else 1 for h, *_ in cols)
    full = [h + ("",) * (n - len(h)) if isinstance(h, tuple) else (h,) + ("",) * (n - 1) if at == "top" else ("",) * (n - 1) + (h,) for h, *_ in cols]
    for i in range(n):
        j = 0
        while j < len(cols):
            v, e = full[j][i], j
            while i < n - 1 and v and e + 1 < len(cols) and full[e + 1][: i + 1] == full[j][: i + 1] and len([x for x in full[e + 1] if x]) > 1:
                e += 1
            if e > j and merge:
                ws.merge_range(r + i, c + j, r + i, c + e, v, b.fmt(align="center", **k))
            elif down and v and i == 0 and n > 1 and not any(full[j][1:]):
                ws.merge_range(r, c + j, r + n - 1, c + j, v, b.fmt(**k))
            elif v:
                ws.write(r + i, c + j, v, b.fmt(**k))
            elif k.get("border") and not (down and not any(full[j][1:])):
                ws.write_blank(r + i, c + j, None, b.fmt(**k))
            j = e + 1
    return r + n


def write_rows(
    b: Book, ws: Worksheet, r: int, c: int, cols: Columns, gs: Iterable[Gauge], groups: Mapping[str, Any] = NO_GROUPS, gap: int = 0, **k: Any
) -> int:
    """A row for each gauge; the row below them. `groups`: {tag: text} puts a heading line above this gauge's row."""
    for g in gs:
        if g["tag"] in groups:
            t = groups[g["tag"]]
            if isinstance(t, tuple):
                ws.merge_range(r, c, r, c + len(cols) - 1, t[0], b.fmt(bold=True, bg_color="#FFF2CC"))
            else:
                ws.write(r, c + 1, t, b.fmt(bold=True))
            r += 1
        b.row(ws, r, c, cols, g, **{**k, **g.get("_fmt", {})})
        r += 1 + gap
    return r


def write_lines(b: Book, ws: Worksheet, r: int, c: int, texts: Sequence[str], **k: Any) -> int:
    """Lines below each other; the row below them."""
    for i, t in enumerate(texts):
        ws.write(r + i, c, t, b.fmt(**k) if k else None)
    return r + len(texts)


def simple_sheet(b: Book, name: str, head: Sequence[str], data: Iterable[Sequence[Any]], r: int = 0, title: str | None = None) -> Worksheet:
    """A sheet that the audit has no use for."""
    ws = b.sheet(name)
    if title:
        ws.write(0, 0, title, b.fmt(bold=True))
        r = max(r, 2)
    for j, h in enumerate(head):
        ws.write(r, j, h, b.fmt(bold=True, border=1))
    for i, d in enumerate(data):
        for j, v in enumerate(d):
            if v is not None:
                ws.write(r + 1 + i, j, v)
    return ws


def words_or(key: str, fn: Converter | None) -> Converter:
    """The open cell's words where the gauge has some (g['_key']), else the value."""
    return lambda g: g["_" + key] if "_" + key in g else fn(g[key]) if fn else g.get(key)


def finish(b: Book, gs: Sequence[Gauge]) -> None:
    """Write the book and its truth."""
    check_sound(b, gs)
    b.tags = [tag for g in gs if (tag := shown_tag(g))]
    b.close()
