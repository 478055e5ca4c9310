"""Gives each process of a parallel run its own databases of a Redis server.

Tests empty the cache, and must not empty each other's. Redis numbers its databases; that of
`CACHE_URL` and `BUILDLOG_BROKER_URL` is raised by two for each process, so begin with two
neighbours. A plugin (`-p tests.apart`), because the settings are read before any conftest.
"""

from __future__ import annotations

import os
import re

STEP = 2


def raised(url: str, worker: int) -> str:
    """The address of the database that this worker uses; one without a number stays as it is.

    >>> raised("redis://127.0.0.1:6379/2", 1)
    'redis://127.0.0.1:6379/4'
    """
    return re.sub(r"(?<=\d/)\d+$", lambda number: str(int(number[0]) + STEP * worker), url)


worker = os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw")
for name in ("CACHE_URL", "BUILDLOG_BROKER_URL"):
    if os.environ.get(name, "").startswith("redis://"):
        os.environ[name] = raised(os.environ[name], int(worker))
