"""Asking the worker to look ahead: a better order of work, and what follows from it."""

from __future__ import annotations

from buildlog.background.queueing import queue
from tasks.models import Build

LOOK_AHEAD = "look-ahead"


def ask_to_look(build: Build) -> None:
    """Have the worker look ahead on a build; asked for twice it is done once.

    It is done once more after if it is being done already. Call it in the transaction of the
    change that calls for it.
    """
    queue(LOOK_AHEAD, build, key=f"build-{build.pk}", build_pk=build.pk)
