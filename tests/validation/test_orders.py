"""Sequences against published ones, against enumeration, and shares against their probabilities."""

import itertools
from math import comb

import numpy as np
import pytest
from scipy import stats

from linesim.draws.arrange import arrange, feasible_sequences, hardest, most_wished
from linesim.draws.orders import JobSequence
from linesim.draws.pool import Pool
from linesim.draws.spacing import violations
from linesim.draws.streams import Streams
from linesim.plan.orders import PlannedOrder, PlannedOrders, PlannedPackage, PlannedSpacing
from tests.statistical import assert_mean_agrees, assert_mean_differs, replicate

# Car sequencing with ten cars: Dincbas, Simonis, Van Hentenryck, ECAI 1988; CSPLib problem 001.
CAPACITIES = ((1, 2), (2, 3), (1, 3), (2, 5), (1, 5))
DEMAND = (1, 1, 2, 2, 2, 2)
NEEDED = (
    (1, 0, 1, 1, 0),
    (0, 0, 0, 1, 0),
    (0, 1, 0, 0, 1),
    (0, 1, 0, 1, 0),
    (1, 0, 1, 0, 0),
    (1, 1, 0, 0, 0),
)
PUBLISHED = (0, 1, 5, 2, 4, 3, 3, 4, 2, 5)

RULES = tuple(PlannedSpacing(f"option {o}", -1, o, p, q) for o, (p, q) in enumerate(CAPACITIES))
CARS = tuple(PlannedOrder(0, sum(bit << o for o, bit in enumerate(row))) for row in NEEDED)
SORTED = tuple(kind for kind, number in enumerate(DEMAND) for _ in range(number))


def broken(kinds):
    """Return the number of broken windows of each rule."""
    return [check.broken for check in violations([CARS[kind] for kind in kinds], RULES)]


def enumerated():
    """Return all distinct orders of the ten cars, and which of them are feasible, without the package.

    All 226 800 at once: places of the kinds by combinations, windows by shifted sums.
    """
    rows = np.full((1, 10), -1, dtype=np.int8)
    for kind, number in enumerate(DEMAND):
        grown = []
        for row in rows:
            free = np.flatnonzero(row < 0)
            for places in itertools.combinations(free, number):
                grown.append(row.copy())
                grown[-1][list(places)] = kind
        rows = np.array(grown)
    feasible = np.ones(len(rows), dtype=bool)
    for o, (p, q) in enumerate(CAPACITIES):
        marks = np.array(NEEDED)[rows, o]
        sums = sum(marks[:, start : 10 - q + 1 + start] for start in range(q))
        feasible &= (sums <= p).all(axis=1)
    return rows, feasible


def test_published_order_of_ten_cars_is_feasible():
    """The published order breaks no window."""
    assert broken(PUBLISHED) == [0, 0, 0, 0, 0]


def test_sorted_order_of_ten_cars_breaks_known_windows():
    """Cars sorted by kind break 3, 2, 2, 2 and 3 full windows of the five rules."""
    assert SORTED == (0, 1, 2, 2, 3, 3, 4, 4, 5, 5)
    assert broken(SORTED) == [3, 2, 2, 2, 3]  # recomputed: window by window


def test_all_feasible_orders_of_ten_cars_are_found():
    """Of 226 800 distinct orders exactly six are feasible, and the search finds these six and no other."""
    rows, feasible = enumerated()
    assert len(rows) == 226_800  # 10! / 2!^4
    expected = {tuple(row) for row in rows[feasible].tolist()}
    assert len(expected) == 6  # recomputed: full enumeration
    assert PUBLISHED in expected
    assert all(broken(kinds) == [0] * 5 for kinds in expected)
    assert all(sum(broken(kinds)) for kinds in rows[~feasible][::500].tolist())
    for rank in (most_wished, hardest):
        pool = Pool([CARS[kind] for kind in SORTED], RULES, [])
        found = [
            tuple(CARS.index(pool.kinds[kind]) for kind in sequence)
            for sequence in feasible_sequences(pool, rank)
        ]
        assert len(found) == 6
        assert set(found) == expected


@pytest.mark.parametrize("levelled", [False, True])
def test_ten_cars_are_arranged_feasibly(levelled):
    """However the ten cars are drawn, they come out in one of the six feasible orders."""
    luck = np.random.default_rng(1)
    for _ in range(20):
        drawn = [CARS[kind] for kind in luck.permutation(SORTED)]
        found = arrange(drawn, levelled=levelled, spacings=RULES)
        assert sum(check.broken for check in violations(found, RULES)) == 0
        assert sorted(map(CARS.index, found)) == list(SORTED)


def test_more_cars_than_fit_are_said_to_be_hopeless():
    """A third car of kind 2 still finds a place in 11 at 1 in 5 (0, 5, 10); with a fourth it is hopeless."""
    found = arrange([CARS[kind] for kind in (*SORTED, 2)], levelled=False, spacings=RULES)
    assert not any(check.is_hopeless for check in violations(found, RULES))
    found = arrange([CARS[kind] for kind in (*SORTED, 2, 2)], levelled=False, spacings=RULES)
    checks = violations(found, RULES)
    assert [check.name for check in checks if check.is_hopeless] == ["option 4"]
    assert checks[4].broken > 0


def test_published_levelled_sequence_comes_from_a_pool():
    """Ten jobs of three models whose options are the example's parts come as goal chasing sends them.

    With the model counted as one part more, distances grow by that part's own share; the sequence is
    recomputed here step by step from the real-valued formula, ties (within 1e-9) to the first listed.
    """
    kinds = [PlannedOrder(0, 0b1101), PlannedOrder(1, 0b1011), PlannedOrder(2, 0b0110)]
    counts = [2, 3, 5]
    parts = np.array([[*np.eye(3)[k.model], *(k.options >> o & 1 for o in range(4))] for k in kinds])
    used, expected = np.zeros(3), []
    for step in range(1, 11):
        goal = step * (np.array(counts) @ parts) / 10
        distance = [np.sqrt(((goal - used @ parts - part) ** 2).sum()) for part in parts]
        left = [i for i in range(3) if used[i] < counts[i]]
        expected.append(min(left, key=lambda i: (round(distance[i], 9), i)))
        used[expected[-1]] += 1
    drawn = [kind for kind, number in zip(kinds, counts, strict=True) for _ in range(number)]
    assert [order.model for order in arrange(drawn, levelled=True)] == expected


def plain(takes, **rest):
    """Return a book of one model with options of these take rates."""
    names = tuple(f"option {i}" for i in range(len(takes)))
    return PlannedOrders("random", ("standard",), names, (1.0,), tuple((take,) for take in takes), **rest)


def windows_broken(take, at_most, in_any, jobs, replications):
    """Return the broken windows of a random sequence, one figure per replication."""
    rule = PlannedSpacing("rule", -1, 0, at_most, in_any)

    def once(replication):
        sequence = JobSequence(plain([take]), Streams(1, replication))
        return violations((sequence[job] for job in range(jobs)), [rule])[0].broken

    return replicate(once, replications)


@pytest.mark.parametrize(
    ("at_most", "in_any", "take", "chance", "expected"),
    [(1, 2, 0.3, 0.09, 5.31), (2, 5, 0.3, 0.16308, 9.13248), (2, 3, 0.5, 0.125, 7.25)],
)
def test_broken_windows_of_independent_options(at_most, in_any, take, chance, expected):
    """A window of Q is broken with P(Bin(Q, q) > P); 60 jobs have 61 - Q windows of that chance."""
    exact = sum(
        comb(in_any, n) * take**n * (1 - take) ** (in_any - n) for n in range(at_most + 1, in_any + 1)
    )
    assert exact == pytest.approx(chance, abs=5e-9)
    assert exact * (61 - in_any) == pytest.approx(expected, abs=5e-7)
    values = windows_broken(take, at_most, in_any, 60, 1500)
    assert_mean_agrees(values, expected, must_see=0.15 * expected)
    assert_mean_differs(
        windows_broken(take * 1.25, at_most, in_any, 60, 1500), expected, must_see=0.15 * expected
    )


def test_runs_of_independent_options():
    """Jobs of a share 0.4 make q³(1 + 97·0.6) = 3.7888 runs of three or more in 100 jobs, on average."""

    def once(replication):
        sequence = JobSequence(plain([0.4]), Streams(2, replication))
        marks = [sequence[job].options for job in range(100)]
        return sum(1 for mark, run in itertools.groupby(marks) if mark and len(list(run)) >= 3)

    values = replicate(once, 1000)
    assert_mean_agrees(values, 0.4**3 * (1 + 97 * 0.6), must_see=0.4)
    assert_mean_differs(values, 0.43**3 * (1 + 97 * 0.57), must_see=0.4)


def test_shares_and_take_rates_come_out():
    """Models come in their shares; an option alone at 0.2 and in a package at 0.3 has 1 - 0.8·0.7 = 0.44."""
    orders = PlannedOrders(
        "random", ("plain", "cab"), ("roof", "radio"), (0.7, 0.3), ((0.1, 0.5), (0.2, 0.2)),
        packages=(PlannedPackage("sound", (0.3, 0.3), (1,)),),
    )  # fmt: skip
    figures = []
    for replication in range(1, 201):
        sequence = JobSequence(orders, Streams(1, replication))
        jobs = [sequence[job] for job in range(400)]
        figures.append(
            [
                np.mean([j.model == 1 for j in jobs]),
                *(np.mean([j.options >> o & 1 for j in jobs]) for o in (0, 1)),
            ]
        )
    for values, exact in zip(np.array(figures).T, (0.3, 0.7 * 0.1 + 0.3 * 0.5, 0.44), strict=True):
        assert_mean_agrees(values, exact, must_see=0.015)
        assert_mean_differs(values, exact + 0.03, must_see=0.015)


def test_choices_are_independent():
    """Two options at 0.5 and the model at 0.5 are unrelated: the eight combinations are equally frequent."""
    orders = PlannedOrders("random", ("a", "b"), ("roof", "radio"), (0.5, 0.5), ((0.5, 0.5), (0.5, 0.5)))
    sequence = JobSequence(orders, Streams(1, 1))
    cells = np.bincount([sequence[j].model * 4 + sequence[j].options for j in range(40_000)], minlength=8)
    statistic = float(((cells - 5000) ** 2).sum() / 5000)
    assert statistic < stats.chi2(7).isf(1e-5)
    tied = np.array([10_000, 0, 0, 10_000, 5000, 5000, 5000, 5000])  # the wrong twin: one number for both
    assert ((tied - 5000) ** 2).sum() / 5000 > stats.chi2(7).isf(1e-5)


def test_levelling_evens_out_what_a_random_sequence_bunches():
    """In every levelled pool of 100, after k jobs the option has come within one of its even share."""
    random = plain([0.25])
    levelled = PlannedOrders("levelled", *(getattr(random, name) for name in random.__slots__[1:]))
    sequence = JobSequence(levelled, Streams(1, 1))
    for pool in range(10):
        marks = [sequence[job].options for job in range(100 * pool, 100 * pool + 100)]
        whole = sum(marks)
        for k in range(1, 101):
            assert abs(sum(marks[:k]) - k * whole / 100) < 1
    bunched = JobSequence(random, Streams(1, 1))
    marks = [bunched[job].options for job in range(100)]
    assert max(abs(sum(marks[:k]) - k * sum(marks) / 100) for k in range(1, 101)) > 2
