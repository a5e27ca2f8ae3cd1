"""`bottleneck` on a line whose gains from speed are known: the answer's figures agree with the exact ones.

Five exponential machines that block after service, the third a quarter slower, two places in each gap. Exact
throughput by the Markov chain (`linesim.theory.tandem`); sensitivities recomputed from it.
"""

from functools import cache

import pytest

from linesim.answers.document import Document
from linesim.answers.values import Change
from linesim.questions.bottleneck import bottleneck
from linesim.questions.bottleneck.evidence import ARROW, GAIN, PERIOD, SHARE, TURN
from linesim.scenario import from_dict
from linesim.theory.tandem import line_throughput
from tests.formulas.bottlenecks import speed_gains
from tests.validation.lines import exponential, tandem

MEAN_TIMES = (1.0, 1.0, 1.25, 1.0, 1.0)
PLACES = 2
UNIT = 100.0  #: Seconds in a unit of time: 36 units an hour
FALSE_ALARM = 1e-5


@cache
def asked() -> Document:
    """Ask what machines 3 and 1 would bring if they were a tenth faster."""
    raw = tandem([exponential(UNIT * w) for w in MEAN_TIMES], PLACES, length=800 * UNIT, warm_up=60 * UNIT)
    # Two gains hold together; half the false alarm for each.
    return bottleneck(
        from_dict(raw), faster=0.1, only=["M2", "M0"], measure="throughput", replications=16,
        confidence=1 - 2 * FALSE_ALARM,
    )  # fmt: skip


def gain_of(machine: str) -> Change:
    """Return what a machine that is faster brings."""
    gain = asked().table("stations").row(machine)["gain"]
    assert isinstance(gain, Change)
    return gain


def exact_gain(machine: int) -> float:
    """Return how many jobs an hour a machine a tenth faster brings."""
    faster = [w / 1.1 if i == machine else w for i, w in enumerate(MEAN_TIMES)]
    return (line_throughput(faster, PLACES) - line_throughput(MEAN_TIMES, PLACES)) * 3600 / UNIT


@pytest.mark.parametrize("machine", [0, 2])
def test_gains_are_the_exact_ones(machine: int) -> None:
    """The gain of the slow machine and of the first agree with the Markov chain; half of it would be seen."""
    gain = gain_of(f"M{machine}")
    assert gain.low is not None and gain.high is not None
    assert gain.low <= exact_gain(machine) <= gain.high
    assert gain.high - gain.low < exact_gain(2), "blind"


def test_the_gain_of_another_machine_does_not_pass() -> None:
    """The interval of the slow machine's gain leaves out that of the first, and the other way round."""
    slow, first = gain_of("M2"), gain_of("M0")
    assert slow.low is not None and slow.low > exact_gain(0)
    assert first.high is not None and first.high < exact_gain(2)


def test_every_method_names_the_slow_machine() -> None:
    """Gain, shifting bottleneck, active periods, arrows and turning point all point to the third machine.

    Kuo, Lim and Meerkov's definition says the same: its sensitivity 0.270704 is the largest (recomputed).
    """
    gains = speed_gains(MEAN_TIMES, PLACES)
    assert gains == pytest.approx((0.062540, 0.117774, 0.270704, 0.117774, 0.062540), abs=6e-7)
    for method in (GAIN, SHARE, PERIOD, ARROW, TURN):
        assert asked().table("methods").row(method)["named"] == "M2", method
    assert asked().sentences[0] == "All 5 methods that name a place point to M2."
