"""Plans for limited hands: plain values in, plain values out, no framework.

Make a `HandsProblem` and ask `plan_hands` for its plan; `check_plan` tells whether a plan keeps the
rules, which stand in `tasks.network.hands.values`.
"""

from tasks.network.hands.check import Violation, check_plan
from tasks.network.hands.hours import Booking, Both, Capacity, Either, Hours, Season, Span
from tasks.network.hands.plan import plan_hands
from tasks.network.hands.values import HANDS, HandsPlan, HandsProblem, Need, Place

__all__ = [
    "HANDS",
    "Booking",
    "Both",
    "Capacity",
    "Either",
    "HandsPlan",
    "HandsProblem",
    "Hours",
    "Need",
    "Place",
    "Season",
    "Span",
    "Violation",
    "check_plan",
    "plan_hands",
]
