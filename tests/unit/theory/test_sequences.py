"""Orders of jobs: overload, spacing rules, goal chasing, runs and windows."""

from __future__ import annotations

import itertools
import math

import pytest

from linesim.questions.sequence.search import all_orders
from tests.formulas.drift import displacement_trace
from tests.formulas.runs import (
    chance_crowded,
    chance_none_adjacent,
    chance_of_run,
    jobs_to_first_run,
    mean_crowded_windows,
    mean_runs,
)
from tests.formulas.sequences import (
    SpacingRule,
    allowed_orders,
    goal_chasing,
    overload_over_orders,
    spacing_rule,
    violated_windows,
)

# CSPLib problem 001 (specification read), after Dincbas, Simonis and Van Hentenryck, ECAI 1988.
CAPACITY = ((1, 2), (2, 3), (1, 3), (2, 5), (1, 5))
OPTIONS = ("10110", "00010", "01001", "01010", "10100", "11000")
DEMAND = (1, 1, 2, 2, 2, 2)
PUBLISHED = (0, 1, 5, 2, 4, 3, 3, 4, 2, 5)


def test_all_orders_of_ten() -> None:
    """Over all 252 orders of five heavy and five light jobs overload must range as tabled."""
    tight = overload_over_orders((70, 52), (5, 5), 60, 70)  # recomputed: all orders
    assert (tight.orders, tight.least, tight.best_orders, tight.most) == (252, 6, 4, 40)
    assert tight.mean == pytest.approx(22.22222222, abs=6e-9)
    roomy = overload_over_orders((70, 52), (5, 5), 60, 80)
    assert (roomy.least, roomy.best_orders, roomy.most) == (0, 24, 30)
    assert roomy.mean == pytest.approx(10.15873016, abs=6e-9)
    best = [70 if k == "H" else 52 for k in "HBHBHBHBBH"]
    assert math.fsum(displacement_trace(best, 60, 70).overloads) == 6


@pytest.mark.parametrize(
    ("heavy", "light", "length", "rule", "obeying"),
    [  # Bolat and Yano 1992 (from memory); recomputed: every obeying order of 13 jobs
        (70, 52, 80, (2, 5), 792),
        (70, 50, 70, (1, 2), 610),
        (75, 50, 95, (2, 5), 792),
    ],
)
def test_spacing_rule_prevents_overload(
    heavy: float, light: float, length: float, rule: tuple[int, int], obeying: int
) -> None:
    """Every order of 13 jobs that keeps the spacing rule must be free of overload."""
    assert spacing_rule(heavy, light, 60, length) == rule
    at_most, in_any = rule
    kept = 0
    for marked in itertools.product((False, True), repeat=13):
        if violated_windows(marked, at_most, in_any):
            continue
        kept += 1
        assert sum(displacement_trace([heavy if m else light for m in marked], 60, length).overloads) == 0
    assert kept == obeying


def test_spacing_rule_is_tight() -> None:
    """One heavy job more in a row than the rule allows must overload the station."""
    at_most, _ = spacing_rule(70, 52, 60, 80)
    assert sum(displacement_trace([70] * (at_most + 1), 60, 80).overloads) > 0
    with pytest.raises(ValueError, match="light < takt < heavy"):
        spacing_rule(60, 52, 60, 80)


def test_ten_cars() -> None:
    """Of all orders of the ten cars exactly six must keep the rules, the published one among them."""
    rules = [
        SpacingRule(frozenset(k for k, row in enumerate(OPTIONS) if row[o] == "1"), *CAPACITY[o])
        for o in range(5)
    ]
    kept = list(allowed_orders(DEMAND, rules))  # recomputed: complete enumeration
    assert len(kept) == 6
    assert PUBLISHED in kept
    assert math.factorial(10) // 2**4 == 226_800  # distinct orders
    assert len(list(allowed_orders((2, 2), []))) == len(list(all_orders((2, 2)))) == 6


def test_windows_of_ten_cars() -> None:
    """The published order must violate no window; the sorted one as many as counted by hand."""

    def violated(order: tuple[int, ...]) -> list[int]:
        return [violated_windows([OPTIONS[k][o] == "1" for k in order], *CAPACITY[o]) for o in range(5)]

    assert violated(PUBLISHED) == [0, 0, 0, 0, 0]
    assert violated((0, 1, 2, 2, 3, 3, 4, 4, 5, 5)) == [3, 2, 2, 2, 3]
    with pytest.raises(ValueError, match="in_any"):
        violated_windows([True], 0, 0)


def test_goal_chasing() -> None:
    """The textbook example must come out in order, its tie going to the first listed."""
    # Monden, Toyota Production System (example from memory); distances recomputed exactly.
    order = goal_chasing((2, 3, 5), ((1, 0, 1, 1), (1, 1, 0, 1), (0, 1, 1, 0)))
    assert "".join("ABC"[k] for k in order) == "CBACBCCABC"
    needed = (5, 8, 7, 5)
    parts = {"A": (1, 0, 1, 1), "B": (1, 1, 0, 1), "C": (0, 1, 1, 0)}

    def distances(k: int, used: tuple[int, ...]) -> list[float]:
        return [
            math.sqrt(sum((k * n / 10 - u - b) ** 2 for n, u, b in zip(needed, used, row, strict=True)))
            for row in parts.values()
        ]

    assert distances(1, (0, 0, 0, 0)) == pytest.approx([1.1091, 1.0149, 0.7937], abs=5e-5)
    assert distances(2, (0, 1, 1, 0)) == pytest.approx([0.8485, 0.5657, 1.5875], abs=5e-5)
    assert distances(3, (1, 2, 1, 1)) == pytest.approx([0.8185, 1.4387, 0.9327], abs=5e-5)
    assert distances(4, (2, 2, 2, 2)) == pytest.approx([1.8655, 1.6371, 0.2828], abs=5e-5)
    fifth = distances(5, (2, 3, 3, 2))
    assert fifth[1:] == pytest.approx([0.8660, 0.8660], abs=5e-5)


def test_runs_of_heavy_jobs() -> None:
    """Runs of heavy jobs must come as often as the closed forms say."""
    firsts = [jobs_to_first_run(0.4, k) for k in (2, 3, 4)]
    assert firsts == pytest.approx([8.75, 24.375, 63.4375])
    chances = [chance_of_run(0.4, 3, n) for n in (10, 50, 100)]  # recomputed: exact recursion
    assert chances == pytest.approx([0.31412224, 0.88633704, 0.98798194], abs=6e-9)
    assert mean_runs(0.4, 3, 100) == pytest.approx(3.7888)
    assert jobs_to_first_run(0.3, 2) == pytest.approx(14.444444, abs=6e-7)
    assert chance_of_run(0.3, 2, 50) == pytest.approx(0.97644619, abs=6e-9)
    assert jobs_to_first_run(0.3, 3) == pytest.approx(51.481481, abs=6e-7)
    assert chance_of_run(0.3, 3, 50) == pytest.approx(0.62475758, abs=6e-9)
    assert chance_none_adjacent(4, 10) == pytest.approx(1 / 6)


def test_runs_by_enumeration() -> None:
    """All 4096 orders of twelve jobs must give the same chances and means."""
    hit = runs = 0.0
    for jobs in itertools.product((0, 1), repeat=12):
        weight = 0.4 ** sum(jobs) * 0.6 ** (12 - sum(jobs))
        long = [len(list(g)) for k, g in itertools.groupby(jobs) if k]
        hit += weight * any(run >= 3 for run in long)
        runs += weight * sum(run >= 3 for run in long)
    assert chance_of_run(0.4, 3, 12) == pytest.approx(hit)
    assert mean_runs(0.4, 3, 12) == pytest.approx(runs)
    free = [
        1
        for some in itertools.combinations(range(10), 4)
        if min(b - a for a, b in itertools.pairwise(some)) > 1
    ]
    assert len(free) == 35
    assert chance_none_adjacent(4, 10) == 35 / 210


def test_crowded_windows() -> None:
    """Windows must break a spacing rule as often as the binomial says."""
    assert chance_crowded(0.3, 1, 2) == pytest.approx(0.09)
    assert mean_crowded_windows(0.3, 1, 2, 60) == pytest.approx(5.31)
    assert chance_crowded(0.3, 2, 5) == pytest.approx(0.16308)
    assert mean_crowded_windows(0.3, 2, 5, 60) == pytest.approx(9.132480)
    assert chance_crowded(0.5, 2, 3) == pytest.approx(0.125)
    assert mean_crowded_windows(0.5, 2, 3, 60) == pytest.approx(7.25)
    for wrong in (lambda: chance_of_run(1.2, 2, 5), lambda: chance_crowded(0.3, 1, 0)):
        with pytest.raises(ValueError, match="share must lie"):
            wrong()
    with pytest.raises(ValueError, match="heavy must lie"):
        chance_none_adjacent(5, 4)
