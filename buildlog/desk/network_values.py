"""From a plan to the boxes and arrows that the drawing room draws its network of."""

from __future__ import annotations

from collections.abc import Collection

from buildlog.drawing.plan_network import Arrow, Box
from tasks.hours import show_hours
from tasks.models import LagIn, Link, LinkKind, Stage
from tasks.plan import Plan, State, TaskPlan
from tasks.words import float_words

LETTERS = {
    LinkKind.FINISH_START: "",
    LinkKind.START_START: "start to start",
    LinkKind.FINISH_FINISH: "finish to finish",
    LinkKind.START_FINISH: "start to finish",
}


def boxes_of(
    plan: Plan,
    opened: Collection[int],
    task_url: str,
    unfold: dict[int, str],
    *,
    with_done: bool,
) -> tuple[list[Box], list[Arrow]]:
    """A box for each task of the opened stages, one for each other stage, and what links them.

    `task_url` is an address with a 0 where a task's number goes; `unfold` has the address that
    opens a stage. Without what is done, links from it are left out: they hold nothing any more.
    """
    before, _, after = task_url.rpartition("0")
    boxes: list[Box] = []
    box_of: dict[int, int | str] = {}
    for stage, tasks in plan.by_stage():
        shown = [one for one in tasks if with_done or one.figures.state != State.DONE]
        if not shown:
            continue
        if stage.pk in opened:
            boxes += [task_box(one, stage, f"{before}{one.pk}{after}") for one in shown]
            box_of |= {one.pk: one.pk for one in shown}
        else:
            key = f"stage-{stage.pk}"
            boxes.append(stage_box(stage, shown, key, unfold[stage.pk]))
            box_of |= {one.pk: key for one in shown}
    return boxes, _arrows(plan, box_of)


def task_box(planned: TaskPlan, stage: Stage, href: str) -> Box:
    figures = planned.figures
    done = figures.state == State.DONE
    critical = figures.critical and figures.state not in (State.DONE, State.CURING)
    floats = str(planned.state) if done or figures.state == State.CURING else float_words(planned)
    return Box(
        key=planned.pk,
        name=planned.task.name,
        href=href,
        over=f"{planned.task.code} · {stage.name}",
        early_start=planned.early_start,
        early_finish=planned.early_finish,
        late_start=planned.late_start,
        late_finish=planned.late_finish,
        duration=show_hours(planned.left_shop_minutes) if not done else "",
        float=floats.removeprefix("Float ").replace("No float", "no float"),
        critical=critical,
        done=done,
        curing=figures.state == State.CURING,
        note=f"{planned.state}, {floats[0].lower()}{floats[1:]}",
        code=planned.task.code,
    )


def stage_box(stage: Stage, tasks: list[TaskPlan], key: str, href: str) -> Box:
    open_ = [one for one in tasks if one.figures.state not in (State.DONE, State.CURING)]
    tightest = min(open_ or tasks, key=lambda one: one.figures.total_float)
    critical = any(one.figures.critical for one in open_)
    left = sum(one.left_shop_minutes for one in open_)
    floats = float_words(tightest) if open_ else "done"
    if critical:
        floats = "critical"
    many = f"{len(tasks)} task{'' if len(tasks) == 1 else 's'}"
    return Box(
        key=key,
        name=stage.name,
        href=href,
        over=f"{many}, folded",
        early_start=min(one.early_start for one in tasks),
        early_finish=max(one.early_finish for one in tasks),
        late_start=min(one.late_start for one in tasks),
        late_finish=max(one.late_finish for one in tasks),
        duration=show_hours(left) if left else "",
        float=floats.removeprefix("Float "),
        critical=critical,
        done=not open_,
        folded=len(tasks),
        note=f"{many}. Unfold it to see them.",
    )


def _arrows(plan: Plan, box_of: dict[int, int | str]) -> list[Arrow]:
    """The links between boxes. Those of one kind between the same two stages are one arrow."""
    path = set(plan.critical_path)
    merged: dict[tuple[int | str, int | str, str], Arrow] = {}
    for place, (task_before, task_after) in enumerate(plan.link_pairs):
        before, after = box_of.get(task_before), box_of.get(task_after)
        if before is None or after is None or before == after:
            continue
        single = plan.link_at(place) if (before, after) == (task_before, task_after) else None
        kind = single.kind if single else LinkKind.FINISH_START.value
        driving = plan.tasks[task_after].figures.driving == place
        critical = driving and task_before in path and task_after in path
        old = merged.get((before, after, kind))
        merged[before, after, kind] = Arrow(
            before,
            after,
            kind,
            label_of(single) if single else "",
            driving or (old is not None and old.driving),
            critical or (old is not None and old.critical),
        )
    return list(merged.values())


def label_of(link: Link) -> str:
    """What of a link the line alone does not say: its kind, its lag, that it needs no cure."""
    said = [LETTERS[LinkKind(link.kind)]]
    if link.lag_minutes:
        sign = "+" if link.lag_minutes > 0 else "−"
        by = " by the clock" if link.lag_in == LagIn.ELAPSED else ""
        said.append(f"{sign} {show_hours(abs(link.lag_minutes))}{by}")
    return " ".join(word for word in said if word)
