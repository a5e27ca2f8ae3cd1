"""Money in words: rounded to what its interval supports."""

import pytest

from linesim.answers.values import Change
from linesim.answers.wording import interval_text, money, rounding_step
from linesim.stats.intervals import mean_interval


@pytest.mark.parametrize(
    ("half_width", "step"),
    [(0.0, None), (0.4, 1), (9.9, 1), (13, 1), (36, 10), (120, 10), (360, 100), (5e4, 10_000)],
)
def test_amounts_are_rounded_to_what_is_known(half_width: float, step: int | None) -> None:
    """One digit of the uncertainty is kept, two if it begins with 10 to 35, and whole units at most."""
    assert rounding_step(half_width) == step


def test_signs_and_currencies_stand_where_people_put_them() -> None:
    """A sign of money stands close to the figure, a word apart; minus and plus stand before both."""
    assert money(1234.4, rounding_step(40), "€") == "€1,230"
    assert money(-1234.4, rounding_step(40), "EUR") == "-EUR 1,230"
    assert money(3.2, rounding_step(40), "EUR", signed=True) == "EUR 0"
    assert money(12.5, None, "$", signed=True) == "+$12.50"


def test_money_comes_with_its_interval() -> None:
    """Estimate and bounds are rounded alike; an exact amount is told in full."""
    found = mean_interval([1480.0, 1520.0, 1390.0, 1610.0])
    assert found.half_width == pytest.approx(145.258, abs=1e-3)
    step = rounding_step(found.half_width)
    said = [money(v, step, "EUR", signed=True) for v in (found.mean, found.low, found.high)]
    assert said == ["+EUR 1,500", "+EUR 1,350", "+EUR 1,650"]
    exact = mean_interval([70.0, 70.0])
    assert money(exact.mean, rounding_step(exact.half_width), "EUR", signed=True) == "+EUR 70"


@pytest.mark.parametrize(
    ("low", "said"), [(0.3, "+EUR 0.30 to +EUR 28.10"), (-0.02, "-EUR 0.02 to +EUR 28.10")]
)
def test_no_end_in_money_hides_its_side(low: float, said: str) -> None:
    """An end that would read EUR 0 is told to the cent, or as near as shows on which side of 0 it lies."""
    assert interval_text(Change(14.2, low, 28.1, half_width=14.0, currency="EUR")) == said
