"""Published values: every row of `tests/published/*.csv`, and that no function goes without.

A row that fails names its file and line.
"""

from __future__ import annotations

import sys
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from xlfuncs.worksheet import call, catalogue

_spec = spec_from_file_location("verification", Path(__file__).parent / "verification.py")
assert _spec is not None
assert _spec.loader is not None
verification = module_from_spec(_spec)
sys.modules[_spec.name] = verification  # dataclasses look their module up
_spec.loader.exec_module(verification)

CHECKS = verification.read()


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: f"{check.place} {check.function}")
def test_agrees_with_the_published_value(check: Any) -> None:
    ours = check.ours()
    assert check.holds(ours), (
        f"{check.place}, {check.case}: {ours} instead of {check.value} +- {check.tolerance} {check.unit}"
        f" ({check.source})"
    )


@pytest.mark.parametrize(
    "name", [name for name, function in catalogue().items() if function.source != "this package"]
)
def test_two_independent_sources_stand_behind_every_function(name: str) -> None:
    behind = verification.sources(CHECKS)[name]
    assert len(behind) >= 2, f"{name} is checked against {sorted(behind) or 'nothing'}"


def test_every_function_has_a_source_outside_of_this_package() -> None:
    assert not verification.unconfirmed(CHECKS)


def test_every_check_is_of_something_that_exists() -> None:
    unknown = {c.place: c.function for c in CHECKS if "." not in c.function and c.function not in catalogue()}
    assert not unknown


@pytest.mark.parametrize("name", list(catalogue()))
def test_the_example_gives_its_answer(name: str) -> None:
    example = catalogue()[name].example
    assert_same(call(name, *example.arguments), example.answer, example.tolerance)


def assert_same(ours: Any, answer: Any, relative: float) -> None:
    if isinstance(answer, (list, tuple, np.ndarray)):
        assert len(ours) == len(answer)
        for part, expected in zip(ours, answer, strict=True):
            assert_same(part, expected, relative)
    elif isinstance(answer, (int, float)) and not isinstance(answer, bool):
        assert ours == pytest.approx(answer, rel=relative, abs=1e-9)
    else:
        assert ours == answer


def test_a_value_outside_its_tolerance_is_seen() -> None:
    check = next(c for c in CHECKS if isinstance(c.value, float))
    assert not check.holds(check.value + 2 * check.tolerance + 1.0)
    assert not check.holds("no number")
