"""Reader and writer of forecasts in our own JSON.

What a forecast is asked of is a problem as in `tasks.network.hands.files` with more keys:

of a task
    `low`, `likely` and `high`, shop minutes of what is left, all three or none; `kind`, a word for
    its kind of work.
`wished`
    A time in ISO 8601 with an offset, to tell the chance for.
`record`
    An object of what the builder has done: `jobs`, a list of objects with `kind`, `low`, `likely`,
    `high` and `actual`, in people-minutes; `weeks`, a list of objects with the hours by the
    `pattern` and those `worked`. Both lists may be empty: then no more than what is usual is known.
    Without a record the guesses are taken as they are.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Any

from tasks.network.estimate import Estimate
from tasks.network.exceptions import BadFile
from tasks.network.files import as_clock, as_moment
from tasks.network.forecast.history import Correction, Done, Factor, Week, learn
from tasks.network.forecast.monte_carlo import forecast
from tasks.network.forecast.values import Forecast
from tasks.network.hands.files import read_problem
from tasks.network.hands.plan import plan_hands
from tasks.network.hands.values import HandsProblem
from tasks.network.values import TaskId

__all__ = ["Asked", "answer", "read_forecast", "write_forecast"]

_GUESS = ("low", "likely", "high")


@dataclass(frozen=True)
class Asked:
    """What a file asks: the arguments of `forecast`, but for the plan."""

    problem: HandsProblem
    estimates: dict[TaskId, Estimate]
    kinds: dict[TaskId, str]
    correction: Correction | None
    wished: int | None


def answer(content: object, *, runs: int, seed: int, **how: Any) -> dict[str, Any]:
    """The forecast of a file's content as JSON values; what else is given goes to `plan_hands`.

    Raises
    ------
    NetworkError
        If the content has another form, or there is no plan.

    Examples
    --------
    >>> content = {"tasks": [{"id": "cut", "minutes": 60, "low": 60, "likely": 60, "high": 60}]}
    >>> answer(content, runs=10, seed=0)["p90"]
    '1970-01-01T01:00:00+00:00'
    """
    asked = read_forecast(content)
    told = forecast(
        asked.problem,
        plan_hands(asked.problem, seed=seed, **how),
        asked.estimates,
        kinds=asked.kinds,
        runs=runs,
        seed=seed,
        correction=asked.correction,
        wished=asked.wished,
    )
    return write_forecast(told, asked.problem.calendar.zone, asked.correction)


def read_forecast(content: object) -> Asked:
    """What parsed JSON asks, in the form that this module describes.

    Raises
    ------
    BadFile
        If the content has another form.
    BadInput
        If a value in it breaks a rule.
    """
    if not isinstance(content, dict):
        raise BadFile("the file must be an object")
    whole = dict(content)
    record, wished = whole.pop("record", None), whole.pop("wished", None)
    extras: list[dict[str, Any]] = []
    rows = whole.get("tasks")
    if isinstance(rows, list) and all(isinstance(row, dict) for row in rows):
        known = (*_GUESS, "kind")
        extras = [{key: row[key] for key in known if key in row} for row in rows]
        whole["tasks"] = [
            {key: value for key, value in row.items() if key not in known} for row in rows
        ]
    problem = read_problem(whole)
    estimates, kinds = {}, {}
    for task, extra in zip(problem.tasks, extras, strict=True):
        owner = f"task {task.id}"
        if "kind" in extra:
            kinds[task.id] = _word(extra.pop("kind"), f"{owner}: kind")
        if extra:
            estimates[task.id] = Estimate(*(_number(extra, key, owner) for key in _GUESS))
    return Asked(problem, estimates, kinds, _record(record), _clock(wished))


def write_forecast(
    told: Forecast, zone: tzinfo, correction: Correction | None = None
) -> dict[str, Any]:
    """A forecast as JSON values, instants in ISO 8601 with the zone's offset."""

    def moment(clock: int) -> str:
        return as_moment(clock, zone).isoformat()

    written: dict[str, Any] = {
        "now": moment(told.now),
        "runs": told.runs,
        "seed": told.seed,
        "p10": moment(told.p10),
        "p50": moment(told.p50),
        "p90": moment(told.p90),
    }
    if told.wished is not None:
        written |= {"wished": moment(told.wished), "chance": told.chance}
    written |= {
        "weeks": [{"from": moment(clock), "runs": runs} for clock, runs in told.histogram()],
        "tasks": [
            {
                "id": id,
                "on_chain": part.on_chain,
                "finish_p10": moment(part.finish_p10),
                "finish_p50": moment(part.finish_p50),
                "finish_p90": moment(part.finish_p90),
                "spread": round(part.spread, 4),
            }
            for id, part in told.tasks.items()
        ],
        "shared": {name: round(share, 4) for name, share in told.shared.items()},
    }
    if correction is not None:
        written["record"] = {
            "overall": _factor(correction.overall),
            "kinds": {kind: _factor(found) for kind, found in correction.kinds.items()},
            "pace": {"share": round(correction.pace.share, 3), "weeks": correction.pace.weeks},
        }
    return written


def _factor(found: Factor) -> dict[str, Any]:
    return {
        "factor": round(found.factor, 3),
        "low": round(found.low, 3),
        "high": round(found.high, 3),
        "jobs": found.jobs,
    }


def _record(record: object) -> Correction | None:
    if record is None:
        return None
    given = _object(record, "record", ("jobs", "weeks"))
    jobs = []
    for position, row in enumerate(_list(given.get("jobs", []), "record: jobs"), start=1):
        owner = f"record: job {position}"
        job = _object(row, owner, ("kind", *_GUESS, "actual"))
        times = (_number(job, key, owner) for key in (*_GUESS, "actual"))
        jobs.append(Done(_word(job.get("kind"), f"{owner}: kind"), *times))
    weeks = []
    for position, row in enumerate(_list(given.get("weeks", []), "record: weeks"), start=1):
        owner = f"record: week {position}"
        week = _object(row, owner, ("pattern", "worked"))
        weeks.append(Week(_number(week, "pattern", owner), _number(week, "worked", owner)))
    return learn(jobs, weeks)


def _object(value: object, owner: str, known: Collection[str]) -> Mapping[str, Any]:
    if not isinstance(value, dict):
        raise BadFile(f"{owner} must be an object")
    for key in value:
        if key not in known:
            raise BadFile(f"{owner} has an unknown key, {key!r}; known: {', '.join(sorted(known))}")
    return value


def _list(value: object, owner: str) -> list[Any]:
    if not isinstance(value, list):
        raise BadFile(f"{owner} must be a list")
    return value


def _word(value: object, owner: str) -> str:
    if not isinstance(value, str):
        raise BadFile(f"{owner} must be a word, not {value!r}")
    return value


def _number(row: Mapping[str, Any], key: str, owner: str) -> float:
    value = row.get(key)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadFile(f"{owner}: {key} must be a number, not {value!r}")
    if abs(value) > 1e9 or value != value:
        raise BadFile(f"{owner}: {key} is out of range: {value}")
    return float(value)


def _clock(value: object) -> int | None:
    if value is None:
        return None
    try:
        moment = datetime.fromisoformat(value)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        raise BadFile(f"wished must be a time in ISO 8601, not {value!r}") from None
    if moment.tzinfo is None:
        raise BadFile(f"wished needs an offset from UTC: {value!r}")
    return as_clock(moment)
