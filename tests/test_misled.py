"""A search is not led astray by a cause that acts like another, a wrong number, or a pair that was not tried.

The readings are worked out here by hand, as a person would write them down.
"""

from __future__ import annotations

import io

import numpy as np
import pytest

from tests.test_undecided import DENSITY, GAUGE, HEAVIER, LEVELS, TOP, first, names, told
from xlfuncs.cli.ask import Talk
from xlfuncs.gauge.diagnosis import Diagnosis
from xlfuncs.gauge.guide import next_step, settled
from xlfuncs.gauge.leaning import leaning
from xlfuncs.gauge.questions import questions
from xlfuncs.gauge.readings import Readings
from xlfuncs.report.repair import lines
from xlfuncs.worksheet.answers import read_answers

HEEL, REVERSED = "other liquid in the chamber's bottom", "transmitter reversed"
LIQUID = "density not as stated"


def asked(found: Diagnosis, opened: tuple[str, ...] = ("drain", "vent")) -> str:
    step = next_step(found, opened)
    return step.question.name if step is not None and step.question is not None else ""


def weight(found: Diagnosis, name: str) -> float:
    """Of all causes with this one in them."""
    return sum(f.weight for f in found.findings if name in f.cause.name)


def low_and_reversed(**answers: bool | float) -> Diagnosis:
    """24 mm low, as over water in the chamber's bottom, and a current that falls with the level."""
    low = LEVELS - 0.024
    return told(low, TOP - low, answers={"reference": True, "vented": False, **answers})


def test_another_liquid_at_the_bottom_is_asked_for_beside_a_fault_of_the_transmitter() -> None:
    unsure = low_and_reversed(sample=False)
    assert not settled(unsure) and f"{HEEL}, and {REVERSED}" in names(unsure)
    assert asked(unsure) == "bottom"
    seen = low_and_reversed(sample=False, bottom=True)
    assert first(seen) == {HEEL, REVERSED}
    density = low_and_reversed(sample=False, bottom=False)
    assert first(density) == {LIQUID, REVERSED}


def test_a_samples_density_speaks_against_a_cause_that_wants_another() -> None:
    """A liquid 24 mm lower on this float has 788 kg/m3; the sample is heavier than stated."""
    water = low_and_reversed(sample=990.0)
    assert HEEL in first(water) and weight(water, LIQUID) < 0.05
    lighter = low_and_reversed(sample=789.0)
    assert LIQUID in first(lighter) and weight(lighter, HEEL) < 0.05
    own = low_and_reversed(sample=901.0)
    assert LIQUID not in first(own)
    agrees = told(LEVELS - 0.024, LEVELS - 0.024, answers={"sample": 789.0})
    assert settled(agrees) and first(agrees) == {LIQUID}
    # 24 mm too high: a lighter liquid at the bottom, or a heavier one in the vessel
    high = told(LEVELS + 0.024, LEVELS + 0.024, answers={"sample": 830.0})
    assert HEEL in first(high) and weight(high, LIQUID) < 0.05


def test_a_sample_read_on_site_may_be_of_what_stands_at_the_bottom() -> None:
    sample = np.array([990.0, *[np.nan] * 4])
    found = told(LEVELS - 0.024, LEVELS - 0.024, sample_density=sample, answers={"bottom": True})
    assert first(found) == {HEEL}


def test_one_wrong_weight_does_not_beat_a_sample() -> None:
    """A lighter liquid; the float was weighed wet, and is as much too heavy as the readings want."""
    low = LEVELS - 0.024
    more = 0.024 * np.pi / 4 * 0.05**2 * DENSITY
    answers: dict[str, bool | float] = {"reference": True, "vented": False, "bottom": False, "serial": True}
    wet = told(low, low, answers={**answers, "sample": 788.0, "float_mass": 0.300 + more})
    assert LIQUID in names(wet) and not (settled(wet) and first(wet) == {HEAVIER})
    clean = told(
        low,
        low,
        answers={**answers, "sample": False, "float_mass": 0.3 + more, "particles": False, "whole": True},
    )
    assert not settled(clean) and LIQUID in names(clean)


def test_a_conclusion_may_rest_on_the_weighing() -> None:
    low = LEVELS - 0.024
    more = 0.024 * np.pi / 4 * 0.05**2 * DENSITY
    answers: dict[str, bool | float] = {"reference": True, "vented": False, "serial": True}
    found = told(low, low, answers={**answers, "float_mass": 0.300 + more})
    assert settled(found) and first(found) == {HEAVIER}
    lean = leaning(found)
    assert lean is not None and lean.question.mass and lean.answer == pytest.approx(0.300 + more)
    alone = told(low, low, answers=answers)
    assert {f.cause.name for f in lean.instead} <= names(alone)
    assert f"{1e3 * (0.300 + more):g} g. Look again" in " ".join(lines(found))


def test_a_sample_is_answered_by_yes_no_or_a_density_with_its_unit(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for typed, held in (("y", True), ("no", False), ("0.815 g/cm3", 815.0), ("815", 815.0), ("", None)):
        talk = talking(typed)
        talk._question(questions()["sample"])
        assert talk.answers.get("sample") == (held if held is None else pytest.approx(held))
    slips = talking("0.815", "12 apples", "815 kg/m3")
    slips._question(questions()["sample"])
    assert slips.answers["sample"] == pytest.approx(815.0)
    told_so = slips.out.getvalue()  # type: ignore[attr-defined]
    assert "far from what is stated" in told_so and "apples" in told_so
    slip = talking("0.3", "300")
    slip._question(questions()["float_mass"])
    assert slip.answers["float_mass"] == pytest.approx(0.3)


def talking(*typed: str) -> Talk:
    said = iter(typed)
    read = Readings(np.array([DENSITY]), level=np.array([0.5]), indicated=np.array([0.48]))
    return Talk(GAUGE, read, 0.002, 0.005, DENSITY, io.StringIO(), ask=lambda prompt: next(said))


def test_a_samples_density_stands_in_a_sheet_of_answers() -> None:
    def held(cell: object) -> bool | float | None:
        rows: list[list[object]] = [["Question", "Answer"], [questions()["sample"].text, cell]]
        return read_answers(rows, ["A1", "A2"]).get("sample")

    assert held("815 kg/m3") == held(815) == held("0.815 g/cm3") == pytest.approx(815.0)
    assert held("no") is False and held("not looked") is None
    for slip in ("0.815", 0.815, "815 lumps"):
        with pytest.raises(ValueError, match="A2"):
            held(slip)
