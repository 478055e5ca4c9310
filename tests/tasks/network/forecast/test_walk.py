"""Every run, laid out as a plan, against the checker of plans; and runs without any spread."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import HealthCheck, assume, given, settings

from tasks.network import NetworkError, schedule
from tasks.network.forecast import forecast, hands_flow
from tasks.network.forecast.own_hours import Tables
from tasks.network.forecast.samples import Samples
from tasks.network.forecast.steps import steps_of
from tasks.network.forecast.walk import Walk
from tasks.network.hands import HandsPlan, HandsProblem, Place, check_plan, plan_hands
from tests.tasks.network.forecast.examples import NOW, problems

PLENTY = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
RUNS = 4


def planned(problem: HandsProblem) -> HandsPlan:
    try:
        return plan_hands(problem)
    except NetworkError:
        assume(False)
        raise


def laid_out(problem, plan, estimates) -> list[tuple[HandsProblem, HandsPlan]]:
    """Each run as a problem with the minutes that were drawn, and its plan."""
    unfinished = {task.id for task in problem.tasks if task.finished is None}
    worked = {id: each for id, each in estimates.items() if id in unfinished and each.high > 0}
    most = {id: estimates[id].high for id in unfinished}
    steps = steps_of(problem, plan, hands_flow(problem, plan), most)
    samples = Samples(worked, {}, RUNS, 0, None, 1.0)
    rows = {id: row for row, id in enumerate(worked)}
    work = {id: samples.work(row, one_go=False).tolist() for id, row in rows.items()}
    walk = Walk(
        steps,
        Tables(problem, 4_000_000),
        lambda place: samples.work(rows[steps[place].id], one_go=False),
        lambda place: None,
        RUNS,
    )
    runs = []
    for run in range(RUNS):
        places = {
            task.id: plan.places[task.id] for task in problem.tasks if task.finished is not None
        }
        tasks = [
            replace(task, minutes=work[task.id][run], left=None) if task.id in work else task
            for task in problem.tasks
        ]
        by_id = {task.id: task for task in tasks}
        for place, step in enumerate(steps):
            task = by_id[step.id]
            finish = NOW + int(walk._event(place, False)[run])
            resume = NOW + int(walk._event(place, True)[run])
            start = resume if task.started is None else task.started
            places[step.id] = Place(start, finish, finish + task.cure, resume)
        launch = max(place.cured for place in places.values())
        order = tuple(step.id for step in steps)
        runs.append(
            (replace(problem, tasks=tasks), HandsPlan(NOW, launch, places, order, 0, False, 0))
        )
    return runs


class TestRuns:
    @PLENTY
    @given(problems())
    def test_every_run_keeps_every_rule(self, given_) -> None:
        problem, estimates = given_
        plan = planned(problem)
        # What could not be planned as asked is not in the rules of the checker.
        assume(not plan.problems)
        flow = hands_flow(problem, plan)
        for run, laid in laid_out(problem, plan, estimates):
            broken = check_plan(run, laid)
            # A pinned task slips if what it waits for is late; work that interleaves may
            # collide, and so may what a lead in a link has put in another order than the plan.
            rules = {each.rule for each in broken} - {"pin"}
            turned = any(
                laid.order.index(wait.before) > laid.order.index(wait.after) for wait in flow.waits
            )
            if flow.interleaved or flow.loose or turned:
                rules.discard("enough")
            assert not rules, (broken, run, laid)


class TestWithoutSpread:
    @PLENTY
    @given(problems())
    def test_forecast_is_the_plan(self, given_) -> None:
        """Save where the planner could not plan as asked, or work interleaves."""
        problem, _ = given_
        plan = planned(problem)
        told = forecast(problem, plan, {}, runs=2)
        flow = hands_flow(problem, plan)
        assume(not plan.problems)
        if flow.interleaved or flow.loose:
            assert told.p90 <= plan.launch
        else:
            assert told.p10 == told.p90 == plan.launch

    @PLENTY
    @given(problems(capacity=99))
    def test_without_limits_it_is_the_critical_path(self, given_) -> None:
        """Pins and the fixed order are limits too, and left out here."""
        problem, _ = given_
        free = replace(
            problem,
            in_order=(),
            needs={id: replace(need, pin=None) for id, need in problem.needs.items()},
        )
        told = forecast(free, planned(free), {}, runs=2)
        plan = schedule(free.tasks, free.links, free.calendar, NOW)
        assert told.p50 == plan.launch
        for task, dates in plan.dates.items():
            if task in told.tasks:
                assert told.tasks[task].finish_p50 == dates.early_finish
