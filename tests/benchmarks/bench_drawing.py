"""How long the plan takes to draw, as multiples of writing the same bars and boxes as JSON.

Run by hand: `python -m tests.benchmarks.bench_drawing`. Times are processor time, the best of
several runs in this one process; the ratios are what counts.
"""

from __future__ import annotations

import datetime as dt
import json
import random
from dataclasses import asdict

from buildlog.drawing.layers import lay_out
from buildlog.drawing.plan_bars import Bar, StageBars, plan_bars
from buildlog.drawing.plan_network import Arrow, Box, plan_network
from tests.benchmarks.timing import best_of

NOW = dt.datetime(2026, 11, 13)
FIRST, LAST = dt.date(2026, 10, 12), dt.date(2028, 7, 1)


def bars(count: int) -> list[StageBars]:
    rng = random.Random(1)
    stages = []
    for stage in range(20):
        made = []
        for place in range(count // 20):
            start = NOW + dt.timedelta(days=rng.randrange(500))
            finish = start + dt.timedelta(days=rng.randrange(1, 20))
            cured = finish + dt.timedelta(days=rng.randrange(2))
            latest = cured + dt.timedelta(days=rng.randrange(60))
            made.append(Bar(f"Task {place}", "/1/", start, finish, cured, latest))
        stages.append(StageBars(f"Stage {stage}", made))
    return stages


def network(count: int) -> tuple[list[Box], list[Arrow]]:
    rng = random.Random(2)
    boxes = [
        Box(number, f"Task {number}", "/1/", "Stage", NOW, NOW, NOW, NOW, "6 h", "3 days")
        for number in range(count)
    ]
    pairs = {
        (before, min(count - 1, before + rng.randint(1, 20)))
        for before in range(count - 1)
        for _ in range(2)
    }
    return boxes, [Arrow(*pair) for pair in sorted(pairs)]


def main() -> None:
    for count in (100, 300):
        stages = bars(count)
        boxes, arrows = network(count)
        as_json = best_of(
            lambda stages=stages: json.dumps([asdict(one) for one in stages], default=str)
        )
        drawn = best_of(lambda stages=stages: plan_bars(stages, FIRST, LAST, NOW).svg)
        print(f"{count} bars: {drawn * 1000:.0f} ms, {drawn / as_json:.1f} times their JSON")
        keys = [box.key for box in boxes]
        pairs = [(arrow.before, arrow.after) for arrow in arrows]
        as_json = best_of(
            lambda boxes=boxes: json.dumps([asdict(one) for one in boxes], default=str)
        )
        laid = best_of(lambda keys=keys, pairs=pairs: lay_out(keys, pairs, 86, 22, 12))
        drawn = best_of(lambda b=boxes, a=arrows: plan_network(b, a, NOW).svg)
        print(
            f"{count} boxes, {len(arrows)} links: {drawn * 1000:.0f} ms (laying out "
            f"{laid * 1000:.0f}), {drawn / as_json:.1f} times the JSON of the boxes"
        )


if __name__ == "__main__":
    main()
