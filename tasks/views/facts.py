"""What the plan says of one task and its links, for the sheets that show it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from tasks.models import Act, Link, Person, Work
from tasks.plan import Plan, TaskPlan
from tasks.words import link_words, reason

__all__ = ["Facts", "LinkFacts", "facts_of", "newest_act"]


@dataclass(frozen=True, slots=True)
class LinkFacts:
    """A link seen from one of its tasks. `until` tells till when it holds, where that is known."""

    link: Link
    other: TaskPlan
    words: str
    driving: bool
    until: dt.datetime | None


@dataclass(frozen=True, slots=True)
class Facts:
    planned: TaskPlan
    reason: str
    links_in: list[LinkFacts]
    links_out: list[LinkFacts]
    clock_of_mine: Work | None


def facts_of(plan: Plan, pk: int, person: Person) -> Facts:
    """All of it for the person who looks, with no query besides those of the plan."""
    planned = plan.tasks[pk]
    return Facts(
        planned=planned,
        reason=reason(plan, planned),
        links_in=[_link_facts(plan, link, link.before_id) for link in plan.links_in(pk)],
        links_out=[_link_facts(plan, link, link.after_id) for link in plan.links_out(pk)],
        clock_of_mine=next((w for w in planned.running if w.person_id == person.pk), None),
    )


def _link_facts(plan: Plan, link: Link, other: int) -> LinkFacts:
    before, after = plan.tasks[link.before_id], plan.tasks[link.after_id]
    driving = after.driving
    return LinkFacts(
        link=link,
        other=plan.tasks[other],
        words=link_words(link, before.task.cure_minutes),
        driving=driving is not None and driving.pk == link.pk,
        until=next((until for held, _, until in after.waits_for if held.pk == link.pk), None),
    )


def newest_act(pk: int) -> Act | None:
    """The act on a task that can be undone. One query."""
    acts = Act.objects.filter(task=pk, undone_at=None).select_related("task", "person")
    return acts.order_by("pk").last()
