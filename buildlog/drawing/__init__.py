"""Drawings as SVG, written on the server: scales, rules, lettering, bars, networks, curves.

Framework-free: plain values in, a `Drawing` out. No colour and no style is written, only classes
(see `static/css/drawing.css`), so that a drawing follows the light, the dark and the paper.
"""

from buildlog.drawing.svg import Drawing

__all__ = ["Drawing"]
