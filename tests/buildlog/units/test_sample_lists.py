"""Every length, amount, date and count of the sample lists is read, or refused as it deserves."""

from __future__ import annotations

import csv
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from buildlog.units import (
    AmbiguousDate,
    NegativeValue,
    NoSuchDate,
    NotReadable,
    ZeroDenominator,
    parse_amount,
    parse_count,
    parse_date,
    parse_hours,
    parse_layers,
    parse_length,
    parse_quantity,
)

SAMPLES = Path(__file__).parents[4] / "shared" / "samples" / "messy"
pytestmark = pytest.mark.skipif(not SAMPLES.is_dir(), reason="the sample lists are not here")


def rows(name: str, encoding: str, delimiter: str, skip: int = 0) -> list[dict[str, str]]:
    with (SAMPLES / name).open(encoding=encoding, newline="") as file:
        for _ in range(skip):
            next(file)
        return list(csv.DictReader(file, delimiter=delimiter))


def test_parts():
    expected = {
        "Frame 1": ("1009.65", "419.1", "9", 1),
        "Frame 2": ("1158.875", "450.85", "9.525", 1),
        "Frame 3": ("1080", "430", "9", 1),
        "Transom": ("940", "410", "18", 1),
        "Chine log": ("2540", "50.8", "25.4", 2),
        "Side": ("2480", "430", "6", 2),
        "Mystery block": ("254", "101.6", "50.8", 1),
        "Cleat": ("900.1125", "2", "1", 6),
    }
    seen = set()
    for row in rows("parts.csv", "utf-16", "\t"):
        if row["Part"] not in expected:
            continue
        length, width, thick, count = expected[row["Part"]]
        assert parse_length(row["L"], unit="mm") == Decimal(length)
        assert parse_length(row["W"], unit="mm") == Decimal(width)
        assert parse_length(row["T"], unit="mm") == Decimal(thick)
        assert parse_count(row["No."]).number == count
        seen.add(row["Part"])
    assert seen == set(expected)


def test_parts_that_are_refused():
    by_name = {row["Part"]: row for row in rows("parts.csv", "utf-16", "\t")}
    with pytest.raises(NegativeValue):
        parse_count(by_name["Knee"]["No."])
    assert parse_length(by_name["Knee"]["L"]) == Decimal("200.025")
    with pytest.raises(ZeroDenominator):
        parse_length(by_name["Filler piece"]["L"])
    assert parse_layers(by_name["Transom"]["T"]).count == 2
    assert parse_count(by_name["Chine log"]["No."]).mirrored


def test_spent():
    spent = rows("spent.csv", "cp1252", ";")
    paid = [parse_amount(row["Paid"]) for row in spent[:4]]
    assert [amount.value for amount in paid] == [
        Decimal("240.38"), Decimal("51.55"), Decimal("1168.89"), Decimal("84.70"),
    ]  # fmt: skip
    assert paid[1].currency == "EUR"
    with pytest.raises(NotReadable):
        parse_amount(spent[4]["Paid"])
    assert parse_date(spent[0]["Date"]) == date(2026, 3, 2)
    with pytest.raises(AmbiguousDate):
        parse_date(spent[1]["Date"])
    with pytest.raises(NoSuchDate):
        parse_date(spent[3]["Date"])
    assert parse_quantity(spent[2]["Qty"]) == (Decimal(6), "kg")


def test_jobs():
    jobs = {row["Nr"]: row for row in rows("jobs.csv", "utf-8-sig", ";", skip=3)}
    assert parse_hours(jobs["2"]["Hours (guess)"]) == 390
    with pytest.raises(NegativeValue):
        parse_hours(jobs["8"]["Hours (guess)"])
