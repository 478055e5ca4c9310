"""Links in: known again by both tasks and the kind. A ring is refused with its path."""

from __future__ import annotations

from typing import Any

from buildlog.lists.fold import fold_name
from buildlog.lists.kinds.base import Bringing, settle
from buildlog.lists.kinds.finding import Tasks
from buildlog.lists.kinds.links.rings import closing
from buildlog.lists.records import Record, State
from tasks.models import LagIn, Link, LinkKind, Task


def check(bringing: Bringing) -> None:
    tasks = Tasks(bringing.build)
    links = []
    for link in bringing.build.links.all():
        before, after = tasks.by_key.get(link.before_id), tasks.by_key.get(link.after_id)
        if before and after:  # else it came since the tasks were read
            link.before, link.after = before, after
            links.append(link)
    known = {(link.before_id, link.after_id, link.kind): link for link in links}
    _refuse_rings(bringing, tasks, links)
    used: dict[Any, int] = {}
    for record in bringing.records:
        before, after = tasks.of(record, "before"), tasks.of(record, "after")
        if before and after and record.good:
            _settle(record, before, after, known, used, bringing)
    if any(record.get("lag") and not record.get("lag").passes_in and not record.get("lag_in")
           for record in bringing.good):  # fmt: skip
        bringing.note(
            "A wait that says neither is taken in shop hours. Write “24 h cure” or “1 day” for one "
            "that passes by the clock."
        )


def _refuse_rings(bringing: Bringing, tasks: Tasks, links: list[Link]) -> None:
    """Refuse the rows that close a ring over the file's links and the build's.

    A link to a task that does not exist is refused for that; it still counts here, so that the
    rows that are wrong do not depend on which tasks have come in so far.
    """

    def name(text: str) -> str:
        task = tasks.find(text)
        return task.code if task else text

    shown: dict[str, str] = {}
    pairs, rows = [], []
    for record in bringing.records:
        before, after = record.get("before"), record.get("after")
        if not before or not after:
            continue
        ends = [name(before), name(after)]
        keys = [fold_name(end) for end in ends]
        shown.update(zip(keys, ends, strict=True))
        if keys[0] == keys[1]:
            record.refuse("after", "itself", f"Task {ends[1]} cannot wait for itself.")
        else:
            pairs.append((keys[0], keys[1]))
            rows.append(record)
    kept = [(fold_name(link.before.code), fold_name(link.after.code)) for link in links]
    shown.update({fold_name(t.code): t.code for link in links for t in (link.before, link.after)})
    for place, path in closing(kept, pairs).items():
        path_shown = ", ".join(shown[key] for key in path)
        rows[place].refuse(
            "after", "loop",
            f"It closes a loop: {path_shown}, and back to {shown[path[0]]}. Each would wait for "
            "the others.",
        )  # fmt: skip


def _settle(
    record: Record,
    before: Task,
    after: Task,
    known: dict[tuple[int, int, str], Link],
    used: dict[Any, int],
    bringing: Bringing,
) -> None:
    kind = record.get("kind", LinkKind.FINISH_START)
    key = (before.pk, after.pk, kind)
    first = used.setdefault(key, record.number)
    if first != record.number:
        record.refuse("after", "used-twice", f"Row {first} links these two in that way already.")
        return
    given: dict[str, tuple[str, Any]] = {}
    if record.has("lag"):
        lag = record.get("lag")
        minutes = lag.minutes if lag else 0
        given["lag_minutes"] = ("lag", minutes)
        says, column = (lag.passes_in if lag else ""), record.get("lag_in")
        if says and column and says != column:
            record.refuse("lag_in", "two-answers", f"The wait says {says}, this cell {column}.")
            return
        if minutes:  # of no wait it does not matter in what it passes
            given["lag_in"] = ("lag", says or column or LagIn.SHOP)
    if record.has("waits_for_cure"):
        given["waits_for_cure"] = ("waits_for_cure", record.get("waits_for_cure", True))

    def make() -> Link:
        return Link(build=bringing.build, before=before, after=after, kind=kind)

    # `Link.clean` walks the whole network for each link; `_refuse_rings` has walked it once.
    settle(record, known.get(key), make, given, alone=False)


def write(bringing: Bringing) -> None:
    going = bringing.going
    new = [record.target for record in going if record.state == State.NEW]
    changed = [record.target for record in going if record.state == State.CHANGED]
    Link.objects.bulk_create(new, batch_size=500)
    Link.objects.bulk_update(changed, ["lag_minutes", "lag_in", "waits_for_cure"], batch_size=200)
    if going:
        bringing.build.touch_plan()
