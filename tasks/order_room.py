"""What follows from an order of work: how late each task may be, and when its hands are wanted."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from dataclasses import replace

from django.core.cache import cache

from tasks import network
from tasks.models import HelpDay
from tasks.network import hands
from tasks.network.hands.hours import overlap
from tasks.network.hands.room import Room, room_of
from tasks.order import Order, plan_from
from tasks.order_values import inputs_of, problem_of
from tasks.plan import Plan
from tasks.plan_figures import minute_of

__all__ = [
    "Levels",
    "first_minute_on",
    "hands_levels",
    "is_current",
    "minutes_with_hands",
    "room_in",
    "there_between",
]

KEEP_SECONDS = 7 * 24 * 3600
DAY = 1440
#: (clock minute, how many hands there are from then on).
Levels = list[tuple[int, int]]


def is_current(order: Order, plan: Plan) -> bool:
    """Whether an order is of the plan as it stands, and of today."""
    build = plan.build
    unchanged = order.plan_version == plan.version
    unchanged = unchanged and order.figures["of"] == [build.hands, build.time_zone]
    return unchanged and order.made_at.date() == plan.now.date()


def room_in(plan: Plan, order: Order) -> dict[int, Room]:
    """The room of each unfinished task in an order of this plan.

    Reckoned once for an order, which takes a few queries. Of an order that has aged it is given
    if it was reckoned before; if not, there is none.
    """
    key = f"order-room-{plan.build.pk}"
    made_of = (order.plan_version, order.made_at.isoformat(), order.figures["launch"])
    kept = cache.get(key)
    if kept and kept[0] == made_of:
        return dict(kept[1])
    if not is_current(order, plan):
        return {}
    found = _rooms(problem_of(inputs_of(plan)), order)
    cache.set(key, (made_of, found), KEEP_SECONDS)
    return found


def hands_levels(plan: Plan, last: dt.datetime) -> Levels:
    """How many hands there are from the first day of the plan to a moment. One query, or a few."""
    build = plan.build
    rows = list(HelpDay.objects.filter(build=build).order_by("pk").values_list())
    key = f"hands-there-{build.pk}"
    made_of = (build.hands, build.time_zone, rows, plan.first_day, last)
    kept = cache.get(key)
    if kept and kept[0] == made_of:
        return list(kept[1])
    there = problem_of(inputs_of(plan)).capacities[hands.HANDS]
    first = minute_of(dt.datetime.combine(plan.first_day, dt.time(), plan.zone))
    levels = there.levels(first, max(minute_of(last), first + DAY))
    cache.set(key, (made_of, levels), KEEP_SECONDS)
    return levels


def _rooms(problem: hands.HandsProblem, order: Order) -> dict[int, Room]:
    if any(rule == "turn" for _, rule in order.troubles):
        problem = replace(problem, in_order=())  # it goes against the links, and was left out
    told = tuple(network.Problem(pk, rule, "") for pk, rule in order.troubles)
    answer = replace(plan_from(order.figures), problems=told)
    try:
        found = room_of(replace(problem, now=answer.now), answer)
    except network.NoAnswer:
        return {}
    return {pk: room for pk, room in found.items() if isinstance(pk, int)}


def there_between(levels: Levels, plan: Plan, edges: list[int]) -> list[int]:
    """People-minutes there in the shop hours between each two clock minutes that follow another.

    Before the first level there is nobody.
    """
    totals = [0] * (len(edges) - 1)
    at = 0
    for start, end in plan.calendar.stretches_between(edges[0], edges[-1]):
        while at + 1 < len(levels) and levels[at + 1][0] <= start:
            at += 1
        level, begin = at, start
        while begin < end and levels:
            until = levels[level + 1][0] if level + 1 < len(levels) else end
            stop = min(end, until)
            if stop > begin and levels[level][0] <= begin:
                totals[bisect_right(edges, begin) - 1] += (stop - begin) * levels[level][1]
            begin, level = max(stop, begin), level + 1
            if level >= len(levels):
                break
    return totals


def stretches_with_hands(plan: Plan, hands: int, first: int, last: int) -> list[tuple[int, int]]:
    """The shop hours between two clock minutes in which there are so many hands."""
    levels = hands_levels(plan, plan.moment(last))
    ends = [clock for clock, _ in levels[1:]] + [max(last, first)]
    enough = [
        (clock, end)
        for (clock, count), end in zip(levels, ends, strict=True)
        if count >= hands and clock < end
    ]
    return overlap(plan.calendar.stretches_between(first, last), enough)


def minutes_with_hands(plan: Plan, hands: int, first: int, last: int) -> int:
    """Shop minutes between two clock minutes in which there are so many hands.

    Where there never are so many, all of them, as the work is planned then.
    """
    if first >= last:
        return 0
    stretches = stretches_with_hands(plan, hands, first, last)
    if not stretches:
        stretches = plan.calendar.stretches_between(first, last)
    return sum(end - start for start, end in stretches)


def first_minute_on(plan: Plan, hands: int, day: dt.date) -> dt.datetime | None:
    """When work of so many hands can begin on a day, from now on; None if it cannot."""
    begin, end = (
        minute_of(dt.datetime.combine(one, dt.time(), plan.zone))
        for one in (day, day + dt.timedelta(days=1))
    )
    begin = max(begin, minute_of(plan.now))
    if begin >= end:
        return None
    stretches = stretches_with_hands(plan, hands, begin, end)
    return plan.moment(stretches[0][0]) if stretches else None
