"""Giving a drawing its lines and colours for paper: what the style sheets give it on the page.

A drawing carries classes only. Printing resolves the same rules, in the colours for print, into
the drawing itself. Of CSS it takes what our own style sheets hold: plain rules by class, and
custom properties for colours and faces.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path

__all__ = ["inked"]

CSS = Path(__file__).parents[1] / "static" / "css"
#: The style sheets that drawings take their lines from.
SHEETS = ("drawing.css", "plan-network.css")
_COMMENT = re.compile(r"/\*.*?\*/", re.S)
_RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")
_PROPERTY = re.compile(r"(--[\w-]+)\s*:\s*([^;]+);")
_PRINTED = re.compile(r"@media print\s*\{(.*?\})\s*\}", re.S)
_MEDIA = re.compile(r"@media[^{]*\{(?:[^{}]*\{[^{}]*\})*[^{}]*\}", re.S)
_USED = re.compile(r"var\((--[\w-]+)\)")
IN_DRAWING = ".drawing "


def inked(svg: str) -> str:
    """The drawing with its style inside it, to stand alone.

    Raises ValueError if it is not an SVG element.
    """
    if not svg.startswith("<svg "):
        raise ValueError("a drawing begins with its svg element")
    end = svg.index(">") + 1
    return f"{svg[:end]}<style>{_style()}</style>{svg[end:]}"


@lru_cache(maxsize=1)
def _style() -> str:
    return style_of(
        (CSS / "tokens.css").read_text(encoding="utf-8"),
        ((CSS / name).read_text(encoding="utf-8") for name in SHEETS),
    )


def style_of(tokens: str, sheets: Iterable[str]) -> str:
    """The rules for drawings of some style sheets, with the colours for print put in.

    >>> style_of(":root { --ink: #123; } @media print { :root { --ink: #000; } }",
    ...     [".drawing .d-line { stroke: var(--ink); }  .button { color: var(--ink); }"])
    '.d-line{stroke: #000;}'
    """
    tokens = _COMMENT.sub("", tokens)
    values = dict(_PROPERTY.findall(_MEDIA.sub("", tokens)))
    for printed in _PRINTED.findall(tokens):
        values |= dict(_PROPERTY.findall(printed))
    rules = []
    for sheet in sheets:
        for selectors, body in _RULE.findall(_MEDIA.sub("", _COMMENT.sub("", sheet))):
            kept = [
                one.strip().removeprefix(IN_DRAWING)
                for one in selectors.split(",")
                if one.strip().startswith(IN_DRAWING) and ":" not in one
            ]
            if kept:
                told = _USED.sub(lambda used: values.get(used[1], "none").strip(), body)
                rules.append(f"{','.join(kept)}{{{' '.join(told.split())}}}")
    return "".join(rules)
