from __future__ import annotations

from django import template
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from buildlog.journal.models import Photo
from tasks.models import Build

register = template.Library()
SMALL = 320


@register.simple_tag
def thumb(build: Build, photo: Photo) -> SafeString:
    """The small copy of a photo, for the crew; its copies are at hand (prefetched)."""
    copy = next((copy for copy in photo.renditions.all() if copy.long_side == SMALL), None)
    if copy is None:
        return format_html('<span class="no-copy">{}</span>', "Its copy is being made.")
    return format_html(
        '<img src="{}" width="{}" height="{}" alt="{}" loading="lazy">',
        reverse("rendition", args=[build.slug, photo.pk, SMALL]),
        copy.width,
        copy.height,
        photo.caption or f"A photo of {photo.taken_at:%d.%m.%Y}",
    )
