"""The door: all checks of a network, and what they say of the ten practices."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace

from tasks.network.health.amounts import (
    high_duration,
    high_float,
    negative_float,
    no_work,
    one_guess,
    resources,
    unplanned,
)
from tasks.network.health.critical import critical_path_test, path_from_now
from tasks.network.health.logic import (
    hard_constraints,
    lags,
    leads,
    link_kinds,
    logic,
    loose_ends,
    out_of_order,
)
from tasks.network.health.progress import bei, cpli, invalid_dates, missed, not_in_baseline
from tasks.network.health.published import PRACTICES
from tasks.network.health.values import Check, Health, Key, Practice, Subject, Verdict

__all__ = ["HOME_BUILD", "health_of"]

#: What a home build fails honestly: much float, long tasks, nobody assigned. Told, not judged.
HOME_BUILD = frozenset({Key.HIGH_FLOAT, Key.HIGH_DURATION, Key.RESOURCES})

_CHECKS: Mapping[Key, Callable[[Subject], Check]] = {
    Key.LOGIC: logic,
    Key.LEADS: leads,
    Key.LAGS: lags,
    Key.LINK_KINDS: link_kinds,
    Key.HARD_CONSTRAINTS: hard_constraints,
    Key.HIGH_FLOAT: high_float,
    Key.NEGATIVE_FLOAT: negative_float,
    Key.HIGH_DURATION: high_duration,
    Key.INVALID_DATES: invalid_dates,
    Key.RESOURCES: resources,
    Key.MISSED: missed,
    Key.CRITICAL_PATH_TEST: critical_path_test,
    Key.CPLI: cpli,
    Key.BEI: bei,
    Key.UNPLANNED: unplanned,
    Key.LOOSE_ENDS: loose_ends,
    Key.NO_WORK: no_work,
    Key.PATH_FROM_NOW: path_from_now,
    Key.ONE_GUESS: one_guess,
    Key.OUT_OF_ORDER: out_of_order,
    Key.NOT_IN_BASELINE: not_in_baseline,
}


def health_of(subject: Subject, informs: Collection[Key] = HOME_BUILD) -> Health:
    """All checks of a network.

    Parameters
    ----------
    subject
        The network, its plan, and what else is known of it.
    informs
        Checks that are reported without a verdict. With none, the reading is the published one.

    Returns
    -------
    Health
        The checks in the order of `Key`, and the ten practices.

    Examples
    --------
    >>> from tasks.network import Calendar, Link, Task, schedule
    >>> tasks, links = [Task("cut", 3), Task("glue", 2), Task("sand", 9)], [Link("cut", "glue")]
    >>> shop = Calendar.always()
    >>> plan = schedule(tasks, links, shop, now=0)
    >>> logic = health_of(Subject(tasks, links, plan, shop, day=1)).checks[Key.LOGIC]
    >>> logic.count, logic.base, logic.verdict.value
    (3, 3, 'fails')

    Notes
    -----
    One new plan is made, for the critical path test; all else is counted in one pass a check.
    """
    checks = {key: _told(check(subject), key in informs) for key, check in _CHECKS.items()}
    practices = tuple(
        Practice(number, name, _together([checks[key].verdict for key in keys]), keys)
        for number, name, keys in PRACTICES
    )
    return Health(checks, practices)


def _told(check: Check, informs: bool) -> Check:
    """A check; one that only informs is neither passed nor failed."""
    if informs and check.verdict in (Verdict.PASSES, Verdict.FAILS):
        return replace(check, verdict=Verdict.INFORMATION)
    return check


def _together(verdicts: Collection[Verdict]) -> Verdict:
    """One failure fails a practice; what cannot be told does not count where something can."""
    for verdict in (Verdict.FAILS, Verdict.PASSES, Verdict.INFORMATION):
        if verdict in verdicts:
            return verdict
    return Verdict.CANNOT_TELL
