"""How long a backup takes, as a multiple of only copying and hashing the same files.

Run by hand: `python -m tests.benchmarks.bench_backup`. It makes a data folder of its own, with 300
originals of 1 MB each. Times are the best of several runs in this process.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import os
import shutil
import tempfile
import time
from pathlib import Path

from tests.benchmarks.timing import best_of

FILES, SIZE, RUNS = 300, 1_000_000, 3


def fill() -> None:
    from django.core.files.base import ContentFile

    from buildlog.files import store
    from tasks.models import Build

    build = Build.objects.create(name="Large", slug="large")
    for number in range(FILES):
        store.keep(build, ContentFile(os.urandom(SIZE), name=f"{number}.bin"))


def copy_and_hash(source: Path, target: Path) -> None:
    """The least that a copy one can trust must do."""
    with target.open("wb") as out:
        for path in sorted(source.rglob("*")):
            if path.is_file():
                content = path.read_bytes()
                hashlib.sha256(content).digest()
                out.write(content)
        out.flush()
        os.fsync(out.fileno())


def main() -> None:
    with tempfile.TemporaryDirectory(prefix="bench-backup-") as name:
        folder = Path(name)
        os.environ |= {"BUILDLOG_DATA": str(folder / "data")}
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "buildlog.settings")
        import django

        django.setup()
        from django.conf import settings
        from django.core.management import call_command

        from buildlog.keep.backup import back_up
        from buildlog.keep.restore import check_archive
        from buildlog.keep.verify import verify

        call_command("migrate", verbosity=0, interactive=False)
        fill()
        now = dt.datetime.now(dt.UTC)
        target = folder / "out" / "boat.zip"

        def backup() -> None:
            shutil.rmtree(target.parent, ignore_errors=True)
            back_up(target, now)

        bare = best_of(
            lambda: copy_and_hash(Path(settings.MEDIA_ROOT), folder / "bare"),
            RUNS,
            time.perf_counter,
        )
        print(f"{FILES} files of {SIZE / 1e6:g} MB: copied and hashed in {bare:.2f} s")
        for what, run in (
            ("backup", backup),
            ("verify", lambda: verify(now)),
            ("verify of the archive", lambda: check_archive(target)),
        ):
            took = best_of(run, RUNS, time.perf_counter)
            print(f"  {what}: {took / bare:.1f} x that ({took:.2f} s)")


if __name__ == "__main__":
    main()
