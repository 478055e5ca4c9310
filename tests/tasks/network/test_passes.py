from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from tasks.network import Calendar, Link, Task, graph, schedule
from tasks.network.values import TaskDates
from tests.tasks.network.examples import NOW, networks, rhythms


@pytest.fixture
def by_levels(monkeypatch) -> None:
    """However small and deep a network is, walk it a level at a time."""
    monkeypatch.setattr(graph, "_MANY", 0)
    monkeypatch.setattr(graph, "_WIDE", 0)


@pytest.mark.usefixtures("by_levels")
class TestWalks:
    @settings(
        max_examples=150,
        deadline=None,
        suppress_health_check=[HealthCheck.function_scoped_fixture],
    )
    @given(networks(most=15), rhythms)
    def test_walking_by_levels_gives_what_single_steps_give(self, network, rhythm) -> None:
        tasks, links = network
        by_level = schedule(tasks, links, rhythm.calendar, NOW)
        graph._MANY = 10**9
        try:
            by_step = schedule(tasks, links, rhythm.calendar, NOW)
        finally:
            graph._MANY = 0
        assert by_level.launch == by_step.launch
        for name in TaskDates.__dataclass_fields__:
            if name != "critical":
                assert np.array_equal(by_level.dates.column(name), by_step.dates.column(name)), name

    def test_shop_hours_grow_as_far_as_the_work_goes(self) -> None:
        one_hour_a_week = Calendar.from_week({0: [(0, 60)]}, "UTC")
        tasks = [Task(number, 60 * 52) for number in range(30)]
        links = [Link(number, number + 1) for number in range(29)]
        new_year_2000 = 946684800 // 60
        launch = schedule(tasks, links, one_hour_a_week, new_year_2000).launch
        years = (launch - new_year_2000) / 1440 / 365.25
        assert 29 < years < 31
