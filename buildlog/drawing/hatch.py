"""Patterns that say by their lines what a colour would only repeat."""

from __future__ import annotations

from buildlog.drawing.svg import Drawing

__all__ = ["hatch"]


def hatch(drawing: Drawing, name: str = "hatch", gap: int = 5, cls: str = "d-hatch") -> str:
    """Lines at 45 degrees, `gap` pixels apart. Gives the id to fill with."""
    return drawing.define(
        name,
        f'<pattern id="{drawing.key}-{name}" width="{gap}" height="{gap}" '
        f'patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        f'<line class="{cls}" x1="0" y1="0" x2="0" y2="{gap}"/></pattern>',
    )
