from __future__ import annotations


class Refused(Exception):
    """A file was not taken in. Nothing of it was kept; `reason` says why, for people."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason
