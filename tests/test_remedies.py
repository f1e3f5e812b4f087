"""What would mend a finding: taken, it does mend it."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import pytest

from tests.layouts import LAYOUTS, build
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.model import Finding
from xlfuncs.audit.registry import Rule, rules
from xlfuncs.audit.remedy import Remedy

VALUES = {
    "transmitter-outside-visible-range": ("lrv", "urv"),
    "transmitter-range-mismatch": ("lrv", "urv"),
    "range-reversed": ("lrv", "urv"),
    "current-inconsistent": ("stated_current",),
    "switch-order": None,
    "switch-outside-range": None,
    "switch-spacing-small": (),
    "scale-zero-shifted": ("scale_zero",),
    "densities-swapped": (),
    "tracing-underpowered": ("tracer_output",),
    "flange-rating-exceeded": ("flange_class",),
}
"""Rule -> the options that are to be taken together; None: all, (): the first."""
OWN = [rules()[slug] for slug in VALUES]


def audited(folder: Path, rows: list[dict[str, Any]]) -> list[Finding]:
    planted = build(folder / "book.xlsx", LAYOUTS[0], rows)
    return audit_book(planted.path).findings


def remedy_of(finding: Finding) -> Remedy:
    assert finding.remedy is not None
    return finding.remedy


@pytest.mark.parametrize("item", OWN, ids=lambda item: item.slug)
def test_the_values_of_a_remedy_mend_its_finding(item: Rule, tmp_path: Path) -> None:
    for number, row in enumerate(item.firing):
        if "fluid" in row or number > 1:
            continue
        finding = next(f for f in audited(tmp_path, [dict(row)]) if f.rule == item.slug)
        remedy = remedy_of(finding)
        wanted = VALUES[item.slug]
        options = [o for o in remedy.options if o.name and o.value is not None]
        if wanted == ():
            options = options[: 2 if item.slug == "densities-swapped" else 1]
        elif wanted is not None:
            options = [o for o in options if o.name in wanted]
        assert options, remedy
        mended = dict(row) | {option.name: str(option.value) for option in options}
        assert item.slug not in {f.rule for f in audited(tmp_path, [mended])}, mended


def test_a_part_of_the_list_that_fits_is_named_with_its_worst_reading(tmp_path: Path) -> None:
    rows = [
        {"tag": "LG-1", "float_part": "ZF-A", "fluid_density": "880 kg/m3", "fluid": "Blend 7"},
        {
            "tag": "LG-2",
            "float_part": "ZF-B",
            "float_mass": "313 g",
            "fluid_density": "880 kg/m3",
            "fluid": "Blend 7",
        },
    ]
    (finding,) = [f for f in audited(tmp_path, rows) if f.rule == "offset-exceeds-tolerance"]
    first = remedy_of(finding).options[0]
    assert (first.name, str(first.value)) == ("float_part", "ZF-B")
    # h = (m - rho_u V)/(A (rho - rho_u)) for 313 g, 50 x 250 mm, 880 kg/m3 under 3 kg/m3
    area = math.pi / 4 * 0.05**2
    offset = 181 - 1e3 * (0.313 - 3 * area * 0.25) / (area * (880 - 3))
    assert first.numbers["worst_reading_low_mm"] < offset < first.numbers["worst_reading_high_mm"]
    assert abs(first.numbers["worst_reading_high_mm"] - offset) < 4
    assert "ZF-A" not in [str(option.value) for option in remedy_of(finding).options]


def test_the_scale_is_shifted_by_the_offset(tmp_path: Path) -> None:
    row = {"float_part": "ZF-A", "fluid_density": "880 kg/m3", "fluid": "Blend 7"}
    (finding,) = [f for f in audited(tmp_path, [row]) if f.rule == "offset-exceeds-tolerance"]
    scale = next(option for option in remedy_of(finding).options if not option.name)
    assert scale.numbers["scale_shift_mm"] == pytest.approx(
        float(finding.evidence["reading_offset_mm"]), abs=1e-5
    )
    assert scale.numbers["scale_density_kg_m3"] == pytest.approx(880, rel=1e-9)


def test_where_none_fits_the_float_that_would_is_given_and_does(tmp_path: Path) -> None:
    row = {"float_part": "ZF-A", "fluid_density": "880 kg/m3", "fluid": "Blend 7"}
    (finding,) = [f for f in audited(tmp_path, [row]) if f.rule == "offset-exceeds-tolerance"]
    remedy = remedy_of(finding)
    assert remedy.text.startswith("None of the float list fits")
    for option in remedy.options:
        if option.name in ("float_mass", "magnet_height"):
            number = option.numbers["mass_g" if option.name == "float_mass" else "magnet_height_mm"]
            unit = "g" if option.name == "float_mass" else "mm"
            mended = row | {option.name: f"{number:.2f} {unit}", "float_design_density": None}
            assert not [
                f for f in audited(tmp_path, [mended]) if f.rule.startswith(("offset", "worst", "float"))
            ]


def test_a_remedy_is_a_sentence_and_stands_in_the_json(tmp_path: Path) -> None:
    seen = 0
    for item in rules().values():
        if item.remedy is None:
            continue
        planted = build(tmp_path / f"{item.slug}.xlsx", LAYOUTS[0], item.firing)
        result = audit_book(planted.path)
        for finding in result.findings:
            if finding.remedy is not None:
                seen += 1
                assert re.fullmatch(r"[A-Z].*\.", finding.remedy.text), finding.remedy.text
                assert "nan" not in finding.remedy.text
        plain = [f["remedy"] for f in result.to_dict()["findings"]]
        assert plain == [None if f.remedy is None else f.remedy.to_dict() for f in result.findings]
    assert seen >= 20
