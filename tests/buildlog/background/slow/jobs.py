"""Work in steps, each of which leaves one row: a row too few or too many is a fault."""

from __future__ import annotations

import time

from buildlog.background.jobs import Job, kind
from tasks.models import Build, Stage


@kind("slow-stages")
def make_stages(job: Job, build: int, count: int, seconds: float) -> None:
    row = Build.objects.get(pk=build)
    for step in range(job.done_steps, count):
        time.sleep(seconds)
        with job.holding():
            Stage.objects.create(build=row, name=f"{job.pk} {step}", order=step)
            job.step(step + 1, count)
