"""A person's own page: name, password, API tokens, sign-ins."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth import logout, update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST, require_safe

from buildlog.door.api_auth import make_token
from buildlog.door.forms import NameForm, NewPasswordForm, TokenForm
from buildlog.door.sessions import sign_out_everywhere
from buildlog.door.views.signing import forget_pages
from tasks.models import Person


def _page(request: HttpRequest, status: int = 200, **more: Any) -> HttpResponse:
    context = {
        "sheet": "My page",
        "name_form": NameForm(instance=request.user),
        "password_form": NewPasswordForm(request.user),
        "token_form": TokenForm(auto_id="token_%s"),
        "tokens": request.user.api_tokens.all(),
        "places": request.user.crew_of.select_related("build"),
    }
    return render(request, "door/me.html", context | more, status=status)


@never_cache
@require_safe
def me(request: HttpRequest) -> HttpResponse:
    return _page(request)


@require_POST
def save_name(request: HttpRequest) -> HttpResponse:
    # The form writes into its instance even when wrong; the page must go on showing the old name.
    form = NameForm(request.POST, instance=Person.objects.get(pk=request.user.pk))
    if not form.is_valid():
        return _page(request, status=422, name_form=form)
    form.save()
    messages.success(request, "Your name is saved.")
    return redirect("me")


@sensitive_post_parameters()
@require_POST
def save_password(request: HttpRequest) -> HttpResponse:
    form = NewPasswordForm(request.user, request.POST)
    if not form.is_valid():
        return _page(request, status=422, password_form=form)
    form.save()
    update_session_auth_hash(request, form.user)
    messages.success(request, "Your password is changed. Other devices are signed out.")
    return redirect("me")


@never_cache
@require_POST
def add_token(request: HttpRequest) -> HttpResponse:
    form = TokenForm(request.POST, auto_id="token_%s")
    if not form.is_valid():
        return _page(request, status=422, token_form=form)
    # Shown in this answer and nowhere else: only the hash is kept.
    row, token = make_token(request.user, form.cleaned_data["name"])
    return _page(request, new=row, token=token)


@require_POST
def revoke_token(request: HttpRequest, pk: int) -> HttpResponse:
    token = get_object_or_404(request.user.api_tokens, pk=pk)
    token.delete()
    messages.success(request, f"The token “{token}” no longer works.")
    return redirect("me")


@require_POST
def leave_all_devices(request: HttpRequest) -> HttpResponse:
    sign_out_everywhere(request.user)
    logout(request)
    messages.success(request, "You are signed out on every device.")
    return forget_pages(redirect("sign-in"))
