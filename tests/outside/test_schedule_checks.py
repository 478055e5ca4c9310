"""The checks of a schedule against their published definitions.

The fourteen points: DCMA-EA PAM 200.1 (October 2012), section 4. The document itself was not at
hand: formulas and limits are as secondary summaries of it agree; the base of points 10 and 11, the
way of point 12 and the limit of point 14 are from memory. The ten practices: GAO-16-89G (December
2015), their names and order as published there.

Counted are two worked networks (the instructor solutions to chapter 8 of a management-science text
that `test_critical_path.py` has too: floats as printed there), where what each formula gives was
counted by hand from the printed table, and random ones, where networkx counts. One published unit
of time is ten working days here, so that 44 of them are exceeded from the fifth unit on.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import networkx as nx
import pytest
from hypothesis import given, settings

from tasks.network import Calendar, Link, LinkKind, Task, schedule
from tasks.network.health import (
    PRACTICES,
    PUBLISHED,
    Baseline,
    Health,
    Key,
    Limit,
    Subject,
    Verdict,
    health_of,
)
from tests.outside.test_critical_path import N1, N2, weighted_networks

UNIT = 10


def rows_of(text: str) -> dict[str, tuple[int, ...]]:
    """Arc: d ES EF LS LF TF FF, as printed."""
    return {row[0]: tuple(map(int, row[1:])) for row in map(str.split, text.strip().splitlines())}


def arrows(text: str, done: dict[str, int] | None = None) -> tuple[list[Task], list[Link]]:
    rows = rows_of(text)
    tasks = [
        Task(
            id, row[0] * UNIT,
            started=row[1] * UNIT if id in (done or {}) else None,
            finished=(done or {}).get(id),
        )
        for id, row in rows.items()
    ]  # fmt: skip
    links = [Link(a, b) for a in rows for b in rows if a.split("-")[1] == b.split("-")[0]]
    return tasks, links


def checked(tasks: list[Task], links: list[Link], now: int = 0, **more: Any) -> Health:
    shop = Calendar.always()
    plan = schedule(tasks, links, shop, now)
    return health_of(Subject(tasks, links, plan, shop, day=1, **more), informs=())


def parts(health: Health, key: Key) -> tuple[int, int, Verdict]:
    check = health.checks[key]
    return check.count, check.base, check.verdict


PASSES, FAILS = Verdict.PASSES, Verdict.FAILS


@pytest.mark.parametrize(
    ("key", "limit"),
    [
        (Key.LOGIC, Limit(Fraction(5, 100))),
        (Key.LEADS, Limit(Fraction(0), of_count=True)),
        (Key.LAGS, Limit(Fraction(5, 100))),
        (Key.LINK_KINDS, Limit(Fraction(90, 100), at_least=True)),
        (Key.HARD_CONSTRAINTS, Limit(Fraction(5, 100))),
        (Key.HIGH_FLOAT, Limit(Fraction(5, 100))),
        (Key.NEGATIVE_FLOAT, Limit(Fraction(0), of_count=True)),
        (Key.HIGH_DURATION, Limit(Fraction(5, 100))),
        (Key.INVALID_DATES, Limit(Fraction(0), of_count=True)),
        (Key.RESOURCES, None),
        (Key.MISSED, Limit(Fraction(5, 100))),
        (Key.CRITICAL_PATH_TEST, None),
        (Key.CPLI, Limit(Fraction(95, 100), at_least=True)),
        (Key.BEI, Limit(Fraction(95, 100), at_least=True)),
    ],
)
def test_the_fourteen_limits_are_the_published_ones(key, limit) -> None:
    """Secondary summaries of DCMA-EA PAM 200.1, section 4; that of the last from memory."""
    assert PUBLISHED[key].limit == limit


def test_the_ten_practices_are_the_published_ones() -> None:
    """GAO-16-89G, December 2015."""
    words = ["captur", "sequenc", "resources", "duration", "traced", "critical path", "float",
             "risk", "progress", "baseline"]  # fmt: skip
    for (number, name, _keys), word, place in zip(PRACTICES, words, range(1, 11), strict=True):
        assert number == place
        assert word in name.lower()


class TestWorkedNetworks:
    @pytest.mark.parametrize(
        ("text", "loose", "high_float", "long"),
        [
            # No predecessor: 1-2, 1-3; no successor: 5-6. No float of 5. Five units or more: 1-2,
            # 1-3, 2-4 and 3-4.
            (N1, 3, 0, 4),
            # No predecessor: 1-2, 1-3, 1-4; no successor: 6-9, 8-9. Float of 5 or more: 1-4, 2-6,
            # 4-5, 4-7, 6-9. Five units or more: all but 2-6, 4-5 and 7-8.
            (N2, 5, 5, 10),
        ],
        ids=["N1", "N2"],
    )
    def test_shares_of_tasks(self, text, loose, high_float, long) -> None:
        health, count = checked(*arrows(text)), len(rows_of(text))
        assert parts(health, Key.LOGIC) == (loose, count, FAILS)
        expected = FAILS if high_float else PASSES
        assert parts(health, Key.HIGH_FLOAT) == (high_float, count, expected)
        assert parts(health, Key.HIGH_DURATION) == (long, count, FAILS)

    @pytest.mark.parametrize("text", [N1, N2], ids=["N1", "N2"])
    def test_the_end_moves_with_the_critical_path(self, text) -> None:
        assert parts(checked(*arrows(text)), Key.CRITICAL_PATH_TEST) == (600, 600, PASSES)

    @pytest.mark.parametrize(
        ("text", "length", "early", "verdict"),
        [(N1, 20, 1, PASSES), (N1, 20, 2, FAILS), (N2, 38, 1, PASSES), (N2, 38, 2, FAILS)],
    )
    def test_a_finish_promised_too_early(self, text, length, early, verdict) -> None:
        """CPLI 19/20 = 0.95, 18/20, 37/38 and 36/38; tasks with a printed float under that."""
        health = checked(*arrows(text), baseline=Baseline({}, (length - early) * UNIT))
        assert parts(health, Key.CPLI) == ((length - early) * UNIT, length * UNIT, verdict)
        late = [id for id, row in rows_of(text).items() if row[5] < early]
        check = health.checks[Key.NEGATIVE_FLOAT]
        assert [fault.task for fault in check.faults] == late
        assert check.verdict is FAILS

    def test_what_was_to_be_finished_by_the_status_time(self) -> None:
        """N1 at 13, its printed early finishes as the baseline: 1-2 (7), 1-3 (10) and 2-4 (13) were
        to be finished. 1-2 was in time, 1-3 two units late, 2-4 is not: two of three missed, two
        of three completed."""
        done = {"1-2": 7 * UNIT, "1-3": 12 * UNIT}
        baseline = Baseline({id: row[2] * UNIT for id, row in rows_of(N1).items()}, 20 * UNIT)
        health = checked(*arrows(N1, done), now=13 * UNIT, baseline=baseline)
        assert parts(health, Key.MISSED) == (2, 3, FAILS)
        assert parts(health, Key.BEI) == (2, 3, FAILS)
        assert health.checks[Key.LOGIC].base == 5

    def test_the_links_of_arrows_are_those_of_the_line_graph(self) -> None:
        for text in (N1, N2):
            graph = nx.DiGraph([tuple(id.split("-")) for id in rows_of(text)])
            count = nx.line_graph(graph).number_of_edges()
            assert parts(checked(*arrows(text)), Key.LINK_KINDS) == (count, count, PASSES)
            assert parts(checked(*arrows(text)), Key.LEADS) == (0, count, PASSES)


@settings(deadline=None)
@given(weighted_networks())
def test_random_networks_count_as_networkx_counts(network) -> None:
    """Point 1: degrees of 0. Points 2 to 4: edges by weight and kind. Point 6: float by longest
    paths, where all links go from finish to start."""
    tasks, links = network
    health = checked(tasks, links)
    graph = nx.MultiDiGraph()
    graph.add_nodes_from(task.id for task in tasks)
    graph.add_edges_from((k.before, k.after, {"lag": k.lag, "kind": k.kind}) for k in links)
    loose = [n for n in graph if not graph.in_degree(n) or not graph.out_degree(n)]
    assert [fault.task for fault in health.checks[Key.LOGIC].faults] == sorted(loose)
    edges = [data for *_ends, data in graph.edges(data=True)]
    assert health.checks[Key.LAGS].count == sum(data["lag"] > 0 for data in edges)
    assert health.checks[Key.LINK_KINDS].count == sum(data["kind"] is LinkKind.FS for data in edges)
    assert {health.checks[key].base for key in (Key.LEADS, Key.LAGS, Key.LINK_KINDS)} == {
        graph.number_of_edges()
    }


@settings(deadline=None)
@given(weighted_networks())
def test_float_over_forty_four_days_is_what_longest_paths_leave(network) -> None:
    tasks, links = network
    links = [Link(link.before, link.after, lag=link.lag) for link in links]
    graph = nx.DiGraph()
    for task in tasks:
        graph.add_edge("start", (task.id, 0), weight=0)
        graph.add_edge((task.id, 0), (task.id, 1), weight=task.minutes)
        graph.add_edge((task.id, 1), "end", weight=0)
    for link in links:
        graph.add_edge((link.before, 1), (link.after, 0), weight=link.lag)
    ahead = _longest(graph)
    behind = _longest(graph.reverse())
    whole = ahead["end"]
    spare = {t.id: whole - ahead[t.id, 0] - behind[t.id, 1] - t.minutes for t in tasks}
    found = checked(tasks, links).checks[Key.HIGH_FLOAT].faults
    assert [(fault.task, fault.minutes) for fault in found] == [
        (id, left) for id, left in spare.items() if left > 44
    ]


def _longest(graph: nx.DiGraph) -> dict[Any, int]:
    length: dict[Any, int] = {}
    for node in nx.topological_sort(graph):
        into = [length[a] + data["weight"] for a, _, data in graph.in_edges(node, data=True)]
        length[node] = max(into, default=0)
    return length
