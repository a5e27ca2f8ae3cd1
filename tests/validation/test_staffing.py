"""`staff` finds the staffing that is known to be best: machines and technicians, two stations in a row.

Machines and technicians: finite-source queue, C. Palm 1947 (any queueing text; citation from memory), closed
form. Two stations: a birth-death chain in the number of jobs that the second holds or keeps waiting, solved
by its products.
"""

from itertools import accumulate
from operator import mul
from typing import Any

import pytest

from linesim import staff
from linesim.answers.document import Document
from linesim.scenario import from_dict
from linesim.theory.stations import repair_crews
from tests.validation.lines import UNIT, bare, exponential

UP, REPAIR, MACHINES = 100.0, 10.0, 10
PLACES = 4


def people_in(answer: Document) -> tuple[object, ...]:
    """Return how many people each crew has in the answer."""
    return answer.table("crews").column("best")


def shop(technicians: int) -> dict[str, Any]:
    """Return machines as pallets: each runs, by itself, then waits for a technician who repairs it."""
    raw = bare(24_000 * UNIT, warm_up=600 * UNIT)
    raw["run"] |= {"shift": f"{6000 * UNIT:.0f} s", "replications": 4, "seed": 5}
    raw["flow"] = ["run", "shop"]
    raw["section"] = {
        "run": {"pacing": "free", "stations": ["R"]}, "shop": {"pacing": "free", "stations": ["T"]}
    }  # fmt: skip
    raw["station"] = {
        "R": {"places": MACHINES, "task": {"run": {"people": 0, "time": exponential(UP * UNIT)}}},
        "T": {"places": MACHINES, "task": {"repair": {"time": exponential(REPAIR * UNIT)}}},
    }
    raw["crew"] = {"technicians": {"people": technicians, "covers": ["T"]}}
    raw["carrier"] = {
        "machine": {"count": MACHINES, "boards": "run", "leaves": "shop", "returns": "0 s"}
    }  # fmt: skip
    return raw


def repairs(technicians: int) -> float:
    """Return the exact repairs in 6000 units of time."""
    return 6000 * MACHINES * repair_crews(MACHINES, technicians, UP, REPAIR).availability / UP


def test_so_many_technicians_as_the_closed_form_asks_for() -> None:
    """One technician makes 471 repairs in a shift, two 538: 500 in half of the shifts take two, not three.

    A shift's repairs vary by some 20, so one makes 500 in less than one shift of ten and two in nineteen of
    twenty; in 16 shifts a false answer has a chance below 1e-5.
    """
    assert (round(repairs(1)), round(repairs(2))) == (471, 538)
    assert people_in(staff(from_dict(shop(4)), 500, in_shifts=0.5)) == (2,)


def row(first: int, second: int) -> dict[str, Any]:
    """Return two free stations of four places without room between, whose people do one job each."""
    raw = bare(400 * UNIT, warm_up=40 * UNIT)
    raw["run"] |= {"shift": f"{200 * UNIT:.0f} s", "replications": 4, "seed": 5}
    raw["flow"] = ["one", "two"]
    raw["section"] = {
        name: {"pacing": "free", "stations": [station]} for name, station in (("one", "A"), ("two", "B"))
    }
    raw["station"] = {
        station: {"places": PLACES, "task": {"work": {"time": exponential(mean * UNIT)}}}
        for station, mean in (("A", 2.0), ("B", 1.0))
    }
    raw["crew"] = {
        "a": {"people": first, "covers": ["A"]}, "b": {"people": second, "covers": ["B"]}
    }  # fmt: skip
    return raw


def rate(first: int, second: int) -> float:
    """Return the exact jobs in a unit of time.

    With z jobs in B or finished and kept at A, A works at min(first, its places left)/2 and B at
    min(second, z, its places).
    """
    ups = [min(first, PLACES - max(0, z - PLACES)) / 2 for z in range(2 * PLACES)]
    downs = [float(min(second, z, PLACES)) for z in range(1, 2 * PLACES + 1)]
    shares = list(accumulate((up / down for up, down in zip(ups, downs, strict=True)), mul, initial=1.0))
    return sum(w * d for w, d in zip(shares[1:], downs, strict=True)) / sum(shares)


@pytest.mark.parametrize(("people", "now"), [(3, (1, 2)), (6, (5, 1))])
def test_people_are_spread_over_a_row_as_the_chain_says(people: int, now: tuple[int, int]) -> None:
    """Of all ways to spread so many people over two stations the one with the highest exact rate is found.

    The runner-up makes at least a tenth less; a rate over 1600 units of time varies by a fiftieth.
    """
    exact = {(k, people - k): rate(k, people - k) for k in range(1, people)}
    best, second = sorted(exact, key=lambda split: -exact[split])[:2]
    assert exact[second] < 0.9 * exact[best]
    assert people_in(staff(from_dict(row(*now)), people=people)) == best
