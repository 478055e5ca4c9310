"""Work in steps, each of which leaves one row: a row too few or too many is a fault."""

from __future__ import annotations

import time

from django.conf import settings

from buildlog.background.jobs import Job, kind
from tasks.models import Stage

MIDDLE = 3


@kind("slow-stages")
def make_stages(job: Job, count: int) -> None:
    """Before its middle step the job waits as long as there is a file “hold” in the data folder."""
    for step in range(job.done_steps, count):
        while step == MIDDLE and (settings.DATA_DIR / "hold").exists():
            time.sleep(0.02)
        with job.holding():
            Stage.objects.create(build=job.build, name=f"{job.pk} {step}", order=step)
            job.step(step + 1, count)
