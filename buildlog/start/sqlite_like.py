"""Searching in SQLite without regard to capitals, in every alphabet.

SQLite by itself takes only A to Z and a to z for the same letter, so that “épontille” would not be
found by “Épontille”. PostgreSQL knows better by itself.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.signals import connection_created

__all__ = ["like"]


def like(pattern: str | None, text: Any, escape: str = "") -> bool | None:
    """What `text LIKE pattern ESCAPE escape` is; None if either is NULL.

    >>> like("%épontille%", "Épontille en frêne"), like("3\\\\%", "30", "\\\\")
    (True, False)
    """
    if pattern is None or text is None:
        return None
    return _compiled(pattern, escape).fullmatch(str(text).casefold()) is not None


@lru_cache(maxsize=128)
def _compiled(pattern: str, escape: str) -> re.Pattern[str]:
    wanted, letters = [], iter(pattern)
    for letter in letters:
        if letter == escape:
            escaped = next(letters, None)
            wanted.append("(?!)" if escaped is None else re.escape(escaped.casefold()))
        else:
            wanted.append({"%": ".*", "_": "."}.get(letter) or re.escape(letter.casefold()))
    return re.compile("".join(wanted), re.DOTALL)


def teach(connection: BaseDatabaseWrapper, **kwargs: Any) -> None:
    if connection.vendor == "sqlite":
        for arguments in (2, 3):
            connection.connection.create_function("like", arguments, like, deterministic=True)


connection_created.connect(teach)
