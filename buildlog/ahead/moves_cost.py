"""What a change does to the cost to finish: the one place where launch and money meet.

Reckoned in: standing costs until the launch that would be, material that would no longer be
bought, and what the change itself costs as far as it was said. What is ordered already stays.
"""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from buildlog.ahead.moves import BoughtIn, Heating, LeftOut, Move
from buildlog.materials.need import needs_without
from buildlog.money.cost import ZERO, Cost, to_finish_if
from buildlog.money.models import StandingCost
from tasks.plan import Plan

__all__ = ["cost_after", "heating_cost"]

HEATING = "Heating the shed"


def cost_after(plan: Plan, cost: Cost, move: Move, launch: dt.datetime) -> Decimal:
    """The cost to finish with a change, launched on that day. Exact, in the build's currency."""
    needs, unbought, standing = None, ZERO, []
    if isinstance(move, LeftOut):
        needs = needs_without(plan.build, plan, left_out=move.tasks_of(plan))
    elif isinstance(move, BoughtIn):
        unbought = move.price or ZERO
        if move.with_material:
            needs = needs_without(plan.build, plan, bought=move.tasks)
    elif isinstance(move, Heating) and move.a_month is not None:
        standing = [heating_cost(plan, move, move.a_month)]
    return to_finish_if(cost, launch.date(), needs, unbought, standing)


def heating_cost(plan: Plan, move: Heating, a_month: Decimal) -> StandingCost:
    """The standing cost of heating, not kept yet."""
    return StandingCost(
        build=plan.build, name=HEATING, a_month=a_month, first=move.first, last=move.last
    )
