"""Which links are not satisfied now, and until when they hold."""

from __future__ import annotations

from collections.abc import Collection

from tasks import network

__all__ = ["Waits", "unsatisfied"]

#: By the task after: the place of a link among the links, and the minute until when, if known.
Waits = dict[network.TaskId, list[tuple[int, int | None]]]

_HOLDS_FINISH = (network.LinkKind.FF, network.LinkKind.SF)
_FROM_START = (network.LinkKind.SS, network.LinkKind.SF)


def unsatisfied(
    links: list[network.Link],
    tasks: dict[network.TaskId, network.Task],
    schedule: network.Schedule,
    calendar: network.Calendar,
    now: int,
    left_out: Collection[network.TaskId] = (),
) -> Waits:
    """The links that are not satisfied now, by the task after, with the minute until when.

    A link that holds a start is satisfied when what it waits for has happened and its lag has
    passed (with a lead: when that much is left on the plan). One that holds a finish stops a start
    only where the work, begun now, would be through too early. Who comes after a task that is left
    out waits for what that one would have waited for.
    """
    waits: Waits = {}
    shop_now = calendar.shop_at(now)
    for place, link in enumerate(links):
        after, before = tasks[link.after], tasks[link.before]
        if after.finished is not None or link.before in left_out:
            continue
        dates = schedule.dates[link.before]
        if link.kind in _FROM_START:
            happened, base = before.started is not None, dates.early_start
        else:
            happened = before.finished is not None
            base = dates.cured if link.waits_for_cure else dates.early_finish
        over = _after_lag(base, link, calendar)
        if link.kind in _HOLDS_FINISH and after.started is None:
            reached = calendar.clock_at_finish(shop_now + after.work) if after.work else now
            holds = over > reached
            over = schedule.dates[link.after].early_start
        elif link.lag < 0:
            holds = over > now
        else:
            holds = not happened or over > now
        if holds:
            waits.setdefault(link.after, []).append((place, over if happened else None))
    return _passed_on(waits, links, left_out) if left_out else waits


def _passed_on(
    waits: Waits, links: list[network.Link], left_out: Collection[network.TaskId]
) -> Waits:
    """What holds a task that is left out holds those after it, through any number of such."""
    after: dict[network.TaskId, list[network.TaskId]] = {}
    for link in links:
        if link.before in left_out:
            after.setdefault(link.before, []).append(link.after)
    held = dict(waits)
    for task in left_out:
        reached, ahead = {task}, [*after.get(task, ())]
        while ahead:
            other = ahead.pop()
            if other in reached:
                continue
            reached.add(other)
            known = held.get(other, [])
            held[other] = known + [one for one in waits.get(task, ()) if one not in known]
            if other in left_out:
                ahead += after.get(other, ())
    return held


def _after_lag(base: int, link: network.Link, calendar: network.Calendar) -> int:
    if not link.lag:
        return base
    if link.lag_in is network.LagIn.ELAPSED:
        return base + link.lag
    shop = calendar.shop_at(base) + link.lag
    return calendar.clock_at_finish(shop) if link.lag > 0 else calendar.clock_at_start(shop)
