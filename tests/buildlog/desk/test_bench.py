from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse

from buildlog.desk.bench import bench_of, uses_to_confirm
from buildlog.materials.models import Part, Purchase, PurchaseLine, Supplier
from buildlog.materials.need import needs_of
from tasks import acts
from tasks.models import Work
from tasks.plan import plan_of

from .conftest import FRIDAY


@pytest.fixture
def bench(build, owner):
    def look():
        plan = plan_of(build)
        return bench_of(plan, needs_of(build, plan), owner)

    return look


def codes(jobs):
    return [job.planned.task.code for job in jobs]


def page_of(client, build) -> str:
    return client.get(reverse("bench", args=[build.slug])).content.decode()


class TestOrder:
    def test_the_most_critical_comes_first_and_waiting_work_is_not_offered(
        self, bench, make_task, link
    ):
        long, next_, short = make_task("long", 20), make_task("next", 5), make_task("short", 2)
        link(long, next_)
        jobs = bench().jobs
        assert codes(jobs) == ["long", "short"]
        assert jobs[0].planned.critical
        assert jobs[0].heavy == "No float:"
        assert [job.number for job in jobs] == [1, 2]
        assert short.pk not in {one.planned.pk for one in bench().soon}

    def test_what_waits_soon_stands_apart_with_what_it_waits_for(self, bench, make_task, link):
        link(make_task("first", 2), make_task("then", 2))
        [soon] = bench().soon
        assert soon.planned.task.code == "then"
        assert "first" in soon.reason

    def test_what_is_far_off_is_not_shown(self, bench, make_task, link):
        link(make_task("first", 200), make_task("then", 2))
        assert bench().soon == []

    def test_glued_work_holds_the_next_until_it_is_cured(self, bench, make_task, link):
        glued = make_task(
            "glue", started_at=FRIDAY - dt.timedelta(hours=4),
            finished_at=FRIDAY - dt.timedelta(hours=2), cure_minutes=24 * 60,
        )  # fmt: skip
        link(glued, make_task("plane"))
        shown = bench()
        assert codes(shown.curing) == ["glue"]
        assert codes(shown.jobs) == []
        assert codes(shown.soon) == ["plane"]

    def test_once_cured_the_next_is_offered(self, bench, make_task, link, friday):
        glued = make_task(
            "glue", started_at=FRIDAY - dt.timedelta(hours=4),
            finished_at=FRIDAY - dt.timedelta(hours=2), cure_minutes=24 * 60,
        )  # fmt: skip
        link(glued, make_task("plane"))
        friday.move_to(FRIDAY + dt.timedelta(hours=23))
        assert codes(bench().jobs) == ["plane"]
        assert bench().curing == []

    def test_jobs_beyond_the_hours_ahead_stand_under_another_heading(self, bench, make_task):
        for number in range(6):
            make_task(str(number), 4)
        shown = bench()
        assert len(shown.jobs) == 3
        assert len(shown.more_jobs) == 3

    def test_a_long_list_is_cut_and_says_how_much_is_hidden(
        self, bench, make_task, as_person, owner, build
    ):
        for number in range(15):
            make_task(f"{number:02}")
        assert bench().hidden == 3
        assert "3 more could be begun" in page_of(as_person(owner), build)


class TestMaterial:
    def test_it_says_when_all_is_in_the_shed(
        self, make_task, glue_for, epoxy, in_stock, as_person, owner, build
    ):
        glue_for(make_task("1"))
        in_stock(epoxy, "2")
        assert "material in the shed" in page_of(as_person(owner), build)

    def test_it_says_what_is_short_and_what_to_order(
        self, make_task, glue_for, bench, as_person, owner, build
    ):
        glue_for(make_task("1"), "0.5")
        [row] = bench().to_order
        assert (row.material.name, row.planned.task.code) == ("Epoxy", "1")
        page = page_of(as_person(owner), build)
        assert "short of 0.5 kg Epoxy" in page
        assert "stands idle" in page

    def test_sheets_are_short_by_whole_ones(self, build, bench, make_task, ply):
        Part.objects.create(
            build=build, name="Frame", task=make_task("1"), material=ply, length_mm=500,
            width_mm=400,
        )  # fmt: skip
        [short] = bench().jobs[0].short
        assert short.amount == Decimal(1)

    def test_a_task_without_parts_says_nothing_of_material(
        self, make_task, as_person, owner, build
    ):
        make_task("1")
        page = page_of(as_person(owner), build)
        assert "in the shed ·" not in page
        assert "material in the shed" not in page


class TestClock:
    def test_one_s_own_clock_comes_first_and_survives_the_browser(
        self, as_person, owner, build, make_task, friday
    ):
        task = make_task("1", 5)
        as_person(owner).post(reverse("start-task", args=[build.slug, task.pk]))
        friday.move_to(FRIDAY + dt.timedelta(hours=1, minutes=20))
        page = page_of(as_person(owner), build)  # another browser
        assert "Your clock is running" in page
        assert ">1 h 20<" in page
        assert page.index("Your clock is running") < page.index("Do these, in this order")

    def test_the_running_task_is_not_listed_again(self, bench, owner, make_task):
        task = make_task("1")
        make_task("2")
        acts.start(task, owner, FRIDAY)
        assert bench().mine.planned.pk == task.pk
        assert codes(bench().jobs) == ["2"]

    def test_another_s_clock_is_told_of(self, as_person, owner, planner, build, make_task):
        acts.start(make_task("1"), planner, FRIDAY)
        page = page_of(as_person(owner), build)
        assert "Your clock is running" not in page
        assert "Peter works on" in page

    def test_there_is_one_filled_button(self, as_person, owner, build, make_task):
        task = make_task("1")
        make_task("2")
        assert page_of(as_person(owner), build).count('class="button first"') == 1
        acts.start(task, owner, FRIDAY)
        page = page_of(as_person(owner), build)
        assert page.count('class="button first"') == 1
        assert 'class="button first">Stop<' in page


class TestToConfirm:
    def test_a_finish_whose_material_nobody_spoke_of_waits_for_the_builder(
        self, build, owner, make_task, glue_for, as_person
    ):
        task = make_task("1")
        glue_for(task)
        make_task("2")
        acts.finish(task, owner, FRIDAY)
        assert [act.task_id for act in uses_to_confirm(build, FRIDAY)] == [task.pk]
        assert "Say what material" in page_of(as_person(owner), build)

    def test_a_finish_without_parts_does_not(self, build, owner, make_task):
        acts.finish(make_task("1"), owner, FRIDAY)
        assert uses_to_confirm(build, FRIDAY) == []


class TestRights:
    def test_who_may_only_look_gets_no_buttons(self, as_person, onlooker, build, make_task):
        make_task("1")
        page = page_of(as_person(onlooker), build)
        assert "Start" not in page
        assert "<textarea" not in page

    def test_money_is_for_those_who_may_see_it(self, as_person, owner, hand, build, make_task):
        make_task("1")
        assert "Expected total" in page_of(as_person(owner), build)
        assert "Expected total" not in page_of(as_person(hand), build)


class TestEmpty:
    def test_a_build_without_tasks_says_how_to_begin(self, as_person, owner, build):
        page = page_of(as_person(owner), build)
        assert "Say when you work" in page
        assert reverse("lists", args=[build.slug]) in page

    def test_and_whom_to_ask_where_one_may_not(self, as_person, hand, build):
        assert "a planner writes the plan" in page_of(as_person(hand), build)

    def test_no_shop_hours_is_said_in_words(self, as_person, owner, build, make_task):
        build.shop_hours.all().delete()
        make_task("1")
        page = page_of(as_person(owner), build)
        assert "No shop hours are set" in page
        assert "No date yet" in page


def test_launch_and_what_sets_it_stand_beside(as_person, owner, build, make_task):
    make_task("1", 6)
    page = page_of(as_person(owner), build)
    assert "14 November 2026" in page
    assert "The critical path" in page
    assert "This weekend" in page


def test_hours_logged_by_hand_are_counted_in_the_facts(bench, build, owner, make_task):
    task = make_task("1", 5, started_at=FRIDAY)
    Work.objects.create(build=build, task=task, person=owner, who="O", day=FRIDAY, minutes=120)
    assert "3 h left, 2 h worked" in bench().jobs[0].facts


def test_what_is_ordered_is_on_the_way_and_not_to_order_again(
    build, bench, make_task, glue_for, epoxy, as_person, owner
):
    glue_for(make_task("1"), "0.5")
    supplier = Supplier.objects.create(build=build, name="Yard")
    order = Purchase.objects.create(
        build=build, supplier=supplier, ordered_on=FRIDAY.date(), currency="EUR"
    )
    PurchaseLine.objects.create(purchase=order, material=epoxy, quantity=2, net=40)
    assert bench().to_order == []
    assert "0.5 kg Epoxy on the way" in page_of(as_person(owner), build)
