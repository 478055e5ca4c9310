"""How long each task takes in each run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from tasks.network.estimate import Estimate
from tasks.network.forecast.history import Correction
from tasks.network.forecast.lookup import Minutes
from tasks.network.forecast.pert import Floats, normal_rows, pert_rows, stream
from tasks.network.values import MOST_MINUTES, TaskId

__all__ = ["Samples"]

Numbers = NDArray[np.float64]


class Samples:
    """Samples of all tasks.

    Parameters
    ----------
    estimates
        Shop minutes of each task that has work, in order.
    kinds
        The kind of work of each, None where it has none.
    runs, seed
        How many, and what they follow from.
    correction
        What the builder's record makes of guesses and hours; None leaves both as they are.
    weeks
        How many weeks there are to go by the plan.

    Attributes
    ----------
    luck
        Minutes by the estimate and the scatter, before what is shared: shape (tasks, runs).
    shared
        Logs of what is shared by all tasks of a run, by name: each of shape (factors, runs).
    """

    def __init__(
        self,
        estimates: Mapping[TaskId, Estimate],
        kinds: Mapping[TaskId, str],
        runs: int,
        seed: int,
        correction: Correction | None,
        weeks: float,
    ) -> None:
        self.luck: Floats = np.empty((len(estimates), runs), np.float32)
        self.shared: dict[str, Numbers] = {}
        self._factors: list[Floats] = []
        self._late: Floats | None = None
        scatter: Floats | None = None
        if correction is not None:
            scatter = self._share(correction, [kinds.get(id, "") for id in estimates], seed, weeks)
        for row, (id, estimate) in enumerate(estimates.items()):
            bits = stream(seed, id)
            pert_rows(bits, runs, estimate, self.luck[row])
            if scatter is not None:
                self.luck[row] *= np.exp(scatter * normal_rows(bits, runs))

    def _share(
        self, correction: Correction, kinds: Sequence[str], seed: int, weeks: float
    ) -> Floats:
        """Draw what all tasks of a run have in common; the scatter is given back."""
        runs = self.luck.shape[1]
        rng = np.random.default_rng([seed, 1])
        names = sorted(set(kinds))
        guesses, scatter = correction.draw(rng, runs, names)
        pace = rng.standard_normal(runs) * correction.pace.over(weeks)
        pace += np.log(correction.pace.share)
        self.shared = {"guesses": guesses, "pace": pace[None]}
        factors = np.exp(guesses).astype(np.float32)
        rows = [names.index(kind) for kind in kinds]
        self._factors = [factors[row] for row in rows]
        self._late = np.exp(-pace).astype(np.float32)
        return scatter.astype(np.float32)

    def work(self, row: int, *, one_go: bool) -> Minutes:
        """Shop minutes by the pattern (runs) that a task takes: at least 1.

        What is done in one go takes its own time; hours that are not worked come before it.
        """
        minutes = self._own(row)
        if self._late is not None and not one_go:
            minutes = minutes * self._late
        return _whole(minutes)

    def delay(self, row: int) -> Minutes | None:
        """Shop minutes that are not worked before a task that is done in one go."""
        if self._late is None:
            return None
        return _whole(self._own(row) * np.maximum(self._late - np.float32(1), np.float32(0)))

    def most(self, planned: float) -> float:
        """How many times the planned minutes all tasks of a run take at most."""
        whole = np.zeros(self.luck.shape[1], np.float32)
        for row in range(len(self.luck)):
            whole += self._own(row)
        if self._late is not None:
            whole *= np.maximum(self._late, np.float32(1))
        return float(whole.max()) / max(planned, 1.0)

    def _own(self, row: int) -> Floats:
        luck: Floats = self.luck[row]
        return luck * self._factors[row] if self._factors else luck


def _whole(minutes: Floats) -> Minutes:
    whole = np.rint(np.minimum(minutes, np.float32(MOST_MINUTES))).astype(np.int32)
    return np.maximum(whole, np.int32(1))
