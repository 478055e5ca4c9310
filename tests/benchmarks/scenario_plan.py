"""The plan of a scenario: crew, hours, stages, tasks, links, work and acts."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

from tasks.models import (
    Act,
    ActKind,
    Baseline,
    Crew,
    DayOff,
    HelpDay,
    LaunchRecord,
    Link,
    Person,
    Role,
    ShopHours,
    Stage,
    Task,
    TaskThing,
    Thing,
    Work,
    WorkLimit,
)
from tasks.network.causes import Facts, Record, TaskFacts
from tasks.packing import Kept, pack
from tests.benchmarks.scenario import Scenario

DONE_PART = 0.3  # of the tasks
IN_HAND = 2
REACH = 60  # a link reaches over at most so many tasks of the list


def fill(scenario: Scenario) -> None:
    _people(scenario)
    _hours(scenario)
    _stages(scenario)
    _tasks(scenario)
    _shed(scenario)
    _links(scenario)
    _work(scenario)
    _acts(scenario)
    _kept(scenario)


def _people(scenario: Scenario) -> None:
    build, owner = scenario.build, scenario.owner
    others = Person.objects.bulk_create(
        Person(username=f"hand-{build.slug}-{n}", name=f"Hand {n}", password="!")
        for n in range(1, scenario.sizes.crew)
    )
    scenario.rows["person"] = [owner, *others]
    scenario.add(
        [Crew(build=build, person=owner, role=Role.OWNER)]
        + [Crew(build=build, person=person, role=Role.HAND) for person in others]
    )


def _hours(scenario: Scenario) -> None:
    hours = [(day, 18 * 60, 21 * 60) for day in range(5)] + [(5, 9 * 60, 17 * 60)]
    scenario.add(
        [
            ShopHours(build=scenario.build, weekday=day, start_minute=start, end_minute=end)
            for day, start, end in hours
        ]
    )
    days = [scenario.day(-5 - 9 * n) for n in range(scenario.sizes.days_off)]
    scenario.add([DayOff(build=scenario.build, first=day, last=day, reason="Away") for day in days])


def _stages(scenario: Scenario) -> None:
    scenario.add(
        [
            Stage(build=scenario.build, name=f"Stage {n:03}", order=n)
            for n in range(scenario.sizes.stages)
        ]
    )


def _tasks(scenario: Scenario) -> None:
    """The first part is done, then two are in hand, the first of them the known one."""
    count, chance = scenario.sizes.tasks, scenario.random
    stages = scenario.rows["stage"]
    done = int(count * DONE_PART)
    tasks = []
    for n in range(count):
        started = finished = None
        if n < done:
            started = scenario.now - dt.timedelta(days=800 * (1 - n / done) + 1)
            finished = started + dt.timedelta(hours=5)
        elif n < done + IN_HAND:
            started = scenario.now - dt.timedelta(hours=3)
        likely = chance.choice([60, 120, 240, 480])
        tasks.append(
            Task(
                build=scenario.build, stage=stages[n * len(stages) // count], code=f"T{n}",
                name=f"Fit piece {n} and fair it to its neighbours", order=n, low_minutes=60,
                likely_minutes=likely, high_minutes=likely * 2, hands=chance.choice([1, 1, 1, 2]),
                cure_minutes=chance.choice([0, 0, 0, 1440]), unbroken=chance.random() < 0.1,
                notes="Check the bevel against the lofting first." if n % 3 == 0 else "",
                started_at=started, finished_at=finished,
            )
        )  # fmt: skip
    scenario.rows["in plan order"] = tasks
    scenario.add([tasks[done], *tasks[:done], *tasks[done + 1 :]])


def _shed(scenario: Scenario) -> None:
    """Who helps, what tasks hold, what they keep to."""
    build, size = scenario.build, scenario.sizes.help
    days = [scenario.day(-3 - n) for n in range(size)]
    scenario.add([HelpDay(build=build, who=f"Helper {n}", first=day) for n, day in enumerate(days)])
    HelpDay.objects.create(build=build, who="A friend", weekday=5)
    things = scenario.add([Thing(build=build, name=f"Thing {n}", count=9) for n in range(size)])
    scenario.add(
        [
            WorkLimit(build=build, name=f"Limit {n}", end_minute=20 * 60, lifted_by=thing)
            for n, thing in enumerate(things)
        ]
    )
    held = [
        TaskThing(build=build, task=task, thing=scenario.any("thing"), count=2)
        for task in scenario.rows["task"][:: scenario.sizes.tasks // (6 * size)]
    ]
    scenario.add(held)


def _links(scenario: Scenario) -> None:
    """From each task to later ones nearby; the known task waits for some and holds as many."""
    tasks, count = scenario.rows["in plan order"], scenario.sizes.links
    known = int(len(tasks) * DONE_PART)
    half = scenario.sizes.on_one // 2 + 1
    pairs = {(known - n, known) for n in range(1, half + 1) if known >= n}
    pairs |= {(known, known + n) for n in range(1, half + 1) if known + n < len(tasks)}
    while len(pairs) < count:
        before = scenario.random.randrange(len(tasks) - 1)
        pairs.add((before, min(len(tasks) - 1, before + scenario.random.randint(1, REACH))))
    scenario.add(
        [
            Link(build=scenario.build, before=tasks[before], after=tasks[after])
            for before, after in sorted(pairs, key=lambda pair: (known not in pair, pair))
        ]
    )


def _work(scenario: Scenario) -> None:
    """Hours for each entry of the log, on what is done or in hand; two clocks that run."""
    tasks = scenario.rows["in plan order"]
    worked = tasks[: int(len(tasks) * DONE_PART) + IN_HAND]
    people, count = scenario.rows["person"], scenario.sizes.entries
    rows = []
    for n in range(count):
        task = scenario.rows["task"][0] if n < scenario.sizes.on_one else None
        person = scenario.random.choice(people)
        rows.append(
            Work(
                build=scenario.build, task=task or scenario.random.choice(worked), person=person,
                who=person.name, day=scenario.day(850 * (1 - n / count)),
                minutes=scenario.random.choice([45, 90, 180]),
            )
        )  # fmt: skip
    scenario.add(rows)
    known = len(worked) - IN_HAND
    Work.objects.bulk_create(
        Work(
            build=scenario.build, task=tasks[known + n], person=people[n], who=people[n].name,
            day=scenario.day(0), started_at=scenario.now - dt.timedelta(hours=2),
        )
        for n in range(IN_HAND)
    )  # fmt: skip


def _acts(scenario: Scenario) -> None:
    """The known act is the newest finish, of which nobody has said yet what it used."""
    tasks = scenario.rows["in plan order"]
    done = tasks[: int(len(tasks) * DONE_PART)]
    people = scenario.rows["person"]
    kinds = (ActKind.FINISH, ActKind.START)
    scenario.add(
        [
            Act(
                build=scenario.build, task=done[-1 - n // 2 % len(done)], kind=kinds[n % 2],
                person=people[n % len(people)], at=scenario.now - dt.timedelta(hours=6 * n + 1),
                before={"started_at": None, "finished_at": None},
            )
            for n in range(scenario.sizes.acts)
        ]
    )  # fmt: skip


def _kept(scenario: Scenario) -> None:
    """Baselines, the first compared with, and a launch for each week with two causes."""
    build, tasks, now = scenario.build, scenario.rows["in plan order"], scenario.now
    minute = int(now.timestamp() // 60)
    rows = [
        [one.pk, one.code, one.name, one.stage_id, "Stage", minute, minute + 600, 60, 600]
        for one in tasks
    ]
    launch = now + dt.timedelta(days=900)
    scenario.add(
        [
            Baseline(
                build=build, name=f"Baseline {n}", made_at=now - dt.timedelta(days=40 * n + 30),
                by=scenario.owner, who="Olive", launch=launch, launch_endless=launch, rows=rows,
                compared=n == 0,
            )
            for n in range(scenario.sizes.baselines)
        ]
    )  # fmt: skip
    told = {one.pk: TaskFacts(likely=60, left=60) for one in tasks}
    facts = Facts(minute, build.zone, scenario.day(900), told, (), {5: [(540, 1020)]})
    packed = pack(Kept(Record(facts, minute, {}), floats={one.pk: 6_000 for one in tasks}))
    causes = [
        {"groups": ["time"], "minutes": 0, "days": 0, "changes": [{"what": "worked"}]},
        {
            "groups": ["tasks"], "minutes": 1440, "days": 1,
            "changes": [
                {"what": "task-added", "tasks": [tasks[0].pk], "names": [str(tasks[0])], "now": 60}
            ],
        },
    ]  # fmt: skip
    records = [
        LaunchRecord(
            build=build, day=scenario.day(7 * ago), made_at=now, packed=packed, causes=causes,
            launch=launch - dt.timedelta(days=ago),
        )
        for ago in range(scenario.sizes.records, 0, -1)
    ]  # fmt: skip
    scenario.add(records)
    for before, record in pairwise(records):
        record.since = before
    LaunchRecord.objects.bulk_update(records, ["since"], batch_size=200)
