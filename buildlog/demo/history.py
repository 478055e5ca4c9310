"""What the plan of the invented build was like in the year behind it: a baseline, and launches.

Every past launch is reckoned from what was logged up to its day and from what was planned then.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import astuple, replace

from tasks import network
from tasks.models import Baseline, BaselineTask, Build, LaunchRecord, Task, Work
from tasks.network import hands
from tasks.network.causes import Facts, Record, TaskFacts, inputs_from
from tasks.network.inputs import Help, problem_of
from tasks.order import order_of, record_launch
from tasks.packing import Kept, pack, unpack
from tasks.plan import plan_of
from tasks.plan_figures import minute_of

__all__ = ["tell_history"]

#: Days ago: every week from here on, of the older ones every fourth.
WEEKLY_FROM, FIRST_AGO = 120, 371
BASELINES = (("The plan a year ago", 371), ("Before the winter", 175))
#: Tasks that nobody had thought of: number, days ago that they came into the plan.
ADDED = {"C4": 230, "D3": 150, "P9": 95}
#: Guesses that were raised: number, likely hours before, days ago.
GUESSED = {"P8": (36, 200), "H4": (44, 132), "E2": (40, 60), "S9": (24, 32)}
#: Links that were found to be needed: before, after, days ago.
LINKED = (("B6", "D1", 110), ("K3", "S9", 46))
#: Days ahead that days off were told.
TOLD_AHEAD = 20
#: Turning her over was to be done with a hoist and two, until the crew was asked.
CREW_ASKED = 12
#: The friends wanted to come so many days earlier, until so many days ago.
FRIENDS_EARLIER, FRIENDS_SAID = 365, 33
#: The coats keep to the warm half of the year since so many days ago.
COATS_LIMITED = 19


def tell_history(build: Build) -> None:
    """Write the baselines and the launches of the past weeks. Done again, it changes nothing."""
    if build.baselines.exists() or order_of(plan_of(build)) is None:
        return
    record_launch(build)
    newest = LaunchRecord.objects.filter(build=build).last()
    if newest is None:
        return
    past = _Past(build, unpack(newest.packed), newest.day)
    starts: dict[network.TaskId, int] = {}
    rows = []
    for day in _days(newest.day):
        facts = past.facts(day)
        found = hands.plan_hands(problem_of(inputs_from(facts)), seed=1, previous=starts or None)
        schedule = _endless(facts)
        starts = {pk: place.resume for pk, place in found.places.items()}
        for name, ago in BASELINES:
            if day == _week_end(newest.day, ago):
                past.keep(name, day, found, schedule, compared=ago == BASELINES[0][1])
        rows.append(past.record(day, facts, found, schedule))
    LaunchRecord.objects.bulk_create(rows)


def _week_end(today: dt.date, ago: int) -> dt.date:
    """The Sunday on or before the day so long ago."""
    day = today - dt.timedelta(days=ago)
    return day - dt.timedelta(days=(day.weekday() + 1) % 7)


def _days(today: dt.date) -> Iterator[dt.date]:
    kept = {_week_end(today, ago) for _, ago in BASELINES}
    day, place = _week_end(today, FIRST_AGO), 0
    while day < today:
        if (today - day).days <= WEEKLY_FROM or place % 4 == 0 or day in kept:
            yield day
        day, place = day + dt.timedelta(days=7), place + 1


def _endless(facts: Facts) -> network.Schedule:
    inputs = inputs_from(facts)
    shop = problem_of(inputs).calendar
    return network.schedule(inputs.tasks, inputs.links, shop, inputs.now)


class _Past:
    """The build as it was on days gone by, from the newest record and from what was logged."""

    def __init__(self, build: Build, newest: Kept, today: dt.date) -> None:
        self.build, self.newest, self.today = build, newest, today
        self.tasks = {
            task.pk: task for task in Task.objects.filter(build=build).select_related("stage")
        }
        self.numbers = {task.code: pk for pk, task in self.tasks.items()}
        self.work = list(
            Work.objects.filter(build=build, minutes__gt=0).values_list("task_id", "day", "minutes")
        )

    def ago(self, day: dt.date) -> int:
        return (self.today - day).days

    def minute(self, day: dt.date) -> int:
        return minute_of(dt.datetime.combine(day, dt.time(21, 45), self.build.zone))

    def facts(self, day: dt.date) -> Facts:
        """What the launch was made of on the evening of a day."""
        ago, now, newest = self.ago(day), self.minute(day), self.newest.record.facts
        logged: dict[int, int] = {}
        for pk, worked, minutes in self.work:
            if worked <= day and minutes and pk is not None:
                logged[pk] = logged.get(pk, 0) + minutes
        later = {self.numbers[code] for code, known in ADDED.items() if ago > known}
        guessed = {
            self.numbers[code]: hours * 60
            for code, (hours, known) in GUESSED.items()
            if ago > known
        }
        not_linked = {
            (self.numbers[before], self.numbers[after])
            for before, after, known in LINKED
            if ago > known
        }
        tasks = {
            pk: _then(task, now, logged.get(pk, 0), guessed.get(pk, task.likely))
            for pk, task in newest.tasks.items()
            if pk not in later
        }
        turn = self.numbers["T2"]
        crew_asked = ago <= CREW_ASKED
        if not crew_asked:
            tasks[turn] = replace(tasks[turn], hands=2, pin=None)
        return replace(
            newest,
            now=now,
            tasks=tasks,
            links=tuple(
                link
                for link in newest.links
                if not {link.before, link.after} & later
                and (link.before, link.after) not in not_linked
            ),
            days_off=tuple(
                row for row in newest.days_off if row[0] - dt.timedelta(days=TOLD_AHEAD) <= day
            ),
            help=tuple(self._help(ago, crew_asked)),
            limits=newest.limits if ago <= COATS_LIMITED else {},
        )

    def _help(self, ago: int, crew_asked: bool) -> Iterator[Help]:
        for one in self.newest.record.facts.help:
            if one.weekday is None:
                if crew_asked:
                    yield one
            elif one.first and ago > FRIENDS_SAID:
                yield replace(one, first=one.first - dt.timedelta(days=FRIENDS_EARLIER))
            else:
                yield one

    def record(
        self, day: dt.date, facts: Facts, found: hands.HandsPlan, schedule: network.Schedule
    ) -> LaunchRecord:
        starts = {int(pk): place.resume for pk, place in found.places.items()}
        kept = replace(
            self.newest,
            record=Record(facts, found.launch, starts),
            floats={
                pk: schedule.dates[pk].total_float
                for pk, task in facts.tasks.items()
                if task.finished is None
            },
        )
        return LaunchRecord(
            build=self.build,
            day=day,
            made_at=self._moment(facts.now),
            launch=self._moment(found.launch),
            packed=pack(kept),
        )

    def keep(
        self,
        name: str,
        day: dt.date,
        found: hands.HandsPlan,
        schedule: network.Schedule,
        compared: bool,
    ) -> None:
        rows = []
        for pk, place in found.places.items():
            task = self.tasks[int(pk)]
            rows.append(
                BaselineTask(
                    task.pk, task.code, task.name, task.stage_id, task.stage.name,
                    place.start, place.finish, task.likely_minutes,
                    schedule.dates[pk].total_float,
                )
            )  # fmt: skip
        Baseline.objects.create(
            build=self.build,
            name=name,
            made_at=self._moment(self.minute(day)),
            launch=self._moment(found.launch),
            launch_endless=self._moment(schedule.launch),
            rows=[list(astuple(row)) for row in rows],
            compared=compared,
        )

    def _moment(self, minute: int) -> dt.datetime:
        return dt.datetime.fromtimestamp(minute * 60, self.build.zone)


def _then(task: TaskFacts, now: int, logged: int, likely: int) -> TaskFacts:
    """A task as it stood at a clock minute."""
    started = task.started if task.started is not None and task.started <= now else None
    finished = task.finished if task.finished is not None and task.finished <= now else None
    left = 0 if finished is not None else max(likely - logged, 0)
    return replace(
        task, likely=likely, left=left, logged=logged, started=started, finished=finished
    )
