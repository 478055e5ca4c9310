"""Background work of looking ahead: pages show what it kept, none waits for it."""

from __future__ import annotations

from buildlog.ahead.looking import LOOK_AHEAD
from buildlog.background.jobs import Job, kind
from tasks.models import Build
from tasks.order import look_for_better

#: Processor seconds given to the search for a better order.
SEARCH_SECONDS = 10.0


@kind(LOOK_AHEAD, says="Looking ahead")
def look_ahead(job: Job, build_pk: int) -> None:
    """Look for a better order of work. Done twice, it finds the same."""
    build = Build.objects.filter(pk=build_pk).first()
    if build is None:
        return
    look_for_better(build, SEARCH_SECONDS)
    job.step(1, 1)
