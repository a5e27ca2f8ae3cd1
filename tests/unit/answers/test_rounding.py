"""Numbers as people read them."""

from dataclasses import replace

import pytest

from linesim.answers.values import Estimate
from linesim.answers.wording import (
    count_of,
    decimals,
    give_or_take,
    interval_text,
    listed,
    mean_text,
    number,
    plus_minus,
    text,
)


def estimate(mean: float | None, half: float | None) -> Estimate:
    """Return an estimate with a symmetric interval."""
    low, high = (None, None) if mean is None or half is None else (mean - half, mean + half)
    return Estimate(mean, low, high, half, None, 5, "Student t")


@pytest.mark.parametrize(
    ("mean", "half", "says"),
    [
        (412.3149, 2.94, "412.3 (409.4 to 415.3)"),
        (412.3149, 31.0, "412 (381 to 443)"),
        (0.123456, 0.0046, "0.123 (0.119 to 0.128)"),
        (13.06, 0.9, "13.1 (12.2 to 14.0)"),
        (7.0, None, "7"),
        (57.712, None, "57.7"),
        (60.0, 0.0, "60"),
        (None, None, "–"),
    ],
)
def test_a_figure_shows_what_its_interval_supports(mean: float, half: float, says: str) -> None:
    """Mean and bounds have as many decimals as the half width has meaning."""
    assert text(estimate(mean, half)) == says


def test_decimals_keep_one_digit_of_the_uncertainty_or_two() -> None:
    """A half width from 10 to 35 keeps two digits, one from 36 to 99 keeps one."""
    assert [decimals(1.0, half) for half in (1.0, 3.4, 3.6, 9.9, 0.34, 0.36)] == [1, 1, 0, 0, 2, 1]


@pytest.mark.parametrize(
    ("mean", "half", "says"),
    [
        (412.3, 2.2, "412±3"),
        (412.3, 0.2, "412±1"),
        (3.21, 0.33, "3.2±0.4"),
        (0.02, 0.01, "0.0±0.1"),
        (2.6, 29.6, "3±30"),
        (0.0, 0.0, "·"),
        (12.0, 0.0, "12"),
        (4.0, None, "4.0"),
        (None, None, "–"),
    ],
)
def test_a_narrow_cell_rounds_its_uncertainty_up(mean: float, half: float, says: str) -> None:
    """In a wide table the half width is never shown smaller than it is; what never happened is a dot."""
    assert give_or_take(estimate(mean, half)) == says


def test_no_minus_before_nothing() -> None:
    """What rounds to zero has no sign."""
    assert number(-0.04, 1) == "0.0"
    assert number(-0.06, 1) == "-0.1"


def test_scaling_turns_shares_into_percent() -> None:
    """A share of 0.963 ± 0.002 is 96.3 ± 0.2 in percent."""
    share = replace(estimate(0.963, 0.002), unit="share")
    assert plus_minus(share) == "96.30±0.20"
    assert interval_text(share) == "96.10 to 96.50"


def test_what_never_varies_says_so() -> None:
    """An interval without width reads `each time`; without an interval there is nothing to say."""
    assert interval_text(estimate(60.0, 0.0)) == "each time"
    assert interval_text(estimate(60.0, None)) == ""
    assert mean_text(estimate(60.0, 0.0)) == "60"


def test_counts_and_lists() -> None:
    """Nouns agree with their numbers, lists end in a word."""
    assert count_of(1, "person", "people") == "1 person"
    assert count_of(0, "stop") == "0 stops"
    assert listed(["a"]) == "a" and listed([]) == ""
    assert listed(["a", "b"], "or") == "a or b"
