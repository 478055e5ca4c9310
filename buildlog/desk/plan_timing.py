"""When the tasks are worked on: in the order that the hands allow, or as if these were endless."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from buildlog.drawing.plan_bars import Band
from tasks.hours import show_hours
from tasks.network.hands.room import Room
from tasks.order import Order
from tasks.order_room import Levels, is_current
from tasks.plan import Plan, State, TaskPlan
from tasks.words import float_words

__all__ = ["Dates", "Timing"]

OVER = (State.DONE, State.CURING)


@dataclass(frozen=True, slots=True)
class Dates:
    """Of one task. `latest` is how late it may be cured; `room` says that in words, if known."""

    start: dt.datetime
    finish: dt.datetime
    cured: dt.datetime
    latest: dt.datetime
    critical: bool
    room: str


@dataclass(frozen=True)
class Timing:
    """A plan with the order of work that it is drawn in; without one, hands are endless.

    `rooms` are those of the order, `levels` the hands there, and `earlier` pairs start and finish
    of tasks in the plan that this one is compared with. `band` tells when the launch may well fall.
    """

    plan: Plan
    order: Order | None = None
    rooms: Mapping[int, Room] = field(default_factory=dict)
    levels: Levels = field(default_factory=list)
    earlier: Mapping[int, tuple[dt.datetime, dt.datetime]] = field(default_factory=dict)
    band: Band | None = None

    @property
    def is_current(self) -> bool:
        """Whether the order is of the plan as it stands; endless hands always are."""
        return self.order is None or is_current(self.order, self.plan)

    @property
    def launch(self) -> dt.datetime | None:
        if self.plan.launch is None:
            return None
        return self.order.launch if self.order else self.plan.launch

    @property
    def last_day(self) -> dt.date:
        """The day on which the last task is cured, or the end of the band.

        A band far beyond the work is not followed, for the bars' sake.
        """
        cured = [self.of(one).cured for one in self.plan.tasks.values()]
        last = max(cured, default=self.plan.now).date()
        if self.band is None:
            return last
        far = last + max(last - self.plan.now.date(), dt.timedelta(0)) / 3
        return max(last, min(self.band.last, far)) if self.band.first < far else last

    def is_pinned(self, planned: TaskPlan) -> bool:
        return planned.task.pinned_at is not None and planned.task.started_at is None

    def of(self, planned: TaskPlan) -> Dates:
        figures = planned.figures
        if self.order is None or figures.state in OVER:
            return _early(planned)
        place = self.order.places.get(planned.pk)
        if place is None:  # a new one, or one that was set going again
            return _early(planned)
        room = self.rooms.get(planned.pk)
        if room is None:
            return Dates(place.start, place.finish, place.cured, place.cured, False, "")
        cure = place.cured - place.finish
        late = self.plan.moment(room.late_finish)
        return Dates(
            place.start,
            place.finish,
            place.cured,
            late + cure,
            room.spare <= 0,
            _room_words(room, (late - place.finish).days),
        )

    def pieces(self, planned: TaskPlan) -> Sequence[tuple[int, int]] | None:
        """The stretches in which it is worked on, in clock minutes, if they are known."""
        room = self.rooms.get(planned.pk) if self.order is not None else None
        return None if room is None else room.pieces


def _early(planned: TaskPlan) -> Dates:
    figures = planned.figures
    cure = planned.cured - planned.early_finish
    critical = figures.critical and figures.state not in OVER
    return Dates(
        planned.early_start,
        planned.early_finish,
        planned.cured,
        planned.cured if critical else planned.late_finish + cure,
        critical,
        "" if figures.state in OVER else float_words(planned),
    )


def _room_words(room: Room, days: int) -> str:
    if room.spare <= 0:
        return "No float"
    if days >= 1:
        return f"Float {days} day{'' if days == 1 else 's'}"
    return f"Float {show_hours(room.spare)}"
