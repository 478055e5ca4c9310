"""Every plan keeps every rule, on random problems and as the separate checker sees it."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from tasks.network import Calendar, LagIn, LinkKind, schedule
from tasks.network.hands import Capacity, HandsProblem, check_plan, plan_hands
from tasks.network.hands.ground import compile_ground, horizon
from tasks.network.hands.line import Line
from tasks.network.hands.orders import drawn
from tasks.network.hands.together import Together, plain
from tasks.network.table import NEVER
from tests.tasks.network.examples import NOW, Rhythm, networks, rhythms
from tests.tasks.network.hands.examples import problems

SLOW = settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])


class TestRules:
    @SLOW
    @given(problems(), st.integers(0, 40))
    def test_only_what_is_named_breaks_a_rule(self, problem: HandsProblem, more: int) -> None:
        plan = plan_hands(problem, schedules=more, seed=3)
        named = {told.task for told in plan.problems}
        event(f"problems: {min(len(named), 3)}")
        for violation in check_plan(problem, plan):
            assert violation.rule in ("enough", "hours", "minutes", "unbroken", "pin")
            assert named.intersection(violation.tasks), violation

    @settings(SLOW, max_examples=100)
    @given(problems(), st.data(), st.integers(0, 12), st.booleans())
    def test_pins_are_kept_or_told(
        self, problem: HandsProblem, data: st.DataObject, more: int, again: bool
    ) -> None:
        """Points without work and started tasks among them; none lies before its pin."""
        needs = dict(problem.needs)
        for task in data.draw(st.sets(st.sampled_from([task.id for task in problem.tasks]))):
            pin = problem.now + data.draw(st.sampled_from([-500, 0, 100, 1320, 1321, 1700, 30_000]))
            needs[task] = replace(problem.need_of(task), pin=pin)
        problem = replace(problem, needs=needs)
        plan = plan_hands(problem, schedules=more, seed=3)
        if again:
            starts = {task: place.start for task, place in plan.places.items()}
            plan = plan_hands(problem, schedules=more, seed=4, previous=starts)
        told = {one.task for one in plan.problems if one.rule == "pin"}
        missed = {one.tasks[0] for one in check_plan(problem, plan) if one.rule == "pin"}
        event(f"pins {'missed' if missed else 'kept'}")
        assert told == missed
        for task in problem.tasks:
            pin = problem.need_of(task.id).pin
            if pin is not None and (task.started, task.finished) == (None, None):
                assert plan.places[task.id].start >= pin

    @SLOW
    @given(problems())
    def test_same_seed_gives_the_same_plan(self, problem: HandsProblem) -> None:
        assert plan_hands(problem, schedules=30, seed=5) == plan_hands(
            problem, schedules=30, seed=5
        )

    @SLOW
    @given(problems())
    def test_no_plan_launches_before_its_bound(self, problem: HandsProblem) -> None:
        plan = plan_hands(problem, schedules=60)
        if not plan.problems:
            assert plan.bound <= plan.launch

    @SLOW
    @given(networks(), rhythms)
    def test_with_hands_enough_it_is_the_critical_path_method(
        self, network: tuple, rhythm: Rhythm
    ) -> None:
        tasks, links = network
        free = schedule(tasks, links, rhythm.calendar, NOW)
        if free.problems:
            return
        many = {"hands": Capacity(len(tasks))}
        plan = plan_hands(
            HandsProblem(tasks, links, rhythm.calendar, NOW, capacities=many), schedules=0
        )
        early = {
            task: (dates.early_start, dates.early_finish) for task, dates in free.dates.items()
        }
        assert {task: (at.start, at.finish) for task, at in plan.places.items()} == early
        assert plan.launch == free.launch

    @SLOW
    @given(networks(plain=True), st.integers(1, 2), st.randoms(use_true_random=False))
    def test_orders_laid_out_together_give_what_the_line_does(
        self, network: tuple, hands: int, random: Random
    ) -> None:
        tasks, links = network
        rules = [replace(link, kind=LinkKind.FS, lag=abs(link.lag)) for link in links]
        rules = [link if not link.lag else replace(link, lag_in=LagIn.ELAPSED) for link in rules]
        limits = {"hands": Capacity(hands)}
        problem = HandsProblem(tasks, rules, Calendar.always(), NOW, capacities=limits)
        ground = compile_ground(problem, horizon(problem))
        if ground.count < 2:
            return
        assert plain(ground)
        orders = [drawn([0.0] * ground.count, ground, random) for _ in range(3)]
        long = sum(row.work for row in ground.forward.rows) + 1000
        for side, sign, ways in (
            (ground.forward, 1, orders),
            (ground.backward, -1, [order[::-1] for order in orders]),
        ):
            laid = Together(ground, side, long).lay(np.array(ways, np.int16))
            line = Line(side)
            for way, finishes in zip(ways, laid.tolist(), strict=True):
                expected = line.lay(way, -NEVER if sign > 0 else -NOW).finishes
                assert [sign * NOW + finish for finish in finishes] == expected
