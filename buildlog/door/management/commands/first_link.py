from django.core.management.base import BaseCommand, CommandError
from django.urls import reverse

from buildlog.door.first import open_first_link


class Command(BaseCommand):
    help = "Print a new one-time link that makes the owner's account, where none exists yet."

    def add_arguments(self, parser):
        parser.add_argument(
            "--at",
            default="http://127.0.0.1:8000",
            help="the address at which the program is served (default: %(default)s)",
        )

    def handle(self, *args, at: str, **options) -> None:
        token = open_first_link()
        if token is None:
            raise CommandError(
                "There is an account already. Who forgot a password gets a new one by: "
                "manage.py reset_password NAME"
            )
        self.stdout.write(at.rstrip("/") + reverse("first", args=[token]))
