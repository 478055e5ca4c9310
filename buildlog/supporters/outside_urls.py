"""The addresses of the public page, once for outsiders and once for the owner's preview."""

from __future__ import annotations

from collections.abc import Callable

from django.urls import URLPattern, path

from buildlog.supporters.guards import View, for_outsiders, for_preview
from buildlog.supporters.views import outside


def patterns(guard: Callable[[View], View]) -> list[URLPattern]:
    return [
        path("", guard(outside.page), name="page"),
        path("feed.atom", guard(outside.feed), name="feed"),
        path("updates/", guard(outside.updates), name="updates"),
        path("updates/<int:pk>/", guard(outside.update), name="update"),
        path("photos/", guard(outside.photos), name="photos"),
        path("photos/<int:pk>/", guard(outside.photo), name="photo"),
        path("photos/<int:pk>/<int:long_side>.webp", guard(outside.photo_file), name="photo-file"),
    ]


for_all = (patterns(for_outsiders), "outside")
for_owner = (patterns(for_preview), "preview")
