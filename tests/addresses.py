"""Every address the project answers to, with its parameters filled in."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from django.urls import URLPattern, URLResolver, get_resolver
from django.utils.regex_helper import normalize


@dataclass(frozen=True)
class Address:
    name: str
    url: str


def every_address(values: Mapping[str, Iterable[object]]) -> list[Address]:
    """All addresses; a parameter takes each of the values given for its name.

    Raises KeyError for a parameter that has none: a new kind of address must be given one, so
    that none is left out by oversight.
    """
    return sorted(set(_walk(get_resolver().url_patterns, [("", [])], "", values)), key=str)


def _walk(
    patterns: Iterable[URLPattern | URLResolver],
    begun: list[tuple[str, list[str]]],
    space: str,
    values: Mapping[str, Iterable[object]],
) -> Iterator[Address]:
    for pattern in patterns:
        forms = normalize(pattern.pattern.regex.pattern.replace(r"\Z", "").replace(r"\z", ""))
        joined = [(a + b, p + q) for (a, p), (b, q) in itertools.product(begun, forms)]
        if isinstance(pattern, URLResolver):
            inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
            yield from _walk(pattern.url_patterns, joined, inner, values)
            continue
        for text, names in joined:
            for chosen in itertools.product(*(values[name] for name in names)):
                filled = text % dict(zip(names, chosen, strict=True))
                yield Address(space + (pattern.name or pattern.lookup_str), f"/{filled}")
