"""The joint decision about columns that compete: the greatest sum, of equal ones that which scipy takes."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from xlfuncs.lists.assignment import greatest


@pytest.mark.parametrize("number", range(200))
def test_as_scipy_decides(number: int) -> None:
    draw = np.random.default_rng(number)
    rows = int(draw.integers(1, 12))
    columns = rows + int(draw.integers(0, 12))
    few = draw.choice([0.0, 0.04, 0.1, 0.16, -1.0], size=(rows, columns))  # many are equal
    worth = few if number % 2 else draw.uniform(-1, 1, (rows, columns))
    if number % 3 == 0:
        worth = np.hstack([worth, np.zeros((rows, rows))])
    _, expected = linear_sum_assignment(worth, maximize=True)
    assert greatest(worth) == expected.tolist()
