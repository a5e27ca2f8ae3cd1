"""Counts of replications: published examples and the look-ahead by hand."""

from __future__ import annotations

import math

import pytest

from linesim.stats.intervals import mean_interval, student_quantile
from linesim.stats.precision import Enough, enough_replications, look_ahead, replications_for

FIVE = (3.2, 4.3, 5.1, 4.2, 4.6)  # graduate course notes, lesson "Output data analysis"
FORTY = (
    52, 47, 60, 55, 43, 58, 49, 51, 57, 46, 53, 50, 48, 54, 56, 45, 52, 51, 49, 53,
    50, 55, 47, 52, 54, 48, 51, 50, 53, 49, 52, 50, 51, 54, 47, 53, 50, 52, 49, 51,
)  # fmt: skip


def test_replications_for_a_half_width() -> None:
    """The count must be the published one, and the least that does."""
    assert replications_for(FIVE, 0.5) == 10  # recomputed: smallest r with t(r-1) s / sqrt(r) <= 0.5
    sd = math.sqrt(0.487)
    assert student_quantile(0.975, 9) * sd / math.sqrt(10) <= 0.5 < student_quantile(0.975, 8) * sd / 3
    assert replications_for(FIVE, 100) == 2
    many = replications_for(FIVE, 0.002)
    assert student_quantile(0.975, many - 1) * sd / math.sqrt(many) <= 0.002
    assert student_quantile(0.975, many - 2) * sd / math.sqrt(many - 1) > 0.002
    for wrong in (lambda: replications_for([1.0], 1), lambda: replications_for(FIVE, 0)):
        with pytest.raises(ValueError, match="half_width > 0"):
            wrong()


def test_look_ahead_grows_with_the_count() -> None:
    """Five replications must follow up to a hundred, five per hundred beyond."""
    assert [look_ahead(n) for n in (3, 100, 120, 150, 200, 1000)] == [5, 5, 6, 7, 10, 50]  # Hoad et al. 2010
    assert look_ahead(50, 0) == 0


def test_look_ahead_by_hand() -> None:
    """A half width that is small by chance must not end the search."""
    ratios = [mean_interval(FORTY[:n]).relative_half_width or 0.0 for n in range(2, 41)]
    within = [n for n, ratio in zip(range(2, 41), ratios, strict=True) if ratio <= 0.10]
    assert within[0] == 8  # and all after it
    assert within == list(range(8, 41))
    assert enough_replications(FORTY, 0.10) == Enough(8, 13, pytest.approx(ratios[11]))
    assert enough_replications(FORTY[:12], 0.10).enough is None
    assert enough_replications(FORTY[:12], 0.10).run == 13
    assert enough_replications(FORTY[:7], 0.10).run == 8
    assert enough_replications(FORTY[:1], 0.10).run == 3
    lucky = (50.0, 50.1, 49.9, 70.0, 30.0, 50.0, 50.0, 50.0, 50.0)
    assert enough_replications(lucky, 0.05).enough is None  # precise at 3, not at 4
    assert enough_replications(lucky, 0.05, k_limit=0).enough == 3
    assert enough_replications([7.0] * 8, 0.01) == Enough(3, 8, 0.0)
    with pytest.raises(ValueError, match="k_limit >= 0"):
        enough_replications(FORTY, 0.1, k_limit=-1)


def test_answer_does_not_depend_on_how_many_are_run_at_a_time() -> None:
    """Every prefix long enough to decide must give the same count."""
    decided = {enough_replications(FORTY[:n], 0.06).enough for n in range(3, 41)} - {None}
    assert len(decided) == 1
