"""The archive that a backup is: one ZIP file with a manifest that names every member.

database.sqlite3                    all rows
files/originals/ab/abc…             originals, by their SHA-256
files/renditions/…                  the sizes of photos that pages show
secret_key                          where the program made its own
manifest.json                       size and SHA-256 of each of these, and what made them
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import zipfile
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass, field
from pathlib import Path
from types import TracebackType
from typing import IO, Any

from buildlog.keep.kept import chunks

FORMAT = 1
MANIFEST = "manifest.json"
DATABASE = "database.sqlite3"
SECRET_KEY = "secret_key"  # noqa: S105 (a file's name)
FILES = "files/"
ORIGINAL = re.compile(r"files/originals/([0-9a-f]{2})/(\1[0-9a-f]{62})")
RENDITION = re.compile(r"files/renditions/\d+/[\w-]+\.\w+")


class Damaged(Exception):
    """The archive is not one, or not as it was written. The text says what is wrong with it."""


@dataclass
class Manifest:
    program: str
    made_at: str
    engine: str
    migrations: list[str]
    rows: dict[str, int]
    members: dict[str, dict[str, Any]] = field(default_factory=dict)
    missing: list[str] = field(default_factory=list)
    changed: list[str] = field(default_factory=list)
    format: int = FORMAT


class Writer:
    """Writes an archive beside its final name and renames it once it is whole and on disk."""

    def __init__(self, target: Path) -> None:
        self.target = target
        self.partial = target.with_name(f".{target.name}.part")
        self.members: dict[str, dict[str, Any]] = {}

    def __enter__(self) -> Writer:
        handle = os.open(self.partial, os.O_RDWR | os.O_CREAT | os.O_TRUNC, 0o600)
        self.file = os.fdopen(handle, "w+b")
        self.zip = zipfile.ZipFile(self.file, "w", allowZip64=True)
        return self

    def add(self, name: str, pieces: Iterable[bytes], *, pack: bool = False) -> str:
        """Write a member, and give the SHA-256 of what was written."""
        how = zipfile.ZIP_DEFLATED if pack else zipfile.ZIP_STORED
        about = zipfile.ZipInfo(name)
        about.compress_type = how
        about.external_attr = 0o600 << 16
        digest, size = hashlib.sha256(), 0
        with self.zip.open(about, "w", force_zip64=True) as member:
            for piece in pieces:
                digest.update(piece)
                size += len(piece)
                member.write(piece)
        self.members[name] = {"size": size, "sha256": digest.hexdigest()}
        return digest.hexdigest()

    def finish(self, manifest: Manifest) -> None:
        manifest.members = self.members
        self.zip.writestr(MANIFEST, json.dumps(asdict(manifest), indent=1, ensure_ascii=False))
        self.zip.close()
        self.file.flush()
        os.fsync(self.file.fileno())
        self.partial.rename(self.target)

    def __exit__(
        self,
        kind: type[BaseException] | None,
        reason: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.zip.close()
        self.file.close()
        self.partial.unlink(missing_ok=True)


class Archive:
    """An archive that is read. Nothing of it is believed before `check` has seen all of it."""

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            self.zip = zipfile.ZipFile(path)
        except (zipfile.BadZipFile, OSError, ValueError) as reason:
            raise Damaged(f"{path} cannot be read as a backup: {reason}") from None
        try:
            self.manifest = self._read_manifest()
        except Damaged:
            self.zip.close()
            raise

    def __enter__(self) -> Archive:
        return self

    def __exit__(self, *exception: object) -> None:
        self.zip.close()

    def _read_manifest(self) -> Manifest:
        try:
            with self.zip.open(MANIFEST) as member:
                said = json.load(member)
            manifest = Manifest(**said)
        except KeyError:
            raise Damaged("It has no manifest: it is no backup of this program.") from None
        except Exception as reason:  # zlib, zip, JSON and type errors alike mean one thing here
            raise Damaged(f"Its manifest cannot be read: {reason}") from None
        if manifest.format != FORMAT:
            raise Damaged(f"It is of format {manifest.format}; this program reads {FORMAT}.")
        return manifest

    def check(self, progress: Callable[[str], None] = lambda name: None) -> None:
        """Read every byte and compare it with the manifest. Raises `Damaged`."""
        names = [about.filename for about in self.zip.infolist()]
        self._check_names(names)
        for name, said in self.manifest.members.items():
            progress(name)
            found = self._measure(name)
            if found != (said["size"], said["sha256"]):
                raise Damaged(f"{name} in it is not what was written.")
        for name in self.manifest.members:
            self._check_content_name(name)

    def _check_names(self, names: list[str]) -> None:
        said = {*self.manifest.members, MANIFEST}
        if len(names) != len(set(names)):
            raise Damaged("A name stands in it twice.")
        if extra := sorted(set(names) - said):
            raise Damaged(f"It holds {extra[0]!r}, which its manifest does not name.")
        if lost := sorted(said - set(names)):
            raise Damaged(f"{lost[0]} is missing from it.")
        if DATABASE not in said:
            raise Damaged("It has no rows in it.")
        for name in said - {MANIFEST, DATABASE, SECRET_KEY}:
            if not ORIGINAL.fullmatch(name) and not RENDITION.fullmatch(name):
                raise Damaged(f"It holds {name!r}, which has no place in a data folder.")

    def _check_content_name(self, name: str) -> None:
        """An original's name is its hash, whatever the manifest says."""
        original = ORIGINAL.fullmatch(name)
        path = name.removeprefix(FILES)
        if not original or path in self.manifest.changed:
            return
        if original[2] != self.manifest.members[name]["sha256"]:
            raise Damaged(f"{name} in it is not the file of that name.")

    def _measure(self, name: str) -> tuple[int, str]:
        digest, size = hashlib.sha256(), 0
        try:
            with self.zip.open(name) as member:
                for chunk in chunks(member):
                    digest.update(chunk)
                    size += len(chunk)
        except Exception as reason:  # as above
            raise Damaged(f"{name} in it cannot be read: {reason}") from None
        return size, digest.hexdigest()

    @property
    def size(self) -> int:
        return sum(int(said["size"]) for said in self.manifest.members.values())

    def has(self, name: str) -> bool:
        return name in self.manifest.members

    def open(self, name: str) -> IO[bytes]:
        return self.zip.open(name)

    def write_to(self, name: str, target: Path) -> None:
        """Write a member to a new file, on disk when this returns."""
        target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as out, self.zip.open(name) as member:
            for chunk in chunks(member):
                out.write(chunk)
            out.flush()
            os.fsync(out.fileno())
