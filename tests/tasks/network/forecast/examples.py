"""Random problems whose hours come again and whose things are always there in one number."""

from __future__ import annotations

from datetime import date

from hypothesis import strategies as st

from tasks.network import Calendar, LagIn, Link, LinkKind, Task
from tasks.network.estimate import Estimate
from tasks.network.hands import Both, Capacity, HandsProblem, Need, Season

ZONE = "Europe/London"
DAY = date(2026, 3, 27)
NOW = 1440 * (DAY.toordinal() - date(1970, 1, 1).toordinal()) + 720
#: Evenings, a Saturday in two halves, and a Sunday night in which the clocks change.
SHOP = Calendar.from_week(
    {0: [(1080, 1260)], 2: [(1080, 1260)], 5: [(540, 750), (810, 1080)], 6: [(0, 300)]},
    ZONE,
    {date(2026, 4, 1)},
    DAY,
)
HOURS = {
    "early": Both(SHOP, Calendar.from_week({d: [(0, 1200)] for d in range(7)}, ZONE, (), DAY)),
    "warm": Both(SHOP, Season((4, 15), (11, 1), ZONE)),
    "night": Calendar.from_week({d: [(1320, 1440)] for d in range(7)}, ZONE, (), DAY),
}


@st.composite
def problems(
    draw: st.DrawFn, most: int = 9, capacity: int | None = None
) -> tuple[HandsProblem, dict[int, Estimate]]:
    """A problem and estimates of what is left; with a capacity only hands are held."""
    count = draw(st.integers(1, most))
    tasks, needs, estimates = [], {}, {}
    hands = capacity or draw(st.sampled_from([1, 1, 2]))
    for number in range(count):
        more: dict[str, object] = {}
        state = draw(st.sampled_from(["waiting"] * 5 + ["started", "finished"]))
        if state != "waiting":
            more["started"] = NOW - draw(st.integers(500, 900))
        if state == "finished":
            more["finished"] = NOW - draw(st.integers(0, 400))
        if state == "waiting":
            more["not_before"] = draw(st.sampled_from([None, None, NOW + 1500, NOW - 50]))
        if state == "started":
            more["left"] = draw(st.sampled_from([None, 70]))
        minutes = draw(st.sampled_from([0, 30, 95, 160]))
        task = Task(
            number,
            minutes,
            cure=draw(st.sampled_from([0, 0, 300, 1000])),
            unbroken=draw(st.booleans()),
            **more,  # type: ignore[arg-type]
        )
        tasks.append(task)
        estimates[number] = Estimate(0.5 * task.work, task.work, 1.3 * task.work)
        needs[number] = Need(
            {"hands": draw(st.integers(0, min(hands, 2))), "clamps": draw(st.integers(0, 1))},
            draw(st.sampled_from([None, None, *HOURS])) if capacity is None else None,
            draw(st.sampled_from([None] * 7 + [NOW + 1320])),
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
    things = {"hands": Capacity(hands), "clamps": Capacity(capacity or 1)}
    in_order = sorted(draw(st.sets(st.integers(0, count - 1), max_size=3)))
    return (
        HandsProblem(
            draw(st.permutations(tasks)), links, SHOP, NOW, needs, things, HOURS, in_order
        ),
        estimates,
    )
