from __future__ import annotations

import datetime as dt

from django import forms
from django.contrib.auth.forms import (
    AuthenticationForm,
    BaseUserCreationForm,
    PasswordChangeForm,
)

from buildlog.door.models import ApiToken, Invitation
from tasks.models import Crew, Person

PASSWORD_HINT = (
    "At least ten characters, not only numbers, not a common one. A few words in a row do well."  # noqa: S105
)


class SignInForm(AuthenticationForm):
    template_name_div = template_name = "door/sign-in-form.html"

    # One message for a wrong name and a wrong password: it tells nobody which names exist.
    error_messages = {
        "invalid_login": "This name and password do not belong together. Check both; "
        "capitals count.",
        "inactive": "This name and password do not belong together. Check both; capitals count.",
    }

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "Sign-in name"


class AccountForm(BaseUserCreationForm):
    """Makes an account: a sign-in name, the name others see, a password."""

    class Meta:
        model = Person
        fields = ["name", "username"]

    error_messages = {"password_mismatch": "The two passwords are not the same."}

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].label = "Your name"
        self.fields["name"].required = True
        self.fields["name"].help_text = "As the crew knows you; it stands by what you log."
        self.fields["name"].widget.attrs["autocomplete"] = "name"
        self.fields["username"].label = "Sign-in name"
        self.fields["username"].help_text = "Letters, digits and . + - _ @, without spaces."
        self.fields["username"].widget.attrs.pop("autofocus", None)
        self.fields["password1"].help_text = PASSWORD_HINT
        self.fields["password2"].label = "Password again"
        self.fields["password2"].help_text = ""

    def clean_username(self) -> str:
        username = self.cleaned_data["username"]
        if Person.objects.filter(username__iexact=username).exists():
            raise forms.ValidationError("Somebody signs in with this name already. Take another.")
        return username


class NameForm(forms.ModelForm):
    class Meta:
        model = Person
        fields = ["name"]

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].label = "Your name"
        self.fields["name"].required = True
        self.fields["name"].widget.attrs["autocomplete"] = "name"


class NewPasswordForm(PasswordChangeForm):
    error_messages = {
        "password_incorrect": "This is not your present password.",
        "password_mismatch": "The two passwords are not the same.",
    }

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["old_password"].label = "Present password"
        self.fields["old_password"].widget.attrs.pop("autofocus", None)
        self.fields["new_password1"].help_text = PASSWORD_HINT
        self.fields["new_password2"].label = "New password again"
        self.fields["new_password2"].help_text = ""


class TokenForm(forms.ModelForm):
    class Meta:
        model = ApiToken
        fields = ["name"]
        widgets = {"name": forms.TextInput(attrs={"autocomplete": "off"})}


class PlaceForm(forms.ModelForm):
    """What one of the crew may do."""

    class Meta:
        model = Crew
        fields = ["role", "sees_money"]
        labels = {"role": "May"}


class InviteForm(forms.ModelForm):
    days = forms.TypedChoiceField(
        label="Works for",
        coerce=int,
        choices=[(1, "one day"), (7, "a week"), (30, "a month")],
        initial=7,
    )

    class Meta:
        model = Invitation
        fields = ["note", "role", "sees_money"]

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["note"].help_text = "For your own list; they do not see it."

    def until(self, now: dt.datetime) -> dt.datetime:
        return now + dt.timedelta(days=self.cleaned_data["days"])
