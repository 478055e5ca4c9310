"""What the calendar tells: sessions, cures, helpers, days off, orders, launch."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from buildlog.materials.models import Material
from tasks import acts
from tasks.models import DayOff, Doing, HelpDay, Link, ShopHours

PARIS = ZoneInfo("Europe/Paris")
pytestmark = pytest.mark.usefixtures("clock")


def at(text: str) -> dt.datetime:
    return dt.datetime.fromisoformat(text).replace(tzinfo=PARIS)


def times(events) -> list[tuple[dt.datetime, dt.datetime]]:
    return [(event.start, event.end) for event in events]


@pytest.fixture
def calendar(owner, make_address, read):
    address = make_address(owner)
    return lambda: read(address)


def test_a_session_is_a_stretch_of_shop_hours(make_task, calendar, evening):
    make_task("1", hours=11)
    # Two hours on Wednesday evening, six on Saturday, three of the four on Sunday.
    assert times(calendar()["1 Task 1"]) == [
        (at("2026-01-14 18:00"), at("2026-01-14 20:00")),
        (at("2026-01-17 09:00"), at("2026-01-17 15:00")),
        (at("2026-01-18 10:00"), at("2026-01-18 13:00")),
    ]


def test_a_lunch_break_parts_a_day(build, make_task, calendar):
    ShopHours.objects.filter(weekday=5).update(end_minute=12 * 60)
    ShopHours.objects.create(build=build, weekday=5, start_minute=13 * 60, end_minute=15 * 60)
    make_task("1", hours=4)
    assert times(calendar()["1 Task 1"]) == [
        (at("2026-01-17 09:00"), at("2026-01-17 12:00")),
        (at("2026-01-17 13:00"), at("2026-01-17 14:00")),
    ]


def test_midnight_parts_a_stretch(build, make_task, calendar):
    ShopHours.objects.filter(weekday=5).update(start_minute=20 * 60, end_minute=24 * 60)
    ShopHours.objects.filter(weekday=6).update(start_minute=0, end_minute=2 * 60)
    make_task("1", hours=6)
    assert times(calendar()["1 Task 1"]) == [
        (at("2026-01-17 20:00"), at("2026-01-18 00:00")),
        (at("2026-01-18 00:00"), at("2026-01-18 02:00")),
    ]


def test_hands_do_one_task_after_the_other(make_task, calendar):
    for code in ("1", "2"):
        make_task(code, hours=3)
    events = calendar()
    both = sorted(times(events["1 Task 1"]) + times(events["2 Task 2"]))
    assert both == [
        (at("2026-01-17 09:00"), at("2026-01-17 12:00")),
        (at("2026-01-17 12:00"), at("2026-01-17 15:00")),
    ]


def test_summer_time_moves_the_instant_and_not_the_wall_clock(make_task, calendar, clock):
    clock.move_to(dt.datetime(2026, 3, 23, 7, 0, tzinfo=dt.UTC))
    make_task("1", hours=10)  # Saturday 28 March, and Sunday, when clocks go forward
    saturday, sunday = calendar()["1 Task 1"]
    assert saturday.start == dt.datetime(2026, 3, 28, 8, 0, tzinfo=dt.UTC)
    assert sunday.start == dt.datetime(2026, 3, 29, 8, 0, tzinfo=dt.UTC)


def test_sessions_yet_to_come_stay_when_one_is_over(make_task, calendar, clock, owner):
    task = make_task("1", hours=12)
    before = {event["uid"]: event.start for event in calendar()["1 Task 1"]}
    clock.move_to(at("2026-01-17 09:00"))
    acts.start(task, owner, timezone.now())
    clock.move_to(at("2026-01-17 15:00"))
    acts.stop(task, owner, timezone.now())
    after = {event["uid"]: event.start for event in calendar()["1 Task 1"]}
    assert len(after) == len(before) - 1
    assert after.items() <= before.items()


def test_a_session_that_moves_keeps_its_name(build, make_task, calendar):
    make_task("1", hours=3)
    (before,) = calendar()["1 Task 1"]
    DayOff.objects.create(build=build, first=dt.date(2026, 1, 17), last=dt.date(2026, 1, 17))
    (after,) = calendar()["1 Task 1"]
    assert after["uid"] == before["uid"]
    assert (before.start, after.start) == (at("2026-01-17 09:00"), at("2026-01-18 10:00"))


def test_what_lies_far_ahead_is_not_noted_down(make_task, calendar):
    make_task("1", hours=400)
    sessions = calendar()["1 Task 1"]
    assert at("2026-01-12 08:00") + dt.timedelta(weeks=8) < sessions[-1].start
    assert sessions[-1].start < at("2026-01-12 08:00") + dt.timedelta(weeks=12)


def test_cures_end(make_task, calendar, clock, owner):
    task = make_task("1", hours=3, cure_minutes=24 * 60)
    (cure,) = calendar()["Cured: 1 Task 1"]
    assert cure.start == cure.end == at("2026-01-18 12:00")
    assert "DTEND" not in cure
    clock.move_to(at("2026-01-17 09:00"))
    acts.start(task, owner, timezone.now())
    clock.move_to(at("2026-01-17 11:00"))
    acts.finish(task, owner, timezone.now())
    events = calendar()
    (again,) = events["Cured: 1 Task 1"]
    assert (again.start, again["uid"]) == (at("2026-01-18 11:00"), cure["uid"])
    assert "1 Task 1" not in events
    clock.move_to(at("2026-01-19 08:00"))
    assert "Cured: 1 Task 1" not in calendar()


def test_what_others_do_takes_no_hours_and_comes_on_a_day(make_task, calendar):
    make_task("1", hours=30, doing=Doing.BOUGHT_IN, bought_in_days=10)
    events = calendar()
    assert "1 Task 1" not in events
    (there,) = events["Bought in: 1 Task 1"]
    assert there.start == dt.date(2026, 1, 22)


def test_what_is_left_out_is_not_told(make_task, calendar):
    make_task("1", hours=3, doing=Doing.LEFT_OUT)
    assert not [name for name in calendar() if "Task 1" in name]


def test_helpers(build, make_task, calendar):
    make_task("1", hours=3)
    HelpDay.objects.create(build=build, who="Wim", first=dt.date(2026, 2, 7), hands=2)
    HelpDay.objects.create(
        build=build, who="Ines", weekday=5, last=dt.date(2026, 2, 1), start_minute=600,
        end_minute=780,
    )  # fmt: skip
    HelpDay.objects.create(
        build=build, who="Guests", first=dt.date(2026, 4, 3), last=dt.date(2026, 4, 6)
    )
    DayOff.objects.create(build=build, first=dt.date(2026, 1, 24), last=dt.date(2026, 1, 24))
    events = calendar()
    (wim,) = events["Help: Wim"]
    assert (wim.start, wim.end) == (dt.date(2026, 2, 7), dt.date(2026, 2, 8))
    assert "Two hands more" in wim["description"]
    assert times(events["Help: Ines"]) == [
        (at("2026-01-17 10:00"), at("2026-01-17 13:00")),
        (at("2026-01-31 10:00"), at("2026-01-31 13:00")),
    ]
    (guests,) = events["Help: Guests"]
    assert (guests.start, guests.end) == (dt.date(2026, 4, 3), dt.date(2026, 4, 7))


def test_a_helper_every_week_without_end_is_told_as_far_as_the_work(build, make_task, calendar):
    make_task("1", hours=3)
    HelpDay.objects.create(build=build, who="Ines", weekday=5)
    assert len(calendar()["Help: Ines"]) == 12


def test_hands_needed_are_told(build, make_task, calendar):
    make_task("1", hours=6, hands=2, unbroken=True, cure_minutes=600)
    HelpDay.objects.create(build=build, who="Ines", weekday=6)
    (session,) = calendar()["1 Task 1"]
    assert session.start == at("2026-01-18 10:00")  # Sunday, when there are two
    assert session["description"] == (
        "Frames.\nNeeds two hands at once.\nMust be done in one go.\nThen it cures for 10 h."
    )


def test_days_off(build, calendar):
    row = DayOff.objects.create(
        build=build, first=dt.date(2026, 2, 14), last=dt.date(2026, 2, 22), reason="Away"
    )
    DayOff.objects.create(build=build, first=dt.date(2025, 12, 24), last=dt.date(2025, 12, 26))
    events = calendar()
    (off,) = events["No work: Away"]
    assert (off.start, off.end) == (dt.date(2026, 2, 14), dt.date(2026, 2, 23))
    assert "No work" not in events
    row.first = dt.date(2026, 2, 15)
    row.save()
    (moved,) = calendar()["No work: Away"]
    assert moved["uid"] == off["uid"]


class TestOrders:
    @pytest.fixture
    def later(self, make_task, build):
        """A task on the Saturday after a first one that fills a weekend."""
        first, second = make_task("1", hours=10), make_task("2", hours=3)
        Link.objects.create(build=build, before=first, after=second)
        return second

    def test_order_by(self, later, ply, supplier, make_part, calendar):
        supplier.lead_days = 10
        supplier.save()
        make_part("Shelf", ply, task=later, length_mm=400, width_mm=200)
        (order,) = calendar()["Order Ply 9"]
        assert order.start == dt.date(2026, 1, 14)  # Saturday 24 January less ten days
        assert order["description"].splitlines() == [
            "1 sheet, for 2 Task 2 from Sat 24 Jan 2026.",
            "It takes 10 days to come.",
            "From Harbour Timber.",
        ]

    def test_without_known_days_it_is_the_day_of_need(self, build, later, make_part, calendar):
        epoxy = Material.objects.create(
            build=build, name="Bolts", kind="fastener", unit="each", waste_percent=0
        )
        make_part("Bolt", epoxy, task=later, count=4)
        events = calendar()
        (needed,) = events["Needed: Bolts"]
        assert needed.start == dt.date(2026, 1, 24)
        assert "is not known" in needed["description"]

    def test_what_is_late_is_to_be_ordered_today(self, later, ply, supplier, make_part, calendar):
        supplier.lead_days = 30
        supplier.save()
        make_part("Shelf", ply, task=later, length_mm=400, width_mm=200)
        (order,) = calendar()["Order Ply 9"]
        assert order.start == dt.date(2026, 1, 12)
        assert "should have been ordered by Thu 25 Dec 2025" in order["description"]

    def test_who_may_not_see_the_money_does_not_see_where_it_is_bought(
        self, later, ply, make_part, hand, make_address, client
    ):
        make_part("Shelf", ply, task=later, length_mm=400, width_mm=200)
        text = client.get(make_address(hand)).text
        assert "Order Ply 9" in text
        assert "Harbour" not in text


def test_launch(make_task, calendar, owner, clock):
    task = make_task("1", hours=3, cure_minutes=24 * 60)
    (launch,) = calendar()["Launch of Tender"]
    assert (launch.start, launch.end) == (dt.date(2026, 1, 18), dt.date(2026, 1, 19))
    acts.start(task, owner, timezone.now())
    acts.finish(task, owner, timezone.now())
    clock.shift(dt.timedelta(days=3))
    assert "Launch of Tender" not in calendar()  # all is done


def test_a_build_without_tasks_or_hours_has_a_calendar_too(build, calendar):
    assert calendar() == {}
    ShopHours.objects.all().delete()
    assert calendar() == {}


def test_links_lead_to_the_sheet(make_task, build, calendar):
    task = make_task("1", hours=3)
    (session,) = calendar()["1 Task 1"]
    assert session["url"] == f"http://testserver/b/tender/tasks/{task.pk}/"
