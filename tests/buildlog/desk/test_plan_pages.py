from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from itertools import pairwise

import defusedxml.ElementTree as ET
import pytest
from django.urls import reverse

from buildlog.desk.network_values import boxes_of
from buildlog.desk.plan_timing import Timing
from buildlog.desk.plan_values import hours_by_week
from buildlog.desk.plan_views import timing_of
from buildlog.desk.plan_window import MOST_ROWS, open_stages, window_of
from buildlog.drawing.plan_bars import Band
from tasks.baselines import keep_baseline
from tasks.models import HelpDay, Link, Stage, Task, Work
from tasks.plan import plan_of

from .conftest import FRIDAY


@pytest.fixture
def page(build, owner, as_person):
    def get(name, query=""):
        response = as_person(owner).get(reverse(name, args=[build.slug]) + query)
        assert response.status_code == 200
        return response

    return get


def drawings(response) -> list[ET.Element]:
    found = re.findall(r"<svg xmlns=.*?</svg>", response.content.decode(), re.S)
    return [ET.fromstring(one) for one in found]


def of_class(root, name):
    return [one for one in root.iter() if name in (one.get("class") or "").split()]


class Query(dict):
    """As a query string is read: the last value of a name."""


class TestBars:
    def test_every_task_of_an_open_stage_has_a_name_and_a_bar(self, page, make_task, link):
        first, then = make_task("1", 5), make_task("2", 5)
        make_task("3", 1)
        link(first, then)
        response = page("plan")
        [chart] = drawings(response)
        assert len(of_class(chart, "b-heavy")) == 2
        assert len(of_class(chart, "b-light")) == 1
        assert response.content.decode().count("/tasks/") >= 3

    def test_it_says_the_launch_and_what_sets_it(self, page, make_task):
        make_task("1", 6)
        words = page("plan").content.decode()
        assert "Launch Sat 14 Nov 2026" in words
        assert "sets the launch" in words

    def test_it_is_drawn_in_the_order_that_the_hands_allow(self, page, make_task):
        make_task("1", 6)
        make_task("2", 6)
        reckoned = page("plan", "?fresh=yes")
        assert "with the hands there are" in reckoned.content.decode()
        [chart] = drawings(reckoned)
        first, second = (float(bar.get("x")) for bar in of_class(chart, "b-heavy"))
        assert first != second
        [chart] = drawings(page("plan", "?hands=endless"))
        first, second = (float(bar.get("x")) for bar in of_class(chart, "b-heavy"))
        assert first == second

    def test_a_page_that_has_no_order_yet_sends_for_one_and_leads_to_it(self, page, make_task):
        make_task("1", 6)
        words = page("plan").content.decode()
        assert 'hx-get="?span=launch&amp;open=' in words
        assert "The order of work is being reckoned." in words
        assert 'hx-get="' not in page("plan", "?fresh=yes").content.decode()
        assert 'hx-get="' not in page("plan").content.decode()  # it is kept now

    def test_an_order_that_has_aged_is_drawn_at_once_and_said_to_be_old(self, page, make_task):
        make_task("1", 6)
        page("plan", "?fresh=yes")
        make_task("2", 6)
        response = page("plan")
        assert "what changed since is being put in" in response.content.decode()
        assert drawings(response)

    def test_the_piece_that_is_sent_for_is_no_whole_page(self, build, owner, as_person, make_task):
        make_task("1", 6)
        url = reverse("plan", args=[build.slug]) + "?fresh=yes"
        words = as_person(owner).get(url, headers={"HX-Request": "true"}).content.decode()
        assert words.lstrip().startswith('<div id="drawn"')
        assert "<html" not in words

    def test_the_table_has_the_rows_of_the_bars(self, page, make_task):
        for number in range(3):
            make_task(str(number), 2)
        words = page("plan", "?fresh=yes&as=table").content.decode()
        assert "<svg xmlns" not in words
        for number in range(3):
            assert f"Task {number}</a>" in words
        assert words.count('data-label="May end by"') == 3

    def test_a_pin_is_marked(self, page, make_task):
        make_task("1", 2, pinned_at=dt.datetime(2026, 11, 21, 8, 0, tzinfo=dt.UTC))
        response = page("plan", "?fresh=yes")
        [chart] = drawings(response)
        assert len(of_class(chart, "b-pin")) == 2
        assert ", pinned" in response.content.decode()

    def test_the_baseline_lies_beneath_the_bars(self, build, owner, page, make_task):
        make_task("1", 2)
        keep_baseline(build, "As first planned", owner)
        make_task("2", 2)
        [chart] = drawings(page("plan", "?fresh=yes"))
        assert len(of_class(chart, "b-earlier")) == 1
        assert "Was to end" in page("plan", "?as=table").content.decode()

    def test_done_stages_are_folded_until_asked(self, page, build, make_task):
        before = Stage.objects.create(build=build, name="Lofting", order=0)
        at = FRIDAY - dt.timedelta(days=3)
        make_task("L", stage=before, started_at=at, finished_at=at)
        make_task("1")
        assert "Unfold </span>Lofting" in page("plan").content.decode()
        assert "Fold </span>Lofting" in page("plan", "?open=all").content.decode()
        assert "Unfold </span>Frames" in page("plan", "?open=").content.decode()

    def test_folding_and_unfolding_keeps_the_rest_of_the_view(self, page, make_task, stage):
        make_task("1")
        words = page("plan", f"?span=13&from=2026-11-09&open={stage.pk}").content.decode()
        assert "?span=13&amp;from=2026-11-09&amp;open=" in words

    @pytest.mark.parametrize(
        "query", ["?hands=none&as=picture&fresh=perhaps", "?span=never",
                  "?from=nonsense&span=13", "?open=a-b-999999999999999999999",
                  "?from=9999-12-31&span=52", "?from=0001-01-01&span=52", "?open=%00"],
    )  # fmt: skip
    def test_an_address_asked_badly_is_still_answered(self, page, make_task, query):
        make_task("1")
        assert drawings(page("plan", query))
        assert page("plan-network", query)

    def test_problems_of_the_plan_are_told(self, page, make_task):
        make_task("1", 9, unbroken=True)
        assert "must be done in one go" in page("plan").content.decode()

    def test_no_tasks_is_no_error(self, page):
        assert "No tasks yet" in page("plan").content.decode()
        assert "No tasks yet" in page("plan-network").content.decode()

    def test_thousands_of_tasks_come_folded(self, build, stage, page):
        Task.objects.bulk_create(
            Task(build=build, stage=stage, code=str(n), name=f"Task {n}")
            for n in range(MOST_ROWS + 1)
        )
        [chart] = drawings(page("plan"))
        assert float(chart.get("height")) < 300


class TestWindow:
    def test_till_launch_begins_four_weeks_ago_and_ends_after_it(self, build, make_task):
        make_task("1", 60)
        plan = plan_of(build)
        window = window_of(Query(), plan)
        assert window.first == dt.date(2026, 10, 12)
        assert window.last > plan.launch.date()

    def test_thirteen_weeks_can_be_moved(self, build, make_task):
        make_task("1")
        window = window_of(Query(span="13"), plan_of(build))
        assert window.last - window.first == dt.timedelta(weeks=13)
        assert window.moved(1) == window.last

    def test_all_of_it_begins_with_the_first_work(self, build, make_task):
        at = FRIDAY - dt.timedelta(days=400)
        make_task("1", started_at=at, finished_at=at)
        window = window_of(Query(span="all"), plan_of(build))
        assert window.first <= at.date()

    def test_stages_beyond_what_stays_clear_are_folded(self, build, make_task):
        for number in range(4):
            more = Stage.objects.create(build=build, name=f"S{number}", order=number + 2)
            for place in range(3):
                make_task(f"{number}-{place}", stage=more)
        assert len(open_stages(Query(), plan_of(build), most=7)) == 2
        assert len(open_stages(Query(open="all"), plan_of(build), most_asked=9)) == 3


def endless(build) -> Timing:
    return timing_of(plan_of(build), endless=True)


def in_order(build) -> Timing:
    return timing_of(plan_of(build), fresh=True)


class TestHours:
    def test_what_is_left_is_laid_into_the_weeks_of_its_dates(self, build, make_task):
        make_task("1", 15, hands=1)  # ten hours this weekend, five the next
        weeks = hours_by_week(build, endless(build), dt.date(2026, 11, 9), dt.date(2026, 11, 30))
        assert [week.hours for week in weeks[:3]] == [10, 5, 0]
        assert [week.there for week in weeks[:3]] == [10, 10, 10]

    def test_hours_are_those_of_people(self, build, make_task):
        make_task("1", 20, hands=2)  # ten shop hours of two people
        weeks = hours_by_week(build, endless(build), dt.date(2026, 11, 9), dt.date(2026, 11, 16))
        assert weeks[0].hours == 20

    def test_in_the_order_of_work_no_week_takes_more_hands_than_there_are(self, build, make_task):
        HelpDay.objects.create(build=build, who="A friend", weekday=5)
        for number in range(6):
            make_task(str(number), 7, hands=1 + number % 2)
        first, last = dt.date(2026, 11, 9), dt.date(2027, 1, 11)
        weeks = hours_by_week(build, in_order(build), first, last)
        assert weeks[0].there == 16  # six hours on Saturday with two, four on Sunday
        assert all(week.hours <= week.there for week in weeks)
        assert sum(week.hours for week in weeks) == 42
        assert any(
            week.hours > week.there for week in hours_by_week(build, endless(build), first, last)
        )

    def test_what_was_worked_stands_in_its_week(self, build, owner, make_task):
        Work.objects.create(
            build=build, task=make_task("1"), person=owner, who="Olive", minutes=90,
            day=dt.date(2026, 11, 1),
        )  # fmt: skip
        weeks = hours_by_week(build, endless(build), dt.date(2026, 10, 26), dt.date(2026, 11, 16))
        assert weeks[0].hours == 1.5
        assert weeks[0].past


class TestBand:
    """Days till which the bars are drawn, with a forecast of the launch at their end."""

    def last_day(self, build, make_task, first, last):
        make_task("1", 60)  # six weekends
        timing = in_order(build)
        work = timing.last_day
        days = [work + dt.timedelta(days=n) for n in (first, last, first)]
        return (replace(timing, band=Band(*days)).last_day - work).days

    def test_a_band_near_the_launch_is_drawn_to_its_end(self, build, make_task):
        assert self.last_day(build, make_task, 2, 9) == 9

    def test_one_that_goes_on_for_long_is_followed_for_a_third_of_the_work(self, build, make_task):
        assert 9 < self.last_day(build, make_task, 2, 900) < 20

    def test_one_far_beyond_the_work_does_not_stretch_the_rule(self, build, make_task):
        assert self.last_day(build, make_task, 300, 900) == 0


class TestPicked:
    def url(self, build, task):
        return reverse("plan-task", args=[build.slug, task.pk])

    def test_it_says_both_dates_and_what_fixes_the_start(
        self, build, owner, as_person, make_task, link
    ):
        before, after = make_task("1", 3), make_task("2", 3)
        link(before, after)
        client = as_person(owner)
        client.get(reverse("plan", args=[build.slug]) + "?fresh=yes")
        words = client.get(self.url(build, after)).content.decode()
        for part in ("With the hands there are", "As if hands were endless", "1 Task 1", "<h1>"):
            assert part in words
        piece = client.get(self.url(build, after), headers={"HX-Request": "true"}).content.decode()
        assert "<html" not in piece and "Change its hours" in piece

    def test_who_may_not_plan_sees_no_way_to_change_it(self, build, hand, as_person, make_task):
        words = as_person(hand).get(self.url(build, make_task("1"))).content.decode()
        assert "Change its hours" not in words

    def test_there_is_no_such_task(self, build, owner, as_person):
        answer = as_person(owner).get(reverse("plan-task", args=[build.slug, 99]))
        assert answer.status_code == 404


class TestNetwork:
    def test_boxes_and_arrows_are_those_of_the_plan(self, page, make_task, link):
        link(make_task("1", 3), make_task("2", 3))
        [chart] = drawings(page("plan-network"))
        assert len(of_class(chart, "n-critical")) == 2
        assert len(of_class(chart, "n-heavy")) == 1

    def test_a_box_says_its_dates_and_a_script_where_it_leads(self, page, make_task, link):
        first, then = make_task("1", 3), make_task("2", 3)
        link(first, then)
        [chart] = drawings(page("plan-network"))
        boxes = {one.get("data-box"): one for one in of_class(chart, "n-task")}
        assert boxes[str(first.pk)].get("data-next") == str(then.pk)
        assert boxes[str(then.pk)].get("data-last") == str(first.pk)
        said = boxes[str(first.pk)].get("aria-label")
        assert "Task 1" in said and "Early 14 Nov to 14 Nov" in said and "no float" in said

    def test_the_table_says_what_the_boxes_and_links_say(self, page, make_task, link):
        link(make_task("1", 3), make_task("2", 3))
        words = page("plan-network", "?as=table").content.decode()
        assert "<svg xmlns" not in words
        assert "<strong>1</strong> fixes its start" in words
        assert words.count('data-label="Early start"') == 2

    def test_what_is_done_is_left_out_until_asked(self, page, make_task, link):
        at = FRIDAY - dt.timedelta(days=3)
        link(make_task("1", started_at=at, finished_at=at), make_task("2"))
        [chart] = drawings(page("plan-network"))
        assert not of_class(chart, "n-done")
        [chart] = drawings(page("plan-network", "?done=yes&open=all"))
        assert len(of_class(chart, "n-done")) == 1

    def test_a_folded_stage_is_one_box_with_its_links_joined(self, build, make_task, link, stage):
        deck = Stage.objects.create(build=build, name="Deck", order=2)
        frames = [make_task(str(n)) for n in range(3)]
        decks = [make_task(f"d{n}", stage=deck) for n in range(2)]
        for before in frames:
            for after in decks:
                link(before, after)
        boxes, arrows = boxes_of(
            plan_of(build), set(), "/0/", {stage.pk: "", deck.pk: ""}, with_done=False
        )
        assert [(box.name, box.folded) for box in boxes] == [("Frames", 3), ("Deck", 2)]
        assert len(arrows) == 1

    def test_the_four_kinds_and_lags_are_written_on_the_links(self, page, make_task, link):
        tasks = [make_task(str(n), 3) for n in range(5)]
        kinds = ("finish-start", "start-start", "finish-finish", "start-finish")
        for (before, after), kind in zip(pairwise(tasks), kinds, strict=True):
            link(before, after, kind=kind, lag_minutes=90, lag_in="elapsed")
        words = page("plan-network").content.decode()
        for label in ("+ 1 h 30 by the clock", "start to start", "finish to finish",
                      "start to finish"):  # fmt: skip
            assert label in words


@pytest.mark.parametrize("name", ["plan", "plan-network", "bench"])
def test_queries_do_not_grow_with_rows(
    build, owner, as_person, queries_of, make_task, glue_for, name
):
    def grow(start, count):
        made = []
        for number in range(start, start + count):
            more = Stage.objects.create(build=build, name=f"Stage {number}", order=number)
            task = make_task(str(number), stage=more)
            glue_for(task)
            made.append(task)
            Work.objects.create(
                build=build, task=task, person=owner, who="O", day=FRIDAY, minutes=5
            )
        for before, after in pairwise(made):
            Link.objects.create(build=build, before=before, after=after)

    url = reverse(name, args=[build.slug])
    grow(0, 3)
    few = queries_of(as_person(owner), url)
    grow(3, 27)
    many = queries_of(as_person(owner), url)
    assert len(many) == len(few), "\n".join(many)
