"""Simulated builders: how they guess, how they work, and when they really launch.

Nothing here is taken from the forecast: times are drawn with Python's own `random`, the weeks are
worked by laying out the hours that were really kept, and the launch is that of `plan_hands` for
what the jobs really took, in the plan's order.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from datetime import date

from tasks.network import Calendar, Link, Task
from tasks.network.estimate import Estimate
from tasks.network.forecast import Done, Week
from tasks.network.hands import HandsPlan, HandsProblem, plan_hands

MONDAY = date(2026, 1, 5)
NOW = 1440 * (MONDAY.toordinal() - date(1970, 1, 1).toordinal())
WEEK = {1: [(1110, 1290)], 3: [(1110, 1290)], 5: [(540, 750), (810, 1020)], 6: [(600, 780)]}
MINUTES = sum(end - start for day in WEEK.values() for start, end in day)
CALENDAR = Calendar.from_week(WEEK, "UTC", (), MONDAY)
KINDS = ("frames", "planking", "gluing", "fitting out", "coating")


@dataclass(frozen=True)
class Population:
    """What builders of a kind are like: mean and deviation of the log of the overall bias, how far
    kinds lie apart, the scatter of a job, deviation of the pace, and scatter of a week."""

    bias: float
    biases: float
    apart: float
    scatter: float
    pace: float
    week: float


class Builder:
    """One builder with a build, partly done, and a record."""

    def __init__(self, people: Population, seed: int, jobs: int, weeks: int) -> None:
        self.rng = rng = random.Random(seed)
        self.people = people
        overall = rng.gauss(people.bias, people.biases)
        self.bias = {kind: rng.gauss(overall, abs(rng.gauss(0, people.apart))) for kind in KINDS}
        self.scatter = abs(rng.gauss(0, people.scatter))
        self.pace = math.exp(rng.gauss(0, people.pace))
        self.history = [self._job(rng.choice(KINDS)) for _ in range(jobs)]
        self.weeks = [Week(MINUTES, self._week() * MINUTES) for _ in range(weeks)]
        self._make_build()

    def truth(self) -> int:
        """The clock minute at which this builder launches."""
        real = []
        for task in self.problem.tasks:
            if task.finished is not None:
                real.append(task)
                continue
            minutes = self._takes(self.kinds[task.id], self.estimates[task.id])
            real.append(Task(task.id, minutes, task.cure, started=task.started))
        kept = Calendar(self._kept_hours())
        order = [task for task in self.plan.order if task not in self.started]
        return plan_hands(HandsProblem(real, self.problem.links, kept, NOW, in_order=order)).launch

    def _make_build(self) -> None:
        rng = self.rng
        count = rng.randrange(10, 28)
        done = rng.randrange(0, count // 2)
        self.kinds: dict[int | str, str] = {n: rng.choice(KINDS) for n in range(count)}
        self.estimates: dict[int | str, Estimate] = {}
        self.started: set[int | str] = set()
        tasks, links = [], []
        for number in range(count):
            guess = self._guess()
            cure = rng.choice([0, 0, 0, 720, 2160])
            if number < done:
                tasks.append(
                    Task(number, 60, cure, started=NOW - 9000, finished=NOW - rng.randrange(9000))
                )
                continue
            self.estimates[number] = guess
            if number == done and rng.random() < 0.5:
                self.started.add(number)
                tasks.append(Task(number, 60, cure, started=NOW - 500, left=round(guess.likely)))
            else:
                tasks.append(Task(number, round(guess.likely), cure))
            for before in rng.sample(range(number), min(number, rng.choice([0, 1, 1, 2]))):
                links.append(Link(before, number))
        self.problem = HandsProblem(tasks, links, CALENDAR, NOW)
        self.plan: HandsPlan = plan_hands(self.problem)

    def _guess(self) -> Estimate:
        likely = math.exp(self.rng.gauss(math.log(400), 0.7))
        return Estimate(
            likely * self.rng.uniform(0.5, 0.95), likely, likely * self.rng.uniform(1.1, 2.8)
        )

    def _job(self, kind: str) -> Done:
        guess = self._guess()
        return Done(kind, guess.low, guess.likely, guess.high, self._takes(kind, guess))

    def _takes(self, kind: str, guess: Estimate) -> int:
        mode = (guess.likely - guess.low) / (guess.high - guess.low)
        drawn = self.rng.betavariate(1 + 4 * mode, 5 - 4 * mode)
        minutes = guess.low + drawn * (guess.high - guess.low)
        minutes *= math.exp(self.bias[kind] + self.rng.gauss(0, self.scatter))
        return max(round(minutes), 1)

    def _week(self) -> float:
        """Share of a week's hours that is worked."""
        shape = self.people.week**-2
        return self.pace * self.rng.gammavariate(shape, 1 / shape)

    def _kept_hours(self) -> list[tuple[int, int]]:
        """The hours really kept: each stretch ends as much sooner or later as the week goes."""
        kept = []
        for week in range(500):
            share = self._week()
            for day, stretches in WEEK.items():
                for start, end in stretches:
                    begin = NOW + (7 * week + day) * 1440 + start
                    length = round((end - start) * share)
                    if length:
                        kept.append((begin, begin + length))
        return kept
