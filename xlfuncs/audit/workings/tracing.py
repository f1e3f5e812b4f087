"""Heat tracing, as the rules compute it."""

from __future__ import annotations

from xlfuncs.audit.calculation import Calculation
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.working import Working
from xlfuncs.data import load
from xlfuncs.data.constants import STANDARD_ATMOSPHERE, ZERO_CELSIUS
from xlfuncs.gauge import STANDARD_GRAVITY, heat, ratings
from xlfuncs.gauge.heat import STEFAN_BOLTZMANN

TABLE = "table of freezing points"
CHURCHILL_CHU = "vertical plate: Churchill and Chu (1975), Int. J. Heat Mass Transfer 18, 1323"
CHURCHILL_BERNSTEIN = "cylinder in cross flow: Churchill and Bernstein (1977), J. Heat Transfer 99, 300"


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
    _loss(work)
    work.judge("q<q_min", "q", "q_min")


def insulated(gauges: Gauges, settings: Settings, record: int, changes: dict[str, float]) -> Calculation:
    """The same with another insulation, or another output, which suffices."""
    work = Working(gauges, settings, record)
    work.proposed = changes
    _loss(work)
    work.judge("q>=q_min", "q", "q_min")
    return work.done()


def _loss(work: Working) -> None:
    """q, the output, and q_min, that which is needed."""
    work.cell("T_m", "maintain_temperature", "high")
    work.cell("T_a", "minimum_ambient", "low")
    work.cell("D_i", "chamber_diameter", "high")
    work.cell("s", "insulation_thickness", "low")
    if work.gauges.given("insulation_conductivity")[work.record]:
        work.cell("k", "insulation_conductivity", "high")
    else:
        work.setting("k", "insulation_conductivity_w_mk", 1.0, "W/m/K")
    work.setting("v", "wind_m_s", 1.0, "m/s")
    work.setting("eps", "emissivity")
    work.setting("f", "tracing_margin")
    work.cell("q", "tracer_output", "low")
    work.step("D_o", "diameter over the insulation", "D_i+2*s", "m", "geometry")
    _film(work)
    work.step(
        "R",
        "resistance of insulation and film",
        "LN(D_o/D_i)/(2*PI()*k)+1/(PI()*D_o*h)",
        "m K/W",
        "conduction through a cylinder (ISO 12241)",
    )
    work.step("q_loss", "heat loss", "(T_m-T_a)/R", "W/m", "conduction through a cylinder (ISO 12241)")
    follows = "surface temperature that follows: the one above, put in again until both agree"
    work.step("T_o", follows, "T_a+q_loss/(PI()*D_o*h)", "K", "film of the surface")
    work.step("q_min", "output that is needed", "q_loss*f", "W/m")
    near = "OR(ABS(T_o-T_s)<=0.5,ABS(q-q_min)>0.1*q_min)"
    work.holds(f"AND(ABS(T_o-T_s)<=20,{near})", "T_s has to be solved anew")


def _film(work: Working) -> None:
    """h, the outside film, at the surface temperature T_s where it gives off what the insulation passes."""
    now = work.numbers
    surface = float(
        heat.surface_temperature(*(now[name] for name in ("T_m", "T_a", "D_i", "s", "k", "v", "eps")))
    )
    work.constant(
        "T_s", "surface temperature", surface, "K", "solved: the film gives off what the insulation passes"
    )
    _air(work)
    grashof = f"{STANDARD_GRAVITY}*ABS(T_s-T_a)/T_f/nu^2"
    rising = f"(0.825+0.387*({grashof}*Pr)^(1/6)/(1+(0.492/Pr)^(9/16))^(8/27))^2*k_a"
    work.step("h_n", "natural convection, on a height of 1 m", rising, "W/m2/K", CHURCHILL_CHU)
    across = "0.62*SQRT(v*D_o/nu)*Pr^(1/3)/(1+(0.4/Pr)^(2/3))^0.25*(1+(v*D_o/nu/282000)^0.625)^0.8"
    if now["v"]:
        work.step("h_w", "wind across the chamber", f"(0.3+{across})*k_a/D_o", "W/m2/K", CHURCHILL_BERNSTEIN)
    radiation = f"eps*{STEFAN_BOLTZMANN}*(T_s^2+T_a^2)*(T_s+T_a)"
    work.step("h_r", "radiation", radiation.replace("e-0", "E-0"), "W/m2/K", "Stefan and Boltzmann")
    joined = "(h_n^4+h_w^4)^0.25+h_r" if now["v"] else "h_n+h_r"
    work.step(
        "h", "film coefficient", joined, "W/m2/K", "fourth powers: Incropera and DeWitt, 9.9 (from memory)"
    )


def _air(work: Working) -> None:
    """k_a, nu and Pr of the air in the film."""
    data = load("air")
    law, thick, gas = data["conductivity"], data["viscosity"], data["gas"]
    work.step("T_f", "mean temperature of the film", "(T_s+T_a)/2", "K")
    conducts = f"{law['c']}*T_f^1.5/(T_f+{law['a']}*10^(-{law['b']:g}/T_f))"
    work.step("k_a", "conductivity of air", conducts, "W/m/K", str(law["source"]))
    flows = f"{thick['beta'] * 1e6}*T_f^1.5/(T_f+{thick['sutherland']})/1000000"
    work.step("mu_a", "viscosity of air", flows, "Pa.s", str(thick["source"]))
    kinematic = f"mu_a*{gas['specific_gas_constant']}*T_f/{STANDARD_ATMOSPHERE:g}"
    work.step("nu", "kinematic viscosity of air", kinematic, "m2/s", f"ideal gas at 1 atm; {gas['source']}")
    work.step("Pr", "Prandtl number of air", f"mu_a*{gas['heat_capacity']}/k_a", "", str(gas["source"]))


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
