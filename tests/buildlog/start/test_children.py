"""A child is started again when it dies, after growing pauses, and ends with all it started."""

from __future__ import annotations

import os
import sys

import pytest

from buildlog.start import children
from buildlog.start.children import Child, end_all
from tests.served import alive, processes_below, wait_for

SLEEP = [sys.executable, "-c", "import time; time.sleep(60)"]
END = [sys.executable, "-c", "raise SystemExit(3)"]
PARENT = [
    sys.executable, "-c",
    "import subprocess, sys, time; subprocess.Popen([sys.executable, '-c', "
    "'import time; time.sleep(60)']); time.sleep(60)",
]  # fmt: skip
STUBBORN = [
    sys.executable, "-c",
    "import signal, time; signal.signal(signal.SIGTERM, signal.SIG_IGN); print(flush=True); "
    "time.sleep(60)",
]  # fmt: skip


@pytest.fixture
def child(tmp_path):
    made = []

    def make(command, **more) -> Child:
        made.append(Child("worker", command, tmp_path, os.environ, **more))
        made[-1].start()
        return made[-1]

    yield make
    for one in made:
        one.kill_group()


def test_it_starts_again_what_died_and_says_how(child):
    said, deaths = [], []
    worker = child(SLEEP, after_death=lambda: deaths.append(1))
    first = worker.process.pid
    os.kill(first, 9)
    wait_for(lambda: not worker.runs, 5)
    wait_for(lambda: worker.tend(said.append) or worker.runs, 5)
    assert worker.process.pid != first
    assert said == ["The worker ended (SIGKILL). It is started again."]
    assert deaths == [1]


def test_it_waits_longer_after_each_quick_death(child, monkeypatch):
    clock = [1000.0]
    monkeypatch.setattr(children.time, "monotonic", lambda: clock[0])
    worker = child(END)
    pauses = []
    for _ in range(9):
        worker.process.wait()
        worker.tend(lambda text: None)
        pauses.append(worker.start_at - clock[0])
        clock[0] = worker.start_at
        worker.tend(lambda text: None)
    assert pauses == [0.5, 1, 2, 4, 8, 16, 30, 30, 30]
    clock[0] += 3600
    worker.process.wait()
    worker.tend(lambda text: None)
    assert worker.start_at - clock[0] == 0.5


def test_what_it_started_ends_with_it(child):
    worker = child(PARENT)
    below = wait_for(lambda: processes_below(worker.process.pid), 5)
    os.kill(worker.process.pid, 9)
    wait_for(lambda: not worker.runs, 5)
    worker.tend(lambda text: None)
    wait_for(lambda: not any(alive(pid) for pid in below), 5)


def test_what_does_not_end_is_ended(child):
    worker = child(STUBBORN)
    end_all([worker], patience=0.3)
    assert not worker.runs


def test_what_is_not_busy_is_not_waited_for(child):
    worker = child(STUBBORN, busy=lambda: False)
    end_all([worker], patience=60)
    assert not worker.runs
