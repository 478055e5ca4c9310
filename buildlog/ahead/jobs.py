"""Background work of looking ahead: pages show what it kept, none waits for it."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from buildlog.ahead.looking import LOOK_AHEAD, ask_to_look
from buildlog.ahead.moves_kept import base_to_hold_against, reckon_moves
from buildlog.ahead.slips import reckon_slips
from buildlog.background.jobs import Job, kind
from buildlog.celery import app
from tasks.forecasting import reckon_forecast
from tasks.launch_records import explain_week, waiting_weeks
from tasks.models import Build, LaunchRecord, Task
from tasks.order import look_for_better, record_launch
from tasks.plan import plan_of

#: Seconds given to the search for a better order: so many a task, and no more than the most.
#: A small plan is searched through in no time; a long search keeps a small machine warm for little.
SECONDS_A_TASK = 0.05
MOST_SECONDS = 10.0


@kind(LOOK_AHEAD, says="Looking ahead", patient=True)
def look_ahead(job: Job, build_pk: int) -> None:
    """Look for a better order of work, and forecast. Done twice, it finds the same."""
    build = Build.objects.filter(pk=build_pk).first()
    if build is None:
        return
    to_do = build.tasks.filter(finished_at=None).count()
    look_for_better(build, min(SECONDS_A_TASK * to_do, MOST_SECONDS))
    record_launch(build)
    waiting = waiting_weeks(build)
    steps = len(waiting) + 3
    job.step(1, steps)
    reckon_forecast(build)
    job.step(2, steps)
    hold_changes_against(build)
    job.step(3, steps)
    for done, (before, after) in enumerate(waiting, 4):
        explain_week(before, after)
        job.step(done, steps)


def hold_changes_against(build: Build) -> None:
    """What would move the launch, and what it costs to put a job off."""
    plan = plan_of(build)
    base = base_to_hold_against(plan)
    if base is not None:
        reckon_slips(plan, base)
        reckon_moves(plan, base)


@app.task
def look_at_new_day() -> None:
    """Keep the launch of each day, even of one on which nobody looks at the plan."""
    at_work = Build.objects.filter(
        pk__in=Task.objects.filter(finished_at=None).values("build"), shop_hours__isnull=False
    ).distinct()
    for build in at_work:
        today = timezone.localdate(timezone=build.zone)
        if not LaunchRecord.objects.filter(build=build, day=today).exists():
            with transaction.atomic():
                ask_to_look(build)
