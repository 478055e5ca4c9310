"""Colours are named in one file, and every pair that is read meets WCAG 2.2 AA in each theme."""

from __future__ import annotations

import re
from itertools import product
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
TOKENS = ROOT / "buildlog" / "static" / "css" / "tokens.css"
STYLES = sorted(
    path
    for room in ("buildlog", "tasks")
    for path in (ROOT / room).rglob("static/**/*.css")
    if path != TOKENS
)
COLOUR = re.compile(r"#[0-9a-f]{3,8}\b|\b(?:rgb|hsl|oklch|lab|lch|color)a?\(", re.I)
#: Words are read on these grounds. Hairlines carry no meaning alone, so they are not held to 3:1.
GROUNDS = ("sheet", "wash")
INKS = ("ink", "pencil", "blue", "red", "done", "resin")
#: Words are never set in resin on the wash.
PAIRS = [pair for pair in product(INKS, GROUNDS) if pair != ("resin", "wash")]


def themes() -> dict[str, dict[str, str]]:
    text = TOKENS.read_text()
    blocks = re.findall(r":root \{(.*?)\}", text, re.S)
    light, dark, paper = (
        dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", block)) for block in blocks
    )
    return {"light": light, "dark": light | dark, "print": light | paper}


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2, https://www.w3.org/TR/WCAG22/#dfn-relative-luminance"""
    channels = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio, WCAG 2.2, https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio"""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_contrast_is_reckoned_as_the_standard_does():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)  # known to just fail


@pytest.mark.parametrize("theme", ["light", "dark", "print"])
@pytest.mark.parametrize(("ink", "ground"), PAIRS)
def test_words_can_be_read(theme, ink, ground):
    colours = themes()[theme]
    assert contrast(colours[ink], colours[ground]) >= 4.5


@pytest.mark.parametrize("theme", ["light", "dark", "print"])
@pytest.mark.parametrize(
    ("ink", "ground", "least"),
    [
        ("on-fill", "blue", 4.5),  # the filled button
        ("on-fill", "ink", 4.5),  # pointed at
        ("ink", "red-wash", 4.5),  # an error
        ("red", "red-wash", 4.5),
        ("ink", "paper", 4.5),
        ("pencil", "sheet", 3),  # the edge of a box to write in
        ("blue", "sheet", 3),  # the ring of what has the focus
    ],
)
def test_parts_of_the_page_can_be_told_apart(theme, ink, ground, least):
    colours = themes()[theme]
    assert contrast(colours[ink], colours[ground]) >= least


def test_all_themes_name_the_same_colours():
    light, dark, paper = (
        set(re.findall(r"--([\w-]+): #", block))
        for block in re.findall(r":root \{(.*?)\}", TOKENS.read_text(), re.S)
    )
    assert light == dark == paper


@pytest.mark.parametrize("path", STYLES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_other_file_names_a_colour(path):
    text = re.sub(r"/\*.*?\*/", "", path.read_text(), flags=re.S)
    assert not COLOUR.findall(text)


@pytest.mark.parametrize("path", STYLES, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_token_used_is_one_that_there_is(path):
    known = set(re.findall(r"--([\w-]+):", TOKENS.read_text()))
    text = path.read_text()
    own = set(re.findall(r"--([\w-]+):", text))
    assert set(re.findall(r"var\(--([\w-]+)", text)) <= known | own


@pytest.mark.parametrize("path", STYLES, ids=lambda path: str(path.relative_to(ROOT)))
def test_nothing_depends_on_a_rule_that_hides_the_focus(path):
    for selector, rules in re.findall(r"([^{}]+)\{([^{}]*)\}", path.read_text()):
        if re.search(r"outline\s*:\s*(none|0)\s*;", rules):
            assert re.search(r"main:focus|:focus-visible|@media print|sheet", selector), selector
