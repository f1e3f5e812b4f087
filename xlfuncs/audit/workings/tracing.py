"""Heat tracing, as the rules compute it."""

from __future__ import annotations

from xlfuncs.audit.registry import Hit
from xlfuncs.audit.working import Working
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import heat, ratings

TABLE = "table of freezing points"


def freezes(work: Working, hit: Hit) -> None:
    """Pour or freezing point against the coldest day."""
    points = [name for name in ("pour_point", "freezing_point") if work.gauges.given(name)[work.record]]
    for symbol, name in zip(("T_1", "T_2"), points, strict=False):
        work.cell(symbol, name, "high")
    if not points:
        work.text("fluid", "fluid")
        number = float(hit.evidence["pour_or_freezing_point_degC"]) + ZERO_CELSIUS
        work.constant("T_1", "freezing point of the fluid", number, "K", TABLE)
    work.cell("T_a", "minimum_ambient", "low")
    work.setting("x", "freezing_margin_k", 1.0, "K difference")
    work.step(
        "T_s", "temperature at which the fluid stops flowing", "MAX(T_1,T_2)" if points[1:] else "T_1", "K"
    )
    work.judge("T_s+x>T_a", "T_s", "T_a")


def heat_loss(work: Working, hit: Hit) -> None:
    """Heat loss of the insulated chamber against the tracer's output."""
    work.cell("T_m", "maintain_temperature", "high")
    work.cell("T_a", "minimum_ambient", "low")
    work.cell("D_i", "chamber_diameter")
    work.cell("s", "insulation_thickness")
    if work.gauges.given("insulation_conductivity")[work.record]:
        work.cell("k", "insulation_conductivity")
    else:
        work.setting("k", "insulation_conductivity_w_mk", 1.0, "W/m/K")
    work.setting("v", "wind_m_s", 1.0, "m/s")
    work.setting("eps", "emissivity")
    work.setting("f", "tracing_margin")
    work.cell("q", "tracer_output", "low")
    work.step("D_o", "diameter over the insulation", "D_i+2*s", "m", "geometry")
    now = work.numbers
    given = [now[name] for name in ("T_m", "T_a", "D_i", "s", "k", "v", "eps")]
    surface = float(heat.surface_temperature(*given))
    film = float(heat.film_coefficient(surface, now["T_a"], now["D_o"], now["v"], now["eps"]))
    work.computed(
        "h",
        f"film coefficient at a surface of {surface - ZERO_CELSIUS:.2f} degC",
        film,
        "W/m2/K",
        "gauge.heat.film_coefficient",
        "convection and radiation, as named there",
    )
    work.step(
        "R",
        "resistance of insulation and film",
        "LN(D_o/D_i)/(2*PI()*k)+1/(PI()*D_o*h)",
        "m K/W",
        "conduction through a cylinder (ISO 12241)",
    )
    work.step("q_loss", "heat loss", "(T_m-T_a)/R", "W/m", "conduction through a cylinder (ISO 12241)")
    work.step("q_min", "output that is needed", "q_loss*f", "W/m")
    work.judge("q<q_min", "q", "q_min")


def too_hot(work: Working, hit: Hit) -> None:
    """Maintain or sheath temperature against the lowest limit."""
    hottest, limits = [], []
    for symbol, field in (("T_m", "maintain_temperature"), ("T_h", "sheath_temperature")):
        if work.gauges.given(field)[work.record]:
            work.cell(symbol, field, "high")
            hottest.append(symbol)
    for symbol, field in (
        ("T_1", "float_max_temperature"),
        ("T_2", "magnet_max_temperature"),
        ("T_3", "transmitter_max_temperature"),
    ):
        if work.gauges.given(field)[work.record]:
            work.cell(symbol, field, "low")
            limits.append(symbol)
    if work.gauges.given("temperature_class")[work.record]:
        name = work.text("class", "temperature_class")
        limit = float(ratings.temperature_class_limit(name))
        if limit == limit:
            work.constant("T_4", f"limit of {name}", limit, "K", "IEC 60079-0")
            limits.append("T_4")
    work.step("T", "hottest part of the tracer", f"MAX({','.join(hottest)})", "K")
    work.step("T_max", "lowest limit", f"MIN({','.join(limits)})", "K")
    work.judge("T>T_max+1E-6", "T", "T_max")
