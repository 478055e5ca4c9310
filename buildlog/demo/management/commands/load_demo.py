from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from buildlog.demo.load import load
from tasks.models import Person


class Command(BaseCommand):
    help = "Load the invented build Marram. Loading it again does no harm."

    def handle(self, *args: Any, **options: Any) -> None:
        owner = Person.objects.filter(is_active=True).order_by("pk").first()
        build, is_new = load(owner)
        word = "is loaded" if is_new else "was loaded already"
        self.stdout.write(f"The demo build {build} {word}.")
