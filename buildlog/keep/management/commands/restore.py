from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from buildlog.keep.archive import Damaged
from buildlog.keep.restore import CannotRestore, restore


class Command(BaseCommand):
    help = "Give a backup back, into an empty data folder."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the archive that `backup` wrote")

    def handle(self, *, file: Path, **options: Any) -> None:
        try:
            report = restore(file)
        except Damaged as reason:
            raise CommandError(f"The backup is damaged; nothing was restored. {reason}") from None
        except CannotRestore as reason:
            raise CommandError(f"Nothing was restored. {reason}") from None
        self.stdout.write(f"Restored into {settings.DATA_DIR}: all rows and {report.files} files.")
        for path in report.missing:
            self.stderr.write(f"Was missing already when the backup was made: {path}")
