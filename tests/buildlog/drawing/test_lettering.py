from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from buildlog.drawing.lettering import cut, width, wrap

names = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=60)


@given(names, st.floats(20, 400))
def test_what_is_cut_fits(words, room):
    assert width(cut(words, 14, room), 14) <= max(room, width("…", 14))


@given(names, st.floats(20, 400), st.integers(1, 3))
def test_what_is_wrapped_fits_its_lines(words, room, lines):
    laid = wrap(words, 14, room, lines)
    assert len(laid) <= lines
    assert all(width(line, 14) <= max(room, width("…", 14)) for line in laid)


def test_words_that_fit_are_left_whole():
    assert wrap("Fit the sole", 14, 500, 2) == ["Fit the sole"]
    assert cut("Fit the sole", 14, 500) == "Fit the sole"


def test_square_scripts_count_as_wide():
    assert width("船", 10) == 10
