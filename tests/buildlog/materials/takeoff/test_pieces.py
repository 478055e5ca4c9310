"""Long pieces are parted where scarfs join them."""

from __future__ import annotations

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.materials.takeoff.pieces import sections


@pytest.mark.parametrize(
    ("length", "stock", "joint", "cut"),
    [
        (2440, 2440, 72, [2440]),  # fits: no joint
        (4808, 2440, 72, [2440, 2440]),  # two sheets of 9 mm at 8:1 run to 4808
        (4809, 2440, 72, [2440, 2440, 73]),
        (3000, 2440, 72, [2440, 632]),
        (3000, 2440, None, [3000]),  # must be in one piece: too long, and stays so
    ],
)
def test_sections(length, stock, joint, cut):
    found = sections(D(length), D(stock), None if joint is None else D(joint))
    assert found == [D(c) for c in cut]


@given(st.integers(1, 50_000), st.integers(1, 200))
def test_glued_up_they_give_the_length(length, joint):
    cut = sections(D(length), D(2440), D(joint))
    assert sum(cut) - joint * (len(cut) - 1) == length
    assert all(joint < c <= 2440 for c in cut) or len(cut) == 1
