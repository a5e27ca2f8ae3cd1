"""What a line gains from the speed of each station, exactly."""

from __future__ import annotations

import pytest

from linesim.theory.tandem import solve_line
from tests.formulas.bottlenecks import speed_gains


@pytest.mark.parametrize(
    ("times", "places", "gains"),
    [  # recomputed: Markov chain, differences
        ((1, 1.2, 1, 1), 1, (0.111209, 0.239320, 0.148170, 0.093760)),
        ((1, 1, 1, 1), 1, (0.130910, 0.184666, 0.184666, 0.130910)),
        ((1, 1, 1.25, 1, 1), 2, (0.062540, 0.117774, 0.270704, 0.117774, 0.062540)),
    ],
)
def test_speed_gains(times: tuple[float, ...], places: int, gains: tuple[float, ...]) -> None:
    """The gain from speed must be the tabled one, and all gains add up to the throughput."""
    found = speed_gains(times, places)
    assert found == pytest.approx(gains, abs=6e-7)
    assert sum(found) == pytest.approx(solve_line(times, places).throughput, abs=1e-9)
