"""Random small problems with limited hands: calendars, clock changes, bookings, all link kinds."""

from __future__ import annotations

from datetime import date

from hypothesis import strategies as st

from tasks.network import Calendar, LagIn, Link, LinkKind, Task
from tasks.network.hands import Booking, Both, Capacity, HandsProblem, Hours, Need, Season, Span

ZONE = "Europe/London"
#: The Friday before the clocks go forward, and that before they go back, 12:00.
FRIDAYS = (date(2026, 3, 27), date(2026, 10, 23))


def clock_of(day: date, hour: int = 12) -> int:
    return (day.toordinal() - date(1970, 1, 1).toordinal()) * 1440 + hour * 60


def shop(first_day: date) -> Calendar:
    """Evenings, a Saturday in two halves, and a Sunday night in which the clocks change."""
    week = {0: [(1080, 1260)], 2: [(1080, 1260)], 5: [(540, 750), (810, 1080)], 6: [(0, 300)]}
    return Calendar.from_week(week, ZONE, {date(2026, 4, 1)}, first_day)


@st.composite
def problems(draw: st.DrawFn, most: int = 8) -> HandsProblem:
    """A problem in which nothing need be possible."""
    day = draw(st.sampled_from(FRIDAYS))
    now = clock_of(day)
    calendar = shop(day)
    saturdays = Calendar.from_week({5: [(600, 960)]}, ZONE, (), day)
    hours: dict[str, Hours] = {
        "early": Both(calendar, Calendar.from_week({d: [(0, 1200)] for d in range(7)}, ZONE)),
        "warm": Both(calendar, Season((4, 15), (11, 1), ZONE)),
        "night": Calendar.from_week({d: [(1320, 1440)] for d in range(7)}, ZONE),
        "once": Span(now + 1000, now + 1400),
    }
    capacities = {
        "hands": Capacity(
            draw(st.sampled_from([0, 1, 1, 2])),
            (
                Booking(1, saturdays),
                Booking(draw(st.sampled_from([-1, 1, 2])), Span(now + 900, now + 1700)),
            ),
        ),
        "clamps": Capacity(draw(st.integers(1, 3))),
    }
    count = draw(st.integers(1, most))
    tasks, needs = [], {}
    for number in range(count):
        more: dict[str, object] = {}
        state = draw(st.sampled_from(["waiting"] * 4 + ["started", "finished"]))
        if state != "waiting":
            more["started"] = now - draw(st.integers(500, 900))
        if state == "finished":
            more["finished"] = now - draw(st.integers(0, 400))
        if state == "waiting":
            more["not_before"] = draw(st.sampled_from([None, None, now + 1500, now - 50]))
        if state == "started":
            more["left"] = draw(st.sampled_from([None, 0, 70]))
        minutes = draw(st.sampled_from([0, 30, 95, 200, 400]))
        tasks.append(
            Task(
                number,
                minutes,
                cure=draw(st.sampled_from([0, 0, 300, 1000])),
                unbroken=draw(st.booleans()),
                **more,  # type: ignore[arg-type]
            )
        )
        if draw(st.booleans()):
            needs[number] = Need(
                {"hands": draw(st.integers(0, 2)), "clamps": draw(st.integers(0, 2))},
                draw(st.sampled_from([None, None, *hours])),
                draw(st.sampled_from([None] * 5 + [now + 1320, now + 1700])),
            )
    links = []
    for after in range(1, count):
        for before in draw(st.sets(st.integers(0, after - 1), max_size=2)):
            links.append(
                Link(
                    before,
                    after,
                    draw(st.sampled_from([LinkKind.FS, LinkKind.FS, *LinkKind])),
                    draw(st.sampled_from([0, 0, 0, 45, 700, -40])),
                    draw(st.sampled_from(LagIn)),
                    draw(st.booleans()),
                )
            )
    in_order = sorted(draw(st.sets(st.integers(0, count - 1), max_size=3)))
    return HandsProblem(
        draw(st.permutations(tasks)), links, calendar, now, needs, capacities, hours, in_order
    )
