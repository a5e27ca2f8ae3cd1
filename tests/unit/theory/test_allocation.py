"""Where to put buffer places: published optima by complete enumeration."""

from __future__ import annotations

import itertools

import pytest

from linesim.theory.tandem import line_throughput
from tests.formulas.allocation import ranked_splits, splits


@pytest.mark.parametrize(
    ("machines", "total", "best", "at", "second", "second_at"),
    [  # Hillier, So and Boling 1993 (from memory); recomputed: every split, exact chain
        (3, 1, 0.61333333, ((0, 1), (1, 0)), None, None),
        (3, 3, 0.70031666, ((1, 2), (2, 1)), 0.65010352, (0, 3)),
        (3, 4, 0.73401667, ((2, 2),), 0.71776779, (1, 3)),
        (3, 5, 0.75434482, ((2, 3), (3, 2)), 0.72862457, (1, 4)),
        (4, 1, 0.55885976, ((0, 1, 0),), 0.54458860, (0, 0, 1)),
        (4, 2, 0.58970275, ((0, 1, 1), (1, 1, 0)), 0.58315718, (0, 2, 0)),
        (4, 3, 0.63115269, ((1, 1, 1),), 0.61359971, (0, 2, 1)),
        (4, 4, 0.65717532, ((1, 2, 1),), 0.64980927, (1, 1, 2)),
        (4, 7, 0.71834043, ((2, 3, 2),), 0.71372997, (2, 2, 3)),
        (5, 1, 0.51912531, ((0, 0, 1, 0), (0, 1, 0, 0)), 0.50538046, (0, 0, 0, 1)),
        (5, 2, 0.55309072, ((0, 1, 1, 0),), 0.54432530, (0, 1, 0, 1)),
        (5, 6, 0.64795748, ((1, 2, 2, 1),), 0.64262911, (1, 2, 1, 2)),
    ],
)
def test_balanced_lines(
    machines: int,
    total: int,
    best: float,
    at: tuple[tuple[int, ...], ...],
    second: float | None,
    second_at: tuple[int, ...] | None,
) -> None:
    """The best split and the runner-up of a balanced line must be the tabled ones."""
    ranked = ranked_splits([1] * machines, total)
    assert ranked[0].throughput == pytest.approx(best, abs=6e-9)
    assert ranked[0].places == at
    if second_at is None:
        assert len(ranked) == 1
    else:
        assert ranked[1].throughput == pytest.approx(second, abs=6e-9)
        assert second_at in ranked[1].places


def test_unbalanced_lines() -> None:
    """Places must go next to the slow machine."""
    slow_end = ranked_splits((1, 1, 1.3), 4)  # recomputed: every split, exact chain
    assert (slow_end[0].throughput, slow_end[1].throughput) == pytest.approx(
        (0.65744981, 0.65685291), abs=6e-9
    )
    assert (slow_end[0].places, slow_end[1].places) == (((1, 3),), ((2, 2),))
    slow_start = ranked_splits((1.2, 1, 1, 1), 3)[0]
    assert (slow_start.throughput, slow_start.places) == (pytest.approx(0.60097189, abs=6e-9), ((1, 1, 1),))
    rising = ranked_splits((0.8, 1, 1.2), 4)
    assert (rising[0].throughput, rising[1].throughput) == pytest.approx((0.71413817, 0.70654318), abs=6e-9)
    assert (rising[0].places, rising[1].places) == (((1, 3),), ((2, 2),))


def test_all_places_at_the_first_machine_are_wasted() -> None:
    """All places next to machine 1 must be the worst split and tend to the line without machine 1."""
    assert line_throughput([1] * 4, (9, 0, 0)) == pytest.approx(0.56408280, abs=6e-9)  # limit 22/39
    assert (4, 0, 0) in ranked_splits([1] * 4, 4)[-1].places
    assert len(list(splits(4, 3))) == 15
    with pytest.raises(ValueError, match="two machines"):
        ranked_splits([1], 3)


def test_published_three_station_optimum() -> None:
    """Rates and places that add up to 20 must have the published optimum, machine places counted."""
    # Pichitlamken and Nelson, ACM TOMACS 13 (2003) 155-179, after Buzacott and Shanthikumar 1993: 5.776
    # (value from memory) at rates (6,7,7), places (12,8) and its reversal; recomputed 5.776122.
    # Places include the one on the machine behind the gap: 20 of them are 18 buffer places.
    ranked = []
    for first, second in itertools.product(range(4, 11), repeat=2):
        third = 20 - first - second
        if not 4 <= third <= 10:
            continue
        for places in range(19):
            rate = line_throughput((1 / first, 1 / second, 1 / third), (places, 18 - places))
            ranked.append((rate, (first, second, third), (places + 1, 19 - places)))
    ranked.sort(reverse=True)
    assert [r for r, *_ in ranked[:3]] == pytest.approx([5.776122, 5.776122, 5.771488], abs=6e-7)
    assert {(r, b) for _, r, b in ranked[:2]} == {((6, 7, 7), (12, 8)), ((7, 7, 6), (8, 12))}
    assert {(r, b) for _, r, b in ranked[2:4]} == {((6, 7, 7), (13, 7)), ((7, 7, 6), (7, 13))}
