"""Which of the uncertain things carry the spread of the launch.

Each task's own luck (how long it takes, by its estimate and the scatter of the builder's guesses)
is independent of all others, so the squared correlation between it and the launch is the part of
the launch's variance that a straight line through it explains: its first-order share, as far as
effects are straight. What all tasks share (the builder's pace and the bias of the guesses) is taken
out first by least squares and has shares of its own. The part of a squared correlation that chance
alone gives, 1 / runs of what is left, is taken off. The shares are then scaled to sum to 1: what is
lost to bends (nights, cures, paths that overtake each other) is laid on all in proportion.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from tasks.network.forecast.pert import Floats

__all__ = ["spread_of"]

Numbers = NDArray[np.float64]


def spread_of(
    launches: NDArray[np.int64], luck: Floats, shared: Mapping[str, Numbers]
) -> tuple[Numbers, dict[str, float]]:
    """Shares of the variance of the launch.

    Parameters
    ----------
    launches
        Shape (runs,), in the order of the runs.
    luck
        How long each task takes before what is shared: shape (tasks, runs).
    shared
        By name what is shared: each of shape (factors, runs).

    Returns
    -------
    For each task, and for each name, a share; 1 in sum, or all 0 if the launch does not vary.
    """
    tasks, runs = luck.shape
    late = launches - launches.mean()
    whole = float(late @ late)
    if whole <= 0 or runs < 3:
        return np.zeros(tasks), dict.fromkeys(shared, 0.0)
    rest, parts = late, {}
    for name, factors in shared.items():
        # Factors that are all but one and the same (one kind of work) do no harm here.
        centred = (factors - factors.mean(axis=1, keepdims=True)).T
        weights = np.linalg.lstsq(centred, rest, rcond=1e-9)[0]
        told = centred @ weights
        parts[name] = max(float(told @ rest) / whole - centred.shape[1] / runs, 0.0)
        rest = rest - told
    if not tasks:
        total = sum(parts.values())
        return np.zeros(0), {name: part / total for name, part in parts.items()} if total else parts
    shorter = rest.astype(np.float32)
    mean = luck.mean(axis=1, dtype=np.float32)
    ours = luck @ shorter - mean * shorter.sum()
    lengths = np.einsum("ij,ij->i", luck, luck).astype(np.float64) - runs * mean.astype(float) ** 2
    varies = lengths > 1e-5 * runs * np.maximum(mean.astype(float), 1e-9) ** 2
    squares = np.zeros(tasks)
    np.divide(ours.astype(float) ** 2, lengths * whole, out=squares, where=varies)
    left = float(rest @ rest) / whole
    squares = np.where(varies, np.maximum(squares - left / runs, 0), 0)
    total = float(squares.sum()) + sum(parts.values())
    if total <= 0:
        return np.zeros(tasks), dict.fromkeys(shared, 0.0)
    return squares / total, {name: part / total for name, part in parts.items()}
