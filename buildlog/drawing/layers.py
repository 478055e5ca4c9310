"""Laying out a directed graph in layers, left to right, with few crossings.

Longest-path layering, waypoints where a link passes a layer, sweeps by barycentre and by median
with swaps of neighbours for the order in the layers, then heights by isotonic regression, which is
exact for a given order. After Sugiyama, Tagawa and Toda (1981) and, for medians and swaps, Gansner,
Koutsofios, North and Vo (1993).
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

__all__ = ["Layout", "lay_out"]

SWEEPS = 12
PATIENCE = 3  # sweeps that better nothing
SWAPPINGS = 6
STRAIGHTENINGS = 8


@dataclass(frozen=True, slots=True)
class Layout:
    """Where things stand.

    Attributes
    ----------
    places
        Node to (layer, y), y being the middle of the node in the unit of the heights.
    routes
        Link, as given, to its waypoints: (layer, y) of each layer that it passes between its ends,
        in the order from its first end to its second.
    layers
        How many layers there are.
    height
        From the top of the highest node to the bottom of the lowest; the top is 0.
    """

    places: Mapping[Hashable, tuple[int, float]]
    routes: Mapping[tuple[Hashable, Hashable], list[tuple[int, float]]]
    layers: int
    height: float


def lay_out(
    nodes: Sequence[Hashable],
    links: Iterable[tuple[Hashable, Hashable]],
    height: float,
    gap: float,
    lane: float,
) -> Layout:
    """Lay out nodes of one height in layers.

    Parameters
    ----------
    nodes
        In an order that is kept where the links leave a choice, so that the same plan always
        looks the same.
    links
        Pairs of nodes. Links to a node itself, to unknown nodes and repeated ones are passed over.
        A ring is laid out too: the links that close it run backwards.
    height, gap, lane
        Of a node, between two nodes of a layer, and of a link that passes through a layer.

    Notes
    -----
    Linear in nodes, links and waypoints, but for the sorting of the layers.

    Examples
    --------
    >>> layout = lay_out("abc", [("a", "b"), ("b", "c"), ("a", "c")], 10, 4, 2)
    >>> {node: place[0] for node, place in layout.places.items()}
    {'a': 0, 'b': 1, 'c': 2}
    >>> len(layout.routes["a", "c"])
    1
    """
    known = {node: place for place, node in enumerate(nodes)}
    wanted = dict.fromkeys(
        (known[a], known[b]) for a, b in links if a in known and b in known and a != b
    )
    laid = _laid(len(nodes), tuple(wanted), height, gap, lane)
    return Layout(
        places={node: laid.places[k] for k, node in enumerate(nodes)},
        routes={(nodes[a], nodes[b]): laid.routes[a, b] for a, b in wanted},
        layers=laid.layers,
        height=laid.height,
    )


@lru_cache(maxsize=32)
def _laid(
    count: int, links: tuple[tuple[int, int], ...], height: float, gap: float, lane: float
) -> Layout:
    """The layout by place; most changes of a plan leave its links as they are."""
    forward = _without_rings(count, links)
    layer_of = _layers(count, forward)
    graph = _Graph(layer_of, forward)
    graph.order()
    y = graph.heights(height, gap, lane)
    top = min((y[k] for k in range(count)), default=0) - height / 2
    if len(y):
        top = min(top, min(y) - lane / 2)
    bottom = max((*y, 0.0)) if y else 0.0
    bottom = max([bottom + lane / 2, *(y[k] + height / 2 for k in range(count))])
    back = {pair for pair in links if pair not in forward}
    routes: dict[tuple[Hashable, Hashable], list[tuple[int, float]]] = {}
    for a, b in links:
        chain = graph.chains[(b, a) if (a, b) in back else (a, b)]
        waypoints = [(graph.layer_of[k], y[k] - top) for k in chain]
        routes[a, b] = waypoints[::-1] if (a, b) in back else waypoints
    return Layout(
        places={k: (layer_of[k], y[k] - top) for k in range(count)},
        routes=routes,
        layers=max(layer_of, default=-1) + 1,
        height=bottom - top if count else 0.0,
    )


def _without_rings(count: int, links: Sequence[tuple[int, int]]) -> dict[tuple[int, int], None]:
    """The links, those that close a ring turned about. A depth-first search, without recursion."""
    out: list[list[int]] = [[] for _ in range(count)]
    for a, b in links:
        out[a].append(b)
    fresh, open_, closed = 0, 1, 2
    state = [fresh] * count
    turned: set[tuple[int, int]] = set()
    for root in range(count):
        if state[root] != fresh:
            continue
        state[root] = open_
        stack = [(root, iter(out[root]))]
        while stack:
            node, rest = stack[-1]
            for after in rest:
                if state[after] == open_:
                    turned.add((node, after))
                elif state[after] == fresh:
                    state[after] = open_
                    stack.append((after, iter(out[after])))
                    break
            else:
                state[node] = closed
                stack.pop()
    return dict.fromkeys((b, a) if (a, b) in turned else (a, b) for a, b in links)


def _layers(count: int, links: Iterable[tuple[int, int]]) -> list[int]:
    """Longest path from the left; then what has room to its right moves towards what it feeds.

    The second step keeps the links of a late beginner short, and so the waypoints few.
    """
    out: list[list[int]] = [[] for _ in range(count)]
    into: list[list[int]] = [[] for _ in range(count)]
    for a, b in links:
        out[a].append(b)
        into[b].append(a)
    waiting = [len(before) for before in into]
    order = [node for node in range(count) if not waiting[node]]
    layer = [0] * count
    for node in order:
        for after in out[node]:
            layer[after] = max(layer[after], layer[node] + 1)
            waiting[after] -= 1
            if not waiting[after]:
                order.append(after)
    for node in reversed(order):
        if out[node] and len(out[node]) >= len(into[node]):
            layer[node] = max(layer[node], min(layer[after] for after in out[node]) - 1)
    return layer


class _Graph:
    """Nodes and waypoints by layer, with what each is tied to on its left and right."""

    def __init__(self, layer_of: list[int], links: Iterable[tuple[int, int]]) -> None:
        self.real = len(layer_of)
        self.layer_of = list(layer_of)
        self.left: list[list[int]] = [[] for _ in layer_of]
        self.right: list[list[int]] = [[] for _ in layer_of]
        self.chains: dict[tuple[int, int], list[int]] = {}
        for a, b in links:
            self.chains[a, b] = self._chain(a, b)
        self.layers: list[list[int]] = [[] for _ in range(max(layer_of, default=-1) + 1)]
        for node, layer in enumerate(self.layer_of):
            self.layers[layer].append(node)

    def _chain(self, a: int, b: int) -> list[int]:
        chain = []
        before = a
        for layer in range(self.layer_of[a] + 1, self.layer_of[b]):
            point = len(self.layer_of)
            self.layer_of.append(layer)
            self.left.append([])
            self.right.append([])
            self._tie(before, point)
            chain.append(point)
            before = point
        self._tie(before, b)
        return chain

    def _tie(self, a: int, b: int) -> None:
        self.right[a].append(b)
        self.left[b].append(a)

    def order(self) -> None:
        """Order the layers so that few links cross: the best of what several beginnings lead to."""
        best, fewest = self.layers, -1
        for begin in self._beginnings():
            self.layers = begin
            crossings = self._untangle()
            if fewest < 0 or crossings < fewest:
                best, fewest = self.layers, crossings
            if not fewest:
                break
        self.layers = best

    def _beginnings(self) -> Iterator[list[list[int]]]:
        """The layers as given, and as a walk along the links comes to them from either end."""
        yield [list(layer) for layer in self.layers]
        for ties, roots in ((self.right, self.left), (self.left, self.right)):
            seen = [False] * len(self.layer_of)
            met: list[list[int]] = [[] for _ in self.layers]
            stack = [node for node in range(len(seen) - 1, -1, -1) if not roots[node]]
            while stack:
                node = stack.pop()
                if not seen[node]:
                    seen[node] = True
                    met[self.layer_of[node]].append(node)
                    stack.extend(reversed(ties[node]))
            yield met

    def _untangle(self) -> int:
        """Sweep to and fro, swap neighbours, keep the best. Gives the crossings that are left."""
        rank = [0.0] * len(self.layer_of)
        for layer in self.layers:
            _rank(layer, rank)
        best, fewest = [list(layer) for layer in self.layers], self._crossings(rank)
        idle = 0
        for turn in range(SWEEPS):
            if not fewest or idle == PATIENCE:
                break
            self._sweep(rank, rightward=turn % 2 == 0, middle=turn % 4 < 2)
            self._swap(rank)
            crossings = self._crossings(rank)
            idle += 1
            if crossings < fewest:
                best, fewest, idle = [list(layer) for layer in self.layers], crossings, 0
        self.layers = best
        return fewest

    def _sweep(self, rank: list[float], *, rightward: bool, middle: bool) -> None:
        """Sort each layer by the mean, or the middle, of the places of its neighbours behind."""
        ties = self.left if rightward else self.right
        for layer in self.layers if rightward else reversed(self.layers):
            key = {}
            for node in layer:
                places = [rank[other] for other in ties[node]]
                if not places:
                    key[node] = rank[node]
                elif middle:
                    key[node] = sum(places) / len(places)
                else:
                    places.sort()
                    half = len(places) // 2
                    key[node] = (places[half] + places[-half - 1]) / 2
            layer.sort(key=key.__getitem__)
            _rank(layer, rank)

    def _swap(self, rank: list[float]) -> None:
        """Let neighbours in a layer change places while that takes crossings away."""
        behind: dict[int, list[float]] = {}
        ahead: dict[int, list[float]] = {}
        stale = set(range(len(self.layers)))
        for _ in range(SWAPPINGS):
            if not stale:
                break
            again: set[int] = set()
            for place in sorted(stale):
                layer = self.layers[place]
                for node in layer:
                    behind[node] = sorted(rank[other] for other in self.left[node])
                    ahead[node] = sorted(rank[other] for other in self.right[node])
                if _swapped(layer, behind, ahead):
                    _rank(layer, rank)
                    again |= {place - 1, place, place + 1}
            stale = {place for place in again if 0 <= place < len(self.layers)}

    def _crossings(self, rank: list[float]) -> int:
        """How many pairs of links cross, by counting inversions with a binary indexed tree."""
        total = 0
        for layer in self.layers[:-1]:
            size = 0
            ends: list[int] = []
            for node in layer:
                after = sorted(int(rank[other]) for other in self.right[node])
                ends.extend(after)
                size = max(size, after[-1] + 1 if after else 0)
            tree = [0] * (size + 1)
            for seen, end in enumerate(ends):
                before, place = 0, end + 1
                while place:
                    before += tree[place]
                    place &= place - 1
                total += seen - before
                place = end + 1
                while place <= size:
                    tree[place] += 1
                    place += place & -place
        return total

    def heights(self, height: float, gap: float, lane: float) -> list[float]:
        """The middle of each node and waypoint: as straight as the order allows."""
        half = [
            (height + gap) / 2 if node < self.real else lane / 2
            for node in range(len(self.layer_of))
        ]
        y = [0.0] * len(half)
        for layer in self.layers:
            _stack(layer, half, y, [0.0] * len(layer))
        for turn in range(STRAIGHTENINGS):
            rightward = turn % 2 == 0
            for layer in self.layers if rightward else reversed(self.layers):
                wanted = []
                for node in layer:
                    ties = self.left[node] if rightward else self.right[node]
                    ties = ties or (self.right[node] if rightward else self.left[node])
                    wanted.append(sum(y[other] for other in ties) / len(ties) if ties else y[node])
                _stack(layer, half, y, wanted)
        return y


def _rank(layer: Sequence[int], rank: list[float]) -> None:
    for place, node in enumerate(layer):
        rank[node] = place


def _swapped(
    layer: list[int], behind: Mapping[int, list[float]], ahead: Mapping[int, list[float]]
) -> bool:
    """Swap neighbours of one layer where fewer of their links cross the other way about."""
    changed = False
    for place in range(len(layer) - 1):
        upper, lower = layer[place], layer[place + 1]
        here = _crossed(behind[upper], behind[lower]) + _crossed(ahead[upper], ahead[lower])
        if not here:
            continue
        there = _crossed(behind[lower], behind[upper]) + _crossed(ahead[lower], ahead[upper])
        if there < here:
            layer[place], layer[place + 1] = lower, upper
            changed = True
    return changed


def _crossed(upper: Sequence[float], lower: Sequence[float]) -> int:
    """How many links of two neighbours cross, from the places they lead to in rising order.

    >>> _crossed([2, 5], [1, 3])
    3
    """
    if not upper or not lower or upper[-1] <= lower[0]:
        return 0
    return sum(one > other for one in upper for other in lower)


def _stack(layer: list[int], half: list[float], y: list[float], wanted: list[float]) -> None:
    """Put a layer as near to where it wants to be as its order and the spacing allow.

    Least squares under y[i+1] - y[i] >= spacing: with the spacing taken off it is an isotonic
    regression, solved by pooling neighbours that are out of order.
    """
    pools: list[tuple[float, int]] = []  # sum of what is wanted, how many
    offset = 0.0
    offsets = []
    for place, node in enumerate(layer):
        if place:
            offset += half[layer[place - 1]] + half[node]
        offsets.append(offset)
        total, many = wanted[place] - offset, 1
        while pools and pools[-1][0] * many >= total * pools[-1][1]:
            more, others = pools.pop()
            total, many = total + more, many + others
        pools.append((total, many))
    place = 0
    for total, many in pools:
        for _ in range(many):
            y[layer[place]] = total / many + offsets[place]
            place += 1
