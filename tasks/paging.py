"""Long lists, a page at a time. A template shows the links with `parts/pager.html`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import HttpRequest


@dataclass(frozen=True, slots=True)
class Step:
    """A link of the pager. A gap has no number."""

    number: int | None
    url: str = ""


@dataclass(frozen=True, slots=True)
class Neighbours:
    previous: str
    next: str


class AddressedPage(Page):
    """A page that knows its neighbours' addresses, whatever else the query string asks for."""

    address: Neighbours
    steps: list[Step]


class AddressedPaginator(Paginator):
    def _get_page(self, *args: Any, **kwargs: Any) -> AddressedPage:
        return AddressedPage(*args, **kwargs)


def page_of(
    request: HttpRequest, rows: QuerySet[Any] | Sequence[Any], per: int = 50, name: str = "page"
) -> AddressedPage:
    """The page of `rows` that the query string asks for; the nearest there is if it asks badly."""
    paginator = AddressedPaginator(rows, per)
    page: AddressedPage = paginator.get_page(request.GET.get(name))  # type: ignore[assignment]

    def address(number: int) -> str:
        query = request.GET.copy()
        query[name] = str(number)
        return f"?{query.urlencode()}"

    page.address = Neighbours(
        previous=address(page.number - 1) if page.has_previous() else "",
        next=address(page.number + 1) if page.has_next() else "",
    )
    elided = paginator.get_elided_page_range(page.number, on_each_side=1, on_ends=1)
    page.steps = [
        Step(number, address(number)) if isinstance(number, int) else Step(None)
        for number in elided
    ]
    return page
