from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tasks.network.forecast.lookup import Lookup, TooShort
from tasks.network.table import StretchTable
from tasks.network.week import join_touching


@st.composite
def tables(draw: st.DrawFn) -> tuple[Lookup, StretchTable]:
    """The look-up, and the table that finds the same by search."""
    pairs = draw(st.lists(st.tuples(st.integers(0, 190), st.integers(1, 12)), min_size=1))
    slot, now = draw(st.sampled_from([(1, 0), (5, 0), (5, 3), (10, 57)]))
    laid = join_touching(
        (start // slot * slot, start // slot * slot + -(-length // slot) * slot)
        for start, length in pairs
    )
    stretches = [(max(start - now, 0), end - now) for start, end in laid if end > now]
    assume(stretches)
    return Lookup(stretches, 220, 0), StretchTable(stretches)


def ints(values: object) -> np.ndarray:
    return np.array(values, np.int32)


class TestLookUps:
    @given(tables())
    def test_they_agree_with_the_search(self, both) -> None:
        lookup, table = both
        clock = ints(range(220))
        assert lookup.minutes_at(clock).tolist() == [table.shop_at(at) for at in range(220)]
        assert [lookup.minutes_at_one(at) for at in range(220)] == lookup.minutes_at(clock).tolist()
        own = ints(range(lookup.total))
        assert lookup.starts(own).tolist() == [table.clock_at_start(at) for at in own.tolist()]
        assert lookup.finishes(own + 1).tolist() == [
            table.clock_at_finish(at) for at in (own + 1).tolist()
        ]
        known = clock[clock <= table.clock_at_finish(lookup.total)]
        firsts = [max(table.first_finish_from(at), 1) for at in known.tolist()]
        assert np.maximum(lookup.first_finishes(known), 1).tolist() == firsts
        assert [lookup.first_finish_one(at) for at in known.tolist()] == firsts

    @given(tables(), st.integers(1, 15))
    def test_what_lies_in_one_stretch_agrees_with_the_search(self, both, work) -> None:
        lookup, table = both
        for at in range(lookup.total):
            wanted = table.fit_after(at, work)
            if wanted + work <= lookup.total:
                assert lookup.fit(ints([at]), ints([work])).tolist() == [wanted]

    def test_hours_that_never_close_need_no_table(self) -> None:
        lookup = Lookup([(7, 100)], 100, 100)
        assert lookup.starts(ints([0, 5])).tolist() == [7, 12]
        assert lookup.minutes_at(ints([3, 12])).tolist() == [0, 5]


class TestFit:
    """Evenings of 30, every third of 60."""

    stretches = [(100 * k, 100 * k + (60 if k % 3 == 2 else 30)) for k in range(9)]

    def test_many_at_once(self) -> None:
        lookup = Lookup(self.stretches, 900, 60)
        own, work = ints([0, 1, 1, 60, 95]), ints([30, 30, 45, 60, 40])
        assert lookup.fit(own, work).tolist() == [0, 30, 60, 60, 180]

    def test_longer_than_any_begins_at_the_longest(self) -> None:
        lookup = Lookup(self.stretches, 900, 60)
        assert lookup.fit(ints([0, 60, 61]), ints([90, 90, 90])).tolist() == [60, 60, 180]

    def test_one_that_may_yet_come_is_waited_for(self) -> None:
        lookup = Lookup(self.stretches, 900, 60)
        with pytest.raises(TooShort):
            lookup.fit(ints([359]), ints([45]))
