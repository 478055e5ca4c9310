"""`{% load prose %}{{ entry.text|prose }}`: Markdown as safe HTML."""

from __future__ import annotations

import html

from django import template
from django.utils.html import strip_tags
from django.utils.safestring import SafeString
from django.utils.text import Truncator

from buildlog.journal.prose import to_html

register = template.Library()


@register.filter
def prose(text: str) -> SafeString:
    return to_html(text or "")


@register.filter
def first_words(text: str) -> str:
    """The beginning of a text in Markdown, as plain words."""
    plain = " ".join(strip_tags(to_html(text or "")).split())
    return Truncator(html.unescape(plain)).chars(180)
