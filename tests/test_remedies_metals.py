"""Metals for a fluid that attacks the present one: those that a statement calls resistant, no other."""

from __future__ import annotations

from typing import Any

import pytest

from xlfuncs.audit.compatibility import resistant, unfit_families
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.registry import Hit, find_rule, remedy_of
from xlfuncs.audit.remedy import Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.gauge import materials

RULE = find_rule("wetted-material-unfit")
TITANIUM = {"float_material": "Titanium", "float_wall": "1.2 mm"}
DECIDE = "a corrosion specialist and the code that applies decide"


def table(**row: Any) -> Gauges:
    return gauges_of({name: [cell] for name, cell in (SOUND | row).items()})


def hits(gauges: Gauges) -> list[Hit]:
    return [one for one in RULE.check(gauges, Settings()) if isinstance(one, Hit)]


def remedies(**row: Any) -> dict[str, Remedy]:
    gauges = table(**row)
    made = {hit.field: remedy_of(RULE, gauges, Settings(), hit) for hit in hits(gauges)}
    return {field: one for field, one in made.items() if one is not None}


def chambers(remedy: Remedy) -> list[str]:
    return [str(one.value) for one in remedy.options if one.name == "chamber_material"]


def test_a_chamber_that_acid_dissolves_is_told_the_metal_that_a_statement_calls_resistant() -> None:
    found = remedies(fluid="Hydrochloric acid 15 %", float_material="Alloy C-276")["chamber_material"]
    assert chambers(found) == ["tantalum"]
    assert "tantalum up to 150 degC by ASM Handbook volume 13B" in found.text
    assert found.text.endswith(
        f"Which it is to be, {DECIDE}, by the fluid's strength, temperature and impurities."
    )


@pytest.mark.parametrize("fluid", ["Hydrofluoric acid", "Fuming nitric acid"])
def test_where_no_statement_calls_a_metal_resistant_none_is_named(fluid: str) -> None:
    for found in remedies(fluid=fluid, **TITANIUM).values():
        assert chambers(found) == []
        assert f"No published statement held here names a metal that stands {fluid}" in found.text
        assert DECIDE in found.text


@pytest.mark.parametrize(
    ("fluid", "degrees", "named"),
    [
        ("Brine", "79 degC", ["titanium grade 2", "N10276"]),
        ("Brine", "81 degC", []),  # above the temperature of the statement
        ("Nitric acid 60 %", "50 degC", ["304L"]),
        ("Nitric acid 68 %", "50 degC", []),  # stronger than the statement speaks of
        ("Nitric acid", "50 degC", ["304L"]),  # with its limits told
        ("Nitric acid 60 % with hydrofluoric acid", "50 degC", []),  # a mixture
        ("Nitric acid 60 % with chlorides, HCl", "50 degC", []),
        ("Brine with hypochlorite", "70 degC", []),
        ("Brine, sour water", "70 degC", []),
    ],
)
def test_a_statement_counts_for_its_own_fluid_within_its_limits_only(
    fluid: str, degrees: str, named: list[str]
) -> None:
    metal = "316L" if "Brine" in fluid else "carbon steel"
    row = {"fluid": fluid, "operating_temperature": degrees, "chamber_material": metal} | TITANIUM
    assert chambers(remedies(**row)["chamber_material"]) == named


def test_no_ferromagnetic_metal_is_named_for_a_chamber() -> None:
    """Nickel stands strong caustic, and would hold the magnet of the float."""
    row = {"fluid": "Caustic soda 50 %", "operating_temperature": "45 degC"}
    of_chamber = remedies(**row, chamber_material="aluminium", **TITANIUM)["chamber_material"]
    assert chambers(of_chamber) == ["304L", "316L"]
    assert "N02201" not in of_chamber.text
    of_float = remedies(**row, chamber_material="316L", float_material="aluminium")["float_material"]
    assert "N02201 (nickel)" in of_float.text and "50 %" in of_float.text


@pytest.mark.parametrize("name", list(load("compatibility")["fit"]))
def test_no_metal_is_called_resistant_that_another_statement_calls_unfit(name: str) -> None:
    """For every word of the fluids concerned; and each metal is one that the table of alloys knows."""
    block = load("compatibility")["fit"][name]
    for statement in block["statements"]:
        words = load("compatibility")["unfit"][statement]["words"]
        fluids = [word for word in words if not word.endswith("*")]
        assert any(block in resistant(fluid) for fluid in fluids)
        for fluid in fluids:
            for metal in block["metals"] if block in resistant(fluid) else ():
                assert materials.read(metal).family not in {"", *unfit_families(fluid)}, (fluid, metal)


def test_with_the_metal_that_is_named_the_rule_finds_nothing() -> None:
    row = {"fluid": "Acetic acid 20 %", "chamber_material": "carbon steel", **TITANIUM}
    found = remedies(**row)["chamber_material"]
    assert chambers(found) == ["316L", "titanium grade 2"]
    for metal in chambers(found):
        assert hits(table(**row | {"chamber_material": metal})) == []


def test_the_limits_stand_in_the_units_of_the_book() -> None:
    row = {"fluid": "Brine", "operating_temperature": "160 degF", "chamber_material": "316L", **TITANIUM}
    assert "up to 176 degF" in remedies(**row)["chamber_material"].text
