from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from buildlog.keep.archive import Damaged
from buildlog.keep.restore import check_archive
from buildlog.keep.verify import Findings, remake_renditions, verify


class Command(BaseCommand):
    help = "Find files that are missing or changed, and files that nothing speaks of."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "archive", nargs="?", type=Path, help="check this backup instead of the data folder"
        )
        parser.add_argument(
            "--remake", action="store_true",
            help="have the sizes of photos made again where they are missing or changed",
        )  # fmt: skip

    def handle(self, *, archive: Path | None, remake: bool, **options: Any) -> None:
        if archive:
            self.check_archive(archive)
            return
        found = verify(timezone.now())
        self.tell(found)
        if remake:
            self.stdout.write(f"Photos whose sizes are made again: {remake_renditions(found)}.")
        if not found.fine:
            sys.exit(1)
        self.stdout.write(f"All {found.checked} files are there and as they were kept.")

    def check_archive(self, path: Path) -> None:
        try:
            archive = check_archive(path)
        except Damaged as reason:
            raise CommandError(f"The backup is damaged. {reason}") from None
        self.stdout.write(
            f"The backup of {archive.manifest.made_at} is whole: "
            f"{sum(archive.manifest.rows.values())} rows, {len(archive.manifest.members)} members."
        )

    def tell(self, found: Findings) -> None:
        for kept in found.missing:
            self.stderr.write(f"Missing: {kept.label} ({kept.path})")
        for kept in found.changed:
            self.stderr.write(f"Changed: {kept.label} ({kept.path})")
        for path in found.strays:
            self.stderr.write(f"Nothing speaks of it: {path}")
        for fault in found.faults:
            self.stderr.write(f"The rows are damaged: {fault}")
