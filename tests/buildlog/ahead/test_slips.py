"""What it costs not to do a job now."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from buildlog.ahead.moves_kept import base_to_hold_against
from buildlog.ahead.slips import kept_slips, next_monday, reckon_slips, slip_words
from buildlog.background.jobs import run_open_jobs
from tasks.models import Link, Task, Work
from tasks.plan import plan_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("weekend")]
#: A Friday morning: the weekend's sixteen hours lie ahead.
NOW = dt.datetime(2026, 3, 6, 8, tzinfo=dt.UTC)
DAY = 1440


@pytest.fixture
def chain(build, make_task) -> list[Task]:
    """Sixteen hours that sixteen more wait for after a cure of five days, and three beside."""
    first, then = make_task("1", hours=16, cure_minutes=5 * DAY), make_task("2", hours=16)
    Link.objects.create(build=build, before=first, after=then)
    return [first, then, make_task("3", hours=3)]


def reckon(build) -> dict[int, int]:
    build.refresh_from_db()
    plan = plan_of(build, NOW)
    reckon_slips(plan, base_to_hold_against(plan))
    return kept_slips(plan)


def test_what_waits_for_monday_costs_by_hand(build, chain):
    """Task 1 fills this weekend; put off it begins on Tuesday evening, and the cure shifts all."""
    assert next_monday(plan_of(build, NOW)) == dt.date(2026, 3, 9)
    slips = reckon(build)
    # As it is: 1 on the weekend, cured Friday 13 March 17:00, 2 on that weekend, 3 on Tuesday
    # between or after: launch Sunday 15 March 17:00.
    # Put off: 1 from Tuesday 10 March 18:00, done Sunday 15 March 14:00, cured Friday 20 March;
    # 2 is done on Sunday 22 March 17:00.
    assert slips == {chain[0].pk: 7 * DAY, chain[2].pk: 0}


def test_what_is_in_hand_can_be_put_off_too(build, chain, owner):
    Task.objects.filter(pk=chain[0].pk).update(started_at=NOW - dt.timedelta(days=1))
    Work.objects.create(build=build, task=chain[0], who="O", day=NOW.date(), minutes=60)
    assert reckon(build)[chain[0].pk] == 7 * DAY


def test_a_wait_after_its_start_cannot_be_told_of_what_is_left(build, chain):
    Task.objects.filter(pk=chain[0].pk).update(started_at=NOW - dt.timedelta(days=1))
    Link.objects.create(
        build=build, before=chain[0], after=chain[2], kind="start-start", lag_minutes=60
    )
    assert chain[0].pk not in reckon(build)


def test_it_holds_for_one_plan_and_one_week(build, chain):
    reckon(build)
    assert kept_slips(plan_of(build, NOW + dt.timedelta(days=1)))
    assert not kept_slips(plan_of(build, NOW + dt.timedelta(days=7)))
    chain[0].save()
    assert not kept_slips(plan_of(build, NOW))


def test_the_words():
    assert slip_words(DAY, "This weekend") == "Not done this weekend, she launches one day later."
    assert slip_words(600, "This weekend") == ""
    assert "in the coming week" in slip_words(2 * DAY, "The coming week")


def test_the_bench_says_it(build, chain, as_person, hand):
    client = as_person(hand)
    client.get(reverse("launch", args=[build.slug]))
    run_open_jobs()
    slips = kept_slips(plan_of(build))
    page = client.get(reverse("bench", args=[build.slug])).text
    assert slips[chain[0].pk] >= 6 * DAY
    assert page.count("Not done") == sum(round(one / DAY) > 0 for one in slips.values())
    chain[1].save()
    assert "Not done" not in client.get(reverse("bench", args=[build.slug])).text
