from __future__ import annotations

from html.parser import HTMLParser

import pytest

from buildlog.journal.prose import to_html
from buildlog.journal.templatetags.prose import first_words


class Tags(HTMLParser):
    """What a browser would take for tags, with their attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))


def test_it_shows_what_a_builder_writes():
    html = to_html(
        "Scarf *glued*.\nSecond line.\n\n- wiped\n- wetted\n\n| a | b |\n|---|---|\n| 1 | 2 |"
    )
    assert "<em>glued</em>.<br>" in html.replace("<br />", "<br>")
    assert "<li>wetted</li>" in html
    assert "<td>2</td>" in html


def test_headings_go_below_those_of_the_page():
    assert "<h3>Frames</h3>" in to_html("# Frames")
    assert "<h6>Deep</h6>" in to_html("###### Deep")


@pytest.mark.parametrize(
    "hostile",
    [
        "<script>alert(1)</script>",
        "<img src=x onerror=alert(1)>",
        "[x](javascript:alert(1))",
        "[x](data:text/html;base64,PHNjcmlwdD4=)",
        "[x](  java\tscript:alert(1))",
        "<javascript:alert(1)>",
        "![x](https://example.org/track.gif)",
        '<p style="position:fixed" onclick="alert(1)">x</p>',
        "<iframe src=https://example.org></iframe>",
        "[x]: javascript:alert(1)\n\n[x]",
        "`<script>`</script><svg onload=alert(1)>",
        '[x](https://example.org "\\" onmouseover=alert(1)")',
    ],
)
def test_nothing_that_runs_or_loads_comes_through(hostile):
    found = Tags()
    found.feed(to_html(hostile))
    assert {tag for tag, _ in found.tags} <= {"p", "a", "code", "br"}
    for _, attributes in found.tags:
        assert set(attributes) <= {"href", "title", "rel"}
        assert attributes.get("href", "https://").startswith("https://")


def test_links_outward_carry_no_trust():
    assert 'rel="noopener noreferrer nofollow"' in to_html("[x](https://example.org)")


def test_the_first_words_are_plain():
    assert first_words("# Frames\n\n- *Glued* & `wetted` <b>") == "Frames Glued & wetted <b>"
    assert first_words("word " * 100).endswith("…")
