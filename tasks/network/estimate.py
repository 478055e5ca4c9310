"""Three-point estimates of a duration, as the PERT method takes them."""

from __future__ import annotations

from dataclasses import dataclass

from tasks.network.exceptions import BadValue

__all__ = ["Estimate"]


@dataclass(frozen=True, slots=True)
class Estimate:
    """A duration guessed as low, likely and high, all in the same unit.

    Raises
    ------
    BadValue
        Unless 0 <= low <= likely <= high.

    Examples
    --------
    >>> guess = Estimate(4, 4, 10)
    >>> guess.mean, guess.variance
    (5.0, 1.0)

    Notes
    -----
    The weights are those of D. G. Malcolm, J. H. Roseboom, C. E. Clark and W. Fazar, "Application
    of a technique for research and development program evaluation", Operations Research 7, 1959.
    """

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        if not 0 <= self.low <= self.likely <= self.high:
            raise BadValue(
                "an estimate must have 0 <= low <= likely <= high, "
                f"not {self.low}, {self.likely}, {self.high}"
            )

    @property
    def mean(self) -> float:
        """(low + 4 likely + high) / 6."""
        return (self.low + 4 * self.likely + self.high) / 6

    @property
    def variance(self) -> float:
        """((high - low) / 6) squared."""
        return ((self.high - self.low) / 6) ** 2
