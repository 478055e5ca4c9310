"""Links as seen by the task that they act on, grouped so that a run of tasks is one slice."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

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

    def only(self, which: Flags) -> Pulls:
        """The chosen ones."""
        if which.all():
            return self
        return Pulls(*(getattr(self, field.name)[which] for field in fields(self)))

    def under(self, target: Ints, first_source: int) -> Pulls:
        """These, after one plain pull on each target from a block of moments of its own."""
        none, no = np.zeros(len(target), np.int64), np.zeros(len(target), bool)
        plain = Pulls(target, target + first_source, none, none, no, no, none - 1)
        return Pulls(
            *(
                np.concatenate((getattr(plain, field.name), getattr(self, field.name)))
                for field in fields(self)
            )
        )

    def grouped(self, count: int) -> GroupedPulls:
        """These by target, of which there are `count`; those on one target stay as they were."""
        order = stable_order(self.target, count)
        begin = np.concatenate(([0], np.cumsum(np.bincount(self.target, minlength=count))))
        by_shop = self.by_shop[order]
        shop_at = np.flatnonzero(by_shop)
        return GroupedPulls(
            self.target[order],
            self.source[order],
            self.wait[order],
            self.shop[order],
            by_shop,
            self.by_clock[order],
            self.link[order],
            begin=begin,
            shop_at=shop_at,
            shop_begin=shop_at.searchsorted(begin),
        )


@dataclass(frozen=True, slots=True)
class GroupedPulls(Pulls):
    """Pulls ordered by target.

    Those on rank n are from `begin[n]` up to `begin[n + 1]`. Of `shop_at`, the positions of those
    counted by shop minutes, theirs are from `shop_begin[n]` up to `shop_begin[n + 1]`.
    """

    begin: Ints
    shop_at: Ints
    shop_begin: Ints

    def forward(self, moments: Ints, first: int, last: int, table: StretchTable) -> Ints:
        """The clock minutes from which the pulls on ranks `first` up to `last` let them go on."""
        low, high = self.begin[first], self.begin[last]
        reached = moments[self.source[low:high]] + self.wait[low:high]
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
        return by - self.wait[low:high]
