"""Sessions in the database, each with the person it belongs to."""

from __future__ import annotations

from typing import Any

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore as DatabaseStore

from tasks.models import Person


class SessionStore(DatabaseStore):
    @classmethod
    def get_model_class(cls) -> type:
        from buildlog.door.models import SignIn

        return SignIn

    def create_model_instance(self, data: dict[str, Any]) -> Any:
        row: Any = super().create_model_instance(data)
        key = data.get(SESSION_KEY)
        row.person_key = int(key) if key else None
        return row


def sign_out_everywhere(person: Person) -> int:
    """End all of a person's sessions, on every device. Gives how many there were."""
    from buildlog.door.models import SignIn

    return SignIn.objects.filter(person_key=person.pk).delete()[0]
