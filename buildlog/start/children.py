"""Keeping the web server and the background worker running, and ending them without a rest."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import time
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path

from buildlog.start.lifeline import die_with_parent

STEADY = 60.0  # seconds after which a start counts as a good one
LONGEST_WAIT = 30.0


class Child:
    """A program that is started again whenever it ends, with growing pauses if it ends soon.

    It leads a process group of its own, so that what it started in turn ends with it.
    """

    def __init__(
        self,
        name: str,
        command: Sequence[str],
        folder: Path,
        environment: Mapping[str, str],
        after_death: Callable[[], object] = lambda: None,
        busy: Callable[[], bool] = lambda: True,
    ) -> None:
        self.name = name
        self.command = command
        self.folder = folder
        self.environment = environment
        self.after_death = after_death
        self.busy = busy  # asked to end, is it worth waiting for?
        self.process: subprocess.Popen[bytes] | None = None
        self.started = 0.0
        self.failures = 0
        self.start_at = 0.0

    def start(self) -> None:
        self.started = time.monotonic()
        self.process = subprocess.Popen(  # noqa: S603 (our own command, no shell)
            self.command,
            cwd=self.folder,
            env=self.environment,
            stdin=subprocess.DEVNULL,
            start_new_session=True,
            preexec_fn=partial(die_with_parent, os.getpid()),
        )

    @property
    def runs(self) -> bool:
        return self.process is not None and self.process.poll() is None

    def tend(self, say: Callable[[str], None]) -> None:
        """Called again and again: notice a death, and start anew when the pause is over."""
        if self.runs:
            return
        if self.process is not None:
            self._bury(say)
        if time.monotonic() >= self.start_at:
            self.start()

    def _bury(self, say: Callable[[str], None]) -> None:
        if self.process is None:
            return
        self.kill_group()
        steady = time.monotonic() - self.started > STEADY
        self.failures = 0 if steady else self.failures + 1
        wait = min(LONGEST_WAIT, 0.5 * 2 ** max(self.failures - 1, 0))
        self.start_at = time.monotonic() + wait
        say(f"The {self.name} ended ({how(self.process.returncode)}). It is started again.")
        self.process = None
        self.after_death()

    def ask_to_end(self) -> None:
        if self.process is not None and self.runs:
            self.process.terminate()

    def kill_group(self) -> None:
        """End whatever is left of the child and of what it started."""
        if self.process is None:
            return
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()


def how(code: int) -> str:
    """How a process ended, in words.

    >>> how(-9), how(3)
    ('SIGKILL', 'exit code 3')
    """
    return signal.Signals(-code).name if code < 0 else f"exit code {code}"


def end_all(children: Sequence[Child], patience: float) -> None:
    """Ask those with something in hand to end, wait a while, then end all by force."""
    for child in children:
        if child.busy():
            child.ask_to_end()
    until = time.monotonic() + patience
    while time.monotonic() < until and any(child.runs and child.busy() for child in children):
        time.sleep(0.05)
    for child in children:
        child.kill_group()
