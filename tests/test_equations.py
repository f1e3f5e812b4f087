"""The help of each function says enough to compute its example: the steps are computed as printed."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from xlfuncs.data import load
from xlfuncs.worksheet import _calling, call, catalogue
from xlfuncs.worksheet.help import help_text

NAMES: dict[str, Any] = {
    name: getattr(math, name) for name in ("sqrt", "exp", "tanh", "cos", "atan", "acos", "pi")
} | {"ln": math.log, "lg": math.log10}
STEPS = [name for name, stated in load("equations").items() if "steps" in stated]


def computed(steps: list[str], arguments: dict[str, Any]) -> list[float]:
    """The number of each step."""
    names = dict(NAMES)
    for name, value in arguments.items():
        if isinstance(value, (int, float, np.ndarray, np.floating)) and np.size(value) == 1:
            names[name] = float(np.ravel(value)[0])
    found = []
    for step in steps:
        name, _, expression = step.partition(" = ")
        names[name] = eval(expression.replace("^", "**"), {"__builtins__": {}}, names)
        found.append(float(names[name]))
    return found


@pytest.mark.parametrize("name", STEPS)
def test_the_printed_steps_give_the_example(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    taken: dict[str, Any] = {}
    results: list[float] = []
    resolve = _calling._resolve

    def watched(place: str) -> Any:
        def physics(**arguments: Any) -> Any:
            answer = resolve(place)(**arguments)
            taken.update(arguments)
            results.extend(float(x) for x in np.atleast_1d(np.asarray(answer, dtype=np.float64)))
            return answer

        return physics

    monkeypatch.setattr(_calling, "_resolve", watched)
    call(name, *catalogue()[name].example.arguments)
    steps = computed(load("equations")[name]["steps"], taken)
    assert steps[-len(results) :] == pytest.approx(results, rel=1e-6, abs=1e-12)


@pytest.mark.parametrize("name", sorted(catalogue()))
def test_the_help_of_each_function_says_how_it_gets_its_number(name: str) -> None:
    stated = load("equations")[name]
    assert stated.get("steps") or stated["words"]
    for line in [*stated.get("steps", []), *stated.get("words", [])]:
        assert " ".join(line.split()[:3]) in " ".join(help_text(catalogue()[name]).split())


def test_no_equation_is_left_of_a_function_that_is_gone() -> None:
    assert set(load("equations")) <= set(catalogue())


def test_the_printed_heat_balance_gives_the_example() -> None:
    # 150 degC in a chamber of 60.3 mm, 50 mm of 0.05 W/(m K), still air of 20 degC: LG_HEAT_LOSS's help
    inner, outer, conductivity, kept, ambient = 0.0603, 0.1603, 0.05, 423.15, 293.15
    surface = float(call("LG_SURFACE_TEMPERATURE", 150, 20, 60.3, 50, 0.05)) + 273.15
    mean = (surface + ambient) / 2
    m = 1.458e-6 * mean**1.5 / (mean + 110.4)
    c = 2.64638e-3 * mean**1.5 / (mean + 245.4 * 10 ** (-12 / mean))
    v, prandtl = m * 287.053 * mean / 101325, m * 1004.685 / c
    rayleigh = 9.80665 * (surface - ambient) / mean / v**2 * prandtl
    film = c * (0.825 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.492 / prandtl) ** (9 / 16)) ** (8 / 27)) ** 2
    film += 0.9 * 5.670374e-8 * (surface**2 + ambient**2) * (surface + ambient)
    outwards = math.pi * outer * film * (surface - ambient)
    through = 2 * math.pi * conductivity * (kept - surface) / math.log(outer / inner)
    assert [outwards, through] == pytest.approx(2 * [call("LG_HEAT_LOSS", 150, 20, 60.3, 50, 0.05)], rel=1e-5)


def test_the_printed_collapse_takes_the_least_of_its_lobes() -> None:
    steps, given = load("equations")["LG_FLOAT_COLLAPSE"]["steps"], {"diameter": 0.05, "wall": 0.0005}
    at = {
        n: computed(
            [step if not step.startswith("n = ") else f"n = {n}" for step in steps],
            given | {"length": 0.2, "material_or_modulus": 193e9},
        )[-1]
        for n in range(2, 12)
    }
    assert min(at, key=lambda n: at[n]) == 3
