"""Take an upload's bytes to a temporary file: counted, hashed and looked at, not yet kept."""

from __future__ import annotations

import contextlib
import hashlib
import tempfile
import time
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from django.conf import settings
from django.core.files import File
from django.core.files.storage import FileSystemStorage, default_storage

from buildlog.files.errors import Refused
from buildlog.files.sniff import HEAD_BYTES, kind_name, sniff

A_DAY = 24 * 60 * 60


@dataclass(frozen=True)
class Incoming:
    """An upload that lies in a temporary file, which is gone when the `with` block ends."""

    path: Path
    name: str
    size: int
    sha256: str
    mime: str


@contextlib.contextmanager
def receive(
    uploaded: File, allowed: Sequence[str] = (), max_bytes: int | None = None
) -> Iterator[Incoming]:
    """Stream an upload to a temporary file and look at what it is.

    `allowed` are the media types that are let in (none given: any). Raises `Refused`, with
    nothing left behind, for an empty file, one over `max_bytes`, or one of another type.
    """
    name = tidy_name(uploaded.name or "")
    limit = settings.PHOTO_MAX_BYTES if max_bytes is None else max_bytes
    with tempfile.NamedTemporaryFile(dir=incoming_folder(), prefix="in-", delete=False) as temp:
        path = Path(temp.name)
        try:
            size, sha256, head = _copy(uploaded, temp, limit)
        except BaseException:
            path.unlink(missing_ok=True)
            raise
    try:
        mime = sniff(head)
        if allowed and mime not in allowed:
            raise Refused(f"It is {kind_name(mime)}; what can be taken in is {_listed(allowed)}.")
        yield Incoming(path, name, size, sha256, mime)
    finally:
        path.unlink(missing_ok=True)


def _copy(uploaded: File, temp, limit: int) -> tuple[int, str, bytes]:
    digest = hashlib.sha256()
    size = 0
    head = b""
    for chunk in uploaded.chunks():
        size += len(chunk)
        if size > limit:
            raise Refused(f"It is larger than {limit / 1024 / 1024:g} MB, the most for one file.")
        if len(head) < HEAD_BYTES:
            head += chunk[: HEAD_BYTES - len(head)]
        digest.update(chunk)
        temp.write(chunk)
    if not size:
        raise Refused("It is empty: not one byte came in. Send it again.")
    return size, digest.hexdigest(), head


def local_path(path: str) -> Path | None:
    """Where a path of the storage lies on this machine; None where the storage is elsewhere."""
    if isinstance(default_storage, FileSystemStorage):
        return Path(default_storage.path(path))
    return None


def incoming_folder() -> str | None:
    """Beside the originals where those are files, so that keeping one is a rename."""
    folder = local_path("incoming")
    if folder is None:
        return None
    folder.mkdir(parents=True, exist_ok=True)
    _sweep(folder)
    return str(folder)


def _sweep(folder: Path) -> None:
    """Remove what a killed process left half received."""
    for left in folder.glob("in-*"):
        with contextlib.suppress(FileNotFoundError):
            if left.stat().st_mtime < time.time() - A_DAY:
                left.unlink()


def tidy_name(name: str) -> str:
    """The last part of a name, without control characters, short enough to keep.

    >>> tidy_name("C:\\\\Photos\\\\frame 7.jpg")
    'frame 7.jpg'
    >>> tidy_name("../../etc/passwd")
    'passwd'
    """
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    clean = "".join(c for c in last if unicodedata.category(c)[0] != "C").strip() or "unnamed"
    stem, suffix = PurePosixPath(clean).stem, PurePosixPath(clean).suffix[:20]
    return clean if len(clean) <= 200 else stem[: 200 - len(suffix)] + suffix


def _listed(allowed: Sequence[str]) -> str:
    names = [kind_name(mime) for mime in allowed]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"
