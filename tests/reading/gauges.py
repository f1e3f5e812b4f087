"""Floats and gauges that are sound by `physics`, before anything is planted."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tests.reading.physics import (
    Float,
    collapse_pressure,
    displaced_volume,
    flange_rating,
    float_lag,
    floating,
    mean_density,
    reading_offset,
)
from tests.reading.writing import Gauge


def make_float(
    part: str,
    od: float,
    length: float,
    rho: float,
    rho_u: float = 0.0,
    frac: float = 0.68,
    ends: str = "flat",
    pmax: float = 25.0,
    tmax: float = 200.0,
    svc: str = "level",
    mat: str = "Titanium Gr.2",
    wall: float | None = None,
) -> Float:
    """A float with its magnet in the surface at the density `rho` (under a vapour or liquid of `rho_u`), with
    the share `frac` of its length immersed."""
    f: Float = {"part": part, "od": od, "L": length, "ends": ends, "pmax": pmax, "tmax": tmax, "svc": svc}
    f |= {"fmat": mat, "wall": wall, "drho": rho, "drho_u": rho_u}
    whole = displaced_volume(length, od, length, ends)
    below = displaced_volume(frac * length, od, length, ends)
    f["mass"] = round((rho * below + rho_u * (whole - below)) * 1e-6, 1)
    f["mag"] = round(floating(f, rho, rho_u), 1)
    return f


def gauge(
    tag: str,
    svc: str | None,
    fluid: str | None,
    f: Float,
    k: float,
    op: float | None,
    ot: float | None,
    dp: float | None,
    dt: float | None,
    cc: float,
    **more: Any,
) -> Gauge:
    """A sound gauge. `k`: density of its fluid over that for which the float was made; `op`, `ot`, `dp`,
    `dt`: operating and design pressure and temperature; `cc`: distance of the connections."""
    g: Gauge = {"tag": tag, "svc": svc, "fluid": fluid, "rho": round(f["drho"] * k, 1)}
    g |= {"op": op, "ot": ot, "dp": dp, "dt": dt, "cc": cc, "vis": more.pop("vis", cc)}
    set_float(g, f)
    g["lrv"], g["urv"] = 0, g["vis"]
    g.update(more)
    if g.get("rho") and float(g["rho"]).is_integer():
        g["rho"] = int(g["rho"])
    check_gauge(g)
    return g


def set_float(g: Gauge, f: Float) -> None:
    """Put a float into a gauge."""
    g |= {"f": f, "ffmat": f["fmat"], "fsvc": f["svc"]}
    g |= {
        name: f[name] for name in ("part", "drho", "pmax", "tmax", "mass", "mag", "od", "L", "ends", "wall")
    }


def by_tag(gauges: Sequence[Gauge]) -> dict[str, Gauge]:
    return {g["tag"]: g for g in gauges}


def add_serials(gauges: Sequence[Gauge], prefix: str, first: int, step: int = 1) -> None:
    """Serial numbers of gauge and float, and the gauge's as it is noted for the float."""
    for i, g in enumerate(gauges):
        g["gsn"] = f"{prefix}{first + i * step}"
        g["fsn"] = f"F{first + i * step + 500}"
        g["fgsn"] = g["gsn"]


def loop_current(g: Gauge) -> float:
    """mA at the stated level."""
    return round(float(4 + 16 * (g["slev"] - g["lrv"]) / (g["urv"] - g["lrv"])), 2)


# --- what makes a gauge unsound, with a margin to every limit of the audit ---------------------------


def check_gauge(g: Gauge) -> None:
    """AssertionError with all that is wrong."""
    wrong = [*_floating(g), *_limits(g), *_dimensions(g)]
    assert not wrong, (g["tag"], wrong)


def _floating(g: Gauge) -> list[str]:
    f = g["f"]
    out: list[str] = []
    if not (f.get("mass") and g.get("rho")):
        return out
    upper = g.get("rho_u", 0) or 0
    if g.get("typ", "level") != "interface":
        for name in ("rho", "rho_min", "rho_max"):
            if g.get(name):
                offset = reading_offset(f, g[name], upper)
                if offset is None or abs(offset) > 7.0:
                    out.append(f"offset at {name}: {offset}")
                if mean_density(f) > 0.86 * g[name]:
                    out.append(f"reserve at {name}")
        return out
    if not upper + 15 < mean_density(f) < g["rho"] - 15:
        out.append(f"interface float of {mean_density(f)}")
    offset = reading_offset(f, g["rho"], upper)
    if offset is None or abs(offset) > 7:
        out.append(f"offset at the interface: {offset}")
    return out


def _limits(g: Gauge) -> list[str]:
    f = g["f"]
    out: list[str] = []
    op, ot, dp, dt = (None if isinstance(g[name], str) else g[name] for name in ("op", "ot", "dp", "dt"))
    if dp and f.get("pmax") and dp > f["pmax"] - 0.3:
        out.append("float's pressure")
    if dp and f.get("pmax") and g.get("tp") and g["tp"] > f["pmax"]:
        out.append("test pressure")
    if dt is not None and f.get("tmax") and dt > f["tmax"] - 5:
        out.append("float's temperature")
    if op is not None and dp is not None and op > dp:
        out.append("operating above design pressure")
    if ot is not None and dt is not None and ot > dt > 0:
        out.append("operating above design temperature")
    if g.get("grp") and g.get("fclass") and g["dp"] > flange_rating(g["grp"], g["fclass"], g["dt"]) - 0.3:
        out.append(f"flange: {flange_rating(g['grp'], g['fclass'], g['dt'])}")
    if f.get("wall") and f["ends"] != "flat" and g.get("dp") and collapse_pressure(f) / 3 < 1.3 * g["dp"]:
        out.append(f"collapse: {collapse_pressure(f) / 3}")
    return out


def _dimensions(g: Gauge) -> list[str]:
    f = g["f"]
    out: list[str] = []
    if g.get("vis") and g.get("cc") and g["vis"] > g["cc"]:
        out.append("visible range")
    bore = g.get("bore")
    if bore and f["od"] > bore - 4:
        out.append("bore")
    if bore and g.get("mu") and g.get("rho"):
        lag = float_lag(f, g["mu"], g["rho"], bore, g.get("rate", 10))
        if lag > 6:
            out.append(f"lag: {lag}")
    return out
