"""No template may need what the content security policy forbids, nor reach another site."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
TEMPLATES = sorted(
    path for room in ("buildlog", "tasks") for path in (ROOT / room).rglob("templates/**/*.html")
)
#: What would be inline style or script, or code in an attribute.
FORBIDDEN = {
    "a style attribute": re.compile(r"""\sstyle\s*=\s*["'{]""", re.I),
    "a style element": re.compile(r"<style[\s>]", re.I),
    "an event attribute": re.compile(r"""\son[a-z]+\s*=\s*["'{]""", re.I),
    "htmx code in an attribute": re.compile(r"\shx-(on|vals\s*=\s*[\"']\s*js:)", re.I),
    "a script without a source": re.compile(r"<script(?![^>]*\ssrc=)[^>]*>", re.I),
    "a javascript address": re.compile(r"javascript:", re.I),
}
#: Data for a script is no script; a feed or document may name a standard by its address.
DATA = re.compile(r"<script[^>]*type=\"application/(json|ld\+json)\"", re.I)
ELSEWHERE = re.compile(r"""(?:src|href|action)\s*=\s*["'](?:https?:)?//""", re.I)


def test_there_are_templates_to_look_at():
    assert len(TEMPLATES) > 40


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))
def test_nothing_inline(path):
    text = path.read_text()
    for what, pattern in FORBIDDEN.items():
        for found in pattern.finditer(text):
            if DATA.match(found[0]):
                continue
            line = text.count("\n", 0, found.start()) + 1
            pytest.fail(f"{path.relative_to(ROOT)}:{line} has {what}: {found[0].strip()}")


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))
def test_nothing_is_fetched_from_another_site(path):
    assert not ELSEWHERE.search(path.read_text())
