"""How long the plan of a large build takes, as multiples of only reading its rows.

Run by hand: `python -m tests.benchmarks.bench_plan`. It makes a database of its own, with 3,000
tasks, 7,500 links and 5,000 rows of work. Times are the best of several runs in this process.
"""

from __future__ import annotations

import datetime as dt
import os
import random
import tempfile
from typing import Any

from tests.benchmarks.timing import best_of

TASKS, LINKS, WORKS, RUNS = 3_000, 7_500, 5_000, 7
NOW = dt.datetime(2026, 11, 13, 19, tzinfo=dt.UTC)


def make_build() -> Any:
    from tasks.models import Build, Link, ShopHours, Stage, Task, Work

    rng = random.Random(1)
    build = Build.objects.create(name="Large", slug="large", time_zone="Europe/Paris")
    hours = [(day, 18 * 60, 21 * 60) for day in range(5)] + [(5, 9 * 60, 17 * 60)]
    ShopHours.objects.bulk_create(
        ShopHours(build=build, weekday=day, start_minute=start, end_minute=end)
        for day, start, end in hours
    )
    stages = Stage.objects.bulk_create(
        Stage(build=build, name=f"Stage {n}", order=n) for n in range(20)
    )
    tasks = []
    for n in range(TASKS):
        likely = rng.choice([60, 120, 240])
        begun = NOW - dt.timedelta(days=700 - n / 2) if n < TASKS * 0.3 else None
        tasks.append(
            Task(
                build=build, stage=stages[n * 20 // TASKS], code=f"T{n}", name=f"Task {n}",
                order=n, low_minutes=60, likely_minutes=likely, high_minutes=400,
                cure_minutes=rng.choice([0, 0, 0, 1440]), unbroken=rng.random() < 0.1,
                started_at=begun, finished_at=begun and begun + dt.timedelta(hours=5),
            )
        )  # fmt: skip
    tasks = Task.objects.bulk_create(tasks)
    pairs: set[tuple[int, int]] = set()
    while len(pairs) < LINKS:
        before = rng.randrange(TASKS - 1)
        pairs.add((before, min(TASKS - 1, before + rng.randint(1, 60))))
    Link.objects.bulk_create(
        Link(build=build, before=tasks[before], after=tasks[after])
        for before, after in sorted(pairs)
    )
    Work.objects.bulk_create(
        Work(build=build, task=rng.choice(tasks[:900]), who="O", day=NOW.date(), minutes=60)
        for _ in range(WORKS)
    )
    return build


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        os.environ["BUILDLOG_DATA"] = folder
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "buildlog.settings")
        import django

        django.setup()
        from django.core.cache import cache
        from django.core.management import call_command

        from tasks.plan import plan_of
        from tasks.plan_rows import read_rows

        call_command("migrate", verbosity=0)
        build = make_build()

        def uncached() -> None:
            cache.clear()
            plan_of(build, NOW)

        baseline = best_of(lambda: read_rows(build), RUNS)
        print(f"reading the rows: {baseline * 1000:.0f} ms, the baseline")
        for name, run in (
            ("plan, made anew", uncached),
            ("plan, from the cache", lambda: plan_of(build, NOW)),
        ):
            taken = best_of(run, RUNS)
            print(f"{name}: {taken * 1000:.0f} ms, {taken / baseline:.2f} times the baseline")


if __name__ == "__main__":
    main()
