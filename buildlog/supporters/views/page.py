"""The owner's side of the public page: what is on it, its address, the switch."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from buildlog.supporters import showing
from buildlog.supporters.forms import AddressForm, PageForm
from buildlog.supporters.models import PublicPage
from tasks.access import in_build
from tasks.models import Build


def page_of_build(build: Build) -> PublicPage:
    """The build's page; made, switched off, when it is first asked for."""
    page, _ = PublicPage.objects.get_or_create(build=build)
    page.build = build
    return page


def _page(
    request: HttpRequest, build: Build, page: PublicPage, status: int = 200, **more: object
) -> HttpResponse:
    outside = reverse("outside:page", args=[page.address])
    context = {
        "build": build,
        "sheet": "Public page",
        "page": page,
        "switched_on": showing.is_shown(page),
        "address": request.build_absolute_uri(outside),
        "form": PageForm(instance=page),
        "address_form": AddressForm(instance=page),
        "acts": build.showings.select_related("by", "update", "photo", "page")[:30],
    }
    return render(request, "supporters/public-page.html", context | more, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@in_build("share")
def public_page(request: HttpRequest, build: Build) -> HttpResponse:
    page = page_of_build(build)
    if request.method != "POST":
        return _page(request, build, page)
    form = PageForm(request.POST, instance=page)
    if not form.is_valid():
        return _page(request, build, page_of_build(build), status=422, form=form)
    form.save()
    messages.success(request, "Saved.")
    return redirect("public-page", build.slug)


@require_POST
@in_build("share")
def new_address(request: HttpRequest, build: Build) -> HttpResponse:
    form = AddressForm(request.POST, instance=page_of_build(build))
    if not form.is_valid():
        return _page(request, build, page_of_build(build), status=422, address_form=form)
    form.save()
    messages.success(request, "The page has its new address; the old one no longer works.")
    return redirect("public-page", build.slug)


@require_POST
@in_build("share")
def switch(request: HttpRequest, build: Build, shown: bool) -> HttpResponse:
    page = page_of_build(build)
    act = showing.show if shown else showing.take_back
    if act(page, request.user, timezone.now()):
        undo = reverse("switch-page-off" if shown else "switch-page-on", args=[build.slug])
        done = "on: whoever has its address sees it" if shown else "off: nobody outside sees it"
        messages.success(request, f"The page is {done}.", extra_tags=f"undo={undo}")
    return redirect("public-page", build.slug)
