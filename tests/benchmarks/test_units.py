"""How long reading lengths takes, as a multiple of reading bare decimals."""

from __future__ import annotations

import timeit
from decimal import Decimal

from buildlog.units import parse_length

TEXTS = ["4'-6 1/2\"", "18mm", "2,48 m", "35 7/16 in", "1¾″", "2x9mm", "940 mm", "43 cm"] * 1250


def test_reading_ten_thousand_lengths(capsys):
    lengths = min(timeit.repeat(lambda: [parse_length(t) for t in TEXTS], number=1, repeat=3))
    plain = ["1384.3"] * len(TEXTS)
    decimals = min(timeit.repeat(lambda: [Decimal(t) for t in plain], number=1, repeat=3))
    with capsys.disabled():
        print(f"\n{len(TEXTS)} lengths: {lengths / decimals:.0f} x bare decimals ({lengths:.2f} s)")
