from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tasks.network import BadCalendar, Calendar, NoShopHours, OutOfShopHours
from tasks.network.files import as_clock, as_moment
from tests.tasks.network.examples import rhythms

SATURDAYS = {5: [(540, 720), (780, 1080)]}


def clock(zone: str, *parts: int) -> int:
    return as_clock(datetime(*parts, tzinfo=ZoneInfo(zone)))  # type: ignore[arg-type]


def saturdays(zone: str = "Europe/London", **more) -> Calendar:
    return Calendar.from_week(SATURDAYS, zone, first_day=date(2026, 1, 1), **more)


class TestLookUps:
    @settings(max_examples=100, deadline=None)
    @given(rhythms, st.integers(0, 1000))
    def test_shop_minutes_and_clock_minutes_are_each_others_reverse(self, rhythm, shop) -> None:
        calendar = rhythm.calendar
        assert calendar.shop_at(calendar.clock_at_start(shop)) == shop
        assert calendar.shop_at(calendar.clock_at_finish(shop)) == shop
        assert calendar.clock_at_finish(shop) <= calendar.clock_at_start(shop) or shop == 0

    @settings(max_examples=100, deadline=None)
    @given(rhythms, st.integers(0, 600))
    def test_shop_minutes_are_those_counted_one_by_one(self, rhythm, clock) -> None:
        stretches = rhythm.stretches(700)
        counted = sum(
            any(start <= minute < end for start, end in stretches) for minute in range(clock)
        )
        assert Calendar(stretches).shop_at(clock) == counted

    def test_finish_is_shown_before_the_gap_and_start_after_it(self) -> None:
        calendar = Calendar([(0, 60), (100, 160)])
        assert (calendar.clock_at_finish(60), calendar.clock_at_start(60)) == (60, 100)

    def test_touching_and_overlapping_stretches_are_one(self) -> None:
        assert Calendar([(50, 80), (0, 10), (10, 20), (60, 90)]).stretches == [(0, 20), (50, 90)]

    def test_shop_between_counts_only_shop_hours_and_backwards_is_negative(self) -> None:
        calendar = Calendar([(0, 60), (100, 160)])
        assert calendar.shop_between(50, 110) == 20
        assert calendar.shop_between(110, 50) == -20

    def test_stretches_between_are_cut_off_at_both_ends(self) -> None:
        calendar = Calendar([(0, 60), (100, 160), (200, 260)])
        assert calendar.stretches_between(60, 230) == [(100, 160), (200, 230)]

    def test_stretch_that_ends_before_it_starts_is_refused(self) -> None:
        with pytest.raises(BadCalendar, match="60 to 50"):
            Calendar([(60, 50)])

    def test_given_stretches_end_when_they_end(self) -> None:
        with pytest.raises(OutOfShopHours, match="past the end"):
            Calendar([(0, 60)]).clock_at_finish(61)


class TestFromWeek:
    def test_hours_are_by_the_wall_clock_all_year(self) -> None:
        calendar = saturdays()
        winter = clock("Europe/London", 2026, 1, 3, 9)
        summer = clock("Europe/London", 2026, 7, 4, 9)
        assert calendar.clock_at_start(0) == winter == clock("UTC", 2026, 1, 3, 9)
        assert calendar.clock_at_start(calendar.shop_at(summer)) == summer
        assert summer == clock("UTC", 2026, 7, 4, 8)

    def test_day_off_has_no_hours(self) -> None:
        calendar = saturdays(days_off={date(2026, 1, 3)})
        assert calendar.clock_at_start(0) == clock("Europe/London", 2026, 1, 10, 9)

    def test_hours_go_on_past_the_last_day(self) -> None:
        calendar = saturdays(last_day=date(2026, 1, 31))
        start = calendar.clock_at_start(480 * 52 * 4)
        assert as_moment(start, ZoneInfo("Europe/London")).year in (2029, 2030)

    def test_hours_were_there_before_the_first_day_and_counting_stays_the_same(self) -> None:
        calendar = saturdays()
        later = clock("Europe/London", 2026, 3, 7, 12)
        before = calendar.shop_at(later)
        assert calendar.shop_at(clock("Europe/London", 2025, 12, 27, 9)) == -480
        assert calendar.clock_at_finish(0) == clock("Europe/London", 2025, 12, 27, 18)
        assert calendar.shop_at(later) == before

    def test_hours_over_midnight_are_one_stretch(self) -> None:
        week = {5: [(1200, 1440)], 6: [(0, 120)]}
        calendar = Calendar.from_week(week, "UTC", first_day=date(2026, 1, 1))
        assert calendar.longest_stretch == 360
        assert calendar.table.fit_after(0, 360) == 0

    def test_hours_over_sunday_night_are_one_stretch(self) -> None:
        week = {6: [(1200, 1440)], 0: [(0, 120)]}
        assert Calendar.from_week(week, "UTC").longest_stretch == 360

    def test_stretch_laid_out_in_two_parts_is_one(self) -> None:
        week = {day: [(0, 1440)] for day in range(7)}
        calendar = Calendar.from_week(
            week, "UTC", first_day=date(2026, 1, 1), last_day=date(2026, 1, 1)
        )
        assert calendar.longest_stretch is None
        begin = clock("UTC", 2026, 1, 1)
        assert calendar.clock_at_finish(1440 * 400) == begin + 1440 * 400
        assert len(calendar.stretches) == 1

    def test_week_without_hours_has_none_to_give(self) -> None:
        calendar = Calendar.from_week({2: []}, "UTC")
        assert calendar.shop_between(0, 10**7) == 0
        with pytest.raises(NoShopHours):
            calendar.clock_at_start(0)

    def test_work_of_centuries_is_refused(self) -> None:
        with pytest.raises(OutOfShopHours, match="250 years"):
            Calendar.from_week({0: [(0, 1)]}, "UTC").clock_at_start(10**6)

    @pytest.mark.parametrize(
        ("week", "zone", "says"),
        [
            ({7: [(0, 60)]}, "UTC", "weekday 7"),
            ({0: [(60, 60)]}, "UTC", "60 to 60"),
            ({0: [(60, 1441)]}, "UTC", "60 to 1441"),
            ({0: [(-5, 60)]}, "UTC", "-5 to 60"),
            ({0: [(0, 60)]}, "Europe/Atlantis", "Europe/Atlantis"),
            ({0: [(0, 60)]}, "../etc", "../etc"),
            ({0: [(0, 60)]}, "", "no time zone ''"),
        ],
    )
    def test_week_that_cannot_be_is_refused_by_name(self, week, zone, says) -> None:
        with pytest.raises(BadCalendar, match=says):
            Calendar.from_week(week, zone)


# Days on which clocks change: EU and US rules, last Sunday of March and October, second of March
# and first of November; times by the tz database.
FORWARD = [("Europe/London", date(2026, 3, 29), 60), ("America/New_York", date(2026, 3, 8), 120)]
BACK = [("Europe/London", date(2026, 10, 25), 60), ("America/New_York", date(2026, 11, 1), 60)]


class TestClockChanges:
    @staticmethod
    def hours_of(zone: str, day: date, *stretches: tuple[int, int]) -> list[int]:
        """Lengths of the stretches of a Sunday."""
        calendar = Calendar.from_week({6: stretches}, zone, first_day=day, last_day=day)
        midnight = clock(zone, day.year, day.month, day.day)
        return [end - start for start, end in calendar.stretches_between(midnight, midnight + 1500)]

    @pytest.mark.parametrize(("zone", "day", "jump"), FORWARD)
    def test_night_is_an_hour_shorter_when_clocks_go_forward(self, zone, day, jump) -> None:
        assert self.hours_of(zone, day, (0, 480)) == [420]

    @pytest.mark.parametrize(("zone", "day", "jump"), BACK)
    def test_night_is_an_hour_longer_when_clocks_go_back(self, zone, day, jump) -> None:
        assert self.hours_of(zone, day, (0, 480)) == [540]

    @pytest.mark.parametrize(("zone", "day", "jump"), FORWARD + BACK)
    def test_hours_of_the_day_itself_keep_their_length(self, zone, day, jump) -> None:
        assert self.hours_of(zone, day, (540, 720), (780, 1080)) == [180, 300]

    @pytest.mark.parametrize(("zone", "day", "jump"), FORWARD)
    def test_time_that_does_not_exist_is_the_moment_of_the_jump(self, zone, day, jump) -> None:
        assert self.hours_of(zone, day, (0, jump + 30)) == [jump]
        assert self.hours_of(zone, day, (jump + 30, jump + 120)) == [60]
        assert self.hours_of(zone, day, (jump + 10, jump + 50)) == []

    @pytest.mark.parametrize(("zone", "day", "again"), BACK)
    def test_time_that_comes_twice_is_the_first_for_a_start_and_the_last_for_an_end(
        self, zone, day, again
    ) -> None:
        assert self.hours_of(zone, day, (again + 15, again + 45)) == [90]
        assert self.hours_of(zone, day, (0, again + 30), (again + 30, 300)) == [360]

    @pytest.mark.parametrize("zone", ["Europe/London", "America/New_York"])
    @settings(max_examples=40, deadline=None)
    @given(
        start=st.integers(0, 1380),
        length=st.integers(1, 600),
        at=st.datetimes(datetime(2026, 1, 1), datetime(2027, 12, 31)),
    )
    def test_open_minutes_are_those_at_which_the_wall_clock_is_in_hours(
        self, zone, start, length, at
    ) -> None:
        """Away from the hours at which clocks change, where a reading does not tell the time."""
        end = min(start + length, 1440)
        week = {day: [(start, end)] for day in range(7)}
        calendar = Calendar.from_week(week, zone, first_day=date(2026, 1, 1))
        minute = as_clock(at.replace(tzinfo=UTC))
        wall = as_moment(minute, ZoneInfo(zone))
        if wall.hour < 4:
            return
        is_open = calendar.shop_between(minute, minute + 1) == 1
        assert is_open == (start <= wall.hour * 60 + wall.minute < end)


class TestFitting:
    @settings(max_examples=100, deadline=None)
    @given(rhythms, st.integers(0, 500), st.integers(1, 30))
    def test_fits_are_the_nearest_that_trying_finds(self, rhythm, shop, work) -> None:
        calendar = rhythm.calendar

        def fits(begin: int) -> bool:
            start = calendar.clock_at_start(begin)
            return calendar.clock_at_finish(begin + work) - start == work

        after = next((begin for begin in range(shop, shop + 200) if fits(begin)), None)
        before = next((begin for begin in range(shop, -1, -1) if fits(begin)), None)
        longest = calendar.longest_stretch
        assert longest is not None
        if work <= longest:
            assert calendar.table.fit_after(shop, work) == after
            assert calendar.table.fit_before(shop, work) == before
        else:
            assert after is None
