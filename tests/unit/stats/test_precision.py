"""Counts of replications: published examples and the look-ahead by hand."""

from __future__ import annotations

import math

import pytest

from linesim.stats import (
    Enough,
    differences_from_base,
    enough_replications,
    first_precise,
    joint_confidence,
    look_ahead,
    mean_interval,
    replications_by_ratio,
    replications_for,
    student_quantile,
)

FIVE = (3.2, 4.3, 5.1, 4.2, 4.6)  # graduate course notes, lesson "Output data analysis"
FORTY = (
    52, 47, 60, 55, 43, 58, 49, 51, 57, 46, 53, 50, 48, 54, 56, 45, 52, 51, 49, 53,
    50, 55, 47, 52, 54, 48, 51, 50, 53, 49, 52, 50, 51, 54, 47, 53, 50, 52, 49, 51,
)  # fmt: skip


def test_replications_for_a_half_width() -> None:
    """Both rules must give the published counts."""
    assert replications_by_ratio(FIVE, 0.5) == 16  # the notes' (h / eps)^2 rule
    assert replications_for(FIVE, 0.5) == 10  # recomputed: smallest r with t(r-1) s / sqrt(r) <= 0.5
    sd = math.sqrt(0.487)
    assert student_quantile(0.975, 9) * sd / math.sqrt(10) <= 0.5 < student_quantile(0.975, 8) * sd / 3
    assert replications_for(FIVE, 100) == 2
    assert replications_by_ratio(FIVE, 100) == 5
    many = replications_for(FIVE, 0.002)
    assert student_quantile(0.975, many - 1) * sd / math.sqrt(many) <= 0.002
    assert student_quantile(0.975, many - 2) * sd / math.sqrt(many - 1) > 0.002
    for wrong in (lambda: replications_for([1.0], 1), lambda: replications_by_ratio(FIVE, 0)):
        with pytest.raises(ValueError, match="half_width > 0"):
            wrong()


def test_sequential_stopping() -> None:
    """The sequential rule must stop where it was worked out, with and without the adjustment."""
    # Rule of Law (from memory), data invented; recomputed step by step.
    assert first_precise(FORTY, 0.10) == 9
    made = mean_interval(FORTY[:9])
    assert made.mean == pytest.approx(52.444444, abs=6e-7)
    assert made.half_width == pytest.approx(4.281680, abs=6e-7)
    assert made.relative_half_width == pytest.approx(0.081642, abs=6e-7)
    assert first_precise(FORTY, 0.10, adjusted=False) == 8
    assert first_precise(FORTY[:8], 0.10) is None
    assert first_precise([5.0] * 5, 0.01) == 5
    assert first_precise([-1.0, 1.0] * 5, 0.1) is None  # mean 0: no relative error
    with pytest.raises(ValueError, match="precision > 0"):
        first_precise(FORTY, 0)


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
    assert first_precise(lucky, 0.05, at_least=3) == 3
    assert enough_replications(lucky, 0.05, k_limit=0).enough == 3
    assert enough_replications([7.0] * 8, 0.01) == Enough(3, 8, 0.0)
    with pytest.raises(ValueError, match="k_limit >= 0"):
        enough_replications(FORTY, 0.1, k_limit=-1)


def test_answer_does_not_depend_on_how_many_are_run_at_a_time() -> None:
    """Every prefix long enough to decide must give the same count."""
    decided = {enough_replications(FORTY[:n], 0.06).enough for n in range(3, 41)} - {None}
    assert len(decided) == 1


@pytest.mark.parametrize(
    ("comparisons", "quantiles"),
    [  # Bonferroni, recomputed: t(1 - 0.05 / (2 k), df) at df 4, 9, 19
        (2, (3.495406, 2.685011, 2.433440)),
        (4, (4.314656, 3.110935, 2.758586)),
    ],
)
def test_joint_confidence(comparisons: int, quantiles: tuple[float, ...]) -> None:
    """Joint intervals must use the tabled, larger quantiles."""
    each = joint_confidence(0.95, comparisons)
    got = [student_quantile((1 + each) / 2, df) for df in (4, 9, 19)]
    assert got == pytest.approx(quantiles, abs=6e-7)
    with pytest.raises(ValueError, match="comparisons must be >= 1"):
        joint_confidence(0.95, 0)


def test_differences_from_base_are_joint() -> None:
    """Two alternatives must each be compared at 97.5 %, none at all must be no error."""
    found = differences_from_base({"a": (2.0, 3.0, 5.0), "b": (1.0, 2.0, 2.0)}, (1.0, 2.0, 3.0))
    assert {name: d.interval.confidence for name, d in found.items()} == {"a": 0.975, "b": 0.975}
    assert found["a"].interval.mean == pytest.approx(4 / 3)
    assert differences_from_base({}, (1.0, 2.0)) == {}
