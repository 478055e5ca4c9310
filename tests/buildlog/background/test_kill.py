"""Real processes, killed without warning in the middle of a job: nothing is lost or done twice."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import urllib.request

import pytest

from buildlog.start.commands import background_worker
from tests import needs
from tests.buildlog.background.slow.jobs import MIDDLE
from tests.served import ROOT, Served, ask, environment, manage, served, wait_for

pytestmark = pytest.mark.served

STEPS = 8
SETTINGS = {
    "DJANGO_SETTINGS_MODULE": "tests.buildlog.background.slow.settings",
    "BUILDLOG_JOB_LEASE_SECONDS": "3",
}


def broker_settings(transport: str) -> dict[str, str]:
    if transport == "embedded":
        return SETTINGS
    needs.server("Redis", 6379)
    # Tests that run side by side keep out of each other's way.
    number = 4 + int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw")) % 8
    return SETTINGS | {"BUILDLOG_BROKER_URL": f"redis://127.0.0.1:6379/{number}"}


on_either_transport = pytest.mark.parametrize("run", ["embedded", "redis"], indirect=True)


@pytest.fixture(scope="module")
def run(request, folder_once_served, tmp_path_factory):
    more = broker_settings(getattr(request, "param", "embedded"))
    folder = tmp_path_factory.mktemp("kill") / "data"
    shutil.copytree(folder_once_served, folder)
    with served(folder, **more) as run:
        yield run


class SlowJob:
    """A job of some steps, asked for as a page would, from a process of its own."""

    def __init__(self, run: Served, *, held: bool) -> None:
        self.folder = folder = run.folder
        if held:  # it waits in its middle, until it is let go
            (folder / "hold").touch()
        made = manage(
            folder,
            "shell",
            "--no-imports",
            "-c",
            "import secrets\n"
            "from buildlog.background.jobs import queue; from tasks.models import Build\n"
            "build = Build.objects.create(name='Slow', slug=secrets.token_hex(8))\n"
            f"job = queue('slow-stages', build=build, count={STEPS})\n"
            "print(job.pk, build.pk)",
            **run.more,
        )
        assert made.returncode == 0, made.stderr
        self.pk, self.build = map(int, made.stdout.split())
        if held:
            wait_for(lambda: self.state() == ("running", MIDDLE, 1), 30)

    def let_go(self) -> None:
        (self.folder / "hold").unlink()

    def stages(self) -> list[int]:
        question = 'SELECT "order" FROM tasks_stage WHERE build_id = ? ORDER BY "order"'
        return [order for (order,) in ask(self.folder, question, self.build)]

    def state(self) -> tuple[str, int, int]:
        """The state, the steps done and the attempts."""
        question = "SELECT state, done_steps, attempts FROM background_job WHERE id = ?"
        return ask(self.folder, question, self.pk)[0]

    def assert_done_once(self, attempts: int) -> None:
        wait_for(lambda: self.state()[0] not in ("queued", "running"), 60)
        assert self.state() == ("done", STEPS, attempts)
        assert self.stages() == list(range(STEPS))


def kill_groups(*leaders: int) -> None:
    for leader in leaders:
        os.killpg(leader, signal.SIGKILL)


def test_a_job_is_done_soon_after_it_is_asked_for(run):
    SlowJob(run, held=False).assert_done_once(attempts=1)


@on_either_transport
def test_the_worker_is_killed_in_the_middle(run):
    job = SlowJob(run, held=True)
    kill_groups(run.children()["worker"])
    job.let_go()
    job.assert_done_once(attempts=2)
    assert "The background worker ended (SIGKILL). It is started again." in run.said()


@on_either_transport
def test_web_server_and_worker_are_killed_in_the_middle(run):
    job = SlowJob(run, held=True)
    kill_groups(*run.children().values())
    job.let_go()
    job.assert_done_once(attempts=2)

    def answers() -> bool:
        try:
            with urllib.request.urlopen(run.address + "healthz", timeout=5) as answer:
                return bool(answer.read() == b"well")
        except OSError:
            return False

    wait_for(answers, 60)


def test_a_worker_that_was_given_up_and_wakes_does_nothing_more(run):
    """Frozen for longer than its lease, while another takes the job over."""
    job = SlowJob(run, held=True)
    frozen = run.children()["worker"]
    os.killpg(frozen, signal.SIGSTOP)
    other = subprocess.Popen(background_worker(), cwd=ROOT, env=environment(run.folder, **run.more))
    try:
        wait_for(lambda: job.state()[2] == 2, 60)
        os.killpg(frozen, signal.SIGCONT)
        job.let_go()  # both go on now, and only one may
        job.assert_done_once(attempts=2)
    finally:
        os.killpg(frozen, signal.SIGCONT)
        other.kill()
        other.wait()
    assert run.children()["worker"] == frozen


def test_everything_is_killed_and_the_broker_forgets(prepared_folder):
    with served(prepared_folder, **SETTINGS) as run:
        begun = SlowJob(run, held=True)
        everything = run.everything()
        for pid in everything:
            os.kill(pid, signal.SIGKILL)
        run.process.wait()
    waiting = SlowJob(run, held=False)
    for file in prepared_folder.glob("broker.sqlite3*"):
        file.unlink()
    begun.let_go()
    with served(prepared_folder, **SETTINGS):
        begun.assert_done_once(attempts=2)
        waiting.assert_done_once(attempts=1)
