"""The plan as bars on a dated rule, stage by stage.

Heavy and filled: no float. Outlined: float, drawn as a thin tail. Hatched: curing. Ticked: done.
A chain line, as a drawing's centre line, is today. Beneath it the hours of each week.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field

from buildlog.drawing.hatch import hatch
from buildlog.drawing.lettering import cut
from buildlog.drawing.rule import month_lines, rule
from buildlog.drawing.scale import DateScale, Scale
from buildlog.drawing.svg import Drawing

__all__ = ["Bar", "PlanBars", "StageBars", "WeekHours", "plan_bars"]

ROW = 24
BAR = 14
HEAD = 34
STAGE_GAP = 9
NAMES = 250
HOURS = 86
LEAST_BAR = 3


@dataclass(frozen=True, slots=True)
class Bar:
    """One task. Moments by the wall clock of the build.

    Parameters
    ----------
    name, href, note
        What it is called, where its sheet is, and what it says to someone who does not see it.
    start, finish, cured
        Of the work, and of the cure (the finish, where there is none).
    latest
        How late it may be finished and cured without moving the launch.
    critical, done
        No float; finished and cured.
    worked
        How much of the work is done, 0 to 1.
    """

    name: str
    href: str
    start: dt.datetime
    finish: dt.datetime
    cured: dt.datetime
    latest: dt.datetime
    critical: bool = False
    done: bool = False
    worked: float = 0.0
    note: str = ""


@dataclass(frozen=True, slots=True)
class StageBars:
    """A stage with its tasks; folded, it is one row. `href` folds or unfolds it."""

    name: str
    bars: Sequence[Bar]
    open: bool = True
    href: str = ""


@dataclass(frozen=True, slots=True)
class WeekHours:
    """A week: its Monday, hours of work the plan lays in it, and the shop hours it has."""

    monday: dt.date
    hours: float
    shop: float
    past: bool = False


@dataclass(frozen=True, slots=True)
class PlanBars:
    """Two drawings of one height: the names, which stay, and the chart, which may scroll."""

    names: Drawing
    chart: Drawing
    rows: int = field(default=0)


def plan_bars(
    stages: Sequence[StageBars],
    first: dt.date,
    last: dt.date,
    now: dt.datetime,
    weeks: Sequence[WeekHours] = (),
    width: float = 880,
    key: str = "bars",
    desc: str = "",
) -> PlanBars:
    """Draw the plan from `first` to before `last`, `width` pixels wide without its names.

    A bar that lies wholly outside is shown by an arrow at the edge where it lies. Raises ValueError
    if `first` is not before `last`.
    """
    scale = DateScale(first, last, 1, width - 1)
    rows = sum(1 + (len(stage.bars) if stage.open else 0) for stage in stages)
    foot = HEAD + rows * ROW + len(stages) * STAGE_GAP + 8
    height = foot + 22 + (HOURS if weeks else 0)
    names = Drawing(f"{key}-names", NAMES, height, "Stages and tasks", "Each leads to its sheet.")
    chart = Drawing(f"{key}-chart", width, height, "The plan as bars on a dated rule", desc)
    chart_hatch = hatch(chart)
    month_lines(chart, scale, HEAD, foot + (HOURS + 14 if weeks else 0))
    y = float(HEAD + STAGE_GAP)
    for stage in stages:
        _stage_row(names, chart, scale, stage, y, chart_hatch)
        y += ROW
        if stage.open:
            for bar in stage.bars:
                _name(names, bar, y)
                _bar(chart, scale, bar, y, chart_hatch)
                y += ROW
        y += STAGE_GAP
    rule(chart, scale, HEAD - 10)
    if first <= now.date() < last:
        _today(chart, scale, now, foot)
    if weeks:
        _hours(names, chart, scale, weeks, foot + 24)
    return PlanBars(names, chart, rows)


def _stage_row(
    names: Drawing, chart: Drawing, scale: DateScale, stage: StageBars, y: float, fill: str
) -> None:
    names.line(0, y - 4, NAMES, y - 4, "d-hair")
    chart.line(scale.start, y - 4, scale.end, y - 4, "d-hair")
    mark = "−" if stage.open else "+"
    said = f"{'Fold' if stage.open else 'Unfold'} {stage.name}"
    if stage.href:
        names.begin_link(stage.href, said, "d-fold")
    names.rect(0, y, NAMES, ROW, "d-target")
    names.rect(1.5, y + 5.5, 12, 12, "d-box")
    names.text(7.5, y + 16, mark, "t-mid")
    names.text(22, y + 16, cut(stage.name.upper(), 13.6, NAMES - 62), "t-stage")
    if stage.href:
        names.end_link()
    if not stage.open:
        done = sum(bar.done for bar in stage.bars)
        names.text(NAMES - 10, y + 16, f"{done} of {len(stage.bars)}", "t-small t-pencil t-end")
        _folded(chart, scale, stage, y, fill)


def _folded(chart: Drawing, scale: DateScale, stage: StageBars, y: float, fill: str) -> None:
    """All of a stage on one row: a light outline over its time, its heavy work heavy in it."""
    if not stage.bars:
        return
    whole = Bar(
        name=stage.name,
        href="",
        start=min(bar.start for bar in stage.bars),
        finish=max(bar.cured for bar in stage.bars),
        cured=max(bar.cured for bar in stage.bars),
        latest=max(bar.cured for bar in stage.bars),
        done=all(bar.done for bar in stage.bars),
        note=f"{stage.name}: {len(stage.bars)} tasks",
    )
    _bar(chart, scale, whole, y, fill)
    for bar in stage.bars:
        left, right = scale.clamp(scale(bar.start)), scale.clamp(scale(bar.finish))
        if bar.critical and not bar.done and right > left:
            chart.rect(left, y + 9, right - left, 6, "b-heavy")


def _name(names: Drawing, bar: Bar, y: float) -> None:
    names.begin_link(bar.href, cls="d-name")
    shown = cut(bar.name, 14, NAMES - 34)
    if shown != bar.name:
        names.begin(title=bar.name)
    names.rect(0, y, NAMES, ROW, "d-target")
    names.text(NAMES - 10, y + 16.5, shown, "t-end t-bold" if bar.critical else "t-end")
    if shown != bar.name:
        names.end()
    names.end_link()


def _bar(chart: Drawing, scale: DateScale, bar: Bar, y: float, fill: str) -> None:
    start, finish, cured = scale(bar.start), scale(bar.finish), scale(bar.cured)
    latest = max(scale(bar.latest), cured)
    middle = y + ROW / 2
    if max(latest, cured) <= scale.start or start >= scale.end:
        _elsewhere(chart, scale, before=start < scale.end, y=middle, bar=bar)
        return
    left, right = scale.clamp(start), scale.clamp(finish)
    width = max(right - left, LEAST_BAR if scale.start <= finish <= scale.end else 0)
    right = left + width
    top = middle - BAR / 2
    chart.begin(title=f"{bar.name}. {bar.note}" if bar.note else bar.name)
    kind = "b-done" if bar.done else "b-heavy" if bar.critical else "b-light"
    if width:
        chart.rect(left, top, width, BAR, kind)
    if 0 < bar.worked < 1 and not bar.done and width > LEAST_BAR:
        chart.rect(left, top + 4, width * bar.worked, BAR - 8, f"{kind}-worked")
    end = scale.clamp(max(cured, right))
    if cured > finish and end > right + 0.5:
        chart.rect(right, top, end - right, BAR, "b-cure", fill)
    if bar.done and width >= 14:
        chart.polyline([(left + 4, middle), (left + 7, middle + 3.5), (left + 12, middle - 4)],
                       "b-tick")  # fmt: skip
    tail = scale.clamp(latest)
    if not bar.done and tail > end + 2:
        chart.line(end, middle, tail, middle, "b-tail")
        if latest <= scale.end:
            chart.line(tail, middle - 4, tail, middle + 4, "b-tail")
    chart.end()


def _elsewhere(chart: Drawing, scale: DateScale, *, before: bool, y: float, bar: Bar) -> None:
    """A small arrow at the edge beyond which the bar lies, with a tick where it is done."""
    x, turn = (scale.start + 4, 5) if before else (scale.end - 4, -5)
    chart.begin(title=f"{bar.name}. {bar.note}" if bar.note else bar.name)
    chart.polyline([(x + turn, y - 4), (x, y), (x + turn, y + 4)], "b-away")
    if before and bar.done:
        chart.polyline([(x + 10, y), (x + 13, y + 3.5), (x + 18, y - 4)], "b-tick")
    chart.end()


def _today(chart: Drawing, scale: DateScale, now: dt.datetime, foot: float) -> None:
    x = scale(now)
    chart.line(x, HEAD - 16, x, foot + 4, "d-today")
    beside = x + 5 if x < scale.end - 40 else x - 5
    chart.text(beside, foot + 8, "today", "t-small" if beside > x else "t-small t-end")


def _hours(
    names: Drawing, chart: Drawing, scale: DateScale, weeks: Sequence[WeekHours], top: float
) -> None:
    """Bars of hours a week over a base line, the week's shop hours dotted above them."""
    shown = [week for week in weeks if scale.first - dt.timedelta(6) <= week.monday < scale.last]
    names.text(0, top + 14, "HOURS A WEEK", "t-stage")
    if not shown:
        return
    most = max(max(week.hours, week.shop) for week in shown) or 1
    base = top + HOURS - 30
    up = Scale(0, most, base, top + 4)
    for week in shown:
        left = scale.clamp(scale.day(week.monday))
        right = scale.clamp(scale.day(week.monday + dt.timedelta(7)))
        space = min(1.5, (right - left) / 5)
        if week.hours > 0 and right > left:
            y = up(week.hours)
            over = " b-over" if week.hours > week.shop and not week.past else ""
            chart.begin(title=_week_note(week))
            chart.rect(left + space / 2, y, right - left - space, base - y, f"b-week{over}")
            chart.end()
    chart.polyline(_steps(scale, shown, up), "d-dash")
    chart.line(scale.start, base, scale.end, base, "d-line")
    usual = max({week.shop for week in shown}, key=[week.shop for week in shown].count)
    names.text(NAMES - 10, up(usual) + 4, f"{usual:g} h in the pattern", "t-small t-end")


def _week_note(week: WeekHours) -> str:
    what = "worked" if week.past else "planned"
    return f"Week of {week.monday:%-d %b %Y}: {week.hours:.0f} h {what}, {week.shop:g} shop hours"


def _steps(
    scale: DateScale, weeks: Sequence[WeekHours], up: Scale
) -> list[tuple[float, float]]:
    path: list[tuple[float, float]] = []
    for week in weeks:
        y = up(week.shop)
        if not path or path[-1][1] != y:
            path.append((scale.clamp(scale.day(week.monday)), y))
        end = (scale.clamp(scale.day(week.monday + dt.timedelta(7))), y)
        if len(path) > 1 and path[-2][1] == y:
            path[-1] = end
        else:
            path.append(end)
    return path
