"""Pure fluids by name, their densities and saturation; petroleum; liquids known by measured points."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from typing import Any

import iapws
import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from xlfuncs.data import load
from xlfuncs.gauge import density, fluids, reasons
from xlfuncs.worksheet import call

FLUIDS = load("fluids")["fluid"]
UNKNOWN = [name for block in load("fluids")["unknown"] for name in block["names"]]

COMMON = ["water", "propane", "n-butane", "ammonia", "benzene", "methanol", "chlorine", "CO2", "cyclohexane"]


def reason(function: Callable[..., Any], *arguments: Any, **options: Any) -> str:
    """The reason for a scalar NaN."""
    with reasons() as why:
        result = function(*arguments, **options)
    assert np.isnan(result)
    return str(why.at(result))


# --- names ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "fluid"),
    [
        ("WATER", "Water"),
        ("Boiler Feed-Water", "Water"),
        ("B.F.W.", "Water"),
        ("Water, demin", "Water"),
        ("water (demineralised)", "Water"),
        ("Steam condensate", "Water"),
        ("water / steam", "Water"),
        ("H₂O", "Water"),
        ("VE-Wasser", "Water"),
        ("Kuehlwasser", "Water"),
        ("HEISSWASSER", "Water"),
        ("Eau déminéralisée", "Water"),
        ("EAU DEMINERALISEE", "Water"),
        ("Vapeur d’eau", "Water"),
        ("agua de alimentación de caldera", "Water"),
        ("água desmineralizada", "Water"),
        ("Acqua di caldaia", "Water"),
        ("Anhydrous ammonia", "Ammonia"),
        ("NH3 (liq)", "Ammonia"),
        ("Ammoniak, wasserfrei", "Ammonia"),
        ("Amoníaco", "Ammonia"),
        ("liquid propane", "n-Propane"),
        ("Propane (C3H8)", "n-Propane"),
        ("100% propane", "n-Propane"),
        ("R-290", "n-Propane"),
        ("Butan", "n-Butane"),
        ("n-Butane", "n-Butane"),
        ("Butane, n-", "n-Butane"),
        ("Butane (n-)", "n-Butane"),
        ("Butane (iso)", "IsoButane"),
        ("iso-butane", "IsoButane"),
        ("i-C4", "IsoButane"),
        ("Benzol", "Benzene"),
        ("éthylène", "Ethylene"),
        ("p-Xylol", "p-Xylene"),
        ("1,2-dichloroethane", "Dichloroethane"),
        ("R134a", "R134a"),
        ("cloruro de vinilo", "VinylChloride"),
    ],
)
def test_name_as_people_write_it(written: str, fluid: str) -> None:
    assert fluids.resolve(written) == fluid
    assert fluids.why_unknown(written) == ""


@pytest.mark.parametrize(
    ("written", "because"),
    [
        ("", "no name"),
        ("   ", "no name"),
        ("Caustic 20%", "strength"),
        ("20 % NaOH", "strength"),
        ("98% H2SO4", "strength"),
        ("Propane 95 vol", "strength"),
        ("propane/butane", "more than one"),
        ("Propane-Butane", "more than one"),
        ("Methanol + water", "more than one"),
        ("Wasser und Öl", "more than one"),
        ("Propylene, glycol", "more than one"),
        ("LPG", "light hydrocarbons"),
        ("C3=", "light hydrocarbons"),
        ("commercial propane", "light hydrocarbons"),
        ("Naphtha", "petroleum"),
        ("Crude Oil", "petroleum"),
        ("hot oil", "petroleum"),
        ("condensate", "several"),
        ("Kondensat", "several"),
        ("xylene", "several"),
        ("Butylene", "several"),
        ("HCl", "several"),
        ("C4H10", "several"),
        ("sea water", "strength"),
        ("Sauerwasser", "strength"),
        ("ammonia solution", "strength"),
        ("water (sea)", "strength"),
        ("water (green)", "not understood"),
        ("propane (commercial)", "light hydrocarbons"),
        ("propane (liq) butane", "no equation"),
        ("water (hot) 20 barg", "no equation"),
        ("Krypton 85", "no equation"),
        ("ethylene glycol", "no equation"),
        ("propane 2", "no equation"),
        ("stuff", "no equation"),
    ],
)
def test_what_is_not_one_pure_fluid_is_unknown(written: str, because: str) -> None:
    assert fluids.resolve(written) is None
    assert because in fluids.why_unknown(written)
    assert f"'{written.strip()}'" in fluids.why_unknown(written)


def test_every_listed_name_resolves_to_its_own_fluid() -> None:
    for fluid, entry in FLUIDS.items():
        spoken = [name for group in entry.get("names", {}).values() for name in group]
        for name in [fluid, *entry.get("codes", ()), *spoken]:
            assert fluids.resolve(name) == fluid, name
            assert fluids.resolve(f" {name.upper()} ") == fluid, name


def test_every_listed_unknown_is_unknown() -> None:
    for name in UNKNOWN:
        assert fluids.resolve(name) is None, name


def test_every_fluid_is_known_to_coolprop() -> None:
    from CoolProp.CoolProp import FluidsList

    assert set(FLUIDS) <= set(FluidsList())


@given(st.text(max_size=20))
def test_any_text_resolves_or_says_why(text: str) -> None:
    assert (fluids.resolve(text) is None) == (fluids.why_unknown(text) != "")


@given(
    st.sampled_from(COMMON),
    st.sampled_from(COMMON),
    st.sampled_from(["/", " + ", " & ", "; ", ", ", " and "]),
)
def test_two_different_fluids_joined_are_never_one(first: str, second: str, sign: str) -> None:
    if fluids.resolve(first) != fluids.resolve(second):
        assert fluids.resolve(f"{first}{sign}{second}") is None


@given(st.sampled_from(COMMON), st.integers(1, 99))
def test_a_strength_is_never_a_pure_fluid(name: str, percent: int) -> None:
    assert fluids.resolve(f"{name} {percent}%") is None
    assert fluids.resolve(f"{percent} % {name}") is None


def test_recognised_names_or_explains() -> None:
    shown = fluids.recognised(np.array([["BFW", "LPG"]]))
    assert not isinstance(shown, str)
    assert shown[0, 0] == "Water"
    assert shown[0, 1] == fluids.why_unknown("LPG")


# --- liquid and vapour ------------------------------------------------------------------------------


def test_the_reason_says_why_there_is_no_liquid() -> None:
    assert "is vapour" in reason(density.liquid_density, "water", 423.15, 1e5)
    assert "critical point" in reason(density.liquid_density, "propane", 380.0)
    assert "freezes" in reason(density.liquid_density, "benzene", 270.0)
    assert "pressure must be above 0" in reason(density.liquid_density, "water", 300.0, -1.0)
    assert "ends" in reason(density.liquid_density, "n-butane", 300.0, 1e9)
    assert "unknown fluid 'LPG'" in reason(density.liquid_density, "LPG", 300.0)


def test_the_reason_says_why_there_is_no_vapour() -> None:
    assert "give temperature or pressure" in reason(density.vapour_density, "water")
    assert "is liquid" in reason(density.vapour_density, "water", 400.0, 1e6)
    assert "critical point" in reason(density.vapour_density, "water", None, 23e6)
    assert "critical point" in reason(density.vapour_density, "water", 700.0, 30e6)
    assert "triple point" in reason(fluids.saturation_temperature, "water", 100.0)
    assert "critical point" in reason(fluids.saturation_pressure, "water", 650.0)
    assert "is outside" in reason(density.vapour_density, "water", 3000.0, 1e5)


def test_each_row_keeps_its_own_reason() -> None:
    names = np.array(["propane", "LPG", "water", "water"], dtype=object)
    with reasons() as why:
        found = density.liquid_density(names, 293.15, np.array([np.nan, 1e5, 1e4, 1e3]))
    assert np.isnan(found).tolist() == [False, True, False, True]
    texts = why.at(found)
    assert texts[0] == ""
    assert texts[2] == ""
    assert "LPG" in texts[1]
    assert "Water is vapour" in texts[3]


def test_zero_celsius_is_valid_for_water() -> None:
    assert density.liquid_density("water", 273.15) == pytest.approx(999.79, abs=0.01)
    assert density.liquid_density("water", 273.15, 101325.0) == pytest.approx(999.84, abs=0.01)
    assert np.isnan(density.liquid_density("water", 273.12))


@pytest.mark.parametrize("name", ["water", "propane", "ammonia"])
def test_liquid_and_vapour_are_continuous_at_saturation(name: str) -> None:
    pressure = 8e5
    boiling = fluids.saturation_temperature(name, pressure)
    liquid = density.liquid_density(name, boiling)
    vapour = density.vapour_density(name, boiling)
    assert density.liquid_density(name, boiling, pressure) == pytest.approx(liquid, rel=1e-7)
    assert density.liquid_density(name, boiling - 1e-3, pressure) == pytest.approx(liquid, rel=1e-5)
    assert density.vapour_density(name, boiling, pressure) == pytest.approx(vapour, rel=1e-7)
    assert density.vapour_density(name, boiling + 1e-3, pressure) == pytest.approx(vapour, rel=1e-4)
    assert density.vapour_density(name, None, pressure) == pytest.approx(vapour, rel=1e-6)


@settings(deadline=None, max_examples=60)
@given(st.floats(278.0, 640.0), st.floats(1e5, 9e7))
def test_water_agrees_with_the_industrial_formulation(temperature: float, pressure: float) -> None:
    # IF97, an independent set of equations, in its region 1 (liquid below 350 degC)
    if temperature > 623.0 or pressure < 1.001e6 * iapws.IAPWS97(T=temperature, x=0).P:
        return
    other = iapws.IAPWS97(T=temperature, P=pressure / 1e6).rho
    assert density.liquid_density("water", temperature, pressure) == pytest.approx(other, rel=5e-4)


@settings(deadline=None, max_examples=40)
@given(st.floats(280.0, 620.0))
def test_steam_agrees_with_the_industrial_formulation(temperature: float) -> None:
    steam = iapws.IAPWS97(T=temperature, x=1)
    assert density.vapour_density("steam", temperature) == pytest.approx(steam.rho, rel=3e-3)
    assert fluids.saturation_pressure("steam", temperature) == pytest.approx(steam.P * 1e6, rel=3e-4)


@settings(deadline=None)
@given(st.sampled_from([n for n in COMMON if n != "water"]), st.floats(0.01, 0.95), st.floats(0.01, 0.04))
def test_liquid_gets_lighter_and_vapour_denser_towards_the_critical_point(
    name: str, low: float, step: float
) -> None:
    from xlfuncs.gauge._state import limits

    limit = limits(fluids.resolve(name))
    cold, hot = limit.coldest + np.array([low, low + step]) * (limit.critical_temperature - limit.coldest)
    assert density.liquid_density(name, hot) < density.liquid_density(name, cold)
    assert density.vapour_density(name, hot) > density.vapour_density(name, cold)
    assert density.vapour_density(name, hot) < density.liquid_density(name, hot)


@settings(deadline=None)
@given(st.floats(278.0, 640.0))
def test_water_gets_lighter_above_four_degrees(temperature: float) -> None:
    assert density.liquid_density("water", temperature + 1) < density.liquid_density("water", temperature)


@settings(deadline=None)
@given(st.sampled_from(COMMON), st.floats(0.02, 0.98))
def test_saturation_temperature_is_the_inverse_of_saturation_pressure(name: str, share: float) -> None:
    from xlfuncs.gauge._state import limits

    limit = limits(fluids.resolve(name))
    temperature = limit.coldest + share * (limit.critical_temperature - limit.coldest)
    pressure = fluids.saturation_pressure(name, temperature)
    if pressure > limit.triple_pressure:
        assert fluids.saturation_temperature(name, pressure) == pytest.approx(temperature, rel=1e-7)


def test_array_equals_loop_of_scalars() -> None:
    names = np.array([["water"], ["propane"], ["no such"]], dtype=object)
    temperatures = np.array([280.0, 300.0, 320.0, 400.0])
    block = density.liquid_density(names, temperatures, 3e6)
    assert block.shape == (3, 4)
    for i, name in enumerate(names[:, 0]):
        for j, temperature in enumerate(temperatures):
            np.testing.assert_equal(block[i, j], density.liquid_density(name, temperature, 3e6))


def test_scalars_give_scalars() -> None:
    assert isinstance(density.liquid_density("water", 300.0), np.float64)
    assert isinstance(density.vapour_density("water", 300.0), np.float64)
    assert isinstance(density.oil_density(850.0, 300.0, "crude"), np.float64)
    assert isinstance(density.density_at_reference(850.0, 300.0, "crude"), np.float64)


def test_freezing_points_lie_at_the_triple_points() -> None:
    from xlfuncs.gauge._state import limits

    for name, entry in FLUIDS.items():
        if "freezing" in entry:
            assert entry["freezing"] == pytest.approx(limits(name).coldest, abs=0.8), name
    assert "no freezing point" in reason(fluids.freezing_temperature, "R22")
    assert "unknown fluid" in reason(fluids.freezing_temperature, "LPG")


def test_names_need_no_equation_of_state() -> None:
    code = (
        "import sys, xlfuncs.gauge.density, xlfuncs.gauge.fluids as f; "
        "print(f.resolve('BFW') is not None, 'CoolProp' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert done.stdout.split() == ["True", "False"]


# --- petroleum --------------------------------------------------------------------------------------

oils = st.tuples(st.sampled_from(["crude", "product"]), st.floats(615.0, 1160.0)) | st.tuples(
    st.just("lubricant"), st.floats(802.0, 1160.0)
)


@given(oils, st.floats(224.0, 422.0))
@example(("product", 775.0), 420.0)  # between gasoline and kerosene, where the expansion falls steeply
@example(("product", 771.0), 377.0)
@example(("crude", 610.6), 224.0)
@example(("product", 1163.5), 422.0)
def test_observed_density_comes_back_to_the_reference(oil: tuple[str, float], temperature: float) -> None:
    group, density_15 = oil
    observed = density_15 * density.volume_correction(density_15, temperature, group)
    assert density.density_at_reference(observed, temperature, group) == pytest.approx(density_15, rel=1e-9)
    assert density.density_at_15(observed, temperature, group) == pytest.approx(density_15, rel=1e-9)


@given(oils, st.floats(224.0, 421.0), st.sampled_from(density.REFERENCES))
def test_oil_gets_lighter_with_temperature(
    oil: tuple[str, float], temperature: float, reference: str
) -> None:
    group, rho = oil
    cold = density.volume_correction(rho, temperature, group, reference)
    assert density.volume_correction(rho, temperature + 1, group, reference) < cold


@given(oils, st.floats(224.0, 422.0), st.floats(0.0, 1e7))
def test_oil_gets_denser_with_pressure(oil: tuple[str, float], temperature: float, pressure: float) -> None:
    group, rho = oil
    at_rest = density.oil_density(rho, temperature, group)
    pressed = density.oil_density(rho, temperature, group, pressure)
    assert at_rest <= pressed < 1.2 * at_rest


@given(oils, st.floats(224.0, 422.0))
def test_a_density_at_15_degc_and_at_60_degf_are_of_one_procedure(
    oil: tuple[str, float], temperature: float
) -> None:
    group, density_15 = oil
    density_60 = density.density_at_reference(density_15, 288.15, group, "60 degF")
    if np.isnan(density_60):  # at the very end of the range
        return
    by_15 = density.oil_density(density_15, temperature, group)
    assert density.oil_density_60(density_60, temperature, group) == pytest.approx(by_15, rel=1e-12)


def test_a_product_at_the_edge_of_a_band() -> None:
    # MPMS 11.1:2004 by another implementation; the constants of 1980 for 15 degC gave 647.98
    assert density.oil_density(771.0, 423.15, "product") == pytest.approx(647.42, abs=0.005)


def test_reference_temperature_leaves_the_density() -> None:
    for group in density.GROUPS:
        assert density.volume_correction(900.0, 288.15, group) == pytest.approx(1.0, abs=1e-14)
        assert density.volume_correction(900.0, (60 + 459.67) / 1.8, group, "60 degF") == pytest.approx(1.0)


def test_product_bands_meet_without_a_step() -> None:
    for band in load("petroleum")["60 degF"]["product"][1:]:
        edge = np.array([band["above"] - 1e-6, band["above"]])
        below, above = density.volume_correction(edge, 323.15, "product", "60 degF")
        assert above == pytest.approx(below, abs=2e-6)  # the limits are printed to seven digits


def test_petroleum_is_refused_outside_its_range() -> None:
    assert "610.6 to 1163.5" in reason(density.oil_density, 600.0, 300.0, "crude")
    assert "800.9" in reason(density.oil_density, 790.0, 300.0, "lubricant")
    assert "-50 to 150 degC" in reason(density.oil_density, 850.0, 430.0, "crude")
    assert "470.5 to 1201.8" in reason(density.density_at_15, 1.0, 300.0, "crude")
    assert "103.4 bar" in reason(density.oil_density, 850.0, 300.0, "crude", 2e7)
    with pytest.raises(ValueError, match="group is 'gasoline': use one of crude, product, lubricant"):
        density.oil_density(750.0, 300.0, "gasoline")
    with pytest.raises(ValueError, match="reference is '20 degC'"):
        density.volume_correction(750.0, 300.0, "product", "20 degC")


def test_hydrometer_correction_has_no_effect_at_its_own_temperature() -> None:
    assert density.density_at_15(850.0, 288.15, "crude", True) == pytest.approx(850.0, rel=1e-12)
    read = density.density_at_15(850.0, 308.15, "crude", np.array([False, True]))
    assert read[1] / read[0] == pytest.approx(1 - 2.3e-5 * 20 - 2e-8 * 400, rel=1e-4)


def test_oil_groups_broadcast() -> None:
    groups = np.array(["crude", "product", "lubricant"], dtype=object)
    together = density.oil_density(900.0, 350.0, groups)
    assert together.tolist() == [density.oil_density(900.0, 350.0, group) for group in groups]


# --- measured points --------------------------------------------------------------------------------

kelvins = st.floats(250.0, 400.0)


@given(kelvins, st.floats(1.0, 80.0), st.floats(600.0, 1200.0), st.floats(0.0, 80.0), st.floats(-1.0, 2.0))
def test_line_through_two_points(
    temperature_1: float, span: float, density_1: float, fall: float, share: float
) -> None:
    def at(temperature: float) -> Any:
        return density.density_between(
            temperature, temperature_1, density_1, temperature_1 + span, density_1 - fall
        )

    assert at(temperature_1) == pytest.approx(density_1)
    assert at(temperature_1 + span) == pytest.approx(density_1 - fall)
    there = temperature_1 + share * span
    turned = density.density_between(there, temperature_1 + span, density_1 - fall, temperature_1, density_1)
    assert at(there) == pytest.approx(turned, rel=1e-9)


@given(kelvins, st.floats(600.0, 1200.0), st.floats(0.0, 2e-3), st.floats(-80.0, 80.0))
def test_expansion_there_and_back(
    temperature_1: float, density_1: float, expansion: float, rise: float
) -> None:
    there = density.expanded_density(density_1, temperature_1, expansion, temperature_1 + rise)
    assert density_1 / there == pytest.approx(1 + expansion * rise, rel=1e-9)


def test_measured_points_that_cannot_be_used() -> None:
    assert "equals" in reason(density.density_between, 300.0, 290.0, 850.0, 290.0, 840.0)
    assert "rises" in reason(density.density_between, 300.0, 290.0, 840.0, 310.0, 850.0)
    assert "measure a nearer one" in reason(density.density_between, 400.0, 290.0, 850.0, 310.0, 840.0)
    assert "negative" in reason(density.expanded_density, 850.0, 290.0, -1e-3, 300.0)
    assert "check the unit" in reason(density.expanded_density, 850.0, 290.0, 0.9, 300.0)


@pytest.mark.parametrize(("celsius", "liquid"), [(0.0, True), (-0.009, True), (-0.0115, False)])
def test_water_is_liquid_at_zero_and_frozen_a_hundredth_of_a_degree_below(
    celsius: float, liquid: bool
) -> None:
    # the triple point is at 0.01 degC, at atmospheric pressure ice melts at 0
    assert isinstance(call("LG_DENSITY", "water", celsius), float) == liquid
