"""Which changes are worth holding against the plan as it is."""

from __future__ import annotations

import calendar
import datetime as dt
from collections import Counter
from collections.abc import Iterator

from buildlog.ahead.moves import BoughtIn, Evening, Heating, Helper, LeftOut, Move
from tasks.launches import Base
from tasks.order_values import Inputs
from tasks.plan import Plan, State, TaskPlan

__all__ = ["moves_worth_a_look"]

EVENING_FROM = 16 * 60
#: Where no evening is worked yet, from seven to half past nine.
USUAL_EVENING = (19 * 60, 21 * 60 + 30)
WORKDAYS, WEEKEND = range(5), range(5, 7)
SATURDAY = 5
MOST_MONTHS, MOST_TASKS, MOST_STAGES = 12, 5, 12


def moves_worth_a_look(plan: Plan, base: Base) -> list[Move]:
    """One evening more, a helper, a month heated, a task bought in, a stage left out."""
    return [
        *_evenings(plan),
        Helper(hands=1, weekday=_helpers_day(plan)),
        *_months(plan, base),
        *(BoughtIn(tasks=(one.pk,)) for one in _large_tasks(plan)),
        *_stages(plan),
    ]


def _evenings(plan: Plan) -> list[Evening]:
    """The usual evening on each workday without one; on weekend days where all have one."""
    evenings = Counter(
        stretch
        for day in WORKDAYS
        for stretch in plan.week.get(day, ())
        if stretch[0] >= EVENING_FROM
    )
    start, end = max(
        evenings, key=lambda one: (evenings[one], one[1] - one[0]), default=USUAL_EVENING
    )
    for days in (WORKDAYS, WEEKEND):
        found = [one for day in days if (one := Evening(day, start, end)).fits(plan)]
        if found:
            return found
    return []


def _helpers_day(plan: Plan) -> int:
    """Saturday if it is worked, else the longest day of the week."""
    longest = {day: sum(end - start for start, end in plan.week.get(day, ())) for day in range(7)}
    return SATURDAY if longest[SATURDAY] else max(longest, key=lambda day: longest[day])


def _months(plan: Plan, base: Base) -> list[Heating]:
    """Months in which a season holds back work that could be done but for it."""
    places = base.found.places
    waits = [
        (one.early_start.date(), plan.moment(places[one.pk].start).date())
        for one in plan.tasks.values()
        if one.pk in places and _kept_to_a_season(base.inputs, one.pk)
    ]
    months = []
    for first, last in _each_month(plan.now.date(), plan.moment(base.launch).date()):
        held = any(begin <= last and first <= end for begin, end in waits)
        if held and _is_cold(base.inputs, first, last):
            months.append(Heating(max(first, plan.now.date()), last))
    return months[:MOST_MONTHS]


def _kept_to_a_season(inputs: Inputs, pk: int) -> bool:
    need = inputs.needs.get(pk)
    limit = inputs.limits.get(need.limit) if need and need.limit is not None else None
    return bool(need and limit and limit.first and limit.lifted_by not in need.things)


def _is_cold(inputs: Inputs, first: dt.date, last: dt.date) -> bool:
    """Whether some season does not hold on a day of it that is not heated yet."""
    days = [first + dt.timedelta(n) for n in range((last - first).days + 1)]
    days = [day for day in days if not any(a <= day <= b for a, b in inputs.heated)]
    seasons = [(one.first, one.last) for one in inputs.limits.values() if one.first and one.last]
    return any(not _within((day.month, day.day), *season) for day in days for season in seasons)


def _within(day: tuple[int, int], first: tuple[int, int], last: tuple[int, int]) -> bool:
    return first <= day <= last if first <= last else day >= first or day <= last


def _each_month(first: dt.date, last: dt.date) -> Iterator[tuple[dt.date, dt.date]]:
    year, month = first.year, first.month
    while (year, month) <= (last.year, last.month):
        yield (
            dt.date(year, month, 1),
            dt.date(year, month, calendar.monthrange(year, month)[1]),
        )
        year, month = (year, month + 1) if month < 12 else (year + 1, 1)


def _large_tasks(plan: Plan) -> list[TaskPlan]:
    """The longest on the critical path, and the longest of all; none that is begun."""
    could = [one for one in plan.tasks.values() if BoughtIn(tasks=(one.pk,)).fits(plan)]
    could = sorted((one for one in could if one.left_minutes), key=lambda one: -one.left_minutes)
    path = set(plan.critical_path)
    chosen = [*[one for one in could if one.pk in path][:MOST_TASKS], *could[:MOST_TASKS]]
    return list({one.pk: one for one in chosen}.values())


def _stages(plan: Plan) -> list[LeftOut]:
    """The stages of which nothing is begun, but the one with which she is launched."""
    open_ = [one for one in plan.tasks.values() if one.state in (State.WAITING, State.READY)]
    last = max(open_, key=lambda one: one.figures.cured, default=None)
    stages = [LeftOut(stage.pk) for stage in plan.stages if not last or stage.pk != last.stage_id]
    return [one for one in stages if one.fits(plan)][:MOST_STAGES]
