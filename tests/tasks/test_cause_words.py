from __future__ import annotations

import datetime as dt

import pytest

from tasks.cause_words import causes_of, change_words, changes_words, days_words, span_words
from tasks.network.causes import What

ONE = {"tasks": [1], "names": ["F3 Cut"]}
TWO = {"tasks": [1, 2], "names": ["F3 Cut", "B1 Fit"]}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            {
                "what": "day-off-added",
                "first": "2026-05-02",
                "last": "2026-05-09",
                "reason": "away",
            },
            "away 2–9 May",
        ),
        (
            {"what": "day-off-removed", "first": "2026-05-30", "last": "2026-06-02"},
            "no longer off 30 May–2 Jun",
        ),
        ({"what": "hands", "was": 1, "now": 2}, "two pairs of hands always there, not 1"),
        ({"what": "help-added", "row": 5, "now": 1}, "a helper every Saturday"),
        (
            {"what": "help-removed", "row": 5, "now": 2, "first": "2026-05-02"},
            "no longer two helpers every Saturday from 2 May 2026",
        ),
        (
            {"what": "help-added", "now": 1, "first": "2026-05-02", "last": "2026-05-02"},
            "a helper 2 May",
        ),
        (
            {"what": "help-added", "now": 9, "first": "2027-10-23", "year": 2026},
            "nine helpers 23 Oct 2027",
        ),
        ({"what": "thing", "name": "clamps", "was": 10, "now": 12}, "12 clamps, not 10"),
        ({"what": "thing", "name": "tent", "was": 1}, "no tent any more"),
        (ONE | {"what": "task-hands", "was": 1, "now": 2}, "F3 Cut takes 2 hands, not 1"),
        ({"what": "worked", "was": 840, "now": 360}, "6 h worked, where the plan had 14 h"),
        ({"what": "worked", "was": 840, "now": 0}, "no hours worked, where the plan had 14 h"),
        ({"what": "worked", "was": 0, "now": 0}, "time passed with no work in it"),
        (
            ONE | {"what": "hours", "was": 600, "now": 1440, "finished": True},
            "F3 Cut took 14 h more than guessed",
        ),
        (
            ONE | {"what": "hours", "was": 600, "now": 480, "finished": False},
            "F3 Cut takes 2 h less than guessed",
        ),
        (ONE | {"what": "task-added", "now": 90}, "added F3 Cut, 1 h 30"),
        (ONE | {"what": "doing", "reason": "bought-in"}, "F3 Cut is bought in"),
        (ONE | {"what": "doing", "reason": "left-out"}, "F3 Cut is left out"),
        (TWO | {"what": "link-added"}, "B1 Fit now waits for F3 Cut"),
        (TWO | {"what": "link-removed"}, "B1 Fit no longer waits for F3 Cut"),
        ({"what": "limit", "name": "warm", "was": 0, "now": 1}, "added the limit “warm”"),
        ({"what": "limit", "name": "warm", "was": 1, "now": 0}, "took off the limit “warm”"),
        ({"what": "limit", "name": "warm", "was": 1, "now": 1}, "changed the limit “warm”"),
        (ONE | {"what": "keeps-to", "name": "warm"}, "F3 Cut keeps to “warm”"),
        (ONE | {"what": "pin", "now": 5}, "F3 Cut is pinned to its time"),
        (ONE | {"what": "pin", "was": 5}, "F3 Cut is no longer pinned to its time"),
        (ONE | {"what": "unbroken", "was": 0, "now": 1}, "F3 Cut must be done in one go"),
        (ONE | {"what": "cure", "was": 1440, "now": 2880}, "F3 Cut cures 48 h, not 24 h"),
        ({"what": "order"}, "another order of the same work"),
        ({"what": "of another day"}, "another change"),
    ],
)
def test_a_change_in_words(change, words):
    assert change_words(change) == words


@pytest.mark.parametrize("what", list(What))
def test_every_change_has_words_even_if_nothing_else_was_recorded(what):
    assert change_words({"what": what.value}) != "another change"


def test_many_changes_of_one_sort_are_counted():
    rows = [
        {"what": "hours", "tasks": [n], "names": [f"T{n}"], "was": 60, "now": 120} for n in range(5)
    ]
    assert changes_words(rows) == "five tasks, 5 h more than guessed in all"
    added = [{"what": "task-added", "tasks": [n], "names": [f"T{n}"], "now": 60} for n in range(5)]
    assert changes_words(added) == "added T0, 1 h, and four more like it"


def part(group: str, minutes: int, days: int, *changes):
    return {"groups": [group], "minutes": minutes, "days": days, "changes": list(changes)}


def test_the_largest_cause_comes_first_and_small_ones_share_a_line():
    hours = [
        {"what": "hours", "tasks": [n], "names": [f"T{n}"], "was": 60, "now": 90} for n in (1, 2, 3)
    ]
    parts = [
        part("time", 0, 0, {"what": "worked", "was": 60, "now": 60}),
        part("hours", 2880, 2, hours[0]),
        part("hours", 30, 0, hours[1]),
        part("hours", 20, 0, hours[2]),
        part("shop", -4320, -3, {"what": "week"}),
    ]
    causes = causes_of(parts)
    assert [cause.days for cause in causes] == [-3, 2, 0, 0]
    assert causes[2].words == "T2 takes 30 min more than guessed; T3 takes 30 min more than guessed"
    assert causes[2].tasks == [(2, "T2"), (3, "T3")]
    assert sum(cause.minutes for cause in causes) == sum(one["minutes"] for one in parts)


def test_days_and_spans():
    assert [days_words(days) for days in (9, 1, 0, -1, -20)] == [
        "+9 days", "+1 day", "no day", "−1 day", "−20 days",
    ]  # fmt: skip
    day = dt.date
    assert span_words(day(2026, 5, 2), day(2026, 5, 2)) == "2 May"
    assert span_words(day(2026, 12, 28), day(2027, 1, 3)) == "28 Dec 2026–3 Jan 2027"
