import datetime as dt

import pytest
import time_machine
from django.core.management import call_command
from PIL import Image

from buildlog.demo import days, plan, purchases, shelf
from buildlog.demo.load import load
from buildlog.files.store import open_original
from buildlog.journal.models import Entry, Photo
from buildlog.materials.models import Part, Purchase, StockMove
from buildlog.materials.need import needs_of
from buildlog.money.cost import cost_of
from buildlog.supporters.models import Supporter
from tasks.models import Build, Role, Task
from tasks.plan import State, plan_of


@pytest.fixture
def marram(db, stranger):
    build, is_new = load(stranger)
    assert is_new
    return build


def test_demo_has_what_is_said_of_it(marram, stranger):
    assert Task.objects.count() == len(plan.TASKS) >= 80
    assert Part.objects.count() == len(shelf.PARTS) >= 120
    assert marram.materials.count() >= 30
    assert Purchase.objects.count() >= 40
    assert Entry.objects.exclude(text="").count() >= 110
    assert Photo.objects.count() == 60
    assert Supporter.objects.count() == 40
    assert marram.crew.get(person=stranger).role == Role.OWNER


def test_loading_twice_changes_nothing(marram, stranger):
    counts = [model.objects.count() for model in (Task, Part, Entry, Photo, StockMove)]
    build, is_new = load(stranger)
    assert (build, is_new) == (marram, False)
    assert [model.objects.count() for model in (Task, Part, Entry, Photo, StockMove)] == counts


def test_loaded_for_nobody_it_takes_its_owner_later(db, stranger):
    build, _ = load()
    assert not build.crew.exists()
    load(stranger)
    assert build.crew.get().person == stranger


def test_plan_has_a_launch_and_every_kind_of_task(marram):
    found = plan_of(marram)
    assert found.problems == []
    assert found.launch > found.now + dt.timedelta(days=200)
    states = {planned.state for planned in found.tasks.values()}
    assert {State.DONE, State.IN_HAND, State.READY, State.WAITING} <= states


def test_parts_can_all_be_reckoned_and_stock_never_fell_below_nothing(marram):
    found = plan_of(marram)
    needs = needs_of(marram, found)
    assert needs.problems == []
    assert [str(row.material) for row in needs.materials if row.stock < 0] == []
    cost = cost_of(marram, found, needs)
    assert cost.no_price == []
    assert 0 < cost.spent < cost.expected_total


def test_photos_carry_a_place_in_the_original(marram):
    photo = Photo.objects.first()
    with open_original(photo.file) as original:
        assert Image.open(original).getexif().get_ifd(0x8825)
    assert photo.taken_from == "camera"


@pytest.mark.parametrize("today", [dt.date(2026, 1, 1), dt.date(2026, 7, 15), dt.date(2028, 2, 29)])
def test_sessions_fit_whatever_the_day(today):
    told = days.sessions(today)
    finished = {session.task.code for session in told if session.last}
    assert finished == {task.code for task in days.done_tasks()}
    assert told[0].day >= today - dt.timedelta(days=days.MONTHS_BACK)
    assert told[-1].day < today


def test_every_purchase_and_part_names_a_material_or_says_what(marram):
    names = {row.name for row in shelf.MATERIALS}
    for row in purchases.PURCHASES:
        for what, count, each in row.lines:
            assert count > 0
            assert what in names or each is not None


def test_command_says_what_it_did(db, stranger, capsys):
    with time_machine.travel(dt.datetime(2026, 5, 6, 9, tzinfo=dt.UTC), tick=False):
        call_command("load_demo")
        call_command("load_demo")
    assert capsys.readouterr().out.splitlines() == [
        "The demo build Marram is loaded.",
        "The demo build Marram was loaded already.",
    ]
    assert Build.objects.filter(demo=True).count() == 1
