"""The key that sessions and links are signed with, kept in the data folder."""

from __future__ import annotations

import contextlib
import os
import secrets
import threading
from pathlib import Path

NAME = "secret_key"


def own_secret_key(folder: Path, *, testing: bool = False) -> str:
    """The key in `folder`; made on the first start, readable by its owner only."""
    if testing:
        return "only-for-tests-" + "0123456789abcdef" * 4
    path = folder / NAME
    if not path.exists():
        make_secret_key(path)
    return path.read_text(encoding="ascii").strip()


def make_secret_key(path: Path) -> None:
    """Write a new key, whole or not at all: several processes may start at once."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    temporary = path.with_name(f".{NAME}-{os.getpid()}-{threading.get_ident()}")
    with open(os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w") as out:
        out.write(secrets.token_urlsafe(64))
    with contextlib.suppress(FileExistsError):  # another process was quicker; its key holds
        os.link(temporary, path)
    temporary.unlink()
