import getpass
import secrets
import sys

from axes.utils import reset as forget_wrong_passwords
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from buildlog.door.sessions import sign_out_everywhere
from tasks.models import Person


class Command(BaseCommand):
    help = (
        "Give somebody a new password, lift the pause after wrong ones, and end their sign-ins. "
        "Asks for the password, or makes one with --make."
    )

    def add_arguments(self, parser):
        parser.add_argument("name", help="the sign-in name")
        parser.add_argument("--make", action="store_true", help="make a password and print it")

    def handle(self, *args, name: str, make: bool, **options) -> None:
        person = self.person(name)
        password = secrets.token_urlsafe(12) if make else self.ask(person)
        person.set_password(password)
        person.save(update_fields=["password"])
        forget_wrong_passwords(username=person.username)
        sign_out_everywhere(person)
        self.stdout.write(
            f"{person.username}: the new password is set; every device is signed out."
        )
        if make:
            self.stdout.write(f"Password: {password}")

    def person(self, name: str) -> Person:
        try:
            return Person.objects.get(username=name)
        except Person.DoesNotExist:
            names = ", ".join(
                Person.objects.order_by("username").values_list("username", flat=True)
            )
            raise CommandError(
                f"Nobody signs in as “{name}”. Sign-in names: {names or 'none yet'}."
            ) from None

    def ask(self, person: Person) -> str:
        if not sys.stdin.isatty():
            raise CommandError("There is no terminal to ask at. Use --make to have one made.")
        password = getpass.getpass("New password: ")
        if password != getpass.getpass("Again: "):
            raise CommandError("The two are not the same; nothing was changed.")
        try:
            validate_password(password, person)
        except ValidationError as problem:
            raise CommandError(" ".join(problem.messages)) from None
        return password
