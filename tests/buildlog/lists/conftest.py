"""Bringing a list in as the pages do, in one step."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.lists.answers import Answers
from buildlog.lists.bringing import look, write
from buildlog.lists.kinds import KINDS

SAMPLES = Path(__file__).parent / "samples"


def sample(name: str) -> bytes:
    return (SAMPLES / name).read_bytes()


@pytest.fixture
def see(build, owner):
    """Look at a list: `see("tasks", content, units=…)`. Text is taken for a CSV file."""

    def see(kind, content, into=build, **answers):
        data = content.encode() if isinstance(content, str) else content
        return look(into, owner, KINDS[kind], data, Answers(**answers))

    return see


@pytest.fixture
def bring(see):
    """Look at a list and write it; gives what was brought and the counts."""

    def bring(kind, content, *, leave_out=False, **answers):
        bringing = see(kind, content, **answers)
        return bringing, write(bringing, KINDS[kind], leave_out=leave_out)

    return bring
