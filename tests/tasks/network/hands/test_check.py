"""The checker finds each broken rule: good plans are spoilt in one way each."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tasks.network import Calendar, Link, LinkKind, Task
from tasks.network.hands import HandsPlan, HandsProblem, Need, Place, check_plan, plan_hands

WEEK = Calendar([(0, 100), (1000, 1100), (2000, 2100)])


def problem(**more) -> HandsProblem:
    tasks = [
        Task("done", 5, started=-20, finished=-10),
        Task("a", 60, cure=30),
        Task("b", 60, unbroken=True),
        Task("c", 20, not_before=1050),
    ]
    return HandsProblem(tasks, [Link("a", "b"), Link("a", "c", LinkKind.SS)], WEEK, 0, **more)


def spoilt(task: str, place: Place, **more) -> set[str]:
    given = problem(**more)
    plan = plan_hands(given)
    assert check_plan(given, plan) == []
    places = dict(plan.places) | {task: place}
    launch = max(at.cured for at in places.values())
    return {one.rule for one in check_plan(given, replace(plan, places=places, launch=launch))}


@pytest.mark.parametrize(
    ("rule", "task", "place"),
    [
        ("actual", "done", Place(-20, -9, -9, -9)),
        ("minutes", "a", Place(0, 60, 60, 0)),
        ("minutes", "a", Place(0, 61, 91, 0)),
        ("minutes", "a", Place(0, 60, 90, 5)),
        ("too early", "c", Place(1000, 1020, 1020, 1000)),
        ("too early", "a", Place(-60, 0, 30, -60)),
        ("hours", "c", Place(1500, 2020, 2020, 1500)),
        ("unbroken", "b", Place(1070, 2030, 2030, 1070)),
        ("link", "b", Place(40, 100, 100, 40)),
        ("enough", "c", Place(1050, 1070, 1070, 1050)),
    ],
)
def test_broken_rule_is_found(rule: str, task: str, place: Place) -> None:
    assert rule in spoilt(task, place)


def test_order_and_pin_are_looked_at() -> None:
    assert "order" in spoilt("c", Place(2070, 2090, 2090, 2070), in_order=["c", "b"])
    assert "pin" in spoilt("c", Place(2000, 2020, 2020, 2000), needs={"c": Need(pin=1060)})


def test_missing_task_and_wrong_launch_are_found() -> None:
    plan = plan_hands(problem())
    assert [one.rule for one in check_plan(problem(), replace(plan, launch=1))] == ["launch"]
    none = HandsPlan(0, 0, {}, (), 0, True, 0)
    assert [one.rule for one in check_plan(problem(), none)] == ["missing"]
