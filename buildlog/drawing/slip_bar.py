"""How far one thing has slipped: a small bar from the planned finish to the one now."""

from __future__ import annotations

from buildlog.drawing.scale import Scale
from buildlog.drawing.svg import Drawing

__all__ = ["slip_bar"]

HEIGHT = 18


def slip_bar(
    days: int, earliest: int, latest: int, name: str, width: float = 120, key: str = "slip"
) -> Drawing:
    """Draw days of slip on a rule from `earliest` to `latest`, both with nought between them.

    Later lies right of the tick and is heavy, earlier left of it and is outlined.

    Raises ValueError if nought or the days lie outside.
    """
    if not earliest <= min(days, 0) <= max(days, 0) <= latest:
        raise ValueError(f"{days} and 0 must lie between {earliest} and {latest}")
    scale = Scale(earliest, max(latest, earliest + 1), 2, width - 2)
    drawing = Drawing(key, width, HEIGHT, name, _words(days))
    drawing.line(2, HEIGHT - 3, width - 2, HEIGHT - 3, "d-hair")
    start, end = sorted((scale(0), scale(days)))
    if days:
        cls = "b-heavy" if days > 0 else "b-light"
        drawing.rect(start, 4, max(end - start, 1.5), HEIGHT - 9, cls)
    drawing.line(scale(0), 1, scale(0), HEIGHT - 1, "d-line")
    return drawing


def _words(days: int) -> str:
    if not days:
        return "As planned."
    return f"{abs(days)} day{'' if abs(days) == 1 else 's'} {'later' if days > 0 else 'earlier'}."
