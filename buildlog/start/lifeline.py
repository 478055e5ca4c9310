"""How the processes that `serve` started learn that it is gone, even if it was killed.

`serve` holds a lock; each of them waits for that lock in a thread. It gets it when, and only
when, `serve` is dead. Whole programs are told by the kernel as well (`die_with_parent`), but
their own children would be left behind.
"""

from __future__ import annotations

import ctypes
import fcntl
import os
import signal
import sys
import threading
import time

# No setting of ours: the name by which `serve` tells its children of the lock.
VARIABLE = "_SERVE_LIFELINE"
PATIENCE = 2.0

libc = ctypes.CDLL(None) if sys.platform == "linux" else None
PR_SET_PDEATHSIG = 1


def hold_on() -> None:
    """Called in each process: end it soon after `serve` has died. Alone, it does nothing."""
    path = os.environ.get(VARIABLE)
    if path:
        threading.Thread(target=_wait_and_leave, args=[path], daemon=True).start()


def _wait_and_leave(path: str) -> None:
    lock = os.open(path, os.O_RDONLY | os.O_CLOEXEC)
    fcntl.flock(lock, fcntl.LOCK_SH)
    os.close(lock)  # at once, so that a new start is not kept waiting
    time.sleep(PATIENCE)  # a worker may be in the middle of an answer
    os._exit(1)


def die_with_parent(parent: int) -> None:
    """Run between fork and exec: ask the kernel to stop us when the parent dies."""
    if libc is None:
        return
    libc.prctl(PR_SET_PDEATHSIG, signal.SIGTERM)
    if os.getppid() != parent:  # it died before we asked
        os._exit(1)
