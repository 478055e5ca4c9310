"""A change that is taken is in the plan as it was shown; undone, all is as it was before."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from buildlog.ahead.models import Taken
from buildlog.ahead.moves import BoughtIn, Evening, Heating, Helper, LeftOut
from buildlog.ahead.moves_kept import move_at_once
from buildlog.ahead.taking import shares_of, take, undo
from buildlog.background.jobs import Job
from buildlog.journal.models import Entry
from buildlog.materials.models import Material, Part, Price, PurchaseLine
from buildlog.materials.purchasing import record_purchase
from buildlog.money.cost import cost_of
from buildlog.money.models import StandingCost
from tasks.changes import Refused, set_week
from tasks.models import DayOff, Doing, HeatedDays, HelpDay, Link, ShopHours, Task, Work, WorkLimit
from tasks.order import order_of
from tasks.plan import plan_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("weekend")]


@pytest.fixture
def tasks(build, make_task, cabin, make_part, ply) -> list[Task]:
    warm = WorkLimit.objects.create(
        build=build, name="warm", first_month=7, first_day=1, last_month=7, last_day=31
    )
    made = [
        make_task("1", hours=30),
        make_task("2", hours=45, stage=cabin, hands=2),
        make_task("3", hours=15, stage=cabin),
        make_task("4", hours=20, limit=warm),
    ]
    Link.objects.create(build=build, before=made[0], after=made[1])
    Link.objects.create(build=build, before=made[1], after=made[3])
    HelpDay.objects.create(build=build, who="A friend", weekday=6)
    Price.objects.create(
        material=ply, day=dt.date(2026, 1, 2), net=100, currency="EUR", supplier=ply.supplier
    )
    make_part("Cabin side", ply, made[1], quantity=Decimal(3))
    StandingCost.objects.create(build=build, name="Rent", a_month=310, first=dt.date(2026, 1, 1))
    return made


def changes(build, tasks) -> dict[str, object]:
    today = timezone.localtime(timezone=build.zone).date()
    return {
        "evening": Evening(3, 18 * 60, 21 * 60),
        "helper": Helper(1, 5, who="Kin"),
        "heating": Heating(today, today + dt.timedelta(days=300), Decimal(80)),
        "bought-in": BoughtIn((tasks[1].pk, tasks[2].pk), 12, Decimal("1000.01")),
        "bought-all": BoughtIn((tasks[1].pk,), None, Decimal(900), with_material=True),
        "left-out": LeftOut(tasks[1].stage_id),
    }


ALL = ["evening", "helper", "heating", "bought-in", "bought-all", "left-out"]
ROWS = (Task, ShopHours, HelpDay, HeatedDays, StandingCost, Part, Material, Price, Link, Work)


def rows_of() -> dict[str, list]:
    return {
        model.__name__: list(model.objects.order_by("pk").values())
        for model in ROWS
    }  # fmt: skip


@pytest.mark.parametrize("which", ALL)
def test_taken_the_plan_is_as_was_shown_and_undone_as_it_was(build, tasks, owner, which):
    move = changes(build, tasks)[which]
    order_of(plan_of(build))
    before = rows_of()
    shown = move_at_once(plan_of(build), move)
    assert rows_of() == before, "only looking changes nothing"
    taken, new = take(build, move, owner, key="once")
    assert new and rows_of() != before
    plan = plan_of(build)
    order = order_of(plan)
    assert order.launch == shown.then
    assert cost_of(build, plan).to_finish == shown.cost_then
    assert Job.objects.filter(kind="look-ahead").exists()
    assert undo(taken)
    assert rows_of() == before
    assert not undo(taken), "a second click"
    assert rows_of() == before


def test_sent_twice_it_is_taken_once(build, tasks, owner):
    move = changes(build, tasks)["helper"]
    first, new = take(build, move, owner, key="once")
    again, newer = take(build, move, owner, key="once")
    assert (new, newer) == (True, False) and first == again
    assert HelpDay.objects.count() == 2


def test_what_fits_no_more_is_refused(build, tasks, owner):
    move = changes(build, tasks)["left-out"]
    Task.objects.filter(pk=tasks[2].pk).update(started_at=timezone.now())
    build.touch_plan()
    with pytest.raises(Refused, match="no longer fits"):
        take(build, move, owner)
    assert not Taken.objects.exists()
    assert Task.objects.filter(doing=Doing.OWN).count() == 4


def test_hours_parts_and_photos_stay_with_what_is_left_out(build, tasks, owner):
    entry = Entry.objects.create(build=build, day=dt.date(2026, 1, 3), text="Measured.")
    entry.tasks.add(tasks[1])
    take(build, changes(build, tasks)["left-out"], owner)
    task = Task.objects.get(pk=tasks[1].pk)
    assert (task.likely_minutes, task.hands) == (45 * 60, 2)
    assert task.parts.count() == 1 and list(entry.tasks.all()) == [task]


def test_undoing_what_was_begun_since_is_refused_and_changes_nothing(build, tasks, owner):
    taken, _ = take(build, changes(build, tasks)["bought-in"], owner)
    Task.objects.filter(pk=tasks[2].pk).update(started_at=timezone.now())
    before = rows_of()
    with pytest.raises(Refused, match="3 Task 3 is begun"):
        undo(taken)
    assert rows_of() == before
    assert Taken.objects.get().undone_at is None


def test_hours_that_were_kept_anew_meanwhile_are_still_found(build, tasks, owner):
    taken, _ = take(build, changes(build, tasks)["evening"], owner)
    set_week(build, {3: [(18 * 60, 21 * 60)], 6: [(540, 1020)]})
    assert undo(taken)
    assert not ShopHours.objects.filter(weekday=3).exists()


@pytest.mark.parametrize(
    ("which", "change", "said"),
    [
        ("evening", lambda: ShopHours.objects.filter(weekday=3).delete(), "sheet of hours"),
        ("helper", lambda: HelpDay.objects.filter(who="Kin").update(hands=2), "sheet of hands"),
        ("heating", lambda: HeatedDays.objects.all().delete(), "heating was changed"),
        ("heating", lambda: StandingCost.objects.filter(a_month=80).update(a_month=90), "changed"),
    ],
)
def test_undoing_what_was_changed_by_hand_says_where_it_stands(
    build, tasks, owner, which, change, said
):
    taken, _ = take(build, changes(build, tasks)[which], owner)
    change()
    before = rows_of()
    with pytest.raises(Refused, match=said):
        undo(taken)
    assert rows_of() == before


def test_the_price_is_spread_to_the_last_cent_and_bought_as_equipment(build, tasks, owner):
    move = changes(build, tasks)["bought-in"]
    shares = shares_of(plan_of(build), move)
    assert sum(shares.values()) == Decimal("1000.01")
    assert shares[tasks[2].pk] == Decimal("250.0025")
    take(build, move, owner)
    assert {part.task_id for part in Part.objects.filter(name="Work bought in")} == {
        tasks[1].pk, tasks[2].pk,
    }  # fmt: skip


def test_undone_after_it_was_paid_the_purchase_stays_in_the_books(build, tasks, owner, supplier):
    taken, _ = take(build, changes(build, tasks)["bought-all"], owner)
    material = Material.objects.get(name__startswith="Work bought in")
    purchase = supplier.purchases.model(
        build=build, supplier=supplier, ordered_on=dt.date(2026, 2, 1), currency="EUR"
    )
    line = PurchaseLine(material=material, quantity=1, net=900)
    record_purchase(purchase, [line], owner)
    assert cost_of(build, plan_of(build)).committed == 900
    undo(taken)
    assert PurchaseLine.objects.filter(material=material).exists()
    assert not Part.objects.filter(material=material).exists()
    assert Task.objects.get(pk=tasks[1].pk).doing == Doing.OWN


def test_a_day_off_does_not_disturb_it(build, tasks, owner):
    taken, _ = take(build, changes(build, tasks)["helper"], owner)
    DayOff.objects.create(build=build, first=dt.date(2026, 5, 1), last=dt.date(2026, 5, 9))
    assert undo(taken)
