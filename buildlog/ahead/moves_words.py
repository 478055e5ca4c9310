"""Changes that would move the launch, in the builder's words."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from urllib.parse import urlencode

from buildlog.ahead.moves import BoughtIn, Evening, Heating, Helper, LeftOut, Move
from buildlog.ahead.moves_kept import Moved
from buildlog.units import typed_number
from tasks.plan import Plan
from tasks.templatetags.shoptime import clock, day
from tasks.words import WEEKDAYS, listed, number, of

__all__ = ["Line", "days_words", "line_of", "move_words", "open_cost_words"]

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September",
          "October", "November", "December")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Line:
    """A change as the Launch sheet shows it; `query` opens it on its own sheet."""

    moved: Moved
    words: str
    days: str
    open_cost: str
    query: str


def line_of(plan: Plan, moved: Moved) -> Line:
    move = moved.move
    return Line(
        moved=moved,
        words=move_words(plan, move),
        days=days_words(moved.days),
        open_cost=open_cost_words(move),
        query=urlencode(as_typed(plan, move)),
    )


def days_words(days: int) -> str:
    """
    >>> days_words(12), days_words(-1), days_words(0)
    ('twelve days sooner', 'one day later', 'the same day')
    """
    if not days:
        return "the same day"
    return f"{of(abs(days), 'day')} {'sooner' if days > 0 else 'later'}"


def move_words(plan: Plan, move: Move) -> str:
    """“The shed heated in February 2027”, “S4 Fit the stringers bought in, done in 9 days”."""
    match move:
        case Evening():
            hours = f"{clock(move.start)}–{clock(move.end)}"
            return f"One more stretch a week: {WEEKDAYS[move.weekday]} {hours}"
        case Helper():
            who = "A helper" if move.hands == 1 else f"{number(move.hands).capitalize()} helpers"
            return f"{who} {_when(move)}"
        case Heating():
            return f"The shed heated {_months(move.first, move.last)}"
        case BoughtIn():
            named = [str(plan.tasks[pk].task) for pk in move.tasks if pk in plan.tasks]
            days = sorted(set(move.days_of(plan).values()))
            each = " each" if len(named) > 1 and len(days) == 1 else ""
            taken = " to ".join(dict.fromkeys((str(days[0]), str(days[-1]))))
            takes = f"done in {taken} day{'' if days[-1] == 1 else 's'}{each}"
            material = ", material and all" if move.with_material else ""
            return f"{listed(named)} bought in{material}, {takes if days[-1] else 'at once'}"
        case LeftOut():
            stage = plan.stage_of.get(move.stage)
            return f"{stage.name if stage else 'A stage'} left out of her"
    return ""


def open_cost_words(move: Move) -> str:
    """What the change costs that nobody has said yet, so that no sum holds it."""
    if isinstance(move, BoughtIn) and move.price is None:
        return "and what they ask"
    if isinstance(move, Heating) and move.a_month is None:
        return "and the heating"
    return ""


def as_typed(plan: Plan, move: Move) -> dict[str, str]:
    """The change as the form for trying one takes it."""
    typed: dict[str, str] = {"sort": move.sort}
    match move:
        case Evening():
            hours = f"{clock(move.start)}–{clock(move.end)}"
            typed |= {"weekday": str(move.weekday), "hours": hours}
        case Helper():
            typed |= {"hands": str(move.hands), "weekday": _text(move.weekday)}
            typed |= {"first": _text(move.first), "last": _text(move.last), "who": move.who}
            if (move.start, move.end) != (0, 1440):
                typed["hours"] = f"{clock(move.start)}–{clock(move.end)}"
        case Heating():
            typed |= {"first": f"{move.first:%Y-%m}", "last": f"{move.last:%Y-%m}"}
            if move.a_month is not None:
                typed["a_month"] = typed_number(move.a_month)
        case BoughtIn():
            typed["tasks"] = ", ".join(plan.tasks[pk].task.code for pk in move.tasks)
            typed["days"] = _text(move.days)
            if move.price is not None:
                typed["price"] = typed_number(move.price)
            if move.with_material:
                typed["with_material"] = "on"
        case LeftOut():
            typed["stage"] = str(move.stage)
    return typed


def _when(move: Helper) -> str:
    if move.weekday is not None:
        words = f"every {WEEKDAYS[move.weekday]}"
        words += f" from {day(move.first)}" if move.first else ""
        words += f" until {day(move.last)}" if move.last else ""
    else:
        last = move.last if move.last != move.first else None
        words = f"on {day(move.first)}" if not last else f"from {day(move.first)} to {day(last)}"
    if (move.start, move.end) != (0, 1440):
        words += f", {clock(move.start)}–{clock(move.end)}"
    return words


def _months(first: dt.date, last: dt.date) -> str:
    one, other = (f"{MONTHS[day.month - 1]} {day.year}" for day in (first, last))
    return f"in {one}" if one == other else f"from {one} to {other}"


def _text(value: object) -> str:
    return "" if value is None else str(value)
