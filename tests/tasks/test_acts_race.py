"""Several clicks at the same time, each from a thread of its own, on a database file."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

SCRIPT = """
import datetime as dt, json, threading
import django
django.setup()
from django.core.management import call_command
from django.db import connection
call_command("migrate", verbosity=0)
from tasks import acts
from tasks.models import Act, Build, Person, Stage, Task, Work

build = Build.objects.create(name="Race", slug="race")
person = Person.objects.create_user("olive", password="x")
stage = Stage.objects.create(build=build, name="Frames")
tasks = [
    Task.objects.create(build=build, stage=stage, code=str(n), name="Frame") for n in range(3)
]
start = dt.datetime(2026, 11, 14, 9, tzinfo=dt.timezone.utc)
failed = []

def all_at_once(clicks):
    gate = threading.Barrier(len(clicks))

    def click(act, task, minute):
        gate.wait()
        try:
            act(task, person, start + dt.timedelta(minutes=minute))
        except acts.CannotDo:
            pass
        except Exception as error:
            failed.append(repr(error))
        finally:
            connection.close()

    threads = [threading.Thread(target=click, args=one) for one in clicks]
    [thread.start() for thread in threads]
    [thread.join() for thread in threads]

all_at_once([(acts.start, tasks[0], 0)] * 6)
same = Act.objects.count(), Work.objects.filter(minutes=None).count()
all_at_once([(acts.start, task, 60) for task in tasks * 2])
several = Work.objects.filter(minutes=None).count()
all_at_once([(acts.finish, tasks[0], 120), (acts.stop, tasks[0], 120)] * 3)
finishes = Act.objects.filter(kind="finish").count()
for task in tasks:
    try:
        acts.stop(task, person, start + dt.timedelta(minutes=120))
    except acts.CannotDo:
        pass
minutes = sum(Work.objects.values_list("minutes", flat=True))
print(json.dumps([same, several, finishes, minutes, failed]))
"""


def test_clicks_at_the_same_moment_leave_one_clock_one_finish_and_all_hours(tmp_path):
    result = subprocess.run(
        [sys.executable, "-c", SCRIPT],
        env={name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
        | {
            "DJANGO_SETTINGS_MODULE": "buildlog.settings",
            "BUILDLOG_DATA": str(tmp_path),
            "PYTHONPATH": str(ROOT),
        },
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert result.returncode == 0, result.stderr
    same, several, finishes, minutes, failed = json.loads(result.stdout.splitlines()[-1])
    assert failed == []
    assert same == [1, 1]
    assert several == 1
    assert finishes == 1
    assert minutes == 120
