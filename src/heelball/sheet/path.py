"""The cheapest way across a field of costs, one step a column, by dynamic programming."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

_Float = npt.NDArray[np.float32]
_Whole = npt.NDArray[np.intp]


def cheapest_path(
    cost: _Float, *, bend: float, widest_step: int, start: int | None = None, end: int | None = None
) -> _Whole:
    """Return the row of the cheapest path in each column.

    Parameters
    ----------
    cost
        Shape (columns, rows).
    bend
        What a step of one row costs; one of k rows costs k² as much.
    widest_step
        Rows that a path may move by from one column to the next.
    start, end
        The row of the first column, and of the last; None where it may be any. A path that ends
        must be able to get there.

    Returns
    -------
    array
        Shape (columns,).
    """
    columns, rows = cost.shape
    price = bend * np.arange(-widest_step, widest_step + 1, dtype=np.float32) ** 2
    # What the cheapest way to each place costs, between margins that no way comes from.
    padded = np.full((columns, rows + 2 * widest_step), np.inf, np.float32)
    total = padded[:, widest_step : widest_step + rows]
    total[:] = cost
    if start is not None:
        total[0] = np.inf
        total[0, start] = cost[0, start]
    # Row k of a column's view is the column moved by k: where a path may come from.
    before = np.lib.stride_tricks.sliding_window_view(padded, rows, axis=1)
    ways = np.empty((len(price), rows), np.float32)
    best = np.empty(rows, np.float32)
    for came_from, here in zip(before[:-1], total[1:], strict=True):
        np.add(came_from, price[:, None], out=ways)
        np.minimum.reduce(ways, axis=0, out=best)
        np.add(here, best, out=here)
    # Which way it came is asked again of the few places it went by: cheaper than to note it of all.
    path = np.empty(columns, np.intp)
    row = path[-1] = int(total[-1].argmin()) if end is None else end
    for column in range(columns - 2, -1, -1):
        row += int((padded[column, row : row + len(price)] + price).argmin()) - widest_step
        path[column] = row
    return path


def cheapest_ring(cost: _Float, *, bend: float, widest_step: int) -> _Whole:
    """Return the row of the cheapest closed path in each column: the last is beside the first.

    Where it passes the seam, the halves on either side settle; a round that begins and ends there
    closes it.
    """
    half = len(cost) // 2
    about = np.roll(cost, half, axis=0)
    seam = int(cheapest_path(about, bend=bend, widest_step=widest_step)[half])
    closed = np.concatenate([cost, cost[:1]])
    return cheapest_path(closed, bend=bend, widest_step=widest_step, start=seam, end=seam)[:-1]
