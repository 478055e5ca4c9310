"""A build with work in every state, and a way to count the queries of a page."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
import time_machine
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext

from buildlog.materials.models import Material, Part, StockMove
from tasks.models import Link

#: A Friday evening: the six hours of Saturday and the four of Sunday lie ahead.
FRIDAY = dt.datetime(2026, 11, 13, 18, 0, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def friday():
    with time_machine.travel(FRIDAY, tick=False) as traveller:
        yield traveller


@pytest.fixture
def ply(build):
    return Material.objects.create(
        build=build, name="Ply 9 mm", kind="sheet", unit="sheet", length_mm=2500, width_mm=1220,
        thickness_mm=9,
    )  # fmt: skip


@pytest.fixture
def epoxy(build):
    return Material.objects.create(
        build=build, name="Epoxy", kind="resin", unit="kg", density=1100, waste_percent=0
    )


@pytest.fixture
def glue_for(build, epoxy):
    """Give a task a part that uses an amount of epoxy."""

    def give(task, kg="0.5"):
        return Part.objects.create(
            build=build, name="Glue", task=task, material=epoxy, quantity=Decimal(kg)
        )

    return give


@pytest.fixture
def in_stock(build):
    def put(material, amount):
        return StockMove.objects.create(
            build=build, material=material, day=FRIDAY.date(), kind="bought",
            quantity=Decimal(amount),
        )  # fmt: skip

    return put


@pytest.fixture
def link():
    def tie(before, after, **more):
        return Link.objects.create(build=before.build, before=before, after=after, **more)

    return tie


@pytest.fixture
def queries_of():
    """The queries of a page that nothing of is cached."""

    def count(client, url: str) -> list[str]:
        cache.clear()
        with CaptureQueriesContext(connection) as caught:
            response = client.get(url)
        assert response.status_code == 200, url
        return [query["sql"] for query in caught.captured_queries]

    return count
