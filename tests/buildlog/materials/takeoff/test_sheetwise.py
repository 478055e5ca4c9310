"""Sheets: a count with a layout behind it."""

from __future__ import annotations

from decimal import Decimal as D
from itertools import combinations
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.materials.takeoff import Grain, count_sheets
from buildlog.materials.takeoff.lengthwise import micro
from buildlog.materials.takeoff.sheetwise import blank, stack


def count(pieces, in_hand=(), kerf=0, sheet=(2500, 1220)):
    blanks = [blank(D(a), D(b), *grain) for a, b, *grain in pieces]
    held = [(D(a), D(b)) for a, b in in_hand]
    return count_sheets(blanks, D(sheet[0]), D(sheet[1]), held, D(kerf))


@pytest.mark.parametrize(
    ("pieces", "in_hand", "kerf", "bought", "too_big"),
    [
        ([], [], 0, 0, ()),
        ([(2500, 1220)], [], 3, 1, ()),  # whole sheet, no cut
        ([(1300, 1000)] * 2, [], 0, 2, ()),  # 0.85 of the area of one sheet
        ([(1250, 1220)] * 2, [], 0, 1, ()),
        ([(1250, 1220)] * 2, [], 3, 2, ()),  # the kerf is too much
        ([(1220, 2500)], [], 0, 1, ()),  # may be turned
        ([(1220, 2500, Grain.ALONG)], [], 0, 0, (0,)),  # may not
        ([(1220, 2500, Grain.ACROSS)], [], 0, 1, ()),  # its length lies across
        ([(2500, 1220, Grain.ACROSS)], [], 0, 0, (0,)),
        ([(2600, 100)], [], 0, 0, (0,)),
        ([(900, 600)], [(1000, 700)], 0, 0, ()),
        ([(900, 600), (900, 600)], [(1000, 700)], 0, 1, ()),
        ([(900, 600)], [(800, 700), (700, 700)], 0, 1, ()),
    ],
)
def test_it_counts_sheets(pieces, in_hand, kerf, bought, too_big):
    assert count(pieces, in_hand, kerf) == (bought, too_big)


sizes = st.tuples(st.integers(20, 2500), st.integers(20, 1220), st.sampled_from(list(Grain)[:2]))


@given(st.lists(sizes, max_size=30), st.sampled_from([0, 3]))
def test_the_layout_behind_the_count_is_one_that_can_be_cut(pieces, kerf):
    pile = stack(D(2500), D(1220), [(D(1000), D(600))], D(kerf))
    room = [(1000, 600)]
    cuts = []
    for a, b, grain in pieces:
        cut = pile.put(blank(D(a), D(b), grain))
        assert cut is not None
        assert {cut.length, cut.width} == {micro(D(a)), micro(D(b))}
        if grain is Grain.ALONG:
            assert cut.length == micro(D(a))
        cuts.append(cut)
    room += [(2500, 1220)] * pile.bought
    for cut in cuts:
        long, wide = room[cut.sheet]
        assert cut.x >= 0
        assert cut.y >= 0
        assert cut.x + cut.length <= micro(D(long))
        assert cut.y + cut.width <= micro(D(wide))
    gap = micro(D(kerf))
    for one, two in combinations(cuts, 2):
        assert (
            one.sheet != two.sheet
            or one.x + one.length + gap <= two.x
            or two.x + two.length + gap <= one.x
            or one.y + one.width + gap <= two.y
            or two.y + two.width + gap <= one.y
        )


@given(st.lists(sizes, min_size=1, max_size=30))
def test_it_is_never_below_the_area_nor_wildly_over(pieces):
    bought, too_big = count(pieces)
    assert not too_big
    area = sum(a * b for a, b, _ in pieces) / (2500 * 1220)
    assert ceil(area) <= bought <= 4 * area + 2
