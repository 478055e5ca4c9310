from __future__ import annotations

from itertools import combinations, pairwise
from random import Random

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildlog.drawing.layers import Layout, lay_out

HEIGHT, GAP, LANE = 60, 20, 10


@st.composite
def graphs(draw):
    count = draw(st.integers(1, 24))
    pairs = st.tuples(st.integers(0, count - 1), st.integers(0, count - 1))
    return count, draw(st.lists(pairs, max_size=50))


def lay(count, links):
    return lay_out(list(range(count)), links, HEIGHT, GAP, LANE)


@settings(deadline=None)
@given(graphs())
def test_links_without_rings_run_rightwards(graph):
    count, links = graph
    forward = [(a, b) for a, b in links if a < b]
    layout = lay(count, forward)
    for a, b in forward:
        assert layout.places[a][0] < layout.places[b][0]


@settings(deadline=None)
@given(graphs())
def test_the_layers_are_as_many_as_the_longest_path_has_tasks(graph):
    count, links = graph
    forward = [(a, b) for a, b in links if a < b]
    known = nx.DiGraph(forward)
    known.add_nodes_from(range(count))
    assert lay(count, forward).layers == len(nx.dag_longest_path(known))


@settings(deadline=None)
@given(graphs())
def test_no_two_boxes_lie_on_each_other_whatever_the_links(graph):
    layout = lay(*graph)
    by_layer: dict[int, list[float]] = {}
    for layer, y in layout.places.values():
        by_layer.setdefault(layer, []).append(y)
    for heights in by_layer.values():
        assert all(b - a >= HEIGHT + GAP - 1e-6 for a, b in pairwise(sorted(heights)))


@settings(deadline=None)
@given(graphs())
def test_all_of_it_lies_within_the_height_and_routes_pass_every_layer_between(graph):
    count, links = graph
    layout = lay(count, links)
    for _, y in layout.places.values():
        assert HEIGHT / 2 - 1e-6 <= y <= layout.height - HEIGHT / 2 + 1e-6
    for (a, b), route in layout.routes.items():
        first, last = layout.places[a][0], layout.places[b][0]
        step = 1 if last > first else -1
        assert [layer for layer, _ in route] == list(range(first + step, last, step))


def test_a_ring_is_laid_out_with_one_link_backwards():
    layout = lay(3, [(0, 1), (1, 2), (2, 0)])
    backwards = [(a, b) for a, b in layout.routes if layout.places[a][0] > layout.places[b][0]]
    assert len(backwards) == 1


def test_crossed_links_are_untangled():
    links = [("a", "y"), ("b", "x")]
    layout = lay_out(["a", "b", "x", "y"], links, HEIGHT, GAP, LANE)
    y = {node: place[1] for node, place in layout.places.items()}
    assert (y["a"] < y["b"]) == (y["y"] < y["x"])


def crossings(layout) -> int:
    """Pairs of links that cross between two layers, counted pair by pair."""
    pieces: dict[int, list[tuple[float, float]]] = {}
    for (a, b), route in layout.routes.items():
        path = [layout.places[a], *route, layout.places[b]]
        for (layer, start), (_, end) in pairwise(path):
            pieces.setdefault(layer, []).append((start, end))
    return sum(
        (one[0] - other[0]) * (one[1] - other[1]) < -1e-6
        for between in pieces.values()
        for one, other in combinations(between, 2)
    )


@settings(deadline=None)
@given(st.lists(st.integers(0, 10**6), min_size=1, max_size=30), st.randoms())
def test_a_tree_is_drawn_without_a_crossing(drawn, random):
    links = [(number % (place + 1), place + 1) for place, number in enumerate(drawn)]
    nodes = list(range(len(drawn) + 1))
    random.shuffle(nodes)
    assert crossings(lay_out(nodes, links, HEIGHT, GAP, LANE)) == 0


def test_a_large_network_has_far_fewer_crossings_than_as_it_was_written_down():
    chance = Random(4)
    links = [(a, min(a + chance.randint(1, 12), 149)) for a in range(149) for _ in range(2)]
    layout = lay(150, links)
    rows: dict[int, list[int]] = {}
    for node, (layer, _) in layout.places.items():
        rows.setdefault(layer, []).append(node)
    as_written = Layout(
        {n: (layer, float(n)) for layer, row in rows.items() for n in row},
        {
            (a, b): [(layer, a + (b - a) * (place + 1) / (len(route) + 1)) for place, (layer, _)
                     in enumerate(route)]
            for (a, b), route in layout.routes.items()
        },
        layout.layers, 0,
    )  # fmt: skip
    assert crossings(layout) < 0.6 * crossings(as_written)


def test_a_chain_is_drawn_straight():
    layout = lay(5, [(n, n + 1) for n in range(4)])
    assert len({round(y, 6) for _, y in layout.places.values()}) == 1


def test_a_late_beginner_stands_beside_what_it_feeds():
    layout = lay(5, [(0, 1), (1, 2), (2, 3), (4, 3)])
    assert layout.places[4][0] == 2


@pytest.mark.parametrize("links", [[], [(0, 0)], [(0, 7)]])
def test_links_to_itself_and_to_nothing_are_passed_over(links):
    assert lay(1, links).layers == 1


def test_nothing_makes_nothing():
    layout = lay(0, [])
    assert (layout.layers, layout.height) == (0, 0)


def test_the_same_plan_always_looks_the_same():
    links = [(a, (a * 7 + 3) % 20) for a in range(20)]
    assert lay(20, links).places == lay(20, links).places
