"""Forms of rows with a name: safe in two tabs, and against a second click on Save."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import models
from django.http import HttpRequest

from tasks.changes import alone_on
from tasks.forms.fields import TwoTabsForm
from tasks.models import Build


class NamedForm(TwoTabsForm):
    """A row of a build known by its name. A second click on Save finds what the first made."""

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())

    def twin(self) -> models.Model | None:
        """The row that says exactly what this new one says, where that is all that is wrong."""
        if self.instance.pk or set(self.errors) != {"__all__"}:
            return None
        known = type(self.instance)._default_manager.filter(
            build=self.instance.build, name=self.instance.name
        )
        return next((row for row in known if self._says(row) == self._says(self.instance)), None)

    def _says(self, row: models.Model) -> list[Any]:
        return [row.serializable_value(name) for name in self._meta.fields or ()]


@contextmanager
def alone_if_sent(request: HttpRequest, build: Build) -> Iterator[Build]:
    """For a form that was sent: a transaction in which nobody else changes the build."""
    if request.method == "POST":
        with alone_on(build) as fresh:
            yield fresh
    else:
        yield build
