"""Published balances of task networks are found and proved by the program that moves tasks.

Data and optima: `tests/validation/test_networks`, after A. Scholl, Data of Assembly Line Balancing Problems,
TH Darmstadt 1993. Every task begins at the first station; the program may move them all.
"""

from functools import cache

import pytest

from linesim.capacity.balance import Balance
from linesim.capacity.loads import Loads
from linesim.plan.build import build
from linesim.plan.words import OVERRUN
from linesim.questions.rebalance.movable import Movable
from linesim.questions.rebalance.search import MoveSearch, Solution
from linesim.scenario import from_dict
from tests.formulas.precedence import Network, station_loads
from tests.validation.lines import Line
from tests.validation.test_networks import FEWEST, NETWORKS, SHORTEST, assigned

#: Takts of each network with their fewest stations that the program is asked for.
ASKED = [
    (name, takt, stations)
    for name, known in FEWEST.items()
    for takt, stations in known.items()
    if (name, takt) != ("Mitchell", 15)  # as many stations as at 14, and long to prove
]


@cache
def balanced(name: str, stations: int, takt: float) -> tuple[Solution, tuple[tuple[int, ...], ...]]:
    """Return what the program finds where all tasks stand at the first of some stations, and where to."""
    network: Network = NETWORKS[name]
    everything = tuple(range(1, len(network.times) + 1))
    raw = assigned(network, [everything, *([()] * (stations - 1))], takt, "moving")
    scenario = from_dict(raw)
    balance, movable = Balance(Loads(build(scenario))), Movable(scenario)
    search = MoveSearch(balance, movable)
    found = search.best(None) if stations > 1 else Solution((), balance.fit(balance.at).total, True)
    assert found is not None
    at = search.placed(dict(found.moves))
    task = [int(one.name.removeprefix("t")) for one in movable.tasks]
    places = tuple(tuple(task[t] for t, place in enumerate(at) if place == s) for s in range(stations))
    return found, places


@pytest.mark.parametrize(("name", "takt", "stations"), ASKED)
def test_the_fewest_stations_are_found_and_proved(name: str, takt: int, stations: int) -> None:
    """The published fewest stations hold all work, and with one fewer some stays above, which is proved."""
    found, places = balanced(name, stations, takt)
    assert found.is_proved
    assert found.above_s == 0
    assert max(station_loads(NETWORKS[name], places)) <= takt
    fewer, _ = balanced(name, stations - 1, takt)
    assert fewer.is_proved
    assert fewer.above_s >= 1  # times are whole seconds


@pytest.mark.parametrize("name", SHORTEST)
def test_the_shortest_cycle_is_found_and_proved(name: str) -> None:
    """At the published cycle of 2 to 6 stations all work fits; a second less is proved to be too short."""
    for stations, takt in enumerate(SHORTEST[name], start=2):
        assert balanced(name, stations, takt)[0].above_s == 0
        found, _ = balanced(name, stations, takt - 1)
        assert found.is_proved
        assert found.above_s >= 1


@pytest.mark.parametrize(("name", "stations", "takt"), [
    ("Mertens", 6, 6), ("Bowman", 5, 17), ("Jackson", 5, 10), ("Mitchell", 5, 21)
])  # fmt: skip
def test_the_balance_found_runs_at_the_published_cycle(name: str, stations: int, takt: int) -> None:
    """What was found runs at exactly its cycle without an overrun; with a second less it must stop."""
    _, places = balanced(name, stations, takt)
    ledger = Line(assigned(NETWORKS[name], places, takt, "moving")).run()
    assert ledger.stop.sum() == 0 == ledger.overruns.sum()
    assert ledger.jobs_out == 30 - stations
    tight = Line(assigned(NETWORKS[name], places, takt - 1, "moving")).run()
    assert tight.stop[:, :, OVERRUN].sum() > 0
