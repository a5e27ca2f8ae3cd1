"""Exact throughput of free-running lines against published tables and closed forms."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from linesim.theory.tandem import line_throughput, solve_line
from tests.formulas.departures import departure_times
from tests.statistical import assert_mean_agrees, assert_mean_differs

# Hillier and Boling 1966/1967, Hunt 1956 (citations from memory). Numbers recomputed: Markov chain
# solved exactly, exact fractions by rational elimination, departure recursion with random times.
BALANCED = {
    2: ((0, 1, 2, 3), (0.66666667, 0.75, 0.8, 0.83333333)),
    3: ((0, 1, 2, 3), (0.56410256, 0.67046616, 0.73401667, 0.77671153)),
    4: ((0, 1, 3), (0.51477549, 0.63115269, 0.74770951)),
    5: ((0, 2, 3), (0.48579812, 0.68048948, 0.72994794)),
    6: ((0, 1, 3), (0.46671326, 0.59182578, 0.71790830)),
}
ROOMY = {
    2: ((4, 6, 8, 10), (0.85714286, 0.88888889, 0.90909091, 0.92307692)),
    3: ((4, 6, 8, 10), (0.80748591, 0.84899066, 0.87573448, 0.89441855)),
    4: ((4, 6, 8, 10), (0.78177602, 0.82802794, 0.85804086, 0.87911477)),
    5: ((4, 6, 8), (0.76593386, 0.81500275, 0.84698683)),
}


@pytest.mark.parametrize(
    ("machines", "places", "rates"),
    [(n, *row) for table in (BALANCED, ROOMY) for n, row in table.items()],
)
def test_balanced_lines(machines: int, places: tuple[int, ...], rates: tuple[float, ...]) -> None:
    """Balanced exponential lines must give the tabled throughput for every number of places."""
    for b, rate in zip(places, rates, strict=True):
        assert line_throughput([1] * machines, b) == pytest.approx(rate, abs=6e-9), b


@pytest.mark.slow
def test_balanced_line_of_five_with_ten_places() -> None:
    """The largest tabled line must come out too; its 27 000 states take ten seconds."""
    assert line_throughput([1] * 5, 10) == pytest.approx(0.86951689, abs=6e-9)  # recomputed, as above


def test_exact_fractions() -> None:
    """Four throughputs are known as fractions and must be met to the last digit."""
    assert line_throughput([1, 1], 5) == pytest.approx(Fraction(7, 8), abs=1e-14)  # (b+2)/(b+3)
    assert line_throughput([1, 1, 1], 0) == pytest.approx(Fraction(22, 39), abs=1e-14)  # Hunt 1956
    assert line_throughput([1] * 4, 0) == pytest.approx(Fraction(4024, 7817), abs=1e-14)
    assert line_throughput([1] * 3, 1) == pytest.approx(Fraction(8529, 12721), abs=1e-14)


@pytest.mark.parametrize(("rate", "places", "known"), [(2.0, 0, 0.85714286), (1.25, 3, 0.91118050)])
def test_two_unequal_machines(rate: float, places: int, known: float) -> None:
    """Two unequal machines must agree with the birth-death formula."""
    ratio = 1 / rate
    formula = rate * (1 - 1 / sum(ratio**k for k in range(places + 3)))  # one queue with places + 3 states
    assert line_throughput([1, 1 / rate], places) == pytest.approx(formula, abs=1e-12)
    assert formula == pytest.approx(known, abs=6e-9)


@pytest.mark.parametrize(
    ("times", "places", "rate"),
    [
        # Bowl phenomenon: Hillier and Boling 1966 (from memory); numbers recomputed by Markov chain.
        # The two best bowls are printed with four digits that add up to 2.9999; the middle is 3 - 2 w.
        ((1.0855, 0.8290, 1.0855), (0, 0), 0.56718186),
        ((1.05, 0.90, 1.05), (0, 0), 0.56664286),
        ((0.9, 1.2, 0.9), (0, 0), 0.55326063),
        ((0.8, 1.0, 1.2), (0, 0), 0.55544447),
        ((1.1, 0.8, 1.1), (0, 0), 0.56709162),
        ((1.0592, 0.8816, 1.0592), (1, 1), 0.67375845),
        ((0.9, 1.0, 1.1), (1, 1), 0.66568142),
        ((0.8, 1.2, 1.0), (1, 2), 0.67897843),
        ((1.0, 1.2, 0.8), (2, 1), 0.67897843),  # the same line run backwards
        ((1.2, 1, 1, 1), (2, 2, 2), 0.66512808),
    ],
)
def test_unbalanced_lines(times: tuple[float, ...], places: tuple[int, ...], rate: float) -> None:
    """Unbalanced lines must give the tabled throughput, forwards and backwards."""
    assert line_throughput(times, places) == pytest.approx(rate, abs=6e-9)
    assert line_throughput(times[::-1], places[::-1]) == pytest.approx(rate, abs=6e-9)


def test_best_bowl_is_best() -> None:
    """No symmetric three-machine line may beat the published bowl, and it gains about half a per cent."""
    best = line_throughput((1.0855, 0.8290, 1.0855))
    for middle in (0.80, 0.82, 0.84, 0.86):
        side = (3 - middle) / 2
        assert line_throughput((side, middle, side)) < best
    assert best / line_throughput((1, 1, 1)) - 1 == pytest.approx(0.00546, abs=5e-6)


# Papadopoulos, Heavey and O'Kelly 1990 (title page seen); numbers recomputed by Markov chain.
ERLANG = [
    (2, 2, 0, 0.72727273), (2, 2, 1, 0.82142857), (2, 2, 2, 0.86821705),
    (2, 3, 0, 0.76190476), (2, 3, 1, 0.85869565), (2, 3, 2, 0.90064734),
    (2, 4, 0, 0.78527607), (2, 4, 1, 0.88217701), (2, 4, 2, 0.91986185),
    (3, 2, 0, 0.64040850), (3, 2, 1, 0.76130725), (3, 2, 2, 0.82188615),
    (3, 4, 0, 0.71399941), (4, 2, 0, 0.59770686),
]  # fmt: skip


@pytest.mark.parametrize(("machines", "stages", "places", "rate"), ERLANG)
def test_erlang_lines(machines: int, stages: int, places: int, rate: float) -> None:
    """Lines with Erlang times must give the tabled throughput."""
    assert line_throughput([1] * machines, places, stages=stages) == pytest.approx(rate, abs=6e-9)


@pytest.mark.parametrize(
    ("rates", "failure", "repair", "places", "rate"),
    [
        # Model of Gershwin and Berman (1978 report seen, 1981 from memory); recomputed by Markov chain.
        ((1, 1), (0.05, 0.05), (0.5, 0.5), (0,), 0.59443912),
        ((1, 1), (0.05, 0.05), (0.5, 0.5), (1,), 0.66469075),
        ((1, 1), (0.05, 0.05), (0.5, 0.5), (2,), 0.70784869),
        ((1, 1), (0.05, 0.05), (0.5, 0.5), (10,), 0.82329981),
        ((1, 1.2), (0.1, 0.05), (0.4, 0.5), (3,), 0.71929404),
        ((1, 1, 1), (0.05,) * 3, (0.5,) * 3, (0, 0), 0.49518591),
        ((1, 1, 1), (0.05,) * 3, (0.5,) * 3, (2, 2), 0.63860170),
    ],
)
def test_lines_with_breakdowns(
    rates: tuple[float, ...],
    failure: tuple[float, ...],
    repair: tuple[float, ...],
    places: tuple[int, ...],
    rate: float,
) -> None:
    """Lines whose machines fail while working must give the tabled throughput."""
    found = solve_line(
        [1 / r for r in rates], places, mean_up=[1 / f for f in failure], mean_repair=[1 / r for r in repair]
    )
    assert found.throughput == pytest.approx(rate, abs=6e-9)
    for working, down, p, r in zip(found.working, found.down, failure, repair, strict=True):
        assert down == pytest.approx(working * p / r)  # each unit of work brings p failures of mean 1/r


@pytest.mark.parametrize(
    ("times", "places", "rate", "working", "blocked", "starved"),
    [
        # Recomputed: Markov chain.
        (
            (1, 1.2, 1, 1), 1, 0.59245829, (0.592458, 0.710950, 0.592458, 0.592458),
            (0.407542, 0.188550, 0.121005, 0), (0, 0.100500, 0.286537, 0.407542),
        ),
        (
            (1, 1, 1, 1), 1, 0.63115269, (0.631153,) * 4,
            (0.368847, 0.246096, 0.144788, 0), (0, 0.122751, 0.224059, 0.368847),
        ),
        (
            (1, 1, 1.25, 1, 1), 2, 0.63133131, (0.631331, 0.631331, 0.789164, 0.631331, 0.631331),
            (0.368669, 0.303334, 0.111435, 0.079207, 0), (0, 0.065335, 0.099401, 0.289461, 0.368669),
        ),
    ],
)  # fmt: skip
def test_where_the_time_goes(
    times: tuple[float, ...],
    places: int,
    rate: float,
    working: tuple[float, ...],
    blocked: tuple[float, ...],
    starved: tuple[float, ...],
) -> None:
    """Working, blocked and starved shares must be the tabled ones and add up to one."""
    found = solve_line(times, places)
    assert found.throughput == pytest.approx(rate, abs=6e-9)
    assert found.working == pytest.approx(working, abs=6e-7)
    assert found.blocked == pytest.approx(blocked, abs=6e-7)
    assert found.starved == pytest.approx(starved, abs=6e-7)
    for parts in zip(found.working, found.blocked, found.starved, found.down, strict=True):
        assert sum(parts) == pytest.approx(1.0, abs=1e-12)


def test_single_machine_and_rare_failures() -> None:
    """A lone machine always works; failures that never come must change nothing."""
    assert solve_line([2.0]).throughput == pytest.approx(0.5)
    assert solve_line([1.0], mean_up=[9.0], mean_repair=[1.0]).working == pytest.approx((0.9,))
    never = solve_line([1, 1], 1, mean_up=[float("inf")] * 2, mean_repair=[5.0] * 2)
    assert never.throughput == pytest.approx(0.75, abs=1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: solve_line([1, 0]), "mean_times"),
        (lambda: solve_line([1, 1], (1, 1)), "places must be 1"),
        (lambda: solve_line([1, 1], stages=0), "stages"),
        (lambda: solve_line([1, 1], mean_up=[1, 1]), "belong together"),
        (lambda: solve_line([1, 1], mean_up=[1], mean_repair=[1, 1]), "2 times > 0"),
    ],
)
def test_wrong_input_is_named(call: object, words: str) -> None:
    """What is not a line must be refused by name."""
    assert callable(call)
    with pytest.raises(ValueError, match=words):
        call()


@pytest.mark.parametrize(
    ("times", "places", "stages"), [((1, 1, 1), (0, 0), 1), ((0.8, 1.2, 1.0), (1, 2), 2)]
)
def test_recursion_with_drawn_times(times: tuple[float, ...], places: tuple[int, ...], stages: int) -> None:
    """Drawn times through the recursion must give the exact throughput, but not with a place more."""
    luck = np.random.default_rng(12)
    work = luck.gamma(stages, 1 / stages, size=(40, 10_000, 3)) * np.asarray(times)

    def rates(gaps: tuple[int, ...]) -> list[float]:
        out = departure_times(work, places=gaps)[..., -1]
        rate: list[float] = (9500 / (out[:, -1] - out[:, 499])).tolist()  # the first 500 jobs fill the line
        return rate

    exact = line_throughput(times, places, stages=stages)
    assert_mean_agrees(rates(places), exact, must_see=0.01 * exact)
    assert_mean_differs(rates((places[0] + 1, places[1])), exact, must_see=0.01 * exact)
