"""Every example in a docstring gives what it says."""

from __future__ import annotations

import doctest
from importlib import import_module
from pathlib import Path

import pytest

import xlfuncs

ROOT = Path(xlfuncs.__file__).parent
LOADED_BY_OTHERS = {"bridge", "jobs", "opened"}
"""Modules that only LibreOffice can import."""
HOLDING = [
    ".".join(path.relative_to(ROOT.parent).with_suffix("").parts).removesuffix(".__init__")
    for path in sorted(ROOT.rglob("*.py"))
    if ">>> " in path.read_text(encoding="utf-8") and path.stem not in LOADED_BY_OTHERS
]


def test_there_are_examples() -> None:
    assert len(HOLDING) > 10


@pytest.mark.parametrize("name", HOLDING)
def test_the_examples_of_a_module(name: str) -> None:
    found = doctest.testmod(import_module(name), optionflags=doctest.ELLIPSIS)
    assert found.attempted
    assert not found.failed
