"""The sheets of a build that stand in the title block, and who may open each."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse

from tasks.models import Build, Crew


@dataclass(frozen=True, slots=True)
class Sheet:
    """`also` names the first parts of addresses that belong to this sheet but lie beside it."""

    url_name: str
    label: str
    right: str
    also: tuple[str, ...] = ()


SHEETS = (
    Sheet("bench", "Bench", "look"),
    Sheet("plan", "Plan", "look", ("tasks", "stages", "hours", "links")),
    Sheet("materials", "Materials", "look", ("parts", "stock", "purchases", "suppliers")),
    Sheet("money", "Money", "see-money"),
    Sheet("log", "Log", "look"),
    Sheet("photos", "Photos", "look"),
    Sheet("supporters", "Supporters", "share"),
    Sheet("lists", "Lists", "look"),
)


@dataclass(frozen=True, slots=True)
class Way:
    label: str
    url: str
    current: str  # "page", "true" or "", as aria-current wants it


def ways_around(build: Build, crew: Crew, path: str) -> list[Way]:
    """The sheets this crew may open, the one that `path` lies on marked."""
    home = reverse("bench", args=[build.slug])
    first = path.removeprefix(home).split("/", 1)[0] if path.startswith(home) else ""
    ways = []
    for sheet in SHEETS:
        if not crew.may(sheet.right):
            continue
        url = reverse(sheet.url_name, args=[build.slug])
        own = url.removeprefix(home).strip("/")
        current = "page" if path == url else "true" if first in {own, *sheet.also} - {""} else ""
        ways.append(Way(sheet.label, url, current))
    return ways
