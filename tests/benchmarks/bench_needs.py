"""How long the needs of a large build take, as multiples of only reading their rows.

Run by hand: `python -m tests.benchmarks.bench_needs`. It makes a database of its own, with 3,000
parts of 60 materials in 600 tasks and a ledger of 3,000 rows. Times are the best of several runs
in this process.
"""

from __future__ import annotations

import datetime as dt
import os
import random
import tempfile
from collections.abc import Callable
from typing import Any

from tests.benchmarks.timing import best_of

PARTS, MATERIALS, TASKS, MOVES, RUNS = 3_000, 60, 600, 3_000, 5
DAY = dt.date(2026, 11, 13)


def make_build() -> Any:
    from buildlog.materials.models import Material, Part, Price, StockMove
    from tasks.models import Build, ShopHours, Stage, Task

    rng = random.Random(1)
    build = Build.objects.create(name="Large", slug="large", time_zone="Europe/Paris")
    ShopHours.objects.create(build=build, weekday=5, start_minute=540, end_minute=1020)
    stage = Stage.objects.create(build=build, name="Frames")
    tasks = Task.objects.bulk_create(
        Task(build=build, stage=stage, code=f"T{n}", name=f"Task {n}", order=n)
        for n in range(TASKS)
    )
    forms: list[dict[str, Any]] = [
        {"kind": "sheet", "unit": "sheet", "length_mm": 2500, "width_mm": 1220, "thickness_mm": 9},
        {"kind": "timber", "unit": "length", "length_mm": 4000, "width_mm": 95, "thickness_mm": 45},
        {"kind": "resin", "unit": "kg", "pack": 6, "areal_weight": 260},
    ]
    materials = Material.objects.bulk_create(
        Material(build=build, name=f"Material {n}", **forms[n % 3]) for n in range(MATERIALS)
    )
    Part.objects.bulk_create(
        Part(
            build=build, name=f"Part {n}", material=rng.choice(materials), task=rng.choice(tasks),
            count=rng.choice([1, 2, 4]), length_mm=rng.randint(200, 2400),
            width_mm=rng.randint(40, 1100), grain=rng.choice(["any", "along"]),
        )
        for n in range(PARTS)
    )  # fmt: skip
    Price.objects.bulk_create(
        Price(material=one, day=DAY, net=rng.randint(5, 200), currency="EUR") for one in materials
    )
    StockMove.objects.bulk_create(
        StockMove(build=build, material=rng.choice(materials), day=DAY, kind="bought", quantity=1)
        for _ in range(MOVES)
    )
    return build


def main() -> None:
    from django.core.cache import cache
    from django.core.management import call_command

    from buildlog.materials.models import Material, Part, Price
    from buildlog.materials.need import needs_of
    from buildlog.materials.ordering import orders_of
    from buildlog.materials.stock import stock_of
    from tasks.plan import plan_of

    call_command("migrate", verbosity=0)
    build = make_build()
    plan = plan_of(build)

    def read() -> None:
        list(Part.objects.filter(build=build))
        list(Material.objects.filter(build=build))
        list(Price.objects.filter(material__build=build))
        stock_of(build)

    def anew() -> Any:
        cache.clear()
        return needs_of(build, plan)

    reading = best_of(read, RUNS)
    needs = anew()
    rows: list[tuple[str, Callable[[], object]]] = [
        ("needs_of, nothing in the cache", anew),
        ("needs_of, from the cache", lambda: needs_of(build, plan)),
        ("orders_of", lambda: orders_of(plan, needs)),
    ]
    what = f"{PARTS} parts of {MATERIALS} materials in {TASKS} tasks"
    print(f"{what}; reading: {reading * 1000:.0f} ms")
    for name, run in rows:
        taken = best_of(run, RUNS)
        print(f"{name:<34} {taken / reading:6.2f} x reading  ({taken * 1000:.0f} ms)")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        os.environ["BUILDLOG_DATA"] = folder
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "buildlog.settings")
        import django

        django.setup()
        main()
