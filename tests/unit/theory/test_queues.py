"""Single queues and how they fill, against textbook values."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest

from linesim.theory.stations import any_service, many_stations
from linesim.theory.tandem import explore, long_run_shares
from tests.formulas.filling import first_waits, mean_of_first_waits
from tests.formulas.queues import any_arrivals, limited_room, repair_bay, stay_quantile


def test_one_station() -> None:
    """M/M/1 must give the textbook means and the quantile of the stay."""
    easy, busy = many_stations(0.5, 1), many_stations(0.8, 1)  # closed form r / (1 - r)
    assert (easy.inside, easy.waiting, easy.stay, easy.wait) == pytest.approx((1, 0.5, 2, 1))
    assert (busy.inside, busy.waiting, busy.stay, busy.wait) == pytest.approx((4, 3.2, 5, 4))
    assert stay_quantile(0.8, 1, 0.95) == pytest.approx(14.978661, abs=5e-7)  # -ln(0.05) / 0.2


@pytest.mark.parametrize(
    ("arrivals", "stations", "chance", "waiting", "wait"),
    [  # recomputed: Erlang C
        (1.5, 2, 0.642857, 1.928571, 1.285714),
        (2, 3, 0.444444, 0.888889, 0.444444),
        (4, 5, 0.554113, 2.216450, 0.554113),
        (9, 10, 0.668732, 6.018584, 0.668732),
    ],
)
def test_many_stations(arrivals: float, stations: int, chance: float, waiting: float, wait: float) -> None:
    """M/M/c must give the Erlang C values and obey Little's law."""
    found = many_stations(arrivals, 1, stations)
    assert (found.chance_to_wait, found.waiting, found.wait) == pytest.approx(
        (chance, waiting, wait), abs=6e-7
    )
    assert found.inside == pytest.approx(arrivals * found.stay)


@pytest.mark.parametrize(
    ("load", "cv2", "wait"),
    [  # Pollaczek-Khinchine, recomputed; the embedded chain solved numerically agrees
        (0.8, 0.0, 2.0),
        (0.8, 1 / 12, 2.166667),  # uniform(0.5, 1.5)
        (0.8, 0.09, 2.18),  # lognormal, cv 0.3
        (0.8, 0.5, 3.0),  # Erlang-2
        (0.8, 1.0, 4.0),
        (0.5, 1 / 12, 0.541667),
        (0.5, 0.09, 0.545),
        (0.5, 0.25, 0.625),  # Erlang-4
        (0.9, 0.0, 4.5),
        (0.9, 1 / 24, 4.6875),  # triangular(0.5, 1, 1.5)
    ],
)
def test_any_service(load: float, cv2: float, wait: float) -> None:
    """M/G/1 must give the Pollaczek-Khinchine wait."""
    found = any_service(load, 1.0, math.sqrt(cv2))
    assert found.wait == pytest.approx(wait, abs=5e-7)
    assert found.inside == pytest.approx(load * wait + load, abs=1e-6)


@pytest.mark.parametrize(
    ("arrivals", "room", "refused", "accepted", "inside", "stay"),
    [  # recomputed: closed form
        (0.9, 5, 0.126023, 0.786580, 2.194782, 2.790286),
        (1.0, 4, 0.2, 0.8, 2.0, 2.5),
        (1.2, 3, 0.321908, 0.813711, 1.725782, 2.120879),
    ],
)
def test_limited_room(
    arrivals: float, room: int, refused: float, accepted: float, inside: float, stay: float
) -> None:
    """M/M/1/K must lose, hold and delay as the closed form says."""
    found = limited_room(arrivals, 1, room)
    got = (found.refused, found.accepted_rate, found.inside, found.stay)
    assert got == pytest.approx((refused, accepted, inside, stay), abs=6e-7)
    assert found.stay == pytest.approx(found.wait + 1.0)


def test_repair_bay_fed_by_a_paced_line() -> None:
    """The bay must wait less than for a Poisson flow of the same rate."""
    found = repair_bay(60, 0.08, 600)
    assert found.chance_to_wait == pytest.approx(0.791697, abs=5e-7)  # recomputed: root of GI/M/1
    assert found.wait == pytest.approx(2280.416603, abs=5e-7)
    poisson = any_arrivals(lambda u: 1 / (1 + 750 * u), 1 / 750, 1 / 600)
    assert (poisson.chance_to_wait, poisson.wait) == pytest.approx((0.8, 2400))
    # A second route: the chain of the number in the bay just before each job passes, cut far out.
    out = [math.exp(-0.1)]  # chance of so many repairs in 60 s of work: Poisson, mean 0.1
    for k in range(1, 301):
        out.append(out[-1] * 0.1 / k)

    def moves(inside: int) -> Iterator[tuple[float, int]]:
        for chance, held in ((0.08, min(inside + 1, 300)), (0.92, inside)):
            for k in range(held):
                yield chance * out[k], held - k
            yield chance * (1 - sum(out[:held])), 0

    chain = explore(0, moves)
    shares = long_run_shares(chain)
    assert 600 * float(shares @ chain.states) == pytest.approx(found.wait, rel=1e-9)


def test_filling_from_empty() -> None:
    """The first jobs must wait as the exact recursion says, rising to the long-run mean."""
    # Textbook figure for 25 jobs 2.12 (Law, output analysis; from memory); others recomputed exactly.
    six = (0, 0.426316, 0.734539, 0.983878, 1.196518, 1.383539)
    assert first_waits(1, 0.9, 6) == pytest.approx(six, abs=5e-7)
    means = [mean_of_first_waits(1, 0.9, n) for n in (10, 25, 100, 1000)]
    assert means == pytest.approx([1.180087, 2.124489, 4.134185, 7.299540], abs=5e-7)
    assert any_service(1 / 1, 0.9, 1.0).wait == pytest.approx(8.1)
    six = (0, 0.444444, 0.751715, 0.991245, 1.188959, 1.357765)
    assert first_waits(1.25, 1, 6) == pytest.approx(six, abs=5e-7)
    means = [mean_of_first_waits(1.25, 1, n) for n in (10, 25, 100, 1000)]
    assert means == pytest.approx([1.148842, 1.919005, 3.100054, 3.900000], abs=5e-7)
    assert first_waits(1.25, 1, 900)[-1] == pytest.approx(4.0, abs=1e-5)


def test_wrong_input_is_named() -> None:
    """A queue that cannot settle, or is none, must be refused."""
    with pytest.raises(ValueError, match=r"load 1\.1 is not below 1"):
        many_stations(1.1, 1)
    with pytest.raises(ValueError, match="rates must be > 0"):
        many_stations(0, 1)
    with pytest.raises(ValueError, match="room must be >= 1"):
        limited_room(1, 1, 0)
    with pytest.raises(ValueError, match="jobs >= 1"):
        first_waits(1, 1, 0)
