"""How good plans with limited hands are, and how soon the first one is there.

Run by hand: `python -m tests.benchmarks.bench_hands`. Two parts:

- Published instances (`../shared/reference/psplib`): how far the plans lie above the best known, in
  the mean, beside OR-Tools CP-SAT with 2 workers, each given the same processor seconds. By default
  a sample; `--all` takes every instance, `--seconds` another time, `--every` another sample. Each
  plan of ours is checked against the rules.
- A home build of 500 tasks with shop hours, bookings, two countable things, seasons and unbroken
  work: the first answer, as a multiple of the critical path method over the same tasks. With
  `--reach`, what the search comes to in 1, 5 and 10 seconds, there and in one of 80 tasks.
"""

from __future__ import annotations

import argparse
import json
import random
import threading
import time
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from tasks.network import Calendar, LagIn, Link, LinkKind, Task, schedule
from tasks.network.hands import (
    Booking,
    Both,
    Capacity,
    HandsProblem,
    Need,
    Season,
    check_plan,
    plan_hands,
)
from tasks.network.hands.research import read_problem
from tests.benchmarks.timing import best_of

try:
    from ortools.sat.python import cp_model
except ImportError:
    cp_model = None

PSPLIB = Path(__file__).resolve().parents[3] / "shared" / "reference" / "psplib"
FAMILIES = ("j30", "j60", "j120")
ZONE = "Europe/London"
FIRST_DAY = date(2026, 1, 5)
NOW = 1440 * (FIRST_DAY.toordinal() - date(1970, 1, 1).toordinal())


def ours(instance: Mapping[str, Any], seconds: float) -> int:
    """Length of our plan; it must keep the rules and the published lower bound."""
    problem = read_problem(instance)
    plan = plan_hands(problem, seconds=seconds)
    broken = check_plan(problem, plan)
    if broken or plan.launch < instance["lower_bound"]:
        raise SystemExit(f"{instance['name']}: the plan cannot be kept: {broken}")
    return plan.launch


def solvers(instance: Mapping[str, Any], seconds: float) -> int | None:
    """Length of the plan that CP-SAT finds in so many processor seconds of all its threads."""
    begun = time.process_time()
    model = cp_model.CpModel()
    horizon = sum(instance["duration"])
    starts = [model.new_int_var(0, horizon, "") for _ in instance["duration"]]
    intervals = [
        model.new_fixed_size_interval_var(start, length, "")
        for start, length in zip(starts, instance["duration"], strict=True)
    ]
    for before, row in enumerate(instance["successors"]):
        for after in row:
            model.add(starts[after - 1] >= starts[before] + instance["duration"][before])
    for number, units in enumerate(instance["capacity"]):
        model.add_cumulative(intervals, [row[number] for row in instance["demand"]], units)
    model.minimize(starts[-1])
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    done = threading.Event()

    def watch() -> None:
        # Its own limit goes by the wall clock, which is no measure on a busy machine.
        while not done.wait(0.01):
            if time.process_time() - begun >= seconds:
                solver.stop_search()

    watcher = threading.Thread(target=watch)
    watcher.start()
    status = solver.solve(model)
    done.set()
    watcher.join()
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return round(solver.objective_value) if found else None


def research(seconds: float, every: int) -> None:
    if not PSPLIB.is_dir():
        print("The research instances are not beside the project; nothing to compare with.")
        return
    if cp_model is None:
        print("OR-Tools is not installed; our plans stand alone.")
    print(f"Mean deviation from the best known at {seconds:g} processor seconds an instance")
    for family in FAMILIES:
        instances = json.loads((PSPLIB / f"{family}.json").read_text())["instances"]
        instances = instances[every // 2 :: every]
        gaps: dict[str, list[float]] = {"ours": [], "CP-SAT": []}
        used = dict.fromkeys(gaps, 0.0)
        for instance in instances:
            for name, run in (("ours", ours), ("CP-SAT", solvers)):
                if name == "CP-SAT" and cp_model is None:
                    continue
                begun = time.process_time()
                length = run(instance, seconds)
                used[name] += time.process_time() - begun
                if length is not None:
                    gaps[name].append(100 * (length / instance["makespan"] - 1))
        told = [
            f"{name} {sum(rows) / len(rows):.3f} % ({used[name] / len(rows):.2f} s each"
            + (
                f", no plan for {len(instances) - len(rows)})"
                if len(rows) < len(instances)
                else ")"
            )
            for name, rows in gaps.items()
            if rows
        ]
        print(f"  {family}, {len(instances)} instances: " + "; ".join(told), flush=True)


def home_build(count: int = 500, seed: int = 4) -> HandsProblem:
    """An invented build: evenings and weekends, a helper, clamps and a tent, seasons, cures."""
    rng = random.Random(seed)
    evenings, days = [(18 * 60, 21 * 60)], [(9 * 60, 12 * 60 + 30), (13 * 60 + 30, 18 * 60)]
    week = {0: evenings, 1: evenings, 3: evenings, 5: days, 6: days}
    shop = Calendar.from_week(week, ZONE, (), FIRST_DAY, date(2036, 1, 1))
    saturdays = Calendar.from_week({5: [(540, 1080)]}, ZONE, (), FIRST_DAY, date(2036, 1, 1))
    tasks, links, needs = [], [], {}
    for number in range(count):
        tasks.append(
            Task(
                number,
                rng.randrange(30, 480, 15),
                cure=rng.choice([0, 0, 0, 720, 1440]),
                unbroken=rng.random() < 0.1,
            )
        )
        amounts = {"hands": 2 if rng.random() < 0.08 else 1}
        if rng.random() < 0.3:
            amounts["clamps"] = rng.randint(1, 4)
        if rng.random() < 0.1:
            amounts["tent"] = 1
        needs[number] = Need(amounts, "warm" if rng.random() < 0.08 else None)
        for before in {max(number - rng.randint(1, 40), 0) for _ in range(rng.randint(1, 3))}:
            if before < number:
                kind = rng.choice([LinkKind.FS] * 17 + [LinkKind.SS, LinkKind.FF, LinkKind.SF])
                lag = rng.choice([0] * 8 + [60, 1440])
                links.append(Link(before, number, kind, lag, rng.choice(list(LagIn))))
    for task in tasks:
        if task.unbroken and task.minutes > 270:
            needs[task.id] = Need({"hands": 1}, None)
    return HandsProblem(
        tasks,
        links,
        shop,
        NOW,
        needs,
        {
            "hands": Capacity(1, (Booking(1, saturdays),)),
            "clamps": Capacity(6),
            "tent": Capacity(1),
        },
        {"warm": Both(shop, Season((4, 15), (10, 31), ZONE))},
    )


def passes_of(problem: HandsProblem) -> float:
    """Seconds of the critical path method over the same tasks, the baseline."""
    return best_of(lambda: schedule(problem.tasks, problem.links, problem.calendar, problem.now), 3)


def first_answer() -> None:
    problem = home_build()
    passes, first = passes_of(problem), best_of(lambda: plan_hands(problem), 3)
    plan = plan_hands(problem)
    named = {told.task for told in plan.problems}
    broken = [one for one in check_plan(problem, plan) if not named.intersection(one.tasks)]
    if broken:
        raise SystemExit(f"the plan of the home build cannot be kept: {broken[:3]}")
    print(
        f"Home build of {len(problem.tasks)} tasks: first answer {first * 1e3:.0f} ms = "
        f"{first / passes:.0f} x schedule() ({passes * 1e3:.1f} ms)"
    )
    begun = time.process_time()
    better = plan_hands(problem, seconds=3)
    days = (plan.launch - better.launch) / 1440
    print(
        f"  bettered for {time.process_time() - begun:.1f} s: {better.schedules} plans, "
        f"{days:.1f} days sooner of {(plan.launch - NOW) / 1440:.0f}; "
        f"bound {(better.bound - NOW) / 1440:.0f}"
    )


def reach(count: int) -> None:
    """How many plans a second the search lays out, and which launch it comes to."""
    problem = home_build(count)
    passes, told = passes_of(problem), []
    for seconds in (0, 1, 5, 10):
        begun = time.process_time()
        plan = plan_hands(problem, seconds=seconds, seed=1)
        each = (time.process_time() - begun) / plan.schedules
        told.append(f"{seconds} s: {(plan.launch - problem.now) / 1440:.1f} days")
    print(
        f"Home build of {count} tasks, {1 / each:.0f} plans a second, each {each / passes:.2f} x "
        f"schedule(); {'; '.join(told)}; bound {(plan.bound - problem.now) / 1440:.1f}",
        flush=True,
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--all", action="store_true", help="every instance")
    parser.add_argument("--every", type=int, default=24, metavar="N", help="each Nth one (24)")
    parser.add_argument("--seconds", type=float, default=1.0, metavar="S", help="an instance (1)")
    parser.add_argument("--reach", action="store_true", help="what the search comes to in time")
    given = parser.parse_args()
    first_answer()
    if given.reach:
        for count in (80, 500):
            reach(count)
    research(given.seconds, 1 if given.all else given.every)
