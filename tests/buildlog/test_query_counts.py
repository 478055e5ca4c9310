"""No page and no list of the API asks the database more often because there are more rows.

Every address of the project is asked for in two builds, one with ten times the rows of the other
in every table: both must take the same number of queries, with an empty cache and with a full one.
"""

from __future__ import annotations

import functools
import logging
from collections.abc import Iterable
from dataclasses import dataclass, field

import pytest
from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils import timezone

from tasks.models import Person, Task
from tests.benchmarks.pages import Asked, asked_of
from tests.benchmarks.scenario import SMALL, Scenario, make_scenario
from tests.queries import noted_queries

TIMES = 10

# What answers an owner who only asks with something else than a page.
NO_PAGE = {
    "front /": 302,  # on to their one build
    "first /first/first-…/": 302,  # there is an owner already
    "photos-chosen /b/…/photos/chosen/": 302,  # none was chosen
    "list-out /b/…/lists/out/all.csv": 404,  # all together come as a workbook
}


@pytest.fixture(autouse=True)
def one_moment(monkeypatch):
    """The minute does not pass: a plan kept in the cache is one of this minute."""
    now = timezone.now()
    monkeypatch.setattr(timezone, "now", lambda: now)


@pytest.fixture
def few(db) -> Scenario:
    return make_scenario(SMALL, slug="few", one=5_000_000)


@pytest.fixture
def many(db, request) -> Scenario:
    return make_scenario(SMALL.times(request.param), slug="many", one=6_000_000)


@pytest.fixture
def ask(as_person, django_capture_on_commit_callbacks, caplog):
    """Ask for an address with an empty cache, and again; give its status and the counts."""
    caplog.set_level(logging.CRITICAL, "django.request")  # of what is refused, none is news

    as_one = functools.cache(as_person)

    def ask_often(person: Person, asked: Asked, often: int) -> tuple[int, list[int]]:
        client, counts = as_one(person), []
        cache.clear()
        for _ in range(often):
            # What goes into a cache does so on commit, which no test comes to by itself.
            with (
                noted_queries() as queries,
                django_capture_on_commit_callbacks(execute=True),
            ):
                answer = client.get(asked.url)
                if answer.streaming:
                    b"".join(answer.streaming_content)
            counts.append(len(queries))
            if answer.status_code != 200:
                break
        return answer.status_code, counts

    return ask_often


@dataclass
class Found:
    """The status of each address, and those whose number of queries grew with the rows."""

    statuses: dict[str, int] = field(default_factory=dict)
    grown: list[str] = field(default_factory=list)


def compare(ask, few: tuple[Scenario, Person], many: tuple[Scenario, Person], often: int) -> Found:
    found = Found()
    for one, other in zip(asked_of(few[0]), asked_of(many[0]), strict=True):
        assert one.what == other.what
        status, counts = ask(few[1], one, often)
        found.statuses[one.what] = status
        if status in (403, 405):  # not for this person, or only posted to
            continue
        status_there, counts_there = ask(many[1], other, often)
        assert status_there == status, one.what
        if counts_there != counts:
            found.grown.append(f"{one.what}: {counts} queries, {counts_there} with more rows")
    return found


def no_page(statuses: dict[str, int], fine: Iterable[int]) -> dict[str, int]:
    """Addresses that gave no page, so that their queries were not looked at after all."""
    return {
        what: status
        for what, status in statuses.items()
        if status not in (*fine, NO_PAGE.get(what))
    }


@pytest.mark.parametrize("many", [TIMES], indirect=True)
def test_no_page_asks_more_where_there_is_more(ask, few, many):
    found = compare(ask, (few, few.owner), (many, many.owner), often=2)
    assert not found.grown, "\n".join(found.grown)
    assert not no_page(found.statuses, fine=(200, 405))


@pytest.mark.parametrize("many", [TIMES], indirect=True)
def test_which_rows_a_hand_may_change_is_known_without_asking_for_each(ask, few, many):
    found = compare(ask, (few, few.rows["person"][1]), (many, many.rows["person"][1]), often=1)
    assert not found.grown, "\n".join(found.grown)
    assert not no_page(found.statuses, fine=(200, 403, 405))


def bad(request: HttpRequest, slug: str) -> HttpResponse:
    """What no page should be: a query for each row."""
    return HttpResponse(
        ", ".join(task.stage.name for task in Task.objects.filter(build__slug=slug))
    )


def good(request: HttpRequest, slug: str) -> HttpResponse:
    tasks = Task.objects.filter(build__slug=slug).select_related("stage")
    return HttpResponse(", ".join(task.stage.name for task in tasks))


urlpatterns = [
    path("b/<slug:slug>/bad/", bad, name="bad"),
    path("b/<slug:slug>/good/", good, name="good"),
]


@pytest.mark.urls(__name__)
@pytest.mark.parametrize("many", [2], indirect=True)
def test_a_page_that_does_is_found(ask, few, many):
    """The test above fails where it must."""
    found = compare(ask, (few, few.owner), (many, many.owner), often=1)
    assert set(found.statuses.values()) == {200}
    assert len(found.grown) == 1
    assert found.grown[0].startswith("bad /b/…/bad/: ")
