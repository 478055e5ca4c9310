"""A boat from the side, drawn in pencil and inked as far as the work is. Not her own lines."""

from __future__ import annotations

from buildlog.drawing import Drawing
from buildlog.drawing.svg import num

WIDTH, HEIGHT = 640, 204
AFT, FORE = 40, 612  # where the inking begins and ends
STATIONS = 10

LINES = (
    "M40,84 Q330,114 612,62",  # sheer
    "M40,84 L58,128 Q330,184 556,132 Q598,106 612,62",  # transom, bottom, stem
    "M49,108 Q330,150 594,98",  # chine
    "M246,158 L252,196 L344,196 L366,156",  # fin
    "M76,132 L72,184 L104,184 L118,140",  # rudder
    "M196,97 L210,64 L388,60 L446,88",  # coachroof
    "M228,86 h30 v-13 h-30 z M280,85 h30 v-13 h-30 z M332,83 h30 v-13 h-30 z",  # ports
    "M96,90 L100,74 L196,76",  # coaming
)


def draw_hull(percent: int) -> str:
    """SVG of the boat, inked from aft to `percent` (0 to 100) of her length."""
    drawing = Drawing(
        "hull",
        WIDTH,
        HEIGHT,
        f"The boat, {percent} % done",
        "A boat seen from the side, in pencil; the part of her length that stands for the work "
        "done is drawn in ink.",
    )
    at = AFT + (FORE - AFT) * percent / 100
    done = drawing.define(
        "done",
        f'<clipPath id="hull-done"><rect x="0" y="0" width="{num(at)}" height="{HEIGHT}"/>'
        "</clipPath>",
    )
    for station in range(STATIONS + 1):
        x = AFT + (FORE - AFT) * station / STATIONS
        drawing.line(x, 26, x, 176, "d-hair")
        drawing.text(x, 18, str(station), "t-small t-pencil t-mid")
    drawing.line(16, 142, 628, 142, "d-dash")
    for line in LINES:
        drawing.path(line, "hull-pencil")
    drawing.put(f'<g clip-path="url(#{done})">')
    for line in LINES:
        drawing.path(line, "hull-ink")
    drawing.put("</g>")
    drawing.line(at, 26, at, 200, "d-today")
    return drawing.svg
