"""The tidy sample lists in an empty build: bench, critical path and cost worked out by hand.

The shop is open on Saturday and Sunday from 8 to 18, in Paris time, and it is Monday 16 March
2026, noon. Nothing is finished. Logged: T01 8.5 of 8 hours, T02 5 of 6, T03 4.5 of 8.

Dates, as many hands as are wanted (a task's duration is its people-hours over its hands):

- Mon 16: T01 has no hours left but is not said to be finished: it could be now. T03, in hand,
  goes on only after it (its link still holds), so the chain begins with T01.
- Sat 21 March: T02 its last hour 8-9; T03 its last 3.5 hours 8-11.30; T04, in one go, 3 hours
  11.30-14.30, cured 24 hours later on Sunday at 14.30.
- Sun 22: T05 needs T02 and T04: 2.5 hours 14.30-17. T07, 2.5 hours in one go, finds only one
  hour left: it waits for the next day.
- Sat 28: T07 8-10.30; its 24 hours of cure run over the night in which the clocks go forward,
  so it is cured on Sunday at 11.30.
- Sun 29: T10, 2 hours in one go, 11.30-13.30, cured on Monday at 13.30.
- Sat 4 April: T11, 2 hours in one go, 8-10, cured on Sunday at 10.
- Sun 5: T12, 8 hours in one go, 10-18: it just fits. Cured 48 hours later, Tuesday 7 at 18; the
  link waits 72 hours more, till Friday 10 at 18.
- Sat 11: T13, a quarter of an hour with four, 8-8.15; T14, 9 hours, 8.15-17.15, cured on Sunday
  12 at 17.15.
- Sun 12: T15, 16 hours: 17.15-18, then Sat 18 8-18 and Sun 19 8-13.15; cured on Tuesday 21.
- Sat 25: T16, 1.5 hours, 8-9.30. She is launched on Saturday 25 April at 9.30.

What still has to be bought, with nothing finished and nothing used:

- Ply 9 mm: two sheets in stock and 1.86 sheets of gross need, but bottom panel (980) and thwart
  (240) with a saw cut between are wider than a sheet of 1220, and no layout of two sheets holds
  the rest: one sheet more, at 94.50.
- Ply 6 mm: two sides of 430 come out of the one sheet there is: none.
- Fir of 4 m: 6 cleats of 0.9 m take one and a half lengths, each chine log of 2.55 m its own;
  the risers of 1.4 m come out of what is left. Four lengths, three there: one, at 14.20.
- Ash of 3 m: two inwales and two gunwales, longer than half a length each: four, at 16.80.
- Nothing else has parts.

Net 94.50 + 14.20 + 4 × 16.80 = 175.90, all from one supplier, whose papers so far came to 284.60
net, 59.77 tax and 25 freight: 175.90 × (284.60 + 59.77 + 25) / 284.60 = 228.29. A tenth of it is
put by: 22.83. No standing costs. Together 251.12.

Paid in euro: 240.38 + 77.44 + 51.55 + 168.89 = 538.26. The purchase in pounds has no rate yet.
"""

import datetime as dt

import pytest
import time_machine

from buildlog.money.cost import cost_of
from buildlog.units import round_to_minor
from tasks.models import ShopHours
from tasks.plan import State, plan_of
from tests.buildlog.lists.conftest import sample

LISTS = ("materials", "tasks", "links", "parts", "purchases", "log")


@pytest.fixture
def tidy(build, bring):
    ShopHours.objects.all().delete()
    for weekday in (5, 6):
        ShopHours.objects.create(
            build=build, weekday=weekday, start_minute=8 * 60, end_minute=18 * 60
        )
    with time_machine.travel(dt.datetime(2026, 3, 16, 11, tzinfo=dt.UTC), tick=False):
        for name in LISTS:
            bring(name, sample(f"tidy/{name}.csv"))
        yield build


def at(month, day, hour, minute=0):
    return dt.datetime(2026, month, day, hour, minute)


def test_launch_and_critical_path(tidy):
    plan = plan_of(tidy)
    assert plan.problems == []
    assert plan.launch.replace(tzinfo=None) == at(4, 25, 9, 30)
    chain = [plan.tasks[pk].task.code for pk in plan.critical_path]
    assert chain == [
        "T01",
        "T03",
        "T04",
        "T05",
        "T07",
        "T10",
        "T11",
        "T12",
        "T13",
        "T14",
        "T15",
        "T16",
    ]


@pytest.mark.parametrize(
    ("code", "start", "finish", "cured"),
    [
        ("T04", at(3, 21, 11, 30), at(3, 21, 14, 30), at(3, 22, 14, 30)),
        ("T05", at(3, 22, 14, 30), at(3, 22, 17), at(3, 22, 17)),
        ("T07", at(3, 28, 8), at(3, 28, 10, 30), at(3, 29, 11, 30)),  # the clocks go forward
        ("T10", at(3, 29, 11, 30), at(3, 29, 13, 30), at(3, 30, 13, 30)),
        ("T11", at(4, 4, 8), at(4, 4, 10), at(4, 5, 10)),
        ("T12", at(4, 5, 10), at(4, 5, 18), at(4, 7, 18)),
        ("T13", at(4, 11, 8), at(4, 11, 8, 15), at(4, 11, 8, 15)),
        ("T14", at(4, 11, 8, 15), at(4, 11, 17, 15), at(4, 12, 17, 15)),
        ("T15", at(4, 12, 17, 15), at(4, 19, 13, 15), at(4, 21, 13, 15)),
        ("T16", at(4, 25, 8), at(4, 25, 9, 30), at(4, 25, 9, 30)),
    ],
)
def test_dates(tidy, code, start, finish, cured):
    planned = next(one for one in plan_of(tidy).tasks.values() if one.task.code == code)
    found = (planned.early_start, planned.early_finish, planned.cured)
    assert tuple(moment.replace(tzinfo=None) for moment in found) == (start, finish, cured)


def test_bench(tidy):
    plan = plan_of(tidy)
    assert {one.task.code for one in plan.in_state(State.IN_HAND)} == {"T01", "T02", "T03"}
    assert [one.task.code for one in plan.in_state(State.READY)] == ["T06"]


def test_cost_to_finish(tidy):
    cost = cost_of(tidy, plan_of(tidy))
    wanted = {row.material.name: row.to_buy for row in cost.to_buy_rows}
    assert wanted == {
        "Okoume marine ply 9 mm": 1,
        "Douglas-fir 25 x 50": 1,
        "White ash 20 x 40": 4,
    }
    sums = [cost.spent, cost.to_buy, cost.contingency, cost.to_finish]
    assert [str(round_to_minor(amount, "EUR")) for amount in sums] == [
        "538.26",
        "228.29",
        "22.83",
        "251.12",
    ]
    assert [str(paper.purchase.receipt_number) for paper in cost.no_rate] == ["CC-77"]
