"""The values of the sheet “What changed”: the launch week by week, slip by stage, float eaten."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from django.urls import reverse
from django.utils.html import escape, format_html
from django.utils.safestring import SafeString, mark_safe

from buildlog.drawing.launch_curve import launch_curve
from buildlog.drawing.slip_bar import slip_bar
from buildlog.drawing.svg import Drawing
from tasks.baselines import FloatEaten, StageSlip, floats_eaten, slip_by_stage
from tasks.cause_words import Cause, causes_of, days_words, span_words
from tasks.launch_records import Week, floats_of, record_about
from tasks.models import Baseline, Build
from tasks.order import Order
from tasks.plan import Plan

__all__ = ["Eaten", "Slips", "WeekLine", "curve_of", "eaten_of", "slips_of", "week_lines"]

MONTH = dt.timedelta(days=30)


@dataclass(frozen=True)
class CauseLine:
    """A cause as the page shows it: signed days, and words in which tasks lead to their sheets."""

    cause: Cause
    moved: str
    words: SafeString


@dataclass(frozen=True)
class WeekLine:
    """A week: when, where the launch stood at its end, and what moved it.

    `idle` are changes that moved the launch by no day.
    """

    week: Week
    span: str
    moved: str
    causes: list[CauseLine] = field(default_factory=list)
    idle: list[CauseLine] = field(default_factory=list)


def week_lines(plan: Plan, weeks: list[Week]) -> list[WeekLine]:
    """The weeks as lines, the newest first."""
    lines = []
    for week in reversed(weeks):
        causes = [_line(plan, cause) for cause in causes_of(week.causes or ())]
        first = week.since + dt.timedelta(days=1) if week.since else week.day
        lines.append(
            WeekLine(
                week,
                span_words(first, week.day),
                _moved(week.days) if week.since else "",
                [one for one in causes if one.cause.days],
                [one for one in causes if not one.cause.days and one.cause.groups != ("time",)],
            )
        )
    return lines


def _moved(days: int) -> str:
    return days_words(days) if days else "stood still"


def _line(plan: Plan, cause: Cause) -> CauseLine:
    return CauseLine(cause, days_words(cause.days), _linked(plan, cause))


def _linked(plan: Plan, cause: Cause) -> SafeString:
    """The words, the name of each task that is still there a link to its sheet."""
    names = {str(escape(name)): pk for pk, name in cause.tasks if name and pk in plan.tasks}
    words = str(escape(cause.words))
    if names:
        longest_first = sorted(names, key=len, reverse=True)
        words = re.sub(
            "|".join(re.escape(name) for name in longest_first),
            lambda found: format_html(
                '<a href="{}">{}</a>',
                reverse("task", args=[plan.build.slug, names[found[0]]]),
                mark_safe(found[0]),  # noqa: S308 (escaped above)
            ),
            words,
        )
    return mark_safe(words)  # noqa: S308 (every part of it was escaped)


def curve_of(weeks: list[Week], baseline: Baseline | None) -> list[tuple[str, Drawing]]:
    """The curve for a desk's width and for a phone's; nothing before a second week."""
    if len(weeks) < 2:
        return []
    points = [(week.day, week.launch.date()) for week in weeks]
    planned = None
    if baseline is not None:
        planned = (baseline.name, baseline.launch.astimezone(baseline.build.zone).date())
    sizes = (("for-desk", 780, 270), ("for-phone", 358, 230))
    return [
        (name, launch_curve(points, planned, width, height, key=f"launches-{name}"))
        for name, width, height in sizes
    ]


def slip_words(days: int) -> str:
    return days_words(days) if days else "as planned"


@dataclass(frozen=True)
class SlipRow:
    slip: StageSlip
    words: str
    bar: Drawing | None


@dataclass(frozen=True)
class Slips:
    """The launch and each stage against the baseline."""

    baseline: Baseline
    rows: list[SlipRow]
    launch: dt.datetime | None

    @property
    def launch_words(self) -> str:
        if self.launch is None:
            return "–"
        planned = self.baseline.launch.astimezone(self.baseline.build.zone)
        return slip_words((self.launch.date() - planned.date()).days)


def slips_of(baseline: Baseline, plan: Plan, order: Order | None) -> Slips:
    slips = slip_by_stage(baseline, plan, order)
    known = [slip.days for slip in slips if slip.days is not None]
    earliest, latest = min([0, *known]), max([0, *known])
    rows = []
    for place, slip in enumerate(slips):
        if slip.days is None:
            words, bar = ("gone" if slip.planned else "new"), None
        else:
            words = slip_words(slip.days)
            bar = slip_bar(slip.days, earliest, latest, slip.name, key=f"slip-{place}")
        rows.append(SlipRow(slip, words, bar))
    return Slips(baseline, rows, order.launch if order else plan.launch)


@dataclass(frozen=True)
class Eaten:
    """Tasks that lost float, since when, and whether that was the baseline."""

    since: dt.date
    of_baseline: bool
    rows: list[FloatEaten]


def eaten_of(build: Build, plan: Plan, baseline: Baseline | None, since: str) -> Eaten | None:
    """Float eaten since the baseline, or (`since` is “month”) since about a month ago."""
    then: Mapping[int, int]
    if baseline is not None and since != "month":
        then = {one.task: one.total_float for one in baseline.tasks}
        day = baseline.made_at.astimezone(build.zone).date()
        return Eaten(day, True, floats_eaten(then, plan))
    record = record_about(build, plan.now.date() - MONTH)
    if record is None or record.day == plan.now.date():
        return None
    return Eaten(record.day, False, floats_eaten(floats_of(record), plan))
