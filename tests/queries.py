"""What the database is asked, without the log of Django's debug cursor, which has an end."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connection


@contextmanager
def noted_queries() -> Iterator[list[str]]:
    """The SQL of every query made inside, as a list that grows."""
    noted: list[str] = []

    def note(
        execute: Callable[..., Any], sql: str, params: Any, many: bool, context: dict[str, Any]
    ) -> Any:  # fmt: skip
        noted.append(sql)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(note):
        yield noted
