"""Headings and what they mean; cells and what they say."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from buildlog.lists.cells import (
    AmountIn,
    Choice,
    CountOf,
    CurrencyCode,
    Day,
    Elapsed,
    Hours,
    Lag,
    LayersOf,
    Length,
    Measure,
    Moment,
    Number,
    QuantityOf,
    Terms,
    Text,
    Wait,
    Whole,
    YesNo,
)  # fmt: skip
from buildlog.lists.columns import match_columns
from buildlog.lists.fold import fold
from buildlog.lists.kinds import KINDS, guess_kind
from buildlog.lists.kinds.links.rings import closing
from buildlog.units import Layers, UnitError

BARE = Terms()


def meant(kind, *headings, **chosen):
    found = match_columns(headings, KINDS[kind].columns, chosen.get("chosen"))
    return {match.heading: match.column.key for match in found}


class TestHeadings:
    def test_mean_the_same_in_any_order_case_accent_and_punctuation(self):
        assert meant("tasks", "MEN!", "job", "  Nr. ", "Stagé") == {
            "MEN!": "hands", "job": "name", "  Nr. ": "code", "Stagé": "stage",
        }  # fmt: skip

    def test_are_each_taken_once_the_closer_first(self):
        assert meant("tasks", "planned hours", "hours")["hours"] == "likely"
        assert "planned hours" not in meant("tasks", "planned hours", "hours")

    def test_may_be_given_another_meaning_or_none(self):
        assert meant("tasks", "Job", "Zone", chosen={1: "stage"}) == {
            "Job": "name",
            "Zone": "stage",
        }
        assert meant("tasks", "Job", "Stage", chosen={1: ""}) == {"Job": "name"}

    def test_name_their_unit(self):
        (length,) = match_columns(["L (in)"], KINDS["parts"].columns)
        assert (length.column.key, length.unit) == ("length", "in")

    @pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
    def test_of_our_own_lists_mean_themselves_and_tell_the_kind(self, kind):
        headings = [column.heading for column in kind.columns]
        assert meant(kind.key, *headings) == {c.heading: c.key for c in kind.columns}
        assert guess_kind(headings) is kind

    def test_of_nothing_known_tell_no_kind(self):
        assert guess_kind(["alpha", "beta"]) is None

    @pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
    def test_are_not_claimed_by_two_columns(self, kind):
        own = [fold(column.heading) for column in kind.columns]
        assert len(set(own)) == len(own)


class TestCells:
    @pytest.mark.parametrize(
        ("reader", "text", "value"),
        [
            (Text(20), " a  b ", "a b"),
            (YesNo(), "Y", True), (YesNo(), "no", False), (YesNo(), "✓", True),
            (Choice({"along": "along"}), "Along.", "along"),
            (Hours(), "6,5", 390), (Hours(), "1:30", 90), (Hours(), "2 h 15", 135),
            (Elapsed(), "2 days", 2880), (Elapsed(), "24", 1440), (Elapsed(), "1 week", 10080),
            (Wait(), "24 h cure", Lag(1440, "elapsed")), (Wait(), "1 day", Lag(1440, "elapsed")),
            (Wait(), "4", Lag(240, "")), (Wait(), "2 shop h", Lag(120, "shop")),
            (Wait(), "-3", Lag(-180, "")), (Wait(), "dry 12 h", Lag(720, "elapsed")),
            (Whole(least=1), "one", 1),
            (CountOf(), "2 (p+s)", (2, True)),
            (LayersOf(), "2x9mm", Layers(2, Decimal(9))),
            (Length(), "1.22 m", Decimal(1220)),
            (Number("%"), "12,5 %", Decimal("12.5")),
            (Measure("temperature", "°C", least=None), "50 °F", Decimal(10)),
            (QuantityOf(), "6 kg", (Decimal(6), "kg")), (QuantityOf(), "200", (Decimal(200), "")),
            (AmountIn(), "€ 51.55", (Decimal("51.55"), "EUR", "€")),
            (CurrencyCode(), "gbp", "GBP"), (CurrencyCode(), "€", "EUR"),
            (Day(), "2.3.2026", dt.date(2026, 3, 2)),
            (Moment(), "2026-03-07", dt.datetime(2026, 3, 7, 12)),
            (Moment(), "2026-03-07 09:05", dt.datetime(2026, 3, 7, 9, 5)),
        ],
    )  # fmt: skip
    def test_are_read(self, reader, text, value):
        assert reader(text, BARE) == value

    def test_moments_keep_their_offset(self):
        assert Moment()("2026-03-07 09:00+01:00", BARE).utcoffset() == dt.timedelta(hours=1)

    @pytest.mark.parametrize(
        ("reader", "text", "rule"),
        [
            (Text(3), "four", "too-long"),
            (YesNo(), "perhaps", "not-one-of"), (Choice({"a": "a"}), "b", "not-one-of"),
            (Hours(), "-6", "negative"), (Hours(), "2 days", "unreadable"),
            (Wait(), "cure", "unreadable"), (Wait(), "1 working day", "unreadable"),
            (Whole(least=1), "0", "unreadable"), (Whole(), "40000", "too-large"),
            (CountOf(), "-2", "negative"), (CountOf(), "0", "unreadable"),
            (Length(), "0 mm", "unreadable"), (Length(), "12", "no-unit"),
            (Length(), '1 3/0"', "zero-denominator"),
            (Number(), "-1", "negative"), (Number(), "1.12345", "too-long"),
            (Number(most=Decimal(5)), "6", "too-large"),
            (QuantityOf(), "0", "unreadable"), (QuantityOf(), "-1", "negative"),
            (AmountIn(), "abc", "unreadable"), (AmountIn(), "-3", "negative"),
            (CurrencyCode(), "$", "unknown-currency"),
            (Day(), "31/02/2026", "no-such-date"), (Day(), "03/09/2026", "ambiguous-date"),
            (Moment(), "2026-03-07 25:00", "unreadable"),
        ],
    )  # fmt: skip
    def test_are_refused_by_rule(self, reader, text, rule):
        with pytest.raises(UnitError) as refused:
            reader(text, BARE)
        assert refused.value.rule == rule


class TestRings:
    def test_one_over_old_and_new_links_is_named(self):
        assert closing([("a", "b"), ("b", "c")], [("x", "a"), ("c", "a")]) == {1: ["a", "b", "c"]}

    def test_what_comes_after_one_is_held_against_the_rest(self):
        found = closing([], [("a", "b"), ("b", "a"), ("b", "c"), ("c", "a")])
        assert found == {1: ["a", "b"], 3: ["a", "b", "c"]}

    def test_none_among_many_links_without_one(self):
        links = [(str(i), str(i + j)) for i in range(2000) for j in (1, 7)]
        assert closing(links[:10], links[10:]) == {}
