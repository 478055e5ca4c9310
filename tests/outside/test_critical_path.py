"""The critical path method against published instances, worked examples and a library.

Sources stand beside each check. In this file one shop minute stands for one published day, week or
period, and every minute is a shop minute.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from statistics import NormalDist

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tasks.network import Calendar, Link, LinkKind, Schedule, Task, schedule
from tasks.network.__main__ import main
from tasks.network.estimate import Estimate
from tasks.network.research import critical_path_length, instances

ROOT = Path(__file__).resolve().parents[2]
PSPLIB = ROOT.parent / "shared" / "reference" / "psplib"
FAMILIES = ("j30", "j60", "j120")


def plan_of(tasks: list[Task], links: list[Link]) -> Schedule:
    return schedule(tasks, links, Calendar.always(), now=0)


@pytest.mark.skipif(not PSPLIB.is_dir(), reason="the research instances are not beside the project")
class TestResearchInstances:
    """R. Kolisch and A. Sprecher, "PSPLIB - a project scheduling problem library", European Journal
    of Operational Research 96, 1997, 205-216: the length stated in each instance's own header."""

    @staticmethod
    def read(family: str) -> Iterator[dict]:
        content = json.loads((PSPLIB / f"{family}.json").read_text())
        yield from instances(content)  # type: ignore[misc]

    @pytest.mark.parametrize("family", FAMILIES)
    def test_every_critical_path_has_the_published_length(self, family: str) -> None:
        wrong = [
            instance["name"]
            for instance in self.read(family)
            if critical_path_length(instance) != instance["mpm_time"]
        ]
        assert not wrong

    @pytest.mark.parametrize("family", FAMILIES)
    def test_command_prints_one_line_an_instance(self, family: str, capsys) -> None:
        assert main([str(PSPLIB / f"{family}.json")]) == 0
        printed = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
        assert printed == [
            {"name": instance["name"], "critical_path": instance["mpm_time"]}
            for instance in self.read(family)
        ]


def arrow_network(text: str) -> tuple[Schedule, dict[str, tuple[int, ...]]]:
    """Plan activities on arrows, given as rows of `i-j d ES EF LS LF TF FF`."""
    rows = [line.split() for line in text.strip().splitlines()]
    published = {row[0]: tuple(map(int, row[2:])) for row in rows}
    tasks = [Task(row[0], int(row[1])) for row in rows]
    links = [
        Link(before, after)
        for before in published
        for after in published
        if before.split("-")[1] == after.split("-")[0]
    ]
    return plan_of(tasks, links), published


def all_dates(plan: Schedule, id: str) -> tuple[int, ...]:
    dates = plan.dates[id]
    return (
        dates.early_start,
        dates.early_finish,
        dates.late_start,
        dates.late_finish,
        dates.total_float,
        dates.free_float,
    )


# Instructor solutions to chapter 8 of a management-science text (file name TaylCh08, author
# inferred). ES, EF, LS, LF and total float as printed there; free float computed with networkx.
N1 = """
1-2   7   0  7  2  9  2  0
1-3  10   0 10  0 10  0  0
2-4   6   7 13  9 15  2  2
3-4   5  10 15 10 15  0  0
3-5   4  10 14 14 18  4  4
4-5   3  15 18 15 18  0  0
5-6   2  18 20 18 20  0  0
"""

# Same source, next table. 4-5 is a dummy.
N2 = """
1-2   8   0  8  1  9  1  0
1-3  10   0 10  0 10  0  0
1-4   9   0  9  6 15  6  0
2-5   6   8 14  9 15  1  1
2-6   4   8 12 16 20  8  0
3-5   5  10 15 10 15  0  0
4-5   0   9  9 15 15  6  6
4-7   7   9 16 20 27 11 11
5-7  12  15 27 15 27  0  0
5-8  15  15 30 16 31  1  1
6-9  18  12 30 20 38  8  8
7-8   4  27 31 27 31  0  0
8-9   7  31 38 31 38  0  0
"""


class TestWorkedExamples:
    @pytest.mark.parametrize(
        ("text", "duration", "path"),
        [
            (N1, 20, ("1-3", "3-4", "4-5", "5-6")),
            (N2, 38, ("1-3", "3-5", "5-7", "7-8", "8-9")),
        ],
        ids=["N1", "N2"],
    )
    def test_all_dates_and_floats_are_as_published(self, text, duration, path) -> None:
        plan, published = arrow_network(text)
        assert {id: all_dates(plan, id) for id in published} == published
        assert plan.launch == duration
        assert plan.critical_path == path
        assert {id for id in published if plan.dates[id].critical} == set(path)

    def test_float_of_one_activity_is_as_in_the_navy_manual(self) -> None:
        """US Navy construction training manuals (numbered 14233 and 14045 by the site that hosts
        them; the series name is from memory): activity 1020 with ES 3, EF 10, LS 5 and a successor
        with ES 11 has total float 2 and free float 1. The rest of the network here is ours, made
        to give those dates."""
        tasks = [
            Task(1010, 3),
            Task(1020, 7),
            Task(1030, 2),
            Task("other", 11),
            Task("long", 14),
            Task("end", 0),
        ]
        links = [
            Link(1010, 1020),
            Link(1020, 1030),
            Link("other", 1030),
            Link(1030, "end"),
            Link("long", "end"),
        ]
        plan = plan_of(tasks, links)
        assert plan.dates[1030].early_start == 11
        assert all_dates(plan, 1020) == (3, 10, 5, 12, 2, 1)  # type: ignore[arg-type]

    def test_curing_lag_lies_between_finish_and_next_start(self) -> None:
        """Same manuals: three days for curing concrete are added between EF and the next ES."""
        by_lag = plan_of([Task("pour", 2), Task("strip", 1)], [Link("pour", "strip", lag=3)])
        by_cure = plan_of([Task("pour", 2, cure=3), Task("strip", 1)], [Link("pour", "strip")])
        assert by_lag.dates["strip"].early_start == by_cure.dates["strip"].early_start == 5


# Public lecture slides, unit on CPM/PERT. Means, variances, path and length as printed there; the
# dates computed by hand from them. Activity, predecessors, a m b, mean, variance, ES EF LS LF TF.
N3 = """
A -   5 6 7   6 0.1111   0  6  4 10  4
B -   1 3 5   3 0.4444   0  3  3  6  3
C -   1 4 7   4 1.0000   0  4  0  4  0
D A   1 2 3   2 0.1111   6  8 10 12  4
E B   1 2 9   3 1.7778   3  6  6  9  3
F C   1 5 9   5 1.7778   4  9  4  9  0
G C   2 2 8   3 1.0000   4  7 11 14  7
H E,F 4 4 10  5 1.0000   9 14  9 14  0
I D   2 5 8   5 1.0000   8 13 12 17  4
J G,H 2 2 8   3 1.0000  14 17 14 17  0
"""

# The usual open-encyclopaedia example; its data are from memory, its dates computed from them.
N4 = """
a -   2 4 6
b -   3 5 9
c a   4 5 7
d a   4 6 10
e b,c 4 5 7
f d   3 4 8
g e   3 5 8
"""


def pert_network(text: str) -> tuple[Schedule, dict[str, Estimate], dict[str, list[str]]]:
    """Plan mean durations in sixths of the published unit, in which they are whole."""
    rows = [line.split() for line in text.strip().splitlines()]
    guesses = {row[0]: Estimate(*map(float, row[2:5])) for row in rows}
    tasks = [Task(id, round(guess.mean * 6)) for id, guess in guesses.items()]
    links = [Link(before, row[0]) for row in rows for before in row[1].split(",") if before != "-"]
    return plan_of(tasks, links), guesses, {row[0]: row[5:] for row in rows}


class TestThreePointEstimates:
    def test_means_variances_and_dates_are_as_on_the_slides(self) -> None:
        plan, guesses, rest = pert_network(N3)
        for id, (mean, variance, *dates) in rest.items():
            assert guesses[id].mean == pytest.approx(float(mean))
            assert guesses[id].variance == pytest.approx(float(variance), abs=0.0001)
            assert all_dates(plan, id)[:5] == tuple(int(date) * 6 for date in dates)
        assert plan.critical_path == ("C", "F", "H", "J")
        assert plan.launch == 17 * 6

    def test_chance_along_the_path_is_as_computed_with_scipy(self) -> None:
        """Path variance 4.7778, standard deviation 2.1858; chance of 19 weeks 0.8199; 95 % date
        20.595 (scipy.stats.norm, tolerance 0.001)."""
        plan, guesses, _ = pert_network(N3)
        variance = sum(guesses[str(id)].variance for id in plan.critical_path)
        assert variance == pytest.approx(4.7778, abs=0.0001)
        end = NormalDist(plan.launch / 6, variance**0.5)
        assert end.stdev == pytest.approx(2.1858, abs=0.0001)
        assert end.cdf(19) == pytest.approx(0.8199, abs=0.001)
        assert end.inv_cdf(0.95) == pytest.approx(20.595, abs=0.001)

    def test_encyclopaedia_example_has_its_length_and_floats(self) -> None:
        plan, _, _ = pert_network(N4)
        assert plan.launch / 6 == 19.5
        assert plan.critical_path == ("a", "c", "e", "g")
        floats = {id: dates.total_float / 6 for id, dates in plan.dates.items()}
        assert floats == pytest.approx(
            {"a": 0, "b": 3.8333, "c": 0, "d": 4.6667, "e": 0, "f": 4.6667, "g": 0}, abs=0.0001
        )


@st.composite
def weighted_networks(draw: st.DrawFn) -> tuple[list[Task], list[Link]]:
    count = draw(st.integers(1, 30))
    tasks = [Task(n, draw(st.integers(0, 500))) for n in range(count)]
    pairs = draw(
        st.sets(st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)), max_size=60)
    )
    links = [
        Link(before, after, draw(st.sampled_from(LinkKind)), draw(st.integers(0, 200)))
        for before, after in sorted(pairs)
        if before < after
    ]
    return tasks, links


class TestAgainstNetworkx:
    """networkx 3: `dag_longest_path_length` and `dag_longest_path` on a graph of two nodes a task,
    its start and its finish, under a common first and last node."""

    @settings(max_examples=200, deadline=None)
    @given(weighted_networks())
    def test_launch_and_early_starts_are_longest_paths(self, network) -> None:
        tasks, links = network
        graph = nx.MultiDiGraph()
        for task in tasks:
            graph.add_edge("first", (task.id, "start"), weight=0)
            graph.add_edge((task.id, "start"), (task.id, "finish"), weight=task.minutes)
            graph.add_edge((task.id, "finish"), "last", weight=0)
        work = {task.id: task.minutes for task in tasks}
        for link in links:
            ends = link.kind.value.split("-")
            # Work is not stretched, so a hold on a finish is one on the start, so much earlier.
            lag = link.lag - (work[link.after] if ends[1] == "finish" else 0)
            graph.add_edge((link.before, ends[0]), (link.after, "start"), weight=lag)
        plan = plan_of(tasks, links)
        assert plan.launch == nx.dag_longest_path_length(graph)
        for task in tasks:
            # An edge heavier than all others together makes the longest path end at this start.
            heavy = 10**6
            graph.add_edge((task.id, "start"), "here", weight=heavy)
            assert plan.dates[task.id].early_start == nx.dag_longest_path_length(graph) - heavy
            graph.remove_node("here")

    @settings(max_examples=200, deadline=None)
    @given(weighted_networks())
    def test_critical_path_is_a_longest_path(self, network) -> None:
        tasks, links = network
        links = [Link(link.before, link.after, lag=link.lag) for link in links]
        plan = plan_of(tasks, links)
        graph = nx.DiGraph()
        graph.add_nodes_from(["last", *(task.id for task in tasks)])
        for task in tasks:
            graph.add_edge(task.id, "last", weight=task.minutes)
        for link in links:
            weight = tasks[int(link.before)].minutes + link.lag
            graph.add_edge(link.before, link.after, weight=weight)
        along = [*plan.critical_path, "last"]
        assert nx.path_weight(graph, along, "weight") == nx.dag_longest_path_length(graph)
