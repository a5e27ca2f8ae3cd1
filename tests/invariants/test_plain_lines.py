"""Theorems about plain lines: more room never hurts, backwards takes as long, two pacings are one."""

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linesim.capacity.ceiling import limits
from linesim.capacity.loads import Loads
from linesim.plan.build import build
from linesim.scenario import from_dict
from linesim.theory.departures import reversed_line
from tests.formulas.departures import departure_times
from tests.invariants.any_layout import Draw, maybe, seconds
from tests.lines import (
    Ran,
    Tables,
    counts,
    leaves,
    paced,
    run_tables,
    sections,
    stations,
    stops,
    tandem,
    trace,
)

Times = list[list[int]]


@st.composite
def plain_line(draw: Draw) -> tuple[Times, list[int]]:
    """Return whole-second times (a row a job) of a free line, and the places between its stations."""
    n_stations, n_jobs = draw(st.integers(1, 4)), draw(st.integers(1, 8))
    times = [[draw(st.integers(0, 9)) for _ in range(n_stations)] for _ in range(n_jobs)]
    return times, [draw(st.integers(0, 2)) for _ in range(n_stations - 1)]


def departures(times: Times, places: list[int]) -> np.ndarray[Any, Any]:
    """Return when each job leaves each station, as simulated."""
    ran = run_tables(tandem(times, places))
    return np.array(list(leaves(ran).values())).T


@settings(max_examples=60)
@given(plain_line())
def test_departures_are_those_of_the_recursion(line: tuple[Times, list[int]]) -> None:
    """Every job leaves every station when the departure recursion says, to the tick."""
    times, places = line
    assert departures(times, places).tolist() == departure_times(times, places=places).tolist()


@settings(max_examples=40)
@given(plain_line(), st.data())
def test_one_place_more_never_keeps_a_job(line: tuple[Times, list[int]], data: st.DataObject) -> None:
    """With one more place somewhere no job leaves any station later than without it."""
    times, places = line
    if not places:
        return
    gap = data.draw(st.integers(0, len(places) - 1))
    more = [n + (k == gap) for k, n in enumerate(places)]
    assert (departures(times, more) <= departures(times, places)).all()


@settings(max_examples=40)
@given(plain_line())
def test_backwards_takes_as_long(line: tuple[Times, list[int]]) -> None:
    """With stations, places and jobs in opposite order the last job leaves at the same moment.

    E. J. Muth, Management Science 25 (1979) 152-158; G. Yamazaki and H. Sakasegawa (1975), from memory.
    """
    times, places = line
    back, back_places = reversed_line(times, places)
    forth = departures(times, places)[-1, -1]
    assert departures(back.astype(int).tolist(), list(back_places))[-1, -1] == forth


# Two pacings


@st.composite
def paced_line(draw: Draw) -> Tables:
    """Return a paced line with known times, some of them over the takt, of one or two sections."""
    n_stations, n_jobs = draw(st.integers(1, 4)), draw(st.integers(1, 8))
    times = [[draw(st.integers(0, 13)) for _ in range(n_stations)] for _ in range(n_jobs)]
    raw = paced(times, takt=10, length=draw(st.integers(20, 200)))
    names = raw["section"]["line"]["stations"]
    if n_stations > 1 and maybe(draw, 50):
        raw["section"] = {"line": {"pacing": "moving", "stations": names[:1]}, "more": {"pacing": "moving"}}
        raw["section"]["more"]["stations"] = names[1:]
        raw["buffer"] = {"lane": {"capacity": draw(st.integers(0, 2))}}
        raw["flow"] = ["line", "lane", "more"]
    if maybe(draw, 40):
        raw["supply"] = {"every": seconds(draw, 5, 15)}
    for section in raw["section"].values():
        if maybe(draw, 40):
            section["on_gap"] = "wait"
        if maybe(draw, 30):
            section["failure"] = {"chain": {"every": seconds(draw, 11, 40), "lasts": seconds(draw, 1, 9)}}
    return raw


def _happened(ran: Ran) -> Any:
    return (
        trace(ran),
        stations(ran),
        sections(ran),
        stops(ran),
        counts(ran, "overruns"),
        counts(ran, "overload"),
    )


@settings(max_examples=60)
@given(paced_line())
def test_moving_without_reach_is_indexed_without_a_move(raw: Tables) -> None:
    """A moving section of no reach and an indexed one of no transfer are the same, event for event."""
    moving = _happened(run_tables(raw))
    for section in raw["section"].values():
        section["pacing"] = "indexed"
    assert _happened(run_tables(raw)) == moving


@settings(max_examples=30)
@given(paced_line())
def test_a_paced_line_is_never_ahead_of_its_takt(raw: Tables) -> None:
    """Jobs leave a paced section at least a takt apart."""
    ran = run_tables(raw)
    for row in leaves(ran).values():
        assert all(later - earlier >= 10 for earlier, later in pairwise(row))


# The ceiling


@st.composite
def steady_line(draw: Draw) -> Tables:
    """Return a line of constant times, endless jobs of one kind, shared people, robots and tools."""
    raw: Tables = {
        "title": "steady", "takt": "20 s", "flow": [], "section": {}, "buffer": {}, "station": {},
        "run": {"warm_up": "10 min", "length": "30 min", "replications": 1},
        "robot": {"r": {}}, "tool": {"gun": {}}, "crew": {},
    }  # fmt: skip
    places = [f"S{k + 1}" for k in range(draw(st.integers(1, 4)))]
    for k, place in enumerate(places):
        if k and maybe(draw, 60):
            raw["buffer"][f"B{k}"] = {"capacity": draw(st.integers(0, 2))}
            raw["flow"].append(f"B{k}")
        raw["section"][f"L{k + 1}"] = {
            "pacing": draw(st.sampled_from(("moving", "indexed", "free"))), "stations": [place],
        }  # fmt: skip
        raw["flow"].append(f"L{k + 1}")
    for k in range(draw(st.integers(1, 2))):
        covers = [place for place in places if maybe(draw, 70)] or places[:1]
        raw["crew"][f"C{k}"] = {"people": draw(st.integers(1, 2)), "covers": covers}
    for place in places:
        raw["station"][place] = {"task": {}}
        staffed = any(place in crew["covers"] for crew in raw["crew"].values())
        for k in range(draw(st.integers(1, 2))):
            task: Tables = {"time": seconds(draw, 1, 15), "people": int(staffed)}
            if maybe(draw, 30):
                task |= {"robot": "r", "people": 0}
            elif maybe(draw, 30):
                task["tool"] = "gun"
            raw["station"][place]["task"][f"t{k}"] = task
    return raw


@settings(max_examples=40)
@given(steady_line())
def test_output_stays_below_the_ceiling(raw: Tables) -> None:
    """With constant times a line makes no more than the tightest of what it shares would let through.

    Jobs that were inside when the half-hour began may have been worked on before: they come on top.
    """
    ran = run_tables(raw, with_events=False)
    ceiling = limits(Loads(build(from_dict(raw))))[0].jobs_per_hour
    assert ran.ledger.jobs_out <= ceiling / 2 + ran.ledger.inside_start + 1e-9


def test_the_ceiling_is_met_where_nothing_waits() -> None:
    """A line of one station makes exactly what its ceiling says, so that the bound above means something."""
    raw = tandem([(9,)], ())
    raw |= {"orders": {}, "run": {"length": "1 h", "replications": 1}}
    ceiling = limits(Loads(build(from_dict(raw))))[0].jobs_per_hour
    assert ceiling == pytest.approx(400)  # 3600 s / 9 s
    assert (
        run_tables(raw).ledger.jobs_out == 399
    )  # the last leaves with the last tick, which is no longer counted
