"""The plan as bars on a dated rule, stage by stage.

Heavy and filled: no float. Outlined: float, drawn as a thin tail. Hatched: curing. Ticked: done.
A chain line, as a drawing's centre line, is today. Beneath it the hours of each week.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

from buildlog.drawing.hatch import hatch
from buildlog.drawing.lettering import cut
from buildlog.drawing.rule import month_lines, rule
from buildlog.drawing.scale import DateScale, Scale
from buildlog.drawing.svg import Drawing

__all__ = ["Bar", "StageBars", "WeekHours", "in_pages", "plan_bars", "usual_hours"]

# The names stand beside the chart as words of the page, so that they stay when it scrolls; these
# heights are theirs too (static/css/plan-bars.css).
ROW = 24
STAGE_GAP = 9
HEAD = 34
HOURS = 86

BAR = 14
LEAST_BAR = 3
#: Planned hours are drawn up to so many times the usual shop hours of a week.
MOST_OVER = 2.5


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


def plan_bars(
    stages: Sequence[StageBars],
    first: dt.date,
    last: dt.date,
    now: dt.datetime,
    weeks: Sequence[WeekHours] = (),
    width: float = 880,
    key: str = "bars",
    desc: str = "",
    names: float = 0,
) -> Drawing:
    """Draw the plan from `first` to before `last`, `width` pixels wide.

    A bar that lies wholly outside is shown by an arrow at the edge where it lies. With `names`, so
    many pixels on the left hold the names, as a drawing on paper needs them. Raises ValueError if
    `first` is not before `last`.
    """
    scale = DateScale(first, last, names + 1, width - 1)
    rows = sum(1 + (len(stage.bars) if stage.open else 0) for stage in stages)
    foot = HEAD + rows * ROW + len(stages) * STAGE_GAP + 8
    height = foot + 22 + (HOURS if weeks else 0)
    chart = Drawing(key, width, height, "The plan as bars on a dated rule", desc)
    fill = hatch(chart)
    month_lines(chart, scale, HEAD - 10, foot + (HOURS if weeks else 0))
    y = float(HEAD)
    for stage in stages:
        y += STAGE_GAP
        chart.line(0, y - 4, scale.end, y - 4, "d-hair")
        if names:
            chart.text(0, y + 16, cut(stage.name.upper(), 13.6, names - 10), "t-stage")
        if not stage.open:
            _folded(chart, scale, stage, y, fill)
        y += ROW
        for bar in stage.bars if stage.open else ():
            if names:
                weight = "t-end t-bold" if bar.critical else "t-end"
                chart.text(names - 10, y + 16.5, cut(bar.name, 14, names - 10), weight)
            _bar(chart, scale, bar, y, fill)
            y += ROW
    rule(chart, scale, HEAD - 10)
    if first <= now.date() < last:
        _today(chart, scale, now, foot)
    if weeks:
        if names:
            chart.text(0, foot + 38, "HOURS A WEEK", "t-stage")
        _hours(chart, scale, weeks, foot + 24)
    return chart


def in_pages(stages: Sequence[StageBars], rows: int) -> list[list[StageBars]]:
    """The stages on pages of at most `rows` rows, a stage's own row counted.

    A stage goes on under its name on the next page where it must; no page ends with a bare name.

    >>> now = dt.datetime(2026, 11, 14)
    >>> bar = Bar("Fit", "", now, now, now, now)
    >>> pages = in_pages([StageBars("Frames", [bar] * 5), StageBars("Deck", [bar])], 4)
    >>> [[(stage.name, len(stage.bars)) for stage in page] for page in pages]
    [[('Frames', 3)], [('Frames', 2)], [('Deck', 1)]]
    """
    pages: list[list[StageBars]] = []
    left = 0
    for stage in stages:
        rest = list(stage.bars) if stage.open else []
        while True:
            if left < (2 if rest else 1):
                pages.append([])
                left = rows
            taken = rest[: left - 1]
            rest = rest[left - 1 :]
            pages[-1].append(replace(stage, bars=taken) if stage.open else stage)
            left -= 1 + len(taken)
            if not rest:
                break
    return pages


def usual_hours(weeks: Sequence[WeekHours]) -> float:
    """The shop hours that most of the weeks have; 0 without weeks."""
    hours = [week.shop for week in weeks]
    return max(set(hours), key=hours.count) if hours else 0.0


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


def _hours(chart: Drawing, scale: DateScale, weeks: Sequence[WeekHours], top: float) -> None:
    """Bars of hours a week over a base line, the week's shop hours dotted across them.

    What is planned beyond the shop hours is only outlined: it needs more hands at once, or will
    come later. A bar that would leave the drawing is cut and carries its number.
    """
    shown = [week for week in weeks if scale.first - dt.timedelta(6) <= week.monday < scale.last]
    if not shown:
        return
    base = top + HOURS - 30
    most = max(week.hours for week in shown)
    usual = usual_hours(shown)
    if usual:
        most = max(min(most, usual * MOST_OVER), *(week.shop for week in shown))
    up = Scale(0, most or 1, base, top + 6)
    for week in shown:
        left = scale.clamp(scale.day(week.monday))
        right = scale.clamp(scale.day(week.monday + dt.timedelta(7)))
        if week.hours > 0 and right > left:
            chart.begin(title=_week_note(week))
            _week(chart, week, left, right, up, base, cut_at=most)
            chart.end()
    chart.polyline(_steps(scale, shown, up), "d-dash")
    chart.line(scale.start, base, scale.end, base, "d-line")


def _week(
    chart: Drawing, week: WeekHours, left: float, right: float, up: Scale, base: float,
    cut_at: float,
) -> None:  # fmt: skip
    space = min(1.5, (right - left) / 5)
    x, width = left + space / 2, right - left - space
    solid = week.hours if week.past else min(week.hours, week.shop)
    solid = min(solid, cut_at)
    if solid > 0:
        chart.rect(x, up(solid), width, base - up(solid), "b-week")
    reached = min(week.hours, cut_at)
    if reached > solid:
        chart.rect(x, up(reached), width, up(solid) - up(reached), "b-over")
    if week.hours > cut_at and width >= 16:
        chart.text((left + right) / 2, up(cut_at) - 1, f"{week.hours:.0f}", "t-tiny t-mid")


def _week_note(week: WeekHours) -> str:
    what = "worked" if week.past else "planned"
    return f"Week of {week.monday:%-d %b %Y}: {week.hours:.0f} h {what}, {week.shop:g} shop hours"


def _steps(scale: DateScale, weeks: Sequence[WeekHours], up: Scale) -> list[tuple[float, float]]:
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
