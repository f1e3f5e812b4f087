"""A LibreOffice that ends while it is worked in."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.calc_office import CalcOffice, SharedOffice

pytestmark = pytest.mark.calc


def test_an_office_that_ends_fails_its_step_alone_and_a_new_one_goes_on(tmp_path: Path) -> None:
    with SharedOffice(lambda: CalcOffice(tmp_path / "profile")) as shared:
        first = shared.running()
        with pytest.raises(AssertionError, match="no such step"):
            first.do("run", code="raise ValueError('no such step')")
        assert shared.running() is first
        (program,) = [one for one in first.processes() if one.name() == "soffice.bin"]
        program.kill()
        assert shared.running() is first
        for step in ("sheets", "quit"):
            with pytest.raises(AssertionError, match=f"LibreOffice has ended by SIGKILL at {step}"):
                first.do(step)
        second = shared.running()
        assert second is not first
        assert first.processes() == []
        assert second.do("sheets") == ["Sheet1"]
        second.do("quit")
        assert second.gone()
        second.do("quit")  # gone before it could answer, as it was asked
        with pytest.raises(AssertionError, match="LibreOffice has ended with status 0 at sheets"):
            second.do("sheets")
