from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tasks.network import (
    Calendar,
    Cycle,
    DuplicateTask,
    LagIn,
    Link,
    LinkKind,
    NoShopHours,
    Task,
    UnknownTask,
    schedule,
)
from tests.tasks.network.examples import NOW, networks, rhythms
from tests.tasks.network.plain_reference import (
    HORIZON,
    PlainHours,
    early_places,
    late_places,
    latest_place,
)

TWO_DAYS = Calendar([(0, 100), (500, 600), (1000, 1100), (1500, 1600)])


class TestAgainstPlainReference:
    @settings(max_examples=150, deadline=None)
    @given(networks(), rhythms)
    def test_every_date_is_what_trying_every_minute_finds(self, network, rhythm) -> None:
        tasks, links = network
        hours = PlainHours(rhythm.stretches(HORIZON))
        plan = schedule(tasks, links, rhythm.calendar, NOW)
        early = early_places(tasks, links, hours, NOW)
        launch = max(early[task.id][1] + task.cure for task in tasks)
        late = late_places(tasks, links, launch, hours, NOW)
        assert plan.launch == launch
        for task in tasks:
            dates = plan.dates[task.id]
            is_waiting = task.started is None and task.finished is None
            if is_waiting:
                assert (dates.early_start, dates.early_finish) == early[task.id]
                assert (dates.late_start, dates.late_finish) == late[task.id]
            else:
                assert dates.early_start == dates.late_start
                assert dates.early_finish == early[task.id][1]
                assert dates.late_finish == late[task.id][1]
            assert dates.cured == dates.early_finish + task.cure
            assert dates.total_float == hours.shop(late[task.id][0]) - hours.shop(early[task.id][0])
            if task.finished is None:
                by_id = {task.id: task for task in tasks}
                free = latest_place(task, links, by_id, early, launch, hours, NOW)
                assert dates.free_float == hours.shop(free[0]) - hours.shop(early[task.id][0])

    @settings(max_examples=150, deadline=None)
    @given(networks(most=12), rhythms)
    def test_floats_are_ordered_and_the_path_ends_at_the_launch(self, network, rhythm) -> None:
        tasks, links = network
        plan = schedule(tasks, links, rhythm.calendar, NOW)
        for dates in plan.dates.values():
            assert 0 <= dates.free_float <= dates.total_float
            assert dates.early_start <= dates.late_start
            assert dates.early_finish <= dates.late_finish
        assert plan.dates[plan.critical_path[-1]].cured == plan.launch
        for before, after in zip(plan.critical_path, plan.critical_path[1:], strict=False):
            driving = plan.dates[after].driving
            assert driving is not None and driving.before == before
        assert plan.dates[plan.critical_path[0]].driving is None

    @settings(max_examples=150, deadline=None)
    @given(networks(most=12), rhythms, st.data())
    def test_loosening_the_driving_link_only_ever_brings_a_task_forward(
        self, network, rhythm, data
    ) -> None:
        tasks, links = network
        plan = schedule(tasks, links, rhythm.calendar, NOW)
        driven = [id for id, dates in plan.dates.items() if dates.driving is not None]
        if not driven:
            return
        after = data.draw(st.sampled_from(driven))
        left = [link for link in links if link is not plan.dates[after].driving]
        assert (
            schedule(tasks, left, rhythm.calendar, NOW).dates[after].early_finish
            <= plan.dates[after].early_finish
        )


class TestCriticalPath:
    @settings(max_examples=200, deadline=None)
    @given(networks(plain=True, most=15), rhythms)
    def test_chain_has_no_float_with_one_calendar_and_no_elapsed_time(
        self, network, rhythm
    ) -> None:
        """With one calendar and no limits the critical chain is the chain of zero total float."""
        tasks, links = network
        plan = schedule(tasks, links, rhythm.calendar, NOW)
        assert all(plan.dates[id].total_float == 0 for id in plan.critical_path)
        assert {id for id, dates in plan.dates.items() if dates.critical} == {
            id for id, dates in plan.dates.items() if dates.total_float == 0
        }

    def test_empty_network_is_launched_now(self) -> None:
        plan = schedule([], [], TWO_DAYS, 7)
        assert (plan.launch, plan.critical_path, dict(plan.dates)) == (7, (), {})

    def test_driving_tie_goes_to_the_link_given_first(self) -> None:
        tasks = [Task("a", 10), Task("b", 10), Task("c", 1)]
        links = [Link("b", "c"), Link("a", "c")]
        plan = schedule(tasks, links, TWO_DAYS, 0)
        assert plan.critical_path == ("b", "c")
        assert plan.dates["a"].critical

    def test_path_reaches_back_through_a_finished_task_that_still_cures(self) -> None:
        tasks = [Task("glue", 60, cure=1000, started=0, finished=60), Task("fair", 30)]
        plan = schedule(tasks, [Link("glue", "fair")], TWO_DAYS, 70)
        assert plan.critical_path == ("glue", "fair")
        assert plan.dates["fair"].early_start == 1060

    def test_path_stops_where_today_fixes_the_start(self) -> None:
        tasks = [Task("cut", 60, started=0, finished=60), Task("fit", 30)]
        plan = schedule(tasks, [Link("cut", "fit")], TWO_DAYS, 60)
        assert plan.critical_path == ("fit",)


class TestShopHours:
    def test_finish_is_shown_at_the_end_and_the_next_start_at_the_beginning(self) -> None:
        plan = schedule([Task(1, 100), Task(2, 50)], [Link(1, 2)], TWO_DAYS, 0)
        assert plan.dates[1].early_finish == 100
        assert plan.dates[2].early_start == 500

    def test_work_pauses_overnight(self) -> None:
        assert schedule([Task(1, 150)], [], TWO_DAYS, 0).dates[1].early_finish == 550

    def test_cure_passes_at_night_and_the_start_waits_for_the_shop(self) -> None:
        plan = schedule([Task(1, 90, cure=200), Task(2, 5)], [Link(1, 2)], TWO_DAYS, 0)
        assert plan.dates[1].cured == 290
        assert plan.dates[2].early_start == 500
        # The glue may be late by the ten minutes left of the day: it still cures overnight.
        assert plan.dates[1].total_float == 10

    def test_link_may_ignore_the_cure(self) -> None:
        link = Link(1, 2, waits_for_cure=False)
        plan = schedule([Task(1, 50, cure=9000), Task(2, 5)], [link], TWO_DAYS, 0)
        assert plan.dates[2].early_start == 50

    def test_working_lag_counts_shop_minutes_and_elapsed_lag_all(self) -> None:
        tasks = [Task(1, 80), Task(2, 5), Task(3, 5)]
        links = [Link(1, 2, lag=30), Link(1, 3, lag=30, lag_in=LagIn.ELAPSED)]
        plan = schedule(tasks, links, TWO_DAYS, 0)
        assert plan.dates[2].early_start == 510
        assert plan.dates[3].early_start == 500

    def test_unbroken_task_waits_for_a_stretch_that_is_long_enough(self) -> None:
        tasks = [Task(1, 40), Task(2, 70, unbroken=True)]
        plan = schedule(tasks, [Link(1, 2)], TWO_DAYS, 0)
        assert (plan.dates[2].early_start, plan.dates[2].early_finish) == (500, 570)
        assert plan.dates[1].total_float == 60

    def test_unbroken_task_too_long_for_any_stretch_is_planned_in_pieces_and_told(self) -> None:
        plan = schedule([Task("keel", 130, unbroken=True)], [], TWO_DAYS, 0)
        assert plan.dates["keel"].early_finish == 530
        assert plan.dates["keel"].in_pieces
        (problem,) = plan.problems
        assert (problem.task, problem.rule) == ("keel", "unbroken")
        assert "130 minutes" in problem.text and "100" in problem.text

    def test_point_after_a_cure_lies_at_night(self) -> None:
        tasks = [Task("glue", 90, cure=200), Task("launch", 0)]
        plan = schedule(tasks, [Link("glue", "launch")], TWO_DAYS, 0)
        assert plan.launch == plan.dates["launch"].early_start == 290

    def test_work_without_any_shop_hours_is_refused(self) -> None:
        with pytest.raises(NoShopHours, match="no shop hours"):
            schedule([Task(1, 5)], [], Calendar.from_week({}, "UTC"), 0)

    def test_points_need_no_shop_hours(self) -> None:
        plan = schedule([Task(1, 0), Task(2, 0)], [Link(1, 2)], Calendar.from_week({}, "UTC"), 5)
        assert plan.launch == 5


class TestFromToday:
    def test_finished_keeps_its_dates_and_has_no_float(self) -> None:
        tasks = [Task(1, 10, started=3, finished=9), Task(2, 10)]
        dates = schedule(tasks, [Link(1, 2)], TWO_DAYS, 50).dates[1]
        assert (dates.early_start, dates.early_finish) == (3, 9)
        assert (dates.late_start, dates.late_finish) == (3, 9)
        assert (dates.total_float, dates.free_float, dates.critical) == (0, 0, False)

    def test_started_keeps_its_start_and_goes_on_from_now_with_what_is_left(self) -> None:
        dates = schedule([Task(1, 80, started=5, left=20)], [], TWO_DAYS, 90).dates[1]
        assert (dates.early_start, dates.early_finish) == (5, 510)

    def test_started_out_of_order_still_waits_for_what_comes_before(self) -> None:
        tasks = [Task(1, 40), Task(2, 50, started=0, left=10)]
        dates = schedule(tasks, [Link(1, 2)], TWO_DAYS, 10).dates[2]
        assert (dates.early_start, dates.early_finish) == (0, 60)
        assert dates.driving == Link(1, 2)

    def test_not_started_begins_no_earlier_than_now(self) -> None:
        assert schedule([Task(1, 5)], [], TWO_DAYS, 600).dates[1].early_start == 1000

    def test_not_before_holds_a_start_until_then(self) -> None:
        assert schedule([Task(1, 5, not_before=520)], [], TWO_DAYS, 0).dates[1].early_start == 520


class TestLinkKinds:
    @pytest.mark.parametrize(
        ("kind", "lag", "start"),
        [
            (LinkKind.FS, 10, 50),
            (LinkKind.SS, 10, 10),
            (LinkKind.FF, 10, 30),
            (LinkKind.SF, 60, 40),
            (LinkKind.FS, -15, 25),
        ],
    )
    def test_kind_holds_the_end_it_names(self, kind, lag, start) -> None:
        plan = schedule([Task(1, 40), Task(2, 20)], [Link(1, 2, kind, lag)], TWO_DAYS, 0)
        assert plan.dates[2].early_start == start
        assert plan.dates[2].driving is not None


class TestRefusals:
    def test_cycle_is_named_from_its_first_task_round(self) -> None:
        tasks = [Task(id, 1) for id in "abcd"]
        links = [Link("c", "b"), Link("b", "d"), Link("d", "c"), Link("a", "b")]
        with pytest.raises(Cycle, match="b -> d -> c -> b") as refused:
            schedule(tasks, links, TWO_DAYS, 0)
        assert refused.value.path == ["b", "d", "c", "b"]

    def test_cycle_through_finished_tasks_is_still_a_cycle(self) -> None:
        tasks = [Task(1, 1, finished=0), Task(2, 1, finished=0)]
        with pytest.raises(Cycle):
            schedule(tasks, [Link(1, 2), Link(2, 1)], TWO_DAYS, 0)

    def test_unknown_task_is_named_with_its_link(self) -> None:
        with pytest.raises(UnknownTask, match="no task 9") as refused:
            schedule([Task(1, 1)], [Link(1, 9)], TWO_DAYS, 0)
        assert refused.value.task == 9

    def test_second_task_of_an_id_is_named(self) -> None:
        with pytest.raises(DuplicateTask, match="id 1"):
            schedule([Task(1, 1), Task(1, 2)], [], TWO_DAYS, 0)
