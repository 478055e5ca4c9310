"""Is a network fit to be believed? The published checks of schedules, on plain values.

`health_of` takes a `Subject` and gives every check with its parts, its verdict and the tasks or
links at fault. `published` tells where each comes from.
"""

from tasks.network.health.health import HOME_BUILD, health_of
from tasks.network.health.published import (
    PRACTICES,
    PUBLISHED,
    SLIP_DAYS,
    TOO_MANY_DAYS,
    Published,
    Seen,
)
from tasks.network.health.values import (
    Baseline,
    Check,
    Fault,
    Health,
    How,
    Key,
    Limit,
    Practice,
    Subject,
    Verdict,
    Why,
)

__all__ = [
    "HOME_BUILD",
    "PRACTICES",
    "PUBLISHED",
    "SLIP_DAYS",
    "TOO_MANY_DAYS",
    "Baseline",
    "Check",
    "Fault",
    "Health",
    "How",
    "Key",
    "Limit",
    "Practice",
    "Published",
    "Seen",
    "Subject",
    "Verdict",
    "Why",
    "health_of",
]
