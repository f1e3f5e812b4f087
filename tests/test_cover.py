"""The fewest types that serve all gauges, against every subset tried in turn."""

from __future__ import annotations

import random
import time
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from xlfuncs.work.cover import fewest

GAUGES, TYPES = "ABCDEFGH", "stuvwxyz"
tables = st.dictionaries(
    st.sampled_from(GAUGES),
    st.dictionaries(st.sampled_from(TYPES), st.integers(0, 9).map(float), max_size=5),
    min_size=1,
)


def by_trying(costs: dict[str, dict[str, float]]) -> tuple[int, float]:
    """(number of types, cost) of the best set, every subset tried."""
    wanted = {gauge: options for gauge, options in costs.items() if options}
    for count in range(len(TYPES) + 1):
        found = [
            sum(min(c for t, c in options.items() if t in chosen) for options in wanted.values())
            for chosen in combinations(TYPES, count)
            if all(set(options) & set(chosen) for options in wanted.values())
        ]
        if found:
            return count, min(found)
    raise AssertionError("all types together serve every gauge that can be served")


@settings(max_examples=300, deadline=None)
@given(tables)
def test_no_subset_is_smaller_or_as_small_and_cheaper(costs: dict[str, dict[str, float]]) -> None:
    found = fewest(costs)
    assert (len(found.types), found.cost) == by_trying(costs)
    assert set(found.serves) == {gauge for gauge, options in costs.items() if options}
    assert all(name in found.types and name in costs[gauge] for gauge, name in found.serves.items())
    assert set(found.without) == {gauge for gauge, options in costs.items() if not options}


def test_the_first_choice_that_serves_most_is_not_always_part_of_the_smallest_set() -> None:
    costs = {g: {"most": 0.0} for g in "ABCD"} | {"E": {}, "F": {}}
    for name, gauges in (("left", "ABE"), ("right", "CDF")):
        for gauge in gauges:
            costs[gauge][name] = 5.0
    assert set(fewest(costs).types) == {"left", "right"}


def test_an_inquiry_of_the_usual_size_is_solved_at_once() -> None:
    """25 gauges, 60 types, each gauge served by some of those near it, as densities are."""
    draw = random.Random(4)
    for _ in range(5):
        where = {f"t{j}": draw.random() for j in range(60)}
        costs = {}
        for i in range(25):
            at = draw.random()
            costs[f"g{i}"] = {
                t: abs(x - at) for t, x in where.items() if abs(x - at) < 0.06 + 0.1 * draw.random()
            }
        started = time.process_time()
        fewest(costs)
        assert time.process_time() - started < 15  # about one; a busy machine has shown five
