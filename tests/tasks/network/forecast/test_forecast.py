from __future__ import annotations

from datetime import date
from fractions import Fraction

import numpy as np
import pytest

from tasks.network import Calendar, Link, LinkKind, OutOfShopHours, Task, UnknownTask
from tasks.network.estimate import Estimate
from tasks.network.exceptions import BadValue
from tasks.network.forecast import Done, Forecast, Week, forecast, learn
from tasks.network.hands import Booking, Capacity, HandsProblem, Need, Season, Span, plan_hands

MONDAY = date(2026, 1, 5)
NOW = 1440 * (MONDAY.toordinal() - date(1970, 1, 1).toordinal())
EVENINGS = Calendar.from_week({day: [(1080, 1260)] for day in range(5)}, "UTC", (), MONDAY)
ALWAYS = Calendar.always()


def told(problem: HandsProblem, estimates: dict, **more) -> Forecast:
    return forecast(problem, plan_hands(problem), estimates, **{"runs": 2000, **more})


def sure(minutes: float) -> Estimate:
    return Estimate(minutes, minutes, minutes)


@pytest.fixture
def chain() -> HandsProblem:
    tasks = [Task("frames", 600), Task("planks", 900, cure=1440), Task("deck", 400)]
    return HandsProblem(tasks, [Link("planks", "deck")], EVENINGS, NOW)


GUESSES = {
    "frames": Estimate(400, 600, 1200),
    "planks": Estimate(600, 900, 2400),
    "deck": Estimate(390, 400, 420),
}


class TestTheWhole:
    def test_same_seed_same_forecast(self, chain) -> None:
        one, other, third = (told(chain, GUESSES, seed=seed) for seed in (1, 1, 2))
        assert (one.launches == other.launches).all() and one.tasks == other.tasks
        assert (one.launches != third.launches).any()

    def test_launches_are_sorted_clock_minutes(self, chain) -> None:
        launches = told(chain, GUESSES).launches
        assert launches.dtype == np.int64 and len(launches) == 2000
        assert (np.diff(launches) >= 0).all() and launches[0] > NOW

    def test_a_task_more_leaves_the_luck_of_the_others(self, chain) -> None:
        """What would be if, compared run by run, is not drowned by chance."""
        before = told(chain, GUESSES)
        tasks, links = [Task("rig", 180), *chain.tasks], [*chain.links, Link("deck", "rig")]
        more = HandsProblem(tasks, links, EVENINGS, NOW)
        after = told(more, GUESSES | {"rig": sure(180)})
        one, other = (found.tasks["deck"] for found in (before, after))
        assert one.finish_p10 == other.finish_p10 and one.finish_p90 == other.finish_p90
        assert after.p50 > before.p50

    def test_finished_build_has_launched(self) -> None:
        task = Task("a", 5, cure=30, finished=NOW - 10)
        found = told(HandsProblem([task], [], EVENINGS, NOW), {"a": Estimate(1, 2, 3)})
        assert found.p10 == found.p90 == NOW + 20 and found.tasks == {}

    def test_build_without_tasks(self) -> None:
        found = told(HandsProblem([], [], EVENINGS, NOW), {})
        assert found.p50 == NOW and found.drivers() == []

    def test_who_has_no_estimate_takes_the_plans_work(self) -> None:
        found = told(HandsProblem([Task("a", 50)], [], ALWAYS, NOW), {})
        assert found.p10 == found.p90 == NOW + 50

    def test_a_point_that_is_guessed_at_is_work(self) -> None:
        found = told(HandsProblem([Task("a", 0)], [], ALWAYS, NOW), {"a": Estimate(10, 20, 30)})
        assert NOW + 10 <= found.p10 < found.p90 <= NOW + 30

    def test_work_guessed_at_nothing_is_a_point(self) -> None:
        problem = HandsProblem([Task("a", 50), Task("b", 20)], [Link("a", "b")], ALWAYS, NOW)
        assert told(problem, {"a": sure(0)}).p50 == NOW + 20

    @pytest.mark.parametrize(
        ("more", "error"),
        [
            ({"runs": 0}, BadValue),
            ({"runs": 2.5}, BadValue),
            ({"kinds": {"x": "gluing"}}, UnknownTask),
        ],
    )
    def test_bad_arguments_are_refused(self, more, error, chain) -> None:
        with pytest.raises(error):
            told(chain, GUESSES, **more)

    def test_strangers_are_refused(self, chain) -> None:
        with pytest.raises(UnknownTask, match="keel"):
            told(chain, {"keel": sure(5)})
        other = HandsProblem(chain.tasks[:2], [], EVENINGS, NOW)
        with pytest.raises(BadValue, match="other tasks"):
            forecast(other, plan_hands(chain), {})
        later = HandsProblem(chain.tasks, chain.links, EVENINGS, NOW + 5)
        with pytest.raises(BadValue, match="another time"):
            forecast(later, plan_hands(chain), {})


class TestFigures:
    launches = np.arange(100, 1100, 100)

    def make(self, **more) -> Forecast:
        return Forecast(0, 10, 0, self.launches, {}, {}, **more)

    def test_a_quantile_is_a_launch_of_some_run(self) -> None:
        assert (self.make().p10, self.make().p50, self.make().p90) == (100, 500, 900)
        assert [self.make().quantile(q) for q in (0, 0.11, 0.3, 1)] == [100, 200, 300, 1000]

    @pytest.mark.parametrize("share", [-0.1, 1.1, float("nan")])
    def test_a_quantile_is_a_share(self, share) -> None:
        with pytest.raises(BadValue):
            self.make().quantile(share)

    def test_chance_counts_the_minute_itself(self) -> None:
        chances = [self.make().chance_by(clock) for clock in (99, 100, 550, 5000)]
        assert chances == [0, 0.1, 0.5, 1]
        assert self.make().chance is None
        assert self.make(wished=700).chance == 0.7

    def test_histogram_counts_every_run_in_bars_of_whole_weeks(self) -> None:
        launches = np.array([5, 10079, 10080, 40320])
        found = Forecast(0, 4, 0, launches, {}, {})
        assert found.histogram() == [(0, 2), (10080, 1), (20160, 0), (30240, 0), (40320, 1)]
        assert found.histogram(2) == [(0, 3), (20160, 0), (40320, 1)]
        with pytest.raises(BadValue):
            found.histogram(0)


class TestRules:
    def test_a_pin_slips_when_what_it_waits_for_is_late(self) -> None:
        problem = HandsProblem(
            [Task("a", 50), Task("b", 20)],
            [Link("a", "b")],
            ALWAYS,
            NOW,
            {"b": Need(pin=NOW + 60)},
        )
        assert told(problem, {"a": sure(40)}).p50 == NOW + 80
        assert told(problem, {"a": sure(75)}).p50 == NOW + 95

    def test_a_season_missed_is_a_year(self) -> None:
        warm = Season((4, 1), (10, 31), "UTC")
        problem = HandsProblem(
            [Task("a", 60), Task("coat", 60)],
            [Link("a", "coat")],
            ALWAYS,
            NOW,
            {"coat": Need(hours="warm")},
            hours={"warm": warm},
        )
        autumn = NOW + 1440 * (date(2026, 11, 5) - MONDAY).days
        spring = NOW + 1440 * (date(2027, 4, 1) - MONDAY).days
        assert told(problem, {"a": sure(autumn - NOW)}).p50 == spring + 60

    def test_a_helper_missed_is_taken_to_be_booked_again(self) -> None:
        """Two hands are there on one day only; who is late for it goes on in the shop's hours."""
        day = Booking(1, Span(NOW + 1080, NOW + 1260))
        problem = HandsProblem(
            [Task("turn", 120)],
            [],
            EVENINGS,
            NOW,
            {"turn": Need({"hands": 2})},
            {"hands": Capacity(1, (day,))},
        )
        assert told(problem, {"turn": sure(120)}).p50 == NOW + 1200
        assert told(problem, {"turn": sure(200)}).p50 == NOW + 1440 + 1100

    def test_unbroken_work_waits_for_a_stretch_that_is_long_enough(self) -> None:
        week = {0: [(1080, 1260)], 5: [(540, 900)]}
        calendar = Calendar.from_week(week, "UTC", (), MONDAY)
        problem = HandsProblem([Task("glue", 150, unbroken=True)], [], calendar, NOW)
        saturday = NOW + 5 * 1440 + 540
        assert told(problem, {"glue": sure(180)}).p50 == NOW + 1260
        assert told(problem, {"glue": sure(181)}).p50 == saturday + 181
        # Longer than any: from the longest on, and the rest on the next day.
        assert told(problem, {"glue": sure(400)}).p50 == NOW + 7 * 1440 + 1080 + 40

    def test_started_work_goes_on_from_today_with_what_is_left(self) -> None:
        problem = HandsProblem([Task("a", 500, started=NOW - 900, left=100)], [], ALWAYS, NOW)
        assert told(problem, {"a": sure(80)}).p50 == NOW + 80

    def test_all_kinds_of_link_hold_in_every_run(self) -> None:
        tasks = [Task("a", 100), Task("b", 100)]
        two = {"hands": Capacity(2)}
        for kind, latest in (
            (LinkKind.FS, 130 + 30 + 100),
            (LinkKind.SS, 30 + 100),
            (LinkKind.FF, 130 + 30),
        ):
            problem = HandsProblem(tasks, [Link("a", "b", kind, 30)], ALWAYS, NOW, {}, two)
            found = told(problem, {"a": sure(130), "b": sure(100)})
            assert found.tasks["b"].finish_p50 == NOW + latest

    def test_hours_that_end_for_good_are_told(self) -> None:
        calendar = Calendar([(NOW, NOW + 100)])
        problem = HandsProblem([Task("a", 50)], [], calendar, NOW)
        with pytest.raises(OutOfShopHours):
            told(problem, {"a": sure(200)})

    def test_far_more_than_planned_is_laid_out(self) -> None:
        problem = HandsProblem([Task("a", 60)], [], EVENINGS, NOW)
        assert told(problem, {"a": sure(900 * 260)}).p50 > NOW + 1440 * 7 * 259


class TestParts:
    def test_the_longer_path_is_on_the_chain(self) -> None:
        tasks = [Task("long", 300), Task("short", 100), Task("end", 10)]
        links = [Link("long", "end"), Link("short", "end")]
        problem = HandsProblem(tasks, links, ALWAYS, NOW, {}, {"hands": Capacity(2)})
        guesses = {"long": Estimate(100, 300, 500), "short": Estimate(50, 150, 450)}
        parts = told(problem, guesses, runs=10_000).tasks
        assert parts["end"].on_chain == 1
        assert parts["long"].on_chain + parts["short"].on_chain == pytest.approx(1)
        assert 0.8 < parts["long"].on_chain < 1

    def test_hands_are_part_of_the_chain(self) -> None:
        problem = HandsProblem([Task(n, 60) for n in range(4)], [], ALWAYS, NOW)
        parts = told(problem, {n: Estimate(30, 60, 120) for n in range(4)}).tasks
        assert all(part.on_chain == 1 for part in parts.values())

    def test_a_date_ends_the_chain(self) -> None:
        tasks = [Task("a", 60), Task("b", 60, not_before=NOW + 5000)]
        problem = HandsProblem(tasks, [Link("a", "b")], ALWAYS, NOW)
        parts = told(problem, {"a": Estimate(30, 60, 120)}).tasks
        assert (parts["a"].on_chain, parts["b"].on_chain) == (0, 1)

    def test_spread_is_the_share_of_the_variance(self) -> None:
        """Ranges of 1 to 2 on a chain: variances of 1 to 4."""
        problem = HandsProblem([Task("a", 300), Task("b", 300), Task("c", 300)], [], ALWAYS, NOW)
        guesses = {"a": Estimate(200, 300, 400), "b": Estimate(100, 300, 500), "c": sure(300)}
        found = told(problem, guesses, runs=10_000)
        assert found.tasks["a"].spread == pytest.approx(0.2, abs=0.02)
        assert found.tasks["b"].spread == pytest.approx(0.8, abs=0.02)
        assert found.tasks["c"].spread == 0
        assert [id for id, _ in found.drivers()] == ["b", "a"]
        assert len(found.drivers(1)) == 1 and found.shared == {}

    def test_what_never_holds_the_launch_carries_none_of_its_spread(self) -> None:
        problem = HandsProblem(
            [Task("long", 3000), Task("aside", 100)],
            [],
            ALWAYS,
            NOW,
            {},
            {"hands": Capacity(2)},
        )
        guesses = {"long": Estimate(2000, 3000, 5000), "aside": Estimate(50, 100, 300)}
        parts = told(problem, guesses, runs=10_000).tasks
        assert parts["aside"].spread < 0.002 and parts["aside"].on_chain == 0

    def test_finish_figures_are_quantiles_by_the_clock(self) -> None:
        problem = HandsProblem([Task("a", 600, cure=99)], [], EVENINGS, NOW)
        found = told(problem, {"a": Estimate(400, 600, 1200)})
        part = found.tasks["a"]
        wanted = (part.finish_p10, part.finish_p50, part.finish_p90)
        assert tuple(at - 99 for at in (found.p10, found.p50, found.p90)) == wanted


class TestCorrection:
    jobs = [Done("gluing", 60, 90, 180, 150)] * 60 + [Done("cutting", 60, 90, 180, 100)] * 60
    one = HandsProblem([Task("a", 6000)], [], ALWAYS, NOW)
    guess = {"a": Estimate(5000, 6000, 7000)}

    def test_kinds_are_corrected_by_their_own_factor(self) -> None:
        record = learn(self.jobs, [Week(10, 10)] * 400)
        lengths = {
            kind: told(self.one, self.guess, kinds={"a": kind}, correction=record).p50 - NOW
            for kind in ("gluing", "cutting")
        }
        assert lengths["gluing"] / 6000 == pytest.approx(1.5, rel=0.05)
        assert lengths["cutting"] / 6000 == pytest.approx(1.0, rel=0.05)

    def test_a_slow_pace_stretches_work_and_not_cures(self) -> None:
        record = learn(self.jobs, [Week(10, 5)] * 2000)
        cured = HandsProblem([Task("a", 6000, cure=50_000)], [], ALWAYS, NOW)
        found = told(cured, self.guess, kinds={"a": "cutting"}, correction=record)
        assert found.p50 - NOW - 50_000 == pytest.approx(12_000, rel=0.05)

    def test_unbroken_work_keeps_its_length_and_comes_later(self) -> None:
        record = learn(self.jobs, [Week(10, 5)] * 2000)
        saturdays = Calendar.from_week({5: [(540, 900)]}, "UTC", (), MONDAY)
        problem = HandsProblem([Task("a", 300, unbroken=True)], [], saturdays, NOW)
        found = told(problem, {"a": sure(300)}, kinds={"a": "cutting"}, correction=record)
        # Some 300 minutes of the first Saturday are not worked; the second is.
        assert NOW + 12 * 1440 + 540 < found.p50 < NOW + 12 * 1440 + 900

    def test_a_record_of_none_makes_it_wider_and_shared(self) -> None:
        plain = told(self.one, self.guess)
        wide = told(self.one, self.guess, correction=learn([]))
        assert wide.p90 - wide.p10 > 4 * (plain.p90 - plain.p10)
        assert wide.shared["guesses"] > 0.2 and wide.shared["pace"] > 0.2
        whole = sum(wide.shared.values()) + wide.tasks["a"].spread
        assert float(Fraction(whole).limit_denominator(1000)) == 1

    def test_same_seed_same_forecast(self) -> None:
        record = learn(self.jobs)
        one, other = (told(self.one, self.guess, correction=record) for _ in range(2))
        assert (one.launches == other.launches).all()
