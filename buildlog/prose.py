"""What people write (Markdown) as HTML that is safe to show."""

from __future__ import annotations

import nh3
from django.utils.safestring import SafeString, mark_safe
from markdown_it import MarkdownIt
from markdown_it.token import Token

TAGS = {
    "a", "blockquote", "br", "code", "del", "em", "h3", "h4", "h5", "h6", "hr", "li", "ol", "p",
    "pre", "s", "strong", "table", "tbody", "td", "th", "thead", "tr", "ul",
}  # fmt: skip
SCHEMES = {"http", "https", "mailto"}
HIGHEST_HEADING = 3  # the page's own title and sections stand above


def _reader() -> MarkdownIt:
    # A picture in the text would be fetched from another site: none are let through.
    reader = MarkdownIt("commonmark", {"html": False, "breaks": True})
    return reader.enable(["table", "strikethrough"]).disable("image")


_READER = _reader()


def _lower_headings(tokens: list[Token]) -> None:
    for token in tokens:
        if token.type in ("heading_open", "heading_close"):
            token.tag = f"h{min(6, int(token.tag[1]) + HIGHEST_HEADING - 1)}"


def prose(text: str) -> SafeString:
    """The text as HTML without script, style, pictures or classes; its headings start at h3.

    >>> prose("Ribbands **on**, one <b>split</b>.")
    '<p>Ribbands <strong>on</strong>, one &lt;b&gt;split&lt;/b&gt;.</p>\\n'
    """
    tokens = _READER.parse(text)
    _lower_headings(tokens)
    html = _READER.renderer.render(tokens, _READER.options, {})
    clean = nh3.clean(
        html,
        tags=TAGS,
        attributes={"*": set(), "a": {"href"}, "ol": {"start"}},
        url_schemes=SCHEMES,
        link_rel="nofollow noopener noreferrer",
    )
    return mark_safe(clean)  # noqa: S308 - it has just been cleaned
