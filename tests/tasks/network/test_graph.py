from __future__ import annotations

from itertools import pairwise

import networkx as nx
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasks.network import Cycle, Link, find_cycle, graph, would_close
from tasks.network.graph import rank_tasks

pairs = st.lists(
    st.tuples(st.integers(0, 7), st.integers(0, 7)).filter(lambda pair: pair[0] != pair[1]),
    max_size=14,
)


def is_ring(path, links) -> bool:
    steps = set(pairwise(path))
    return path[0] == path[-1] and steps <= {(link.before, link.after) for link in links}


class TestFindCycle:
    @given(pairs)
    def test_ring_is_found_exactly_where_networkx_finds_one(self, drawn) -> None:
        links = [Link(*pair) for pair in drawn]
        path = find_cycle(links)
        if nx.is_directed_acyclic_graph(nx.DiGraph(drawn)):
            assert path is None
        else:
            assert path is not None and len(path) > 2 and is_ring(path, links)
            assert len(set(path)) == len(path) - 1

    def test_ring_begins_with_the_task_named_first(self) -> None:
        links = [Link("x", "c"), Link("b", "c"), Link("c", "a"), Link("a", "b")]
        assert find_cycle(links) == ["c", "a", "b", "c"]

    def test_long_ring_is_found_without_recursion(self) -> None:
        links = [Link(number, (number + 1) % 20_000) for number in range(20_000)]
        path = find_cycle(links)
        assert path is not None and len(path) == 20_001


class TestWouldClose:
    @given(pairs, st.integers(0, 7), st.integers(0, 7))
    def test_ring_is_closed_exactly_where_a_path_leads_back(self, drawn, before, after) -> None:
        if before == after:
            return
        links = [Link(*pair) for pair in drawn if pair[0] < pair[1]]
        new = Link(before, after)
        path = would_close(links, new)
        whole = nx.DiGraph([(link.before, link.after) for link in [*links, new]])
        assert (path is None) == nx.is_directed_acyclic_graph(whole)
        if path is not None:
            assert is_ring(path, [*links, new])
            assert (path[0], path[-2]) == (after, before)

    def test_shortest_ring_is_named(self) -> None:
        links = [Link(1, 2), Link(2, 3), Link(1, 3)]
        assert would_close(links, Link(3, 1)) == [1, 3, 1]


class TestRankTasks:
    @pytest.fixture(params=[0, 10**9], ids=["by arrays", "one by one"])
    def way(self, request, monkeypatch) -> None:
        monkeypatch.setattr(graph, "_MANY", request.param)

    @pytest.mark.usefixtures("way")
    def test_every_task_is_ranked_after_what_it_waits_for(self) -> None:
        rng = np.random.default_rng(5)
        first, second = rng.integers(0, 300, 900), rng.integers(0, 300, 900)
        names = rng.permutation(300)
        before, after = (
            names[np.minimum(first, second)[first != second]],
            names[np.maximum(first, second)[first != second]],
        )
        order, levels = rank_tasks(list(range(300)), before, after)
        rank = np.argsort(order)
        assert sorted(order.tolist()) == list(range(300))
        assert (rank[before] < rank[after]).all()
        if levels is not None:
            level = np.searchsorted(levels, rank, "right")
            assert (level[before] < level[after]).all()

    @pytest.mark.usefixtures("way")
    def test_ring_is_refused_with_its_path(self) -> None:
        with pytest.raises(Cycle) as refused:
            rank_tasks(["a", "b", "c", "d"], np.array([0, 1, 2, 2]), np.array([1, 2, 1, 3]))
        assert refused.value.path == ["b", "c", "b"]

    def test_deep_network_is_left_to_single_steps(self) -> None:
        chain = np.arange(4999)
        order, levels = rank_tasks(list(range(5000)), chain, chain + 1)
        assert order.tolist() == list(range(5000))
        assert levels is None

    def test_more_tasks_than_sixteen_bits_count_are_ranked(self) -> None:
        count = 70_000
        order, levels = rank_tasks(list(range(count)), np.array([69_999]), np.array([3]))
        assert levels == [0, count - 1, count]
        assert order[-1] == 3
