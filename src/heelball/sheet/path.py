"""The cheapest way across a field of costs, one step a column, by dynamic programming."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

_Float = npt.NDArray[np.float32]
_Whole = npt.NDArray[np.intp]


def cheapest_path(cost: _Float, *, bend: float, widest_step: int, start: int | None = None) -> _Whole:
    """Return the row of the cheapest path in each column.

    Parameters
    ----------
    cost
        Shape (columns, rows).
    bend
        What a step of one row costs; one of k rows costs k² as much.
    widest_step
        Rows that a path may move by from one column to the next.
    start
        The row of the first column; None where it may be any.

    Returns
    -------
    array
        Shape (columns,).
    """
    columns, rows = cost.shape
    steps = np.arange(-widest_step, widest_step + 1)
    price = (bend * steps.astype(np.float32) ** 2)[:, None]
    came = np.empty((columns, rows), np.int8)
    total = cost[0].copy()
    if start is not None:
        total[:] = np.inf
        total[start] = cost[0, start]
    padded = np.full(rows + 2 * widest_step, np.inf, np.float32)
    # Row k of the view is the field before, moved by k: where a path may come from.
    moved = np.lib.stride_tricks.sliding_window_view(padded, rows)
    for column in range(1, columns):
        padded[widest_step : widest_step + rows] = total
        ways = moved + price
        best = ways.argmin(axis=0)
        came[column] = best - widest_step
        total = ways[best, np.arange(rows)] + cost[column]
    path = np.empty(columns, np.intp)
    path[-1] = int(total.argmin())
    for column in range(columns - 1, 0, -1):
        path[column - 1] = path[column] + came[column, path[column]]
    return path


def cheapest_ring(cost: _Float, *, bend: float, widest_step: int) -> _Whole:
    """Return the row of the cheapest closed path in each column: the last is beside the first.

    Two rounds settle where it passes; the second's middle is a ring but for its seam, and a third,
    begun at the seam's row, closes it.
    """
    columns = len(cost)
    half = columns // 2
    twice = cheapest_path(np.concatenate([cost, cost]), bend=bend, widest_step=widest_step)
    # The seam is put where the path of the middle round passes: half way round the second time.
    seam = int(twice[columns])
    ends = cost.copy()
    ring = cheapest_path(ends, bend=bend, widest_step=widest_step, start=seam)
    if abs(int(ring[-1]) - seam) > widest_step:
        return np.asarray(twice[half : half + columns][np.r_[columns - half : columns, : columns - half]])
    return ring
