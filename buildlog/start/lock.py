"""One start a data folder: a lock that the kernel drops when its holder dies, however it dies."""

from __future__ import annotations

import fcntl
import json
import os
import time
from pathlib import Path
from typing import Any

NAME = "serve.lock"


class AlreadyRunning(Exception):
    """The data folder is being served by another process."""


class DataFolderLock:
    """Held by `serve` as long as it lives; its children wait on it to learn that it died."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / NAME
        self.file = os.open(self.path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        self.after_a_crash = False

    def take(self, patience: float = 3.0) -> None:
        """Take the lock, or raise `AlreadyRunning` with a sentence that says who has it.

        What a killed start left behind may hold on for a moment; hence the patience.
        """
        until = time.monotonic() + patience
        while True:
            said = self.read()
            try:
                fcntl.flock(self.file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                alive = said.get("pid") and Path(f"/proc/{said['pid']}").exists()
                if alive or time.monotonic() > until:
                    raise AlreadyRunning(self._sentence(said)) from None
                time.sleep(0.1)
            else:
                self.after_a_crash = bool(said)
                return

    def read(self) -> dict[str, Any]:
        try:
            said = json.loads(os.pread(self.file, 1000, 0) or b"{}")
        except ValueError:
            return {}
        return said if isinstance(said, dict) else {}

    def write(self, **said: Any) -> None:
        os.ftruncate(self.file, 0)
        os.pwrite(self.file, json.dumps(said).encode(), 0)

    def release(self) -> None:
        os.ftruncate(self.file, 0)
        os.close(self.file)

    def _sentence(self, said: dict[str, Any]) -> str:
        where = f" at {said['address']}" if said.get("address") else ""
        who = f" (process {said['pid']})" if said.get("pid") else ""
        return f"It is running already{where}{who}, with the data in {self.path.parent}."


def is_served(folder: Path) -> bool:
    """Is some process serving this data folder now?"""
    path = folder / NAME
    if not path.exists():
        return False
    file = os.open(path, os.O_RDONLY)
    try:
        fcntl.flock(file, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    finally:
        os.close(file)
    return False
