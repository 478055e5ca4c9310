"""The program as it really runs: `manage.py serve` in processes of its own, on its own folder."""

from __future__ import annotations

import contextlib
import os
import re
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent


def environment(folder: Path, **more: str) -> dict[str, str]:
    """A clean environment, with a data folder of the test's own and no server of the machine's."""
    dropped = ("DATABASE_URL", "CACHE_URL", "PYTHONDONTWRITEBYTECODE")
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("BUILDLOG_", "PYTEST_")) and name not in dropped
    }
    ours = {
        "BUILDLOG_DATA": str(folder),
        "BUILDLOG_WEB_WORKERS": "1",  # one is quicker to start
        "PYTHONWARNINGS": "ignore",
    }
    return kept | ours | more


def manage(folder: Path, *words: str, **more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=ROOT,
        env=environment(folder, **more),
        capture_output=True,
        text=True,
        timeout=120,
    )


class Served:
    """A running `manage.py serve`."""

    def __init__(self, folder: Path, *words: str, **more: str) -> None:
        self.folder = folder
        self.more = more
        self.out = folder.with_name(folder.name + ".out")
        with self.out.open("w") as out:
            self.process = subprocess.Popen(
                [sys.executable, "manage.py", "serve", "--port", "0", *words],
                cwd=ROOT,
                env=environment(folder, **more),
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=subprocess.STDOUT,
            )

    def said(self) -> str:
        return self.out.read_text()

    def wait_until_ready(self) -> Served:
        wait_for(lambda: "Running at" in self.said() or self.process.poll() is not None, 150)
        assert self.process.poll() is None, self.said()
        return self

    @property
    def address(self) -> str:
        found = re.search(r"Running at (\S+)", self.said())
        assert found, self.said()
        return found[1]

    def children(self) -> dict[str, int]:
        """The process ids of web server and worker: the leaders of their groups."""
        found = {}
        for pid in processes_below(self.process.pid, deep=False):
            line = command_line(pid)
            if "granian" in line:
                found["web"] = pid
            elif "celery" in line:
                found["worker"] = pid
        return found

    def everything(self) -> list[int]:
        return [self.process.pid, *processes_below(self.process.pid)]

    def stop(self, number: int = signal.SIGINT) -> int:
        if self.process.poll() is None:
            self.process.send_signal(number)
        return self.process.wait(30)


@contextlib.contextmanager
def served(folder: Path, *words: str, **more: str) -> Iterator[Served]:
    running = Served(folder, *words, **more)
    try:
        yield running.wait_until_ready()
    finally:
        left = running.everything()
        if running.process.poll() is None:
            running.stop(signal.SIGTERM)
        for pid in left:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)


def processes_below(parent: int, deep: bool = True) -> list[int]:
    """The ids of a process's children, and of theirs."""
    parents: dict[int, list[int]] = {}
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            fields = stat.read_text().rpartition(")")[2].split()
            if fields[0] != "Z":
                parents.setdefault(int(fields[1]), []).append(int(stat.parent.name))
    found, open_ = [], [parent]
    while open_:
        below = parents.get(open_.pop(), [])
        found += below
        open_ += below if deep else []
    return found


def command_line(pid: int) -> str:
    try:
        return Path(f"/proc/{pid}/cmdline").read_bytes().replace(b"\0", b" ").decode()
    except OSError:
        return ""


def alive(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def wait_for(what: Callable[[], Any], seconds: float) -> Any:
    """Wait until it is true; fail after so long."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        if found := what():
            return found
        time.sleep(0.05)
    raise AssertionError(f"Not within {seconds} s.")


def ask(folder: Path, question: str, *values: Any) -> list[tuple[Any, ...]]:
    """Ask the running program's database, from outside."""
    database = sqlite3.connect(folder / "buildlog.sqlite3", timeout=20)
    try:
        with database:
            return database.execute(question, values).fetchall()
    finally:
        database.close()
