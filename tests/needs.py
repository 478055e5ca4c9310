"""What a test needs from the machine. Without it the test is left out, but never in CI."""

from __future__ import annotations

import os
import shutil
import socket
from typing import NoReturn

import pytest


def do_without(what: str) -> NoReturn:
    """Leave the test out, saying what was missing; in CI, where nothing may be, fail."""
    if os.environ.get("CI"):
        pytest.fail(f"{what} is missing, and CI must have it.")
    pytest.skip(f"{what} is missing.")


def program(*names: str) -> str:
    """The path of a program by any of these names."""
    for name in names:
        if path := shutil.which(name):
            return path
    do_without(names[0])


def server(name: str, port: int) -> None:
    """A server that answers on this machine."""
    try:
        socket.create_connection(("127.0.0.1", port), timeout=2).close()
    except OSError:
        do_without(f"{name} on port {port}")
