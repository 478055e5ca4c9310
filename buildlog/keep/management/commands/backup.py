from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from buildlog.keep.backup import CannotBackUp, back_up, default_path


class Command(BaseCommand):
    help = "Write everything to one archive, while the program may go on running."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "file", nargs="?", type=Path,
            help="the archive, or a folder to put it in; else backups/ in the data folder",
        )  # fmt: skip

    def handle(self, *, file: Path | None, **options: Any) -> None:
        now = timezone.localtime()
        target = file or default_path(now)
        if target.is_dir():
            target = target / default_path(now).name
        try:
            report = back_up(target, now)
        except (CannotBackUp, OSError) as reason:
            raise CommandError(f"No backup was made. {reason}") from None
        self.stdout.write(
            f"{report.path}: {report.rows} rows and {report.files} files, "
            f"{report.path.stat().st_size / 1e6:.1f} MB.\nSHA-256 {report.sha256}"
        )
        for kept in report.missing:
            self.stderr.write(f"Missing in the storage, so not in the backup: {kept.label}")
        for kept in report.changed:
            self.stderr.write(f"Changed in the storage, kept as it is now: {kept.label}")
        if not report.whole:
            sys.exit(1)
