"""What a builder would expect of a plan with limited hands, in small cases reckoned by hand."""

from __future__ import annotations

from datetime import date
from random import Random

import pytest

from tasks.network import Calendar, Link, Task
from tasks.network.exceptions import BadValue, Cycle, NoShopHours
from tasks.network.hands import (
    Booking,
    Both,
    Capacity,
    HandsPlan,
    HandsProblem,
    Need,
    Season,
    Span,
    check_plan,
    plan_hands,
)
from tests.tasks.network.hands.examples import clock_of

ZONE = "Europe/London"
ALWAYS = Calendar.always()
#: Two days of 100 minutes.
DAYS = Calendar([(0, 100), (1000, 1100), (2000, 2100)])


def plan_of(tasks: list[Task], links=(), calendar=ALWAYS, now: int = 0, **more) -> HandsPlan:
    problem = HandsProblem(tasks, links, calendar, now, **more)
    plan = plan_hands(problem)
    assert plan.problems or check_plan(problem, plan) == []
    return plan


class TestHands:
    def test_one_pair_of_hands_does_one_thing_at_a_time(self) -> None:
        assert plan_of([Task("a", 30), Task("b", 50)]).launch == 80

    def test_cure_frees_the_hands(self) -> None:
        plan = plan_of([Task("glue", 10, cure=100), Task("sand", 60)])
        assert (plan.launch, plan.places["sand"].start) == (110, 10)

    def test_helper_is_there_when_booked(self) -> None:
        two = Capacity(1, (Booking(1, Span(1000, 1100)),))
        plan = plan_of(
            [Task("turn", 40)],
            calendar=DAYS,
            capacities={"hands": two},
            needs={"turn": Need({"hands": 2})},
        )
        assert plan.places["turn"].start == 1000

    def test_what_needs_a_day_that_comes_once_is_hurried_with_all_before_it(self) -> None:
        # By themselves the stringers, with all that hangs on them, would come before the cradle.
        evenings = Calendar([(1440 * day, 1440 * day + 100) for day in range(2000)])
        friends = Capacity(1, (Booking(11, Span(1440, 1440 + 100)),))
        plan = plan_of(
            [Task("stringers", 300), Task("skin", 3000), Task("cradle", 90), Task("turn", 60)],
            [Link("stringers", "skin"), Link("cradle", "turn")],
            calendar=evenings,
            capacities={"hands": friends},
            needs={"turn": Need({"hands": 12})},
        )
        assert plan.problems == ()
        assert (plan.places["cradle"].start, plan.places["turn"].start) == (0, 1440)

    def test_unbroken_work_waits_for_a_stretch_that_is_long_enough(self) -> None:
        plan = plan_of([Task("first", 30), Task("glue", 90, unbroken=True)], calendar=DAYS)
        assert sorted((at.start, at.finish) for at in plan.places.values()) in (
            [(0, 30), (1000, 1090)],
            [(0, 90), (90, 1020)],
        )

    def test_fixed_order_holds_at_its_price(self) -> None:
        tasks = [Task("glue", 10, cure=100), Task("sand", 60)]
        plan = plan_of(tasks, in_order=["sand", "glue"])
        assert (plan.order, plan.launch) == (("sand", "glue"), 170)

    def test_pin_is_kept_and_the_rest_goes_round_it(self) -> None:
        plan = plan_of([Task("a", 30), Task("b", 50)], needs={"a": Need(pin=40)})
        assert (plan.places["a"].start, plan.places["b"].start) == (40, 70)

    @pytest.mark.parametrize("work", [0, 10])
    def test_what_a_pin_waits_for_comes_in_time_for_it(self, work: int) -> None:
        plan = plan_of(
            [Task("long", 100), Task("first", 10), Task("pinned", work)],
            [Link("first", "pinned")],
            needs={"pinned": Need(pin=10)},
        )
        assert plan.problems == ()
        assert plan.places["pinned"].start == 10

    def test_point_waits_for_its_pin(self) -> None:
        plan = plan_of([Task("a", 0)], needs={"a": Need(pin=500)})
        assert (plan.places["a"].start, plan.launch) == (500, 500)

    def test_what_is_in_hand_goes_on_first(self) -> None:
        tasks = [Task("new", 30), Task("old", 50, started=60, left=20)]
        plan = plan_of(tasks, now=100)
        place = plan.places["old"]
        assert (place.start, place.resume, place.finish) == (60, 100, 120)

    def test_evening_before_the_clocks_change_is_as_long_as_it_is(self) -> None:
        """On 29 March 2026 the hour from 01:00 is missing in London."""
        night = Calendar.from_week({6: [(0, 300)]}, ZONE, (), date(2026, 3, 28))
        now = clock_of(date(2026, 3, 28))
        plan = plan_of([Task("bake", 240)], calendar=night, now=now)
        place = plan.places["bake"]
        assert place.finish - place.start == 240
        long = plan_of([Task("bake", 241, unbroken=True)], calendar=night, now=now)
        assert long.places["bake"].start > place.start + 6 * 1440

    def test_coating_waits_for_the_warm_season(self) -> None:
        shop = Calendar.from_week({5: [(540, 1080)]}, "UTC", (), date(2026, 1, 1))
        warm = Both(shop, Season((4, 15), (10, 15), "UTC"))
        plan = plan_of(
            [Task("paint", 60)],
            calendar=shop,
            now=clock_of(date(2026, 1, 1)),
            hours={"warm": warm},
            needs={"paint": Need(hours="warm")},
        )
        assert plan.places["paint"].start == clock_of(date(2026, 4, 18), 9)


class TestProblems:
    """What cannot be planned as asked is planned otherwise, and named."""

    @pytest.mark.parametrize(
        ("rule", "task", "more"),
        [
            ("unbroken", Task("a", 150, unbroken=True), {}),
            ("enough", Task("a", 50), {"needs": {"a": Need({"hands": 3})}}),
            (
                "hours",
                Task("a", 50),
                {"needs": {"a": Need(hours="once")}, "hours": {"once": Span(5, 10)}},
            ),
            ("pin", Task("a", 50), {"needs": {"a": Need(pin=500)}}),
        ],
    )
    def test_it_is_named_once(self, rule: str, task: Task, more: dict) -> None:
        plan = plan_of([task], calendar=DAYS, **more)
        assert [(told.task, told.rule) for told in plan.problems] == [("a", rule)]
        assert plan.places["a"].finish > plan.places["a"].start

    def test_what_can_never_be_is_an_error(self) -> None:
        with pytest.raises(Cycle):
            plan_of([Task("a", 1), Task("b", 1)], [Link("a", "b"), Link("b", "a")])
        with pytest.raises(NoShopHours):
            plan_of([Task("a", 1)], calendar=Calendar([]))
        with pytest.raises(BadValue):
            plan_hands(HandsProblem([], [], ALWAYS, 0), seconds=-1)

    def test_no_task_at_all_is_a_plan(self) -> None:
        plan = plan_of([], now=7)
        assert (plan.launch, plan.proven) == (7, True)


def workshop(count: int = 30) -> HandsProblem:
    rng = Random(3)
    tasks = [Task(number, rng.randint(1, 9)) for number in range(count)]
    links = [
        Link(before, number)
        for number in range(2, count)
        for before in sorted({rng.randrange(max(number - 6, 0), number) for _ in range(2)})
    ]
    needs = {number: Need({"hands": rng.randint(1, 3)}) for number in range(count)}
    return HandsProblem(tasks, links, ALWAYS, 0, needs, {"hands": Capacity(4)})


class TestSearch:
    @pytest.mark.parametrize("schedules", [300, 3000])
    def test_seed_and_number_of_plans_fix_the_outcome(self, schedules: int) -> None:
        one, two = (plan_hands(workshop(), schedules=schedules, seed=9) for _ in range(2))
        assert one == two
        assert one.schedules <= schedules + 1

    def test_more_plans_are_never_worse(self) -> None:
        launches = [plan_hands(workshop(), schedules=n).launch for n in (0, 300, 4000)]
        assert launches == sorted(launches, reverse=True)
        assert plan_hands(workshop(), schedules=4000).bound <= launches[-1]

    def test_time_is_kept_to(self) -> None:
        ticks = iter(range(10_000))
        plan = plan_hands(workshop(), seconds=20, clock=lambda: float(next(ticks)))
        assert next(ticks) < 60 or plan.proven


class TestStability:
    def test_earlier_order_stays_where_nothing_is_won(self) -> None:
        problem = workshop()
        first = plan_hands(problem, schedules=300, seed=1)
        starts = {task: place.start for task, place in first.places.items()}
        again = plan_hands(problem, schedules=300, seed=2, previous=starts, calm=1000)
        assert again.order == first.order
        assert again.places == first.places

    def test_new_task_leaves_the_others_in_their_order(self) -> None:
        tasks = [Task(name, 10) for name in "cabd"]
        first = plan_of(tasks)
        starts = {task: place.start for task, place in first.places.items()}
        problem = HandsProblem([Task("new", 5), *tasks], [], ALWAYS, 0)
        plan = plan_hands(problem, schedules=100, previous=starts)
        assert [task for task in plan.order if task != "new"] == list(first.order)

    def test_order_is_given_up_for_a_gain_that_is_worth_it(self) -> None:
        tasks = [Task("sand", 60), Task("glue", 10, cure=100)]
        problem = HandsProblem(tasks, [], ALWAYS, 0)
        sand_first = {"sand": 0, "glue": 60}
        assert plan_hands(problem, schedules=200, previous=sand_first, calm=61).launch == 170
        assert plan_hands(problem, schedules=200, previous=sand_first, calm=5).launch == 110
