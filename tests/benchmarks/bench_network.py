"""How long the critical path method takes, as multiples of what networkx and rustworkx take.

Run by hand: `python -m tests.benchmarks.bench_network`. Times are processor time, the best of
several runs in this one process; the ratios are what counts. The networks have 10,000 tasks and
25,000 links and differ in how far links reach, and so in how deep they are. “Mixed” has all kinds
of link, lags, cures and unbroken work.

At the end stands what is aimed at for the whole of it (arrays from objects, both passes, all floats
and driving links): at most 0.10 of what networkx takes to build its graph and find the longest
path, and at most 1.5 times what rustworkx takes for the same. Both of these find one path and one
length, by one pass, without a calendar.
"""

from __future__ import annotations

import random
from datetime import date

import networkx as nx
import rustworkx as rx

from tasks.network import Calendar, LagIn, Link, LinkKind, Task, schedule
from tasks.network.columns import link_columns, number, task_columns
from tasks.network.compiled import Compiled
from tasks.network.critical_path import walk
from tests.benchmarks.timing import best_of

TASKS, LINKS, RUNS = 10_000, 25_000, 7
MOST_OF_NETWORKX, MOST_OF_RUSTWORKX = 0.10, 1.5
FIRST_DAY = date(2026, 1, 5)
NOW = 1440 * (FIRST_DAY.toordinal() - date(1970, 1, 1).toordinal())

EVENINGS = [(18 * 60, 21 * 60)]
DAYS = [(9 * 60, 12 * 60 + 30), (13 * 60 + 30, 18 * 60)]
WEEK = {0: EVENINGS, 1: EVENINGS, 3: EVENINGS, 5: DAYS, 6: DAYS}


def random_pairs(reach: int, seed: int = 1) -> list[tuple[int, int]]:
    """Distinct links between tasks at most `reach` numbers apart."""
    rng = random.Random(seed)
    pairs: set[tuple[int, int]] = set()
    while len(pairs) < LINKS:
        before = rng.randrange(TASKS - 1)
        pairs.add((before, before + rng.randint(1, min(reach, TASKS - 1 - before))))
    return rng.sample(sorted(pairs), LINKS)


def rich_network(pairs: list[tuple[int, int]]) -> tuple[list[Task], list[Link]]:
    """Every feature in the shares of a real build: cures, lags, unbroken work, all link kinds."""
    rng = random.Random(2)
    tasks = [
        Task(
            number,
            rng.randrange(30, 480),
            cure=rng.choice([0, 0, 0, 720, 1440]),
            unbroken=rng.random() < 0.1,
        )
        for number in range(TASKS)
    ]
    kinds = [LinkKind.FS] * 17 + [LinkKind.SS, LinkKind.FF, LinkKind.SF]
    links = [
        Link(
            before,
            after,
            rng.choice(kinds),
            rng.choice([0] * 8 + [60, 1440]),
            rng.choice(list(LagIn)),
        )
        for before, after in pairs
    ]
    return tasks, links


def measure(name: str, reach: int) -> list[str]:
    """Print what each part takes; give a line for each kind of network with the two ratios."""
    pairs = random_pairs(reach)
    rng = random.Random(3)
    minutes = [rng.randrange(30, 480) for _ in range(TASKS)]
    weighted = [(before, after, minutes[before]) for before, after in pairs]

    def build_networkx() -> nx.DiGraph:
        graph = nx.DiGraph()
        graph.add_nodes_from(range(TASKS))
        graph.add_weighted_edges_from(weighted)
        return graph

    def build_rustworkx() -> rx.PyDiGraph:
        graph = rx.PyDiGraph()
        graph.add_nodes_from(range(TASKS))
        graph.extend_from_weighted_edge_list(weighted)
        return graph

    graph, rust_graph = build_networkx(), build_rustworkx()
    path = best_of(lambda: nx.dag_longest_path(graph), RUNS)
    whole = best_of(build_networkx, RUNS) + path
    rust = best_of(build_rustworkx, RUNS) + best_of(
        lambda: rx.dag_longest_path(rust_graph, lambda _, __, weight: weight), RUNS
    )
    tasks = [Task(number, minutes[number]) for number in range(TASKS)]
    links = [Link(before, after) for before, after in pairs]
    rich_tasks, rich_links = rich_network(pairs)
    last_day = date(2076, 1, 1)
    calendar = Calendar.from_week(WEEK, "Europe/London", (), FIRST_DAY, last_day)
    levels = len(nx.dag_longest_path(graph, weight=None))
    print(f"\n{name}: {TASKS} tasks, {LINKS} links, {levels} levels")
    print(f"  networkx: dag_longest_path {path * 1e3:.1f} ms, with build {whole * 1e3:.1f} ms")
    print(f"  rustworkx: build and dag_longest_path {rust * 1e3:.1f} ms")
    totals = []
    for label, given, hours in (
        ("plain, every minute", (tasks, links), Calendar.always()),
        ("plain, shop hours", (tasks, links), calendar),
        ("mixed, shop hours", (rich_tasks, rich_links), calendar),
    ):
        numbers = number(given[0])
        columns = task_columns(given[0]), link_columns(given[1], numbers)
        network = Compiled(list(numbers), *columns)
        passes = best_of(lambda network=network, hours=hours: walk(network, hours, NOW), RUNS)
        taken = best_of(lambda given=given, hours=hours: schedule(*given, hours, NOW), RUNS)
        print(
            f"  {label}: arrays and order from objects {(taken - passes) * 1e3:.1f} ms at most, "
            f"both passes {passes * 1e3:.1f} ms = {passes / path:.2f} x networkx dag_longest_path, "
            f"the whole {taken * 1e3:.1f} ms"
        )
        totals.append(
            f"  {name + ', ' + label:30} "
            f"{taken / whole:5.2f} {_met(taken / whole, MOST_OF_NETWORKX)}   "
            f"{taken / rust:6.2f} {_met(taken / rust, MOST_OF_RUSTWORKX)}"
        )
    return totals


def _met(ratio: float, most: float) -> str:
    return f"({'within' if ratio <= most else 'over'} {most})"


if __name__ == "__main__":
    lines = [
        line
        for name, reach in (("wide", TASKS), ("middling", 200), ("deep", 20))
        for line in measure(name, reach)
    ]
    print("\nthe whole, from objects to all floats: x networkx, x rustworkx")
    print("\n".join(lines))
