"""Text in Markdown, as the builder types it, made safe to show on a page."""

from __future__ import annotations

import nh3
from django.utils.safestring import SafeString, mark_safe
from markdown_it import MarkdownIt

# CommonMark with tables; a line broken while typing stays broken. No HTML, no pictures: those
# are photos of the build, not addresses of somewhere else.
_READER = MarkdownIt("commonmark", {"html": False, "breaks": True})
_READER.enable(["table", "strikethrough"]).disable(["image", "html_block", "html_inline"])

_TAGS = {
    "p", "br", "hr", "em", "strong", "s", "code", "pre", "blockquote", "ul", "ol", "li", "a",
    "h3", "h4", "h5", "h6", "table", "thead", "tbody", "tr", "th", "td",
}  # fmt: skip
_ATTRIBUTES = {"a": {"href", "title"}, "ol": {"start"}}
_SCHEMES = {"http", "https", "mailto"}
_HEADINGS_DOWN = 2  # the page has its own first two levels


def to_html(text: str) -> SafeString:
    """The text as HTML that holds nothing but words and their order.

    >>> str(to_html("*Glued* the keelson.")).strip()
    '<p><em>Glued</em> the keelson.</p>'
    """
    tokens = _READER.parse(text)
    for token in tokens:
        if token.type in ("heading_open", "heading_close"):
            token.tag = f"h{min(6, int(token.tag[1]) + _HEADINGS_DOWN)}"
    html = _READER.renderer.render(tokens, _READER.options, {})
    clean = nh3.clean(
        html,
        tags=_TAGS,
        attributes=_ATTRIBUTES,
        url_schemes=_SCHEMES,
        link_rel="noopener noreferrer nofollow",
    )
    return mark_safe(clean)  # noqa: S308  nh3 has just made it so
