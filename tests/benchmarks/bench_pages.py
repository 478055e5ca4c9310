"""How long each page of a large build takes, as a multiple of a view that does nothing.

Run by hand: `python -m tests.benchmarks.bench_pages`. It fills a data folder of its own with 3,000
tasks, 5,000 entries and 20,000 photos (see `scenario.LARGE`), then asks for every address of the
project. Times are processor time of this process, medians of several runs; "cold" is with an empty
cache, as after a change or a start. The bare view is signed in to and goes through the same
middleware by the same client, and is timed again and again between the pages.

`--folder` keeps the data folder, or uses one that was kept. With DATABASE_URL set the rows lie
there; then the time that the database server takes is not counted.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

BARE = "/bare/"
SLOW = 0.5  # seconds; what takes longer is timed once


@dataclass(frozen=True)
class Timed:
    what: str
    status: int
    cold: float
    warm: float
    queries_cold: int
    queries_warm: int
    size: int


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    parser.add_argument("--folder", type=Path, help="a data folder to keep")
    parser.add_argument("--only", default="", help="only addresses whose name holds this")
    parser.add_argument(
        "--runs", type=int, default=3, help="runs of each page, of which the median"
    )
    parser.add_argument("--by-time", action="store_true", help="slowest first")
    said = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        set_up(said.folder or Path(folder))
        from django.conf import settings

        with settings_for_bench(settings):
            measure(said)


def set_up(folder: Path) -> None:
    os.environ["BUILDLOG_DATA"] = str(folder)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "buildlog.settings")
    os.environ.setdefault("BUILDLOG_LOG_LEVEL", "CRITICAL")  # what is only posted to complains
    import django

    django.setup()


def settings_for_bench(settings: Any) -> Any:
    from django.test.utils import override_settings

    return override_settings(ROOT_URLCONF="tests.benchmarks.bare")


def measure(said: argparse.Namespace) -> None:
    from django.test import Client

    from tests.benchmarks.pages import asked_of

    scenario = kept_or_made()
    client = Client(HTTP_HOST="localhost")
    client.force_login(scenario.owner, "django.contrib.auth.backends.ModelBackend")
    bare = [time_of(client, BARE, said.runs, BARE).warm for _ in range(3)]
    found = []
    for asked in asked_of(scenario):
        if said.only and said.only not in asked.what:
            continue
        if client.get(asked.url).status_code == 405:  # an address that is only posted to
            continue
        found.append(time_of(client, asked.url, said.runs, asked.what))
        bare.append(time_of(client, BARE, 1, BARE).warm)
        print(f"{found[-1].warm * 1000:.0f} ms  {asked.what}", file=sys.stderr, flush=True)
    if said.by_time:
        found.sort(key=lambda one: -one.warm)
    show(found, statistics.median(bare))


def kept_or_made() -> Any:
    """The large scenario of the data folder, made where there is none yet."""
    from django.core.management import call_command

    from buildlog.start.prepare import prepare_static_files
    from tasks.models import Build
    from tests.benchmarks.scenario import LARGE, Scenario, make_scenario

    call_command("migrate", verbosity=0)
    prepare_static_files()
    build = Build.objects.filter(slug="large").first()
    if build is None:
        begun = time.process_time()
        scenario = make_scenario(LARGE)
        print(f"Filled in {time.process_time() - begun:.0f} s of processor time.", flush=True)
        return scenario
    from buildlog.journal.models import Rendition
    from tasks.models import Person

    scenario = Scenario(build, Person.objects.get(pk=build.pk), LARGE, build.pk, build.made_at)
    sha256 = Rendition.objects.filter(photo__build=build).values_list("sha256", flat=True)[0]
    scenario.tokens |= {"rendition": sha256, "join": "join-large", "first": "first-large"}
    return scenario


def time_of(client: Any, url: str, runs: int, what: str) -> Timed:
    """Time an address whose templates and modules are loaded already."""
    from django.core.cache import cache

    cache.clear()
    cold_queries, status, size = counted(client, url)
    warm_queries, _, _ = counted(client, url)
    first = clocked(lambda: client.get(url))
    if first > SLOW:
        runs = 1
    cold = [clocked(lambda: client.get(url), before=cache.clear) for _ in range((runs + 1) // 2)]
    warm = [clocked(lambda: client.get(url)) for _ in range(runs)]
    return Timed(
        what, status, statistics.median(cold), statistics.median(warm), cold_queries,
        warm_queries, size,
    )  # fmt: skip


def clocked(ask: Callable[[], Any], before: Callable[[], None] | None = None) -> float:
    if before:
        before()
    begun = time.process_time()
    answer = ask()
    if answer.streaming:
        b"".join(answer.streaming_content)
    return time.process_time() - begun


def counted(client: Any, url: str) -> tuple[int, int, int]:
    """Queries, status and bytes of one answer."""
    from tests.queries import noted_queries

    with noted_queries() as queries:
        answer = client.get(url)
        body = b"".join(answer.streaming_content) if answer.streaming else answer.content
    return len(queries), answer.status_code, len(body)


def show(found: list[Timed], bare: float) -> None:
    print(f"A bare view takes {bare * 1000:.2f} ms; × is how many of it a page takes, warm.\n")
    print(f"{'cold ms':>8} {'warm ms':>8} {'×':>6} {'queries':>8} {'kB':>6}  page")
    for one in found:
        queries = f"{one.queries_cold}/{one.queries_warm}"
        status = "" if one.status == 200 else f" [{one.status}]"
        print(
            f"{one.cold * 1000:8.0f} {one.warm * 1000:8.0f} {one.warm / bare:6.1f} {queries:>8} "
            f"{one.size / 1000:6.0f}  {one.what}{status}"
        )
    print(f"\n{len(found)} addresses.")


if __name__ == "__main__":
    main()
