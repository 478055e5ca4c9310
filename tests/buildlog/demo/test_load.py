import datetime as dt

import pytest
import time_machine
from django.core.management import call_command
from PIL import Image

from buildlog.demo import days, plan, purchases, shelf
from buildlog.demo.load import load
from buildlog.files.store import open_original
from buildlog.journal.models import Entry, Photo
from buildlog.materials.models import Part, Purchase
from buildlog.materials.need import needs_of
from buildlog.money.cost import cost_of
from buildlog.supporters.models import Supporter
from tasks.baselines import baseline_of
from tasks.cause_words import causes_of
from tasks.launch_records import explain_week, waiting_weeks, weeks_of
from tasks.models import Build, Person, Role, Task
from tasks.plan import State, plan_of


def test_demo_is_as_told_and_loading_it_again_changes_nothing(stranger):
    marram, is_new = load(stranger)
    assert is_new
    check_rows(marram, stranger)
    check_plan_and_money(marram)
    check_photos_carry_a_place()
    check_history(marram, stranger)
    assert load(stranger) == (marram, False)
    check_rows(marram, stranger)


def check_rows(marram, owner):
    assert Task.objects.count() == len(plan.TASKS) >= 80
    assert Part.objects.count() == len(shelf.PARTS) >= 120
    assert marram.materials.count() == len(shelf.MATERIALS) >= 30
    assert Purchase.objects.count() == len(purchases.PURCHASES) >= 40
    assert Entry.objects.exclude(text="").count() >= 110
    assert Photo.objects.count() == 60
    assert Supporter.objects.count() == 40
    assert marram.baselines.count() == 2
    assert marram.crew.get().person == owner
    assert marram.crew.get().role == Role.OWNER


def check_plan_and_money(marram):
    """A launch, every kind of task, parts that can all be reckoned, no stock below nothing."""
    found = plan_of(marram)
    assert found.problems == []
    assert found.launch > found.now + dt.timedelta(days=200)
    states = {planned.state for planned in found.tasks.values()}
    assert {State.DONE, State.IN_HAND, State.READY, State.WAITING} <= states
    needs = needs_of(marram, found)
    assert needs.problems == []
    assert [str(row.material) for row in needs.materials if row.stock < 0] == []
    cost = cost_of(marram, found, needs)
    assert cost.no_price == []
    assert 0 < cost.spent < cost.expected_total


def check_history(marram, owner):
    """A year of launches that moved to later, baselines, and causes in words for each week."""
    compared = baseline_of(marram)
    assert (compared.by, compared.who) == (owner, str(owner))
    weeks = weeks_of(marram)
    assert weeks[0].day == compared.made_at.astimezone(marram.zone).date()
    assert weeks[0].launch == compared.launch < weeks[-1].launch - dt.timedelta(days=60)
    assert sum(week.days > 0 for week in weeks) >= 10
    assert len(weeks) >= 22
    for pair in waiting_weeks(marram)[3:6]:
        explain_week(*pair)
    told = [week for week in weeks_of(marram) if week.causes is not None]
    assert len(told) == 3
    for week in told:
        causes = causes_of(week.causes)
        assert sum(cause.days for cause in causes) == week.days
        assert all(cause.words for cause in causes)


def check_photos_carry_a_place():
    photo = Photo.objects.first()
    with open_original(photo.file) as original:
        assert Image.open(original).getexif().get_ifd(0x8825)
    assert photo.taken_from == "camera"


def test_command_loads_it_for_nobody_yet_and_its_owner_comes_later(db, capsys):
    with time_machine.travel(dt.datetime(2026, 5, 6, 9, tzinfo=dt.UTC), tick=False):
        call_command("load_demo")
    build = Build.objects.get(demo=True)
    assert not build.crew.exists()
    person = Person.objects.create_user("later")
    call_command("load_demo")
    assert build.crew.get().person == person
    assert not build.entries.exclude(author=person).exists()
    assert build.work.filter(person=person).exists()
    assert capsys.readouterr().out.splitlines() == [
        "The demo build Marram is loaded.",
        "The demo build Marram was loaded already.",
    ]


@pytest.mark.parametrize("today", [dt.date(2026, 1, 1), dt.date(2026, 7, 15), dt.date(2028, 2, 29)])
def test_sessions_fit_whatever_the_day(today):
    told = days.sessions(today)
    finished = {session.task.code for session in told if session.last}
    assert finished == {task.code for task in days.done_tasks()}
    assert told[0].day >= today - dt.timedelta(days=days.MONTHS_BACK)
    assert told[-1].day < today


def test_every_purchase_names_a_material_or_says_what_at_what_price():
    names = {row.name for row in shelf.MATERIALS}
    for row in purchases.PURCHASES:
        for what, count, each in row.lines:
            assert count > 0
            assert what in names or each is not None
