from __future__ import annotations

import pytest
from django.test import Client


@pytest.fixture
def fields():
    """What a person sees in a form: the fields of the page's form, as a browser would post them."""

    def read(response, name: str = "form") -> dict[str, str]:
        form = response.context[name]
        values = {}
        for field in form:
            value = field.value()
            if value is None or value is False:  # a nought is shown and sent
                continue
            widget_value = field.field.widget.format_value(value)
            if isinstance(widget_value, (list, tuple)):
                widget_value = widget_value[0] if widget_value else ""
            shown = "on" if value is True else widget_value
            values[field.html_name] = "" if shown is None else str(shown)
        return values

    return read


@pytest.fixture
def by_owner(owner, as_person) -> Client:
    return as_person(owner)


@pytest.fixture
def by_planner(planner, as_person) -> Client:
    return as_person(planner)
