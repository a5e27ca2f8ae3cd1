"""Lines with known times, followed to the tick: traces one can do by hand, and published sequences."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from linesim.ticks import TICKS_PER_SECOND
from linesim.verification.bench import Known
from linesim.verification.lines import constant, free_line, given, paced_line

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from linesim.ledger.ledger import Event
    from linesim.verification.bench import CheckBench, Raw


TAKT = 60.0

SIX_JOBS = ((4, 7, 1, 6), (1, 1, 1, 1), (1, 1, 5, 2), (2, 1, 5, 2), (5, 6, 3, 7), (7, 5, 5, 4))
RECURSION = (
    "departure recursion of E. J. Muth, Management Science 25 (1979) 152-158; times ours, recomputed by hand"
)
FIRST, SECOND = (4, 4, 30, 6, 2), (5, 1, 4, 30, 3)  #: times of five jobs at two stations
GAPS, SERVICES = (0, 5, 1, 3, 1, 9, 4, 2, 1, 6), (3, 2, 4, 1, 5, 2, 1, 3, 2, 1)
EIGHT = (70, 52, 75, 66, 58, 80, 45, 71)
STOPPING = ((55, 62, 58), (70, 50, 61), (48, 66, 59), (60, 60, 75), (52, 58, 57), (64, 49, 63))


def checks() -> tuple[Known, ...]:
    """Return the checks, each asking for equality."""
    return (
        Known("4 machines, no places: exits", RECURSION, (18, 19, 25, 30, 39, 44), _exits(0, 0, 0), "s"),
        Known("4 machines, 1 place in middle", RECURSION, (18, 19, 25, 30, 38, 42), _exits(0, 1, 0), "s"),
        Known("4 machines, 1 place each gap", RECURSION, (18, 19, 21, 25, 34, 39), _exits(1, 1, 1), "s"),
        Known(
            "Johnson's order: exits",
            "S. M. Johnson, Naval Research Logistics Quarterly 1 (1954) 61-68 (from memory); least of all "
            "120 orders, recomputed by enumeration",
            (5, 11, 42, 46, 47),
            _two_steps((5, 1, 4, 3, 2)),
            "s",
        ),
        Known(
            "10 jobs at one station: exits",
            "D. V. Lindley, Proceedings of the Cambridge Philosophical Society 48 (1952) 277-289; times "
            "ours, recomputed by hand",
            (3, 7, 11, 12, 17, 21, 24, 28, 30, 33),
            _one_station,
            "s",
        ),
        Known(
            "operator in 85 s: starts",
            "C. A. Yano and R. Rachamadugu, Management Science 37 (1991) 572-586 (rule; from memory); trace "
            "recomputed by hand",
            (0, 10, 2, 17, 23, 21, 25, 10),
            _displacement,
            "s",
        ),
        Known(
            "stops at 3 stations: pitches",
            "pitch = max(takt, T1, T2, T3), stops coincide; recomputed by hand",
            (60, 70, 60, 66, 60, 75, 60, 63),
            _stops,
            "s",
        ),
    )


def _exits(*places: int) -> Callable[[CheckBench], Sequence[float]]:
    return lambda bench: _leave(bench, SIX_JOBS, places)


def _two_steps(order: Sequence[int]) -> Callable[[CheckBench], Sequence[float]]:
    return lambda bench: _leave(bench, [(FIRST[j - 1], SECOND[j - 1]) for j in order], (5,))


def _leave(bench: CheckBench, rows: Sequence[Sequence[float]], places: Sequence[int]) -> Sequence[float]:
    """Return when each job leaves the line [s]."""
    raw = free_line([constant(0.0)] * len(rows[0]), places, length=200)
    events, _ = bench.log(bench.plan(given(raw, list(raw["station"]), rows)))
    return _when(events, "line-off")


def _one_station(bench: CheckBench) -> Sequence[float]:
    raw = free_line([constant(0.0)] * 2, 10, length=60)
    raw["supply"] = {"at_s": [float(sum(GAPS[: k + 1])) for k in range(len(GAPS))]}
    events, _ = bench.log(bench.plan(given(raw, ["M1", "M2"], [(0.0, float(time)) for time in SERVICES])))
    return _when(events, "line-off")


def displacement_line(length: float, run: float) -> Raw:
    """Return one operator in a station of that length [s of travel], and room to finish what is left."""
    raw = paced_line([constant(0.0), None, None], length=run)
    raw["station"]["M1"] |= {"late": (length - TAKT) / TAKT, "on_limit": "pass", "open_to": "M3"}
    raw["station"]["M1"]["task"]["work"]["people"] = 1
    raw["crew"] = {"one": {"people": 1, "covers": ["M1"]}, "finishers": {"people": 1, "covers": ["M3"]}}
    return raw


def _displacement(bench: CheckBench) -> Sequence[float]:
    raw = given(displacement_line(85, 12 * TAKT), ["M1"], [(float(time),) for time in EIGHT])
    plan = bench.plan(raw)
    events, _ = bench.log(plan)
    here = plan.names.station.index("M1")
    came = {e.job: e.time for e in events if e.what == "enter" and e.station == here}
    began = {e.job: e.time for e in events if e.what == "task start" and e.station == here}
    return [(began[job] - came[job]) / TICKS_PER_SECOND for job in sorted(began)]


def _stops(bench: CheckBench) -> Sequence[float]:
    raw = given(paced_line([constant(0.0)] * 3, length=600), ["M1", "M2", "M3"], STOPPING)
    marks = _when(bench.log(bench.plan(raw))[0], "mark")
    return [later - sooner for sooner, later in pairwise(marks)][: len(STOPPING) + 2]


def _when(events: Sequence[Event], what: str) -> list[float]:
    return [event.time / TICKS_PER_SECOND for event in events if event.what == what]
