"""`{% load pictures %}{% picture photo "(min-width: 62rem) 50vw, 100vw" %}`"""

from __future__ import annotations

from typing import Any

from django import template
from django.urls import reverse

from buildlog.journal.models import Photo, Rendition

register = template.Library()


def address(slug: str, made: Rendition) -> str:
    return reverse("photo-rendition", args=[slug, made.photo_id, made.long_side, made.sha256])


@register.inclusion_tag("journal/_picture.html")
def picture(
    photo: Photo, slug: str, sizes: str = "160px", most: int = 1600, eager: str = ""
) -> dict[str, Any]:
    """A photo's renditions up to `most` pixels, or a place kept for them until they are made.

    Costs no query where the photo's renditions and tasks were prefetched.
    """
    made = [r for r in photo.renditions.all() if r.long_side <= most]
    if not made or not photo.is_ready:
        return {"photo": photo, "waiting": True}
    largest = made[-1]
    by_width = {r.width: address(slug, r) for r in reversed(made)}  # small ones may be equal
    return {
        "photo": photo,
        "src": address(slug, made[min(1, len(made) - 1)]),
        "srcset": ", ".join(f"{url} {width}w" for width, url in sorted(by_width.items())),
        "sizes": sizes,
        "width": largest.width,
        "height": largest.height,
        "eager": eager,
    }
