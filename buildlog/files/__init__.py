"""Originals: what came in, kept as it came, by its content."""

from buildlog.files.errors import Refused

__all__ = ["Refused"]
