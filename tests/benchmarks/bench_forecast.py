"""How long a forecast takes, as a multiple of drawing its samples.

Run by hand: `python -m tests.benchmarks.bench_forecast`. 10,000 runs of 500 tasks with shop hours,
other hours of their own, a helper on Saturdays, cures, lags, unbroken work and all kinds of link.
Times are processor time, the best of several runs in this one process. The baseline is the draw of
as many beta (PERT) samples with numpy's own `Generator.beta`; beside it stand the draw that the
forecast itself makes, and numpy's `triangular`, the cheapest draw in common use.
"""

from __future__ import annotations

import random
from datetime import date

import numpy as np

from tasks.network import Calendar, LagIn, Link, LinkKind, Task
from tasks.network.forecast import Done, Estimate, Week, forecast, hands_flow, learn
from tasks.network.forecast.samples import Samples
from tasks.network.hands import (
    Booking,
    Both,
    Capacity,
    HandsPlan,
    HandsProblem,
    Need,
    Season,
    plan_hands,
)
from tests.benchmarks.timing import best_of

TASKS, RUNS, TIMES = 500, 10_000, 4
FIRST_DAY = date(2026, 1, 5)
NOW = 1440 * (FIRST_DAY.toordinal() - date(1970, 1, 1).toordinal())
ZONE = "Europe/London"
EVENINGS = [(18 * 60, 21 * 60)]
DAYS = [(9 * 60, 12 * 60 + 30), (13 * 60 + 30, 18 * 60)]
KINDS = ("frames", "planking", "gluing", "coating", "fitting out")


def a_build(seed: int = 1) -> tuple[HandsProblem, dict[int | str, Estimate], dict[int | str, str]]:
    """Every feature in the shares of a real build."""
    rng = random.Random(seed)
    week = {0: EVENINGS, 1: EVENINGS, 3: EVENINGS, 5: DAYS, 6: DAYS}
    calendar = Calendar.from_week(week, ZONE, (), FIRST_DAY)
    saturdays = Calendar.from_week({5: DAYS}, ZONE, (), FIRST_DAY)
    warm = Both(calendar, Season((4, 1), (10, 31), ZONE))
    quiet = Both(
        calendar, Calendar.from_week({d: [(0, 20 * 60)] for d in range(7)}, ZONE, (), FIRST_DAY)
    )
    tasks, links, needs = [], [], {}
    estimates: dict[int | str, Estimate] = {}
    kinds: dict[int | str, str] = {}
    for number in range(TASKS):
        likely = rng.randrange(30, 420)
        unbroken = rng.random() < 0.1
        tasks.append(
            Task(
                number,
                likely,
                cure=rng.choice([0, 0, 0, 720, 1440]),
                unbroken=unbroken and likely < 200,
            )
        )
        estimates[number] = Estimate(likely * 0.6, likely, likely * rng.choice([1.4, 2, 3]))
        kinds[number] = rng.choice(KINDS)
        hours = rng.choices([None, "warm", "quiet"], [8, 1, 1])[0]
        needs[number] = Need({"hands": rng.choices([1, 2], [14, 1])[0]}, hours)
        for before in rng.sample(range(max(number - 30, 0), number), min(number, 2)):
            links.append(
                Link(
                    before,
                    number,
                    rng.choice([LinkKind.FS] * 17 + [LinkKind.SS, LinkKind.FF, LinkKind.SF]),
                    rng.choice([0] * 8 + [60, 1440]),
                    rng.choice(list(LagIn)),
                )
            )
    capacities = {"hands": Capacity(1, (Booking(1, saturdays),))}
    hours_given = {"warm": warm, "quiet": quiet}
    problem = HandsProblem(tasks, links, calendar, NOW, needs, capacities, hours_given)
    return problem, estimates, kinds


def measure(
    name: str,
    problem: HandsProblem,
    plan: HandsPlan,
    estimates: dict[int | str, Estimate],
    library: float,
    triangular: float,
    **more: object,
) -> None:
    whole = best_of(lambda: forecast(problem, plan, estimates, runs=RUNS, **more), TIMES)  # type: ignore[arg-type]
    ours = best_of(
        lambda: Samples(
            estimates,
            more.get("kinds", {}),  # type: ignore[arg-type]
            RUNS,
            0,
            more.get("correction"),  # type: ignore[arg-type]
            100.0,
        ),
        TIMES,
    )
    flow = best_of(lambda: hands_flow(problem, plan), TIMES)
    told = forecast(problem, plan, estimates, runs=RUNS, **more)  # type: ignore[arg-type]
    years = (told.p50 - problem.now) / (365.25 * 1440)
    print(
        f"\n{name}: launch in {years:.1f} years\n"
        f"  whole forecast {whole * 1e3:.0f} ms, of it drawing {ours * 1e3:.0f} ms, who follows "
        f"whom {flow * 1e3:.0f} ms, all else {(whole - ours - flow) * 1e3:.0f} ms\n"
        f"  = {whole / library:.2f} x drawing with numpy's beta ({library * 1e3:.0f} ms), "
        f"{whole / triangular:.2f} x with numpy's triangular ({triangular * 1e3:.0f} ms), "
        f"{whole / ours:.2f} x our own drawing"
    )


def main() -> None:
    problem, estimates, kinds = a_build()
    plan = plan_hands(problem)

    def with_beta() -> None:
        rng = np.random.default_rng(0)
        for each in estimates.values():
            mode = (each.likely - each.low) / (each.high - each.low)
            drawn = rng.beta(1 + 4 * mode, 5 - 4 * mode, RUNS)
            drawn *= each.high - each.low
            drawn += each.low

    def with_triangular() -> None:
        rng = np.random.default_rng(0)
        for each in estimates.values():
            rng.triangular(each.low, each.likely, each.high, RUNS)

    library, triangular = best_of(with_beta, TIMES), best_of(with_triangular, TIMES)
    print(f"{RUNS} runs of {TASKS} tasks")
    measure("all features", problem, plan, estimates, library, triangular)
    jobs = [Done(kind, 60, 90, 200, 90 + 20 * at) for kind in KINDS for at in range(8)]
    record = learn(jobs, [Week(15, 9 + at % 5) for at in range(30)])
    measure(
        "all features, corrected by the builder's record",
        problem,
        plan,
        estimates,
        library,
        triangular,
        kinds=kinds,
        correction=record,
    )
    chain = HandsProblem(problem.tasks, problem.links, problem.calendar, NOW)
    measure("one pair of hands", chain, plan_hands(chain), estimates, library, triangular)


if __name__ == "__main__":
    main()
