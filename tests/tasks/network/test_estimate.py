from __future__ import annotations

import pytest

from tasks.network import BadValue
from tasks.network.estimate import Estimate


class TestEstimate:
    def test_mean_weighs_the_likely_four_times(self) -> None:
        assert Estimate(1, 2, 9).mean == 3

    def test_certain_guess_does_not_vary(self) -> None:
        assert Estimate(4, 4, 4).variance == 0

    @pytest.mark.parametrize("values", [(3, 2, 4), (1, 5, 4), (-1, 2, 3), (1, float("nan"), 3)])
    def test_guesses_out_of_order_are_refused(self, values) -> None:
        with pytest.raises(BadValue, match="low <= likely <= high"):
            Estimate(*values)
