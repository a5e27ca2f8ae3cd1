"""How figures are read: rounded to what the interval supports, no end that hides a verdict, no minus zero."""

import pytest

from linesim.answers.measure import Measure
from linesim.answers.values import Change, Estimate
from linesim.answers.wording import (
    change_in_words,
    give_or_take,
    interval_text,
    level_text,
    mean_text,
    plus_minus,
    text,
)


@pytest.mark.parametrize(
    ("found", "mean", "interval", "both"),
    [
        (Estimate(412.3, 409.4, 415.2), "412.3", "409.4 to 415.2", "412.3 (409.4 to 415.2)"),
        (Estimate(0.9812, 0.975, 0.987, unit="share"), "98.1", "97.5 to 98.7", "98.1 (97.5 to 98.7)"),
        (Estimate(12.0, 12.0, 12.0), "12", "each time", "12"),
        (Estimate(12.34), "12.3", "", "12.3"),
        (Change(4 / 3, 4 / 3 - 1e-16, 4 / 3 + 1e-16), "+1.33", "each time", "+1.33"),
        (Estimate(None), "–", "", "–"),
        (Change(-0.0001, -0.3, 0.3), "0.00", "-0.30 to +0.30", "0.00 (-0.30 to +0.30)"),
        (Change(6.2, 4.9, 7.5), "+6.2", "+4.9 to +7.5", "+6.2 (+4.9 to +7.5)"),
        (Estimate(1487.2, 1100.0, 1900.0, currency="EUR"), "EUR 1,500", "EUR 1,100 to EUR 1,900",
         "EUR 1,500 (EUR 1,100 to EUR 1,900)"),
        (Change(-96.4, -99.0, -93.0, currency="€"), "-€96", "-€99 to -€93", "-€96 (-€99 to -€93)"),
    ],
)  # fmt: skip
def test_a_figure_is_read_as_its_interval_allows(
    found: Estimate, mean: str, interval: str, both: str
) -> None:
    """Estimate and interval have one rounding; shares are percent, money is money, signs are for changes."""
    assert (mean_text(found), interval_text(found), text(found)) == (mean, interval, both)


def test_no_end_hides_a_verdict() -> None:
    """An end just above or below 0 gets another digit, so that one sees whether the interval holds 0."""
    assert interval_text(Change(6.0, 0.4, 11.6)) == "+0.4 to +11.6"
    assert interval_text(Change(-6.0, -11.96, -0.04)) == "-11.96 to -0.04"
    assert interval_text(Change(4.0, -0.2, 8.2)) == "-0.2 to +8.2"
    assert interval_text(Change(4.0, 0.0, 8.0)) == "0 to +8"
    assert interval_text(Estimate(1.3, 0.0, 2.6)) == "0.0 to 2.6"
    jobs = Measure("jobs_per_shift")
    assert change_in_words(Change(6.0, 0.4, 11.6), jobs) == "6.0 more jobs a shift (0.4 to 11.6)"


def test_narrow_cells() -> None:
    """Half widths stand in few letters; what never happened is a dot, what nobody knows a dash."""
    assert plus_minus(Estimate(1.85, 1.80, 1.90, 0.05)) == "1.85±0.05"
    assert give_or_take(Estimate(412.3, 409.9, 414.7, 2.4)) == "412±3"
    assert give_or_take(Estimate(0.0, 0.0, 0.0, 0.0)) == "·"
    assert give_or_take(Estimate(None)) == "–"
    assert give_or_take(Estimate(0.05, 0.04, 0.06, 0.01).scaled(480, "min/shift")) == "24±5"


def test_the_two_figures_of_a_change_are_rounded_as_it_is() -> None:
    """Before and after carry the digits that their difference supports, shares in percent."""
    change = Change(0.042, 0.030, 0.054, unit="share", before=0.9012, after=0.9432)
    assert (level_text(change.before, change), level_text(change.after, change)) == ("90.1", "94.3")
    assert level_text(None, change) == "–"


def test_an_amount_has_no_sign() -> None:
    """What is surely more or less is told without its sign, the near end of its interval first."""
    assert text(Change(-6.0, -8.0, -4.0).amount) == text(Change(6.0, 4.0, 8.0).amount) == "6 (4 to 8)"
    assert text(Change(-6.0).amount) == "6"
    assert Change(None).amount.mean is None


@pytest.mark.parametrize(
    ("change", "verdict"),
    [
        (Change(1.0, 0.5, 1.5), "higher"),
        (Change(-1.0, -1.5, -0.5), "lower"),
        (Change(1.0, -0.5, 2.5), "can't tell"),
        (Change(0.0, 0.0, 0.0), "the same"),
        (Change(1.0), "no interval"),
    ],
)
def test_the_word_of_a_verdict(change: Change, verdict: str) -> None:
    """The verdict is what the interval says, and nothing else."""
    assert change.verdict == verdict
