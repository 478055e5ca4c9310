"""What an edit costs until its new dates are seen, at 500 tasks, as multiples of a bare view.

Run by hand: `python -m tests.benchmarks.bench_edit`. Before each asking a task is changed, so that
nothing of the plan is kept from before. The page of the plan comes at once, with new early dates
and the order of work that was kept; the new order comes after it in a piece of its own. Times are
processor time of this process, medians.
"""

from __future__ import annotations

import statistics
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from tests.benchmarks.bench_pages import BARE, set_up, settings_for_bench

TASKS, LINKS, STAGES = 500, 800, 20
RUNS = 5


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        set_up(Path(folder))
        from django.conf import settings

        with settings_for_bench(settings):
            measure()


def measure() -> None:
    from django.core.management import call_command
    from django.test import Client

    from buildlog.start.prepare import prepare_static_files
    from tasks.models import Task
    from tests.benchmarks.scenario import SMALL, make_scenario

    call_command("migrate", verbosity=0)
    prepare_static_files()
    sizes = replace(SMALL, tasks=TASKS, links=LINKS, stages=STAGES)
    scenario = make_scenario(sizes, slug="edited")
    client = Client(HTTP_HOST="localhost")
    client.force_login(scenario.owner, "django.contrib.auth.backends.ModelBackend")
    task = Task.objects.filter(build=scenario.build, started_at=None)[0]

    def edit() -> None:
        task.likely_minutes += 10
        task.high_minutes += 20
        task.save()

    plan, piece = f"/b/{scenario.build.slug}/plan/", {"HX-Request": "true"}
    asked: list[tuple[str, str, Callable[[], None] | None, dict[str, str]]] = [
        ("the page after an edit", plan, edit, {}),
        ("the same, all stages open", f"{plan}?open=all", edit, {}),
        ("the same, as if hands were endless", f"{plan}?hands=endless", edit, {}),
        ("the piece with the new order of work", f"{plan}?fresh=yes", edit, piece),
        ("the page with nothing changed", plan, None, {}),
        ("the network after an edit, all open", f"{plan}network/?open=all", edit, {}),
    ]
    time_of(client, f"{plan}?fresh=yes", None, piece)  # loads what is loaded once
    bare = time_of(client, BARE, None, {})
    print(f"{TASKS} tasks, {LINKS} links. A bare view takes {bare * 1000:.1f} ms.\n")
    for words, url, before, headers in asked:
        took = time_of(client, url, before, headers)
        print(f"{took * 1000:6.0f} ms {took / bare:6.0f} ×  {words}")


def time_of(
    client: Any, url: str, before: Callable[[], None] | None, headers: dict[str, str]
) -> float:
    times = []
    for _ in range(RUNS):
        if before:
            before()
        begun = time.process_time()
        answer = client.get(url, headers=headers)
        times.append(time.process_time() - begun)
        if answer.status_code != 200:
            raise SystemExit(f"{url} answered {answer.status_code}")
    return statistics.median(times)


if __name__ == "__main__":
    main()
