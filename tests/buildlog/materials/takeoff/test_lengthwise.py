"""Stock lengths: a count that pieces really come out of."""

from __future__ import annotations

from decimal import Decimal as D
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.materials.takeoff import count_lengths
from buildlog.materials.takeoff.lengthwise import micro, rack


@pytest.mark.parametrize(
    ("pieces", "stock", "in_hand", "kerf", "bought", "too_long"),
    [
        ([], 4000, [], 0, 0, ()),
        ([4000], 4000, [], 3, 1, ()),  # no cut, no kerf
        ([2000, 2000], 4000, [], 0, 1, ()),
        ([2000, 2000], 4000, [], 3, 2, ()),  # the kerf between them is too much
        ([1998, 1999], 4000, [], 3, 1, ()),
        ([1500, 1500, 1500], 4000, [], 0, 2, ()),  # 4.5 m, but not out of 4 m and 0.5 m
        ([900], 4000, [450, 450], 0, 1, ()),  # not out of two leftovers
        ([900], 4000, [450, 900], 0, 0, ()),
        ([900, 450], 4000, [450, 900], 0, 0, ()),
        ([4001], 4000, [], 0, 0, (0,)),
        ([10, 4001, 20], 4000, [], 0, 1, (1,)),
    ],
)
def test_it_counts_lengths(pieces, stock, in_hand, kerf, bought, too_long):
    found = count_lengths([D(p) for p in pieces], D(stock), [D(h) for h in in_hand], D(kerf))
    assert found == (bought, too_long)


lengths = st.decimals(1, 4000, places=3)


@given(st.lists(lengths, max_size=40), st.lists(lengths, max_size=4), st.sampled_from([0, 3]))
def test_every_piece_lies_on_a_length_and_none_is_overfull(pieces, in_hand, kerf):
    shelf = rack(D(4000), in_hand, D(kerf))
    for piece in sorted(pieces, reverse=True):
        assert shelf.put(micro(piece)) is not None
    assert all(left >= 0 for left in shelf.left)
    held = sum(map(micro, in_hand)) + micro(D(4000)) * shelf.bought
    kerfs = micro(D(kerf)) * (len(pieces) - len(shelf.left))
    assert sum(shelf.left) == held - sum(map(micro, pieces)) - kerfs


@given(st.lists(lengths, min_size=1, max_size=40))
def test_it_is_never_below_the_running_length_nor_twice_it(pieces):
    bought, _ = count_lengths(pieces, D(4000))
    fewest = ceil(sum(pieces) / 4000)
    assert fewest <= bought <= max(1, 2 * fewest)
