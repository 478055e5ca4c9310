"""The forecast against a published example, SciPy's distributions and networkx.

Sources stand beside each check. In this file every minute is a shop minute, and there are as many
hands as are wanted, so that only links hold.
"""

from __future__ import annotations

import random

import networkx as nx
import numpy as np
import pytest
from scipy import stats

from tasks.network import Calendar, Link, Task
from tasks.network.estimate import Estimate
from tasks.network.forecast import Done, Forecast, forecast, learn
from tasks.network.forecast.pert import moments, normal_rows, pert_rows, quantiles, stream
from tasks.network.hands import Capacity, HandsProblem, plan_hands

RUNS = 10_000
#: A published week as minutes, so that rounding to minutes is no matter.
WEEK = 1000

#: Network N3: public lecture slides on CPM and PERT, by activity: before, and optimistic, likely
#: and pessimistic weeks. The slides print each mean and variance, the path C-F-H-J and 17 weeks.
SLIDES = {
    "A": ("", (5, 6, 7)),
    "B": ("", (1, 3, 5)),
    "C": ("", (1, 4, 7)),
    "D": ("A", (1, 2, 3)),
    "E": ("B", (1, 2, 9)),
    "F": ("C", (1, 5, 9)),
    "G": ("C", (2, 2, 8)),
    "H": ("EF", (4, 4, 10)),
    "I": ("D", (2, 5, 8)),
    "J": ("GH", (2, 2, 8)),
}
PATH = "CFHJ"


def beta(guess: Estimate) -> stats.rv_continuous:
    """The distribution of the PERT method as SciPy has it: a beta with a + b = 6."""
    mode = (guess.likely - guess.low) / (guess.high - guess.low)
    return stats.beta(1 + 4 * mode, 5 - 4 * mode, guess.low, guess.high - guess.low)


def forecast_of(
    guesses: dict[str, Estimate], links: list[tuple[str, str]], runs: int = RUNS, seed: int = 0
) -> Forecast:
    problem = HandsProblem(
        [Task(id, round(guess.likely)) for id, guess in guesses.items()],
        [Link(before, after) for before, after in links],
        Calendar.always(),
        0,
        {},
        {"hands": Capacity(len(guesses))},
    )
    return forecast(problem, plan_hands(problem), guesses, runs=runs, seed=seed)


def slides(names: str = "ABCDEFGHIJ") -> tuple[dict[str, Estimate], list[tuple[str, str]]]:
    guesses = {id: Estimate(*(WEEK * weeks for weeks in SLIDES[id][1])) for id in names}
    return guesses, [(before, id) for id in names for before in SLIDES[id][0] if before in names]


class TestPublishedExample:
    def test_the_path_alone_has_the_moments_of_its_formulas(self) -> None:
        """Means are those of the slides; variances those of the beta, (m - a)(b - m) / 7 (worked
        out with SciPy), and within a tenth of the slides' ((b - a) / 6) squared, 4.7778 in sum."""
        guesses, links = slides(PATH)
        weeks = forecast_of(guesses, links).launches / WEEK
        exact = sum(beta(guess).var() for guess in guesses.values()) / WEEK**2
        assert exact == pytest.approx(sum(moments(g)[1] for g in guesses.values()) / WEEK**2)
        assert exact == pytest.approx(4.7778, rel=0.1)
        assert weeks.mean() == pytest.approx(17, abs=4 * (exact / RUNS) ** 0.5)
        assert weeks.var() == pytest.approx(exact, rel=0.06)

    def test_chances_on_the_path_are_near_those_of_the_normal_distribution(self) -> None:
        """P(finish by 19 weeks) 0.8199, and 20.595 weeks for 95 %, by the normal distribution with
        the slides' variance (scipy.stats.norm). The sum of four skewed betas is not quite normal,
        and its variance not quite that: 0.015 and 0.25 weeks are allowed for both, and the rest is
        4 standard errors of so many runs."""
        guesses, links = slides(PATH)
        told = forecast_of(guesses, links)
        error = (0.82 * 0.18 / RUNS) ** 0.5
        assert told.chance_by(19 * WEEK) == pytest.approx(0.8199, abs=0.015 + 4 * error)
        assert told.quantile(0.95) / WEEK == pytest.approx(20.595, abs=0.25 + 0.1)

    def test_the_whole_network_is_later_than_its_longest_path(self) -> None:
        """Paths that may overtake each other launch later on average than the longest one: known of
        PERT since K. MacCrimmon and C. Ryavec, "An analytical study of the PERT assumptions",
        Operations Research 12, 1964 (from memory). The published path is the likeliest."""
        guesses, links = slides()
        told = forecast_of(guesses, links)
        assert 17 < told.launches.mean() / WEEK < 18
        on_chain = {id: part.on_chain for id, part in told.tasks.items()}
        assert min(on_chain[id] for id in PATH) > max(
            share for id, share in on_chain.items() if id not in PATH
        )
        assert on_chain["A"] == on_chain["D"] == on_chain["I"]

    def test_it_is_the_distribution_that_scipy_and_networkx_give(self) -> None:
        """The same network, drawn with SciPy and measured with networkx: two samples of one
        distribution, by the test of Kolmogorov and Smirnov at 1 in 1,000."""
        guesses, links = slides()
        rng = np.random.default_rng(5)
        drawn = {id: beta(guess).rvs(2000, random_state=rng) for id, guess in guesses.items()}
        lengths = [
            longest({id: times[run] for id, times in drawn.items()}, links) for run in range(2000)
        ]
        assert stats.ks_2samp(lengths, forecast_of(guesses, links).launches).pvalue > 0.001


def longest(minutes: dict[str, float], links: list[tuple[str, str]]) -> float:
    """The longest path by networkx."""
    graph = nx.DiGraph()
    for id, taken in minutes.items():
        graph.add_edge((id, 0), (id, 1), weight=taken)
    graph.add_edges_from(((before, 1), (after, 0)) for before, after in links)
    return nx.dag_longest_path_length(graph, default_weight=0)


@pytest.mark.parametrize("seed", range(5))
def test_every_run_is_as_long_as_networkx_finds_it(seed) -> None:
    """Random networks; the durations of each run are those that the forecast drew."""
    rng = random.Random(seed)
    names = [f"t{number}" for number in range(30)]
    guesses = {}
    for name in names:
        likely = rng.randrange(50, 900)
        guesses[name] = Estimate(likely / 2, likely, likely * rng.uniform(1, 4))
    links = [
        (names[before], names[after])
        for after in range(1, 30)
        for before in rng.sample(range(after), min(after, rng.randrange(3)))
    ]
    told = forecast_of(guesses, links, runs=50, seed=seed)
    drawn = {}
    for name, guess in guesses.items():
        row = np.empty(50, np.float32)
        pert_rows(stream(seed, name), 50, guess, row)
        drawn[name] = np.rint(row)
    lengths = [longest({id: row[run] for id, row in drawn.items()}, links) for run in range(50)]
    assert sorted(lengths) == told.launches.tolist()


class TestDistributions:
    @pytest.mark.parametrize("mode", [0, 0.003, 0.1, 0.3141, 0.5, 0.77, 0.999, 1])
    def test_samples_are_scipys_beta(self, mode) -> None:
        """The 4,096 values are SciPy's quantiles in the middle of equal shares, within 0.2 % of the
        range, and their moments are SciPy's."""
        guess = Estimate(100, 100 + 300 * mode, 400)
        wanted = beta(guess).ppf((np.arange(4096) + 0.5) / 4096)
        values = quantiles(guess)
        assert np.abs(values - wanted).max() < 0.002 * 300
        assert values.mean() == pytest.approx(beta(guess).mean(), rel=1e-3)
        assert values.var() == pytest.approx(beta(guess).var(), rel=1e-2)
        assert moments(guess) == pytest.approx((beta(guess).mean(), beta(guess).var()))

    def test_draws_pass_for_scipys_beta(self) -> None:
        row = np.empty(20_000, np.float32)
        guess = Estimate(2, 3, 9)
        pert_rows(stream(3, "a"), len(row), guess, row)
        assert stats.kstest(row, beta(guess).cdf).pvalue > 0.001

    def test_draws_pass_for_the_normal_distribution(self) -> None:
        assert stats.kstest(normal_rows(stream(3, "a"), 20_000), stats.norm.cdf).pvalue > 0.001

    def test_two_tasks_draw_independently(self) -> None:
        rows = [normal_rows(stream(3, name), 20_000) for name in ("a", "b", 1, "1")]
        assert np.abs(np.corrcoef(rows) - np.eye(4)).max() < 4 / 20_000**0.5


class TestPooling:
    def test_the_factor_of_a_kind_is_that_of_the_textbook(self) -> None:
        """With the scatter and the distance of kinds known, the estimate of a kind is its own mean
        and the overall one, weighted by precision (D. V. Lindley and A. F. M. Smith, Journal of
        the Royal Statistical Society B 34, 1972; formula from memory). Here the whole is one normal
        vector, so the posterior comes from the linear algebra of all jobs at once, mixed
        over the grid by its densities from scipy.stats."""
        rng = random.Random(4)
        jobs = [
            Done(kind, 80, 100, 120, 100 * times * rng.uniform(0.8, 1.25))
            for kind, times in [("a", 1.5)] * 6 + [("b", 1.1)] * 3 + [("c", 0.9)] * 2
        ]
        told = learn(jobs)
        mean, variance = moments(Estimate(80, 100, 120))
        own = np.log1p(variance / mean**2)
        late = np.array([np.log(job.actual / mean) + own / 2 for job in jobs])
        same = np.array([[one.kind == other.kind for other in jobs] for one in jobs])
        weights, factors = [], []
        for scatter in np.geomspace(0.03, 1.2, 12):
            for apart in np.geomspace(0.02, 1.0, 12):
                around = 0.45**2 + apart**2 * same + (own + scatter**2) * np.eye(len(jobs))
                density = stats.multivariate_normal(np.zeros(len(jobs)), around).pdf(late)
                prior = stats.halfnorm.pdf(scatter, scale=0.2) * scatter
                prior *= stats.halfnorm.pdf(apart, scale=0.2) * apart
                weights.append(density * prior)
                with_kind = 0.45**2 + apart**2 * same[[0, 6, 9]]
                factors.append(with_kind @ np.linalg.solve(around, late))
        wanted = np.exp(np.average(factors, axis=0, weights=weights))
        found = [told.kinds[kind].factor for kind in "abc"]
        assert found == pytest.approx(wanted.tolist(), rel=1e-6)
