"""Which link fixes each early start."""

from __future__ import annotations

import numpy as np

from tasks.network.compiled import FLOOR
from tasks.network.passes import Early, Ground
from tasks.network.table import NEVER, Ints

__all__ = ["driving_links"]


def driving_links(ground: Ground, early: Early) -> Ints:
    """The index of each task's driving link by rank, or -1.

    A hold on the finish drives where it asks for more than all holds on the start; else the hold on
    the start that ends last by the clock; of equals the first given. Against the floor, a link that
    only just reaches it drives while the task before is unfinished.
    """
    network, table, count = ground.network, ground.table, ground.network.count
    none = len(network.before)
    if not none:
        return np.full(count, -1)
    driving = np.full(count, none)

    pulls = network.to_start
    reached = pulls.forward(early.moments, 0, count, table)
    floor = early.block(FLOOR)[pulls.target]
    is_over = network.is_finished[network.before[pulls.link]]
    fixes = (
        (pulls.link >= 0)
        & (reached == early.ready[pulls.target])
        & ((reached > floor) | ((reached == floor) & ~is_over))
    )
    np.minimum.at(driving, pulls.target[fixes], pulls.link[fixes])

    pulls = network.to_finish
    at_finish = (early.held > -NEVER) & (
        early.held - network.work > table.shop_at_each(early.ready)
    )
    if at_finish.any():
        reached = pulls.forward(early.moments, 0, count, table)
        shop = np.where(
            pulls.by_clock, table.first_finish_from_each(reached), table.shop_at_each(reached)
        )
        fixes = (shop == early.held[pulls.target]) & at_finish[pulls.target]
        driving[at_finish] = none
        np.minimum.at(driving, pulls.target[fixes], pulls.link[fixes])

    driving[driving == none] = -1
    return driving
