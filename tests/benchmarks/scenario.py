"""A build of any size, every room of it filled, written by bulk inserts.

What hangs on what follows from a seed, so that two scenarios of one size are alike. In every table
one row has the number `Scenario.one`, so that an address is filled in with one number whatever it
leads to; `Sizes.on_one` says how many rows of each kind hang on that row.
"""

from __future__ import annotations

import datetime as dt
import random
from dataclasses import dataclass, field, fields, replace
from typing import Any, TypeVar

from django.db import transaction
from django.db.models import Model
from django.utils import timezone

from tasks.models import Build, Person

Row = TypeVar("Row", bound=Model)


@dataclass(frozen=True)
class Sizes:
    """How many rows of each; the defaults are the large build that pages must stay quick at."""

    stages: int = 40
    tasks: int = 3_000
    links: int = 7_500
    days_off: int = 60
    help: int = 20
    crew: int = 12
    acts: int = 3_000
    baselines: int = 6
    records: int = 120
    entries: int = 5_000
    photos: int = 20_000
    materials: int = 60
    suppliers: int = 15
    parts: int = 3_000
    purchases: int = 500
    lines: int = 2_000
    moves: int = 8_000
    standing_costs: int = 6
    supporters: int = 400
    contributions: int = 1_200
    updates: int = 80
    jobs: int = 1_000
    on_one: int = 40

    def times(self, factor: int) -> Sizes:
        """The same with so many times the rows of every kind."""
        return replace(self, **{one.name: getattr(self, one.name) * factor for one in fields(self)})


LARGE = Sizes()
SMALL = Sizes(
    stages=3, tasks=30, links=60, days_off=3, help=2, crew=3, acts=20, baselines=2,
    records=6, entries=20, photos=30,
    materials=9, suppliers=3, parts=30, purchases=8, lines=20, moves=60, standing_costs=2,
    supporters=4, contributions=8, updates=6, jobs=8, on_one=3,
)  # fmt: skip


@dataclass
class Scenario:
    """A build while it is filled, and what the next room needs of those before it."""

    build: Build
    owner: Person
    sizes: Sizes
    one: int
    now: dt.datetime
    random: random.Random = field(default_factory=lambda: random.Random(1))
    rows: dict[str, list[Any]] = field(default_factory=dict)
    #: Tokens of addresses, by the name of the address.
    tokens: dict[str, str] = field(default_factory=dict)

    def add(self, rows: list[Row]) -> list[Row]:
        """Write rows of one table; the first of them gets the number that is known."""
        model = type(rows[0])
        if not model._default_manager.filter(pk=self.one).exists():
            rows[0].pk = self.one
        made = model._default_manager.bulk_create(rows, batch_size=2_000)
        self.rows[model._meta.model_name] = made
        return made

    def any(self, kind: str) -> Any:
        """One of the rows of a kind, by its model's name."""
        return self.random.choice(self.rows[kind])

    def often_one(self, place: int, kind: str) -> Any:
        """The known row of a kind for the first `on_one` places, any of them for the others."""
        return self.rows[kind][0] if place < self.sizes.on_one else self.any(kind)

    def day(self, days_ago: float) -> dt.date:
        return (self.now - dt.timedelta(days=days_ago)).date()


@transaction.atomic
def make_scenario(
    sizes: Sizes = LARGE, *, slug: str = "large", one: int = 5_000_000,
    now: dt.datetime | None = None,
) -> Scenario:  # fmt: skip
    """Fill a new build of that address, its owner and its crew with so many rows of everything.

    `one` must be above any number that a table would give by itself, and not taken.
    """
    from tests.benchmarks import (
        scenario_ahead,
        scenario_journal,
        scenario_materials,
        scenario_plan,
        scenario_share,
    )

    now = now or timezone.now()
    owner = Person.objects.create_user(f"owner-{slug}", password=None, name="Olive", pk=one)
    build = Build(
        name="Marram", slug=slug, time_zone="Europe/Paris", currency="EUR", pk=one,
        started=(now - dt.timedelta(days=900)).date(),
    )  # fmt: skip
    build.save(force_insert=True)
    scenario = Scenario(build, owner, sizes, one, now)
    for room in (scenario_plan, scenario_materials, scenario_journal, scenario_share):
        room.fill(scenario)
    build.touch_plan()
    build.touch_books()
    scenario_ahead.fill(scenario)
    return scenario
