from django.contrib.auth.models import AbstractUser
from django.db import models


class Person(AbstractUser):
    """Someone who signs in. What they may do depends on the build: see `Crew`."""

    first_name = None  # type: ignore[assignment]
    last_name = None  # type: ignore[assignment]
    name = models.CharField("name", max_length=120, blank=True)

    REQUIRED_FIELDS: list[str] = []  # type: ignore[misc]

    def __str__(self) -> str:
        return self.name or self.username

    def get_full_name(self) -> str:
        return self.name

    def get_short_name(self) -> str:
        return self.name or self.username
