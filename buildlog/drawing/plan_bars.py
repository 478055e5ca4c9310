"""The plan as bars on a dated rule, stage by stage.

Heavy and filled: critical. Outlined: float, drawn as a thin tail. Hatched: curing. Ticked: done.
A thin outline under a bar is where it lay in an earlier plan. A chain line, as a drawing's centre
line, is today; the launch is a full line, with a band for the days it may well fall on. Beneath
all of it the hours of each week.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

from buildlog.drawing.hatch import hatch
from buildlog.drawing.lettering import cut
from buildlog.drawing.lettering import width as width_of
from buildlog.drawing.rule import MONTHS, month_lines, rule
from buildlog.drawing.scale import DateScale, Scale
from buildlog.drawing.svg import Drawing, num

__all__ = ["Band", "Bar", "StageBars", "WeekHours", "in_pages", "plan_bars", "usual_hours"]

# The names stand beside the chart as words of the page, so that they stay when it scrolls; these
# heights are theirs too (static/css/plan-bars.css).
ROW = 24
STAGE_GAP = 9
HEAD = 34
HOURS = 86
BAND_WORDS = 15

BAR = 14
LEAST_BAR = 3
#: What can be pointed at is at least so wide.
LEAST_HIT = 24
#: Planned hours are drawn up to so many times the usual hours of a week.
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
    pinned
        The builder fixed its start.
    earlier
        Start and finish in an earlier plan that this one is held against.
    key
        What a script knows it by.
    moves
        What of it may be dragged: its `start` with all of it, its `end`, both, or nothing.
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
    pinned: bool = False
    earlier: tuple[dt.datetime, dt.datetime] | None = None
    key: str = ""
    moves: str = ""


@dataclass(frozen=True, slots=True)
class Band:
    """The days between which the launch falls in eight cases of ten, and the likely one."""

    first: dt.date
    last: dt.date
    likely: dt.date


@dataclass(frozen=True, slots=True)
class StageBars:
    """A stage with its tasks; folded, it is one row. `href` folds or unfolds it."""

    name: str
    bars: Sequence[Bar]
    open: bool = True
    href: str = ""


@dataclass(frozen=True, slots=True)
class WeekHours:
    """A week: its Monday, people-hours the plan lays in it, and those that are there for it."""

    monday: dt.date
    hours: float
    there: float
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
    launch: dt.datetime | None = None,
    band: Band | None = None,
) -> Drawing:
    """Draw the plan from `first` to before `last`, `width` pixels wide.

    A bar that lies wholly outside is shown by an arrow at the edge where it lies. With `names`, so
    many pixels on the left hold the names, as a drawing on paper needs them. `launch` and `band`
    are drawn where they lie within. Raises ValueError if `first` is not before `last`.
    """
    scale = DateScale(first, last, names + 1, width - 1)
    rows = sum(1 + (len(stage.bars) if stage.open else 0) for stage in stages)
    foot = HEAD + rows * ROW + len(stages) * STAGE_GAP + 8
    below = foot + (BAND_WORDS if band else 0)
    height = below + 22 + (HOURS if weeks else 0)
    chart = Drawing(key, width, height, "The plan as bars on a dated rule", desc)
    chart.data = {
        "first": first.isoformat(), "start": num(scale.start), "per-day": f"{scale.per_day:.4f}",
    }  # fmt: skip
    fill = hatch(chart)
    if band:
        _band(chart, scale, band, foot)
    month_lines(chart, scale, HEAD - 10, below + HOURS if weeks else foot)
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
    if launch and first <= launch.date() < last:
        _launch(chart, scale, launch, foot)
    if first <= now.date() < last:
        _today(chart, scale, now, foot)
    if weeks:
        if names:
            chart.text(0, below + 38, "HANDS, HOURS A WEEK", "t-stage")
        _hours(chart, scale, weeks, below + 24)
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
    """The hours that there are in most of the weeks; 0 without weeks."""
    hours = [week.there for week in weeks]
    return max(set(hours), key=hours.count) if hours else 0.0


def _folded(chart: Drawing, scale: DateScale, stage: StageBars, y: float, fill: str) -> None:
    """All of a stage on one row: a light outline over its time, its heavy work heavy in it."""
    if not stage.bars:
        return
    whole = Bar(
        name=stage.name,
        href=stage.href,
        start=min(bar.start for bar in stage.bars),
        finish=max(bar.cured for bar in stage.bars),
        cured=max(bar.cured for bar in stage.bars),
        latest=max(bar.cured for bar in stage.bars),
        done=all(bar.done for bar in stage.bars),
        note=f"{len(stage.bars)} tasks, folded",
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
    top = middle - BAR / 2
    if bar.earlier:
        _earlier(chart, scale, bar.earlier, top + BAR + 1.5)
    if max(latest, cured) <= scale.start or start >= scale.end:
        _elsewhere(chart, scale, before=start < scale.end, y=middle, bar=bar)
        return
    left, right = scale.clamp(start), scale.clamp(finish)
    width = max(right - left, LEAST_BAR if scale.start <= finish <= scale.end else 0)
    right = left + width
    _begin(chart, bar)
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
    if bar.pinned and scale.start <= start <= scale.end:
        chart.line(left, top - 3, left, top + BAR, "b-pin")
        chart.circle(left, top - 2, 3.5, "b-pin")
    if bar.href:
        room = max(LEAST_HIT - (end - left), 0) / 2
        chart.rect(left - room, y, end - left + 2 * room, ROW, "b-hit")
    _end(chart, bar)


def _begin(chart: Drawing, bar: Bar) -> None:
    """A bar with a sheet of its own is a link to it."""
    words = f"{bar.name}. {bar.note}" if bar.note else bar.name
    if bar.href:
        data = {"bar": bar.key, "moves": bar.moves}
        data = {name: value for name, value in data.items() if value}
        chart.begin_link(bar.href, words, "b-link", **data)
    chart.begin(title=words)


def _end(chart: Drawing, bar: Bar) -> None:
    chart.end()
    if bar.href:
        chart.end_link()


def _earlier(
    chart: Drawing, scale: DateScale, earlier: tuple[dt.datetime, dt.datetime], y: float
) -> None:
    left, right = (scale.clamp(scale(moment)) for moment in earlier)
    if right > left or scale.start < left < scale.end:
        chart.rect(left, y, max(right - left, LEAST_BAR), 2.5, "b-earlier")


def _elsewhere(chart: Drawing, scale: DateScale, *, before: bool, y: float, bar: Bar) -> None:
    """A small arrow at the edge beyond which the bar lies, with a tick where it is done."""
    x, turn = (scale.start + 4, 5) if before else (scale.end - 4, -5)
    _begin(chart, bar)
    chart.polyline([(x + turn, y - 4), (x, y), (x + turn, y + 4)], "b-away")
    if before and bar.done:
        chart.polyline([(x + 10, y), (x + 13, y + 3.5), (x + 18, y - 4)], "b-tick")
    if bar.href:
        chart.rect(scale.start if before else scale.end - LEAST_HIT, y - ROW / 2, LEAST_HIT, ROW,
                   "b-hit")  # fmt: skip
    _end(chart, bar)


def _today(chart: Drawing, scale: DateScale, now: dt.datetime, foot: float) -> None:
    x = scale(now)
    chart.line(x, HEAD - 16, x, foot + 4, "d-today")
    beside = x + 5 if x < scale.end - 40 else x - 5
    chart.text(beside, foot + 8, "today", "t-small" if beside > x else "t-small t-end")


def _launch(chart: Drawing, scale: DateScale, launch: dt.datetime, foot: float) -> None:
    x = scale(launch)
    chart.line(x, HEAD - 16, x, foot + 4, "d-launch")
    words = f"launch {launch.day} {MONTHS[launch.month - 1]} {launch.year}"
    _beside(chart, scale, x, foot + 8, words)


def _band(chart: Drawing, scale: DateScale, band: Band, foot: float) -> None:
    """A wash over the days on which the launch may well fall, told beneath; the likely ticked."""
    if band.first >= scale.last or band.last < scale.first:
        if band.first >= scale.last:
            chart.text(
                scale.end - 5, foot + 8 + BAND_WORDS, f"{_band_words(band)} →", "t-small t-end"
            )
        return
    left, right = scale.clamp(scale.day(band.first)), scale.clamp(scale.day(band.last))
    chart.begin(title=_band_words(band))
    chart.rect(left, HEAD - 10, right - left, foot + 4 - HEAD + 10, "d-band")
    for day in (band.first, band.last):
        if scale.first <= day < scale.last:
            x = scale.day(day)
            chart.line(x, HEAD - 10, x, foot + 4, "d-band-edge")
    likely = scale.day(band.likely)
    if left <= likely <= right:
        chart.polyline([(likely - 5, foot - 1), (likely, foot + 4), (likely + 5, foot - 1)],
                       "d-likely")  # fmt: skip
    words = _band_words(band) + ("" if band.last < scale.last else " →")
    _beside(chart, scale, left, foot + 8 + BAND_WORDS, words)
    chart.end()


def _band_words(band: Band) -> str:
    first, last = (f"{d.day} {MONTHS[d.month - 1]} {d.year}" for d in (band.first, band.last))
    return f"in 8 of 10 cases {first} to {last}"


def _beside(chart: Drawing, scale: DateScale, x: float, y: float, words: str) -> None:
    """Small words to the right of a place, or to its left where there is no room."""
    if x + 5 + width_of(words, 12) <= scale.end:
        chart.text(x + 5, y, words, "t-small")
    else:
        chart.text(min(x, scale.end) - 5, y, words, "t-small t-end")


def _hours(chart: Drawing, scale: DateScale, weeks: Sequence[WeekHours], top: float) -> None:
    """Bars of hours a week over a base line, the hours that are there dotted across them.

    What is planned beyond what is there is only outlined: it needs more hands at once, or will
    come later. A bar that would leave the drawing is cut and carries its number.
    """
    shown = [week for week in weeks if scale.first - dt.timedelta(6) <= week.monday < scale.last]
    if not shown:
        return
    base = top + HOURS - 30
    most = max(week.hours for week in shown)
    usual = usual_hours(shown)
    if usual:
        most = max(min(most, usual * MOST_OVER), *(min(week.there, 4 * usual) for week in shown))
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
    solid = week.hours if week.past else min(week.hours, week.there)
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
    monday = f"{week.monday.day} {MONTHS[week.monday.month - 1]} {week.monday.year}"
    return f"Week of {monday}: {week.hours:.0f} h {what}, {week.there:.0f} h of hands there"


def _steps(scale: DateScale, weeks: Sequence[WeekHours], up: Scale) -> list[tuple[float, float]]:
    path: list[tuple[float, float]] = []
    for week in weeks:
        y = up(min(week.there, up.high))
        if not path or path[-1][1] != y:
            path.append((scale.clamp(scale.day(week.monday)), y))
        end = (scale.clamp(scale.day(week.monday + dt.timedelta(7))), y)
        if len(path) > 1 and path[-2][1] == y:
            path[-1] = end
        else:
            path.append(end)
    return path
