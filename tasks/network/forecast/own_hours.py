"""A task's own hours: the hours it keeps to, while there is enough of what it holds."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeAlias

from tasks.network.exceptions import NoShopHours, OutOfShopHours
from tasks.network.forecast.lookup import Lookup
from tasks.network.hands.hours import Hours, overlap
from tasks.network.hands.values import HandsProblem
from tasks.network.week import DAY, Stretch, join_touching

__all__ = ["HoursKey", "OwnHours", "Tables", "hours_key"]

#: The name of the hours (None for the shop's), and how many there must be of each thing.
HoursKey: TypeAlias = tuple[str | None, tuple[tuple[str, int], ...]]

#: Hours that have not come for so long do not come again; a season comes every year.
_SILENCE = 2 * 366 * DAY
#: No run is followed further than this.
_MOST = 64 * 366 * DAY


def hours_key(name: str | None, levels: Mapping[str, int]) -> HoursKey:
    return name, tuple(sorted(levels.items()))


class OwnHours:
    """Stretches of own hours between two clock minutes."""

    def __init__(self, problem: HandsProblem, first: int, last: int) -> None:
        self._problem, self.first, self.last = problem, first, last
        self._laid: dict[HoursKey, list[Stretch]] = {}
        self._levels: dict[str, list[tuple[int, int]]] = {}
        self._counts: dict[str, set[int]] = {}

    def levels(self, thing: str) -> list[tuple[int, int]]:
        """(clock minute, how many from then on)."""
        if thing not in self._levels:
            capacity = self._problem.capacities[thing]
            self._levels[thing] = capacity.levels(self.first, self.last)
        return self._levels[thing]

    def counts(self, thing: str) -> set[int]:
        """All numbers of a thing that there are at some time."""
        if thing not in self._counts:
            self._counts[thing] = {count for _, count in self.levels(thing)}
        return self._counts[thing]

    def stretches(self, key: HoursKey) -> list[Stretch]:
        """In clock minutes. More of a thing than there ever is counts as the most there is."""
        if key in self._laid:
            return self._laid[key]
        name, wanted = key
        if not wanted:
            hours: Hours = self._problem.calendar if name is None else self._problem.hours[name]
            laid = join_touching(hours.stretches_between(self.first, self.last))
        else:
            laid = self.stretches((name, ()))
            for thing, level in wanted:
                counts = self.counts(thing)
                if min(level, max(counts)) > min(counts):
                    laid = overlap(
                        laid,
                        self._problem.capacities[thing].stretches_with(
                            min(level, max(counts)), self.first, self.last
                        ),
                    )
        self._laid[key] = laid
        return laid


class Tables:
    """Look-ups for all own hours of a problem, laid out for some minutes from the status time.

    Hours that come to an end (a helper who is booked for two days) go on as the shop's hours after
    it: a run that is late for them takes it that they are arranged once more.

    Raises
    ------
    NoShopHours
        If the shop has no hours at all.
    """

    def __init__(self, problem: HandsProblem, minutes: int) -> None:
        self.now, self.minutes = problem.now, min(minutes, _MOST)
        self._own = OwnHours(problem, problem.now, problem.now + self.minutes + _SILENCE)
        self._made: dict[HoursKey, Lookup] = {}
        self._alike: dict[tuple[Stretch, ...], Lookup] = {}

    def of(self, key: HoursKey) -> Lookup:
        """The look-up for own hours; the same object for the same stretches."""
        if key not in self._made:
            stretches = self._going_on(key)
            known = tuple(stretches)
            if known not in self._alike:
                self._alike[known] = self._lookup(stretches)
            self._made[key] = self._alike[known]
        return self._made[key]

    def longer(self) -> int:
        """How many minutes to lay out next.

        Raises
        ------
        OutOfShopHours
            If there are no more hours, or no more patience.
        """
        shop = self._own.stretches((None, ()))
        has_ended = not shop or shop[-1][1] <= self.now + self.minutes
        if has_ended or self.minutes >= _MOST:
            raise OutOfShopHours("some runs of the forecast go on past the end of the shop's hours")
        return min(2 * self.minutes + 366 * DAY, _MOST)

    def _going_on(self, key: HoursKey) -> list[Stretch]:
        stretches = self._own.stretches(key)
        end = stretches[-1][1] if stretches else self.now
        if end > self.now + self.minutes or key == (None, ()):
            return stretches
        shop = self._own.stretches((None, ()))
        return join_touching(
            [*stretches, *((max(first, end), last) for first, last in shop if last > end)]
        )

    def _lookup(self, stretches: list[Stretch]) -> Lookup:
        limit = self.now + self.minutes
        inside = [
            (start - self.now, min(end, limit) - self.now)
            for start, end in stretches
            if start < limit
        ]
        if not inside and not stretches:
            raise NoShopHours("there is work to forecast, but the calendar has no shop hours")
        later = [end - start for start, end in stretches if end > limit]
        return Lookup(inside, self.minutes, max(later, default=0))
