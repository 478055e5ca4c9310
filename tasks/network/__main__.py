"""`python -m tasks.network FILE`: the dates of a network as JSON.

FILE is a network in our JSON (see `tasks.network.files`), answered by one JSON object, or a
research file (see `tasks.network.research`), answered by one line an instance. `-` is standard
input. A bad file is told on standard error in one line, with exit status 2.

With `--hands` the answer is the plan that limited hands can keep (see `tasks.network.hands.files`),
looked for during `--seconds` of processor time an instance. With `--forecast` it is the launch of
that plan as a distribution (see `tasks.network.forecast.files`), from `--runs` runs; not of a
research file, which has no guesses.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from tasks.network import research
from tasks.network.critical_path import schedule
from tasks.network.exceptions import BadFile, NetworkError
from tasks.network.files import read_network, write_schedule
from tasks.network.forecast import files as forecast_files
from tasks.network.hands import plan_hands
from tasks.network.hands.files import read_problem, write_plan
from tasks.network.hands.research import read_problem as read_instance_problem
from tasks.network.hands.research import write_plan as write_instance_plan

__all__ = ["main"]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; the exit status is 0, or 2 for a file that has no dates."""
    parser = argparse.ArgumentParser(
        prog="python -m tasks.network", description="Print the dates of a network as JSON."
    )
    parser.add_argument("file", metavar="FILE", help="a network or research file in JSON, or -")
    kind = parser.add_mutually_exclusive_group()
    kind.add_argument("--hands", action="store_true", help="plan for limited hands")
    kind.add_argument("--forecast", action="store_true", help="forecast the launch of that plan")
    parser.add_argument(
        "--seconds",
        type=_seconds,
        default=0.0,
        metavar="S",
        help="with --hands or --forecast: processor seconds to better each plan (0)",
    )
    parser.add_argument(
        "--seed",
        type=int,
        default=0,
        metavar="N",
        help="with --hands or --forecast: seed of the search and of the runs (0)",
    )
    parser.add_argument(
        "--runs", type=int, default=10_000, metavar="N", help="with --forecast: runs (10000)"
    )
    given = parser.parse_args(arguments)
    file = given.file
    try:
        content = _parsed(file)
        if given.forecast:
            lines = _forecast(content, seconds=given.seconds, seed=given.seed, runs=given.runs)
        elif given.hands:
            lines = _plans(content, seconds=given.seconds, seed=given.seed)
        else:
            lines = _answers(content)
        for line in lines:
            print(line, flush=True)
    except NetworkError as error:
        print(f"{file}: {error}", file=sys.stderr)
        return 2
    return 0


def _parsed(file: str) -> Any:
    try:
        text = sys.stdin.read() if file == "-" else Path(file).read_text(encoding="utf-8-sig")
    except OSError as error:
        raise BadFile(error.strerror or "cannot be read") from error
    except UnicodeDecodeError as error:
        raise BadFile("is not text in UTF-8") from error
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as error:
        raise BadFile(f"is not JSON: {error}") from error


def _seconds(text: str) -> float:
    seconds = float(text)
    if not 0 <= seconds < float("inf"):
        raise ValueError(text)
    return seconds


def _plans(content: Any, **how: Any) -> Iterator[str]:
    if research.is_research(content):
        for instance in research.instances(content):
            plan = plan_hands(read_instance_problem(instance), **how)
            yield json.dumps(write_instance_plan(instance, plan))
    else:
        problem = read_problem(content)
        plan = plan_hands(problem, **how)
        yield json.dumps(write_plan(plan, problem.calendar.zone), indent=2, ensure_ascii=False)


def _forecast(content: Any, **how: Any) -> Iterator[str]:
    if research.is_research(content):
        raise BadFile("is a research file, which has no guesses to forecast from")
    yield json.dumps(forecast_files.answer(content, **how), indent=2, ensure_ascii=False)


def _answers(content: Any) -> Iterator[str]:
    if research.is_research(content):
        for instance in research.instances(content):
            length = research.critical_path_length(instance)
            yield json.dumps({"name": instance["name"], "critical_path": length})
    else:
        network = read_network(content)
        plan = schedule(network.tasks, network.links, network.calendar, network.now)
        yield json.dumps(write_schedule(plan, network.calendar.zone), indent=2, ensure_ascii=False)


if __name__ == "__main__":
    sys.exit(main())
