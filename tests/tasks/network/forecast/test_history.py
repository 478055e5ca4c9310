from __future__ import annotations

import math
import random

import numpy as np
import pytest

from tasks.network.exceptions import BadValue
from tasks.network.forecast import Done, Prior, Week, learn


def jobs(kind: str, times: float, count: int, scatter: float = 0.15, seed: int = 1) -> list[Done]:
    """Jobs whose actual time lies around so many times their mean guess."""
    rng = random.Random(f"{kind} {seed}")
    mean = (60 + 4 * 90 + 180) / 6
    return [
        Done(kind, 60, 90, 180, mean * times * math.exp(rng.gauss(0, scatter)))
        for _ in range(count)
    ]


class TestFactors:
    def test_nothing_is_learnt_from_nothing(self) -> None:
        told = learn([])
        assert told.overall.factor == pytest.approx(1)
        assert told.overall.jobs == 0 and told.kinds == {}
        assert (told.pace.share, told.pace.weeks) == (1, 0)
        assert told.overall.low < 0.65 and told.overall.high > 1.6

    def test_many_jobs_of_a_kind_speak_for_themselves(self) -> None:
        told = learn(jobs("gluing", 1.4, 60) + jobs("cutting", 0.9, 60))
        assert told.kinds["gluing"].factor == pytest.approx(1.4, rel=0.07)
        assert told.kinds["cutting"].factor == pytest.approx(0.9, rel=0.07)
        assert told.kinds["gluing"].jobs == 60 and told.overall.jobs == 120

    def test_few_jobs_are_drawn_towards_the_overall_factor(self) -> None:
        usual = jobs("cutting", 1.0, 40) + jobs("fitting", 1.05, 40) + jobs("coating", 0.95, 40)
        one = learn(usual + jobs("gluing", 2.0, 1)).kinds["gluing"]
        some = learn(usual + jobs("gluing", 2.0, 6)).kinds["gluing"]
        assert 1.02 < one.factor < 1.5 < some.factor < 2.1
        assert one.high / one.low > some.high / some.low

    def test_the_overall_factor_is_drawn_towards_none(self) -> None:
        factors = [
            learn(jobs("gluing", 1.6, count, 0.05)).overall.factor for count in (0, 1, 4, 40)
        ]
        assert factors == sorted(factors)
        assert factors[0] == pytest.approx(1) and 1 < factors[1] < 1.4 < factors[3] < 1.6

    def test_a_new_kind_is_the_overall_but_less_certain(self) -> None:
        told = learn(jobs("gluing", 1.3, 30) + jobs("cutting", 1.3, 30, seed=2))
        new = told.factor_of("rigging")
        assert new.factor == pytest.approx(told.overall.factor)
        assert new.jobs == 0
        assert new.high / new.low > told.kinds["gluing"].high / told.kinds["gluing"].low

    def test_scatter_is_found(self) -> None:
        narrow, wide = (learn(jobs("gluing", 1.2, 80, by)).scatter for by in (0.1, 0.6))
        assert narrow < 0.15 < 0.5 < wide < 0.7

    def test_one_job_booked_to_the_wrong_task_does_not_rule(self) -> None:
        sound = jobs("gluing", 1.0, 20)
        told = learn([*sound, Done("gluing", 60, 90, 180, 90 * 500)])
        assert told.kinds["gluing"].factor < 1.25

    def test_draws_have_the_mean_and_spread_that_are_told(self) -> None:
        told = learn(jobs("gluing", 1.4, 8) + jobs("cutting", 0.9, 5))
        drawn, scatter = told.draw(np.random.default_rng(1), 40_000, ["cutting", "gluing", "new"])
        for row, kind in zip(drawn, ("cutting", "gluing", "new"), strict=True):
            factor = told.factor_of(kind)
            assert row.mean() == pytest.approx(math.log(factor.factor), abs=0.01)
            spread = math.log(factor.high / factor.low) / (2 * 1.2816)
            assert row.std() == pytest.approx(spread, rel=0.03)
        # What the builder is like overall is in all of them.
        assert np.corrcoef(drawn)[0, 2] > 0.1
        assert scatter.mean() == pytest.approx(told.scatter, rel=0.03)


class TestPace:
    def test_many_weeks_speak_for_themselves(self) -> None:
        told = learn([], [Week(15, hours) for hours in (6, 12, 9, 15, 3) * 30]).pace
        assert told.share == pytest.approx(0.6, abs=0.02)
        assert told.weeks == 150
        assert told.week == pytest.approx(0.47, abs=0.03)

    def test_few_weeks_are_drawn_towards_the_pattern(self) -> None:
        shares = [learn([], [Week(15, 6)] * count).pace.share for count in (1, 5, 30, 300)]
        assert shares == sorted(shares, reverse=True)
        assert 0.75 < shares[0] < 1 and shares[3] == pytest.approx(0.4, abs=0.02)

    def test_weeks_without_work_count(self) -> None:
        told = learn([], [Week(15, 0)] * 10).pace
        assert 0 < told.share < 0.9

    def test_work_in_a_week_off_counts_as_work(self) -> None:
        assert (
            learn([], [Week(15, 9)] * 9 + [Week(0, 12)]).pace.share
            > learn([], [Week(15, 9)] * 9).pace.share
        )

    def test_only_weeks_off_say_nothing(self) -> None:
        assert learn([], [Week(0, 5)]).pace.share == 1

    def test_a_long_time_evens_weeks_out(self) -> None:
        told = learn([], [Week(15, 12)] * 20).pace
        assert told.over(4) > told.over(100) > told.uncertainty


@pytest.mark.parametrize(
    "make",
    [
        lambda: Done("gluing", 2, 1, 3, 2),
        lambda: Done("gluing", 0, 0, 0, 2),
        lambda: Done("gluing", 1, 2, 3, 0),
        lambda: Done("gluing", 1, 2, 3, math.nan),
        lambda: Week(-1, 3),
        lambda: Week(3, math.inf),
        lambda: Prior(overall=0),
    ],
)
def test_bad_values_are_refused(make) -> None:
    with pytest.raises(BadValue):
        make()
