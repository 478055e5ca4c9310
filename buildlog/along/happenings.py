"""What lies ahead on a build, as days and hours: the bridge from rows to a calendar."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from urllib.parse import urljoin

from django.urls import reverse

from buildlog.along.calendar_writing import Happening
from buildlog.materials.need import needs_of
from buildlog.materials.ordering import Order as ToOrder
from buildlog.materials.ordering import orders_of
from buildlog.templatetags.measures import quantity
from tasks.hours import show_hours
from tasks.models import DayOff, Doing, HelpDay, Task
from tasks.order import Order
from tasks.order_room import room_in
from tasks.plan import Plan, State
from tasks.templatetags.shoptime import day, moment
from tasks.words import hands_words

__all__ = ["SESSION_WEEKS", "happenings_of"]

#: Work further ahead than this moves too often to be noted down.
SESSION_WEEKS = 12
#: Days off and what is ordered are told for so long.
YEAR = dt.timedelta(days=366)

_NEXT_DAY = dt.timedelta(days=1)
_WHOLE_DAY = (0, 1440)


def happenings_of(plan: Plan, order: Order | None, *, site: str, money: bool) -> list[Happening]:
    """All that a calendar tells of a build, in a fixed number of queries.

    Parameters
    ----------
    plan, order
        The plan now and its order of work, None if there is none.
    site
        What every address on this site begins with.
    money
        Whether the reader may see the money, and so where things are bought.
    """
    ahead = _Ahead(plan, order, site, money)
    return sorted(ahead.all(), key=lambda one: (_moment(one.start, plan), one.key))


def _moment(start: dt.date, plan: Plan) -> dt.datetime:
    if isinstance(start, dt.datetime):
        return start
    return dt.datetime.combine(start, dt.time(), plan.zone)


class _Ahead:
    def __init__(self, plan: Plan, order: Order | None, site: str, money: bool) -> None:
        self.plan, self.order, self.site, self.money = plan, order, site, money
        self.build = plan.build
        self.today = plan.now.date()
        self.horizon = plan.now + dt.timedelta(weeks=SESSION_WEEKS)

    def all(self) -> Iterator[Happening]:
        yield from self.sessions()
        yield from self.cures()
        yield from self.helpers()
        yield from self.days_off()
        yield from self.to_order()
        if self.order is not None and self.order.launch is not None and self.unfinished():
            yield Happening(
                "launch",
                "Launch",
                f"Launch of {self.build}",
                self.order.launch.date(),
                details="With the hands there are, if all goes as planned.",
                link=self.link("launch"),
            )

    def unfinished(self) -> bool:
        return any(
            one.state not in (State.DONE, State.LEFT_OUT) for one in self.plan.tasks.values()
        )

    def link(self, name: str, *args: object) -> str:
        return urljoin(self.site, reverse(name, args=[self.build.slug, *args]))

    def sessions(self) -> Iterator[Happening]:
        """Each stretch of shop hours in which a task is worked on; midnight parts stretches.

        They are counted from the last one back: when a session is over, those still to come keep
        their numbers and stay where they are.
        """
        if self.order is None:
            return
        rooms = room_in(self.plan, self.order)
        for pk in self.order.order:
            planned = self.plan.tasks.get(pk)
            if planned is None or planned.task.doing != Doing.OWN or pk not in rooms:
                continue
            pieces = [part for piece in rooms[pk].pieces for part in self.by_day(*piece)]
            for number, (start, end) in enumerate(pieces, 1):
                if start >= self.horizon:
                    break
                yield Happening(
                    f"work-{pk}-{len(pieces) - number}",
                    "Work",
                    str(planned.task),
                    start,
                    end,
                    details=self.session_words(planned.task, number, len(pieces)),
                    busy=True,
                    link=self.link("task", pk),
                )

    def by_day(self, first: int, last: int) -> Iterator[tuple[dt.datetime, dt.datetime]]:
        start, end = self.plan.moment(first), self.plan.moment(last)
        while start < end:
            midnight = dt.datetime.combine(start.date() + _NEXT_DAY, dt.time(), self.plan.zone)
            # Moments of one zone are compared by their wall clocks; these must go by the instant.
            stop = min(end, midnight, key=dt.datetime.timestamp)
            yield start, stop
            start = stop

    def session_words(self, task: Task, number: int, of: int) -> str:
        lines = [f"{task.stage}." if of == 1 else f"{task.stage}. Part {number} of {of}."]
        if task.hands > 1:
            lines.append(f"Needs {hands_words(task.hands)} at once.")
        if task.unbroken:
            lines.append("Must be done in one go.")
        if number == of and task.cure_minutes:
            lines.append(f"Then it cures for {show_hours(task.cure_minutes)}.")
        return "\n".join(lines)

    def cures(self) -> Iterator[Happening]:
        """The moment at which a cure ends, or at which what others do is there."""
        for planned in self.plan.tasks.values():
            task = planned.task
            if planned.state in (State.DONE, State.LEFT_OUT):
                continue
            if planned.state == State.CURING:
                finish, cured = planned.early_finish, planned.cured
            elif self.order is not None and planned.pk in self.order.places:
                place = self.order.places[planned.pk]
                finish, cured = place.finish, place.cured
            else:
                continue
            if cured >= self.horizon:
                continue
            ours = task.doing == Doing.OWN or planned.state == State.CURING
            if ours and cured > finish:
                yield Happening(
                    f"cure-{task.pk}", "Cure", f"Cured: {task}", cured,
                    details=f"Finished {moment(finish)}; it has cured then if it was warm enough.",
                    link=self.link("task", task.pk),
                )  # fmt: skip
            elif not ours:
                yield Happening(
                    f"bought-in-{task.pk}", "Bought in", f"Bought in: {task}", cured.date(),
                    details="Others do it; it is to be ready on this day.",
                    link=self.link("task", task.pk),
                )  # fmt: skip

    def helpers(self) -> Iterator[Happening]:
        off = {
            first + dt.timedelta(days)
            for first, last, _ in self.plan.days_off
            for days in range((last - first).days + 1)
        }
        for row in HelpDay.objects.filter(build=self.build).order_by("pk"):
            hours = (row.start_minute, row.end_minute)
            first, last = self.span_of(row)
            if row.weekday is None and (hours == _WHOLE_DAY or first == last):
                if last >= self.today and first <= self.today + YEAR:
                    yield self.help(row, f"help-{row.pk}", first, last)
                continue
            at = max(first, self.today)
            while at <= min(last, self.horizon.date()):
                if row.weekday in (None, at.weekday()) and at not in off:
                    yield self.help(row, f"help-{row.pk}-{at}", at, at)
                at += _NEXT_DAY

    def span_of(self, row: HelpDay) -> tuple[dt.date, dt.date]:
        """First and last day; a helper of no weekday comes for one day if no last one is given."""
        first = row.first or self.today
        if row.weekday is None:
            return first, row.last or first
        return first, row.last or dt.date.max

    def help(self, row: HelpDay, key: str, first: dt.date, last: dt.date) -> Happening:
        start: dt.date = first
        end: dt.date = last + _NEXT_DAY
        if (row.start_minute, row.end_minute) != _WHOLE_DAY:
            start, end = self.at(first, row.start_minute), self.at(last, row.end_minute)
        words = hands_words(row.hands)
        return Happening(
            key, "Help", f"Help: {row.who}", start, end,
            details=f"{words[0].upper()}{words[1:]} more in the shop hours of the day.",
            link=self.link("launch"),
        )  # fmt: skip

    def at(self, date: dt.date, minute: int) -> dt.datetime:
        """A minute of a day by the wall clock; 1440 is the next midnight."""
        wall = dt.datetime.combine(date, dt.time(), self.plan.zone) + dt.timedelta(minutes=minute)
        return wall.astimezone(dt.UTC)

    def days_off(self) -> Iterator[Happening]:
        rows = DayOff.objects.filter(
            build=self.build, last__gte=self.today, first__lte=self.today + YEAR
        )
        for row in rows:
            yield Happening(
                f"off-{row.pk}", "Day off",
                f"No work: {row.reason}" if row.reason else "No work",
                row.first, row.last + _NEXT_DAY,
                details=f"No shop hours on {self.build}.",
            )  # fmt: skip

    def to_order(self) -> Iterator[Happening]:
        for one in orders_of(self.plan, needs_of(self.build, self.plan)):
            if one.order_by is None or one.order_by > self.today + YEAR:
                continue
            known = one.lead_days is not None
            yield Happening(
                f"order-{one.material.pk}",
                "To order",
                f"Order {one.material}" if known else f"Needed: {one.material}",
                max(one.order_by, self.today),  # what is late is to be ordered today
                details=self.order_words(one),
                link=self.link("material", one.material.pk),
            )

    def order_words(self, one: ToOrder) -> str:
        lines = [
            f"{quantity(one.amount, one.material.unit)}, for {one.task} from {day(one.start)}."
        ]
        if one.lead_days is None:
            lines.append(
                "How many days it takes to come is not known, so this is the day on which the "
                "work can begin: order it in good time before."
            )
        elif one.lead_days:
            lines.append(
                f"It takes {one.lead_days} day{'' if one.lead_days == 1 else 's'} to come."
            )
        if one.late:
            lines.append(f"It should have been ordered by {day(one.order_by)}.")
        if self.money and one.material.supplier:
            lines.append(f"From {one.material.supplier}.")
        return "\n".join(lines)
