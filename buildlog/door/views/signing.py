"""In and out."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse

from buildlog.door.forms import SignInForm

# Django's own: `next` is checked, the session gets a new key, wrong passwords are counted.
sign_in = LoginView.as_view(
    template_name="door/sign-in.html",
    authentication_form=SignInForm,
    extra_context={"sheet": "Sign in"},
)


class SignOut(LogoutView):
    next_page = "sign-in"

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        return forget_pages(super().post(request, *args, **kwargs))


def forget_pages(response: HttpResponse) -> HttpResponse:
    """Have the browser drop the pages it kept: its Back button must not show them after this.

    Only those: what somebody typed in the shed and could not send yet lies elsewhere, and stays.
    """
    response["Clear-Site-Data"] = '"cache"'
    return response


sign_out = SignOut.as_view()
