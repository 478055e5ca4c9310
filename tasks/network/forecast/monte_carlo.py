"""The launch date as a distribution."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from tasks.network.estimate import Estimate
from tasks.network.exceptions import BadValue, UnknownTask
from tasks.network.forecast.chain import shares_on_chain
from tasks.network.forecast.flow import hands_flow
from tasks.network.forecast.history import Correction
from tasks.network.forecast.lookup import Minutes, TooShort
from tasks.network.forecast.own_hours import Tables
from tasks.network.forecast.samples import Samples
from tasks.network.forecast.spread import spread_of
from tasks.network.forecast.steps import Step, steps_of
from tasks.network.forecast.values import Forecast, TaskForecast
from tasks.network.forecast.walk import Walk
from tasks.network.hands.values import HandsPlan, HandsProblem
from tasks.network.values import TaskId
from tasks.network.week import DAY

__all__ = ["forecast"]

#: Laid out beyond the guess, so that a wait for a day off or a season seldom takes a second pass.
_MARGIN, _SEASON = 45 * DAY, 370 * DAY


def forecast(
    problem: HandsProblem,
    plan: HandsPlan,
    estimates: Mapping[TaskId, Estimate],
    *,
    kinds: Mapping[TaskId, str] | None = None,
    runs: int = 10_000,
    seed: int = 0,
    correction: Correction | None = None,
    wished: int | None = None,
) -> Forecast:
    """Forecast the launch by Monte Carlo over the order of work that the hands allow.

    Parameters
    ----------
    problem, plan
        What was planned, and its plan. Every run keeps the plan's order: who follows whom on each
        pair of hands (see `tasks.network.forecast.flow`).
    estimates
        By id: low, likely and high of what is left, in shop minutes. Who is not named takes the
        work that the plan has. Estimates of finished tasks are no matter.
    kinds
        By id: the kind of work, as in the builder's record.
    runs, seed
        How many runs, and what they follow from: the same seed gives the same forecast.
    correction
        What the builder's record makes of the guesses and the hours (see `learn`); None takes
        guesses and hours as they are.
    wished
        A clock minute to tell the chance for.

    Returns
    -------
    Forecast
        Instants in clock minutes.

    Raises
    ------
    UnknownTask
        If an estimate or a kind is of a task that is not in the problem.
    BadValue
        If the plan is of another problem or time, or there is no run.
    NoShopHours, OutOfShopHours
        If there are not enough shop hours for all runs.

    Examples
    --------
    >>> from tasks.network import Calendar, Task
    >>> from tasks.network.hands import plan_hands
    >>> problem = HandsProblem([Task("a", 50), Task("b", 70)], [], Calendar.always(), now=0)
    >>> guesses = {"a": Estimate(30, 50, 90), "b": Estimate(70, 70, 70)}
    >>> told = forecast(problem, plan_hands(problem), guesses)
    >>> told.p10, told.p50, told.p90, told.tasks["a"].on_chain
    (109, 123, 139, 1.0)

    Notes
    -----
    Work is drawn from the beta distribution of the PERT method (`tasks.network.forecast.pert`).
    Links, lags, cures, hours, pins, what is started and what is unbroken hold in every run as they
    do in the plan. Where a run needs more than the plan had: a pinned task slips if what it waits
    for is late; unbroken work longer than any stretch begins at the longest stretch and overruns
    it; hours that have ended go on as the shop's. A pace below 1 stretches work that may pause, and
    comes before work that is unbroken; lags and cures keep their length.

    With estimates of no spread every run is the plan, but where the plan leaves a task later than
    its links and its hands ask for, or where work interleaves (`Flow.interleaved`,
    `Flow.loose`): the forecast may then be the earlier one.
    """
    _refuse_strangers(problem, plan, estimates, kinds or {})
    if type(runs) is not int or runs < 1:
        raise BadValue(f"a forecast takes at least one run, not {runs}")
    guesses = {
        task.id: estimates.get(task.id, Estimate(task.work, task.work, task.work))
        for task in problem.tasks
        if task.finished is None
    }
    steps = steps_of(
        problem, plan, hands_flow(problem, plan), {id: each.high for id, each in guesses.items()}
    )
    worked = {id: guess for id, guess in guesses.items() if guess.high > 0}
    weeks = (plan.launch - problem.now) / (7 * DAY)
    samples = Samples(worked, kinds or {}, runs, seed, correction, weeks)
    rows = {id: row for row, id in enumerate(worked)}
    walk = _walk(problem, plan, steps, samples, rows, runs)
    launches, causes = walk.launches + problem.now, list(walk.last)
    done = max(
        (task.finished + task.cure for task in problem.tasks if task.finished is not None),
        default=problem.now,
    )
    launches = np.maximum(launches, done)
    shares = shares_on_chain(walk.causes, causes, runs) if steps else []
    spread, shared = spread_of(launches, samples.luck, samples.shared)
    told = {
        step.id: _task(problem.now, walk, place, shares[place], spread, rows.get(step.id))
        for place, step in enumerate(steps)
    }
    return Forecast(
        now=problem.now,
        runs=runs,
        seed=seed,
        launches=np.sort(launches),
        tasks={id: told[id] for id in guesses},
        shared=shared,
        wished=wished,
    )


def _walk(
    problem: HandsProblem,
    plan: HandsPlan,
    steps: Sequence[Step],
    samples: Samples,
    rows: Mapping[TaskId, int],
    runs: int,
) -> Walk:
    """Lay out all runs, with as many days of hours as they take."""
    planned = sum(task.work for task in problem.tasks)
    times = max(samples.most(planned), 1.0)
    minutes = int(1.05 * times * (plan.launch - problem.now)) + _MARGIN
    if problem.hours or any(capacity.bookings for capacity in problem.capacities.values()):
        minutes += _SEASON
    tables = Tables(problem, minutes)
    while True:
        try:
            return Walk(
                steps,
                tables,
                lambda place: samples.work(rows[steps[place].id], one_go=steps[place].one_go),
                lambda place: samples.delay(rows[steps[place].id]),
                runs,
            )
        except TooShort:
            tables = Tables(problem, tables.longer())


def _task(
    now: int,
    walk: Walk,
    place: int,
    on_chain: float,
    spread: NDArray[np.float64],
    row: int | None,
) -> TaskForecast:
    ends = walk.ends[place]
    ranks = [max(-(-len(ends) * tenths // 10), 1) - 1 for tenths in (1, 5, 9)]
    low, middle, high = _at_ranks(ends, ranks)
    return TaskForecast(
        on_chain=on_chain,
        finish_p10=now + walk.finish_one(place, low),
        finish_p50=now + walk.finish_one(place, middle),
        finish_p90=now + walk.finish_one(place, high),
        spread=0.0 if row is None else float(spread[row]),
    )


def _at_ranks(values: Minutes, ranks: list[int]) -> list[int]:
    """What would lie at some places if the values were sorted."""
    least = int(values.min())
    if int(values.max()) - least >= 2**16:
        found: list[int] = np.partition(values, ranks)[ranks].tolist()
        return found
    # Numbers of 16 bits are sorted by radix, faster than ranks are found among longer ones.
    by_size = np.sort((values - np.int32(least)).astype(np.uint16), kind="stable")
    return [least + rank for rank in by_size[ranks].tolist()]


def _refuse_strangers(
    problem: HandsProblem,
    plan: HandsPlan,
    estimates: Mapping[TaskId, Estimate],
    kinds: Mapping[TaskId, str],
) -> None:
    known = {task.id for task in problem.tasks}
    for owner, named in (("the estimates", estimates), ("the kinds", kinds)):
        for task in named:
            if task not in known:
                raise UnknownTask(task, f"of {owner}")
    if known != set(plan.places) or plan.now != problem.now:
        raise BadValue("the plan is of other tasks or of another time than the problem")
