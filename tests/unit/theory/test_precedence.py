"""Task networks from the literature: fewest stations, longest chains, several operators."""

from __future__ import annotations

import networkx
import pytest

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
)


def _network(times: str, pairs: str) -> Network:
    before = [tuple(int(t) for t in pair.split("-")) for pair in pairs.split()]
    return Network(tuple(float(t) for t in times.split(",")), tuple((a, b) for a, b in before))


# Scholl, Data of Assembly Line Balancing Problems, TH Darmstadt, Schriften zur Quantitativen
# Betriebswirtschaftslehre 16/93 (public copies of the files read). Published optima from memory, except
# Jackson at 10 (Scholl and Klein, EJOR 114 (1999) 50-58); all recomputed by an exact dynamic program.
MERTENS = _network("1,5,4,3,5,6,5", "1-2 1-4 2-3 2-5 4-7 5-6")
BOWMAN = _network("11,17,9,5,8,12,10,3", "1-2 2-3 2-4 3-5 3-6 4-6 5-7 6-8")
JACKSON = _network("6,2,5,7,1,2,3,6,5,5,4", "1-2 1-3 1-4 1-5 2-6 3-7 4-7 5-7 6-8 7-9 8-10 9-11 10-11")
MITCHELL = _network(
    "4,3,9,5,9,4,8,7,5,1,3,1,5,3,5,3,13,5,2,3,7",
    "1-2 1-3 2-21 3-4 4-5 4-21 5-6 5-7 6-8 7-8 7-14 8-9 9-10 9-11 9-12 9-13 10-15 11-15 12-15 13-17 "
    "13-18 14-19 15-16 15-18 16-17 17-20 18-19",
)
ALL = {"Mertens": MERTENS, "Bowman": BOWMAN, "Jackson": JACKSON, "Mitchell": MITCHELL}


@pytest.mark.parametrize(
    ("name", "total", "longest", "strength"),
    [
        ("Mertens", 29, 17, 0.5238),
        ("Bowman", 75, 55, 0.75),
        ("Jackson", 46, 25, 0.5818),
        ("Mitchell", 105, 74, 0.7095),
    ],
)
def test_networks_are_typed_rightly(name: str, total: int, longest: int, strength: float) -> None:
    """Sum, longest chain and order strength must be the published ones, for us and for another library."""
    network = ALL[name]
    assert sum(network.times) == total
    assert critical_path(network) == longest
    assert order_strength(network) == pytest.approx(strength, abs=5e-5)
    graph = networkx.DiGraph()
    graph.add_nodes_from(range(len(network.times) + 2))
    graph.add_weighted_edges_from((0, t, 0) for t in range(1, len(network.times) + 1))
    last = len(network.times) + 1
    for t, time in enumerate(network.times, start=1):
        follow = [b for a, b in network.before if a == t] or [last]
        graph.add_weighted_edges_from((t, b, time) for b in follow)
    assert networkx.dag_longest_path_length(graph) == longest
    pairs = networkx.DiGraph(network.before)
    assert sorted(networkx.transitive_reduction(pairs).edges) == sorted(network.before)


@pytest.mark.parametrize(
    ("name", "takts", "stations"),
    [
        ("Mertens", (6, 7, 8, 10, 15, 18), (6, 5, 5, 3, 2, 2)),
        ("Bowman", (17, 20, 28, 38), (5, 5, 3, 2)),
        ("Jackson", (7, 9, 10, 13, 14, 21), (8, 6, 5, 4, 4, 3)),
        ("Mitchell", (14, 15, 21, 26, 35, 39), (8, 8, 5, 5, 3, 3)),
    ],
)
def test_fewest_stations(name: str, takts: tuple[int, ...], stations: tuple[int, ...]) -> None:
    """The fewest stations must be the published optimum for every takt."""
    assert tuple(fewest_stations(ALL[name], takt) for takt in takts) == stations


@pytest.mark.parametrize(
    ("name", "takts"),
    [("Mertens", (15, 10, 9, 7, 6)), ("Bowman", (38, 28, 22, 17, 17)), ("Jackson", (23, 16, 12, 10, 9))],
)
def test_shortest_takt(name: str, takts: tuple[int, ...]) -> None:
    """The smallest takt for two to six stations must be the published optimum."""
    assert tuple(shortest_takt(ALL[name], m) for m in range(2, 7)) == takts


def test_assignments() -> None:
    """The published assignments must be feasible and load their stations as printed."""
    jackson = ([1, 2, 6], [5, 8], [3, 10], [4, 7], [9, 11])
    assert station_loads(JACKSON, jackson) == (10, 7, 10, 10, 9)
    mitchell = ([1, 2, 3, 4], [5, 6, 7], [8, 9, 10, 11, 13], [12, 15, 16, 18, 21], [14, 17, 19, 20])
    assert station_loads(MITCHELL, mitchell) == (21,) * 5
    with pytest.raises(ValueError, match="task 2 stands before task 1"):
        station_loads(MERTENS, ([2], [1, 3, 4, 5, 6, 7]))
    with pytest.raises(ValueError, match="every task must stand in one station"):
        station_loads(MERTENS, ([1, 2], [3, 4]))


@pytest.mark.parametrize(
    ("name", "by_list", "shortest"),
    [
        ("Mertens", (29, 17, 17), (29, 17, 17)),
        ("Bowman", (75, 55, 55), (75, 55, 55)),
        ("Jackson", (46, 30, 25), (46, 28, 25)),
    ],
)
def test_several_operators(name: str, by_list: tuple[int, ...], shortest: tuple[int, ...]) -> None:
    """One to three operators must finish a job as the list rule says, and no sooner than the optimum."""
    network = ALL[name]
    assert tuple(list_length(network, m) for m in (1, 2, 3)) == by_list  # recomputed
    assert tuple(shortest_job(network, m) for m in (1, 2, 3)) == shortest  # recomputed


def test_start_times_by_the_list_rule() -> None:
    """Two operators must start every task when the list rule says."""
    assert list_starts(MERTENS, 2) == (0, 1, 9, 1, 6, 11, 4)  # by hand
    assert list_starts(JACKSON, 2) == (0, 6, 8, 6, 13, 13, 14, 15, 17, 21, 26)


def test_wrong_networks_are_named() -> None:
    """Circles, unknown tasks and tasks longer than the takt must be refused."""
    with pytest.raises(ValueError, match=r"tasks \[1, 2\] wait for each other"):
        Network((1, 1), ((1, 2), (2, 1)))
    with pytest.raises(ValueError, match="1-3 names a task"):
        Network((1, 1), ((1, 3),))
    with pytest.raises(ValueError, match="longest task takes 6"):
        fewest_stations(MERTENS, 5)
    with pytest.raises(ValueError, match="operators must be >= 1"):
        list_starts(MERTENS, 0)
