"""What an inquiry asks for: a duty for each of its gauges, and what has to be asked back.

Every record of a gauge is a case. What is missing is a question; what is assumed instead is said.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.gauges import DENSITIES, FLANGE_MATERIALS, Gauges
from xlfuncs.audit.remedies.values import SWITCHES
from xlfuncs.audit.rules.strength.shared import ratings_of_flanges
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.gauge.choice import Condition, Duty
from xlfuncs.gauge.density import GROUPS, liquid_density, oil_density_60
from xlfuncs.gauge.fluids import freezing_temperature
from xlfuncs.lists.model import State


@dataclass(frozen=True)
class Question:
    """What the customer has to say."""

    text: str
    why: str = ""
    blocking: bool = False
    """No float can be named before it is answered."""


@dataclass(frozen=True)
class Asked:
    """One gauge of an inquiry. Lengths [m] above the lower connection; NaN where not stated."""

    tag: str
    service: str
    fluid: str
    upper_fluid: str
    duty: Duty | None
    questions: tuple[Question, ...]
    assumptions: tuple[str, ...]
    interface: bool = False
    connection_distance: float = math.nan
    visible_low: float = math.nan
    visible_range: float = math.nan
    lrv: float = math.nan
    urv: float = math.nan
    reverse: bool = False
    switches: Mapping[str, float] = field(default_factory=dict)
    operating_temperature: tuple[float, float] = (math.nan, math.nan)
    operating_pressure: tuple[float, float] = (math.nan, math.nan)
    pour_point: float = math.nan
    minimum_ambient: float = math.nan
    traced: bool | None = None
    """None where the inquiry says nothing of tracing."""
    flange_class: str = ""
    flange_rating: float = math.nan
    """Pa gauge at design temperature; NaN where the material is not known."""
    vapour_bound: float = 0.0
    """Density that an unstated vapour can have at most [kg/m3]."""
    remarks: str = ""
    item: str = ""
    """The customer's number of it."""


_READ = (
    *DENSITIES,
    *("upper_density", "operating_temperature", "operating_pressure", "design_temperature"),
    *("design_pressure", "viscosity", "connection_distance", "visible_range", "visible_low"),
    *("chamber_bore", "lrv", "urv", *SWITCHES, "pour_point", "minimum_ambient", "level_rate"),
)
"""Fields whose unusable cells are asked back."""


def duties(
    gauges: Gauges, settings: Settings, items: Mapping[tuple[str, int], str] | None = None
) -> list[Asked]:
    """The gauges of an inquiry in their order. `items`: (sheet, row) -> the customer's number of it."""
    ratings = ratings_of_flanges(gauges)
    groups: dict[object, list[int]] = {}
    for i in range(gauges.n):
        groups.setdefault(_gauge_of(gauges, i), []).append(i)
    made = []
    for records in groups.values():
        places = ((str(gauges.sheet[i]), int(gauges.row[i])) for i in records)
        item = next((items[place] for place in places if items and place in items), "")
        made.append(replace(_asked(gauges, records, settings, ratings), item=item))
    return made


_FIXED = ("connection_distance", "chamber_bore", "visible_range", "lrv", "urv")
"""What does not differ between the cases of a gauge."""


def _gauge_of(gauges: Gauges, i: int) -> object:
    """What the records of one gauge have in common: a tag that stands in several rows has a case in each."""
    if gauges.cases[i]:
        return (gauges.tag(i), *gauges.place(i, "tag"))
    if not gauges.tag(i):
        return i
    fixed = [f"{float(gauges.si(name)[i]):.6g}" for name in _FIXED]
    return (str(gauges.sheet[i]), gauges.tag(i).casefold(), str(gauges.texts("serial")[i]), *fixed)


class _Gauge:
    """The records of one gauge, as they are asked of."""

    def __init__(self, gauges: Gauges, records: list[int]) -> None:
        self.gauges, self.records = gauges, records
        self.questions: list[Question] = []
        self.assumptions: list[str] = []
        self.asked_back: set[str] = set()
        """Fields whose cells hold something that cannot be used."""

    def given(self, field_: str) -> bool:
        return any(self.gauges.given(field_)[i] for i in self.records)

    def text(self, field_: str) -> str:
        return next((str(t) for i in self.records if (t := self.gauges.texts(field_)[i])), "")

    def span(self, field_: str) -> tuple[float, float]:
        low = [float(self.gauges.low(field_)[i]) for i in self.records]
        high = [float(self.gauges.high(field_)[i]) for i in self.records]
        return float(np.fmin.reduce(low)), float(np.fmax.reduce(high))

    def number(self, field_: str) -> float:
        return next(
            (x for i in self.records if not math.isnan(x := float(self.gauges.si(field_)[i]))), math.nan
        )

    def case(self, i: int) -> str:
        """How the case of a record is called; "" where it is the only one."""
        row = f"row {int(self.gauges.row[i])}" if len(self.records) > 1 else ""
        return self.gauges.cases[i] or row

    def ask(self, text: str, why: str = "", blocking: bool = False) -> None:
        self.questions.append(Question(text, why, blocking))


def _asked(gauges: Gauges, records: list[int], settings: Settings, ratings: NDArray[np.float64]) -> Asked:
    one, first = _Gauge(gauges, records), records[0]
    if len(records) > 1 and not gauges.cases[first]:
        rows = ", ".join(str(int(gauges.row[i])) for i in records)
        one.assumptions.append(f"rows {rows} of the inquiry are cases of this one gauge")
    for name, text in _unusable(gauges, records):
        one.ask(text)
        one.asked_back.add(name)
    interface = any(bool(gauges.interface[i]) for i in records)
    duty = _duty(one, interface, settings)
    rating = float(ratings[first])
    _ask_the_rest(one, interface, rating)
    tracing = bool(gauges.traced[first]), bool(gauges.untraced[first])
    switches = {name.removeprefix("switch_").upper(): one.number(name) for name in SWITCHES}
    bound = 0.0 if interface or one.given("upper_density") else float(np.nanmax(gauges.uppers[1][records]))
    return Asked(
        tag=gauges.tag(first) or f"row {int(gauges.row[first])}",
        service=one.text("service"),
        fluid=one.text("fluid"),
        upper_fluid=one.text("upper_fluid"),
        duty=duty,
        questions=tuple(one.questions),
        assumptions=tuple(one.assumptions),
        interface=interface,
        connection_distance=one.number("connection_distance"),
        visible_low=one.number("visible_low"),
        visible_range=one.number("visible_range"),
        lrv=one.number("lrv"),
        urv=one.number("urv"),
        reverse=bool(gauges.says("action", "reverse")[first]),
        switches={name: at for name, at in switches.items() if not math.isnan(at)},
        operating_temperature=one.span("operating_temperature"),
        operating_pressure=one.span("operating_pressure"),
        pour_point=_solid_from(one),
        minimum_ambient=one.span("minimum_ambient")[0],
        traced=True if tracing[0] else False if tracing[1] else None,
        flange_class=one.text("flange_class"),
        flange_rating=rating,
        vapour_bound=bound,
        remarks=one.text("remarks"),
    )


def _solid_from(one: _Gauge) -> float:
    """Pour or freezing point, as stated or of a known pure fluid [K]."""
    stated = float(np.fmax(one.span("pour_point")[1], one.span("freezing_point")[1]))
    if math.isnan(stated) and one.gauges.given("known_freezing")[one.records[0]] and one.text("fluid"):
        return float(freezing_temperature(one.text("fluid")))
    return stated


def _unusable(gauges: Gauges, records: list[int]) -> Iterator[tuple[str, str]]:
    """Fields with cells that hold something which cannot be used, and the questions."""
    for name in _READ:
        column = gauges.column(name)
        for i in records:
            state = State(int(column.state[i]))
            if state in (State.OK, State.TEXT_NUMBER, State.BLANK) or gauges.dashed(name)[i]:
                continue
            label = str(load("fields")[name]["label"])
            raw = " ".join(str(column.raw[i]).split())
            if state is State.PLACEHOLDER:
                continue  # asked for as what is missing
            where = f"'{raw}' in cell {column.address(i)}"
            yield name, f"{label[:1].upper()}{label[1:]}: {where} could not be used; which value is meant?"


# --- the duty --------------------------------------------------------------------------------------------


def _duty(one: _Gauge, interface: bool, settings: Settings) -> Duty | None:
    """The duty, where the densities are known; what stands in the way becomes a question."""
    conditions = [c for i in one.records for c in _conditions(one, i, interface)]
    if not conditions:
        return None
    pressure, temperature = one.span("design_pressure")[1], one.span("design_temperature")[1]
    rate = one.number("level_rate")
    bore = one.number("chamber_bore")
    try:
        return Duty(
            tuple(dict.fromkeys(conditions)),
            design_pressure=pressure,
            design_temperature=temperature,
            lowest_temperature=one.span("operating_temperature")[0],
            tolerance=settings.offset_tolerance_mm / 1e3,
            minimum_reserve=settings.float_reserve_minimum,
            chamber_bore=bore,
            level_rate=settings.level_rate_mm_s / 1e3 if math.isnan(rate) else rate,
            safety_factor=settings.safety_factor,
            service="interface" if interface else "level",
        )
    except ValueError as why:
        one.ask(f"The data contradict each other: {why}. Which are right?", blocking=True)
        return None


def _conditions(one: _Gauge, i: int, interface: bool) -> Iterator[Condition]:
    """The states of the fluids of one record: lowest, normal and highest density."""
    gauges = one.gauges
    low, high, normal = _densities(one, i)
    case = one.case(i)
    if math.isnan(low):
        where = f" in {case}" if case else ""
        one.ask(
            f"Density of the {'lower ' if interface else ''}liquid at operating temperature{where}?",
            "without it no float can be chosen",
            True,
        )
        return
    if _no_liquid(one, i, low):
        return
    upper = [float(end[i]) for end in (gauges.low("upper_density"), gauges.high("upper_density"))]
    if math.isnan(upper[0]):
        if interface:
            one.ask(
                "Density of the upper liquid at operating temperature?", "the float rides between both", True
            )
            return
        upper = [0.0, 0.0]
    viscosity = float(gauges.high("viscosity")[i])
    names = ["lowest density", "normal density", "highest density"]
    values = [low, normal, high]
    if low == high:
        names, values = ["operating density"], [low]
        if upper[0] < upper[1]:
            names, values = ["lightest upper fluid", "densest upper fluid"], [low, low]
    for name, density in zip(names, values, strict=True):
        above = upper[0] if name.startswith(("lo", "light")) else upper[1]
        if name == "normal density":
            if not low < density < high:
                continue
            above = sum(upper) / 2
        yield Condition(f"{case}, {name}" if case else name, density, above, viscosity=viscosity)


_LIGHTEST = 300.0
"""kg/m3 below which no liquid is that stands in a process vessel, save a few near their critical point and
liquefied hydrogen and helium, whose names are known (from memory of tables of saturated liquids)."""
_FAR = 0.25
"""Share by which a stated density may differ from that of the pure fluid before it is asked back: our own
choice, wide enough for solutions and mixtures that go by the name."""


def _no_liquid(one: _Gauge, i: int, low: float) -> bool:
    """A stated density that no liquid has is asked back, and no float is named by it; one far from the known
    fluid's is asked back as well."""
    kelvin = float(one.gauges.si("operating_temperature")[i])
    pure = math.nan
    if one.gauges.known_fluid[i] and not math.isnan(kelvin):
        pure = float(liquid_density(str(one.gauges.texts("fluid")[i]), kelvin))
    where = _where_stated(one, i, low)
    if math.isnan(pure):
        if low >= _LIGHTEST:
            return False
        meant = f"; {10 * low:.0f}" if _LIGHTEST <= 10 * low <= 2000 else ""
        one.ask(
            f"Density of the liquid {low:.4g} kg/m3{where}: which value is meant{meant}?",
            "no liquid is that light",
            True,
        )
        return True
    if abs(low / pure - 1) > _FAR:
        one.ask(
            f"Density of the liquid {low:.4g} kg/m3{where}: is it right?",
            f"the pure fluid '{one.gauges.texts('fluid')[i]}' has {pure:.0f} kg/m3 at operating temperature",
            low < _LIGHTEST,
        )
        return low < _LIGHTEST
    return False


def _where_stated(one: _Gauge, i: int, low: float) -> str:
    """' in cell E12': where the lowest density stands."""
    for name in DENSITIES:
        column = one.gauges.column(name)
        address = column.address(i)
        if address and abs(float(column.low[i]) - low) <= 1e-6 * low:
            return f" in cell {address}"
    return ""


def _densities(one: _Gauge, i: int) -> tuple[float, float, float]:
    """(lowest, highest, normal) density; of a pure fluid by its equation of state where none is stated."""
    gauges = one.gauges
    low, high = (float(end[i]) for end in gauges.densities)
    kelvin = (float(gauges.low("operating_temperature")[i]), float(gauges.high("operating_temperature")[i]))
    if math.isnan(low):
        return _reference(one, i, kelvin)
    if gauges.by_api_gravity[i] and not math.isnan(kelvin[0]):
        ends = [
            float(oil_density_60(rho, t, group))
            for group in GROUPS
            for rho, t in ((low, kelvin[1]), (high, kelvin[0]))
        ]
        ends = [end for end in ends if not math.isnan(end)]
        if ends:
            one.ask(
                f"Density at operating temperature? An API gravity holds for 60 degF ({low:.0f} kg/m3).",
                f"by API MPMS 11.1 it is {min(ends):.0f} to {max(ends):.0f} kg/m3 in operation",
            )
            one.assumptions.append(
                f"density {min(ends):.0f} to {max(ends):.0f} kg/m3: the API gravity brought to operating "
                "temperature by API MPMS 11.1, for every group of oils"
            )
            return min(ends), max(ends), math.nan
    return low, high, float(gauges.si("fluid_density")[i])


def _reference(one: _Gauge, i: int, kelvin: tuple[float, float]) -> tuple[float, float, float]:
    """Density of a named pure fluid, saturated at operating temperature."""
    name = str(one.gauges.texts("fluid")[i])
    if not one.gauges.known_fluid[i] or math.isnan(kelvin[0]):
        return math.nan, math.nan, math.nan
    low, high = (float(liquid_density(name, t)) for t in reversed(kelvin))
    if math.isnan(low + high):
        return math.nan, math.nan, math.nan
    span = f"{low:.0f}" if low == high else f"{low:.0f} to {high:.0f}"
    one.ask(
        f"Density at operating temperature? The pure fluid has {span} kg/m3.",
        "none is stated; the float is provisional",
    )
    one.assumptions.append(
        f"density {span} kg/m3: that of the pure fluid '{name}', saturated at operating temperature"
    )
    return low, high, math.nan


# --- what else is asked ------------------------------------------------------------------------------------

_ASKED = (
    (
        "design_pressure",
        "Design pressure?",
        "strength of the float and the flanges is not checked without it",
    ),
    ("design_temperature", "Design temperature?", "float and magnet are not checked against it"),
    ("chamber_bore", "Bore of the chamber, or may we choose it?", "whether the float goes in"),
    ("viscosity", "Viscosity at operating temperature?", "how far the reading is behind a moving level"),
    ("flange_class", "Size, class and facing of the process connections?", ""),
)


def _ask_the_rest(one: _Gauge, interface: bool, rating: float) -> None:
    for name, text, why in _ASKED:
        if not one.given(name) and name not in one.asked_back:
            one.ask(text, why)
    if not (one.given("connection_distance") or one.given("visible_range")):
        one.ask("Centre to centre of the connections, or the visible range?", "length of the gauge")
    if one.given("flange_class") and math.isnan(rating) and one.given("design_pressure"):
        stated = any(one.given(name) for name in FLANGE_MATERIALS)
        if not stated:
            one.ask("Material of chamber and flanges?", "pressure rating of the flange class")
    if one.given("lrv") != one.given("urv") and not one.asked_back & {"lrv", "urv"}:
        one.ask(f"{'Upper' if one.given('lrv') else 'Lower'} range value of the transmitter?")
    for i in one.records[:1]:
        if one.gauges.traced[i] or one.gauges.untraced[i]:
            continue
        if not (
            one.given("pour_point") or one.given("freezing_point") or one.gauges.given("known_freezing")[i]
        ):
            one.ask("Pour point or freezing point?", "whether the chamber has to be traced")
        if not one.given("minimum_ambient"):
            one.ask("Lowest ambient temperature?", "whether the chamber has to be traced")
