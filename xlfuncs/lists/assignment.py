"""The assignment of rows to columns with the greatest sum.

Shortest augmenting paths: Crouse, "On implementing 2D rectangular assignment algorithms", IEEE Transactions
on Aerospace and Electronic Systems 52 (2016) 1679 (from memory). Of equal assignments it takes the one that
`scipy.optimize` takes, which the tests compare; scipy itself took longer to load than an index to read.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def greatest(worth: NDArray[np.float64]) -> list[int]:
    """The column of each row. There are at least as many columns as rows."""
    cost = -worth
    n, m = cost.shape
    by_row, by_column = np.zeros(n), np.zeros(m)
    """What each row and column is charged; a path is as long as its costs exceed the charges."""
    column_of, row_of = np.full(n, -1), np.full(m, -1)
    for start in range(n):
        path = np.full(m, -1)
        length = np.full(m, np.inf)
        left = np.arange(m - 1, -1, -1)
        rows, done = [start], []
        row, least, sink = start, 0.0, -1
        while sink < 0:
            through = least + cost[row, left] - by_row[row] - by_column[left]
            shorter = through < length[left]
            path[left[shorter]] = row
            length[left[shorter]] = through[shorter]
            at = _nearest(length[left], row_of[left])
            column = int(left[at])
            least = float(length[column])
            done.append(column)
            left[at] = left[-1]
            left = left[:-1]
            if row_of[column] < 0:
                sink = column
            else:
                row = int(row_of[column])
                rows.append(row)
        by_row[start] += least
        for passed in rows[1:]:
            by_row[passed] += least - length[column_of[passed]]
        by_column[done] -= least - length[done]
        while sink >= 0:
            row = int(path[sink])
            row_of[sink] = row
            column_of[row], sink = sink, int(column_of[row])
    return [int(column) for column in column_of]


def _nearest(lengths: NDArray[np.float64], rows: NDArray[np.int64]) -> int:
    """The place of the shortest path; of several the last one that ends at a free column."""
    places = np.flatnonzero(lengths == lengths.min())
    free = places[rows[places] < 0]
    return int(free[-1] if len(free) else places[0])
