from __future__ import annotations

import pytest

from tasks.models import ShopHours, Stage


@pytest.fixture
def weekend(build) -> None:
    """Eight hours on Saturday and Sunday, three on Tuesday evening, in the zone UTC."""
    build.time_zone = "UTC"
    build.save()
    ShopHours.objects.filter(build=build).delete()
    for weekday, start, end in ((5, 9, 17), (6, 9, 17), (1, 18, 21)):
        ShopHours.objects.create(
            build=build, weekday=weekday, start_minute=start * 60, end_minute=end * 60
        )


@pytest.fixture
def cabin(build) -> Stage:
    return Stage.objects.create(build=build, name="Cabin", order=2)


@pytest.fixture
def by(as_person, owner, planner, hand, onlooker, stranger):
    people = {
        "owner": owner, "planner": planner, "hand": hand, "onlooker": onlooker,
        "stranger": stranger,
    }  # fmt: skip
    return {name: as_person(person) for name, person in people.items()}
