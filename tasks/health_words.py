"""The checks of a plan in a builder's words: what each looks at, what came out, what to do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tasks.health import PlanHealth
from tasks.hours import show_hours
from tasks.network.health import (
    PUBLISHED,
    SLIP_DAYS,
    TOO_MANY_DAYS,
    Check,
    Key,
    Seen,
    Verdict,
    Why,
)
from tasks.words import number, of

__all__ = [
    "HEADINGS",
    "PRACTICE_WORDS",
    "VERDICTS",
    "WHYS",
    "Standard",
    "advice",
    "says",
    "standard_of",
]

VERDICTS = {
    Verdict.PASSES: "holds",
    Verdict.FAILS: "put right",
    Verdict.INFORMATION: "to know",
    Verdict.CANNOT_TELL: "cannot be told",
}

HEADINGS = {
    Key.LOGIC: "Work that hangs on nothing",
    Key.LEADS: "Waits of less than nothing",
    Key.LAGS: "Waits written into links",
    Key.LINK_KINDS: "Links other than one after the other",
    Key.HARD_CONSTRAINTS: "Tasks pinned to a time",
    Key.HIGH_FLOAT: "Tasks with months to spare",
    Key.NEGATIVE_FLOAT: "Work too late for the launch that was kept",
    Key.HIGH_DURATION: "Very long tasks",
    Key.INVALID_DATES: "Dates that cannot be",
    Key.RESOURCES: "Tasks with too few hands to do them",
    Key.MISSED: "Later than it was planned",
    Key.CRITICAL_PATH_TEST: "Does a delay reach the launch?",
    Key.CPLI: "Can the launch that was kept still be reached?",
    Key.BEI: "As many tasks done as planned?",
    Key.UNPLANNED: "Hours that belong to no task",
    Key.LOOSE_ENDS: "Linked, but loose at one end",
    Key.NO_WORK: "Tasks without hours",
    Key.PATH_FROM_NOW: "Does the chain that sets the launch begin today?",
    Key.ONE_GUESS: "Guesses without a low and a high",
    Key.OUT_OF_ORDER: "Done in another order than planned",
    Key.NOT_IN_BASELINE: "Tasks that the baseline does not know",
}

PRACTICE_WORDS = {
    1: "All the work is in the plan",
    2: "Each task is tied to what comes before and after it",
    3: "Somebody is there to do each task",
    4: "Each task has hours that can be believed",
    5: "A delay anywhere reaches all that it should",
    6: "The chain that sets the launch is a true one",
    7: "The time to spare is what it seems",
    8: "It is known how far off the guesses may be",
    9: "The plan follows what was really done",
    10: "The plan is held against what was once promised",
}

WHYS = {
    Why.NOTHING_TO_COUNT: "There is nothing of the kind to look at.",
    Why.NO_BASELINE: "No baseline was kept yet.",
    Why.NOTHING_DUE: "By the baseline, nothing was to be finished yet.",
    Why.NO_PROMISE: "No baseline was kept yet, so there is no launch to hold the plan against.",
    Why.NO_WORK_LEFT: "No work is left.",
    Why.RESOURCES_UNKNOWN: "It is not known who is there.",
    Why.GUESSES_UNKNOWN: "There are no guesses.",
    Why.HOURS_UNKNOWN: "No hours are logged yet.",
    Why.OUT_OF_SHOP_HOURS: "The shop hours end too soon to try it.",
}

_ADVICE = {
    Key.LOGIC: (
        "A task that nothing waits for can be late without the plan showing it; one that nothing "
        "leads to is planned for today, be it possible or not. Say what comes before and after. "
        "The first work and the last stand here rightly."
    ),
    Key.LEADS: (
        "A link with a minus lets a task begin before what it waits for is over, on the word of a "
        "guess. Make a task of the part that must be over first, and link to that."
    ),
    Key.LAGS: (
        "A wait hides what is waited for. A cure belongs to the task that makes the joint, and "
        "what is delivered can be a task of its own with its days."
    ),
    Key.LINK_KINDS: (
        "A plan is easiest to trust where one task starts after another is finished. Too many "
        "other links are a sign of tasks that are too large: split them instead."
    ),
    Key.HARD_CONSTRAINTS: (
        "A pinned task keeps its time, whatever the work before it says. Pin only what truly has "
        "a date, a crane or a tide. For the rest take the pin out."
    ),
    Key.HIGH_FLOAT: (
        "Who builds alone has much that can wait, so this is no fault. But see whether one of them "
        "should lead to something that it is not linked with."
    ),
    Key.NEGATIVE_FLOAT: (
        "Against it they are late already, even with endless hands. Find more hours, do less, or "
        "keep a new baseline that can be held."
    ),
    Key.HIGH_DURATION: (
        "Of a task of months nobody can tell how far it is. For a home build it is no fault, but "
        "pieces that a few weekends finish make a better plan."
    ),
    Key.INVALID_DATES: (
        "What is done was done before now, and what is to come comes after. Correct when it was "
        "started and finished."
    ),
    Key.RESOURCES: (
        "They need more hands than are always there and all that are booked. Book the helpers, or "
        "change how many hands it takes."
    ),
    Key.MISSED: (
        "By the baseline these should be finished. What is late early on is seldom won back: look "
        "at the guesses of what is like it."
    ),
    Key.CRITICAL_PATH_TEST: (
        "The first task of the chain is kept back on trial, and all is planned anew. If the launch "
        "does not move as far, something on the way does not follow, and the date means nothing."
    ),
    Key.CPLI: (
        "From 0.95 on it can be reached with some care. Below, less work or more hours are needed, "
        "or another date."
    ),
    Key.BEI: "Under 0.95 the work goes more slowly than was planned, and will go on doing so.",
    Key.UNPLANNED: (
        "Some of it always is: sweeping, sharpening, fetching. If it is much, the plan lacks work "
        "that is really there: make tasks of what comes again."
    ),
    Key.LOOSE_ENDS: (
        "These have links, but none that holds their start, or none that waits for their end: they "
        "may drag on and move nothing. Add the link that is missing."
    ),
    Key.NO_WORK: (
        "If it is only a moment, such as a delivery, leave it. If it is work, say how many hours."
    ),
    Key.PATH_FROM_NOW: (
        "If not, it is no work that holds the launch, but a date that you set. See whether it is "
        "still true."
    ),
    Key.ONE_GUESS: "The forecast takes such work for certain. Say how low and how high it may be.",
    Key.OUT_OF_ORDER: (
        "It was begun before what it should wait for was over. So the link was not true: take it "
        "away, or what is left waits for nothing real."
    ),
    Key.NOT_IN_BASELINE: "They were added since. Keep a new baseline once the plan has settled.",
}


def advice(key: Key) -> str:
    """Why it matters, and what to do."""
    return _ADVICE[key]


def says(found: PlanHealth, check: Check) -> str:
    """What came out, with its figures."""
    if check.why is not None:
        return WHYS[check.why]
    return _SAYS[check.key](found, check)


#: The first word of what is said of many, where it is another of one.
_OF_ONE = {"have": "has", "are": "is", "were": "was", "need": "needs", "let": "lets", "say": "says"}


def _tasks(what: str) -> Callable[[PlanHealth, Check], str]:
    return lambda found, check: _counted(check, "unfinished task", what)


def _links(what: str) -> Callable[[PlanHealth, Check], str]:
    return lambda found, check: _counted(check, "link", what)


def _counted(check: Check, kind: str, what: str) -> str:
    """“Two of nine links have a wait of their own.”"""
    verb, rest = what.split(" ", 1)
    if check.count == 1:
        verb = _OF_ONE.get(verb, verb)
    return f"{_some(check.count)} of {of(check.base, kind)} {verb} {rest}."


def _some(count: int) -> str:
    return "None" if count == 0 else number(count).capitalize()


def _days(found: PlanHealth, days: int) -> str:
    return f"{days} of your usual days in the shed ({show_hours(days * found.day)})"


def _high_float(found: PlanHealth, check: Check) -> str:
    return _tasks(f"could wait for more than {_days(found, TOO_MANY_DAYS)}")(found, check)


def _high_duration(found: PlanHealth, check: Check) -> str:
    return _tasks(f"would take more than {_days(found, TOO_MANY_DAYS)}")(found, check)


def _slip(found: PlanHealth, check: Check) -> str:
    kept = f"Kept back by {_days(found, SLIP_DAYS)}, the chain moves the launch by"
    if check.verdict is Verdict.PASSES:
        return f"{kept} as much."
    return f"{kept} {show_hours(check.count)} only."


def _cpli(found: PlanHealth, check: Check) -> str:
    spare = check.count - check.base
    apart = f"{show_hours(abs(spare))} {'after' if spare >= 0 else 'before'} that"
    if not spare:
        apart = "at that time too"
    return (
        f"{show_hours(check.base)} in the shed lie between now and the launch; the one in the "
        f"baseline is {apart}. That makes {_ratio(check)}."
    )


def _bei(found: PlanHealth, check: Check) -> str:
    return (
        f"{_some(check.count)} finished of {number(check.base)} that were to be by now: "
        f"{_ratio(check)}."
    )


def _ratio(check: Check) -> str:
    return f"{check.share:.2f}".replace("-", "−")


def _missed_of(found: PlanHealth, check: Check) -> str:
    late = "was late, or is not" if check.count == 1 else "were late, or are not"
    return (
        f"{_some(check.count)} of {of(check.base, 'task')} that should be finished by now {late}."
    )


def _unplanned(found: PlanHealth, check: Check) -> str:
    return (
        f"{show_hours(check.count)} of {show_hours(check.base)} logged, "
        f"{round(100 * (check.share or 0))} in a hundred."
    )


def _path(found: PlanHealth, check: Check) -> str:
    if not check.faults:
        return "It begins with work that can go on now."
    return "It begins later: a date that was set holds it."


_SAYS: dict[Key, Callable[[PlanHealth, Check], str]] = {
    Key.LOGIC: _tasks("have nothing before them, or nothing after them"),
    Key.LEADS: _links("let a task begin before the other is over"),
    Key.LAGS: _links("have a wait of their own"),
    Key.LINK_KINDS: _links("say that one starts after the other is finished"),
    Key.HARD_CONSTRAINTS: _tasks("are pinned"),
    Key.HIGH_FLOAT: _high_float,
    Key.NEGATIVE_FLOAT: _tasks("would move the launch past the one in the baseline"),
    Key.HIGH_DURATION: _high_duration,
    Key.INVALID_DATES: lambda found, check: _counted(check, "task", "have dates that cannot be"),
    Key.RESOURCES: _tasks("need more hands than there will ever be, for a day or more"),
    Key.MISSED: _missed_of,
    Key.CRITICAL_PATH_TEST: _slip,
    Key.CPLI: _cpli,
    Key.BEI: _bei,
    Key.UNPLANNED: _unplanned,
    Key.LOOSE_ENDS: _tasks("are loose"),
    Key.NO_WORK: _tasks("have no hours and no cure"),
    Key.PATH_FROM_NOW: _path,
    Key.ONE_GUESS: _tasks("have the same guess for low and high"),
    Key.OUT_OF_ORDER: _links("were gone against"),
    Key.NOT_IN_BASELINE: _tasks("were added since"),
}


_SEEN = {
    Seen.SECONDARY: "as others quote it",
    Seen.MEMORY: "as we remember it",
    Seen.UNSET: "",
}


@dataclass(frozen=True, slots=True)
class Standard:
    """What a check is called where it was published, and what it asks there."""

    name: str
    formula: str
    asks: str


def standard_of(key: Key) -> Standard:
    published = PUBLISHED[key]
    name = published.name
    if published.point is not None:
        name = f"DCMA 14 points, no. {published.point}: {name}"
    limit = published.limit
    if limit is None:
        asks = ""
    elif limit.of_count:
        asks = "none"
    elif key in (Key.CPLI, Key.BEI):
        asks = f"{float(limit.value):.2f} or more"
    else:
        asks = f"{100 * limit.value} % or {'more' if limit.at_least else 'less'}"
    return Standard(name, published.formula, asks and f"{asks}, {_SEEN[published.seen]}")
