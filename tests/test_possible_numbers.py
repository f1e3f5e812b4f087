"""Whatever is asked: a number that can be, or a reason. Arguments over the widest ranges."""

from __future__ import annotations

import math
from collections.abc import Iterator
from random import Random
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from xlfuncs.gauge import reasons
from xlfuncs.gauge.floats import ALL_ENDS, immersion, volume
from xlfuncs.gauge.layers import layered_immersion
from xlfuncs.gauge.model import Chamber, Float, Fluids, Gauge, Layer, Movement, Spread
from xlfuncs.gauge.response import friction_band, lag, lead, viscosity_limit
from xlfuncs.gauge.stability import greatest_tilt, metacentre
from xlfuncs.gauge.strength import first_yield, permitted_flat_end_pressure, permitted_pressure
from xlfuncs.gauge.worst import worst_reading
from xlfuncs.worksheet import Refusal, call, catalogue
from xlfuncs.worksheet.spec import Argument

SEARCHES = {"LG_DIAGNOSE", "LG_CHOOSE_FLOAT", "LG_SIZE_FLOAT", "LG_REASON", "LG_VERSION"}
USUAL = {"temperature": 50, "length": 50, "density": 500, "mass": 200}


def cells(answer: Any) -> Iterator[Any]:
    if isinstance(answer, (list, tuple, np.ndarray)):
        for part in answer:
            yield from cells(part)
    else:
        yield answer


def drawn(random: Random, argument: Argument, example: Any) -> Any:
    """A cell for an argument: usual, far off, negative, or none that can be."""
    number = isinstance(example, (int, float)) and not isinstance(example, bool)
    if argument.kind not in ("quantity", "number", "named") or not (number or example is None):
        return random.choice(argument.choices) if argument.choices and random.random() < 0.5 else example
    usual = example or USUAL.get(argument.quantity, 1)
    which = random.random()
    if which < 0.4 and number:
        return example
    if which < 0.85:
        return usual * 10 ** random.uniform(-2.5, 2.5)
    if which < 0.93:
        return -usual * 10 ** random.uniform(-2, 2)
    return random.choice([0, 1e-9, 1e9, 1e30, -1e9, None])


@pytest.mark.parametrize("name", sorted(catalogue().keys() - SEARCHES))
def test_every_function_gives_a_number_or_a_reason(name: str) -> None:
    function, random = catalogue()[name], Random(f"{name} 17")
    example = list(function.example.arguments) + [None] * len(function.arguments)
    for _ in range(60):
        given_ = [drawn(random, a, e) for a, e in zip(function.arguments, example, strict=False)]
        for cell in cells(call(name, *given_)):
            if isinstance(cell, Refusal):
                assert cell.reason, given_
            elif isinstance(cell, float):
                assert math.isfinite(cell), given_


def _temperatures() -> Iterator[tuple[str, int]]:
    for name, function in sorted(catalogue().items()):
        if name in SEARCHES:
            continue
        yield from ((name, i) for i, a in enumerate(function.arguments) if a.quantity == "temperature")


@pytest.mark.parametrize(("name", "place"), list(_temperatures()))
def test_nothing_is_below_zero_kelvin(name: str, place: int) -> None:
    function = catalogue()[name]
    arguments = list(function.example.arguments)
    arguments += [None] * (place + 1 - len(arguments))
    arguments[place] = "-273.2 degC"
    answers = list(cells(call(name, *arguments)))
    assert any(isinstance(cell, Refusal) for cell in answers)
    assert not any(isinstance(cell, float) for cell in answers)


# --- floats of every size in liquids of every kind ------------------------------------------------------


def spread_over(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(math.log(low), math.log(high)).map(math.exp)


@st.composite
def gauges(draw: st.DrawFn) -> tuple[Float, Fluids, Chamber, Movement]:
    """A float that floats, and anything that can be around it."""
    across = draw(spread_over(0.01, 0.3))
    ends = f"{draw(st.sampled_from(ALL_ENDS))}/{draw(st.sampled_from(ALL_ENDS))}"
    long = across * draw(spread_over(1.0, 12.0))
    lower = draw(spread_over(300.0, 2000.0))
    upper = lower * draw(st.sampled_from([0.0, 0.001, 0.5, 0.97]))
    share = draw(st.floats(0.001, 0.999))
    whole = float(volume(across, long, ends))
    mass = whole * (upper + share * (lower - upper))
    float_ = Float(mass, across, long, long * draw(st.floats(0.0, 1.0)), ends)
    fluids = Fluids(
        lower, upper, viscosity=draw(spread_over(1e-5, 1e3)), surface_tension=draw(spread_over(1e-4, 1.0))
    )
    chamber = Chamber(
        across * (1 + draw(spread_over(1e-3, 5.0))),
        distance=3.0,
        nozzle_bore=draw(spread_over(1e-3, 0.1)),
        nozzle_length=draw(spread_over(1e-3, 3.0)),
    )
    return float_, fluids, chamber, Movement(draw(spread_over(1e-6, 1.0)), draw(spread_over(1e-5, 1e3)))


def answered(value: Any, why: Any) -> bool:
    """Whether there is a number; where there is none there is a reason."""
    if not np.isnan(value):
        return True
    assert why.at(value) != ""
    return False


MANY = settings(max_examples=300, deadline=None)


@given(gauges())
@MANY
def test_no_lag_beyond_the_ride_height_and_no_lead_or_friction_beyond_the_float(
    whole: tuple[Float, Fluids, Chamber, Movement],
) -> None:
    float_, fluids, chamber, movement = whole
    densities: tuple[Any, Any] = (fluids.lower_density, fluids.upper_density)
    deep = float(immersion(float_.mass, float_.diameter, float_.length, *densities, float_.ends))
    assert 0 < deep < float(float_.length)  # type: ignore[arg-type]
    dry, slack = float(float_.length) - deep, 1e-9  # type: ignore[arg-type]
    with reasons() as why:
        behind = lag(float_, fluids, chamber, movement)
    if answered(behind, why):
        assert 0 <= behind <= dry + slack
    with reasons() as why:
        ahead = lead(float_, fluids, chamber, movement)
    if answered(ahead, why):
        assert 0 <= ahead <= min(deep, dry) + slack
    with reasons() as why:
        band = friction_band(float_, fluids, movement)
    if answered(band, why):
        assert 0 <= band <= max(deep, dry) + slack
    with reasons() as why:
        limit = viscosity_limit(float_, fluids, chamber, movement, 0.02)
    if answered(limit, why):
        assert limit > 0 and dry + slack >= 0.02


@given(gauges(), st.floats(0.0, 3.0))
@MANY
def test_the_indicator_stands_where_a_float_can_be(
    whole: tuple[Float, Fluids, Chamber, Movement], level: float
) -> None:
    float_, fluids, chamber, movement = whole
    with reasons() as why:
        found = worst_reading(Gauge(float_, (fluids,), chamber, movement, Spread()), level)
    if not answered(found.low, why):
        return
    # the float's bottom is no deeper than its length below a level between the connections, and no higher
    assert -float(float_.length) - 1e-9 <= found.low <= found.high  # type: ignore[arg-type]
    assert found.high <= 3.0 + float(float_.length) + 1e-9  # type: ignore[arg-type]
    for shares, reading in ((found.low_shares, found.low), (found.high_shares, found.high)):
        assert sum(shares.values()) + level == pytest.approx(float(reading), abs=1e-9)
        for name in ("friction", "capillary", "tilt"):
            assert abs(float(shares[name])) <= float(float_.length) + 1e-9  # type: ignore[arg-type]


@given(gauges(), st.lists(spread_over(1e-4, 1.0), min_size=1, max_size=4), st.booleans())
@settings(max_examples=60, deadline=None)
def test_a_float_in_layers_touches_them(
    whole: tuple[Float, Fluids, Chamber, Movement], thick: list[float], linear: bool
) -> None:
    float_, fluids, _, _ = whole
    lower, upper = float(fluids.lower_density), float(fluids.upper_density)  # type: ignore[arg-type]
    steps = np.linspace(lower, upper, len(thick) + 2)[1:-1]
    layers = tuple(
        Layer(t, density, density if not linear else (density + upper) / 2)
        for t, density in zip(thick, steps, strict=True)
    )
    one = layered_immersion(float_, Fluids(lower, upper, layers=layers[-1:]))
    assert -thick[-1] - 1e-9 <= one <= float(float_.length) + 1e-9  # type: ignore[arg-type]
    if not linear:
        every = layered_immersion(float_, Fluids(lower, upper, layers=layers))
        assert -sum(thick) - 1e-9 <= every <= float(float_.length) + 1e-9  # type: ignore[arg-type]


@given(gauges())
@MANY
def test_a_metacentre_is_above_the_bottom_and_a_float_leans_no_further_than_it_can(
    whole: tuple[Float, Fluids, Chamber, Movement],
) -> None:
    float_, fluids, chamber, _ = whole
    assert metacentre(float_, fluids) > 0
    lean = float(greatest_tilt(float_.diameter, float_.length, chamber.bore))
    assert 0 < lean <= math.pi / 2


@given(
    across=spread_over(0.01, 0.5),
    wall=spread_over(1e-4, 0.05),
    plate=spread_over(1e-4, 0.2),
    long=spread_over(0.01, 3.0),
    celsius=st.floats(-260.0, 700.0),
    round_=st.floats(0.0, 5.0),
)
@MANY
def test_no_strength_beyond_yield_and_no_plate_beyond_thin_plate_theory(
    across: float, wall: float, plate: float, long: float, celsius: float, round_: float
) -> None:
    hot = celsius + 273.15
    with reasons() as why:
        shell = permitted_pressure(across, wall, long, "316L", hot, "flat", 1.0)
    if answered(shell, why):
        radius = (across - wall) / 2
        assert 0 < shell <= 170e6 * wall / radius * (1 + 1e-9)  # hoop stress at the yield strength when cold
        bent = first_yield(170e6, shell, radius, wall, round_ / 100)
        assert 0 < bent <= min(170e6 * wall / radius, float(shell)) * (1 + 1e-9)
    with reasons() as why:
        end = permitted_flat_end_pressure(across, wall, plate, "316L", hot, 1.0)
    if answered(end, why):
        assert plate <= 0.2 * across * (1 + 1e-9)
        assert 0 < end < 170e6


@given(
    st.floats(-250, 600),
    st.floats(-60, 150),
    st.floats(1, 200),
    spread_over(2.0, 1e5),
    spread_over(1.1, 500.0),
)
@MANY
def test_no_walther_line_far_from_its_points(
    at: float, first: float, apart: float, thin: float, times: float
) -> None:
    found = call("LG_VISCOSITY_AT", at, first, thin * times, first + apart, thin)
    if isinstance(found, Refusal):
        assert found.reason
    else:
        assert first - 30 - 1e-9 <= at <= first + apart + 30 + 1e-9
        assert found > 0
