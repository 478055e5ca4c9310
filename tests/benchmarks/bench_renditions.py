"""How long a photo takes on its way in, as multiples of decoding it once, whole.

Run by hand: `python -m tests.benchmarks.bench_renditions`. A drawn 12-megapixel photo with some
noise, as JPEG and as HEIC. Looking is what an upload waits for; making is the background's three
renditions. Times are processor time, the best of several runs in this one process.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import numpy as np
from PIL import Image

from tests.benchmarks.timing import best_of


def twelve_megapixels() -> Image.Image:
    rng = np.random.default_rng(1)
    scene = Image.fromarray(rng.integers(0, 255, (30, 40, 3), dtype="uint8"))
    scene = scene.resize((4000, 3000), Image.Resampling.BICUBIC)
    grain = Image.fromarray(rng.integers(0, 255, (3000, 4000, 3), dtype="uint8"))
    return Image.blend(scene, grain, 0.05)


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "buildlog.settings")
    import django

    with tempfile.TemporaryDirectory() as folder:
        os.environ["BUILDLOG_DATA"] = folder
        django.setup()
        report(Path(folder))


def report(folder: Path) -> None:
    from buildlog.journal.picture import look_at, opened
    from buildlog.journal.renditions import make_renditions

    image = twelve_megapixels()
    print(f"{'':6}{'size':>9}{'decode once':>14}{'looking':>14}{'making':>14}")
    for name, format, mime in (("JPEG", "JPEG", "image/jpeg"), ("HEIC", "HEIF", "image/heic")):
        path = folder / name
        image.save(path, format, quality=88)

        def decode(path: Path = path, mime: str = mime) -> None:
            with opened(path, mime) as whole:
                whole.load()

        once = best_of(decode)
        looking = best_of(lambda p=path, m=mime: look_at(p, m))
        making = best_of(lambda p=path, m=mime: list(make_renditions(p, m)))
        size = path.stat().st_size / 1e6
        print(
            f"{name:6}{size:6.1f} MB{once:12.3f} s"
            f"{looking:8.3f} s ×{looking / once:<4.2f}{making:7.3f} s ×{making / once:<4.2f}"
        )


if __name__ == "__main__":
    main()
