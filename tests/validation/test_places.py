"""Where buffer places go: over common draws the exact best split beats its runner-up by the exact margin.

F. S. Hillier, K. C. So, R. W. Boling, Management Science 39 (1993) 126-133; H. T. Papadopoulos and M. I.
Vidalis 2001 (citations from memory). Numbers recomputed: every split, exact chain.
"""

from functools import cache

import numpy as np
import pytest

from linesim.theory.tandem import line_throughput
from tests.formulas.allocation import ranked_splits
from tests.formulas.bottlenecks import speed_gains
from tests.statistical import assert_difference_agrees, assert_mean_agrees, assert_mean_differs
from tests.validation.lines import UNIT, exponential, speeds, tandem

REPLICATIONS = 40
Split = tuple[int, ...]

#: Best split and its throughput, runner-up and its throughput. Balanced lines, exponential of rate 1.
PRINTED = [
    ((1, 2), 0.70031666, (0, 3), 0.65010352),
    ((2, 2), 0.73401667, (1, 3), 0.71776779),
    ((0, 1, 0), 0.55885976, (0, 0, 1), 0.54458860),
    ((0, 1, 1), 0.58970275, (0, 2, 0), 0.58315718),  # the best split is no block in the middle
    ((1, 2, 1), 0.65717532, (1, 1, 2), 0.64980927),
]


@cache
def made(split: Split) -> tuple[float, ...]:
    """Return the throughput as told by the machines' use, one figure per replication."""
    n = len(split) + 1
    length = 450 * UNIT if n == 3 else 850 * UNIT
    raw = tandem([exponential(UNIT)] * n, split, length=length, warm_up=40 * UNIT)
    return tuple(speeds(raw, [1.0] * n, [1.0] * n, REPLICATIONS))


@pytest.mark.parametrize(("best", "most", "second", "less"), PRINTED)
def test_best_split_beats_the_runner_up(best: Split, most: float, second: Split, less: float) -> None:
    """The best split makes more than its runner-up by the exact margin; no margin would be seen."""
    n = len(best) + 1
    ranked = ranked_splits([1.0] * n, sum(best))
    assert best in ranked[0].places
    assert second in ranked[1].places
    assert ranked[0].throughput == pytest.approx(most, abs=5e-9)
    assert ranked[1].throughput == pytest.approx(less, abs=5e-9)
    margin = most - less
    assert_difference_agrees(made(best), made(second), margin, must_see=margin)
    assert_mean_differs(np.subtract(made(best), made(second)), 0.0, must_see=margin)
    assert_mean_differs(np.subtract(made(second), made(best)), margin, must_see=margin)


#: Mean times of the machines, best split, and its throughput: every row of the published kind, see above.
BEST = [
    ((1, 1, 1), (0, 1), 0.61333333),
    ((1, 1, 1), (1, 2), 0.70031666),
    ((1, 1, 1), (2, 2), 0.73401667),
    ((1, 1, 1), (2, 3), 0.75434482),
    ((1, 1, 1, 1), (0, 1, 0), 0.55885976),
    ((1, 1, 1, 1), (0, 1, 1), 0.58970275),
    ((1, 1, 1, 1), (1, 1, 1), 0.63115269),
    ((1, 1, 1, 1), (1, 2, 1), 0.65717532),
    ((1, 1, 1, 1), (2, 3, 2), 0.71834043),
    ((1, 1, 1, 1, 1), (0, 0, 1, 0), 0.51912531),
    ((1, 1, 1, 1, 1), (0, 1, 1, 0), 0.55309072),
    ((1, 1, 1, 1, 1), (1, 2, 2, 1), 0.64795748),
    ((1, 1, 1.3), (1, 3), 0.65744981),
    ((1.2, 1, 1, 1), (1, 1, 1), 0.60097189),
    ((0.8, 1, 1.2), (1, 3), 0.71413817),
]


@pytest.mark.parametrize(("mean_times", "split", "exact"), BEST)
def test_a_line_with_its_best_split_makes_what_is_printed(
    mean_times: tuple[float, ...], split: Split, exact: float
) -> None:
    """Every line of the table makes the exact number of jobs to 3 %; without its places it would not."""
    raw = tandem([exponential(UNIT * w) for w in mean_times], split, length=1000 * UNIT, warm_up=40 * UNIT)
    figures = speeds(raw, mean_times, speed_gains(mean_times, split), 24)
    assert_mean_agrees(figures, exact, must_see=0.03 * exact)
    assert_mean_differs(figures, line_throughput(mean_times), must_see=0.03 * exact)


def test_the_best_split_need_not_be_one_block_in_the_middle() -> None:
    """Two places in a line of four go to the middle and one side; one in a line of five to either middle."""
    assert ranked_splits([1.0] * 4, 2)[0].places == ((0, 1, 1), (1, 1, 0))
    assert ranked_splits([1.0] * 5, 1)[0].places == ((0, 0, 1, 0), (0, 1, 0, 0))


def test_places_behind_the_first_machine_do_nothing_in_the_limit() -> None:
    """With ever more places behind machine 1, four machines tend to three: 22/39, at nine 0.56408280."""
    assert line_throughput([1.0] * 4, (9, 0, 0)) == pytest.approx(0.56408280, abs=5e-9)
    three = line_throughput([1.0] * 3)
    assert three == pytest.approx(22 / 39, abs=1e-12)
    raw = tandem([exponential(UNIT)] * 4, (9, 0, 0), length=400 * UNIT, warm_up=60 * UNIT)
    figures = speeds(raw, [1.0] * 4, [0.0, 1.0, 1.0, 1.0], REPLICATIONS)
    assert_difference_agrees(figures, [three] * REPLICATIONS, 0.56408280 - three, must_see=0.03 * three)
    assert_mean_differs(
        figures, line_throughput([1.0] * 4), must_see=0.03 * three
    )  # as if the nine were not there
