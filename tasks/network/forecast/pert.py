"""Samples of three-point estimates: the beta distribution that the PERT method implies.

Between low and high it is a beta with a = 1 + 4 (likely - low) / (high - low) and a + b = 6: its
mode is the likely value and its mean (low + 4 likely + high) / 6, as in D. G. Malcolm,
J. H. Roseboom, C. E. Clark and W. Fazar, Operations Research 7, 1959. Its variance is
(mean - low) (high - mean) / 7, which for a likely value in the middle is near ((high - low) / 6)
squared, the method's own rule.

A sample is one of 4,096 equally likely values, each the quantile in the middle of its share. That
is a tenth of the time of a library's exact draw, and moves no quantile by more than the runs of a
forecast do.
"""

from __future__ import annotations

from functools import lru_cache
from hashlib import blake2b
from statistics import NormalDist
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from tasks.network.estimate import Estimate
from tasks.network.values import TaskId

__all__ = ["Floats", "moments", "normal_rows", "pert_rows", "quantiles", "stream"]

Floats: TypeAlias = NDArray[np.float32]

_BITS = 12
_VALUES = 1 << _BITS
#: Modes, as shares of the range from low to high, for which quantiles are worked out: 0 to 1.
_MODES = 65


def moments(estimate: Estimate) -> tuple[float, float]:
    """Mean and variance of the distribution.

    >>> moments(Estimate(0, 3, 6))
    (3.0, 1.2857142857142858)
    """
    mean = estimate.mean
    return mean, (mean - estimate.low) * (estimate.high - mean) / 7


def quantiles(estimate: Estimate) -> Floats:
    """The 4,096 equally likely values of an estimate, ascending."""
    span = estimate.high - estimate.low
    if span == 0:
        return np.full(_VALUES, estimate.low, np.float32)
    at = (estimate.likely - estimate.low) / span * (_MODES - 1)
    below = min(int(at), _MODES - 2)
    table = _table()
    part = np.float32(at - below)
    values: Floats = table[below] + part * (table[below + 1] - table[below])
    return np.float32(estimate.low) + np.float32(span) * values


def stream(seed: int, owner: TaskId) -> np.random.PCG64:
    """Random bits that belong to a task: the same whatever other tasks there are.

    So two forecasts of nearly the same plan differ by the plan and not by chance.
    """
    name = blake2b(f"{type(owner).__name__} {owner}".encode(), digest_size=8).digest()
    return np.random.PCG64([seed, int.from_bytes(name, "big")])


def pert_rows(bits: np.random.PCG64, runs: int, estimate: Estimate, out: Floats) -> None:
    """Fill `out` (runs) with samples of an estimate."""
    if estimate.low == estimate.high:
        out[:] = estimate.low
    else:
        quantiles(estimate).take(_picks(bits, runs), out=out, mode="clip")


def normal_rows(bits: np.random.PCG64, runs: int) -> Floats:
    """Samples (runs) of the standard normal distribution."""
    return _normal().take(_picks(bits, runs), mode="clip")


def _picks(bits: np.random.PCG64, runs: int) -> NDArray[np.uint16]:
    raw = bits.random_raw(-(-runs // 4))
    picks: NDArray[np.uint16] = raw.view(np.uint16)[:runs] >> np.uint16(16 - _BITS)
    return picks


@lru_cache(maxsize=1)
def _normal() -> Floats:
    normal = NormalDist()
    return np.array([normal.inv_cdf((k + 0.5) / _VALUES) for k in range(_VALUES)], np.float32)


@lru_cache(maxsize=1)
def _table() -> Floats:
    """Quantiles between 0 and 1 for each of the modes: shape (modes, values)."""
    # Points crowd at both ends, where the density may be steep.
    points = np.sin(np.linspace(0, np.pi / 2, 8193)) ** 2
    wanted = (np.arange(_VALUES) + 0.5) / _VALUES
    table = np.empty((_MODES, _VALUES), np.float32)
    for row in range(_MODES // 2 + 1):
        power = 4 * row / (_MODES - 1)
        density = points**power * (1 - points) ** (4 - power)
        areas = np.diff(points) * (density[1:] + density[:-1])
        passed = np.concatenate(([0.0], np.cumsum(areas)))
        table[row] = np.interp(wanted, passed / passed[-1], points)
        table[_MODES - 1 - row] = 1 - table[row][::-1]
    return table
