"""Small random networks and shop hours for the property tests."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import strategies as st

from tasks.network import Calendar, LagIn, Link, LinkKind, Task

NOW = 100


@dataclass(frozen=True)
class Rhythm:
    """Shop hours that repeat (gap, open minutes) for ever, from minute 0 on."""

    beats: tuple[tuple[int, int], ...]

    def stretches(self, until: int) -> list[tuple[int, int]]:
        laid, clock = [], 0
        while clock < until:
            for gap, minutes in self.beats:
                laid.append((clock + gap, clock + gap + minutes))
                clock += gap + minutes
        return laid

    @property
    def calendar(self) -> Calendar:
        return Calendar(self.stretches(16_000))


rhythms = st.lists(st.tuples(st.integers(1, 40), st.integers(3, 30)), min_size=1, max_size=4).map(
    lambda beats: Rhythm(tuple(beats))
)


@st.composite
def networks(
    draw: st.DrawFn, *, plain: bool = False, most: int = 6
) -> tuple[list[Task], list[Link]]:
    """Tasks in an order that fits their links.

    `plain` ones have no cure, elapsed lag, unbroken or started work.
    """
    count = draw(st.integers(1, most))
    tasks = []
    for number in range(count):
        minutes = draw(st.integers(0, 25))
        more: dict[str, object] = {}
        if not plain:
            more["cure"] = draw(st.sampled_from([0, 0, 7, 50]))
            more["unbroken"] = minutes <= 3 and draw(st.booleans())
            state = draw(st.sampled_from(["waiting", "waiting", "waiting", "started", "finished"]))
            if state != "waiting":
                more["started"] = draw(st.integers(10, 60))
            if state == "started":
                more["left"] = draw(st.one_of(st.none(), st.integers(0, minutes)))
            if state == "finished":
                more["finished"] = draw(st.integers(60, NOW))
            if state == "waiting":
                more["not_before"] = draw(st.sampled_from([None, None, 90, 130]))
        tasks.append(Task(number, minutes, **more))  # type: ignore[arg-type]
    links = []
    for after in range(1, count):
        for before in draw(st.sets(st.integers(0, after - 1), max_size=3)):
            links.append(
                Link(
                    before,
                    after,
                    draw(st.sampled_from(LinkKind)),
                    draw(st.sampled_from([0, 0, 0, 5, 33, -4])),
                    LagIn.SHOP if plain else draw(st.sampled_from(LagIn)),
                    draw(st.booleans()),
                )
            )
    return tasks, draw(st.permutations(links))
