"""Tasks in: known again by their number, or by stage and name in a list that numbers nothing."""

from __future__ import annotations

import datetime as dt
from functools import cached_property
from typing import Any

from django.db.models import Max

from buildlog.lists.fold import fold_name
from buildlog.lists.kinds.base import Bringing, settle
from buildlog.lists.records import Record, State
from tasks.models import Build, Doing, Stage, Task, WorkLimit

ONE_STAGE = "The boat"


def check(bringing: Bringing) -> None:
    known = _Known(bringing.build)
    _say_what_is_taken(bringing)
    for record in bringing.records:
        known.refuse_second(record)
    for record in bringing.good:
        estimate = _estimate(record)
        if record.good:
            _settle(record, known, estimate, bringing)


class _Known:
    """What the build has: tasks by number and by stage and name, stages, limits, numbers taken."""

    def __init__(self, build: Build) -> None:
        self.build = build
        self.stages = {fold_name(stage.name): stage for stage in build.stages.all()}
        self.by_code: dict[str, Task] = {}
        self.by_name: dict[tuple[str, str], Task] = {}
        for task in build.tasks.select_related("stage", "limit"):
            self.by_code[fold_name(task.code)] = task
            self.by_name.setdefault((fold_name(task.stage.name), fold_name(task.name)), task)
        self.used: dict[Any, int] = {}
        self.turns: dict[int, int] = {}
        self.last_number = 0

    @cached_property
    def limits(self) -> dict[str, WorkLimit]:
        """By name; asked for by lists only that name one."""
        return {fold_name(limit.name): limit for limit in self.build.work_limits.all()}

    def key(self, record: Record) -> Any:
        if record.get("code"):
            return fold_name(record.get("code"))
        return fold_name(record.get("stage", "")), fold_name(record.get("name", ""))

    def refuse_second(self, record: Record) -> None:
        if not record.get("code") and not record.get("name"):
            return
        key = self.key(record)
        first = self.used.setdefault(key, record.number)
        if first == record.number:
            return
        if isinstance(key, str):
            text = record.get("code")
            record.refuse("code", "used-twice", f"{text} is the number of row {first} already.")
        else:
            record.refuse("name", "used-twice", f"Row {first} has that task in that stage already.")

    def task(self, record: Record) -> Task | None:
        key = self.key(record)
        if isinstance(key, str):
            return self.by_code.get(key)
        if record.has("stage"):
            return self.by_name.get(key)
        same = [task for (_, name), task in self.by_name.items() if name == key[1]]
        return same[0] if len(same) == 1 else None

    def stage(self, name: str) -> Stage:
        """The stage of that name; a new one is made, and saved when the list is written."""
        key = fold_name(name)
        if key not in self.stages:
            self.stages[key] = Stage(build=self.build, name=name)
        return self.stages[key]

    def free_code(self) -> str:
        while True:
            self.last_number += 1
            code = str(self.last_number)
            if code not in self.by_code and code not in self.used:
                self.used[code] = 0
                return code


def _say_what_is_taken(bringing: Bringing) -> None:
    found = bringing.found
    given = [key for key in ("low", "likely", "high") if found.has(key)]
    if len(given) == 1:
        bringing.note(
            f"Only “{found.heading(given[0])}” gives hours, so low, likely and high are the same. "
            "Change them on a task when you know better."
        )
    if not found.has("code"):
        bringing.note("No column numbers the tasks, so new ones are numbered 1, 2, 3 and on.")
    if not found.has("stage"):
        bringing.note(f"No column names stages, so new tasks go into one stage, “{ONE_STAGE}”.")


def _estimate(record: Record) -> dict[str, int] | None:
    """Low, likely and high minutes. None where the list says nothing of hours.

    One that is missing is the one next to it; likely cannot be made from low and high.
    """
    low, likely, high = (record.get(key) for key in ("low", "likely", "high"))
    if not any(record.has(key) for key in ("low", "likely", "high")):
        return None
    if likely is None:
        ends = {value for value in (low, high) if value is not None}
        key = next(k for k in ("likely", "low", "high") if record.has(k))
        if not ends:
            record.refuse(key, "needed", "Hours are needed; a guess will do.")
            return None
        if len(ends) > 1:
            record.refuse(key, "needed", "The likely hours are needed beside the low and the high.")
            return None
        likely = ends.pop()
    low = likely if low is None else low
    high = likely if high is None else high
    _refuse_falling(record, low, likely, high)
    return {"low_minutes": low, "likely_minutes": likely, "high_minutes": high}


def _refuse_falling(record: Record, low: int, likely: int, high: int) -> None:
    if low <= likely <= high:
        return
    pairs = (
        ("low", low, "high", high),
        ("low", low, "likely", likely),
        ("likely", likely, "high", high),
    )
    for smaller, less, larger, more in pairs:
        if less > more and smaller in record.headings:
            rule = f"{record.headings[smaller]} is more than {record.headings.get(larger, larger)}"
            record.refuse(
                smaller, "hours-fall", f"{rule}: hours must rise from low to likely to high."
            )
            return


def _settle(
    record: Record, known: _Known, estimate: dict[str, int] | None, bringing: Bringing
) -> None:
    task = known.task(record)
    given: dict[str, tuple[str, Any]] = {"name": ("name", record.get("name"))}
    for field, key in (("hands", "hands"), ("unbroken", "unbroken"), ("cure_minutes", "cure"),
                       ("not_before", "not_before"), ("notes", "notes"), ("work_kind", "work_kind"),
                       ("doing", "doing"), ("bought_in_days", "bought_in_days")):  # fmt: skip
        if record.has(key):
            given[field] = (key, record.values[key])
    for field, value in (estimate or {}).items():
        key = field.removesuffix("_minutes")
        given[field] = (key if key in record.headings else "likely", value)
    given |= _logged(record, task, bringing)
    given |= _kept_to(record, task, known)
    if task and task.doing != Doing.LEFT_OUT == record.get("doing") and task.why_not_left_out:
        record.refuse("doing", "begun", task.why_not_left_out)
    if not record.good:
        return
    stage_name = record.get("stage", "")
    if stage_name or task is None:
        if not stage_name and record.has("stage"):
            record.refuse("stage", "needed", "Which stage of the build? The cell is empty.")
            return
        given["stage"] = ("stage", known.stage(stage_name or ONE_STAGE))

    def make() -> Task:
        code = record.get("code") or known.free_code()
        return Task(build=bringing.build, code=code)

    settle(record, task, make, given)


def _kept_to(record: Record, task: Task | None, known: _Known) -> dict[str, tuple[str, Any]]:
    """What holds a task in the order of work: its limit, its pin, its turn."""
    given: dict[str, tuple[str, Any]] = {}
    if record.has("limit"):
        name = record.get("limit")
        limit = known.limits.get(fold_name(name)) if name else None
        if name and limit is None:
            record.refuse(
                "limit", "no-such-limit", f"There is no limit {name}. Make it in the build first."
            )
        given["limit"] = ("limit", limit)
    if record.has("pinned_at"):
        given["pinned_at"] = ("pinned_at", _pin(record, task, known.build.zone))
    if record.has("turn"):
        turn = record.get("turn")
        first = known.turns.setdefault(turn, record.number) if turn else record.number
        if first != record.number:
            record.refuse("turn", "used-twice", f"{turn} is the turn of row {first} already.")
        given["turn"] = ("turn", turn)
    return given


def _pin(record: Record, task: Task | None, zone: dt.tzinfo) -> dt.datetime | None:
    """The moment in the build's zone; one that differs by less than a minute stays as it is."""
    moment: dt.datetime | None = record.get("pinned_at")
    if moment is None:
        return None
    if moment.tzinfo is None:
        local = moment.replace(tzinfo=zone)
        if local.astimezone(dt.UTC).astimezone(zone).replace(tzinfo=None) != moment:
            record.refuse("pinned_at", "no-such-time", "The clocks skip that time on that day.")
        moment = local
    stood = task.pinned_at if task else None
    same = stood is not None and stood.replace(second=0, microsecond=0) == moment
    return stood if same else moment


def _logged(record: Record, task: Task | None, bringing: Bringing) -> dict[str, tuple[str, Any]]:
    """Start and finish, where the build has none: what was logged there stays."""
    zone = bringing.build.zone
    given: dict[str, tuple[str, Any]] = {}
    moments: dict[str, dt.datetime | None] = {}
    for key in ("started", "finished"):
        moment = record.get(key)
        if moment is not None and moment.tzinfo is None:
            moment = moment.replace(tzinfo=zone)
        stood = getattr(task, f"{key}_at") if task else None
        moments[key] = stood or moment
        if record.has(key) and stood is None and moment is not None:
            given[f"{key}_at"] = (key, moment)
        elif stood and moment and stood.replace(second=0, microsecond=0) != moment:
            bringing.note("Where a start or finish is logged here already, that one stays.")
    if moments["finished"] and not moments["started"]:
        given["started_at"] = ("finished", moments["finished"])
    elif moments["finished"] and moments["started"] and moments["started"] > moments["finished"]:
        record.refuse("finished", "finished-first", "It cannot finish before it started.")
    return given


def write(bringing: Bringing) -> None:
    build = bringing.build
    going = bringing.going
    _save_new_stages(build, going)
    last = dict(build.tasks.values_list("stage_id").annotate(Max("order")))
    new = [record.target for record in going if record.state == State.NEW]
    for task in new:
        task.stage = task.stage  # takes over the key the stage has just got
        task.order = last[task.stage_id] = last.get(task.stage_id, 0) + 1
    changed = [record.target for record in going if record.state == State.CHANGED]
    for task in changed:
        task.stage = task.stage
    Task.objects.bulk_create(new, batch_size=500)
    Task.objects.bulk_update(changed, FIELDS, batch_size=200)
    if going:
        build.touch_plan()


FIELDS = ["stage", "name", "low_minutes", "likely_minutes", "high_minutes", "hands", "unbroken",
          "cure_minutes", "not_before", "started_at", "finished_at", "notes", "work_kind",
          "limit", "doing", "bought_in_days", "pinned_at", "turn"]  # fmt: skip


def _save_new_stages(build: Build, going: list[Record]) -> None:
    """Stages that the list names and the build lacks, in their order of appearance."""
    last = build.stages.aggregate(Max("order"))["order__max"] or 0
    for record in going:
        if record.target.stage.pk is None:
            last += 1
            record.target.stage.order = last
            record.target.stage.save()
