import datetime as dt
import sqlite3

import pytest
from django.db import connection
from hypothesis import given
from hypothesis import strategies as st

from buildlog.journal.models import Entry
from buildlog.start.sqlite_like import like


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("written", "looked_for", "found"),
    [
        ("Épontille en frêne", "épontille", True),
        ("Größe 12", "GRÖSSE", True),
        ("Плита 6 мм", "плита", True),
        ("30 % off, 100_000", "30 %", True),
        ("300 off", "30 %", False),
        ("100x000", "100_000", False),
        ("two\nlines", "TWO\nL", True),
        ("back\\slash", "\\S", True),
    ],
)
def test_a_word_is_found_whatever_its_capitals(build, written, looked_for, found):
    if connection.vendor != "sqlite" and looked_for == "GRÖSSE":
        pytest.skip("PostgreSQL takes ß for a letter of its own")
    Entry.objects.create(build=build, text=written, day=dt.date(2026, 3, 2))
    assert Entry.objects.filter(text__icontains=looked_for).exists() is found


@given(st.text("aB%_\\", max_size=6), st.text("aAb%_\\", max_size=6))
def test_of_plain_letters_it_says_what_sqlite_says(pattern, text):
    plain = sqlite3.connect(":memory:")
    for escape in ("", "\\"):
        asked = ("SELECT ? LIKE ?" + (" ESCAPE ?" if escape else ""), (text, pattern, *escape))
        assert like(pattern, text, escape) == bool(plain.execute(*asked).fetchone()[0])
    plain.close()


def test_of_nothing_it_says_nothing():
    assert like(None, "a") is None
    assert like("a", None) is None
