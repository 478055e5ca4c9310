"""In and out."""

from __future__ import annotations

from django.contrib.auth.views import LoginView, LogoutView

from buildlog.door.forms import SignInForm

# Django's own: `next` is checked, the session gets a new key, wrong passwords are counted.
sign_in = LoginView.as_view(
    template_name="door/sign-in.html",
    authentication_form=SignInForm,
    extra_context={"sheet": "Sign in"},
)
sign_out = LogoutView.as_view(next_page="sign-in")
