"""The logic of the plan as a network of date boxes, joined by the links.

A box has the early start and finish in its upper corners with the duration between them, the late
ones in its lower corners with the float between them, as precedence networks are drawn in the
textbooks. A heavy box is critical. A full line is a link that fixes a start, a broken one waits.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass

from buildlog.drawing.layers import Layout, lay_out
from buildlog.drawing.lettering import cut, wrap
from buildlog.drawing.rule import MONTHS
from buildlog.drawing.svg import Drawing, num

__all__ = ["Arrow", "Box", "in_sheets", "plan_network"]

WIDTH, HEIGHT = 190, 86
ROW = 19
COLUMN_GAP, BOX_GAP, LANE = 66, 22, 12
MARGIN = 14
PORT = 9
FROM_START, TO_FINISH = ("start-start", "start-finish"), ("finish-finish", "start-finish")


@dataclass(frozen=True, slots=True)
class Box:
    """A task, or a whole stage folded into one box.

    `key` is one word without spaces. `over` is the small line above the name; `duration` and
    `float` are words. `folded` is how many tasks a stage holds, 0 for a task. `code` is the number
    by which a task can be linked.
    """

    key: int | str
    name: str
    href: str
    over: str
    early_start: dt.datetime
    early_finish: dt.datetime
    late_start: dt.datetime
    late_finish: dt.datetime
    duration: str
    float: str
    critical: bool = False
    done: bool = False
    curing: bool = False
    folded: int = 0
    note: str = ""
    code: str = ""


@dataclass(frozen=True, slots=True)
class Arrow:
    """A link. `kind` is finish-start, start-start, finish-finish or start-finish."""

    before: int | str
    after: int | str
    kind: str = "finish-start"
    label: str = ""
    driving: bool = False
    critical: bool = False


def plan_network(
    boxes: Sequence[Box],
    arrows: Sequence[Arrow],
    now: dt.datetime,
    key: str = "network",
    desc: str = "",
) -> Drawing:
    """Draw the network, left to right. Dates of another year than that of `now` carry theirs.

    Arrows to or from a box that is not there are passed over.
    """
    known = {box.key for box in boxes}
    arrows = [arrow for arrow in arrows if arrow.before in known and arrow.after in known]
    layout = lay_out(
        [box.key for box in boxes],
        [(arrow.before, arrow.after) for arrow in arrows],
        HEIGHT,
        BOX_GAP,
        LANE,
    )
    width = layout.layers * (WIDTH + COLUMN_GAP) - COLUMN_GAP + 2 * MARGIN
    drawing = Drawing(
        key,
        max(width, WIDTH + 2 * MARGIN),
        layout.height + 2 * MARGIN + LANE,
        "The network of tasks, with their date boxes",
        desc,
    )
    routes = _Routes(layout, arrows)
    for arrow in sorted(arrows, key=lambda one: (one.critical, one.driving)):
        routes.draw(drawing, arrow)
    for box in sorted(boxes, key=lambda one: layout.places[one.key]):
        layer, y = layout.places[box.key]
        drawing.begin_link(
            box.href, _said(box, now.year), "n-task", box=str(box.key), code=box.code,
            column=str(layer),
            last=" ".join(str(one.before) for one in routes.into.get(box.key, ())),
            next=" ".join(str(one.after) for one in routes.out.get(box.key, ())),
        )  # fmt: skip
        _box(drawing, box, _left(layer), MARGIN + y - HEIGHT / 2, now.year)
        drawing.end_link()
    return drawing


def in_sheets(
    drawing: Drawing, columns: int, height: float
) -> list[tuple[float, float, float, float]]:
    """Rectangles (x, y, width, height) that cover a network, so many columns and pixels each.

    No column is cut. Where several stand below each other they overlap by a box, so that each box
    is whole on one of them.
    """
    pitch = WIDTH + COLUMN_GAP
    left = MARGIN - COLUMN_GAP / 2
    across = max(-(-round(drawing.width - MARGIN - left) // (columns * pitch)), 1)
    step = height - HEIGHT - BOX_GAP
    down = 1 if drawing.height <= height else -(-round(drawing.height - height) // round(step)) + 1
    return [
        (left + column * columns * pitch, row * step, columns * pitch, height)
        for row in range(down)
        for column in range(across)
    ]


def _said(box: Box, year: int) -> str:
    """The box in words, for who does not see it."""
    words = f"{box.over}: {box.name}. {box.note}" if box.note else f"{box.over}: {box.name}"
    return (
        f"{words.rstrip('.')}. Early {_date(box.early_start, year)} to "
        f"{_date(box.early_finish, year)}, late {_date(box.late_start, year)} to "
        f"{_date(box.late_finish, year)}."
    )


def _left(layer: int) -> float:
    return MARGIN + layer * (WIDTH + COLUMN_GAP)


class _Routes:
    """Where each arrow leaves and arrives, so that several at a box do not lie on each other."""

    def __init__(self, layout: Layout, arrows: Sequence[Arrow]) -> None:
        self.layout = layout
        self.out: dict[Hashable, list[Arrow]] = {}
        self.into: dict[Hashable, list[Arrow]] = {}
        for arrow in arrows:
            self.out.setdefault(arrow.before, []).append(arrow)
            self.into.setdefault(arrow.after, []).append(arrow)
        self.leaves = self._ports(self.out, last=False)
        self.arrives = self._ports(self.into, last=True)

    def _ports(
        self, at: Mapping[Hashable, list[Arrow]], *, last: bool
    ) -> dict[tuple[Hashable, Hashable, str], float]:
        """Heights beside a box, in the order of what lies at the other end of each arrow."""
        ports: dict[tuple[Hashable, Hashable, str], float] = {}
        for node, arrows in at.items():
            middle = self.layout.places[node][1]
            ordered = sorted(arrows, key=lambda arrow: self._beyond(arrow, last=last))
            room = HEIGHT - 2 * ROW
            step = min(PORT, room / max(len(ordered) - 1, 1))
            for place, arrow in enumerate(ordered):
                offset = (place - (len(ordered) - 1) / 2) * step
                ports[arrow.before, arrow.after, arrow.kind] = MARGIN + middle + offset
        return ports

    def _beyond(self, arrow: Arrow, *, last: bool) -> float:
        route = self.layout.routes.get((arrow.before, arrow.after))
        if route:
            return route[-1 if last else 0][1]
        return self.layout.places[arrow.before if last else arrow.after][1]

    def draw(self, drawing: Drawing, arrow: Arrow) -> None:
        ends = (arrow.before, arrow.after, arrow.kind)
        route = self.layout.routes.get((arrow.before, arrow.after))
        if route is None:
            return
        path = self._leave(arrow, self.leaves[ends])
        backwards = self.layout.places[arrow.before][0] > self.layout.places[arrow.after][0]
        for layer, y in route:
            left, y = _left(layer), MARGIN + y
            pair = [(left, y), (left + WIDTH, y)]
            path += pair[::-1] if backwards else pair
        arriving, head = self._arrive(arrow, self.arrives[ends])
        path += arriving
        cls = "n-heavy" if arrow.critical else "n-driving" if arrow.driving else "n-link"
        drawing.put(f'<g data-from="{arrow.before}" data-to="{arrow.after}">')
        drawing.polyline(path, cls)
        drawing.path(head, f"{cls}-head")
        if arrow.label:
            (x, y), (before_x, _) = path[-1], path[-2]
            at = (x + before_x) / 2 if arrow.kind in TO_FINISH else x - 10
            place = "t-tiny t-mid" if arrow.kind in TO_FINISH else "t-tiny t-end"
            drawing.text(at, y - 3, arrow.label, place)
        drawing.end()

    def _leave(self, arrow: Arrow, port: float) -> list[tuple[float, float]]:
        layer, y = self.layout.places[arrow.before]
        right = _left(layer) + WIDTH
        if arrow.kind in FROM_START:
            foot = MARGIN + y + HEIGHT / 2
            start = _left(layer) + 10
            return [(start, foot), (start, foot + 8), (right + 8, foot + 8)]
        return [(right, port), (right + 8, port)]

    def _arrive(self, arrow: Arrow, port: float) -> tuple[list[tuple[float, float]], str]:
        layer, y = self.layout.places[arrow.after]
        left = _left(layer)
        if arrow.kind in TO_FINISH:
            foot = MARGIN + y + HEIGHT / 2
            x = left + WIDTH - 10
            path = [(left - 12, foot + 8), (x, foot + 8), (x, foot + 5)]
            return path, f"M{num(x)} {num(foot)}l-3.5 6h7z"
        head = f"M{num(left)} {num(port)}l-8 -3.5v7z"
        return [(left - 16, port), (left - 6, port)], head


def _box(drawing: Drawing, box: Box, x: float, y: float, year: int) -> None:
    kind = "n-done" if box.done else "n-critical" if box.critical else "n-box"
    drawing.begin(title=f"{box.name}. {box.note}" if box.note else box.name)
    if box.folded:
        drawing.rect(x + 5, y + 5, WIDTH, HEIGHT, kind)
    drawing.rect(x, y, WIDTH, HEIGHT, kind)
    low = y + HEIGHT - ROW
    third = WIDTH / 3
    drawing.path(
        f"M{num(x)} {num(y + ROW)}h{WIDTH}M{num(x)} {num(low)}h{WIDTH}"
        f"M{num(x + third)} {num(y)}v{ROW}M{num(x + 2 * third)} {num(y)}v{ROW}"
        f"M{num(x + third)} {num(low)}v{ROW}M{num(x + 2 * third)} {num(low)}v{ROW}",
        "n-rule",
    )
    _cells(drawing, x, y + 14, box.early_start, box.duration, box.early_finish, year)
    _cells(drawing, x, low + 14, box.late_start, box.float, box.late_finish, year)
    drawing.text(x + 7, y + ROW + 13, cut(box.over, 11.5, WIDTH - 34), "t-over")
    weight = "t-bold" if box.critical else ""
    for line, words in enumerate(wrap(box.name, 13.5, WIDTH - 14, 2)):
        drawing.text(x + 7, y + ROW + 27 + 14 * line, words, f"t-name {weight}".strip())
    if box.done:
        tick = [(x + WIDTH - 18, y + 28), (x + WIDTH - 15, y + 32), (x + WIDTH - 9, y + 23)]
        drawing.polyline(tick, "b-tick")
    drawing.end()


def _cells(
    drawing: Drawing,
    x: float,
    y: float,
    start: dt.datetime,
    between: str,
    finish: dt.datetime,
    year: int,
) -> None:
    third = WIDTH / 3
    drawing.text(x + third / 2, y, _date(start, year), "t-cell")
    drawing.text(x + WIDTH / 2, y, cut(between, 12, third - 4), "t-cell")
    drawing.text(x + 2.5 * third, y, _date(finish, year), "t-cell")


def _date(moment: dt.datetime, year: int) -> str:
    """The day, with the year where it is another one."""
    day = f"{moment.day} {MONTHS[moment.month - 1]}"
    return day if moment.year == year else f"{day} {moment.year % 100:02}"
