from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext


@pytest.fixture
def same_queries(build, as_person):
    """Check that a page takes as many queries with 30 rows as with 3, nothing in the cache.

    `add(n)` adds the n-th row.
    """

    def count(client, url: str) -> int:
        build.touch_plan()
        build.touch_books()
        with CaptureQueriesContext(connection) as queries:
            assert client.get(url).status_code == 200
        return len(queries)

    def check(person, url: str, add) -> None:
        client = as_person(person)
        for n in range(3):
            add(n)
        client.get(url)  # what is only asked once is asked now
        few = count(client, url)
        for n in range(3, 30):
            add(n)
        assert count(client, url) == few

    return check


@pytest.fixture
def statuses(request, as_person):
    """What each of the crew and a stranger are answered: `statuses(lambda client: …)`."""

    def ask(do) -> dict[str, int]:
        people = ("owner", "planner", "hand", "onlooker", "stranger")
        return {who: do(as_person(request.getfixturevalue(who))).status_code for who in people}

    return ask
