"""What was reckoned ahead of a scenario: changes that would move the launch, and some taken."""

from __future__ import annotations

import datetime as dt
from itertools import cycle

from buildlog.ahead.models import Taken
from buildlog.ahead.moves import BoughtIn, Evening, Heating, Helper, LeftOut, to_row
from tasks.models import Answer, AnswerKind, HeatedDays
from tests.benchmarks.scenario import Scenario

DAY = 1440


def fill(scenario: Scenario) -> None:
    """For the plan as it stands now: what changes it afterwards ages it."""
    build, size = scenario.build, scenario.sizes.help
    days = [scenario.day(-40 - n) for n in range(size)]
    scenario.add([HeatedDays(build=build, first=day, last=day) for day in days])
    build.touch_plan()
    build.refresh_from_db()
    _answers(scenario)
    scenario.add(
        [
            Taken(
                build=build, person=scenario.owner, at=scenario.now, says=f"A helper, time {n}",
                move=to_row(Helper(1, 5)), made={"help": 0}, key=f"{build.slug}-{n}",
            )
            for n in range(size)
        ]
    )  # fmt: skip


def _answers(scenario: Scenario) -> None:
    build, launch = scenario.build, int(scenario.now.timestamp() // 60) + 900 * DAY
    moves = [Evening(0, 300, 360), Helper(1, 5)]
    moves += [
        Heating(day, day + dt.timedelta(days=20))
        for day in (scenario.day(-20 - 30 * n) for n in range(scenario.sizes.help))
    ]
    moves += [LeftOut(stage.pk) for stage in scenario.rows["stage"]]
    moves += [BoughtIn((task.pk,)) for task in scenario.rows["in plan order"]]
    rows = [
        {**to_row(move), "launch": launch - days * DAY, "to_finish": "9000.5"}
        for move, days in zip(moves, cycle(range(5)), strict=False)
    ]
    figures = {
        AnswerKind.MOVES: {
            "launch": launch, "to_finish": "10000", "books": build.books_version, "moves": rows,
        },
    }  # fmt: skip
    Answer.objects.bulk_create(
        Answer(
            build=build, kind=kind, plan_version=build.plan_version, made_at=scenario.now,
            figures=held,
        )
        for kind, held in figures.items()
    )  # fmt: skip
