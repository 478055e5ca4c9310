"""What the plan says of one task, ready for `tasks/_task_facts.html`."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from tasks.models import Act, Link, Person, Work
from tasks.plan import Plan, TaskPlan
from tasks.words import float_words, link_words, reason

__all__ = ["Facts", "LinkFacts", "facts_of", "newest_act"]


@dataclass(frozen=True, slots=True)
class LinkFacts:
    """A link seen from one of its tasks. `waits` tells that it holds now, `until` till when."""

    link: Link
    other: TaskPlan
    words: str
    driving: bool
    waits: bool
    until: dt.datetime | None


@dataclass(frozen=True, slots=True)
class Facts:
    planned: TaskPlan
    reason: str
    float_words: str
    links_in: list[LinkFacts]
    links_out: list[LinkFacts]
    frees: list[TaskPlan]
    clock_of_mine: Work | None


def facts_of(plan: Plan, pk: int, person: Person) -> Facts:
    """All of it for the person who looks, with no query besides those of the plan."""
    planned = plan.tasks[pk]
    waits = {link.pk: until for link, _, until in planned.waits_for}
    driving = planned.driving
    into = [
        LinkFacts(
            link,
            plan.tasks[link.before_id],
            link_words(link, plan.tasks[link.before_id].task.cure_minutes),
            driving is not None and driving.pk == link.pk,
            link.pk in waits,
            waits.get(link.pk),
        )
        for link in plan.links_in(pk)
    ]
    return Facts(
        planned=planned,
        reason=reason(plan, planned),
        float_words=float_words(planned),
        links_in=into,
        links_out=[_out(plan, planned, link) for link in plan.links_out(pk)],
        frees=[plan.tasks[freed] for freed in planned.frees],
        clock_of_mine=next((w for w in planned.running if w.person_id == person.pk), None),
    )


def _out(plan: Plan, planned: TaskPlan, link: Link) -> LinkFacts:
    other = plan.tasks[link.after_id]
    waits = {held.pk: until for held, _, until in other.waits_for}
    driving = other.driving
    return LinkFacts(
        link,
        other,
        link_words(link, planned.task.cure_minutes),
        driving is not None and driving.pk == link.pk,
        link.pk in waits,
        waits.get(link.pk),
    )


def newest_act(pk: int) -> Act | None:
    """The act on a task that can be undone. One query."""
    acts = Act.objects.filter(task=pk, undone_at=None).select_related("task", "person")
    return acts.order_by("pk").last()
