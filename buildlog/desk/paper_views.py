"""The drawn plan as a PDF of several framed sheets, for the wall."""

from __future__ import annotations

import datetime as dt
import logging
from dataclasses import dataclass, replace

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_safe

from buildlog.desk.network_views import drawing_of
from buildlog.desk.plan_timing import Timing
from buildlog.desk.plan_values import hours_by_week, stage_bars
from buildlog.desk.plan_views import timing_of
from buildlog.desk.plan_window import (
    MOST_BOXES,
    MOST_BOXES_ASKED,
    Window,
    open_stages,
    window_of,
)
from buildlog.drawing.plan_bars import Bar, StageBars, in_pages, plan_bars
from buildlog.drawing.plan_network import in_sheets
from buildlog.paper.ink import inked
from buildlog.paper.press import CannotPrint, Printed, SheetOfPaper, print_sheets
from tasks.access import CrewRequest, in_build
from tasks.models import Build
from tasks.plan import plan_of
from tasks.templatetags.shoptime import day

__all__ = ["bars_pdf", "network_pdf"]

log = logging.getLogger(__name__)
WEEK = dt.timedelta(days=7)
MOST_SHEETS = 120
BARS_NOTE = (
    "Heavy: critical. Outlined: float, as a thin tail. Hatched: curing. Ticked: done. Thin outline "
    "beneath: the baseline. Chain line: today. Full line: launch. Wash: launch in 8 of 10 cases."
)
NETWORK_NOTE = (
    "Early start, hours and early finish above; late start, float and late finish below. Heavy: "
    "critical. Full line: fixes a start. Lines that leave a sheet go on at its neighbour."
)


@dataclass(frozen=True, slots=True)
class Format:
    """What a sheet holds: pixels across, of those for names, rows, weeks; columns of boxes."""

    width: float
    names: float
    rows: int
    weeks: int
    columns: int
    height: float


FORMATS = {
    "a4": Format(1030, 250, 20, 30, 6, 960),
    "a3": Format(1500, 260, 34, 52, 9, 1450),
}


@require_safe
@in_build("look")
def bars_pdf(request: CrewRequest, build: Build) -> HttpResponse:
    """The bars, in pieces by weeks and by rows."""
    planned = plan_of(build)
    paper = _paper(request)
    endless = request.GET.get("hands") == "endless" or planned.launch is None
    timing = timing_of(planned, endless=endless, fresh=True)
    window = window_of(request.GET, planned, timing.last_day)
    opened = open_stages(request.GET, planned)
    title = "Plan as if hands were endless" if endless else "Plan with the hands there are"
    sheets = _bar_sheets(build, timing, window, opened, FORMATS[paper]) if planned.tasks else []
    return _answer(
        request, build, "plan", sheets, _printed(request, build, paper, title, BARS_NOTE)
    )


@require_safe
@in_build("look")
def network_pdf(request: CrewRequest, build: Build) -> HttpResponse:
    """The network, cut between its columns."""
    planned = plan_of(build)
    paper = _paper(request)
    with_done = request.GET.get("done") == "yes"
    opened = open_stages(request.GET, planned, MOST_BOXES, MOST_BOXES_ASKED)
    chart = drawing_of(build, planned, opened, with_done) if planned.tasks else None
    sheets = []
    if chart is not None:
        size = FORMATS[paper]
        sheets = [
            SheetOfPaper(inked(chart.piece(*place)), place[2], place[3], chart.desc)
            for place in in_sheets(chart, size.columns, size.height)
        ]
    printed = _printed(request, build, paper, "Network", NETWORK_NOTE)
    return _answer(request, build, "plan-network", sheets, printed)


def _paper(request: CrewRequest) -> str:
    paper = request.GET.get("paper", "")
    return paper if paper in FORMATS else "a4"


def _bar_sheets(
    build: Build, timing: Timing, window: Window, opened: set[int], size: Format
) -> list[SheetOfPaper]:
    """For each span of weeks the rows that have something in it, the hours of its weeks beneath."""
    url = reverse("task", args=[build.slug, 0])
    stages = stage_bars(timing, timing.plan.by_stage(), opened, url)
    weeks = hours_by_week(build, timing, window.first, window.last)
    sheets = []
    for first, last in _spans(window, size.weeks):
        pages = _evenly(_within(stages, first, last), size.rows)
        for page in pages:
            chart = plan_bars(
                page, first, last, timing.plan.now,
                weeks=weeks if page is pages[-1] else (),
                width=size.width, names=size.names, launch=timing.launch, band=timing.band,
                desc=f"{', '.join(stage.name for stage in page)}, {day(first)} to {day(last)}",
            )  # fmt: skip
            part = f"{first:%-d %b %Y} to {last - dt.timedelta(1):%-d %b %Y}"
            svg = inked(chart.svg)
            sheets.append(SheetOfPaper(svg, chart.width, chart.height, chart.desc, part))
    return sheets


def _within(stages: list[StageBars], first: dt.date, last: dt.date) -> list[StageBars]:
    """The stages with those of their bars that show anything between two days."""

    def shows(bar: Bar) -> bool:
        spans = [(bar.start, bar.cured if bar.done else max(bar.cured, bar.latest))]
        spans += [bar.earlier] if bar.earlier else []
        return any(begin.date() < last and end.date() >= first for begin, end in spans)

    found = []
    for stage in stages:
        bars = [bar for bar in stage.bars if shows(bar)]
        if bars:
            found.append(replace(stage, bars=bars if stage.open else stage.bars))
    return found


def _evenly(stages: list[StageBars], rows: int) -> list[list[StageBars]]:
    """The stages on as few pages as they take, of about as many rows each."""
    pages = in_pages(stages, rows)
    for fewer in range(rows - 1, 2, -1):
        tried = in_pages(stages, fewer)
        if len(tried) > len(pages):
            break
        pages = tried
    return pages


def _spans(window: Window, most: int) -> list[tuple[dt.date, dt.date]]:
    """The weeks of the window in equal spans of at most so many."""
    weeks = -(-(window.last - window.first).days // 7)
    spans = max(-(-weeks // most), 1)
    each = -(-weeks // spans) * WEEK
    return [(window.first + n * each, window.first + (n + 1) * each) for n in range(spans)]


def _printed(request: CrewRequest, build: Build, paper: str, title: str, note: str) -> Printed:
    return Printed(
        paper=paper,
        build=build.name,
        title=title,
        number=f"{build.slug}-{title.split()[0].lower()}",
        date=str(day(plan_of(build).now)),
        revision=str(build.plan_version),
        by=str(request.user),
        note=note,
    )


def _answer(
    request: CrewRequest, build: Build, page: str, sheets: list[SheetOfPaper], printed: Printed
) -> HttpResponse:
    if not sheets:
        messages.info(request, "There is nothing to print yet.")
        return redirect(page, build.slug)
    if len(sheets) > MOST_SHEETS:
        messages.error(
            request,
            f"That would be {len(sheets)} sheets. Fold some stages, draw fewer weeks, or take A3.",
        )
        return redirect(page, build.slug)
    try:
        pdf = print_sheets(printed, sheets)
    except CannotPrint:
        log.exception("The sheets of %s could not be set", build.slug)
        messages.error(request, "The PDF could not be made just now. Try again in a minute.")
        return redirect(page, build.slug)
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'attachment; filename="{printed.number}-{printed.paper}.pdf"'
    return answer
