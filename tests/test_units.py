"""Units: texts as they stand in cells and headings, conversions against other libraries, refusals.

Published factors are in `published/units.csv`.
"""

from __future__ import annotations

import math
import subprocess
import sys
from fractions import Fraction
from time import perf_counter
from typing import Any

import chemicals
import numpy as np
import pytest
import scipy.constants as si
from chemicals.viscosity import viscosity_converter
from fluids.piping import NPS40, S40o
from hypothesis import example, given
from hypothesis import strategies as st

from xlfuncs.data import load
from xlfuncs.units import (
    AmbiguousUnit,
    ImpossibleValue,
    UnitError,
    _convert,
    converter,
    find_unit,
    from_si,
    is_unit,
    marks_of,
    outside_diameter,
    parse,
    pipe_size,
    quantities_of,
    split_quotient,
    tabulate,
    to_si,
    units_for,
)
from xlfuncs.units._pipe import pipe_sizes

QUANTITIES = [  # the names on which the other layers rely
    *("length", "mass", "density", "temperature", "temperature_difference", "velocity", "time"),
    *("pressure_gauge", "pressure_absolute", "pressure_difference", "stiffness", "percent", "ratio"),
    *("dynamic_viscosity", "kinematic_viscosity", "current", "voltage", "resistance"),
    *("power_per_length", "conductivity", "heat_capacity", "latent_heat"),
]
EVERY_UNIT = [
    (unit, quantity) for quantity in QUANTITIES for unit in units_for(quantity) if unit != "SSU"
]  # seconds begin at 32: they have tests of their own
converter("mm", "length")  # the first use is slow, it imports pint
NUMBERS = st.floats(min_value=1e-3, max_value=120.0)


# --- conversions ------------------------------------------------------------------------------------


@given(st.sampled_from(EVERY_UNIT), NUMBERS)
def test_a_number_survives_the_way_to_si_and_back(named: tuple[str, str], number: float) -> None:
    unit, quantity = named
    one = converter(unit, quantity)
    size = abs(one.to_si(number)) + abs(one.offset)  # a large offset costs digits
    digits = 1e-14 * size / abs(one.scale) if unit != "degAPI" else 1e-13  # 141.5 / (131.5 + number)
    assert one.from_si(one.to_si(number)) == pytest.approx(number, rel=1e-12, abs=digits)


@given(st.sampled_from(EVERY_UNIT), NUMBERS, NUMBERS)
def test_the_order_of_numbers_is_kept_or_turned(named: tuple[str, str], a: float, b: float) -> None:
    one = converter(*named)
    low, high = sorted((a, b))
    if high > low * (1 + 1e-6):
        difference = one.to_si(high) - one.to_si(low)
        assert difference > 0 if one.rising else difference < 0


@pytest.mark.parametrize(("unit", "quantity"), EVERY_UNIT)
def test_an_array_is_converted_like_its_numbers(unit: str, quantity: str) -> None:
    one = converter(unit, quantity)
    numbers = np.array([[0.5, 1.0, 2.5], [10.0, 20.0, 30.0]])
    there = one.to_si(numbers)
    np.testing.assert_array_equal(there, [[one.to_si(x) for x in row] for row in numbers.tolist()])
    np.testing.assert_array_equal(
        one.from_si(there), [[one.from_si(x) for x in row] for row in there.tolist()]
    )


@pytest.mark.parametrize(("unit", "quantity"), EVERY_UNIT)
def test_canonical_names_name_themselves(unit: str, quantity: str) -> None:
    one = converter(unit, quantity)
    assert (one.unit, one.quantity, one.assumed) == (unit, quantity, "")
    assert quantity in quantities_of(unit)
    assert find_unit(unit, quantity) == unit
    assert unit == "1" or parse(f"20 {unit}", quantity).unit == unit


@pytest.mark.parametrize(
    ("unit", "quantity", "reference"),
    [
        ("in", "length", si.inch),
        ("ft", "length", si.foot),
        ("mil", "length", si.mil),
        ("lb", "mass", si.lb),
        ("oz", "mass", si.oz),
        ("psi", "pressure_difference", si.psi),
        ("atm", "pressure_difference", si.atm),
        ("bar", "pressure_difference", si.bar),
        ("torr", "pressure_difference", si.torr),
        ("kgf/cm2", "pressure_difference", si.kgf / si.centi**2),
        ("mmH2O", "pressure_difference", 9.80665),  # 1000 kg/m3 and standard gravity, by convention
        ("lb/ft3", "density", si.lb / si.foot**3),
        ("lb/US gal", "density", si.lb / si.gallon_US),
        ("lb/UK gal", "density", si.lb / si.gallon_imp),
        ("mph", "velocity", si.mph),
        ("km/h", "velocity", si.kmh),
        ("knot", "velocity", si.knot),
        ("ft/min", "velocity", si.foot / si.minute),
        ("d", "time", si.day),
        ("degF", "temperature_difference", si.degree_Fahrenheit),
        ("BTU/h/ft", "power_per_length", si.Btu_IT / si.hour / si.foot),
        ("kcal/h/m", "power_per_length", 1e3 * si.calorie_IT / si.hour),
        ("W/ft", "power_per_length", 1 / si.foot),
        ("kcal/kg/K", "heat_capacity", 1e3 * si.calorie_IT),
        ("BTU in/h/ft2/F", "conductivity", si.Btu_IT * si.inch / si.hour / si.foot**2 / si.degree_Fahrenheit),
        ("kcal/h/m/K", "conductivity", 1e3 * si.calorie_IT / si.hour),
        ("kgf/mm", "stiffness", si.kgf / si.milli),
    ],
)
def test_factors_agree_with_scipy_constants(unit: str, quantity: str, reference: float) -> None:
    assert to_si(1.0, unit, quantity) == pytest.approx(reference, rel=2e-9)


@given(st.floats(min_value=-400.0, max_value=1000.0))
def test_temperatures_agree_with_scipy(number: float) -> None:
    for unit, scale in (("degC", "Celsius"), ("degF", "Fahrenheit"), ("degR", "Rankine"), ("K", "Kelvin")):
        expected = si.convert_temperature(number, scale, "Kelvin")
        assert to_si(number, unit, "temperature") == pytest.approx(expected, abs=1e-9)


@given(st.floats(min_value=-20.0, max_value=120.0))
def test_api_gravity_agrees_with_chemicals(degrees: float) -> None:
    gravity = chemicals.API_to_SG(degrees)
    assert to_si(degrees, "degAPI", "density") == pytest.approx(to_si(gravity, "SG", "density"), rel=1e-12)
    # chemicals takes 999.01708 kg/m3 for water at 60 degF
    assert to_si(degrees, "degAPI", "density") == pytest.approx(chemicals.API_to_rho(degrees), rel=1e-8)


def test_water_references_are_iapws_95() -> None:
    from CoolProp.CoolProp import PropsSI

    for unit, celsius in (
        ("SG 15/4", 4),
        ("SG 15/15", 15),
        ("SG", (60 - 32) / 1.8),
        ("SG 20/20", 20),
        ("SG 25/25", 25),
    ):
        water = PropsSI("D", "T", celsius + 273.15, "P", 101325, "Water")
        assert to_si(1.0, unit, "density") == pytest.approx(water, abs=2e-6)


def test_each_law_of_a_hydrometer_meets_water_at_its_own_mark() -> None:
    water = to_si(1.0, "SG", "density")
    for unit, mark in (("degAPI", 10.0), ("degBe heavy", 0.0), ("degBe light", 10.0), ("degTw 60F", 0.0)):
        assert to_si(mark, unit, "density") == pytest.approx(water, rel=1e-14)


@pytest.mark.parametrize(
    ("unit", "number"),
    [("degAPI", -131.5), ("degAPI", -200.0), ("degBe heavy", 145.0), ("degBe light", -130.0)],
)
def test_a_hydrometer_reading_that_is_no_density_gives_nan(unit: str, number: float) -> None:
    one = converter(unit, "density")
    assert math.isnan(one.to_si(number))
    np.testing.assert_array_equal(np.isnan(one.to_si(np.array([number, 20.0]))), [True, False])
    with pytest.raises(UnitError, match="no density"):
        parse(f"{number} {unit}", "density")


def test_no_density_is_no_hydrometer_reading() -> None:
    one = converter("degAPI", "density")
    assert math.isnan(one.from_si(0.0))
    np.testing.assert_array_equal(np.isnan(one.from_si(np.array([-1.0, 0.0, 800.0]))), [True, True, False])


def test_gauge_and_absolute_are_one_standard_atmosphere_apart() -> None:
    for bare in load("units")["pressure"]["units"].values():
        gauge, absolute = bare["gauge"], bare["absolute"]
        for number in (0.0, 3.5):
            there = to_si(number, gauge, "pressure_absolute") - to_si(number, absolute, "pressure_absolute")
            back = to_si(number, gauge, "pressure_gauge") - to_si(number, absolute, "pressure_gauge")
            assert there == back == pytest.approx(101325.0, rel=1e-12)


def test_converters_are_kept() -> None:
    assert converter("kg/m³", "density") is converter("kg/m³", "density")


def test_functions_take_numbers_lists_and_arrays() -> None:
    assert to_si(2, "in", "length") == pytest.approx(0.0508)
    np.testing.assert_allclose(to_si([1, 2], "in", "length"), [0.0254, 0.0508])
    np.testing.assert_allclose(from_si(np.array([0.0254]), "in", "length"), [1.0])


# --- spellings --------------------------------------------------------------------------------------

SPELLINGS = {
    ("length", "mm"): "mm|MM|millimetres|m m",
    ("length", "in"): "in|in.|inch|INCHES|\"|”|″|''|Zoll|pulgadas",
    ("length", "ft"): "ft|FT.|feet|'|′|’",
    ("mass", "g"): "g|gram|gms|Gramm",
    ("mass", "lb"): "lb|lbs|LBS.|lbm",
    ("density", "kg/m3"): "kg/m3|kg/m³|kg/m^3|KG/M3|kg/cum|kg/cu.m|kg / m3|kg·m⁻³|kg m-3|[kg/m³]|㎏/㎥",
    ("density", "g/cm3"): "g/cm3|g/cc|g/cm³|gm/cc|gr/cm³",
    ("density", "kg/l"): "kg/l|kg/L|kg/dm³|kg/ltr",
    ("density", "lb/ft3"): "lb/ft3|lb/ft³|lbs/cu.ft|lb/cu ft|lbm/ft3|pcf",
    (
        "density",
        "SG",
    ): "SG|S.G.|sg|Sp.Gr.|sp. gr.|spec. gravity|Specific Gravity|rel. density|"
    "relative density|SG 60/60|SG 60/60°F|SG (60F/60F)|Rel. Dichte|densité relative",
    ("density", "SG 15/4"): "SG 15/4|SG(15C/4C)|SG 15°C/4°C|SG @ 15/4|d 15/4|RD 15/4",
    ("density", "SG 20/4"): "SG 20/4|d20/4|SG(20°C/4°C)",
    ("density", "SG 15/15"): "SG 15/15|SG 15°C/15°C",
    ("density", "degAPI"): "degAPI|°API|API|deg. API|º API|API gravity",
    ("density", "degBe heavy"): "degBe heavy|°Bé heavy|Baumé heavy|Baume (heavy)|deg Baumé heavy",
    ("density", "degBe light"): "degBe light|°Bé light|Baumé (light)",
    ("density", "degTw 60F"): "degTw 60F|°Tw 60 °F|Twaddell 60F",
    (
        "pressure_gauge",
        "barg",
    ): "barg|bar(g)|bar g|BARG|Bar G|bar gauge|barü|bar ü|bar(Ü)|"
    "bar Überdruck|bar rel|bar rel.|bar man|bar man.|bar eff.|bar(g).",
    ("pressure_gauge", "bara"): "bara|bar a|bar(a)|bar abs|bar abs.|BARA|bar absolute|bar absolut",
    ("pressure_gauge", "psig"): "psig|psi g|psi(g)|PSIG|lb/in2 g|lbf/in² (g)",
    ("pressure_gauge", "psia"): "psia|psi(a)|psi abs",
    ("pressure_gauge", "kPag"): "kPag|kPa g|kPa(g)|KPAG",
    ("pressure_gauge", "kPaa"): "kPaa|kPa(a)|kPa abs",
    ("pressure_gauge", "MPag"): "MPag|MPa(g)|MPa g|N/mm2 g",
    (
        "pressure_gauge",
        "kgf/cm2 g",
    ): "kgf/cm2 g|kg/cm2 g|kg/cm² (g)|kgf/cm²(g)|KG/CM2G|kgf/cm² man.|kg/cm2-g|kp/cm2 ü|kg/sq.cm g",
    ("pressure_gauge", "kgf/cm2 a"): "kgf/cm2 a|kg/cm2 abs|kg/cm²(a)",
    ("pressure_gauge", "ata"): "ata|ATA|at abs",
    ("pressure_gauge", "atg"): "atg|atü|at ü",
    ("pressure_gauge", "mmH2O g"): "mmH2O g|mm H2O (g)|mmWC g|mmWS ü",
    ("pressure_gauge", "bar"): "bar",
    ("pressure_difference", "bar"): "bar|bard|bar diff.",
    ("pressure_difference", "psi"): "psi|psid|lb/sq.in|lbf/in²",
    ("pressure_difference", "MPa"): "MPa|N/mm²|MPA",
    ("pressure_difference", "mmH2O"): "mmH2O|mm H₂O|mmWC|mm WC|mmWS|mm WG",
    ("pressure_difference", "inH2O"): 'inH2O|in. H2O|in WC|inch H2O|"WC|" H2O',
    ("pressure_difference", "mmHg"): "mmHg|mm Hg",
    ("pressure_difference", "mbar"): "mbar|MBAR",
    (
        "temperature",
        "degC",
    ): "degC|°C|deg C|C|º C|˚C|℃|DEG. C|deg. C|Grad C|Grad Celsius|grados C|degrés C|Celsius",
    ("temperature", "degF"): "degF|°F|deg F|F|℉|Fahrenheit",
    ("temperature", "K"): "K|Kelvin|°K",
    ("temperature", "degR"): "degR|°R|Rankine",
    ("dynamic_viscosity", "mPa.s"): "mPa.s|mPa·s|mPas|mPa s|mPa*s|mPa-s|mPa⋅s|MPA.S",
    ("dynamic_viscosity", "Pa.s"): "Pa.s|Pa·s|Pa s",
    ("dynamic_viscosity", "cP"): "cP|CP|cp|cps|centipoise",
    ("dynamic_viscosity", "P"): "P|Poise",
    ("kinematic_viscosity", "mm2/s"): "mm2/s|mm²/s|mm²/sec",
    ("kinematic_viscosity", "cSt"): "cSt|CST|cst|centistokes",
    ("kinematic_viscosity", "St"): "St|Stokes",
    ("kinematic_viscosity", "SSU"): "SSU|SUS|ssu|Saybolt|Saybolt Universal|sec. Saybolt Universal",
    ("current", "mA"): "mA|MA|ma|mA DC|milliamps",
    ("voltage", "V"): "V|VDC|V d.c.|volts",
    ("resistance", "ohm"): "ohm|Ohms|Ω|Ω",
    ("power_per_length", "W/m"): "W/m|w/m|Watt/m|W·m⁻¹",
    ("power_per_length", "BTU/h/ft"): "BTU/h/ft|BTU/hr-ft|Btu/(h ft)|BTU/hr/ft",
    ("velocity", "mm/s"): "mm/s|mm/sec|mm s⁻¹",
    ("velocity", "m/h"): "m/h|m/hr",
    ("velocity", "in/min"): 'in/min|"/min|inches/min',
    ("time", "h"): "h|hr|hrs|hours|Std.|heures",
    ("time", "min"): "min|min.|mins|Minuten",
    ("conductivity", "W/m/K"): "W/m/K|W/mK|W/(m K)|W/(m·K)|W/m·K|W/m°C|W/m-K|W·m⁻¹·K⁻¹",
    ("conductivity", "BTU in/h/ft2/F"): "BTU in/h/ft2/F|BTU in/h ft2 F|Btu·in/(h·ft²·°F)|BTU-in/hr-ft2-F",
    ("heat_capacity", "kJ/kg/K"): "kJ/kg/K|kJ/kgK|kJ/(kg K)|kJ/kg·K|kJ/kg°C",
    ("heat_capacity", "kcal/kg/K"): "kcal/kg/C|kcal/kg°C|kcal/(kg·K)|cal/g/C",
    ("latent_heat", "kJ/kg"): "kJ/kg|KJ/KG",
    ("percent", "%"): "%|percent|pct|Prozent",
    ("stiffness", "N/mm"): "N/mm|n/mm",
}


@pytest.mark.parametrize(
    ("quantity", "unit", "spelling"),
    [(quantity, unit, text) for (quantity, unit), texts in SPELLINGS.items() for text in texts.split("|")],
)
def test_spellings(quantity: str, unit: str, spelling: str) -> None:
    assert find_unit(spelling, quantity) == unit
    if unit != "bar" or quantity == "pressure_difference":
        assert converter(spelling, quantity).unit == unit
        assert parse(f"40 {spelling}", quantity).unit == unit


def test_what_is_kept_of_the_table_finds_what_the_table_finds() -> None:
    from xlfuncs.units._table import _made, quantities

    assert [*_made()] == [*quantities()]
    for name, made in _made().items():
        for text in {*made.exact, *map(str.casefold, made.exact), *map(str.upper, made.exact)}:
            assert quantities()[name].find(text) == made.find(text), text


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_every_spelling_of_the_table_names_one_unit_and_reads_in_a_cell(quantity: str) -> None:
    from xlfuncs.units._table import quantities

    table = quantities()[quantity]
    assert len(table.units) > 1 or quantity == "percent"
    for spelling, place in table.exact.items():
        unit = table.listed[place]
        assert find_unit(spelling, quantity) == unit.name
        if not unit.unclear and spelling not in ("1", "-"):
            assert parse(f"40 {spelling}", quantity).unit == unit.name, spelling


@pytest.mark.parametrize(
    ("text", "quantity", "says"),
    [
        ("furlong", "length", "not a known unit of length.*280 mm"),
        ("SSU", "dynamic_viscosity", "unit of kinematic viscosity"),
        ("%", "length", "unit of percent or ratio, not of length"),
        ("psig", "length", "unit of absolute pressure or gauge pressure, not of length"),
        ("barg", "pressure_difference", "not of pressure difference"),
        ("cSt", "dynamic_viscosity", "unit of kinematic viscosity"),
        ("kg/h", "mass", "not a known unit"),
        ("", "length", "not a known unit"),
        ("mm", "lenght", "no quantity is called 'lenght'.*length"),
    ],
)
def test_a_wrong_unit_is_refused_with_what_to_write(text: str, quantity: str, says: str) -> None:
    with pytest.raises(UnitError, match=says):
        converter(text, quantity)


@pytest.mark.parametrize("unit", ["bar", "psi", "kPa", "MPa", "kg/cm2", "atm", "mmH2O", "mmHg", "mbar", "at"])
@pytest.mark.parametrize("quantity", ["pressure_gauge", "pressure_absolute"])
def test_a_pressure_needs_its_reference(unit: str, quantity: str) -> None:
    reference = quantity.removeprefix("pressure_")
    with pytest.raises(AmbiguousUnit, match="gauge or absolute: write"):
        converter(unit, quantity)
    assumed = converter(unit, quantity, assume=True)
    name = find_unit(unit, quantity)
    assert assumed.assumed == f"{name} taken as {name} {reference}"
    assert assumed.to_si(3.0) == converter(unit, "pressure_difference").to_si(3.0)
    assert converter(assumed.unit, quantity).assumed == ""  # what it was taken for states its reference
    assert converter(unit, "pressure_difference").assumed == ""


def test_a_bare_torr_is_taken_as_absolute() -> None:
    for quantity, pascal in (
        ("pressure_absolute", 50 * 101325 / 760),
        ("pressure_gauge", 50 * 101325 / 760 - 101325),
    ):
        with pytest.raises(AmbiguousUnit, match="write torr g or torr a"):
            converter("Torr", quantity)
        found = converter("Torr", quantity, assume=True)
        assert found.assumed == "torr taken as torr absolute"
        assert found.to_si(50.0) == pytest.approx(pascal, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "quantity", "pascal"),
    [
        ("2.5 inHg vac", "pressure_gauge", -2.5 * 3386.389),  # NIST SP 811, appendix B.8: inch of mercury
        ("2.5 IN. HG VAC.", "pressure_absolute", 101325 - 2.5 * 3386.389),
        ("0.4 bar Unterdruck", "pressure_gauge", -40000),
        ("5 psi vacuum", "pressure_gauge", -5 * 6894.757),
        ("600 mmHg vac", "pressure_gauge", -600 * 133.3224),
    ],
)
def test_a_vacuum_counts_downwards_from_the_atmosphere(text: str, quantity: str, pascal: float) -> None:
    assert parse(text, quantity).si == pytest.approx(pascal, rel=1e-6)
    assert not converter("bar vac", quantity).rising


def test_saybolt_seconds_agree_with_the_tables_of_chemicals() -> None:
    for seconds in (40.0, 60.0, 100.0, 200.0, 500.0, 1000.0):
        table = viscosity_converter(seconds, "saybolt universal", "kinematic viscosity")
        assert to_si(seconds, "SSU", "kinematic_viscosity") == pytest.approx(table, rel=0.01)


@given(st.floats(min_value=32.0, max_value=5000.0))
def test_saybolt_seconds_survive_the_way_to_si_and_back(seconds: float) -> None:
    there = to_si(seconds, "SUS", "kinematic_viscosity")
    assert from_si(there, "SSU", "kinematic_viscosity") == pytest.approx(seconds, rel=1e-12)


def test_saybolt_seconds_begin_at_32_and_rise() -> None:
    assert math.isnan(to_si(31.9, "SSU", "kinematic_viscosity"))
    seconds = np.array([32.0, 33.0, 40.0, 100.0, 1000.0])
    there = np.asarray(to_si(seconds, "SSU", "kinematic_viscosity"))
    assert (np.diff(there) > 0).all()
    assert there[0] == pytest.approx(1.82e-6, rel=0.01)  # ASTM D2161: its table begins at 1.81 mm2/s
    assert np.isnan(from_si(np.array([1e-6, there[0]]), "SSU", "kinematic_viscosity")).tolist() == [
        True,
        False,
    ]


@pytest.mark.parametrize(
    ("unit", "quantity", "says", "taken"),
    [
        ("Baume", "density", "degBe heavy.*degBe light", None),
        ("°Bé", "density", "heavier or lighter", None),
        ("ton", "mass", "write t or kg", None),
        ("gr", "mass", "gram or grain", "gr taken as g"),
        ("lb/gal", "density", "US or imperial", "lb/gal taken as lb/US gal"),
        ("°Tw", "density", "write kg/m3, SG or 'degTw 60F'", None),
        ("°Brix", "density", "percentage of sugar.*write kg/m3", None),
        ("°E", "kinematic_viscosity", "write mm2/s", None),
        ("Redwood No. 1", "kinematic_viscosity", "No. 1 or No. 2", None),
        ("mbar vac", "pressure_gauge", "below the atmosphere or an absolute pressure", None),
        ("torr vacuum", "pressure_absolute", "write -... torr g or torr a", None),
    ],
)
def test_units_with_two_meanings(unit: str, quantity: str, says: str, taken: str | None) -> None:
    with pytest.raises(AmbiguousUnit, match=says):
        converter(unit, quantity)
    if taken:
        assert converter(unit, quantity, assume=True).assumed == taken
    else:
        with pytest.raises(AmbiguousUnit):
            converter(unit, quantity, assume=True)


def test_units_know_their_quantities() -> None:
    assert quantities_of("barg") == {"pressure_gauge", "pressure_absolute"}
    assert quantities_of("bar") == {"pressure_gauge", "pressure_absolute", "pressure_difference"}
    assert quantities_of("°C") == {"temperature", "temperature_difference"}
    assert quantities_of("%") == {"percent", "ratio"}
    assert quantities_of("SG") == {"density"}
    assert quantities_of("furlong") == frozenset()
    assert is_unit("kg/m³")
    assert is_unit("C")
    assert not any(map(is_unit, ("service", "1", "-", "", "furlong", "LG-1201", "350", "DN", "NPS")))


def test_a_percent_is_a_unit_of_a_ratio() -> None:
    assert is_unit("%")
    assert [find_unit(text) for text in ("%", "Level (%)", "Level/%", "URV in %")] == ["%"] * 4
    assert find_unit("Level (%)", "ratio") == "%"
    assert find_unit("Level (%)", "length") is None
    assert parse("85 vol%", "ratio").si == pytest.approx(0.85)


# --- cells ------------------------------------------------------------------------------------------

ONE_NUMBER = {  # text: number, unit; length with default mm
    "280": (280, "mm"),
    " 280 ": (280, "mm"),
    "'280": (280, "mm"),
    "'280 mm": (280, "mm"),
    "280 mm": (280, "mm"),
    "280mm": (280, "mm"),
    "280 mm.": (280, "mm"),
    "280 [mm]": (280, "mm"),
    "280 (mm)": (280, "mm"),
    "mm 280": (280, "mm"),
    "280\u00a0mm": (280, "mm"),
    "280\u2009mm": (280, "mm"),
    "280\nmm": (280, "mm"),
    "+280": (280, "mm"),
    "-5": (-5, "mm"),
    "−5 mm": (-5, "mm"),
    "–5 mm": (-5, "mm"),
    "‐5": (-5, "mm"),
    "- 5": (-5, "mm"),
    ".5": (0.5, "mm"),
    ",5": (0.5, "mm"),
    "5.": (5, "mm"),
    "1,5": (1.5, "mm"),
    "1,5 in": (1.5, "in"),
    "0,850": (0.85, "mm"),
    "1,2345": (1.2345, "mm"),
    "1234,500": (1234.5, "mm"),
    "1.500": (1.5, "mm"),
    "1.234,5": (1234.5, "mm"),
    "1,234.5": (1234.5, "mm"),
    "1.234.567": (1234567, "mm"),
    "1,234,567.8": (1234567.8, "mm"),
    "1 234": (1234, "mm"),
    "1 234,5": (1234.5, "mm"),
    "1\u202f234\u202f567,8": (1234567.8, "mm"),
    "1'234.5": (1234.5, "mm"),
    "1’234": (1234, "mm"),
    "1e-3": (1e-3, "mm"),
    "1.2E-3 m": (1.2e-3, "m"),
    "1,2e2": (120, "mm"),
    "1.2×10⁻³ m": (1.2e-3, "m"),
    "1.2 x 10^-3 m": (1.2e-3, "m"),
    '1/2"': (0.5, "in"),
    '1 1/2"': (1.5, "in"),
    '1-1/2"': (1.5, "in"),
    "1-1/2 in": (1.5, "in"),
    "-1 1/2 in": (-1.5, "in"),
    "1½”": (1.5, "in"),
    "1-½ in": (1.5, "in"),
    "½ in": (0.5, "in"),
    "⅝ inch": (0.625, "in"),
    "1⁄4 in": (0.25, "in"),
    "5/4 in": (1.25, "in"),
    "33/64″": (33 / 64, "in"),
    '4.5"': (4.5, "in"),
    "4.5 in": (4.5, "in"),
    "5' 6\"": (5.5, "ft"),
    "5'-6\"": (5.5, "ft"),
    "5 ft 6 1/2 in": (5 + 6.5 / 12, "ft"),
    "6'": (6, "ft"),
    "Ø 50 mm": (50, "mm"),
    "~0.8": (0.8, "mm"),
    "≈ 0.8": (0.8, "mm"),
    "ca. 0.8": (0.8, "mm"),
    "ca 0,8": (0.8, "mm"),
    "approx 0.8": (0.8, "mm"),
    "approx. 0.8 mm": (0.8, "mm"),
    "0.8 mm approx.": (0.8, "mm"),
    "about 0.8": (0.8, "mm"),
    "280*": (280, "mm"),
    "280 mm *)": (280, "mm"),
    "280 mm†": (280, "mm"),
    "280¹": (280, "mm"),
    "280 mm¹": (280, "mm"),
    "280 mm ²⁾": (280, "mm"),
    "280¹ mm": (280, "mm"),
    "10 mm¹": (10, "mm"),
    "110¹": (110, "mm"),
    "280 (1)": (280, "mm"),
    "280 mm [2]": (280, "mm"),
    "280 note 3": (280, "mm"),
    "280 mm (see note 3)": (280, "mm"),
    "280 mm, Note 12": (280, "mm"),
}


@pytest.mark.parametrize(("text", "expected"), ONE_NUMBER.items())
def test_a_number_in_a_cell(text: str, expected: tuple[Any, ...]) -> None:
    number, unit = expected
    found = parse(text, "length", "mm")
    assert found.number == pytest.approx(number, rel=1e-14)
    assert found.unit == unit
    assert found.si == found.si_low == found.si_high == to_si(found.number, unit, "length")


NAN = math.nan
RANGES = {  # text: low, high in mm; NaN is an open end
    "20-45": (20, 45),
    "20–45": (20, 45),
    "20 - 45": (20, 45),
    "20 — 45 mm": (20, 45),
    "20/45": (20, 45),
    "20 / 45": (20, 45),
    "20...45": (20, 45),
    "20 ... 45": (20, 45),
    "20 … 45": (20, 45),
    "20..45": (20, 45),
    "20~45": (20, 45),
    "20÷45": (20, 45),
    "20 mm ... 45 mm": (20, 45),
    "-20 mm … +45 mm": (-20, 45),
    "20 to 45": (20, 45),
    "20 TO 45 mm": (20, 45),
    "20 bis 45": (20, 45),
    "20 à 45": (20, 45),
    "20 a 45": (20, 45),
    "20 mm to 45 mm": (20, 45),
    "20mm-45mm": (20, 45),
    "2 cm - 45 mm": (20, 45),
    "-29..38": (-29, 38),
    "-29 to 38": (-29, 38),
    "−29 – 38": (-29, 38),
    "-29/38": (-29, 38),
    "-20/+45": (-20, 45),
    "-20--5": (-20, -5),
    "-20 to -5": (-20, -5),
    "0.82-0.87": (0.82, 0.87),
    "0,82-0,87": (0.82, 0.87),
    "1e-3-2e-3": (1e-3, 2e-3),
    "25/32 mm": (25, 32),
    "100 ± 2": (98, 102),
    "100 ±2 mm": (98, 102),
    "100 +/- 2": (98, 102),
    "~20..45": (20, 45),
    "20-45 (note 1)": (20, 45),
    "min 20 max 45": (20, 45),
    "min. 20 mm / max. 45 mm": (20, 45),
    "20 min / 45 max": (20, 45),
    '1/2-3/4"': (12.7, 19.05),
    '1-1/2 to 2"': (38.1, 50.8),
    '1-1/2"-2-1/4"': (38.1, 57.15),
    '20/45"': (508, 1143),
    ">20": (20, NAN),
    "> 20 mm": (20, NAN),
    "≥20": (20, NAN),
    ">=20": (20, NAN),
    "min 20": (20, NAN),
    "min. 20 mm": (20, NAN),
    "20 mm min.": (20, NAN),
    "20 (min)": (20, NAN),
    "over 20": (20, NAN),
    "<0.5": (NAN, 0.5),
    "≤ 0,5 mm": (NAN, 0.5),
    "<= 0.5": (NAN, 0.5),
    "max 10": (NAN, 10),
    "max. 10 mm": (NAN, 10),
    "10 max": (NAN, 10),
    "10 mm (max.)": (NAN, 10),
    "up to 10": (NAN, 10),
    "bis 10": (NAN, 10),
    "max. -10*": (NAN, -10),
}


@pytest.mark.parametrize(("text", "ends"), RANGES.items())
def test_ranges_and_bounds_in_a_cell(text: str, ends: tuple[Any, ...]) -> None:
    found = parse(text, "length", "mm")
    assert [found.si_low * 1e3, found.si_high * 1e3] == pytest.approx(ends, rel=1e-12, nan_ok=True)
    assert found.si * 1e3 == pytest.approx(np.nanmean(ends), rel=1e-12)
    assert from_si(found.si, found.unit, "length") == pytest.approx(found.number, rel=1e-12)


READINGS = [  # text, quantity, number, unit
    ("0.82 SG", "density", 0.82, "SG"),
    ("SG 0.82", "density", 0.82, "SG"),
    ("SG=0.82", "density", 0.82, "SG"),
    ("SG: 0,82", "density", 0.82, "SG"),
    ("sp. gr. 0.82", "density", 0.82, "SG"),
    ("0.82 SG 15/4", "density", 0.82, "SG 15/4"),
    ("0.82 SG(15C/4C)", "density", 0.82, "SG 15/4"),
    ("SG 20/4 0.82", "density", 0.82, "SG 20/4"),
    ("0.82 SG @ 60F", "density", 0.82, "SG"),
    ("35 degAPI", "density", 35, "degAPI"),
    ("35 °API", "density", 35, "degAPI"),
    ("API 35", "density", 35, "degAPI"),
    ("850kg/m³", "density", 850, "kg/m3"),
    ("850 kg/m3*", "density", 850, "kg/m3"),
    ("0.82³", "density", 0.82, "SG"),
    ("66 °Bé heavy", "density", 66, "degBe heavy"),
    ("150 psig", "pressure_gauge", 150, "psig"),
    ("-1.5 barg", "pressure_gauge", -1.5, "barg"),
    ("10 bar (g)", "pressure_gauge", 10, "barg"),
    ("10 bar ü", "pressure_gauge", 10, "barg"),
    ("10 kg/cm² (g) (note 2)", "pressure_gauge", 10, "kgf/cm2 g"),
    ("212 °F", "temperature", 212, "degF"),
    ("-300 °C", "temperature", -300, "degC"),
    ("100℃", "temperature", 100, "degC"),
    ("-20", "temperature", -20, "degC"),
    ("3 mPa·s", "dynamic_viscosity", 3, "mPa.s"),
    ("5 min", "time", 5, "min"),
    ("12 mA", "current", 12, "mA"),
    ("0.04 W/(m·K)", "conductivity", 0.04, "W/m/K"),
    ("5", "percent", 5, "%"),
    ("5 %", "ratio", 5, "%"),
    ("1.2", "ratio", 1.2, "1"),
]
DEFAULTS = {"density": "SG", "temperature": "degC"}


@pytest.mark.parametrize(("text", "quantity", "number", "unit"), READINGS)
def test_quantities_in_cells(text: str, quantity: str, number: float, unit: str) -> None:
    found = parse(text, quantity, DEFAULTS.get(quantity))
    assert (found.number, found.unit) == (number, unit)
    assert found.si == to_si(number, unit, quantity)


def test_percent_is_the_number_in_percent_and_a_ratio_the_plain_number() -> None:
    assert parse("5 %", "percent").si == 5.0
    assert parse("5 %", "ratio").si == pytest.approx(0.05)


@pytest.mark.parametrize("text", ["1/2", "1-1/2", "1 3/4", "½"])
def test_fractions_without_unit_are_inches_only_in_a_column_of_inches(text: str) -> None:
    assert parse(text, "length", "in").unit == "in"
    with pytest.raises(AmbiguousUnit):
        parse(text, "length", "mm")


def test_a_falling_scale_turns_ranges_and_bounds() -> None:
    between = parse("30-40 degAPI", "density")
    assert between.number == 35.0
    assert between.si_low == to_si(40.0, "degAPI", "density") < between.si_high
    assert between.si == (between.si_low + between.si_high) / 2
    lighter = parse(">30 degAPI", "density")
    assert math.isnan(lighter.si_low)
    assert lighter.si_high == lighter.si == to_si(30.0, "degAPI", "density")


def test_min_is_a_bound_except_as_a_unit_of_time() -> None:
    assert math.isnan(parse("5 min", "length", "mm").si_high)
    assert parse("5 min", "time", "h").si == 300.0
    assert parse("max 5 min", "time", "h").si_high == 300.0


def test_what_was_assumed_is_told() -> None:
    found = parse("10 bar", "pressure_gauge", assume=True)
    assert (found.si, found.unit, found.assumed) == (1e6, "barg", "bar taken as bar gauge")
    assert parse("10", "pressure_absolute", "bar", assume=True).assumed == "bar taken as bar absolute"
    assert parse("10 barg", "pressure_gauge", assume=True).assumed == ""
    with pytest.raises(AmbiguousUnit, match=r"10 bar.*barg or bara"):
        parse("10 bar", "pressure_gauge")
    with pytest.raises(AmbiguousUnit):
        parse("10", "pressure_gauge", "bar")


@pytest.mark.parametrize(
    ("text", "quantity", "number", "unit", "wrong"),
    [
        ("150 mm (5.9 in)", "length", 150, "mm", "150 mm (6.9 in)"),
        ('2" (50 mm)', "length", 2, "in", '2" (60 mm)'),
        ("100 °C [212 °F]", "temperature", 100, "degC", "100 °C [100 °F]"),
        ("150 psig (10.3 bar)", "pressure_gauge", 150, "psig", "150 psig (103 bar)"),
        ("850 kg/m³ (0.85 SG)", "density", 850, "kg/m3", "850 kg/m³ (0.58 SG)"),
    ],
)
def test_a_second_unit_in_brackets_has_to_agree(
    text: str, quantity: str, number: int, unit: str, wrong: str
) -> None:
    found = parse(text, quantity)
    assert (found.number, found.unit) == (number, unit)
    with pytest.raises(AmbiguousUnit, match="two values that differ"):
        parse(wrong, quantity)


@pytest.mark.parametrize(("text", "quantity"), [("1 m ± 5 mm", "length"), ("20 °C ± 5 K", "temperature")])
def test_a_tolerance_in_another_unit_is_refused(text: str, quantity: str) -> None:
    with pytest.raises(UnitError, match="tolerance is in another unit"):
        parse(text, quantity)


def test_a_tolerance_may_share_its_unit() -> None:
    for text in ("100 ± 2 mm", "100 mm ± 2", "100 mm ± 2 mm"):
        assert parse(text, "length", "m").si_low == pytest.approx(0.098)


def test_a_bracket_that_is_no_second_value_is_refused() -> None:
    for text in ("850 kg/m3 (15 m)", "850 kg/m3 (see 7)", "850 @ 15 m"):
        with pytest.raises(UnitError, match="is not understood"):
            parse(text, "density", "kg/m3")


def test_the_example_of_a_refusal_suits_the_column() -> None:
    with pytest.raises(UnitError, match=r"write e\.g\. '0.82 SG'$"):
        parse("?", "density", "kg/m3")
    with pytest.raises(UnitError, match=r"write e\.g\. 0.82 or '0.82 SG'$"):
        parse("?", "density", "SG")


def test_numbers_are_taken_as_texts_are() -> None:
    assert parse(280, "length", "mm") == parse(280.0, "length", "mm") == parse("280", "length", "mm")
    for value in (True, False, math.nan, math.inf):
        with pytest.raises(UnitError):
            parse(value, "length", "mm")
    assert parse(1, "length", "mm").si == 1e-3  # not mixed up with True in the cache


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1,500 mm", "1.500 or 1500: write 1.5 or 1500"),
        ("12,345", "12.345 or 12345"),
        ("1,200-1,500", "1.200 or 1200"),
        ("1/2", "fraction or two numbers: write 0.5 or '1/2 in' or '1 to 2'"),
        ("3/4 mm", "'3/4 in'"),
        ('2/4"', "write 0.5 or '2 to 4'"),
        ("6 1/4", "write 6.25 or '6 1/4 in'"),
        ('1.1/2"', "write '1 1/2 in' or '1.1 to 2'"),
        ("20 -45", "range or two numbers"),
        ("280 350", "280350 or '280 to 350'"),
    ],
)
def test_two_readings_are_both_named(text: str, says: str) -> None:
    with pytest.raises(AmbiguousUnit) as error:
        parse(text, "length", "mm")
    assert says in str(error.value)
    assert repr(text) in str(error.value)


@pytest.mark.parametrize("text", ["1/2 bar", "3/4 bar", "1 1/2 bar"])
def test_small_fractions_of_other_units_are_doubtful_too(text: str) -> None:
    with pytest.raises(AmbiguousUnit, match="fraction"):
        parse(text, "pressure_difference")


@pytest.mark.parametrize(
    "text",
    [
        "", "-", "TBC", "by vendor", "N/A", "x", "mm", "#REF!", "LG-1201", "2024-05-01", "12:30",
        "1.5.2", "12,34,56", "1.234,567,8", "1,2.3", "20-45-60", "0.7/0.8/0.9", "45-20", "5 mm 6",
        "5 mm mm", "mm 5 mm", "(280)", "=5", "± 10 mm", "280 psig", "280 furlong", "max", "> max 5",
        "5 <", "max 20-45", "1e400", "150#", "DN 50", '2" sch 40', "5 mm OD", "1⁄0 in", "280 @ 15 °C",
        "280 kg", "5 e", "0x1F", "1_000", "--5", "5-", "5 to",
        "10³", "10³ mm", "10^3 mm", "'280'", '"280"', "5 and 6",
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(UnitError) as error:
        parse(text, "length", "mm")
    message = str(error.value)
    assert repr(text) in message
    assert "280 mm" in message
    assert "\n" not in message


def test_a_number_without_any_unit_is_refused() -> None:
    with pytest.raises(UnitError, match=r"'280' cannot be read \(no unit\): write e\.g\. '280 mm'"):
        parse("280", "length")


@pytest.mark.parametrize(
    "piece", ["note 1", "*", "(1)", "[1]", " min", "-1", "1 ", ",", ".", "(", "1/2 ", "mm "]
)
def test_no_text_takes_long(piece: str) -> None:
    text = "5 " + piece * (110 // len(piece)) + "x"
    start = perf_counter()
    with pytest.raises(UnitError):
        parse(text, "length", "mm")
    find_unit(text)
    assert perf_counter() - start < 0.5


def test_a_long_remark_is_refused_shortly() -> None:
    with pytest.raises(UnitError) as error:
        parse("see the data sheet of the vessel " * 40 + "5 mm", "length", "mm")
    assert len(str(error.value)) < 250
    assert find_unit("the level is given in mm " * 40 + "(mm)") is None


@given(
    st.floats(min_value=-1e6, max_value=1e6).map(lambda x: round(x, 4)),
    st.sampled_from(EVERY_UNIT),
    st.sampled_from(["{} {}", "{}{}", "{} [{}]", "{}\u00a0({})"]),
)
def test_a_printed_number_reads_as_itself(number: float, named: tuple[str, str], form: str) -> None:
    unit, quantity = named
    if math.isnan(to_si(number, unit, quantity)) or unit in ("1", "SG"):
        return
    if unit.endswith(" vac"):
        number = abs(number)
    found = parse(form.format(number, unit), quantity)
    assert (found.number, found.unit) == (number, unit)


@given(st.integers(0, 999_999_999), st.integers(0, 99))
def test_grouped_digits_read_as_the_number(whole: int, hundredths: int) -> None:
    number = float(f"{whole}.{hundredths:02}")
    english = f"{whole:,}.{hundredths:02}"
    for text in (
        english,
        english.translate(str.maketrans(",.", ".,")),
        english.translate(str.maketrans(",.", " ,")),
        english.replace(",", "'"),
        english.replace(",", "\u202f"),
    ):
        assert parse(text, "length", "mm").number == number


@given(st.integers(0, 40), st.integers(1, 6), st.integers(0, 63))
def test_fractions_of_an_inch_read_as_the_number(whole: int, power: int, top: int) -> None:
    bottom = 2**power
    top = top % bottom | 1
    texts = [f'{whole} {top}/{bottom}"', f"{whole}-{top}/{bottom} in", f"{whole} {top}⁄{bottom} inch"]
    for text in texts + [f"{top}/{bottom} in."] * (whole == 0):
        assert parse(text, "length", "mm").si == pytest.approx((whole + top / bottom) * 0.0254, rel=1e-14)


@given(st.text(alphabet=" 0123456789.,'-+/\"½⁄~<>≤()[]*¹aemintxobargSG°C%±…", max_size=14))
@example("1-1/2-")
@example("[1")
@example("ambient")
def test_no_text_breaks_the_reader(text: str) -> None:
    for quantity, default in (("length", "mm"), ("density", "SG"), ("pressure_gauge", None), ("ratio", None)):
        try:
            found = parse(text, quantity, default)
        except UnitError:
            continue
        assert math.isfinite(found.si)
        assert not (found.si_low > found.si_high)
        ambient = quantity == "pressure_gauge" and found.si == 0  # a word for the atmosphere
        assert ambient or any(map(str.isnumeric, text))
    find_unit(text)


# --- headings ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("Op. Press. (barg)", "barg"),
        ("Op./Design Press.\n(barg)", "barg"),
        ("Press. kg/cm²(g)", "kgf/cm2 g"),
        ("Oper. pressure kg/cm2 g", "kgf/cm2 g"),
        ("Betriebsdruck [bar]", "bar"),
        ("Druck (bar ü)", "barg"),
        ("Design pressure, bar", "bar"),
        ("PRESS. PSIG", "psig"),
        ("op_press_bar_g", "barg"),
        ("Density [kg/m³]", "kg/m3"),
        ("Density kg/m3 at 15°C", "kg/m3"),
        ("Density @15C (kg/m3)", "kg/m3"),
        ("density_kg_m3", "kg/m3"),
        ("Dichte kg/m³", "kg/m3"),
        ("SG", "SG"),
        ("SG @ 60F", "SG"),
        ("SG (15/4)", "SG 15/4"),
        ("Specific Gravity", "SG"),
        ("API gravity", "degAPI"),
        ("°API", "degAPI"),
        ("Temp °C", "degC"),
        ("Temp. ( C )", "degC"),
        ("T (°F)", "degF"),
        ("TEMP DEG C", "degC"),
        ("Ambient temp. min °C", "degC"),
        ("Set point, mm", "mm"),
        ("Set point mm", "mm"),
        ("Wall thk. mm", "mm"),
        ("Magnet height above bottom of float (mm)", "mm"),
        ("Level in m", "m"),
        ("Länge in mm", "mm"),
        ("Level, m", "m"),
        ("Length, in.", "in"),
        ('Conn. size (")', "in"),
        ("OD (in.)", "in"),
        ("Visc. cP", "cP"),
        ("VISC. (CP)", "cP"),
        ("Visc. (cP) at 40 °C", "cP"),
        ("Cp kJ/kg/K", "kJ/kg/K"),
        ("Cp (kJ/kg K)", "kJ/kg/K"),
        ("Heat loss W/m", "W/m"),
        ("Float weight (g)", "g"),
        ("Supply (V DC)", "V"),
        ("Level rate mm/s", "mm/s"),
        ("Reserve %", "%"),
        ("C", "degC"),
        ("(C)", "degC"),
        ("mm", "mm"),
        ("min", "min"),
        ("g", "g"),
    ],
)
def test_units_in_headings(text: str, unit: str) -> None:
    assert find_unit(text) == unit


@pytest.mark.parametrize(
    "text",
    [
        "in service", "Units in service", "Level in service", "At site", "Temp C", "Weight g",
        "Density min", "Min. temp", "Density at 15 °C", "Density (at 15 °C)", "API 6D valve",
        "Flow kg/h", "Flow (kg/h)", "Flow kg / h", "Flow m3/h", "Tag No.", "Serial no.", "Remarks",
        "Material", "H2O", "Water", "P&ID", "Start", "Rev", "Level (1)", "No. (3)", "1", "-", "(-)", "",
        " ", "()", "Supply V", "Press./Temp. (barg/°C)", "Temp (°C) / Press (barg)", "Temp °C/°F",
        "Density kg/m3 (SG)",
    ],
)  # fmt: skip
def test_headings_that_state_no_unit_or_several(text: str) -> None:
    assert find_unit(text) is None


@pytest.mark.parametrize(
    ("text", "quantity", "unit"),
    [
        ("Press./Temp. (barg/°C)", "temperature", "degC"),
        ("Press./Temp. (barg/°C)", "pressure_gauge", "barg"),
        ("Press barg / Temp °C", "temperature", "degC"),
        ("Press. kg/cm2 g / Temp. °C", "pressure_gauge", "kgf/cm2 g"),
        ("Op. Press. (bar)", "pressure_gauge", "bar"),
        ("Op. Press. (bara)", "pressure_gauge", "bara"),
        ("Op. Press. (bar)", "length", None),
        ("Rev. (A)", "length", None),
        ("Rev. (A)", "current", "A"),
        ("Float OD in", "length", "in"),
        ("FLOAT LENGTH IN", "length", "in"),
        ("Floats in service", "length", None),
        ("SG / API", "density", None),
        ("Density at 15 °C", "density", None),
        ("Heat loss at 20 °C", "power_per_length", None),
        ("Weight (gr)", "mass", "gr"),
        ("Baumé", "density", "degBe"),
        ("Visc. CP", "dynamic_viscosity", "cP"),
        ("Ratio (-)", "ratio", "1"),
    ],
)
def test_only_units_of_the_quantity_count(text: str, quantity: str, unit: str | None) -> None:
    assert find_unit(text, quantity) == unit


# --- first use --------------------------------------------------------------------------------------


def run(code: str) -> str:
    """Output of a fresh interpreter, in which nothing is cached."""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_first_use_by_many_threads_at_once() -> None:
    code = """
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from xlfuncs.units import find_unit, parse
texts = [("4.5 in", "length"), ("35 degAPI", "density"), ("150 psig", "pressure_gauge")] * 5
start = Barrier(len(texts))
def read(text):
    start.wait()
    return parse(*text).si, find_unit("Temp. (°C)")
with ThreadPoolExecutor(len(texts)) as pool:
    results = list(pool.map(read, texts))
assert results[:3] * 4 == results[3:], results
print([round(si, 6) for si, _ in results[:3]], {unit for _, unit in results})
"""
    assert run(code) == "[0.1143, 849.014517, 1034213.593975] {'degC'}\n"


def test_pint_is_imported_only_for_a_unit_that_is_not_tabled() -> None:
    code = """
import sys
import xlfuncs.units as units
from xlfuncs.units import _convert
units.find_unit("Density (kg/m3)"), units.units_for("length"), units.is_unit("mm")
units.to_si(1.0, "mm", "length")
assert "pint" not in sys.modules
del _convert._tabled()["inch -> m"]
assert units.to_si(1.0, "in", "length") == 0.0254
assert "pint" in sys.modules
"""
    run(code)


def test_tabled_factors_are_those_of_pint() -> None:
    tabled = {pair: tuple(found) for pair, found in _convert._tabled().items() if pair != "source"}
    assert tabled == tabulate.factors()


@pytest.mark.parametrize(
    ("text", "unit", "low", "high"),
    [
        ("FV/10", "barg", -101325.0, 10e5),
        ("10 / FV", "barg", -101325.0, 10e5),
        ("10,5 & F.V.", "barg", -101325.0, 10.5e5),
        ("Full vacuum and 15", "barg", -101325.0, 15e5),
        ("FV/150 psig", None, -101325.0, 150 * 6894.757293168361),
        ("10 (FV)", "barg", -101325.0, 10e5),
        ("Vollvakuum / 6", "barg", -101325.0, 6e5),
        ("FV", "psig", -101325.0, np.nan),
        ("ATM", "barg", 0.0, 0.0),
        ("atmosphérique", "kPag", 0.0, 0.0),
    ],
)
def test_vacuum_and_atmosphere_in_words(text: str, unit: str | None, low: float, high: float) -> None:
    """Full vacuum is one standard atmosphere, 101325 Pa, below it."""
    read = parse(text, "pressure_gauge", unit)
    assert (read.si_low, read.si_high) == pytest.approx((low, high), rel=1e-12, nan_ok=True)
    above_vacuum = parse(text, "pressure_absolute", "bara") if unit != "psig" and "psig" not in text else None
    if above_vacuum is not None and low < 0:
        assert above_vacuum.si_low == 0.0


@pytest.mark.parametrize(
    "text", ["full", "vacuum", "FV/x", "FV 10 FV", "5..10/FV", "10 bar / FV", "vacuum service"]
)
def test_other_words_are_no_pressure(text: str) -> None:
    with pytest.raises(UnitError):
        parse(text, "pressure_gauge", "barg")


# --- what surrounds a number --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("texts", "marks"),
    [
        (["12,5"], ","),
        (["0,850"], ","),
        (["1.234,5"], ","),
        (["1.234.567"], ","),
        (["12.5"], "."),
        (["1,234.5"], "."),
        (["1,20,000"], "."),
        (["1 200"], " "),
        (["12 345,6", "850"], " ,"),
        (["12.5", "12,5"], ""),
        (["1,500", "1.500", "850", "280 350", "1.2.3"], ""),
    ],
)
def test_what_texts_prove_of_how_numbers_are_written(texts: list[str], marks: str) -> None:
    assert marks_of(texts) == marks


@pytest.mark.parametrize(
    ("text", "marks", "number"),
    [
        ("1,500", ",", 1.5),
        ("1,500", ".", 1500),
        ("1.500", ",", 1500),
        ("1.500", ".", 1.5),
        ("280 350", " ", 280350),
    ],
)
def test_marks_decide_between_two_readings(text: str, marks: str, number: float) -> None:
    assert parse(text, "length", "mm", marks=marks).number == number


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("1,20,000", 120000),
        ("12,34,567", 1234567),
        ("1,20,000.5", 120000.5),
        ("٨٥٠", 850),
        ("८५०", 850),
        ("８５０．５", 850.5),
        ("٨٥٠٫٥", 850.5),
        ("1\u2009234", 1234),
        ("123\u202f456", 123456),
        ("123\u2007456", 123456),
    ],
)
def test_digits_of_other_scripts_and_other_groups(text: str, number: float) -> None:
    assert parse(text, "length", "mm").number == number


@pytest.mark.parametrize(
    ("text", "quantity", "unit"),
    [
        ("60 °С", "temperature", "degC"),  # Cyrillic
        ("60 Â°C", "temperature", "degC"),
        ("6 bаrg", "pressure_gauge", "barg"),
        ("6 ВАRG", "pressure_gauge", "barg"),
        ("50 мм", "length", "mm"),
        ("850 кг/м³", "density", "kg/m3"),
        ("4 ати", "pressure_gauge", "atg"),
        ("50 ＭＭ", "length", "mm"),
        ("1.2 毫米", "length", "mm"),
        ("60 град. С", "temperature", "degC"),
    ],
)
def test_letters_of_other_alphabets(text: str, quantity: str, unit: str) -> None:
    assert parse(text, quantity).unit == unit


@pytest.mark.parametrize(
    ("text", "default", "unit"),
    [
        ("6 g", "bar", "barg"),
        ("6 (g)", "barg", "barg"),
        ("6 (abs.)", "barg", "bara"),
        ("6 a", "kg/cm2", "kgf/cm2 a"),
        ("6 Ü", "bar", "barg"),
        ("5 vac", "inHg g", "inHg vac"),
    ],
)
def test_a_reference_alone_belongs_to_the_unit_of_the_column(text: str, default: str, unit: str) -> None:
    assert parse(text, "pressure_gauge", default).unit == unit
    with pytest.raises(UnitError):
        parse(text, "pressure_gauge")


def test_a_word_of_another_alphabet_is_not_taken_for_latin_letters_that_it_lacks() -> None:
    assert find_unit("градC", "temperature") == "degC"
    with pytest.raises(UnitError):
        parse("6 барг", "pressure_gauge")


@pytest.mark.parametrize(
    ("text", "quantity", "number", "noted"),
    [
        ("830 (est.)", "density", 830, "est"),
        ("est. 830", "density", 830, "est"),
        ("approx. 830", "density", 830, "approx"),
        ("830 (calc.) note 2", "density", 830, "calc"),
        ("830 @ 60 °C (est.)", "density", 830, "at 60 °C; est"),
        ("830 kg/m3 at 60 °C and 10 barg", "density", 830, "at 60 °C and 10 barg"),
        ("830", "density", 830, ""),
        ("830*", "density", 830, ""),
        ("12 W/m (self-reg.)", "power_per_length", 12, "self-reg."),
        ("15 barg (1.5 x DP)", "pressure_gauge", 15, "1.5 x DP"),
        ("135 °C (T4)", "temperature", 135, "T4"),
    ],
)
def test_what_a_cell_says_beside_its_number_is_kept(
    text: str, quantity: str, number: int, noted: str
) -> None:
    found = parse(text, quantity, "kg/m3" if quantity == "density" else None)
    assert (found.number, found.noted) == (number, noted)


@pytest.mark.parametrize(
    ("text", "quantity"),
    [
        ("6 (diff)", "pressure_gauge"),
        ("6 (was abs)", "pressure_gauge"),
        ("850 (old)", "density"),
        ("1200 (or more)", "length"),
        ("50 (radius)", "length"),
        ("60 (mm)", "temperature"),
        ("60 (psig)", "temperature"),
        ("850 (870)", "density"),
        ("850 (2 off)", "density"),
    ],
)
def test_words_in_brackets_that_change_the_number_are_not_passed_over(text: str, quantity: str) -> None:
    default = {"pressure_gauge": "barg", "density": "kg/m3", "length": "mm", "temperature": "degC"}[quantity]
    with pytest.raises(UnitError):
        parse(text, quantity, default)


@pytest.mark.parametrize(
    ("text", "quantity", "low", "high", "unit"),
    [
        ("from 20 to 45", "length", 20, 45, "mm"),
        ("von 20 bis 45 mm", "length", 20, 45, "mm"),
        ("between 20 and 45", "length", 20, 45, "mm"),
        ("entre 20 et 45 mm", "length", 20, 45, "mm"),
        ("от 20 до 45 мм", "length", 20, 45, "mm"),
        ("20至45", "length", 20, 45, "mm"),
        ("max 45 / min 20", "length", 20, 45, "mm"),
        ("min/max: 20/45", "length", 20, 45, "mm"),
        ("min. 20\nmax. 45", "length", 20, 45, "mm"),
        ("(20-45) mm", "length", 20, 45, "mm"),
        ("50 ± 10 %", "length", 45, 55, "mm"),
        ("до 45", "length", NAN, 45, "mm"),
        ("не менее 20", "length", 20, NAN, "mm"),
        ("maks. 45", "length", NAN, 45, "mm"),
        ("mín. 20", "length", 20, NAN, "mm"),
        ("5/-20", "temperature", -20, 5, "degC"),
        ("ATM - 2", "pressure_gauge", 0, 2, "barg"),
    ],
)
def test_ranges_and_bounds_in_other_words(
    text: str, quantity: str, low: float, high: float, unit: str
) -> None:
    found = parse(text, quantity, unit)
    ends = [float(from_si(si, unit, quantity)) for si in (found.si_low, found.si_high)]
    assert ends == pytest.approx([low, high], rel=1e-9, abs=1e-9, nan_ok=True)


@pytest.mark.parametrize(
    ("text", "quantity"),
    [
        ("45/20", "length"),
        ("10/150", "pressure_gauge"),
        ("3'-6", "length"),
        ("6 barg / 150 psig", "pressure_gauge"),
        ("-0.5 bar vac", "pressure_gauge"),
    ],
)
def test_pairs_that_are_no_range_have_two_readings(text: str, quantity: str) -> None:
    with pytest.raises(AmbiguousUnit):
        parse(text, quantity, "mm" if quantity == "length" else "barg")


@pytest.mark.parametrize(
    ("text", "quantity", "number", "unit"),
    [
        ("6 barg / 87 psig", "pressure_gauge", 6, "barg"),
        ("6 barg\n87 psig", "pressure_gauge", 6, "barg"),
        ("6 barg = 87 psig", "pressure_gauge", 6, "barg"),
        ("6 barg (7 bara)", "pressure_gauge", 6, "barg"),
        ("60 °C / 140 °F", "temperature", 60, "degC"),
        ('1200 mm\n(47.24")', "length", 1200, "mm"),
        ("-20 °C\n-4 °F", "temperature", -20, "degC"),
        ("850\nkg/m3", "density", 850, "kg/m3"),
        ("850 kg/m3\n(note 2)", "density", 850, "kg/m3"),
    ],
)
def test_one_value_in_two_units_or_on_two_lines(text: str, quantity: str, number: int, unit: str) -> None:
    found = parse(text, quantity)
    assert (found.number, found.unit, found.single) == (number, unit, True)


@pytest.mark.parametrize("other", ["86 psig", "89 psig", "6 psig"])
def test_a_second_unit_agrees_only_within_its_rounding(other: str) -> None:
    """6 barg are 87.02 psig; half a bar of rounding is allowed, but no more than 4 %."""
    agrees = other != "6 psig"
    for text in (f"6 barg / {other}", f"6 barg ({other})", f"6 barg\n{other}"):
        if agrees:
            assert parse(text, "pressure_gauge").number == 6
        else:
            with pytest.raises(AmbiguousUnit, match="two values that differ"):
                parse(text, "pressure_gauge")


@pytest.mark.parametrize("text", ["1\n200", "200\n300", "1200\n1500 mm", "6\n10"])
def test_digits_on_two_lines_are_two_numbers(text: str) -> None:
    with pytest.raises(UnitError):
        parse(text, "length", "mm")


def test_a_number_that_cannot_be_is_told_from_one_that_is_not_understood() -> None:
    for text, quantity in (
        ("200 degBe heavy", "density"),
        ("-150 API", "density"),
        ("20 SSU", "kinematic_viscosity"),
    ):
        with pytest.raises(ImpossibleValue, match=f"{text}.* is no"):
            parse(text, quantity)


# --- nominal sizes of pipe ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "dn", "mm"),
    [
        ("DN 50", 50, 60.3),
        ("DN50", 50, 60.3),
        ("dn-80", 80, 88.9),
        ("Ду 100", 100, 114.3),
        ("NPS 2", 50, 60.3),
        ("NPS 1 1/2", 40, 48.3),
        ('2" NB', 50, 60.3),
        ('2-1/2" sch 40', 65, 73.0),
        ("NPS 2½", 65, 73.0),
        ("DN 50 sch 10S", 50, 60.3),
        ("DN 65", 65, None),
        ("DN 125", 125, None),
    ],
)
def test_a_nominal_size_has_an_outside_diameter(text: str, dn: int, mm: float | None) -> None:
    size = pipe_size(text)
    assert size is not None and size.dn == dn
    assert outside_diameter(text) == (None if mm is None else pytest.approx(mm * 1e-3))


@pytest.mark.parametrize("text", ["50", '2"', "50 mm", "DN", "DN 47", "NPS 2/0", "PN 16", "", "2 in"])
def test_what_names_no_nominal_size(text: str) -> None:
    assert pipe_size(text) is None
    assert outside_diameter(text) is None


def test_outside_diameters_agree_with_fluids() -> None:
    for size in pipe_sizes().values():
        inches = float(sum(map(Fraction, size.nps.split("-"))))
        if size.dn != 550:  # fluids lists no NPS 22 in this schedule
            assert size.asme * 1e3 == pytest.approx(S40o[NPS40.index(inches)], abs=1e-9), size


def test_the_two_series_of_pipe_are_never_far_apart_unless_they_are_two_pipes() -> None:
    differ = [size.dn for size in pipe_sizes().values() if size.outside_diameter is None]
    assert differ == [65, 125]


# --- quotients --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "name", "unit"),
    [
        ("Float mass/kg", "Float mass", "kg"),
        ("p/bar", "p", "bar"),
        ("p_max/bar", "p_max", "bar"),
        ("rho/(kg/m3)", "rho", "kg/m3"),
        ("ρ/(kg·m⁻³)", "ρ", "kg/m3"),
        ("Dichte / kg/m³", "Dichte", "kg/m3"),
        ("Betriebsdruck/bar(ü)", "Betriebsdruck", "barg"),
        ("T/K", "T", "K"),
        ("t/°C", "t", "degC"),
        ("m/kg", "m", "kg"),
        ("d/mm", "d", "mm"),
        ("OD/mm", "OD", "mm"),
        ("Length/m", "Length", "m"),
        ("η/(mPa·s)", "η", "mPa.s"),
        ("v/(mm/s)", "v", "mm/s"),
        ("Level/%", "Level", "%"),
        ("Плотность/(кг/м3)", "Плотность", "kg/m3"),
    ],
)
def test_a_quantity_divided_by_its_unit(text: str, name: str, unit: str) -> None:
    assert split_quotient(text) == (name, unit)
    assert find_unit(text) == unit


@pytest.mark.parametrize(
    "text",
    [
        "C/C", "kg/m3", "N/A", "P/T", "LSH/LSHH", "barg/°C", "T/C", "S/N", "L/D", "Y/N", "Yes/No", "P&ID/Rev",
        "Item/s", "Rev/A", "Temp °C/°F", "Press./Temp. (barg/°C)", "Heat loss W/m", "Tracer W/ft",
        "Flow kg/h", "Flow m3/h", "SG / API", "Level/Interface", "W/o", "I/P", "D/P", "mA/V", "Density kg/m3",
        "/", "kg/", "/kg", "Min/max", "Conn. size/in",
    ],
)  # fmt: skip
def test_a_slash_that_divides_nothing(text: str) -> None:
    assert split_quotient(text) is None


def test_a_short_unit_counts_where_its_quantity_is_known() -> None:
    assert split_quotient("Conn. size/in", "length") == ("Conn. size", "in")
    assert split_quotient("Length/m", "mass") is None
    assert split_quotient("Item/s", "length") is None


def test_a_unit_of_two_letters_is_a_divisor_only_as_it_is_written() -> None:
    assert split_quotient("Length/IN", "length") is None  # one of two things, 'IN' and the length
    assert split_quotient("Length/in", "length") == ("Length", "in")
    assert split_quotient("Set/M", "length") is None


def test_a_name_of_three_letters_stands_over_a_letter_that_may_be_a_unit() -> None:
    assert split_quotient("HHL/m", "length") == ("HHL", "m")
    assert split_quotient("HH/m", "length") is None


# --- both sides of its limits -------------------------------------------------------------------------


@pytest.mark.parametrize(("long", "unit"), [(300, "mm"), (301, None), (329, None)])
def test_a_heading_of_more_than_300_characters_is_a_remark(long: int, unit: str | None) -> None:
    heading = "level of the float "
    heading += "x" * (long - len(heading) - 5) + " (mm)"
    found = find_unit(heading)
    assert (None if found is None else str(found)) == unit


@pytest.mark.parametrize(("long", "read"), [(120, True), (121, False), (131, False)])
def test_a_cell_of_more_than_120_characters_is_a_remark(long: int, read: bool) -> None:
    text = "5." + "0" * (long - 5) + " mm"
    if read:
        assert parse(text, "length", "mm").si == 0.005
    else:
        with pytest.raises(UnitError):
            parse(text, "length", "mm")


@pytest.mark.parametrize(
    ("text", "read"), [("10/39 barg", True), ("10/41 barg", False), ("10/43 barg", False)]
)
def test_a_second_number_of_four_times_the_pressure_is_rather_a_temperature(text: str, read: bool) -> None:
    if read:
        found = parse(text, "pressure_gauge", None)
        assert (found.si_low, found.si_high) == pytest.approx((10e5, 39e5))
    else:
        with pytest.raises(UnitError, match="two values"):
            parse(text, "pressure_gauge", None)


@pytest.mark.parametrize(
    ("text", "read"),
    [("10 barg (150 psig)", True), ("10 barg (150.9 psig)", False), ("10 barg (151 psig)", False)],
)
def test_a_value_in_another_unit_is_rounded_by_four_percent_at_most(text: str, read: bool) -> None:
    # 150 psig are 10.34 bar, 150.9 are 10.404, 151 are 10.41
    if read:
        assert parse(text, "pressure_gauge", None).si == pytest.approx(10e5)
    else:
        with pytest.raises(UnitError, match="two values that differ"):
            parse(text, "pressure_gauge", None)
