"""Waiting before one station, rework loops, machines that wait for technicians, statistics themselves."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from linesim.plan.words import R_DOWN
from linesim.stats.intervals import mean_interval
from linesim.stats.precision import bechhofer_constant, rinott_constant
from linesim.theory.stations import any_service, availability, many_stations, passes_until_good, repair_crews
from linesim.verification.bench import AMOUNT, RATE, Known
from linesim.verification.lines import (
    UNIT,
    bare,
    constant,
    exponential,
    paced_line,
    queue,
    uniform,
)

if TYPE_CHECKING:
    from linesim.verification.bench import CheckBench, Raw

REPLICATIONS = 30
CLOSED = "recomputed: closed form"


def checks() -> tuple[Known, ...]:
    """Return the checks; the quick set has one of each kind."""
    return (
        _wait("wait, uniform work, load 0.5", (0.5, 2200), uniform(0.5 * UNIT, 1.5 * UNIT), 1, 0.541667,
              f"Pollaczek-Khinchine formula; {CLOSED}",
              lambda: any_service(0.5, 1.0, 1 / 12**0.5).wait,
              lambda: any_service(0.5, 1.0, 0).wait, is_quick=True),
        _wait("wait, 3 stalls, load 0.67", (2.0, 7500), exponential(), 3, 0.444444,
              f"Erlang C; {CLOSED}", lambda: many_stations(2.0, 1.0, 3).wait,
              lambda: many_stations(2.0, 1.0, 4).wait),
        _wait("wait, exponential, load 0.5", (0.5, 3500), exponential(), 1, 1.0,
              f"load/(mu - lambda); {CLOSED}", lambda: many_stations(0.5, 1.0).wait,
              lambda: any_service(0.5, 1.0, 0).wait),
        _tests(2, 1.2, 350, is_quick=True),
        _tests(3, 1.24, 3600),
        Known(
            "robot up 480 s, down 20 s",
            f"MTBF/(MTBF + MTTR) by the calendar; {CLOSED}",
            0.96,
            _available(1, None, 480, 20),
            "share",
            sees=RATE,
            wrong=lambda: 1 - 20 / 480,  # 480 s from one failure to the next, the repair in it
            recomputed=lambda: availability(480, 20),
            is_quick=True,
        ),
        Known(
            "10 machines, 2 technicians",
            f"finite-source queue, C. Palm 1947 (from memory); {CLOSED}",
            0.89613622,
            _available(10, 2, 100, 10),
            "share",
            sees=RATE,
            wrong=lambda: repair_crews(10, 3, 100, 10).availability,
            recomputed=lambda: repair_crews(10, 2, 100, 10).availability,
            is_quick=False,
        ),
        Known(
            "interval of 5 replications",
            "course notes on output analysis (seen): 4.28, 3.41 to 5.15; recomputed to five decimals",
            (4.28, 3.4135, 5.1465),
            _interval,
        ),
        Known(
            "constants to select the best",
            "R. E. Bechhofer 1954, Y. Rinott 1978: 2.2302, 3.1657 (from memory); recomputed: quadrature",
            (2.2302, 3.1657),
            lambda bench: (
                round(bechhofer_constant(3, 0.9), 4), round(rinott_constant(3, 0.95, 10), 4),
            ),
        ),
    )  # fmt: skip


def _wait(
    what: str, come: tuple[float, int], time: Raw, stalls: int, wait: float, source: str,
    again: Callable[[], float], wrong: Callable[[], float], *, is_quick: bool = False,
) -> Known:  # fmt: skip
    """Return the check of a mean wait, in mean times of work; by Little's law from the buffer's level.

    ``come`` is how many jobs come in a mean time of work, and in a run.
    """
    rate, jobs = come

    def found(bench: CheckBench) -> Sequence[float]:
        raw = queue(
            exponential(UNIT / rate), time, length=jobs * UNIT / rate, warm_up=40 * UNIT, stalls=stalls
        )
        plan, figures = bench.plan(raw), []
        for ledger in bench.runs(plan, REPLICATIONS):
            level = sum(n * int(ticks) for n, ticks in enumerate(ledger.buffer_level[0].tolist()))
            figures.append(level / (ledger.end - ledger.start) / rate)
        return figures

    return Known(
        what,
        source,
        wait,
        found,
        "mean times",
        sees=AMOUNT,
        wrong=wrong,
        recomputed=again,
        digits=6,
        is_quick=is_quick,
    )


def _tests(most: int, mean: float, jobs: int, *, is_quick: bool = False) -> Known:
    """Return the check of how often a job is tested until it is good or scrapped."""
    return Known(
        f"tests a job, at most {most}",
        f"(1 - p^n)/(1 - p), n = {most}; {CLOSED}",
        mean,
        lambda bench: _passes(bench, most, jobs),
        "tests a job",
        sees=RATE,
        wrong=lambda: passes_until_good(0.2, most + 1).mean,
        recomputed=lambda: passes_until_good(0.2, most).mean,
        is_quick=is_quick,
    )


def _passes(bench: CheckBench, most: int, jobs: int) -> Sequence[float]:
    raw = bare(60.0 * jobs, 60.0 * 20)
    raw["flow"] = ["make", "queue", "check"]
    raw["section"] = {
        "make": {"pacing": "free", "stations": ["M"]}, "check": {"pacing": "free", "stations": ["T"]},
    }  # fmt: skip
    raw["buffer"], raw["supply"] = {"queue": {"capacity": 50}}, {"every": constant(60)}
    fault = {"chance": 0.2, "found": "T.test", "right": "repair", "repair": constant(30)}
    raw["station"] = {
        "M": {"task": {"build": {"people": 0, "time": constant(10), "fault": fault}}},
        "T": {"task": {"test": {"people": 0, "time": constant(20), "again": True}}},
    }
    raw["bay"] = {
        "repair": {
            "section": "check", "waiting": 20, "places": 5, "rejoin": "queue", "max_passes": most - 1,
            "success": 0.8,
        }
    }  # fmt: skip
    raw["crew"] = {"fixers": {"people": 5, "covers": ["repair"]}}
    plan = bench.plan(raw)
    here = plan.names.station.index("T")
    return [
        float(ledger.station_jobs[here]) / (ledger.jobs_out + ledger.jobs_scrapped)
        for ledger in bench.runs(plan, REPLICATIONS)
    ]


def _available(
    machines: int, technicians: int | None, up: float, repair: float
) -> Callable[[CheckBench], Sequence[float]]:
    """Return what gives the share of time that robots are not under repair or waiting for it."""

    def found(bench: CheckBench) -> Sequence[float]:
        n = machines if technicians else 20  # independent ones share a run
        length = 60 * (up + repair)
        raw = paced_line([constant(1.0)], length=length, warm_up=length / 10, takt=1e6)
        failure: Raw = {"every": exponential(up), "lasts": exponential(repair), "per": "calendar"}
        if technicians:
            failure["repaired_by"] = "technicians"
            raw["crew"] = {"technicians": {"people": technicians, "covers": ["M1"]}}
        raw["robot"] = {f"R{i}": {"failure": {"fault": failure}} for i in range(n)}
        plan = bench.plan(raw)
        return [
            1 - float(ledger.robot_state[:, R_DOWN].sum()) / n / (ledger.end - ledger.start)
            for ledger in bench.runs(plan, REPLICATIONS)
        ]

    return found


def _interval(bench: CheckBench) -> Sequence[float]:
    made = mean_interval([3.2, 4.3, 5.1, 4.2, 4.6])
    assert made.low is not None and made.high is not None
    return round(made.mean, 5), round(made.low, 5), round(made.high, 5)
