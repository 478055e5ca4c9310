import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.drawing.amounts import shown, steps


@given(st.floats(min_value=0.01, max_value=1e9), st.integers(min_value=2, max_value=8))
def test_steps_are_round_even_and_reach_the_highest(high, most):
    values = steps(high, most)
    assert values[0] == 0
    assert values[-1] >= high * (1 - 1e-9)
    assert values[-2] < high
    assert len(values) <= most + 1
    step = values[1]
    assert values == pytest.approx([step * n for n in range(len(values))])
    digits = f"{step:e}".split("e")[0].rstrip("0").rstrip(".")
    assert digits in ("1", "2", "5")


@pytest.mark.parametrize("high", [0, -3])
def test_nothing_still_has_a_rule(high):
    assert steps(high) == [0.0, 1.0]


def test_amounts_are_shown_without_idle_decimals():
    assert [shown(n) for n in (0, 0.25, 20, 1500000)] == ["0", "0.25", "20", "1\u202f500\u202f000"]
