"""Bottleneck methods on exact lines and on a trace by hand."""

from __future__ import annotations

import pytest

from linesim.theory.bottlenecks import active_periods, arrow_rule, speed_gains, turning_point
from linesim.theory.tandem import solve_line


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


def test_rules_agree_on_a_clear_bottleneck() -> None:
    """Arrows and turning point must both name the slow middle station."""
    line = solve_line((1, 1, 1.25, 1, 1), 2)
    arrows = arrow_rule(line.blocked, line.starved)
    assert (arrows.directions, arrows.bottlenecks, arrows.worst) == (">><<", (2,), 2)
    assert turning_point(line.blocked, line.starved) == 2


def test_published_example() -> None:
    """The textbook shares must give the textbook arrows, bottleneck and severity."""
    blocked = (0.18, 0.15, 0.03, 0.02, 0)  # Li and Meerkov, from memory
    starved = (0, 0.02, 0.05, 0.14, 0.17)
    arrows = arrow_rule(blocked, starved)
    assert (arrows.directions, arrows.worst) == (">><<", 2)
    assert arrows.severity == pytest.approx((0.21,))
    assert turning_point(blocked, starved) == 2


def test_several_and_none() -> None:
    """Two bottlenecks must both be named, the more severe first; no turning point is None."""
    arrows = arrow_rule((0.0, 0.3, 0.0, 0.0), (0.0, 0.2, 0.1, 0.4))
    assert arrows.bottlenecks == (0, 2)
    assert arrows.worst == 2
    assert turning_point((0.1, 0.0, 0.1), (0.0, 0.2, 0.0)) is None
    assert arrow_rule((0.0,), (0.0,)).bottlenecks == (0,)
    with pytest.raises(ValueError, match="as many"):
        arrow_rule((0.1,), ())


def test_active_periods() -> None:
    """The trace of three machines must give averages, periods, sole and shifting times by hand."""
    # Method of Roser, Nakano and Tanaka 2001/2002 (from memory); trace invented, worked by hand.
    found = active_periods(
        [
            [(0, 10), (14, 20), (24, 40)],
            [(0, 4), (6, 26), (30, 36)],
            [(2, 8), (10, 16), (22, 30), (33, 45)],
        ]
    )
    assert found.average == pytest.approx((10.666667, 10, 8), abs=6e-7)
    assert found.periods == ((0, 0, 10), (1, 6, 26), (0, 24, 40), (2, 33, 45))
    assert found.sole == (13, 14, 5)
    assert found.shifting == (13, 6, 7)
    assert active_periods([[], [(0, 1)]]).average == (0, 1)
