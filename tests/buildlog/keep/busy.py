"""A program that keeps and removes files all the time: `python -m tests.buildlog.keep.busy`.

In each transaction a stage and a file of the same name come, or go. So in any true picture of
one moment the two sets of names are the same.
"""

from __future__ import annotations

import os
import secrets
import signal
import sys
import time

import django


def work(first: int) -> None:
    from django.core.files.base import ContentFile
    from django.db import transaction

    from buildlog.files import store
    from buildlog.files.models import StoredFile
    from tasks.models import Build, Stage

    build, _ = Build.objects.get_or_create(slug="busy", defaults={"name": "Busy"})
    ending: list[int] = []
    signal.signal(signal.SIGTERM, lambda *_: ending.append(1))
    number = first
    while not ending:
        number += 1
        name = f"{number}.bin"
        with transaction.atomic():
            Stage.objects.create(build=build, name=name, order=number)
            store.keep(build, ContentFile(secrets.token_bytes(20_000), name=name))
        if number % 3 == 0:
            with transaction.atomic():
                old = StoredFile.objects.order_by("?").first()
                Stage.objects.filter(name=old.name).delete()
                old.delete()
        if number == first + 20:
            print("busy", flush=True)
        # SQLite's lock has no queue: who never lets go of it can starve all others.
        time.sleep(0.01)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "buildlog.settings")
    django.setup()
    work(int(sys.argv[1]))
