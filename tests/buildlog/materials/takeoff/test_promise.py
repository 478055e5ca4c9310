"""Stock is promised in the order of the plan, and never twice."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from buildlog.materials.takeoff import promise

amounts = st.fractions(0, 100)


def test_the_earlier_task_has_the_first_claim():
    given_out = promise([("A", Fraction(3)), ("B", Fraction(3)), ("C", Fraction(1))], Fraction(5))
    assert [(p.task, p.promised, p.short) for p in given_out] == [
        ("A", 3, 0), ("B", 2, 1), ("C", 0, 1),
    ]  # fmt: skip


def test_a_ledger_below_nought_promises_nothing():
    (only,) = promise([("A", Fraction(3))], Fraction(-2))
    assert (only.promised, only.short) == (0, 3)


@given(st.lists(amounts, max_size=12), amounts)
def test_nothing_is_promised_twice(needs, stock):
    rows = promise(list(enumerate(needs)), stock)
    assert sum(row.promised for row in rows) == min(stock, sum(needs))
    assert all(row.promised + row.short == need for row, need in zip(rows, needs, strict=True))
