"""The evidence of findings: name, value, unit, and the cell in which it stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.layouts import LAYOUTS, build
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.evidence import ENDINGS, Evidence, split
from xlfuncs.audit.model import Finding
from xlfuncs.audit.registry import Rule, rules
from xlfuncs.units import converter


def found(folder: Path, rule: str, **changes: str) -> tuple[Finding, dict[str, str]]:
    """The finding of a rule in the sound gauge with some cells changed, and where its values stand."""
    planted = build(folder / "one.xlsx", LAYOUTS[0], [changes])
    (finding,) = (one for one in audit_book(planted.path).findings if one.rule == rule)
    return finding, {name: cell for (_, name), cell in planted.cells.items()}


def place(one: Evidence) -> str:
    return f"{one.sheet}!{one.cell}" if one.cell else ""


def test_a_value_of_the_sheet_has_its_cell_and_a_computed_one_has_none(tmp_path: Path) -> None:
    finding, cells = found(
        tmp_path,
        "offset-exceeds-tolerance",
        fluid="Blend 7",
        fluid_density="880 kg/m3",
        fluid_density_min="870 kg/m3",
    )
    told = {one.name: one for one in finding.proof}
    assert told["density"] == Evidence("density", 870.0, "kg/m3", *cells["fluid_density_min"].split("!"))
    assert place(told["upper_density"]) == cells["upper_density"]
    assert told["reading_offset"].unit == "mm"
    assert place(told["reading_offset"]) == ""


def test_a_value_of_the_float_list_has_its_cell_there(tmp_path: Path) -> None:
    finding, cells = found(tmp_path, "float-pressure-exceeded", float_max_pressure="9 barg")
    (one,) = (one for one in finding.proof if one.name == "float_max_pressure")
    assert (one.value, one.unit) == (9.0, "barg")
    assert place(one) == cells["float_max_pressure"]
    assert place(one).startswith("Floats!")


def test_evidence_may_be_a_text(tmp_path: Path) -> None:
    finding, cells = found(tmp_path, "chamber-magnetic", chamber_material="A105", flange_class="300")
    told = {one.name: one for one in finding.proof}
    assert told["material"].value == "A105"
    assert place(told["material"]) == cells["chamber_material"]
    assert told["family"] == Evidence("family", "carbon steel")


def test_what_is_judged_has_the_cell_of_the_finding(tmp_path: Path) -> None:
    finding, _ = found(tmp_path, "switch-outside-range", switch_lshh="1040 mm")
    (one,) = (one for one in finding.proof if one.name == "set_point")
    assert (one.sheet, one.cell) == (finding.sheet, finding.cell)


@pytest.mark.parametrize("item", rules().values(), ids=lambda item: item.slug)
def test_the_evidence_says_what_the_names_of_old_say(item: Rule, tmp_path: Path) -> None:
    result = audit_book(build(tmp_path / "firing.xlsx", LAYOUTS[0], item.firing).path)
    for finding, told in zip(result.findings, result.to_dict()["findings"], strict=True):
        assert [(one.value) for one in finding.proof] == list(finding.evidence.values())
        assert [one["value"] for one in told["proof"]] == list(told["evidence"].values())
        for one, name in zip(finding.proof, finding.evidence, strict=True):
            assert name.startswith(one.name)
            assert (one.unit == "") == (one.name == name)
            assert (one.sheet == "") == (one.cell == "")


def test_every_ending_is_a_unit_that_is_known() -> None:
    for ending, unit, quantity in ENDINGS:
        assert split(f"some{ending}") == ("some", unit, quantity)
        if quantity and quantity != "percent":
            assert converter(unit, quantity).unit
