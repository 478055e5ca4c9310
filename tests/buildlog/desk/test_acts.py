from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse

from buildlog.desk import actions
from buildlog.materials.models import StockMove
from buildlog.materials.stock import stock_of
from buildlog.materials.using import Use
from tasks import acts
from tasks.models import Act, Work

from .conftest import FRIDAY


@pytest.fixture
def do(build, owner, as_person):
    """Post an act as the owner and follow to the page it answers with."""

    def post(name, pk, person=owner, **data):
        url = reverse(name, args=[build.slug, pk])
        return as_person(person).post(url, data, follow=True)

    return post


def said(response) -> str:
    return " ".join(str(message) for message in response.context["messages"])


class TestClock:
    def test_start_sets_a_clock_running_and_offers_undo(self, do, make_task, owner):
        task = make_task("1")
        response = do("start-task", task.pk)
        assert Work.objects.get().running
        assert "Started 1 Task 1." in said(response)
        assert reverse("undo-act", args=["tender", Act.objects.get().pk]) in (
            response.content.decode()
        )

    def test_a_double_click_starts_one_clock(self, do, make_task):
        task = make_task("1")
        do("start-task", task.pk)
        do("start-task", task.pk)
        assert Work.objects.count() == Act.objects.count() == 1

    def test_stop_logs_the_hours(self, do, make_task, friday):
        task = make_task("1")
        do("start-task", task.pk)
        friday.move_to(FRIDAY + dt.timedelta(minutes=95))
        assert "1 h 35 logged" in said(do("stop-task", task.pk))
        assert Work.objects.get().minutes == 95

    def test_a_stop_without_a_clock_says_so(self, do, make_task):
        assert "No clock of yours" in said(do("stop-task", make_task("1").pk))

    def test_undo_takes_a_start_back(self, do, make_task):
        task = make_task("1")
        do("start-task", task.pk)
        assert "Undone" in said(do("undo-act", Act.objects.get().pk))
        assert not Work.objects.exists()

    def test_it_comes_back_to_where_it_was_asked(self, build, owner, as_person, make_task):
        task = make_task("1")
        url = reverse("start-task", args=[build.slug, task.pk])
        bench = reverse("bench", args=[build.slug])
        assert as_person(owner).post(url, {"back": bench}).url == bench
        assert as_person(owner).post(url).url == reverse("task", args=[build.slug, task.pk])

    def test_it_goes_to_no_other_site(self, build, owner, as_person, make_task):
        url = reverse("start-task", args=[build.slug, make_task("1").pk])
        assert "evil" not in as_person(owner).post(url, {"back": "https://evil.example/"}).url


class TestLeft:
    def test_hours_left_are_read_as_builders_write_them(self, do, make_task):
        task = make_task("1", 5, started_at=FRIDAY)
        do("say-left", task.pk, left="2 h 30")
        task.refresh_from_db()
        assert task.left_minutes == 150

    def test_what_is_no_number_of_hours_is_refused_in_words(self, do, make_task):
        task = make_task("1", 5, started_at=FRIDAY)
        assert "“some” is not a number of hours" in said(do("say-left", task.pk, left="some"))
        task.refresh_from_db()
        assert task.left_minutes is None

    def test_nothing_goes_back_to_the_estimate(self, do, make_task):
        task = make_task("1", 5, started_at=FRIDAY, left_minutes=60)
        do("say-left", task.pk, left="")
        task.refresh_from_db()
        assert task.left_minutes is None


class TestFinish:
    def test_a_task_without_parts_is_finished_at_once(self, do, make_task, build):
        response = do("finish-task", make_task("1").pk)
        assert response.redirect_chain[-1][0].startswith(reverse("bench", args=[build.slug]))
        assert "Finished 1 Task 1." in said(response)

    def test_parts_make_it_ask_what_was_used(self, do, make_task, glue_for):
        task = make_task("1")
        glue_for(task, "0.5")
        response = do("finish-task", task.pk)
        assert response.redirect_chain[-1][0] == reverse(
            "confirm-use", args=["tender", Act.objects.get().pk]
        )
        page = response.content.decode()
        assert "What did it use?" in page
        assert 'value="0.5"' in page
        assert not StockMove.objects.exists()

    def test_confirmed_use_leaves_the_stock_and_undo_gives_it_back(
        self, do, make_task, glue_for, epoxy, in_stock, build
    ):
        task = make_task("1")
        glue_for(task, "0.5")
        in_stock(epoxy, "2")
        do("finish-task", task.pk)
        act = Act.objects.get()
        do("confirm-use", act.pk, **{f"use-{epoxy.pk}": "0,7"})
        assert stock_of(build)[epoxy.pk] == Decimal("1.3")
        do("undo-act", act.pk)
        assert stock_of(build)[epoxy.pk] == Decimal("2")
        task.refresh_from_db()
        assert task.finished_at is None

    def test_confirming_twice_takes_it_once(self, do, make_task, glue_for, epoxy, build):
        task = make_task("1")
        glue_for(task)
        do("finish-task", task.pk)
        act = Act.objects.get()
        do("confirm-use", act.pk, **{f"use-{epoxy.pk}": "0.5"})
        do("confirm-use", act.pk, **{f"use-{epoxy.pk}": "0.5"})
        assert stock_of(build)[epoxy.pk] == Decimal("-0.5")

    def test_two_pages_that_confirm_at_once_take_it_once(
        self, build, owner, make_task, glue_for, epoxy
    ):
        task = make_task("1")
        glue_for(task)
        act = acts.finish(task, owner, FRIDAY)
        uses = [Use(epoxy, Decimal("0.5"))]
        actions.confirm_use(act, uses, owner)
        with pytest.raises(actions.CannotDo, match="already"):
            actions.confirm_use(act, uses, owner)
        assert stock_of(build)[epoxy.pk] == Decimal("-0.5")

    def test_nothing_used_is_an_answer_too(self, do, make_task, glue_for, epoxy):
        task = make_task("1")
        glue_for(task)
        do("finish-task", task.pk)
        act = Act.objects.get()
        do("confirm-use", act.pk, **{f"use-{epoxy.pk}": "0"})
        assert not StockMove.objects.exists()
        assert actions.proposed_use(Act.objects.get()) == []

    def test_what_was_undone_meanwhile_takes_nothing(self, owner, make_task, glue_for, epoxy):
        task = make_task("1")
        glue_for(task)
        act = acts.finish(task, owner, FRIDAY)
        actions.undo(act, owner, FRIDAY)
        with pytest.raises(actions.CannotDo, match="was undone"):
            actions.confirm_use(act, [Use(epoxy, Decimal(1))], owner)
        assert not StockMove.objects.exists()

    def test_bad_amounts_are_refused_and_kept_to_correct(self, do, make_task, glue_for, epoxy):
        task = make_task("1")
        glue_for(task)
        do("finish-task", task.pk)
        response = do("confirm-use", Act.objects.get().pk, **{f"use-{epoxy.pk}": "half"})
        assert response.status_code == 422
        assert 'value="half"' in response.content.decode()
        assert not StockMove.objects.exists()

    def test_a_double_click_finishes_once(self, do, make_task):
        task = make_task("1")
        do("finish-task", task.pk)
        do("finish-task", task.pk)
        assert Act.objects.count() == 1

    def test_undo_of_an_older_act_is_refused_in_words(self, do, make_task):
        task = make_task("1")
        do("start-task", task.pk)
        do("finish-task", task.pk)
        first = Act.objects.order_by("pk").first()
        assert "Undo the newest first" in said(do("undo-act", first.pk))
