from __future__ import annotations

from dataclasses import replace

from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from tasks.network import Calendar, Link, LinkKind, Task
from tasks.network.hands import Capacity, HandsProblem, Need, Place, check_plan, plan_hands
from tasks.network.hands.room import room_of
from tests.tasks.network.hands.examples import problems

SLOW = settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def rooms(tasks, links=(), hands=1, **more):
    problem = HandsProblem(
        tasks, links, Calendar.always(), 0, capacities={"hands": Capacity(hands)}, **more
    )
    plan = plan_hands(problem)
    return plan, room_of(problem, plan)


def test_one_pair_of_hands_leaves_no_room():
    plan, found = rooms([Task("a", 5), Task("b", 7)])
    assert plan.launch == 12
    assert [room.spare for room in found.values()] == [0, 0]


def test_what_two_pairs_of_hands_can_do_meanwhile_may_wait():
    plan, found = rooms([Task("a", 50), Task("b", 7)], hands=2)
    assert plan.launch == 50
    assert (found["b"].late_start, found["b"].late_finish, found["b"].spare) == (43, 50, 43)


def test_a_cure_at_the_end_takes_its_part_of_the_room():
    _, found = rooms([Task("a", 50), Task("b", 7, cure=10)], hands=2)
    assert found["b"].late_finish == 40


def test_who_waits_is_as_late_as_the_hands_of_the_next_allow():
    tasks = [Task("long", 100), Task("first", 10), Task("then", 10)]
    _, found = rooms(tasks, [Link("first", "then")], hands=2)
    assert [found[name].spare for name in ("first", "then")] == [80, 80]


def test_what_is_pinned_stays_where_it_is():
    tasks = [Task("long", 100), Task("pinned", 10), Task("before", 10)]
    _, found = rooms(
        tasks, [Link("before", "pinned")], hands=2, needs={"pinned": Need(pin=30)}
    )  # fmt: skip
    assert found["pinned"].spare == 0
    assert found["before"].late_finish == 30


def test_a_point_in_time_is_no_later_than_what_starts_with_it():
    tasks = [Task("told", 0), Task("poured", 0, cure=30), Task("long", 100)]
    _, found = rooms(tasks, [Link("told", "poured", LinkKind.SS)], hands=1)
    assert (found["told"].late_start, found["poured"].late_start) == (70, 70)


def test_pieces_are_the_hours_in_which_it_is_worked_on():
    week = Calendar([(0, 10), (20, 30), (40, 90)])
    problem = HandsProblem([Task("a", 25)], [], week, 0)
    found = room_of(problem, plan_hands(problem))
    assert found["a"].pieces == ((0, 10), (20, 30), (40, 45))


@SLOW
@given(problems(), st.integers(0, 20))
def test_done_as_late_as_they_may_the_tasks_still_launch_in_time(problem, more):
    """The plan of all that is latest keeps the rules, as the separate checker sees it."""
    plan = plan_hands(problem, schedules=more, seed=1)
    found = room_of(problem, plan)
    named = {told.task for told in plan.problems}
    started = {task.id for task in problem.tasks if task.started is not None}
    places = dict(plan.places)
    for task in problem.tasks:
        if task.id not in found:
            continue
        room, place = found[task.id], plan.places[task.id]
        assert room.late_finish >= place.finish
        assert sum(end - start for start, end in room.pieces) == task.work
        if task.work:
            assert (room.pieces[0][0], room.pieces[-1][1]) == (place.resume, place.finish)
        start = place.start if task.id in started else room.late_start
        places[task.id] = Place(
            start, room.late_finish, room.late_finish + task.cure, room.late_start
        )
    late = replace(plan, places=places)
    assert max(place.cured for place in places.values()) <= plan.launch
    if named:
        event("with problems")
        return
    event("without")
    assert check_plan(problem, late) == []
