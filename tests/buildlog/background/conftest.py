from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from buildlog.background import kinds


@pytest.fixture
def do(monkeypatch) -> Iterator[Callable[[Callable[..., Any]], None]]:
    """Say what jobs of the kind “test” do, for the length of a test."""
    monkeypatch.setitem(kinds.KINDS, "test", kinds.Kind("test", "Testing", lambda job: None, False))

    def register(run: Callable[..., Any]) -> None:
        kinds.KINDS["test"] = kinds.Kind("test", "Testing", run, False)

    return register
