"""What of the plan is looked at: which days, which stages. It lives in the address."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from urllib.parse import urlencode

from django.http import QueryDict

from buildlog.desk.plan_values import DAY, monday_of
from tasks.plan import Plan, State

MOST_ROWS = 300  # opened by themselves
MOST_ROWS_ASKED = 1200
MOST_BOXES, MOST_BOXES_ASKED = 40, 400  # of the network, which is harder to read
LEAD_WEEKS = 4
SPANS = {"launch": "Till launch", "13": "Thirteen weeks", "52": "A year", "all": "All of it"}


@dataclass(frozen=True, slots=True)
class Window:
    """`span` is a key of SPANS; `start` the day it was asked to begin at, if any was.

    `endless` asks for the dates that endless hands would give, `table` for rows in place of bars.
    """

    span: str
    start: dt.date | None
    first: dt.date
    last: dt.date
    endless: bool = False
    table: bool = False

    def moved(self, sign: int) -> dt.date:
        return self.first + sign * (self.last - self.first)

    @property
    def can_move(self) -> bool:
        return self.span.isdigit()


def window_of(query: QueryDict, plan: Plan, ends: dt.date | None = None) -> Window:
    """The days to draw. What the address asks badly is drawn as if it had not asked.

    `ends` is the last day of the work; that of the early dates where none is given.
    """
    days = _days_of(query, plan, ends)
    return replace(days, endless=query.get("hands") == "endless", table=query.get("as") == "table")


def _days_of(query: QueryDict, plan: Plan, ends: dt.date | None) -> Window:
    span = query.get("span", "launch")
    if span not in SPANS:
        span = "launch"
    start = _day(query.get("from", ""))
    today = plan.now.date()
    if ends is None:
        cured = [one.figures.cured for one in plan.tasks.values()]
        ends = plan.moment(max(cured)).date() if cured else today
    end = max(ends, today) + 8 * DAY
    lead = monday_of(today) - LEAD_WEEKS * 7 * DAY
    if span.isdigit():
        first = monday_of(start) if start else monday_of(today) - 7 * DAY
        return Window(span, start, first, first + int(span) * 7 * DAY)
    if span == "all":
        begins = [one.figures.early_start for one in plan.tasks.values()]
        first = plan.moment(min(begins)).date() if begins else today
        return Window(span, None, monday_of(min(first, today)), end)
    return Window(span, None, lead, end)


def _day(text: str) -> dt.date | None:
    try:
        day = dt.date.fromisoformat(text)
    except ValueError:
        return None
    return day if 1970 <= day.year <= 2200 else None


def open_stages(
    query: QueryDict, plan: Plan, most: int = MOST_ROWS, most_asked: int = MOST_ROWS_ASKED
) -> set[int]:
    """The stages drawn task by task: as asked, else those with work left, as far as it stays clear.

    Never more than `most_asked` tasks, whatever is asked.
    """
    asked = query.get("open")
    sizes: dict[int, int] = {}
    left: dict[int, bool] = {}
    for one in plan.tasks.values():
        sizes[one.stage_id] = sizes.get(one.stage_id, 0) + 1
        left[one.stage_id] = left.get(one.stage_id, False) or one.figures.state != State.DONE
    if asked is None:
        wanted, room = [pk for pk in sizes if left[pk]], most
    elif asked == "all":
        wanted, room = list(sizes), most_asked
    else:
        asked_pks = {int(word) for word in asked.split("-") if word.isdecimal()}
        wanted, room = [pk for pk in sizes if pk in asked_pks], most_asked
    chosen: set[int] = set()
    for pk in wanted:
        room -= sizes[pk]
        if room < 0:
            break
        chosen.add(pk)
    return chosen


def address(window: Window, opened: set[int] | str, **more: str) -> str:
    """The query string that leads back to a view of the plan."""
    said = {"span": window.span}
    if window.start:
        said["from"] = window.start.isoformat()
    if window.endless:
        said["hands"] = "endless"
    if window.table:
        said["as"] = "table"
    said["open"] = opened if isinstance(opened, str) else "-".join(map(str, sorted(opened)))
    return "?" + urlencode(said | more)
