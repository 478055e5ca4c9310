from __future__ import annotations

import pytest

from tasks.network import Calendar, Link, Task, schedule


class TestDates:
    def test_rows_come_in_the_order_given_whatever_the_links(self) -> None:
        tasks = [Task("c", 1), Task("a", 1), Task("b", 1)]
        plan = schedule(tasks, [Link("a", "c"), Link("b", "a")], Calendar.always(), 0)
        assert list(plan.dates) == ["c", "a", "b"]
        assert len(plan.dates) == 3

    def test_rows_and_columns_say_the_same_in_plain_numbers(self) -> None:
        plan = schedule([Task(1, 5), Task(2, 7)], [Link(1, 2)], Calendar.always(), 0)
        row = plan.dates[2]
        assert (type(row.early_start), type(row.critical)) == (int, bool)
        assert plan.dates.column("early_start").tolist() == [0, 5]
        assert row.driving == Link(1, 2)

    def test_unknown_task_has_no_row(self) -> None:
        with pytest.raises(KeyError):
            schedule([], [], Calendar.always(), 0).dates["x"]

    def test_plans_of_the_same_network_are_equal(self) -> None:
        def plan():
            return schedule([Task(1, 5), Task(2, 7)], [Link(1, 2)], Calendar.always(), 0)

        assert plan() == plan()
