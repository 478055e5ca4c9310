"""What is dragged on the drawn plan, and taken back."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from django.urls import reverse

from tasks import acts
from tasks.models import HelpDay, Link

from .conftest import FRIDAY


@pytest.fixture
def send(build, planner, as_person):
    """Post to an address of the build and follow to the page it leads to."""
    client = as_person(planner)

    def post(address, *args, **data):
        return client.post(reverse(address, args=[build.slug, *args]), data, follow=True)

    post.client = client
    return post


def undo_of(response) -> str:
    return re.search(r'action="([^"]*/plan/undo/[^"]*)"', response.content.decode())[1]


def words_of(response) -> str:
    return " ".join(str(message) for message in response.context["messages"])


class TestReach:
    def test_the_hours_till_the_end_of_the_day_become_the_likely_ones(self, send, make_task):
        task = make_task("1", 2)
        answer = send("reach-day", task.pk, until="2026-11-15")
        task.refresh_from_db()
        # Six hours on Saturday and four on Sunday.
        assert (task.low_minutes, task.likely_minutes, task.high_minutes) == (120, 600, 600)
        assert "1 Task 1 takes 10 h now, instead of 2 h." in answer.content.decode()

    def test_it_is_taken_back_with_one_click(self, send, make_task):
        task = make_task("1", 2)
        answer = send.client.post(undo_of(send("reach-day", task.pk, until="2026-11-15")))
        task.refresh_from_db()
        assert answer.status_code == 302
        assert (task.likely_minutes, task.high_minutes) == (120, 120)

    def test_hours_are_those_of_all_hands_and_only_while_they_are_there(
        self, send, build, make_task
    ):
        HelpDay.objects.create(build=build, who="A friend", weekday=5)
        task = make_task("1", 2, hands=2)
        send("reach-day", task.pk, until="2026-11-15")
        task.refresh_from_db()
        assert task.likely_minutes == 2 * 6 * 60

    def test_of_what_is_in_hand_the_worked_hours_count_too(self, send, planner, make_task, friday):
        task = make_task("1", 2)
        acts.start(task, planner, FRIDAY)
        acts.stop(task, planner, FRIDAY + dt.timedelta(hours=1))
        friday.shift(dt.timedelta(hours=1))
        send("reach-day", task.pk, until="2026-11-14")
        task.refresh_from_db()
        assert task.likely_minutes == (1 + 6) * 60

    @pytest.mark.parametrize(
        ("until", "said"),
        [("2026-11-13", "till then there are no hours"), ("soon", "is no day"),
         ("", "is no day"), ("9999-12-31", "is no day"), ("2031-01-01", "three years")],
    )  # fmt: skip
    def test_a_day_that_cannot_be_is_told_and_changes_nothing(self, send, make_task, until, said):
        task = make_task("1", 2)
        assert said in words_of(send("reach-day", task.pk, until=until))
        task.refresh_from_db()
        assert task.likely_minutes == 120

    def test_what_is_done_or_said_to_be_left_is_not_changed_so(self, send, make_task):
        done = make_task("1", started_at=FRIDAY, finished_at=FRIDAY)
        left = make_task("2", left_minutes=30, left_said_at=FRIDAY)
        assert "is finished" in words_of(send("reach-day", done.pk, until="2026-11-15"))
        assert "how much is left" in words_of(send("reach-day", left.pk, until="2026-11-15"))


class TestPinToADay:
    def test_the_first_hour_of_the_day_is_asked_about_and_then_pinned(self, send, make_task):
        task = make_task("1", 2)
        asked = send("task-place", task.pk, what="pin", day="2026-11-22", back="/b/tender/plan/")
        assert "What that costs" in asked.content.decode()
        task.refresh_from_db()
        assert task.pinned_at is None
        at = re.search(r'name="at" value="([^"]+)"', asked.content.decode())[1]
        assert at == "2026-11-22T10:00"
        done = send(
            "task-place", task.pk, what="pin", at=at, sure="yes", back="/b/tender/plan/"
        )  # fmt: skip
        assert done.redirect_chain[-1][0] == "/b/tender/plan/"
        task.refresh_from_db()
        assert task.pinned_at == dt.datetime(2026, 11, 22, 9, tzinfo=dt.UTC)
        send.client.post(undo_of(done))
        task.refresh_from_db()
        assert task.pinned_at is None

    @pytest.mark.parametrize("day", ["2026-11-23", "2026-11-01", "never", "9999-12-31"])
    def test_a_day_without_hours_is_told(self, send, make_task, day):
        answer = send("task-place", make_task("1", 2).pk, what="pin", day=day)
        assert answer.status_code == 422
        assert "no hours with enough hands" in answer.content.decode()

    def test_two_hands_wait_for_the_helper(self, send, build, make_task):
        HelpDay.objects.create(build=build, who="A friend", weekday=5, start_minute=720)
        task = make_task("1", 2, hands=2)
        asked = send("task-place", task.pk, what="pin", day="2026-11-21")
        assert 'value="2026-11-21T12:00"' in asked.content.decode()


class TestUndo:
    def test_links_made_and_removed(self, send, make_task):
        first, then = make_task("1"), make_task("2")
        made = send(
            "task-links", then.pk, other="1", way="before", kind="finish-start",
            lag_minutes="0", lag_in="shop", waits_for_cure="on", back="/b/tender/plan/network/",
        )  # fmt: skip
        assert made.redirect_chain[-1][0] == "/b/tender/plan/network/"
        link = Link.objects.get()
        assert (link.before, link.after) == (first, then)
        removed = send("remove-link", link.pk)
        send.client.post(undo_of(removed))
        assert Link.objects.get().pk == link.pk
        send.client.post(undo_of(made))
        assert not Link.objects.exists()

    def test_a_ring_is_refused_with_its_path(self, send, make_task, link):
        first, then = make_task("1"), make_task("2")
        link(first, then)
        answer = send(
            "task-links", first.pk, other="2", way="before", kind="finish-start",
            lag_minutes="0", lag_in="shop", waits_for_cure="on",
        )  # fmt: skip
        assert answer.status_code == 422
        assert "Task 1" in answer.content.decode() and "Task 2" in answer.content.decode()
        assert Link.objects.count() == 1

    def test_a_task_changed_by_its_form(self, send, build, make_task):
        task = make_task("1", 2)
        page = send.client.get(reverse("edit-task", args=[build.slug, task.pk]))
        form = page.context["form"]
        data = {one.html_name: one.value() for one in form if one.value() not in (None, False, "")}
        data |= {"name": "Renamed", "low_minutes": "1", "likely_minutes": "2", "high_minutes": "3"}
        answer = send("edit-task", task.pk, **data)
        task.refresh_from_db()
        assert task.name == "Renamed"
        send.client.post(undo_of(answer))
        task.refresh_from_db()
        assert (task.name, task.high_minutes) == ("Task 1", 120)

    def test_what_was_never_signed_is_refused_kindly(self, send):
        assert "cannot be taken back" in words_of(send("undo-change", "nonsense"))


@pytest.mark.parametrize(("who", "status"), [("hand", 403), ("onlooker", 403), ("stranger", 404)])
@pytest.mark.parametrize("name", ["reach-day", "undo-change"])
def test_who_may_not_plan_changes_nothing(request, build, as_person, make_task, who, status, name):
    task = make_task("1", 2)
    url = reverse(name, args=[build.slug, task.pk if name == "reach-day" else "token"])
    client = as_person(request.getfixturevalue(who))
    assert client.post(url, {"until": "2026-11-15"}).status_code == status
    task.refresh_from_db()
    assert task.likely_minutes == 120
