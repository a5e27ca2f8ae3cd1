"""Further values between two of a sample: by counting orders, by scipy, and the chances add up."""

from itertools import permutations

import pytest
from scipy.stats import betabinom

from linesim.stats import between_ranks


@pytest.mark.parametrize(("sample", "further", "gaps"), [(2, 2, 1), (3, 2, 2), (4, 3, 2), (3, 4, 1)])
def test_every_order_is_counted(sample: int, further: int, gaps: int) -> None:
    """All orders of sample and further values are equally likely: counted, they give the same chances."""
    counts = [0] * (further + 1)
    for order in permutations(range(sample + further)):
        ranks = sorted(order[:sample])
        low, high = ranks[0], ranks[gaps]
        counts[sum(low < value < high for value in order[sample:])] += 1
    total = sum(counts)
    for inside in range(further + 1):
        found = between_ranks(inside, further, gaps=gaps, sample=sample)
        assert found.at_most == pytest.approx(sum(counts[: inside + 1]) / total)
        assert found.at_least == pytest.approx(sum(counts[inside:]) / total)


@pytest.mark.parametrize("further", [250, 5000])
def test_large_counts_agree_with_scipy(further: int) -> None:
    """For hundreds and thousands of shifts and a sample of 1,000 the sums keep eight digits."""
    inside = round(0.77 * further)
    found = between_ranks(inside, further, gaps=800, sample=1000)
    law = betabinom(further, 800, 201)
    assert found.at_most == pytest.approx(law.cdf(inside), rel=1e-8)
    assert found.at_least == pytest.approx(law.sf(inside - 1), rel=1e-8)


@pytest.mark.parametrize(
    ("inside", "further", "gaps", "sample"), [(2, 1, 1, 2), (0, 0, 1, 2), (0, 1, 2, 2), (0, 1, 0, 2)]
)
def test_impossible_counts_are_refused(inside: int, further: int, gaps: int, sample: int) -> None:
    """More inside than there are, none at all, and a range wider than the sample are errors."""
    with pytest.raises(ValueError, match="further values"):
        between_ranks(inside, further, gaps=gaps, sample=sample)
