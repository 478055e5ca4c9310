from __future__ import annotations

from datetime import date

from tasks.network import Calendar, Link, Task
from tasks.network.forecast import Wait, forecast, hands_flow
from tasks.network.forecast.monte_carlo import Estimate
from tasks.network.hands import Booking, Capacity, HandsPlan, HandsProblem, Need, Place, plan_hands

MONDAY = date(2026, 1, 5)
NOW = 1440 * (MONDAY.toordinal() - date(1970, 1, 1).toordinal())
ALWAYS = Calendar.always()


def plan_of(places: dict, now: int = 0) -> HandsPlan:
    laid = {id: Place(start, finish, finish, start) for id, (start, finish) in places.items()}
    launch = max(finish for _, finish in places.values())
    return HandsPlan(now, launch, laid, tuple(places), 0, False, 1)


class TestOfOneOfAThing:
    def test_each_waits_for_the_one_before(self) -> None:
        problem = HandsProblem([Task("a", 5), Task("b", 5), Task("c", 5)], [], ALWAYS, 0)
        flow = hands_flow(problem, plan_of({"a": (5, 10), "b": (0, 5), "c": (10, 15)}))
        assert flow.waits == [Wait("b", "a", "hands"), Wait("a", "c", "hands")]

    def test_points_and_finished_tasks_hold_nothing(self) -> None:
        tasks = [Task("done", 5, finished=0), Task("point", 0), Task("a", 5)]
        flow = hands_flow(
            HandsProblem(tasks, [], ALWAYS, 0),
            plan_of({"done": (-5, 0), "point": (0, 0), "a": (0, 5)}),
        )
        assert not flow.waits

    def test_a_lead_that_turns_the_order_round_is_no_circle(self) -> None:
        """By its link `b` may begin before `a` does, and in the plan it is done by then."""
        problem = HandsProblem([Task("a", 50), Task("b", 30)], [Link("a", "b", lag=-90)], ALWAYS, 0)
        plan = plan_of({"b": (0, 30), "a": (30, 80)})
        assert hands_flow(problem, plan).waits == [Wait("b", "a", "hands")]
        assert forecast(problem, plan, {}, runs=2).p50 == 50


class TestOfSeveral:
    def test_nobody_waits_where_there_is_enough_for_all(self) -> None:
        problem = HandsProblem(
            [Task(n, 5) for n in range(3)], [], ALWAYS, 0, {}, {"hands": Capacity(3)}
        )
        assert not hands_flow(problem, plan_hands(problem)).waits

    def test_what_the_task_before_had_is_taken_first(self) -> None:
        tasks = [Task("a", 5), Task("x", 5), Task("b", 5), Task("y", 5)]
        problem = HandsProblem(
            tasks, [Link("x", "b"), Link("a", "y")], ALWAYS, 0, {}, {"hands": Capacity(2)}
        )
        flow = hands_flow(problem, plan_of({"a": (0, 5), "x": (0, 5), "b": (5, 10), "y": (5, 10)}))
        assert set(flow.waits) == {Wait("x", "b", "hands"), Wait("a", "y", "hands")}

    def test_who_needs_many_waits_for_all_that_have_them(self) -> None:
        tasks = [Task("a", 5), Task("b", 9), Task("turn", 5)]
        problem = HandsProblem(
            tasks, [], ALWAYS, 0, {"turn": Need({"hands": 2})}, {"hands": Capacity(2)}
        )
        flow = hands_flow(problem, plan_of({"a": (0, 5), "b": (0, 9), "turn": (9, 14)}))
        assert set(flow.waits) == {Wait("a", "turn", "hands"), Wait("b", "turn", "hands")}

    def test_many_of_a_thing_are_followed_quickly(self) -> None:
        problem = HandsProblem(
            [Task(n, 10) for n in range(300)],
            [],
            ALWAYS,
            0,
            {n: Need({"clamps": 30 + n % 7}) for n in range(300)},
            {"clamps": Capacity(100)},
        )
        plan = plan_hands(problem)
        assert forecast(problem, plan, {}, runs=2).p50 <= plan.launch
        assert not hands_flow(problem, plan).loose


class TestOfHelp:
    """One pair of hands all the time, and a second from 09:00 to 12:00 on Saturdays."""

    calendar = Calendar.from_week({0: [(540, 720)], 5: [(540, 720)]}, "UTC", (), MONDAY)
    helper = Capacity(1, (Booking(1, Calendar.from_week({5: [(540, 720)]}, "UTC", (), MONDAY)),))
    saturday, monday = NOW + 5 * 1440 + 540, NOW + 7 * 1440 + 540

    def problem(self, *tasks: Task, now: int = NOW, **needs: Need) -> HandsProblem:
        return HandsProblem(tasks, [], self.calendar, now, needs, {"hands": self.helper})

    def test_the_helpers_work_keeps_to_the_helpers_hours(self) -> None:
        problem = self.problem(Task("a", 300), Task("b", 120))
        places = {
            "a": (NOW + 540, self.saturday + 120),
            "b": (self.saturday, self.saturday + 120),
        }
        plan = plan_of(places, NOW)
        flow = hands_flow(problem, plan)
        assert not flow.waits
        assert flow.levels == {"a": {"hands": 1}, "b": {"hands": 2}}
        told = forecast(problem, plan, {"b": Estimate(200, 200, 200)}, runs=2)
        # Not on the Monday between, on which the builder may be at something else.
        assert told.tasks["b"].finish_p50 == self.saturday + 7 * 1440 + 20

    def test_work_handed_over_waits_by_its_finish(self) -> None:
        """`b` begins beside `a` with the helper and goes on alone, when `a` is done."""
        problem = self.problem(Task("a", 180 + 180), Task("b", 180 + 60))
        places = {
            "a": (NOW + 540, self.saturday + 180),
            "b": (self.saturday, self.monday + 60),
        }
        plan = plan_of(places, NOW)
        flow = hands_flow(problem, plan)
        assert flow.waits == [Wait("a", "b", "hands", share=0.25)]
        assert forecast(problem, plan, {}, runs=2).p50 == plan.launch
        late = forecast(problem, plan, {"a": Estimate(480, 480, 480)}, runs=2)
        assert late.p50 == self.monday + 120 + 60

    def test_turns_are_no_wait(self) -> None:
        evenings = Calendar.from_week({0: [(1080, 1200)]}, "UTC", (), MONDAY)
        problem = HandsProblem(
            [Task("a", 360), Task("b", 200)],
            [],
            self.calendar,
            NOW,
            {"b": Need(hours="evenings")},
            hours={"evenings": evenings},
        )
        plan = plan_hands(problem)
        flow = hands_flow(problem, plan)
        assert not flow.waits and flow.interleaved == [("a", "b")]
        assert forecast(problem, plan, {}, runs=2).p50 == plan.launch
