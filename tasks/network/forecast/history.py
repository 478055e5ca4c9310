"""What the builder's own record says about their guesses and their weeks.

Guesses. A finished job of kind k took exp(b_k + e) times what its estimate says, where b_k is the
bias of the kind and e the scatter beyond what low and high own up to. Biases of kinds spread around
the builder's overall bias, and that around none. With few jobs a kind is taken for the overall, and
with few at all for none. All of it is normal on the log scale; how far kinds lie apart and how wide
the scatter is are weighed over a grid, so that a short record leaves both open and the forecast
wide. The model is the usual one for partial pooling: D. V. Lindley and A. F. M. Smith, "Bayes
estimates for the linear model", Journal of the Royal Statistical Society B 34, 1972 (from memory).

Weeks. Of the hours that the pattern has, the builder works a share, the pace. It varies from week
to week; the record tells the mean with the uncertainty that so few weeks leave.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tasks.network.estimate import Estimate
from tasks.network.exceptions import BadValue
from tasks.network.forecast.pert import moments

__all__ = ["Correction", "Done", "Factor", "Pace", "Prior", "Week", "learn"]

Numbers = NDArray[np.float64]

#: A job that took more than this many times its guess, or less than one over it, counts as this:
#: hours booked to the wrong task are likelier than such a job.
_MOST_TIMES = 6.0
_SCATTERS = np.geomspace(0.03, 1.2, 12)
_APART = np.geomspace(0.02, 1.0, 12)
_P90 = 1.2815515655446004


@dataclass(frozen=True, slots=True)
class Done:
    """A finished job: what it was guessed at and what it took, in people-minutes.

    Raises
    ------
    BadValue
        Unless 0 <= low <= likely <= high, and `high` and `actual` are more than 0.
    """

    kind: str
    low: float
    likely: float
    high: float
    actual: float

    def __post_init__(self) -> None:
        Estimate(self.low, self.likely, self.high)
        if not (0 < self.high < math.inf and 0 < self.actual < math.inf):
            raise BadValue(
                f"a finished job has a guess and took some time: not {self.high} and {self.actual}"
            )


@dataclass(frozen=True, slots=True)
class Week:
    """A week that is over: hours by the pattern, and hours really worked in it.

    Raises
    ------
    BadValue
        If one is negative or endless.
    """

    pattern: float
    worked: float

    def __post_init__(self) -> None:
        if not (0 <= self.pattern < math.inf and 0 <= self.worked < math.inf):
            raise BadValue(f"hours must not be negative: {self.pattern}, {self.worked}")


@dataclass(frozen=True, slots=True)
class Prior:
    """What is believed of a builder without a record.

    Attributes
    ----------
    overall
        Standard deviation of the log of the overall factor, around none. Surveys of software work
        find that 60 to 80 % of projects overrun, by 30 to 40 % on average (K. Moløkken and
        M. Jørgensen, "A review of surveys on software effort estimation", 2003): with a log-normal
        factor that is a median near 1.24 and a deviation near 0.4. No figure for builders of boats
        is known to us. Around a factor of none it takes 0.45 for eight in ten of such projects to
        lie between P10 and P90.
    apart
        Scale of how far kinds lie from the overall factor, on the log scale. Common practice, no
        source.
    scatter
        Scale of the scatter of single jobs beyond their low and high, on the log scale. People's
        ranges are known to be too narrow: M. Jørgensen, K. Teigen and K. Moløkken, "Better sure
        than safe?", Journal of Systems and Software 70, 2004 (from memory, no figure taken).
    pace
        Relative standard deviation of the pace, around the pattern itself. Common practice, no
        source.
    week
        Relative scatter of a single week's hours, worth `week_weight` weeks of record. Common
        practice, no source.
    """

    overall: float = 0.45
    apart: float = 0.2
    scatter: float = 0.2
    pace: float = 0.2
    week: float = 0.5
    week_weight: float = 6.0

    def __post_init__(self) -> None:
        for name in self.__slots__:
            value = getattr(self, name)
            if not 0 < value < math.inf:
                raise BadValue(f"prior: {name} must be more than 0, not {value}")


@dataclass(frozen=True, slots=True)
class Factor:
    """How many times its guess a job takes: the middle of what is believed, P10 and P90, and the
    number of jobs that say so."""

    factor: float
    low: float
    high: float
    jobs: int


@dataclass(frozen=True, slots=True)
class Pace:
    """Share of the pattern's hours that are really worked.

    Attributes
    ----------
    share
        The middle of what is believed; 1 without a record.
    uncertainty
        Standard deviation of its log.
    week
        Relative scatter of a single week.
    weeks
        How many weeks say so.
    """

    share: float
    uncertainty: float
    week: float
    weeks: int

    def over(self, weeks: float) -> float:
        """Standard deviation of the log of the mean pace over so many weeks to come."""
        return math.hypot(self.uncertainty, self.week / math.sqrt(max(weeks, 1.0)))


@dataclass(frozen=True, eq=False)
class _Cells:
    """The belief at each cell of the grid, flattened: weights, scatter, distance of kinds, mean and
    variance of the overall bias, and for each kind the weight and mean of its own jobs."""

    weight: Numbers
    scatter: Numbers
    apart: Numbers
    mean: Numbers
    variance: Numbers
    kinds: Mapping[str, tuple[Numbers, Numbers]]

    def kind(self, name: str) -> tuple[Numbers, Numbers, Numbers]:
        """For each cell: how much of the overall bias is in the kind's, what its own jobs add, and
        the variance that is left."""
        precision, mean = self.kinds.get(name, (np.zeros(1), np.zeros(1)))
        prior = 1 / self.apart**2
        whole = precision + prior
        return prior / whole, precision * mean / whole, 1 / whole


@dataclass(frozen=True)
class Correction:
    """What the record makes of guesses and hours.

    Attributes
    ----------
    overall
        The builder's overall factor.
    kinds
        The factor of each kind of work in the record.
    scatter
        Standard deviation of the log of single jobs, beyond low and high.
    pace
        How many of the pattern's hours are worked.
    """

    overall: Factor
    kinds: Mapping[str, Factor]
    scatter: float
    pace: Pace
    _cells: _Cells = field(repr=False, compare=False)

    def factor_of(self, kind: str | None) -> Factor:
        """The factor of a kind of work; that of a new one is the overall, less certain."""
        if kind is not None and kind in self.kinds:
            return self.kinds[kind]
        return _factor(self._cells, "", 0)

    def draw(
        self, rng: np.random.Generator, runs: int, kinds: Sequence[str]
    ) -> tuple[Numbers, Numbers]:
        """What may be true, once for each run.

        Returns
        -------
        Log factors of the kinds (kinds, runs) and the scatter (runs).
        """
        cells = self._cells
        cell = rng.choice(len(cells.weight), runs, p=cells.weight)
        overall = cells.mean[cell] + np.sqrt(cells.variance[cell]) * rng.standard_normal(runs)
        biases = np.empty((len(kinds), runs))
        for row, name in enumerate(kinds):
            share, own, variance = cells.kind(name)
            biases[row] = share[cell] * overall + own[cell]
            biases[row] += np.sqrt(variance[cell]) * rng.standard_normal(runs)
        return biases, cells.scatter[cell]


def learn(
    history: Iterable[Done], weeks: Iterable[Week] = (), *, prior: Prior | None = None
) -> Correction:
    """What a builder's record says.

    Parameters
    ----------
    history
        Finished jobs. None at all is a record too: the prior is what is believed then.
    weeks
        Weeks that are over; those without hours in the pattern count for their work only.
    prior
        What is believed beforehand.

    Examples
    --------
    >>> jobs = [Done("gluing", 60, 100, 200, 155)] * 11 + [Done("cutting", 60, 100, 200, 105)] * 9
    >>> told = learn(jobs, [Week(15, 10)] * 20)
    >>> round(told.kinds["gluing"].factor, 1), told.kinds["gluing"].jobs
    (1.4, 11)
    >>> round(told.kinds["cutting"].factor, 1), round(told.pace.share, 2)
    (1.0, 0.69)
    """
    belief = prior or Prior()
    jobs = list(history)
    cells = _weigh(jobs, belief)
    counts: dict[str, int] = {}
    for job in jobs:
        counts[job.kind] = counts.get(job.kind, 0) + 1
    mean = float(cells.weight @ cells.mean)
    variance = float(cells.weight @ (cells.variance + (cells.mean - mean) ** 2))
    return Correction(
        overall=_around(mean, variance, len(jobs)),
        kinds={kind: _factor(cells, kind, count) for kind, count in counts.items()},
        scatter=float(cells.weight @ cells.scatter),
        pace=_pace(list(weeks), belief),
        _cells=cells,
    )


def _weigh(jobs: Sequence[Done], prior: Prior) -> _Cells:
    """How likely each cell of the grid is, and what follows in it."""
    names = sorted({job.kind for job in jobs})
    late, spread = _deviations(jobs)
    kind = np.array([names.index(job.kind) for job in jobs], np.int64)
    # Cells that fit the prior: half-normal in both, on a grid of equal steps of the log.
    scatter = np.repeat(_SCATTERS, len(_APART))
    apart = np.tile(_APART, len(_SCATTERS))
    told = np.log(scatter) - (scatter / prior.scatter) ** 2 / 2
    told += np.log(apart) - (apart / prior.apart) ** 2 / 2
    precision = np.full_like(told, 1 / prior.overall**2)
    weighted = np.zeros_like(told)
    own: dict[str, tuple[Numbers, Numbers]] = {}
    for number, name in enumerate(names):
        mine = kind == number
        variances = spread[mine, None] + _SCATTERS**2
        each = (1 / variances).sum(axis=0)
        mean = (late[mine, None] / variances).sum(axis=0) / each
        told += np.repeat(
            -(np.log(variances) + (late[mine, None] - mean) ** 2 / variances).sum(axis=0) / 2
            - np.log(each) / 2,
            len(_APART),
        )
        each, mean = np.repeat(each, len(_APART)), np.repeat(mean, len(_APART))
        around = 1 / each + apart**2
        told -= (np.log(around) + mean**2 / around) / 2
        precision += 1 / around
        weighted += mean / around
        own[name] = each, mean
    told += weighted**2 / precision / 2 - np.log(precision) / 2
    weight = np.exp(told - told.max())
    return _Cells(weight / weight.sum(), scatter, apart, weighted / precision, 1 / precision, own)


def _deviations(jobs: Sequence[Done]) -> tuple[Numbers, Numbers]:
    """By how much each job missed its estimate, on the log scale, and the variance that low and
    high own up to (those of the log-normal with the estimate's mean and variance)."""
    late, spread = np.empty(len(jobs)), np.empty(len(jobs))
    most = math.log(_MOST_TIMES)
    for row, job in enumerate(jobs):
        mean, variance = moments(Estimate(job.low, job.likely, job.high))
        spread[row] = math.log1p(variance / mean**2)
        late[row] = math.log(job.actual / mean) + spread[row] / 2
    return np.clip(late, -most, most), spread


def _factor(cells: _Cells, kind: str, jobs: int) -> Factor:
    share, own, variance = cells.kind(kind)
    means = share * cells.mean + own
    mean = float(cells.weight @ means)
    spread = cells.weight @ (variance + share**2 * cells.variance + (means - mean) ** 2)
    return _around(mean, float(spread), jobs)


def _around(mean: float, variance: float, jobs: int) -> Factor:
    away = _P90 * math.sqrt(variance)
    return Factor(math.exp(mean), math.exp(mean - away), math.exp(mean + away), jobs)


def _pace(weeks: Sequence[Week], prior: Prior) -> Pace:
    """A mean of ratios, weighted by the pattern's hours, drawn towards 1 by as many weeks as the
    prior is worth."""
    counted = [week for week in weeks if week.pattern > 0]
    pattern = sum(week.pattern for week in counted)
    if not counted:
        return Pace(1.0, prior.pace, prior.week, 0)
    shares = np.array([week.pattern for week in counted]) / pattern
    ratios = np.array([week.worked / week.pattern for week in counted])
    ratio = sum(week.worked for week in weeks) / pattern
    # Weeks of unequal hours are worth fewer equal ones.
    count = 1 / float(shares @ shares)
    squares = count * float(shares @ (ratios - ratio) ** 2)
    scatter = prior.week_weight * prior.week**2 + squares / max(ratio, 0.1) ** 2
    week = math.sqrt(scatter / (prior.week_weight + max(count - 1, 0)))
    worth = (week / prior.pace) ** 2
    share = (worth + count * ratio) / (worth + count)
    spread = week * max(ratio, 0.1) / math.sqrt(worth + count)
    return Pace(share, spread / share, week, len(counted))
