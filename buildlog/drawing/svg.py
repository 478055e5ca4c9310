"""Writing SVG: numbers, escaping, and a sheet that elements are put on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from html import escape

__all__ = ["Drawing", "num", "points"]


def num(value: float) -> str:
    """A coordinate with at most one decimal; a tenth of a pixel cannot be seen.

    >>> num(12), num(12.04), num(-0.01), num(3.25)
    ('12', '12', '0', '3.2')
    """
    text = f"{value:.1f}"
    if text.endswith(".0"):
        text = text[:-2]
    return "0" if text == "-0" else text


def points(path: Iterable[tuple[float, float]]) -> str:
    """Corners as the `points` of a polyline.

    >>> points([(0, 1.5), (2, 3)])
    '0,1.5 2,3'
    """
    return " ".join(f"{num(x)},{num(y)}" for x, y in path)


class Drawing:
    """A sheet of SVG with a name and a description in words.

    Parameters
    ----------
    key
        Begins every id of the drawing, so that two can stand on one page: a letter, then letters,
        digits and hyphens.
    width, height
        In pixels of the page, greater than 0.
    title, desc
        What it is, and what it says to someone who does not see it.

    Attributes
    ----------
    data
        Names and values written as `data-` attributes: what a script needs to know of the scales.

    Notes
    -----
    Text, titles and addresses are escaped here; classes and keys are the caller's own words and
    are written as they are.

    Examples
    --------
    >>> drawing = Drawing("d", 10, 5, "A line", "From left to right.")
    >>> drawing.line(0, 2.5, 10, 2.5, "d-hair")
    >>> print(drawing.svg)  # doctest: +ELLIPSIS
    <svg xmlns="http://www.w3.org/2000/svg" width="10" height="5" viewBox="0 0 10 5" ...
    """

    def __init__(self, key: str, width: float, height: float, title: str, desc: str) -> None:
        self.key = key
        self.width = width
        self.height = height
        self.title = title
        self.desc = desc
        self.data: dict[str, str] = {}
        self._defs: dict[str, str] = {}
        self._parts: list[str] = []

    def put(self, markup: str) -> None:
        """Put markup that is SVG already."""
        self._parts.append(markup)

    def define(self, name: str, markup: str) -> str:
        """Put something others refer to among the definitions, once. Gives its id."""
        self._defs.setdefault(name, markup)
        return f"{self.key}-{name}"

    def line(self, x1: float, y1: float, x2: float, y2: float, cls: str) -> None:
        self._parts.append(
            f'<line class="{cls}" x1="{num(x1)}" y1="{num(y1)}" x2="{num(x2)}" y2="{num(y2)}"/>'
        )

    def rect(
        self, x: float, y: float, width: float, height: float, cls: str, fill: str = ""
    ) -> None:
        """A rectangle; `fill` is the id of a definition to fill it with."""
        filled = f' fill="url(#{fill})"' if fill else ""
        self._parts.append(
            f'<rect class="{cls}" x="{num(x)}" y="{num(y)}" width="{num(width)}" '
            f'height="{num(height)}"{filled}/>'
        )

    def polyline(self, path: Iterable[tuple[float, float]], cls: str) -> None:
        self._parts.append(f'<polyline class="{cls}" points="{points(path)}"/>')

    def path(self, d: str, cls: str) -> None:
        self._parts.append(f'<path class="{cls}" d="{d}"/>')

    def circle(self, x: float, y: float, radius: float, cls: str) -> None:
        self._parts.append(f'<circle class="{cls}" cx="{num(x)}" cy="{num(y)}" r="{num(radius)}"/>')

    def text(self, x: float, y: float, words: str, cls: str = "") -> None:
        """Words with their baseline at y."""
        of_class = f' class="{cls}"' if cls else ""
        self._parts.append(
            f'<text{of_class} x="{num(x)}" y="{num(y)}">{escape(words, quote=False)}</text>'
        )

    def begin(self, cls: str = "", title: str = "") -> None:
        """Begin a group; `title` is what a pointer resting on it is told."""
        of_class = f' class="{cls}"' if cls else ""
        words = f"<title>{escape(title, quote=False)}</title>" if title else ""
        self._parts.append(f"<g{of_class}>{words}")

    def end(self) -> None:
        self._parts.append("</g>")

    def begin_link(self, href: str, label: str = "", cls: str = "", **data: str) -> None:
        """Begin a link; `data` are written as `data-` attributes."""
        of_class = f' class="{cls}"' if cls else ""
        said = f' aria-label="{escape(label)}"' if label else ""
        self._parts.append(f'<a href="{escape(href)}"{of_class}{said}{_data(data)}>')

    def end_link(self) -> None:
        self._parts.append("</a>")

    @property
    def svg(self) -> str:
        """The whole element. Safe to put into a page as it is."""
        return self.piece(0, 0, self.width, self.height)

    def piece(self, x: float, y: float, wide: float, high: float) -> str:
        """The same, of which only a rectangle of the sheet is in sight."""
        width, height = num(wide), num(high)
        defs = f"<defs>{''.join(self._defs.values())}</defs>" if self._defs else ""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" '
            f'viewBox="{num(x)} {num(y)} {width} {height}"{_data(self.data)} role="group" '
            f'aria-labelledby="{self.key}-title" aria-describedby="{self.key}-desc">'
            f'<title id="{self.key}-title">{escape(self.title, quote=False)}</title>'
            f'<desc id="{self.key}-desc">{escape(self.desc, quote=False)}</desc>'
            f"{defs}{''.join(self._parts)}</svg>"
        )


def _data(values: Mapping[str, str]) -> str:
    return "".join(
        f' data-{name.replace("_", "-")}="{escape(value)}"' for name, value in values.items()
    )
