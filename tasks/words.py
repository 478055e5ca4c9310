"""The plan in the builder's words: why a task matters now, and what sets the launch date."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from tasks.hours import show_hours
from tasks.models import Doing, Link, LinkKind
from tasks.plan import Plan, State, TaskPlan
from tasks.plan_figures import minute_of
from tasks.templatetags.shoptime import MONTHS, moment

__all__ = [
    "Step",
    "float_words",
    "hands_words",
    "launch_words",
    "link_words",
    "number",
    "reason",
    "wait_words",
    "what_sets",
]

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
           "eleven", "twelve")  # fmt: skip
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
WEEK = 7 * 1440


def number(count: int) -> str:
    """Small numbers as words: “three”, but “13”."""
    return NUMBERS[count] if 0 <= count < len(NUMBERS) else str(count)


def of(count: int, one: str, many: str | None = None) -> str:
    return f"{number(count)} {one if count == 1 else many or one + 's'}"


def listed(names: Iterable[str]) -> str:
    """“a”, “a and b”, “a, b and c”."""
    *some, last = names
    return f"{', '.join(some)} and {last}" if some else last


def hands_words(hands: int) -> str:
    return "one pair of hands" if hands == 1 else f"{number(hands)} hands"


def float_words(planned: TaskPlan) -> str:
    """“No float”, “Float 3 h”, “Float 19 days”: days by the calendar, hours under a day."""
    figures = planned.figures
    if figures.total_float <= 0:
        return "No float"
    days = (figures.late_finish - figures.early_finish) // 1440
    if days >= 1:
        return f"Float {days} day{'' if days == 1 else 's'}"
    return f"Float {show_hours(figures.total_float)}"


def reason(plan: Plan, planned: TaskPlan) -> str:
    """The line under a task on the bench: what it waits for, or why it matters now."""
    if planned.state == State.WAITING:
        return wait_words(plan, planned)
    if planned.state == State.LEFT_OUT:
        return "Left out: nothing of it is done, and what comes after waits only for the rest."
    if planned.state == State.CURING:
        return f"Cures until {moment(planned.cured)}." + _frees_words(planned)
    if planned.state == State.DONE:
        return f"Finished {moment(planned.early_finish)}."
    sentences = [float_words(planned) + "."]
    ours = planned.task.doing == Doing.OWN
    if planned.total_float <= 0:
        sentences = ["No float: each day late is a day later at launch."]
    elif planned.critical:  # what comes after waits for something else too: a day, a cure
        sentences.append("It is on the chain that sets the launch.")
    if not ours:
        sentences.append("Bought in: start it when they begin, finish it when it is there.")
    elif planned.task.unbroken:
        sentences.append(_in_one_go(plan, planned))
    elif planned.task.hands > 1:
        sentences.append(f"Needs {hands_words(planned.task.hands)} at once.")
    held = [place for place, _ in planned.figures.waits]
    if held:  # begun out of turn, or with a link that holds its end
        sentences.append(wait_words(plan, planned, "To end, it waits"))
    return " ".join(sentences) + _frees_words(planned)


def wait_words(plan: Plan, planned: TaskPlan, opening: str = "Waits") -> str:
    """“Waits for 12 Glue the stem to cure until Sat 14 Nov 07:00.”"""
    waits = [
        _one_wait(plan.tasks[before], link, until) for link, before, until in planned.waits_for
    ]
    if planned.held_until:
        day = planned.held_until
        waits.append(f"for {day.day} {MONTHS[day.month - 1]} {day.year}, as you set it")
    if not waits:
        return ""
    shown = waits if len(waits) <= 3 else [*waits[:2], f"for {number(len(waits) - 2)} more tasks"]
    return f"{opening} {listed(shown)}."


def _one_wait(before: TaskPlan, link: Link, until: dt.datetime | None) -> str:
    name = f"“{before.task}”"
    if until is None:
        moved = (
            "starts" if link.kind in (LinkKind.START_START, LinkKind.START_FINISH) else "is done"
        )
        return f"until {name} {moved}"
    if before.state == State.CURING and link.waits_for_cure and not link.lag_minutes:
        return f"for {name} to cure until {moment(until)}"
    return f"after {name} until {moment(until)}"


def _frees_words(planned: TaskPlan) -> str:
    freed = len(planned.figures.frees)
    return f" Frees {of(freed, 'task')}." if freed else ""


def _in_one_go(plan: Plan, planned: TaskPlan) -> str:
    """Which of the coming days have a stretch long enough."""
    needs = planned.left_shop_minutes
    start = minute_of(plan.now)
    fits: list[int] = []
    open_days: set[int] = set()
    for begin, end in plan.calendar.stretches_between(start, start + WEEK):
        weekday = plan.moment(begin).weekday()
        open_days.add(weekday)
        if end - begin >= needs and weekday not in fits:
            fits.append(weekday)
    go = f"In one go, {show_hours(needs)}:"
    if not fits:
        longest = plan.calendar.longest_stretch
        if longest is not None and needs > longest:
            return f"{go} longer than any of your days in the shed."
        return f"{go} no day of the coming week is long enough."
    if len(fits) == len(open_days):
        return f"{go} fits any of your days."
    return f"{go} fits {listed(WEEKDAYS[weekday] for weekday in fits)} only."


def link_words(link: Link, cure_minutes: int = 0) -> str:
    """What a link asks, for the line beside the other task: “starts after it is finished”."""
    lag = ""
    if link.lag_minutes:
        by = "in the shed" if link.lag_in == "shop" else "by the clock"
        lag = f", {show_hours(abs(link.lag_minutes))} {by} "
        lag += "later" if link.lag_minutes > 0 else "earlier"
    text = link.get_kind_display() + lag
    if link.kind in (LinkKind.FINISH_START, LinkKind.FINISH_FINISH) and cure_minutes:
        cured = "and cured" if link.waits_for_cure else "without its cure"
        text += f" ({cured})"
    return text


@dataclass(frozen=True, slots=True)
class Step:
    """A run of the critical path within one stage, with why it takes what it takes."""

    stage: str
    tasks: tuple[TaskPlan, ...]
    why: str

    @property
    def start(self) -> dt.datetime:
        return self.tasks[0].early_start

    @property
    def finish(self) -> dt.datetime:
        return self.tasks[-1].early_finish


def what_sets(plan: Plan) -> list[Step]:
    """The critical path by stage, first to last, without what is done already."""
    path = [plan.tasks[pk] for pk in plan.critical_path]
    still = [planned for planned in path if planned.state != State.DONE]
    steps = []
    for stage, run in groupby(still, key=lambda planned: planned.stage_id):
        tasks = tuple(run)
        after = still[still.index(tasks[-1]) + 1 :][:1]
        why = _why(plan, [*tasks, *after], len(tasks))
        steps.append(Step(plan.stage_of[stage].name, tasks, why))
    return steps


def _why(plan: Plan, run: list[TaskPlan], own: int) -> str:
    """What, besides the work, takes time in a run: cure, hands, days off, a set date."""
    reasons = []
    cure = sum(planned.task.cure_minutes for planned in run[:own])
    if cure:
        reasons.append(f"cures {_elapsed(cure)}")
    hands = max(planned.task.hands for planned in run[:own])
    if hands > 1:
        reasons.append(f"needs {hands_words(hands)}")
    dates = [p.task.not_before for p in run[:own] if p.task.not_before and not p.task.started_at]
    if dates and max(dates) > plan.now.date():
        reasons.append(f"not before {max(dates).day} {MONTHS[max(dates).month - 1]}")
    lag = sum(
        p.driving.lag_minutes
        for p in run[1:]
        if p.driving and p.driving.lag_in == "elapsed" and p.driving.lag_minutes > 0
    )
    if lag:
        reasons.append(f"waits {_elapsed(lag)}")
    reasons.extend(_days_off(plan, run[0].early_start, run[own - 1].cured))
    reasons.extend(_one_go(run[:own], plan))
    return "; ".join(reasons)


def _one_go(run: list[TaskPlan], plan: Plan) -> list[str]:
    """Unbroken work waits for a day that is long enough, where there was time before."""
    for planned in run:
        if planned.task.unbroken and planned.state in (State.WAITING, State.READY):
            ready = plan.now
            if planned.driving:
                ready = max(ready, plan.tasks[planned.driving.before_id].cured)
            idle = plan.calendar.shop_between(minute_of(ready), planned.figures.early_start)
            if idle > 0:
                return ["waits for a day long enough for it in one go"]
    return []


def _days_off(plan: Plan, start: dt.datetime, end: dt.datetime) -> list[str]:
    first, last = start.date(), end.date()
    off = [row for row in plan.days_off if row[0] <= last and row[1] >= first]
    if not off:
        return []
    days = sum((min(b, last) - max(a, first)).days + 1 for a, b, _ in off)
    name = off[0][2] if len(off) == 1 and off[0][2] else ""
    return [f"{of(days, 'day')} off" + (f", {name}" if name else "")]


def _elapsed(minutes: int) -> str:
    if minutes >= 2 * 1440:
        return of(round(minutes / 1440), "day")
    return show_hours(minutes)


def launch_words(plan: Plan) -> str:
    """One or two sentences: which work sets the launch, and what it waits for."""
    if not plan.tasks:
        return "There are no tasks yet, so there is no launch date."
    if plan.launch is None:
        return plan.problems[0]
    steps = what_sets(plan)
    if not steps:
        return "Every task is done."
    longest = max(steps, key=_length)
    names = [step.stage for step in steps if step.stage != longest.stage]
    text = f"{longest.stage} sets the launch"
    if longest.why:
        text += f": {longest.why}"
    text += "."
    names = list(dict.fromkeys(names))
    if len(names) > 3:
        text += f" {number(len(names)).capitalize()} more stages lie on the same chain."
    elif names:
        text += f" On the same chain: {', '.join(names)}."
    first = steps[0].tasks[0]
    if first.state in (State.READY, State.IN_HAND):
        text += f" It goes on with {first.task}."
    slack = _next_chain(plan)
    return text + slack


def _length(step: Step) -> dt.timedelta:
    return step.tasks[-1].cured - step.tasks[0].early_start


def _next_chain(plan: Plan) -> str:
    """How much of the launch date the critical path alone decides."""
    on_path = set(plan.critical_path)
    open_states = (State.WAITING, State.READY, State.IN_HAND)
    others = [p for p in plan.in_state(*open_states) if p.pk not in on_path]
    if not others:
        return ""
    closest = min(others, key=lambda planned: planned.figures.total_float)
    words = float_words(closest)
    if words == "No float":
        return f" {closest.task} has no float either."
    return f" Next to it is {closest.task}, with {words.removeprefix('Float ')} of float."
