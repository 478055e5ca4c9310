"""Why a file cannot be read as a table at all."""

from __future__ import annotations

__all__ = ["Refused"]


class Refused(ValueError):
    """The file holds no table that can be read. The message says why, and what to do."""
