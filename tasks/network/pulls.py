"""Links as seen by the task that they act on, grouped so that a run of tasks is one slice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tasks.network.columns import Flags
from tasks.network.graph import stable_order
from tasks.network.table import Ints, StretchTable

__all__ = ["GroupedPulls", "Pulls"]


@dataclass(frozen=True, slots=True)
class Pulls:
    """One element a pull.

    Attributes
    ----------
    target
        Rank of the task that is pulled.
    source
        Index, into an array of moments, of what it is pulled by.
    wait
        Elapsed minutes between the two.
    shop
        Shop minutes between the two, where `by_shop` says that they are counted so.
    by_clock
        Whether a finish must not be shown before the moment reached.
    link
        Index of the link; -1 for what is none.
    """

    target: Ints
    source: Ints
    wait: Ints
    shop: Ints
    by_shop: Flags
    by_clock: Flags
    link: Ints

    def grouped(self, count: int, which: Flags, first_source: int | None = None) -> GroupedPulls:
        """The chosen ones by target, of which there are `count`.

        Those on one target stay as they were. With `first_source` each target is pulled first, with
        no wait, by one of a block of moments that begins there.
        """
        chosen = np.flatnonzero(which) if not which.all() else np.arange(len(which))
        target = self.target[chosen]
        order = chosen[stable_order(target, count)]
        target = self.target[order]
        begin = np.zeros(count + 1, np.int64)
        np.cumsum(np.bincount(target, minlength=count), out=begin[1:])
        if first_source is None:
            at: Ints | slice = slice(None)
            full = len(order)
            source, link, targets = self.source[order], self.link[order], target
        else:
            begin += np.arange(count + 1)
            at = np.arange(1, len(order) + 1) + target
            full = len(order) + count
            heads, every = begin[:-1], np.arange(count)
            source, link = np.empty(full, np.int64), np.full(full, -1)
            targets = np.empty(full, np.int64)
            source[heads], targets[heads] = every + first_source, every
            source[at], link[at], targets[at] = self.source[order], self.link[order], target

        def placed(column: NDArray[Any]) -> NDArray[Any]:
            laid = np.zeros(full, column.dtype)
            if column.any():
                laid[at] = column[order]
            return laid

        by_shop = placed(self.by_shop)
        shop_at = np.flatnonzero(by_shop)
        wait, shop = placed(self.wait), placed(self.shop)
        return GroupedPulls(
            targets,
            source,
            wait,
            shop,
            by_shop,
            placed(self.by_clock),
            link,
            begin=begin,
            shop_at=shop_at,
            shop_begin=shop_at.searchsorted(begin),
            waits=bool(wait.any()),
        )


@dataclass(frozen=True, slots=True)
class GroupedPulls(Pulls):
    """Pulls ordered by target.

    Those on rank n are from `begin[n]` up to `begin[n + 1]`. Of `shop_at`, the positions of those
    counted by shop minutes, theirs are from `shop_begin[n]` up to `shop_begin[n + 1]`. `waits`
    tells whether any has elapsed minutes to wait.
    """

    begin: Ints
    shop_at: Ints
    shop_begin: Ints
    waits: bool

    @property
    def is_plain(self) -> bool:
        """Whether nothing lies between the moments and the tasks that they pull."""
        return not self.waits and not self.shop_at.size

    def forward(self, moments: Ints, first: int, last: int, table: StretchTable) -> Ints:
        """The clock minutes from which the pulls on ranks `first` up to `last` let them go on."""
        low, high = self.begin[first], self.begin[last]
        reached = moments[self.source[low:high]]
        if self.waits:
            reached += self.wait[low:high]
        at = self.shop_at[self.shop_begin[first] : self.shop_begin[last]]
        if at.size:
            shop = table.shop_at_each(reached[at - low]) + self.shop[at]
            reached[at - low] = table.clock_at_finish_each(np.maximum(shop, table.first))
        return reached

    def backward(self, late: Ints, first: int, last: int, table: StretchTable) -> Ints:
        """The clock minutes by which the pulls on ranks `first` up to `last` want them over."""
        low, high = self.begin[first], self.begin[last]
        by = late[self.source[low:high]]
        at = self.shop_at[self.shop_begin[first] : self.shop_begin[last]]
        if at.size:
            shop = table.shop_at_each(by[at - low]) - self.shop[at]
            by[at - low] = table.clock_at_start_each(np.maximum(shop, table.first))
        if self.waits:
            by -= self.wait[low:high]
        return by
