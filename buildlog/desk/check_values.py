"""From the checks of a plan to what its sheet shows."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from tasks.forms import EditLinkForm, EstimateForm
from tasks.health import PlanHealth
from tasks.health_faults import fault_words
from tasks.health_words import (
    HEADINGS,
    PRACTICE_WORDS,
    VERDICTS,
    Standard,
    advice,
    says,
    standard_of,
)
from tasks.models import Link, Task
from tasks.network.health import Check, Fault, How, Key, Practice, Verdict
from tasks.words import link_words

__all__ = ["ShownCheck", "ShownFault", "ShownPractice", "shown_checks", "shown_practices"]

#: More faults than these are shown when asked for.
SHOWN = 12
MOST_SHOWN = 300
#: What is put right task by task; the faults of the others only stand in a list.
_ON_THE_SPOT = frozenset(Key) - {
    Key.HIGH_FLOAT,
    Key.NEGATIVE_FLOAT,
    Key.MISSED,
    Key.CPLI,
    Key.BEI,
    Key.NOT_IN_BASELINE,
}
NOTHING_AGAINST = "nothing against it"
_WITH_LAG = (Key.LEADS, Key.LAGS)
_WITH_GUESSES = (Key.NO_WORK, Key.ONE_GUESS)


@dataclass(frozen=True, slots=True)
class ShownFault:
    """A task or link at fault, with the form by which it is put right on the spot."""

    words: str
    task: Task
    needs_before: bool = False
    needs_after: bool = False
    before: Task | None = None
    link: Link | None = None
    link_words: str = ""
    lag_form: EditLinkForm | None = None
    estimate_form: EstimateForm | None = None


@dataclass(frozen=True, slots=True)
class ShownCheck:
    key: Key
    heading: str
    says: str
    advice: str
    verdict: Verdict
    standard: Standard
    faults: list[ShownFault]
    hidden: int
    on_the_spot: bool
    found: bool


@dataclass(frozen=True, slots=True)
class ShownPractice:
    number: int
    words: str
    name: str
    verdict: str
    fails: bool
    checks: list[tuple[Key, str]]


def shown_checks(found: PlanHealth, whole: Collection[str], *, may_plan: bool) -> list[ShownCheck]:
    """Every check, first those that can be put right here; no query.

    Of the checks in `whole` all faults are shown, of the others the first.
    """
    shown = [
        _shown(found, check, MOST_SHOWN if check.key in whole else SHOWN, may_plan)
        for check in found.checks.checks.values()
    ]
    return sorted(shown, key=lambda one: not one.on_the_spot)


def shown_practices(found: PlanHealth) -> list[ShownPractice]:
    return [_practice(found, one) for one in found.checks.practices]


def _practice(found: PlanHealth, one: Practice) -> ShownPractice:
    told = any(found.checks.checks[key].count for key in one.keys)
    nothing = one.verdict is Verdict.INFORMATION and not told
    return ShownPractice(
        number=one.number,
        words=PRACTICE_WORDS[one.number],
        name=one.name,
        verdict=NOTHING_AGAINST if nothing else VERDICTS[one.verdict],
        fails=one.verdict is Verdict.FAILS,
        checks=[(key, HEADINGS[key]) for key in one.keys],
    )


def _shown(found: PlanHealth, check: Check, most: int, may_plan: bool) -> ShownCheck:
    return ShownCheck(
        key=check.key,
        heading=HEADINGS[check.key],
        says=says(found, check),
        advice=advice(check.key),
        verdict=check.verdict,
        standard=standard_of(check.key),
        faults=[_fault(found, check.key, fault, may_plan) for fault in check.faults[:most]],
        hidden=max(len(check.faults) - most, 0),
        on_the_spot=check.key in _ON_THE_SPOT,
        found=bool(check.faults or (check.key is Key.UNPLANNED and check.count)),
    )


def _fault(found: PlanHealth, key: Key, fault: Fault, may_plan: bool) -> ShownFault:
    words = fault_words(found, fault)
    tasks = found.plan.tasks
    link = found.link_of(fault)
    if link is not None:
        before, after = tasks[link.before_id].task, tasks[link.after_id].task
        return ShownFault(
            words=words,
            task=after,
            before=before,
            link=link,
            link_words=link_words(link, before.cure_minutes),
            lag_form=EditLinkForm(instance=link, auto_id=f"link-{link.pk}-%s")
            if may_plan and key in _WITH_LAG
            else None,
        )
    task = tasks[int(fault.task or 0)].task
    ends_the_plan = found.plan.critical_path[-1:] == [task.pk]
    return ShownFault(
        words=words,
        task=task,
        needs_before=How.NO_BEFORE in fault.hows,
        needs_after=How.NO_AFTER in fault.hows and not ends_the_plan,
        estimate_form=EstimateForm(instance=task, auto_id=f"{key}-{task.pk}-%s")
        if may_plan and key in _WITH_GUESSES
        else None,
    )
