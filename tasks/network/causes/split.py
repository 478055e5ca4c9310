"""The change of a launch, split into its causes.

Between two records the inputs are replaced group by group, each time the launch with limited hands
is reckoned anew (a first answer near the order before), and the step that it makes is the part of
that group. So the parts add up to the whole change exactly.

**The parts depend on the order of the groups**, as they do wherever causes act together: a helper
saves more days while there is more to help with. No order is the right one. This one is chosen so
that each part says what a builder would say, and it is always the same:

1. shop hours and days off, then hands, helpers and things: at the old day, so that a week away is
   put down to the week away, and not to the time that passed with nothing done in it;
2. time passed, with the hours that were worked in it. Hours beyond a task's guess count here as if
   they had gone into the next tasks of the old order, where they would have gone had the guess
   been right;
3. hours against the guess, task by task, the largest first: those that were beyond it are taken
   off the next tasks again, and what is now thought to be left is put in the place of the guess;
4. tasks added, removed, or done by somebody else from now on (bought in, left out), with the links
   that hang on those that came and went;
5. links between tasks that were and are there;
6. limits and heated days, pins, fixed turns, set dates, work in one go;
7. cures.

A group that has no plan without the next (its links would close a ring, say) makes one part with
it. What is left over is another order of the same work: the worker found a better one, or the
first answer did not find back to the one that stood. First answers are not best answers, so a part
of an hour or two may be no more than the luck of the order.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TypeAlias

from tasks.network import hands
from tasks.network.causes.changes import (
    by_ends,
    changed_cures,
    changed_hands,
    changed_limits,
    changed_links,
    changed_shop,
    changed_tasks,
    same_in,
    with_fields,
)
from tasks.network.causes.facts import Facts, Record, inputs_from, with_hours_spared
from tasks.network.causes.values import Change, Group, Part, What
from tasks.network.exceptions import BadValue, Cycle, NoAnswer
from tasks.network.inputs import problem_of, week_calendar
from tasks.network.values import TaskId

__all__ = ["MOST_TASKS", "first_answer", "split_change"]

#: So many tasks with other hours than guessed get a part of their own; the rest share one.
MOST_TASKS = 8
#: As of `plan_hands`.
CALM, SEED = 60, 1

Starts: TypeAlias = Mapping[int, int]
Answer: TypeAlias = tuple[int, Starts]
Reckon: TypeAlias = Callable[[Facts, Starts], Answer | None]


@dataclass(frozen=True)
class _Standing:
    """Facts half-way between two records, and hours spared by task that they went beyond."""

    facts: Facts
    spare: Mapping[int, int]


Step: TypeAlias = tuple[Group, _Standing, list[Change]]


def first_answer(facts: Facts, previous: Starts) -> Answer | None:
    """The launch and the starts of a first answer near earlier ones; None if there is no plan.

    A fixed order that goes against the links is left out, as the plan itself does.
    """
    problem = problem_of(inputs_from(facts))
    near: dict[TaskId, int] = dict(previous.items())
    for tried in (problem, replace(problem, in_order=())):
        try:
            found = hands.plan_hands(tried, seed=SEED, previous=near, calm=CALM)
        except Cycle:
            continue
        except NoAnswer:
            return None
        return found.launch, {int(pk): place.resume for pk, place in found.places.items()}
    return None


def split_change(before: Record, after: Record, reckon: Reckon = first_answer) -> list[Part]:
    """Split the change of the launch between two records into its causes.

    Parameters
    ----------
    before, after
        Two records of one build, the earlier first.
    reckon
        Gives the launch (a clock minute) and the starts for facts, near given starts.

    Returns
    -------
    list[Part]
        In the order in which the groups were replaced; those that moved nothing are among them.
        Minutes and days add up to those between the two launches. Empty if nothing changed.

    Raises
    ------
    BadValue
        If the records are given in the wrong order.
    """
    if after.facts.now < before.facts.now:
        raise BadValue("the later record must not be older than the earlier one")
    zone = after.facts.zone
    parts: list[Part] = []
    waiting: list[Change] = []
    groups: list[Group] = []
    launch, starts = before.launch, before.starts
    left_over = 0
    for group, standing, changes in _steps(before, after):
        if not parts and not groups:  # the first step: where do we stand without it?
            launch, starts = reckon(before.facts, starts) or (launch, starts)
            left_over += launch - before.launch
        waiting += changes
        groups += [group] if group not in groups else []
        found = reckon(_reckoned(standing, before.starts), starts)
        if found is None:
            continue
        days = _day(found[0], zone) - _day(launch, zone)
        parts.append(Part(tuple(groups), found[0] - launch, days, tuple(waiting)))
        launch, starts = found
        waiting, groups = [], []
    left_over += after.launch - launch
    days = _day(after.launch, zone) - _day(before.launch, zone) - sum(part.days for part in parts)
    if groups:
        parts.append(Part(tuple(groups), left_over, days, tuple(waiting)))
    elif left_over or days:
        parts.append(Part((Group.ORDER,), left_over, days, (Change(What.ORDER),)))
    return parts


def _reckoned(standing: _Standing, order: Starts) -> Facts:
    spare = sum(standing.spare.values())
    if not spare:
        return standing.facts
    first_first = sorted(order, key=lambda pk: (order[pk], pk))
    tasks = with_hours_spared(standing.facts.tasks, spare, first_first)
    return replace(standing.facts, tasks=tasks)


def _steps(before: Record, after: Record) -> Iterator[Step]:
    """Each group that changed, with the facts after it was replaced."""
    old, new = before.facts, after.facts
    standing = _Standing(replace(old, first_day=min(old.first_day, new.first_day)), {})
    # Who does a task is changed with the tasks; until then it stays as it was in every respect.
    others = {
        pk: old.tasks[pk] if pk in old.tasks and old.tasks[pk].doing != task.doing else task
        for pk, task in new.tasks.items()
    }
    for group, step in _STEPS:
        towards = replace(new, tasks=others) if group in _BEFORE_TASKS else new
        for facts, spare, changes in step(standing, before, towards):
            standing = _Standing(facts, spare)
            yield group, standing, changes


Replaced: TypeAlias = Iterable[tuple[Facts, Mapping[int, int], list[Change]]]


def _shop(standing: _Standing, before: Record, new: Facts) -> Replaced:
    facts = standing.facts
    if changes := changed_shop(facts, new):
        replaced = replace(facts, week=new.week, days_off=new.days_off, zone=new.zone)
        yield replaced, standing.spare, changes


def _hands(standing: _Standing, before: Record, new: Facts) -> Replaced:
    facts = standing.facts
    if changes := changed_hands(facts, new):
        tasks = with_fields(facts, new, "hands", "things")
        replaced = replace(facts, tasks=tasks, hands=new.hands, help=new.help, things=new.things)
        yield replaced, standing.spare, changes


def _time(standing: _Standing, before: Record, new: Facts) -> Replaced:
    """The new day, and the work that was done; what is left follows from the old guesses."""
    facts = standing.facts
    tasks, spare, worked = dict(facts.tasks), {}, 0
    for pk, task in new.tasks.items():
        old = facts.tasks.get(pk)
        if old is None:
            if task.logged:
                spare[pk] = task.logged
                worked += task.logged
            continue
        without_hours = task.finished is not None and not task.logged and old.finished is None
        logged = old.whole if without_hours else task.logged
        worked += max(logged - old.logged, 0) if old.finished is None else 0
        if beyond := max(logged - max(old.whole, old.logged), 0):
            spare[pk] = beyond
        if old.finished is not None:
            continue
        left = max(old.whole - logged, 0)
        finished = task.finished if not left else None
        tasks[pk] = replace(old, left=left, started=task.started, finished=finished)
        if not old.left and task.started is not None and task.cure < old.cure:
            tasks[pk] = replace(tasks[pk], cure=task.cure)  # others do it, and their days pass
    if new.now == facts.now and not spare and tasks == facts.tasks:
        return
    planned = _planned(before, new.now)
    change = Change(What.WORKED, was=planned, now=worked)
    yield replace(facts, now=new.now, tasks=tasks), spare, [change]


def _planned(before: Record, until: int) -> int:
    """People-minutes that the old order had until a clock minute, in the shop's hours."""
    facts = before.facts
    shop = week_calendar(facts.week, facts.days_off, facts.zone, facts.first_day)
    minutes = 0
    for pk, task in facts.tasks.items():
        start = max(before.starts.get(pk, until), facts.now)
        if task.finished is None and start < until:
            minutes += min(task.left, shop.shop_between(start, until) * task.hands)
    return minutes


def _hours(standing: _Standing, before: Record, new: Facts) -> Replaced:
    facts, spare = standing.facts, dict(standing.spare)
    moved = []
    for pk, task in new.tasks.items():
        held, old = facts.tasks.get(pk), before.facts.tasks.get(pk)
        if held is None or old is None:
            continue
        if pk in spare or not same_in(held, task, "left", "started", "finished"):
            moved.append((abs(task.whole - old.whole), pk))
    moved.sort(key=lambda one: (-one[0], one[1]))
    ordered = [pk for _, pk in moved]
    runs = [[pk] for pk in ordered[:MOST_TASKS]] + [ordered[MOST_TASKS:]]
    for run in filter(None, runs):
        tasks, changes = dict(facts.tasks), []
        for pk in run:
            task, old = new.tasks[pk], before.facts.tasks[pk]
            spare.pop(pk, None)
            tasks[pk] = replace(
                tasks[pk], left=task.left, started=task.started, finished=task.finished
            )
            changes.append(Change(What.HOURS, (pk,), was=old.whole, now=task.whole))
        facts = replace(facts, tasks=tasks)
        yield facts, dict(spare), changes


def _tasks(standing: _Standing, before: Record, new: Facts) -> Replaced:
    facts = standing.facts
    changes = changed_tasks(facts, new)
    if not changes:
        return
    both = facts.tasks.keys() & new.tasks.keys()
    tasks = dict(new.tasks)
    for pk in both:
        if facts.tasks[pk].doing == new.tasks[pk].doing:
            tasks[pk] = facts.tasks[pk]
    links = [link for link in facts.links if {link.before, link.after} <= both]
    links += [link for link in new.links if not {link.before, link.after} <= both]
    spare = {pk: minutes for pk, minutes in standing.spare.items() if pk in both}
    yield replace(facts, tasks=tasks, links=tuple(links)), spare, changes


def _links(standing: _Standing, before: Record, new: Facts) -> Replaced:
    facts = standing.facts
    if changes := changed_links(by_ends(facts.links), by_ends(new.links)):
        yield replace(facts, links=new.links), standing.spare, changes


def _limits(standing: _Standing, before: Record, new: Facts) -> Replaced:
    facts = standing.facts
    if changes := changed_limits(facts, new):
        tasks = with_fields(facts, new, "limit", "pin", "turn", "not_before", "unbroken")
        yield (
            replace(facts, tasks=tasks, limits=new.limits, heated=new.heated),
            standing.spare,
            changes,
        )


def _cures(standing: _Standing, before: Record, new: Facts) -> Replaced:
    facts = standing.facts
    if changes := changed_cures(facts, new):
        yield replace(facts, tasks=with_fields(facts, new, "cure")), standing.spare, changes


_BEFORE_TASKS = frozenset({Group.SHOP, Group.HANDS, Group.TIME, Group.HOURS})
_STEPS: tuple[tuple[Group, Callable[[_Standing, Record, Facts], Replaced]], ...] = (
    (Group.SHOP, _shop),
    (Group.HANDS, _hands),
    (Group.TIME, _time),
    (Group.HOURS, _hours),
    (Group.TASKS, _tasks),
    (Group.LINKS, _links),
    (Group.LIMITS, _limits),
    (Group.CURE, _cures),
)


def _day(minute: int, zone: dt.tzinfo) -> int:
    return dt.datetime.fromtimestamp(minute * 60, zone).toordinal()
