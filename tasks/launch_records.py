"""The launch of each day and why it moved: kept when it is reckoned, explained by the worker.

A record is made with the first order of work of a day and brought up to date when the worker looks
ahead. What it was made of is packed beside it, so that the change between any two can be split
into causes. After a year only the last record of each week is kept.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import groupby, pairwise
from typing import Any

from tasks.models import Build, LaunchRecord, Thing, WorkLimit
from tasks.network.causes import Change, Part, Record, What, facts_of, split_change
from tasks.order_values import Inputs
from tasks.packing import Kept, pack, unpack
from tasks.plan import Plan

__all__ = [
    "Week",
    "explain_week",
    "floats_of",
    "keep_record",
    "record_about",
    "thin_records",
    "waiting_weeks",
    "weeks_of",
]

#: Records older than this are thinned to one a week.
KEEP_DAYS = 366


@dataclass(frozen=True)
class Week:
    """The launch as it stood at the end of a week, and what moved it since the week before.

    `causes` are as `_plain` gives them; None while they are still to be reckoned, or where there
    is nothing to hold the week against.
    """

    day: dt.date
    launch: dt.datetime
    before: dt.datetime | None = None
    since: dt.date | None = None
    causes: list[dict[str, Any]] | None = field(default=None)

    @property
    def days(self) -> int:
        """By how many days of the calendar the launch moved; positive is later."""
        return (self.launch.date() - self.before.date()).days if self.before else 0

    @property
    def waits(self) -> bool:
        """Whether its causes are still to be reckoned."""
        return self.since is not None and self.causes is None


def keep_record(
    plan: Plan, inputs: Inputs, figures: Mapping[str, Any], *, again: bool = False
) -> None:
    """Keep the launch of the plan's day; with `again`, in the place of the one kept before.

    `figures` are those of an order of work (`tasks.order.figures_of`).
    """
    day = plan.now.date()
    if not again and LaunchRecord.objects.filter(build=plan.build, day=day).exists():
        return
    packed = pack(_kept(plan, inputs, figures))
    same = LaunchRecord.objects.filter(build=plan.build, day=day).first()
    if same is not None and bytes(same.packed) == packed:
        return  # its causes hold
    LaunchRecord.objects.update_or_create(
        build=plan.build,
        day=day,
        defaults={
            "made_at": plan.now,
            "launch": plan.moment(figures["launch"]),
            "packed": packed,
            "causes": None,
            "since": None,
        },
    )
    thin_records(plan.build, day)


def _kept(plan: Plan, inputs: Inputs, figures: Mapping[str, Any]) -> Kept:
    work, names, floats, doing = {}, {}, {}, {}
    for pk, planned in plan.tasks.items():
        task, told = planned.task, planned.figures
        work[pk] = (task.likely_minutes, told.left, told.logged)
        names[pk] = str(task)
        doing[pk] = str(task.doing)
        if task.finished_at is None:
            floats[pk] = told.total_float
    starts = {int(pk): place[3] for pk, place in figures["places"].items()}
    return Kept(
        Record(facts_of(inputs, work, doing), figures["launch"], starts),
        names,
        dict(Thing.objects.filter(build=plan.build).values_list("pk", "name")),
        dict(WorkLimit.objects.filter(build=plan.build).values_list("pk", "name")),
        floats,
    )


def thin_records(build: Build, today: dt.date) -> int:
    """Of records older than a year leave the last of each week. Says how many went."""
    old = LaunchRecord.objects.filter(build=build, day__lt=today - dt.timedelta(days=KEEP_DAYS))
    rows = list(old.order_by("day").values_list("pk", "day"))
    last = {day.isocalendar()[:2]: pk for pk, day in rows}
    gone = [pk for pk, _ in rows if pk not in set(last.values())]
    if gone:
        LaunchRecord.objects.filter(pk__in=gone).delete()
    return len(gone)


def weeks_of(build: Build) -> list[Week]:
    """The launch week by week, oldest first. One query."""
    weeks = []
    before: LaunchRecord | None = None
    for row in _week_ends(build):
        launch = row.launch.astimezone(build.zone)
        if before is None:
            weeks.append(Week(row.day, launch))
        else:
            causes = row.causes if row.since_id == before.pk else None
            then = before.launch.astimezone(build.zone)
            weeks.append(Week(row.day, launch, then, before.day, causes))
        before = row
    return weeks


def _week_ends(build: Build) -> list[LaunchRecord]:
    """The last record of each week, without what it was made of."""
    rows = LaunchRecord.objects.filter(build=build).defer("packed").order_by("day")
    return [list(week)[-1] for _, week in groupby(rows, key=lambda row: row.day.isocalendar()[:2])]


def waiting_weeks(build: Build) -> list[tuple[int, int]]:
    """Pairs of records between which no causes are known yet, the newest first. One query."""
    pairs = [
        (before.pk, row.pk)
        for before, row in pairwise(_week_ends(build))
        if row.causes is None or row.since_id != before.pk
    ]
    return pairs[::-1]


def explain_week(before: int, after: int) -> None:
    """Split the change between two records into its causes and keep them.

    The launch is reckoned about once for each cause, so this is the worker's to do.
    """
    rows = LaunchRecord.objects.in_bulk([before, after])
    if len(rows) < 2:
        return  # thinned meanwhile
    old, new = unpack(rows[before].packed), unpack(rows[after].packed)
    causes = _plain(split_change(old.record, new.record), old, new)
    # Not if the day was recorded anew while we reckoned.
    LaunchRecord.objects.filter(pk=after, made_at=rows[after].made_at).update(
        causes=causes, since=before
    )


def _plain(parts: Iterable[Part], old: Kept, new: Kept) -> list[dict[str, Any]]:
    """Causes as a row can hold them, with what everything was called."""
    return [
        {
            "groups": [group.name.lower() for group in part.groups],
            "minutes": part.minutes,
            "days": part.days,
            "changes": [_plain_change(change, old, new) for change in part.changes],
        }
        for part in parts
    ]


def _plain_change(change: Change, old: Kept, new: Kept) -> dict[str, Any]:
    plain: dict[str, Any] = {"what": change.what.value}
    if change.tasks:
        plain["tasks"] = list(change.tasks)
        plain["names"] = [new.tasks.get(pk) or old.tasks.get(pk, "") for pk in change.tasks]
        last = new.record.facts.tasks.get(change.tasks[-1])
        plain["finished"] = last is not None and last.finished is not None
    for name in ("row", "was", "now"):
        if (value := getattr(change, name)) is not None:
            plain[name] = value
    if name := _name_of(change, new) or _name_of(change, old):
        plain["name"] = name
    for name in ("first", "last"):
        if (day := getattr(change, name)) is not None:
            plain[name] = day.isoformat()
            plain["year"] = new.record.facts.today.year
    if change.reason:
        plain["reason"] = change.reason
    return plain


def _name_of(change: Change, kept: Kept) -> str:
    """What the thing or limit of a change was called."""
    named = {What.THING: kept.things, What.LIMIT: kept.limits, What.KEEPS_TO: kept.limits}
    return named.get(change.what, {}).get(change.row or 0, "")


def record_about(build: Build, day: dt.date) -> LaunchRecord | None:
    """The newest record of that day or before it; else the oldest there is. Two queries at most."""
    rows = LaunchRecord.objects.filter(build=build)
    return rows.filter(day__lte=day).last() or rows.first()


def floats_of(record: LaunchRecord) -> Mapping[int, int]:
    """Shop minutes of float that the tasks then unfinished had."""
    return unpack(record.packed).floats
