"""The kinds of background work there are, and the ways in which one ends before its end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

Run = TypeVar("Run", bound=Callable[..., Any])


class GiveUp(Exception):
    """Raised by a job's function: trying again would not help. Its text is shown to people."""


class Cancelled(Exception):
    """Somebody cancelled the job."""


class LeaseLost(Exception):
    """The job was given to another worker, for this one was not heard of for too long."""


@dataclass(frozen=True)
class Kind:
    name: str
    says: str
    run: Callable[..., Any]
    patient: bool


KINDS: dict[str, Kind] = {}


def kind(name: str, says: str = "", patient: bool = False) -> Callable[[Run], Run]:
    """Register a room's function `run(job, **args)` as what is done for jobs of this kind.

    `says` is what the job is called on a page, as “Making the sizes of a photo”. The function
    may be run twice for one job, whole or in part, and must then do no harm. A `patient` kind
    is long and nobody stands waiting for it: its jobs let all others go first.
    """

    def register(run: Run) -> Run:
        known = KINDS.get(name)
        if known and known.run.__qualname__ != run.__qualname__:
            raise ValueError(f"There are two kinds of job named {name}.")
        KINDS[name] = Kind(name, says or name.replace("-", " ").capitalize(), run, patient)
        return run

    return register


def patient_kinds() -> list[str]:
    return [kind.name for kind in KINDS.values() if kind.patient]


def words_for(name: str) -> str:
    """What a kind of job is called on a page, even one that this program no longer has."""
    return KINDS[name].says if name in KINDS else name
