"""The steps of an hour's work in Calc, once through."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.calc_hour import run

pytestmark = pytest.mark.calc


def test_an_hours_work_leaves_one_worker_and_then_none(tmp_path: Path) -> None:
    diary = run(0, tmp_path)
    for what, _, processes, workers in diary.lines:
        assert workers == ("closed" not in what and "removed" not in what), what
        assert processes == 0 if "closed" in what else processes <= 3 + workers, (what, processes)
