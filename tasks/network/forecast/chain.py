"""The driving chain of each run: what held the launch, what held that, and so on back to today."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tasks.network.forecast.walk import Cause, Truths

__all__ = ["shares_on_chain"]


def shares_on_chain(
    causes: Sequence[Sequence[Cause]], last: Sequence[Cause], runs: int
) -> list[float]:
    """In which share of the runs each step is on the driving chain.

    Parameters
    ----------
    causes
        For each step, in order, what held it.
    last
        Which step ends last.
    """
    on: list[Truths | None] = [None] * len(causes)
    shares = [0.0] * len(causes)
    _hand_on(on, last, np.ones(runs, np.bool_))
    for place in range(len(causes) - 1, -1, -1):
        here = on[place]
        if here is not None:
            shares[place] = int(np.count_nonzero(here)) / runs
            _hand_on(on, causes[place], here)
            on[place] = None
    return shares


def _hand_on(on: list[Truths | None], causes: Sequence[Cause], here: Truths) -> None:
    """Put on the chain, where a step is on it, what held that step."""
    left = here
    for source, took_over in reversed(causes):
        hit = left if took_over is None else left & took_over
        if source is not None:
            known = on[source]
            on[source] = hit if known is None else known | hit
        if took_over is None:
            return
        left = left & ~took_over
