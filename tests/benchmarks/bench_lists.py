"""How long it takes to bring in long lists, as multiples of a bare `bulk_create` of their rows.

Run by hand: `python -m tests.benchmarks.bench_lists [rows]`, on a database of its own that is
thrown away. Looking is reading the file, understanding each cell and holding each row against the
build; writing is what comes after the builder has said yes.
"""

from __future__ import annotations

import os
import random
import sys
import tempfile
import time
from collections.abc import Iterator

from tests.benchmarks.timing import best_of


def lists(rows: int) -> Iterator[tuple[str, str]]:
    """Kind and content of one list of each long kind."""
    chance = random.Random(7)
    yield (
        "tasks",
        "id,stage,task,low h,likely h,high h,hands,unbroken,cure h,notes\n"
        + "".join(
            f"T{n},Stage {n // 250},Task {n},{n % 5 + 1},{n % 5 + 2.5},{n % 5 + 4},1,no,24,\n"
            for n in range(rows)
        ),
    )
    yield (
        "links",
        "before,after,kind,lag h\n"
        + "".join(f"T{n},T{n + 1 + chance.randrange(5)},,0\n" for n in range(rows - 6)),
    )
    yield (
        "parts",
        "part,task,material,count,length,width\n"
        + "".join(f'P{n},T{n},Ply,2,{n % 90 + 1} {n % 8}/8",{n % 40}.5 in\n' for n in range(rows)),
    )
    yield (
        "log",
        "date,task,person,hours,text\n"
        + "".join(f"2026-03-{n % 28 + 1:02},T{n},Bo,1.5,Line {n}\n" for n in range(rows)),
    )


def main(rows: int) -> None:
    os.environ["DJANGO_SETTINGS_MODULE"] = "buildlog.settings"
    os.environ["BUILDLOG_DATA"] = tempfile.mkdtemp()
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import transaction

    from buildlog.lists import taking
    from buildlog.lists.answers import Answers
    from buildlog.lists.bringing import look, write
    from buildlog.lists.kinds import KINDS
    from tasks.models import Build, Crew, Person, Role, Stage, Task

    call_command("migrate", verbosity=0)
    person = Person.objects.create_user("owner")
    build = Build.objects.create(name="Bench", slug="bench")
    Crew.objects.create(build=build, person=person, role=Role.OWNER)
    build.materials.create(name="Ply", kind="sheet", unit="sheet")  # type: ignore[attr-defined]

    other = Build.objects.create(name="Other", slug="other")
    stage = Stage.objects.create(build=other, name="Stage")

    def bare() -> None:
        with transaction.atomic():
            new = [Task(build=other, stage=stage, code=f"{n}", name="Task") for n in range(rows)]
            Task.objects.bulk_create(new, batch_size=500)
            transaction.set_rollback(True)

    unit = best_of(bare, 3, time.perf_counter)
    print(f"{rows} rows; bare bulk_create of as many tasks: {unit:.2f} s")
    for key, text in lists(rows):
        kind, content = KINDS[key], text.encode()
        new = best_of(lambda: look(build, person, kind, content, Answers()), 3, time.perf_counter)  # noqa: B023
        begun = time.perf_counter()
        with transaction.atomic():
            done = write(look(build, person, kind, content, Answers()), kind)
        wrote = time.perf_counter() - begun - new
        again = best_of(lambda: look(build, person, kind, content, Answers()), 3, time.perf_counter)  # noqa: B023
        out = best_of(lambda: taking.csv_of(build, kind, money=True), 3, time.perf_counter)  # noqa: B023
        print(
            f"{key:6} {done.new:6} new: look {new / unit:4.1f}, write {wrote / unit:4.1f}, "
            f"look again {again / unit:4.1f}, out as CSV {out / unit:4.1f}"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
