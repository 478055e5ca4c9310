"""Where work finds enough, against a look at every minute."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tasks.network.hands.space import OneGo, Paused
from tasks.network.table import NEVER

GUARD = 4
cuts = st.lists(st.integers(0, 60), min_size=2, max_size=12, unique=True).map(sorted)


def stretches(ends: list[int]) -> list[tuple[int, int]]:
    return list(zip(ends[::2], ends[1::2], strict=False))


@st.composite
def profiles(draw: st.DrawFn) -> tuple[list[int], list[int], list[int]]:
    """What is free from each minute on, and the same minute by minute."""
    times = [0, *(cut for cut in draw(cuts) if cut)]
    counts = [draw(st.integers(0, 2)) for _ in times]
    minutes = [
        counts[max(at for at, time in enumerate(times) if time <= minute)] for minute in range(300)
    ]
    return [*times, 2 * NEVER], [*(count | GUARD for count in counts), 0], minutes


@given(cuts, profiles(), st.integers(0, 60), st.integers(1, 20), st.integers(0, 2))
def test_work_that_may_pause_takes_the_first_minutes_that_have_enough(
    ends, profile, ready, work, need
):
    times, free, counts = profile
    own = stretches(ends)
    minutes = [minute for start, end in own for minute in range(start, end)]
    fits = [
        minutes[at : at + work]
        for at in range(len(minutes) - work + 1)
        if minutes[at] >= ready
        and all(counts[minute] >= need for minute in minutes[at : at + work])
    ]
    space = Paused(own)
    begin = space.fit(times, free, GUARD, ready, work, need)
    if not fits:
        assert begin == NEVER
        return
    assert begin == fits[0][0]
    taken = [minute for start, end in space.pieces(begin, work) for minute in range(start, end)]
    assert taken == fits[0]
    assert space.end(begin, work) == taken[-1] + 1


@given(cuts, profiles(), st.integers(0, 60), st.integers(1, 20), st.integers(0, 2))
def test_unbroken_work_lies_in_the_first_stretch_that_has_enough(ends, profile, ready, work, need):
    times, free, counts = profile
    own = stretches(ends)
    fits = [
        begin
        for start, end in own
        for begin in range(max(start, ready), end - work + 1)
        if all(counts[minute] >= need for minute in range(begin, begin + work))
    ]
    space = OneGo(own, work)
    begin = space.fit(times, free, GUARD, ready, work, need)
    assert begin == (fits[0] if fits else NEVER)
    if fits:
        assert list(space.pieces(begin, work)) == [(begin, begin + work)]
        assert space.end(begin, work) == begin + work
