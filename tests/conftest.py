"""Settings of all tests."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, settings

if TYPE_CHECKING:
    from tests.calc_office import CalcOffice

# openpyxl writes other bytes where lxml is installed, which openxml-audit needs and users may have or not
os.environ.setdefault("OPENPYXL_LXML", "False")

# A busy machine is no reason to fail; the same examples on every run of CI, new ones elsewhere.
COMMON: dict[str, Any] = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("here", **COMMON)
settings.register_profile("ci", derandomize=True, database=None, **COMMON)
settings.register_profile("few", derandomize=True, database=None, max_examples=20, **COMMON)  # mutants
settings.load_profile("ci" if os.environ.get("CI") else "here")


def pytest_collection_finish() -> None:
    """What was loaded and collected stays to the end: Python need not look through it for rubbish again."""
    gc.collect()
    gc.freeze()


def _profile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from xlfuncs.cli import main

    folder: Path = tmp_path_factory.mktemp("calc") / "profile"
    assert main(["install", "calc", "--profile", str(folder)]) == 0
    return folder


@pytest.fixture(scope="module")
def profile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A profile of LibreOffice in which `xlfuncs install calc` has put functions and menu."""
    return _profile(tmp_path_factory)


@pytest.fixture
def calc(profile: Path) -> Iterator[CalcOffice]:
    """A LibreOffice as a user starts it."""
    from tests.calc_office import CalcOffice

    with CalcOffice(profile) as office:
        yield office


@pytest.fixture(scope="module")
def open_office(tmp_path_factory: pytest.TempPathFactory) -> Iterator[CalcOffice]:
    """A LibreOffice that stays open, in a profile of its own: to start one takes longer than most tests."""
    from tests.calc_office import CalcOffice

    with CalcOffice(_profile(tmp_path_factory)) as office:
        yield office


@pytest.fixture
def next_document(open_office: CalcOffice) -> Iterator[CalcOffice]:
    """A new document in a LibreOffice in which others were worked in before."""
    open_office.do("open", path=None)
    yield open_office
    open_office.do("close")
