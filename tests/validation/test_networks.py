"""Task networks that nobody here invented: published assignments must run at their takt and not below it.

Times and direct precedence from A. Scholl, Data of Assembly Line Balancing Problems, TH Darmstadt, Schriften
zur Quantitativen Betriebswirtschaftslehre 16/93 (data sets MERTENS 1967, BOWMAN8 1960, JACKSON 1956, MITCHELL
1957; public copies seen, the few numbers are cited as facts). Optima: Jackson at takt 10 also A. Scholl and
R. Klein, EJOR 114 (1999) 50-58 (seen); the others from memory. Every optimum recomputed by an exact program.
"""

from collections.abc import Sequence
from itertools import pairwise

import pytest

from linesim.plan.words import OVERRUN
from tests.formulas.precedence import (
    Network,
    critical_path,
    fewest_stations,
    list_length,
    list_starts,
    order_strength,
    shortest_job,
    shortest_takt,
    station_loads,
    tails,
)
from tests.validation.lines import TICKS, Line, Raw, bare, constant, paced, seconds_of

NETWORKS = {
    "Mertens": Network(
        (1, 5, 4, 3, 5, 6, 5), ((1, 2), (1, 4), (2, 3), (2, 5), (4, 7), (5, 6))
    ),
    "Bowman": Network(
        (11, 17, 9, 5, 8, 12, 10, 3),
        ((1, 2), (2, 3), (2, 4), (3, 5), (3, 6), (4, 6), (5, 7), (6, 8)),
    ),
    "Jackson": Network(
        (6, 2, 5, 7, 1, 2, 3, 6, 5, 5, 4),
        (
            (1, 2), (1, 3), (1, 4), (1, 5), (2, 6), (3, 7), (4, 7), (5, 7), (6, 8), (7, 9), (8, 10),
            (9, 11), (10, 11),
        ),
    ),
    "Mitchell": Network(
        (4, 3, 9, 5, 9, 4, 8, 7, 5, 1, 3, 1, 5, 3, 5, 3, 13, 5, 2, 3, 7),
        (
            (1, 2), (1, 3), (2, 21), (3, 4), (4, 5), (4, 21), (5, 6), (5, 7), (6, 8), (7, 8), (7, 14), (8, 9),
            (9, 10), (9, 11), (9, 12), (9, 13), (10, 15), (11, 15), (12, 15), (13, 17), (13, 18), (14, 19),
            (15, 16), (15, 18), (16, 17), (17, 20), (18, 19),
        ),
    ),
}  # fmt: skip

#: Sum of times, critical path, order strength.
SIZES = {
    "Mertens": (29, 17, 0.5238),
    "Bowman": (75, 55, 0.75),
    "Jackson": (46, 25, 0.5818),
    "Mitchell": (105, 74, 0.7095),
}

#: Fewest stations by takt: published, recomputed.
FEWEST = {
    "Mertens": {6: 6, 7: 5, 8: 5, 10: 3, 15: 2, 18: 2},
    "Bowman": {20: 5, 17: 5, 28: 3, 38: 2},
    "Jackson": {7: 8, 9: 6, 10: 5, 13: 4, 14: 4, 21: 3},
    "Mitchell": {14: 8, 15: 8, 21: 5, 26: 5, 35: 3, 39: 3},
}


@pytest.mark.parametrize("name", NETWORKS)
def test_the_data_are_typed_right(name: str) -> None:
    """Sum, critical path and order strength are the published ones: hand-copied networks are unreliable."""
    network = NETWORKS[name]
    total, path, strength = SIZES[name]
    assert sum(network.times) == total
    assert critical_path(network) == path
    assert order_strength(network) == pytest.approx(strength, abs=5e-5)


@pytest.mark.parametrize("name", NETWORKS)
def test_fewest_stations(name: str) -> None:
    """The exact program finds the published fewest stations at each takt."""
    for takt, stations in FEWEST[name].items():
        assert fewest_stations(NETWORKS[name], takt) == stations


def test_one_pair_more_or_less_is_noticed() -> None:
    """Any direct pair left out changes the order strength; one pair too many can ask for a sixth station.

    A stored program carries Jackson's times with altered precedence and says six stations at takt 10.
    """
    network = NETWORKS["Jackson"]
    for pair in network.before:
        rest = tuple(other for other in network.before if other != pair)
        assert order_strength(Network(network.times, rest)) < order_strength(network) - 1e-9
    altered = Network(network.times, (*network.before, (3, 5)))  # invented
    assert (fewest_stations(network, 10), fewest_stations(altered, 10)) == (5, 6)
    assert critical_path(altered) == critical_path(network)  # which alone would not tell
    assert order_strength(altered) == pytest.approx(0.6)


def assigned(
    network: Network, stations: Sequence[Sequence[int]], takt: float, pacing: str, jobs: int = 30
) -> Raw:
    """Return the line with these tasks at its stations, one operator at each; times and takt [s]."""
    raw = paced([None] * len(stations), length=jobs * takt, warm_up=0, takt=takt, pacing=pacing)
    home = {task: s for s, tasks in enumerate(stations) for task in tasks}
    for s, tasks in enumerate(stations):
        table = {}
        for task in sorted(tasks):
            before = [f"S{home[a]}.t{a}" for a, b in network.before if b == task]
            table[f"t{task}"] = {"time": constant(network.times[task - 1]), "after": before}
        raw["station"][f"S{s}"]["task"] = table
    raw["crew"] = {f"C{s}": {"people": 1, "covers": [f"S{s}"]} for s in range(len(stations))}
    return raw


#: Optimal assignments with their loads; those of Mertens and Bowman found by search.
ASSIGNED = {
    "Mertens": (6, ((1, 2), (3,), (4,), (5,), (6,), (7,)), (6, 4, 3, 5, 6, 5)),
    "Bowman": (20, ((1,), (2,), (3, 4), (5, 6), (7, 8)), (11, 17, 14, 20, 13)),
    "Jackson": (10, ((1, 2, 6), (5, 8), (3, 10), (4, 7), (9, 11)), (10, 7, 10, 10, 9)),
    "Mitchell": (
        21,
        ((1, 2, 3, 4), (5, 6, 7), (8, 9, 10, 11, 13), (12, 15, 16, 18, 21), (14, 17, 19, 20)),
        (21, 21, 21, 21, 21),
    ),
}


@pytest.mark.parametrize("name", ASSIGNED)
@pytest.mark.parametrize("pacing", ["moving", "indexed"])
def test_published_assignment_runs_at_its_takt(name: str, pacing: str) -> None:
    """With constant times the line makes one job a takt and never stops; with 1 s less it must stop."""
    takt, stations, loads = ASSIGNED[name]
    network = NETWORKS[name]
    assert station_loads(network, stations) == loads
    n = len(stations)
    ledger = Line(assigned(network, stations, takt, pacing)).run()
    assert ledger.stop.sum() == 0
    assert ledger.overruns.sum() == 0
    assert ledger.jobs_out == 30 - n
    assert ledger.station_state[:, 0].tolist() == [TICKS * load * (30 - s) for s, load in enumerate(loads)]
    tight = Line(assigned(network, stations, takt - 1, pacing)).run()
    assert tight.stop[:, :, OVERRUN].sum() > 0
    assert (tight.overruns > 0).tolist() == [load > takt - 1 for load in loads]


@pytest.mark.parametrize("name", ASSIGNED)
def test_without_a_takt_the_largest_load_sets_the_pace(name: str) -> None:
    """Indexed with no takt to speak of, or free, the filled line makes one job per largest load."""
    takt, stations, loads = ASSIGNED[name]
    network = NETWORKS[name]
    raw = assigned(network, stations, 0.5, "indexed", jobs=0)
    raw["run"] |= {"warm_up": f"{10 * takt} s", "length": f"{20 * takt} s"}
    marks = seconds_of(Line(raw).log()[0], "mark")
    filled = [b - a for a, b in pairwise(marks[12:])]
    assert set(filled) == {max(loads)}
    raw["section"]["line"]["pacing"] = "free"
    ledger = Line(raw).run()
    assert ledger.jobs_out == 20


#: Smallest takt at which 2, 3, 4, 5, 6 stations hold all tasks. Recomputed: exact program.
SHORTEST = {
    "Mertens": (15, 10, 9, 7, 6),
    "Bowman": (38, 28, 22, 17, 17),
    "Jackson": (23, 16, 12, 10, 9),
}


@pytest.mark.parametrize("name", SHORTEST)
def test_a_takt_that_is_too_short_by_one(name: str) -> None:
    """At the shortest takt the stations hold all tasks; at one second less they are too few."""
    network = NETWORKS[name]
    for stations, takt in enumerate(SHORTEST[name], start=2):
        assert shortest_takt(network, stations) == takt
        assert fewest_stations(network, takt) <= stations
        if takt > max(network.times):
            assert fewest_stations(network, takt - 1) > stations


def all_at_one_station(network: Network, operators: int) -> Raw:
    """Return one free station with all tasks and so many operators, the most urgent task first."""
    raw = bare(sum(network.times) + 1)
    raw["flow"] = ["S"]
    raw["section"]["S"] = {"pacing": "free", "stations": ["M"]}
    urgency = tails(network)
    order = sorted(range(1, len(network.times) + 1), key=lambda task: (-urgency[task - 1], task))
    raw["station"]["M"] = {
        "task": {
            f"t{task}": {
                "time": constant(network.times[task - 1]),
                "after": [f"t{a}" for a, b in network.before if b == task],
            }
            for task in order
        }
    }
    raw["crew"] = {"crew": {"people": operators, "covers": ["M"]}}
    raw["orders"] = {"sequence": "listed", "list": ["standard"], "after_last": "end"}
    raw["model"] = {"standard": {}}
    return raw


#: Length of a job by the list rule with 1, 2, 3 operators, and the shortest possible. Recomputed: search.
LENGTHS = {
    "Mertens": ((29, 17, 17), (29, 17, 17)),
    "Bowman": ((75, 55, 55), (75, 55, 55)),
    "Jackson": ((46, 30, 25), (46, 28, 25)),
}


@pytest.mark.parametrize("name", LENGTHS)
@pytest.mark.parametrize("operators", [1, 2, 3])
def test_several_operators_on_one_job(name: str, operators: int) -> None:
    """Operators who take ready tasks in file order follow the list rule, which is not the optimum."""
    network = NETWORKS[name]
    by_rule, best = LENGTHS[name][0][operators - 1], LENGTHS[name][1][operators - 1]
    assert list_length(network, operators) == by_rule
    assert shortest_job(network, operators) == best
    line = Line(all_at_one_station(network, operators))
    events, _ = line.log()
    tasks = line.plan.names.task
    starts = {tasks[e.task]: e.time // TICKS for e in events if e.what == "task start"}
    found = tuple(starts[f"M.t{task}"] for task in range(1, len(network.times) + 1))
    assert found == list_starts(network, operators)
    assert seconds_of(events, "line-off") == [by_rule]
    if operators == 2 and name != "Bowman":
        printed = {
            "Mertens": (0, 1, 9, 1, 6, 11, 4),
            "Jackson": (0, 6, 8, 6, 13, 13, 14, 15, 17, 21, 26),
        }[name]
        assert found == printed
