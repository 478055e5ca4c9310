"""What would move the launch: which changes are looked at, what each does, and what it costs."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from itertools import pairwise

import pytest

from buildlog.ahead.jobs import hold_changes_against
from buildlog.ahead.moves import (
    MOVES,
    BoughtIn,
    Evening,
    Heating,
    Helper,
    LeftOut,
    from_row,
    to_row,
)
from buildlog.ahead.moves_found import moves_worth_a_look
from buildlog.ahead.moves_kept import (
    base_to_hold_against,
    kept_moves,
    move_at_once,
    reckon_moves,
)
from buildlog.ahead.moves_words import move_words
from buildlog.ahead.slips import reckon_slips
from buildlog.materials.models import Price
from buildlog.money.models import Budget, StandingCost
from tasks.models import AnswerKind, Build, HelpDay, Link, ShopHours, Task, WorkLimit
from tasks.order import kept_order
from tasks.plan import plan_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("weekend")]
#: A Monday, eight in the morning.
NOW = dt.datetime(2026, 3, 2, 8, tzinfo=dt.UTC)


@pytest.fixture
def chain(build, make_task, cabin) -> list[Task]:
    """Nine weeks of work in three tasks: 57 hours each, the second of the cabin."""
    tasks = [
        make_task("1", hours=57),
        make_task("2", hours=57, stage=cabin),
        make_task("3", hours=57),
    ]
    for before, after in pairwise(tasks):
        Link.objects.create(build=build, before=before, after=after)
    return tasks


def plan(build):
    build.refresh_from_db()
    return plan_of(build, NOW)


def looked_at(build) -> list:
    found = plan(build)
    base = base_to_hold_against(found)
    return moves_worth_a_look(found, base)


def test_every_change_comes_back_from_its_row():
    for move in (
        Evening(2, 1080, 1260),
        Helper(2, None, dt.date(2027, 1, 2), None, 600, 960, "Kin"),
        Heating(dt.date(2027, 2, 1), dt.date(2027, 2, 28), Decimal("120.50")),
        BoughtIn((3, 4), None, Decimal(900), True),
        LeftOut(7),
    ):
        assert from_row(to_row(move)) == move
    assert set(MOVES) == {"evening", "helper", "heating", "bought-in", "left-out"}


def test_the_usual_evening_is_tried_on_each_workday_without_one(build, chain):
    evenings = [one for one in looked_at(build) if isinstance(one, Evening)]
    assert evenings == [Evening(day, 18 * 60, 21 * 60) for day in (0, 2, 3, 4)]


def test_where_every_workday_has_an_evening_the_weekend_is_tried(build, chain):
    for day in (0, 2, 3, 4):
        ShopHours.objects.create(build=build, weekday=day, start_minute=1080, end_minute=1260)
    assert [one for one in looked_at(build) if isinstance(one, Evening)] == [
        Evening(5, 1080, 1260),
        Evening(6, 1080, 1260),
    ]


def test_a_helper_comes_on_saturday_or_on_the_longest_day(build, chain):
    assert Helper(1, 5) in looked_at(build)
    ShopHours.objects.filter(build=build, weekday=5).delete()
    build.touch_plan()
    assert Helper(1, 6) in looked_at(build)


def test_months_are_heated_in_which_work_waits_for_warmth(build, chain):
    assert not [one for one in looked_at(build) if isinstance(one, Heating)]
    warm = WorkLimit.objects.create(
        build=build, name="warm", first_month=6, first_day=1, last_month=9, last_day=30
    )
    Task.objects.filter(pk=chain[0].pk).update(limit=warm)
    build.touch_plan()
    months = [one for one in looked_at(build) if isinstance(one, Heating)]
    # It could begin at once and waits till June; the first month begins today.
    assert [(one.first, one.last) for one in months] == [
        (dt.date(2026, 3, 2), dt.date(2026, 3, 31)),
        (dt.date(2026, 4, 1), dt.date(2026, 4, 30)),
        (dt.date(2026, 5, 1), dt.date(2026, 5, 31)),
    ]


def test_begun_work_is_not_bought_in_and_its_stage_not_left_out(build, chain, cabin):
    found = looked_at(build)
    assert {one.tasks for one in found if isinstance(one, BoughtIn)} == {
        (task.pk,) for task in chain
    }
    assert [one.stage for one in found if isinstance(one, LeftOut)] == [cabin.pk]
    Task.objects.filter(pk=chain[1].pk).update(started_at=NOW)
    build.touch_plan()
    found = looked_at(build)
    assert (chain[1].pk,) not in {one.tasks for one in found if isinstance(one, BoughtIn)}
    assert not [one for one in found if isinstance(one, LeftOut)]


def test_the_launch_with_a_change_by_hand(build, chain):
    """19 hours a week: 171 hours are nine weeks, through on the ninth Sunday at five."""
    now = dt.datetime(2026, 5, 3, 17, tzinfo=dt.UTC)
    # With one evening of three hours more they are through in the eighth week: 7 × 22 = 154, and
    # 17 of 22 hours of the last, of which Sunday has the last eight: 12:00 on Sunday.
    evening = move_at_once(plan(build), Evening(2, 1080, 1260))
    assert (evening.now, evening.then) == (now, dt.datetime(2026, 4, 26, 12, tzinfo=dt.UTC))
    assert evening.days == 7
    # Without the cabin three weeks less.
    out = move_at_once(plan(build), LeftOut(chain[1].stage_id))
    assert out.then == dt.datetime(2026, 4, 12, 17, tzinfo=dt.UTC)
    # Bought in and done in ten days: from Sunday 22 March to Wednesday 1 April, and then three
    # weeks of 19 hours, which on a Wednesday have their Tuesday in the end.
    bought = move_at_once(plan(build), BoughtIn((chain[1].pk,), days=10))
    assert bought.then == dt.datetime(2026, 4, 21, 21, tzinfo=dt.UTC)
    # A helper cannot hasten a chain of one pair of hands.
    assert move_at_once(plan(build), Helper(1, 5)).days == 0


def test_a_helper_who_is_waited_for_moves_the_launch(build, make_task):
    make_task("L", hours=8, hands=2)
    HelpDay.objects.create(build=build, who="A friend", first=dt.date(2026, 5, 2))
    moved = move_at_once(plan(build), Helper(1, 5))
    assert (moved.now.date(), moved.then.date()) == (dt.date(2026, 5, 2), dt.date(2026, 3, 7))


def test_the_cost_to_finish_by_hand(build, chain, make_part, ply):
    """Three sheets at 100 and their tax and freight of 25 %, ten per cent for the unforeseen."""
    Price.objects.create(
        material=ply, day=NOW.date(), net=100, currency="EUR", supplier=ply.supplier
    )
    Budget.objects.create(build=build, contingency_percent=10)
    StandingCost.objects.create(build=build, name="Rent", a_month=310, first=dt.date(2026, 1, 1))
    make_part("Cabin side", ply, chain[1], quantity=Decimal("2.5"))
    # 2.5 sheets and a tenth of waste are three sheets: 375, and 37.50 for the unforeseen.
    # From 2 March to 3 May: 30 of 31 days of March, April, 2 of 31 days of May, at 310 a month.
    to_buy = Decimal("412.5")
    rent = Decimal(300) + 310 + 20
    moved = move_at_once(plan(build), LeftOut(chain[1].stage_id))
    assert moved.cost_now == to_buy + rent
    # Launched on 12 April, without the sheets: 300 and 11 of 30 days.
    assert moved.cost_then == Decimal(300) + Decimal(3410) / 30
    # Bought in for 1000 with our sheets: 1100 more; with theirs, the sheets less.
    by_them = {"tasks": (chain[1].pk,), "days": 10, "price": Decimal(1000)}
    rent_then = Decimal(300) + Decimal(310) * 20 / 30
    moved = move_at_once(plan(build), BoughtIn(**by_them))
    assert moved.cost_then == to_buy + 1100 + rent_then
    moved = move_at_once(plan(build), BoughtIn(**by_them, with_material=True))
    assert moved.cost_then == 1100 + rent_then
    # Heated in March for 62 a month: 30 of 31 days.
    moved = move_at_once(plan(build), Heating(NOW.date(), dt.date(2026, 3, 31), Decimal(62)))
    assert moved.cost_then == to_buy + rent + 60


def test_the_worker_keeps_the_best_first_and_touches_nothing(
    build, chain, django_assert_num_queries
):
    before = list(Task.objects.values()), list(ShopHours.objects.values())
    version = Build.objects.get(pk=build.pk).plan_version
    hold_changes_against(build)
    kept = kept_moves(plan_of(build))
    assert kept.dates_hold and kept.costs_hold
    assert [one.then for one in kept.found] == sorted(one.then for one in kept.found)
    assert sum(isinstance(one.move, Evening) for one in kept.found) == 1
    assert {one.now for one in kept.found} == {kept_order(build).launch}
    assert before == (list(Task.objects.values()), list(ShopHours.objects.values()))
    assert Build.objects.get(pk=build.pk).plan_version == version
    read = plan_of(build)
    with django_assert_num_queries(2):
        kept_moves(read)


def test_what_is_kept_ages_with_the_plan_and_the_books(build, chain, supplier):
    hold_changes_against(build)
    build.touch_books()
    kept = kept_moves(plan_of(build))
    assert kept.dates_hold and not kept.costs_hold
    chain[0].likely_minutes = chain[0].high_minutes = 58 * 60
    chain[0].save()
    assert not kept_moves(plan_of(build)).dates_hold


def test_a_plan_that_was_changed_meanwhile_is_not_looked_at_further(build, chain, monkeypatch):
    found = plan_of(build)
    base = base_to_hold_against(found)
    build.touch_plan()
    monkeypatch.setattr(type(base), "launch_of", None)
    reckon_moves(found, base)
    reckon_slips(found, base)
    assert not build.answers.exclude(kind=AnswerKind.ORDER).exists()


def test_without_hours_there_is_nothing_to_hold_against(build, chain):
    ShopHours.objects.all().delete()
    build.touch_plan()
    hold_changes_against(build)
    assert not build.answers.filter(kind=AnswerKind.MOVES).exists()
    assert move_at_once(plan(build), LeftOut(chain[1].stage_id)) is None


def test_changes_in_words(build, chain, cabin):
    found = plan(build)
    said = [
        (Evening(2, 1080, 1260), "One more stretch a week: Wednesday 18:00–21:00"),
        (Helper(1, 5), "A helper every Saturday"),
        (Helper(3, None, dt.date(2026, 5, 2), dt.date(2026, 5, 3)),
         "Three helpers from Sat 2 May 2026 to Sun 3 May 2026"),
        (Heating(dt.date(2027, 2, 1), dt.date(2027, 2, 28)), "The shed heated in February 2027"),
        (BoughtIn((chain[0].pk,), 1), "1 Task 1 bought in, done in 1 day"),
        (BoughtIn((chain[0].pk, chain[2].pk), 9, None, True),
         "1 Task 1 and 3 Task 3 bought in, material and all, done in 9 days each"),
        (LeftOut(cabin.pk), "Cabin left out of her"),
    ]  # fmt: skip
    assert [move_words(found, move) for move, _ in said] == [words for _, words in said]
