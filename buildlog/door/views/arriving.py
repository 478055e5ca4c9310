"""The two one-time links by which somebody comes to have an account: first run, invitation."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from buildlog.door import crew
from buildlog.door.first import LinkGone, first_link_works, use_first_link
from buildlog.door.forms import AccountForm
from buildlog.door.models import Invitation
from tasks.models import Person

BACKEND = "django.contrib.auth.backends.ModelBackend"


def link_gone(request: HttpRequest) -> HttpResponse:
    """One answer for a link never made, used, or past its time."""
    return render(request, "door/link-gone.html", {"sheet": "Link"}, status=404)


@login_not_required
@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def first(request: HttpRequest, token: str) -> HttpResponse:
    if request.user.is_authenticated:  # the second of two clicks
        return redirect("front")
    if not first_link_works(token):
        return link_gone(request)
    form = AccountForm(request.POST or None)
    if form.is_valid():
        try:
            person = use_first_link(token, form.save, timezone.now())
        except LinkGone:
            return link_gone(request)
        login(request, person, backend=BACKEND)
        messages.success(request, f"Welcome, {person}. You are signed in.")
        return redirect("front")
    return render(request, "door/first.html", {"form": form, "sheet": "First run"})


@login_not_required
@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def join(request: HttpRequest, token: str) -> HttpResponse:
    """Join the crew as who is signed in, or with a new account."""
    found = Invitation.objects.of_token(token).select_related("build", "made_by")
    invitation = found.open(timezone.now()).first()
    if invitation is None:
        used_by_me = request.user.is_authenticated and found.filter(used_by=request.user).first()
        # The second of two clicks: they are in already.
        return redirect("bench", used_by_me.build.slug) if used_by_me else link_gone(request)
    signed_in = request.user.is_authenticated
    form = None if signed_in else AccountForm(request.POST or None)
    if request.method == "POST" and (signed_in or form.is_valid()):
        try:
            person = _join(request, invitation, form)
        except LinkGone:
            return link_gone(request)
        if not signed_in:
            login(request, person, backend=BACKEND)
        messages.success(request, f"You are one of the crew of {invitation.build}.")
        return redirect("bench", invitation.build.slug)
    context = {"form": form, "invitation": invitation, "sheet": "Joining"}
    return render(request, "door/join.html", context)


@transaction.atomic
def _join(request: HttpRequest, invitation: Invitation, form: AccountForm | None) -> Person:
    """The account and the place are made together or not at all."""
    person = request.user if form is None else form.save()
    crew.join(invitation, person, timezone.now())
    return person
