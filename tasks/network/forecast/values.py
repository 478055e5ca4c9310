"""The forecast: the launch as a distribution, and what part each task has in it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tasks.network.exceptions import BadValue
from tasks.network.values import TaskId
from tasks.network.week import DAY

__all__ = ["Forecast", "TaskForecast"]


@dataclass(frozen=True, slots=True)
class TaskForecast:
    """One unfinished task in all runs.

    Attributes
    ----------
    on_chain
        Share of the runs, 0 to 1, in which the task is on the driving chain back from the launch:
        the chain of links, cures and hands that the launch waits for in that run.
    finish_p10, finish_p50, finish_p90
        Clock minutes by which its work is finished in so many of 100 runs.
    spread
        Its share, 0 to 1, of the variance of the launch, as far as that comes from how long this
        task alone takes. See `tasks.network.forecast.spread`.
    """

    on_chain: float
    finish_p10: int
    finish_p50: int
    finish_p90: int
    spread: float


@dataclass(frozen=True)
class Forecast:
    """The launch date as a distribution.

    Attributes
    ----------
    now
        Status time in clock minutes.
    runs, seed
        How many runs, and the seed that they follow from.
    launches
        The launch of each run in clock minutes, ascending: shape (runs,), 64-bit.
    tasks
        `TaskForecast` by id, unfinished tasks only, in the order in which they were given.
    shared
        Shares of the launch's variance, as `TaskForecast.spread`, that come from what all tasks
        have in common: `guesses` (how far the builder's guesses are off) and `pace` (how many of
        the shop's hours are really worked). Empty without a correction.
    wished
        The clock minute that was asked about, or None.

    Examples
    --------
    >>> launches = np.array([10080, 20160, 20170, 40320])
    >>> told = Forecast(0, 4, 0, launches, {}, {}, wished=30000)
    >>> told.p50, told.chance, told.histogram()
    (20160, 0.75, [(10080, 1), (20160, 2), (30240, 0), (40320, 1)])
    """

    now: int
    runs: int
    seed: int
    launches: NDArray[np.int64]
    tasks: Mapping[TaskId, TaskForecast]
    shared: Mapping[str, float]
    wished: int | None = None

    def quantile(self, share: float) -> int:
        """The first clock minute by which that share of the runs has launched.

        Raises
        ------
        BadValue
            Unless 0 <= share <= 1.
        """
        if not 0 <= share <= 1:
            raise BadValue(f"a quantile is from 0 to 1, not {share}")
        return int(self.launches[max(math.ceil(share * self.runs - 1e-9), 1) - 1])

    @property
    def p10(self) -> int:
        return self.quantile(0.1)

    @property
    def p50(self) -> int:
        return self.quantile(0.5)

    @property
    def p90(self) -> int:
        return self.quantile(0.9)

    def chance_by(self, clock: int) -> float:
        """Share of the runs that have launched by a clock minute, 0 to 1."""
        return int(np.searchsorted(self.launches, clock, "right")) / self.runs

    @property
    def chance(self) -> float | None:
        """The chance for the wished date; None if none was given."""
        return None if self.wished is None else self.chance_by(self.wished)

    def drivers(self, most: int = 5) -> list[tuple[TaskId, TaskForecast]]:
        """The few tasks that carry most of the spread, the first the most."""
        ranked = sorted(self.tasks.items(), key=lambda each: -each[1].spread)
        return [each for each in ranked if each[1].spread > 0][: max(most, 0)]

    def histogram(self, weeks: int = 1) -> list[tuple[int, int]]:
        """(clock minute, runs that launch within so many weeks from it), without gaps.

        The bars begin a whole number of weeks after the status time, so that two forecasts of one
        day can be drawn over each other.

        Raises
        ------
        BadValue
            If `weeks` is less than 1.
        """
        if weeks < 1:
            raise BadValue(f"a bar is at least a week wide, not {weeks}")
        width = weeks * 7 * DAY
        bars = (self.launches - self.now) // width
        first = int(bars[0])
        counts = np.bincount(bars - first)
        return [
            (self.now + (first + bar) * width, runs) for bar, runs in enumerate(counts.tolist())
        ]
