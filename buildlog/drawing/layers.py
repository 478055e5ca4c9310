"""Laying out a directed graph in layers, left to right, with few crossings.

Longest-path layering, waypoints where a link passes a layer, barycentre sweeps for the order in
the layers, then heights by isotonic regression, which is exact for a given order. After Sugiyama,
Tagawa and Toda (1981); the steps are those of any text on layered drawing.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass

__all__ = ["Layout", "lay_out"]

SWEEPS = 6
STRAIGHTENINGS = 6


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
    wanted = list(
        dict.fromkeys(
            (known[a], known[b]) for a, b in links if a in known and b in known and a != b
        )
    )
    forward = _without_rings(len(nodes), wanted)
    layer_of = _layers(len(nodes), forward)
    graph = _Graph(layer_of, forward)
    graph.order()
    y = graph.heights(height, gap, lane)
    top = min((y[k] for k in range(len(nodes))), default=0) - height / 2
    if len(y):
        top = min(top, min(y) - lane / 2)
    bottom = max((*y, 0.0)) if y else 0.0
    bottom = max([bottom + lane / 2, *(y[k] + height / 2 for k in range(len(nodes)))])
    back = {pair for pair in wanted if pair not in forward}
    routes = {}
    for a, b in wanted:
        chain = graph.chains[(b, a) if (a, b) in back else (a, b)]
        waypoints = [(graph.layer_of[k], y[k] - top) for k in chain]
        routes[nodes[a], nodes[b]] = waypoints[::-1] if (a, b) in back else waypoints
    return Layout(
        places={node: (layer_of[k], y[k] - top) for k, node in enumerate(nodes)},
        routes=routes,
        layers=max(layer_of, default=-1) + 1,
        height=bottom - top if nodes else 0.0,
    )


def _without_rings(count: int, links: list[tuple[int, int]]) -> dict[tuple[int, int], None]:
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
        """Sweep right and left, each layer sorted by the mean place of its neighbours."""
        rank = [0.0] * len(self.layer_of)
        for layer in self.layers:
            for place, node in enumerate(layer):
                rank[node] = place
        best, fewest = [list(layer) for layer in self.layers], self._crossings(rank)
        for sweep in range(SWEEPS):
            rightward = sweep % 2 == 0
            ties = self.left if rightward else self.right
            for layer in self.layers if rightward else reversed(self.layers):
                key = {
                    node: sum(rank[other] for other in ties[node]) / len(ties[node])
                    if ties[node]
                    else rank[node]
                    for node in layer
                }
                layer.sort(key=key.__getitem__)
                for place, node in enumerate(layer):
                    rank[node] = place
            crossings = self._crossings(rank)
            if crossings < fewest:
                best, fewest = [list(layer) for layer in self.layers], crossings
        self.layers = best

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
