"""Paced sections: laws job by job for one that keeps to its borders, and what lines make in the long run."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from linesim.plan.tables import FREE
from linesim.plan.words import S_WORKING
from linesim.theory import laws
from linesim.theory.departures import closed_station, line_stop_pitches
from linesim.theory.laws import Law, expected_largest, overload, stopped_pitch
from linesim.ticks import TICKS_PER_SECOND
from linesim.verification.bench import AMOUNT, RATE, CheckRow, Known, judge_equal, not_here
from linesim.verification.by_hand import TAKT, displacement_line
from linesim.verification.lines import (
    UNIT,
    constant,
    erlang,
    exponential,
    lognormal,
    normal,
    not_alone,
    not_open,
    paced_line,
    uniform,
    work_of,
)

if TYPE_CHECKING:
    from linesim.plan.plan import Plan
    from linesim.verification.bench import CheckBench, Raw


MOST_JOBS = 300

WHAT = "pitches follow work"


def paced_law(raw: Raw, bench: CheckBench) -> CheckRow:
    """Return whether marks come at the longest of takt and work, or why that law does not apply."""
    raw = {**raw, "run": {**raw["run"], "start": "empty"}}
    plan = bench.plan(raw)
    why = _why_not(plan)
    if why is not None:
        return not_here(WHAT, why)
    events, _ = bench.log(plan)
    marks = [event.time for event in events if event.what == "mark"]
    stations = plan.sections.stations[0].tolist()
    jobs = min(MOST_JOBS, len(marks) - len(stations))
    if jobs < 2:
        return not_here(WHAT, "fewer than two jobs leave the line")
    work = work_of(range(jobs), events, stations)
    transfer = int(plan.sections.transfer[0])
    wanted = line_stop_pitches([[t + transfer for t in row] for row in work], int(plan.sections.takt[0]))
    found = [later - sooner for sooner, later in pairwise(marks)]
    return judge_equal(
        f"{WHAT}, {jobs} jobs",
        "pitch = max(takt, T1, ..., TN): all jobs reach their stop position at the same instant; on the work "
        "that each job drew",
        [pitch / TICKS_PER_SECOND for pitch in wanted[:jobs]],
        [pitch / TICKS_PER_SECOND for pitch in found[:jobs]],
        unit="s",
    )


def _why_not(plan: Plan) -> str | None:
    if len(plan.names.section) != 1 or len(plan.flow.kind) != 1:
        return "the line is not one section alone"
    if int(plan.sections.pacing[0]) == FREE:
        return "its section is free: there are no marks"
    if why := not_open(plan) or not_alone(plan):
        return why
    stations = plan.stations
    if stations.early.any() or stations.late.any():
        return "stations reach past their borders"
    if not stations.stops_at_limit.all():
        return "a station passes open work on"
    if len(plan.names.calendar) or len(plan.names.mode) or len(plan.names.fault):
        return "breaks, failures or faults come on top of the work"
    if any(plan.tasks.station.tolist().count(s) > 1 for s in range(len(plan.names.station))):
        return "a station has several tasks"
    return None


REPLICATIONS = 30
QUADRATURE = "recomputed: quadrature"
HARTER = "order statistics as in H. L. Harter's tables of 1961 (from memory); " + QUADRATURE


def checks() -> tuple[Known, ...]:
    """Return the checks; the quick set has one of each kind."""
    narrow = (laws.normal(54, 5.4), normal(54, 5.4))
    skew = (laws.lognormal(54, 0.1), lognormal(54, 0.1))
    return (
        _stopping("stop a pitch, 5 normal", narrow, 5, 61.572388, is_quick=True),
        _left("beyond 60 s, normal", narrow, 0.36247771, skew[0], is_quick=True),
        _closed((0.5, 70, 50, 70, 2.5), is_quick=True),
        _step("5 normal", (laws.normal(1, 0.2), normal(UNIT, 0.2 * UNIT)), 5, 1.23259289, HARTER,
              is_quick=True),
        _step("3 exponential", (laws.exponential(1), exponential()), 3, 1.83333333,
              "harmonic number 1 + 1/2 + 1/3, closed form; " + QUADRATURE, is_quick=True),
        _stopping("stop a pitch, 1 normal", narrow, 1, 60.362478),
        _stopping("stop a pitch, 10 normal", narrow, 10, 62.685983),
        _stopping("stop a pitch, 5 lognormal", skew, 5, 61.843182),
        _left("beyond 60 s, lognormal", skew, 0.42419569, narrow[0]),
        _left("beyond 60 s, uniform", (laws.uniform(45, 63), uniform(45, 63)), 0.25,
              laws.normal(54, 18 / 12**0.5)),
        _left("beyond 60 s, exponential", (laws.exponential(54), exponential(54)), 17.77642134,
              laws.lognormal(54, 1)),
        _closed((0.5, 70, 50, 60, 5.0)),
        _closed((0.5, 70, 50, 80, 1.66666667)),
        _closed((1 / 3, 70, 55, 75, 1.15942029)),
        _step("2 uniform", (laws.uniform(0.5, 1.5), uniform(0.5 * UNIT, 1.5 * UNIT)), 2, 1.16666667,
              "1/2 + N/(N + 1), closed form; " + QUADRATURE),
        _step("4 Erlang-2", (laws.erlang(1, 2), erlang(UNIT, 2)), 4, 1.77358218, QUADRATURE),
        _step("5 lognormal", (laws.lognormal(1, 0.2), lognormal(UNIT, 0.2)), 5, 1.24558073,
              QUADRATURE),
        _step("10 normal", (laws.normal(1, 0.2), normal(UNIT, 0.2 * UNIT)), 10, 1.30775055, HARTER),
    )  # fmt: skip


def _stopping(what: str, kind: tuple[Law, Raw], n: int, pitch: float, *, is_quick: bool = False) -> Known:
    """Return the check of a moving line that stops at fixed positions, by the seconds lost a pitch."""
    law, time = kind

    def found(bench: CheckBench) -> Sequence[float]:
        pitches = max(150, 800 // n)
        plan = bench.plan(paced_line([time] * n, length=pitches * TAKT, warm_up=(n + 5) * TAKT))
        return [
            float(ledger.stop.sum()) / TICKS_PER_SECOND / float(ledger.station_jobs[0])
            for ledger in bench.runs(plan, REPLICATIONS)
        ]

    return Known(
        what,
        "pitch = E[max(takt, T1, ..., TN)]: all jobs reach their stop position at the same instant; "
        + QUADRATURE,
        round(pitch - TAKT, 6),
        found,
        "s",
        sees=AMOUNT,
        wrong=lambda: stopped_pitch([law] * (n + 1), TAKT).mean - TAKT,
        recomputed=lambda: stopped_pitch([law] * n, TAKT).mean - TAKT,
        digits=6,
        is_quick=is_quick,
    )


def _left(
    what: str, kind: tuple[Law, Raw], left: float, alike: Law, *, is_quick: bool = False
) -> Known:  # fmt: skip
    """Return the check of the work left at the limit, per job; ``alike`` has another shape, as wide."""
    law, time = kind

    def found(bench: CheckBench) -> Sequence[float]:
        raw = paced_line([time] * 4, length=270 * TAKT, warm_up=10 * TAKT)
        for station in raw["station"].values():
            station["on_limit"] = "pass"
        raw["bay"] = {"bay": {"section": "line", "waiting": 50, "places": 50, "rejoin": "out"}}
        raw["crew"] = {"fixers": {"people": 50, "covers": ["bay"]}}
        plan = bench.plan(raw)
        return [
            float(ledger.overload.sum()) / TICKS_PER_SECOND / float(ledger.station_jobs.sum())
            for ledger in bench.runs(plan, REPLICATIONS)
        ]

    return Known(
        what,
        "E[(T - 60)+], overload of S. J. Erlebacher and M. R. Singh (report of 1992 seen); recomputed: "
        "closed form and quadrature",
        left,
        found,
        "s a job",
        sees=AMOUNT,
        wrong=lambda: overload(alike, 60).mean,
        recomputed=lambda: overload(law, 60).mean,
        is_quick=is_quick,
    )


def _closed(case: tuple[float, float, float, float, float], *, is_quick: bool = False) -> Known:
    """Return the check of an operator between two borders, by the work that does not fit."""
    chance, heavy, light, length, left = case
    contents = [(heavy, chance), (light, 1 - chance)]
    pitches = 3200 / left**2  # the rarer, the longer

    def found(bench: CheckBench) -> Sequence[float]:
        raw = displacement_line(length, pitches * TAKT)
        raw["run"]["warm_up"] = "1800 s"
        raw["station"]["M1"]["task"]["work"] |= {
            "time": constant(light), "time_for": {"heavy": constant(heavy)},
        }  # fmt: skip
        raw["model"] = {"heavy": {"share": chance}, "light": {"share": 1 - chance}}
        plan = bench.plan(raw)
        here = plan.names.station.index("M1")
        return [
            float(ledger.overload[here]) / TICKS_PER_SECOND / float(ledger.station_jobs[here])
            for ledger in bench.runs(plan, REPLICATIONS)
        ]

    return Known(
        f"{heavy:g} or {light:g} s in {length:g} s: left",
        "C. A. Yano and R. Rachamadugu, Management Science 37 (1991) 572-586 (rule; from memory); "
        "recomputed: chain of levels",
        left,
        found,
        "s a job",
        sees=AMOUNT,
        wrong=lambda: closed_station(contents, TAKT, length + TAKT - light).overload,
        recomputed=lambda: closed_station(contents, TAKT, length).overload,
        is_quick=is_quick,
    )


def _step(
    what: str, kind: tuple[Law, Raw], n: int, step: float, source: str, *, is_quick: bool = False
) -> Known:
    """Return the check of stations that step together, by their use: E[T]/E[step]."""
    law, time = kind
    steps = 250 if law.sd > 0.4 else 115
    return Known(
        f"in step, {what}",
        f"E[T]/E[max T]; {source}",
        round(law.mean / step, 8),
        _use(time, n, steps * step * UNIT),
        "share",
        sees=RATE,
        wrong=lambda: law.mean / expected_largest([law] * (n + 1)),
        recomputed=lambda: law.mean / expected_largest([law] * n),
        digits=7,
        is_quick=is_quick,
    )


def _use(time: Raw, n: int, length: float) -> Callable[[CheckBench], Sequence[float]]:
    def found(bench: CheckBench) -> Sequence[float]:
        raw = paced_line([time] * n, length=length, warm_up=n * 4 * UNIT, takt=0.001, pacing="indexed")
        plan = bench.plan(raw)
        return [
            float(ledger.station_state[:, S_WORKING].sum()) / n / (ledger.end - ledger.start)
            for ledger in bench.runs(plan, REPLICATIONS)
        ]

    return found
