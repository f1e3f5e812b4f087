"""Tabled states are those of CoolProp, and an ordinary audit needs no other."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from xlfuncs.data import load
from xlfuncs.gauge import _state, _tabled, reasons
from xlfuncs.gauge.density import liquid_density
from xlfuncs.gauge.viscosity import liquid_viscosity

FLUIDS = list(load("fluids")["fluid"])
WITHIN = 1e-6
"""Relative deviation; `tabulate` aims at 2e-9."""
STATES = 40
DEMO = Path(__file__).parent.parent / "workbooks" / "contractor_index.xlsx"


def _compare(name: str, inputs: str, first: object, second: object, output: str, phase: str = "") -> int:
    """How many of some states are tabled; each within the limit."""
    one, two = np.broadcast_arrays(np.asarray(first, np.float64), np.asarray(second, np.float64))
    tabled = _tabled.states(name, inputs, one, two, output, phase)
    here = ~np.isnan(tabled)
    true = _state.computed(
        name, inputs, zip(one[here].tolist(), two[here].tolist(), strict=True), output, phase
    )
    assert tabled[here] == pytest.approx(np.array(true), rel=WITHIN), (name, inputs, output)
    return int(here.sum())


@pytest.mark.parametrize("name", FLUIDS)
def test_tables_agree_with_the_equation_of_state(name: str) -> None:
    limit = _state.computed_limits(name)
    assert _state.limits(name) == limit
    draw = np.random.default_rng(abs(hash(limit)) % 1000)
    kelvin = draw.uniform(limit.coldest, 0.98 * limit.critical_temperature, STATES)
    kelvin[0] = limit.coldest
    logs = draw.uniform(np.log(limit.triple_pressure), np.log(0.8 * limit.critical_pressure), STATES)
    assert _compare(name, "QT", 0.0, kelvin, "p") == STATES
    assert _compare(name, "QT", 0.0, kelvin, "rhomass") == STATES
    assert _compare(name, "QT", 1.0, kelvin, "rhomass") == STATES
    assert _compare(name, "PQ", np.exp(logs), 0.0, "T") == STATES
    assert _compare(name, "PQ", np.exp(logs), 1.0, "rhomass") == STATES
    if not _tabled.never(name, "viscosity"):
        assert _compare(name, "QT", 0.0, kelvin, "viscosity") > STATES / 2
    boiling = _tabled.states(name, "QT", np.zeros(STATES), kelvin, "p", "")
    pascal = boiling + 10 ** draw.uniform(3, 7.3, STATES)
    for phase, where in (
        ("liquid", pascal < limit.critical_pressure),
        ("supercritical_liquid", pascal >= limit.critical_pressure),
    ):
        _compare(name, "PT", pascal[where], kelvin[where], "rhomass", phase)


@pytest.mark.parametrize("name", FLUIDS)
def test_no_equation_of_viscosity_where_the_table_says_so(name: str) -> None:
    if _tabled.never(name, "viscosity"):
        middle = (_state.limits(name).coldest + _state.limits(name).critical_temperature) / 2
        assert np.isnan(_state.computed(name, "QT", [(0.0, middle)], "viscosity")).all()
        assert np.isnan(liquid_viscosity(name, middle))
    else:
        assert _tabled.table(name) is not None


def test_beyond_the_tables_the_equation_of_state_answers() -> None:
    limit = _state.limits("Water")
    near = limit.critical_temperature - 0.5
    assert np.isnan(_tabled.states("Water", "QT", np.zeros(1), np.array([near]), "p", "")).all()
    assert liquid_density("water", near) == _state.computed("Water", "QT", [(0.0, near)], "rhomass")[0]
    # IAPWS R6-95, table 7: 1005.308 kg/m3 at 300 K and 20.0022515 MPa (from memory)
    assert liquid_density("water", 300.0, 20.0022515e6) == pytest.approx(1005.308, rel=1e-8)


def test_without_coolprop_what_is_not_tabled_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_state, "there", lambda: False)
    assert liquid_density("water", 300.0) == pytest.approx(996.5, abs=0.1)
    with reasons() as why:
        found = liquid_density("water", 640.0)
    assert np.isnan(found)
    assert "CoolProp" in str(why.at(np.asarray(found)))


def test_an_ordinary_audit_loads_what_it_needs() -> None:
    code = (
        "import sys; from xlfuncs.cli import main; "
        f"main(['audit', {str(DEMO)!r}, '--format', 'json']); print(*sys.modules, file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stderr.splitlines()[-1].split())
    assert not loaded & {"CoolProp", "scipy", "pint", "openpyxl", "rich", "xlwings", "urllib.request"}
