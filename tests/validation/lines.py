"""Small lines for the validation tests, written as scenario tables, and the running of them.

Times are seconds. Tables whose unit of time is arbitrary use `UNIT` for it: long enough that rounding to
1 ms moves nothing that a test could see.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from linesim.ledger.ledger import Event, Ledger
from linesim.plan.build import build
from linesim.plan.plan import Plan
from linesim.plan.words import S_BLOCKED, S_STARVED, S_WORKING
from linesim.scenario import from_dict
from tests.drives import Told, both_drives, fast, one_drive
from tests.luck import Luck

UNIT = 1000.0  #: One unit of time of a table without units [s].
TICKS = 1000  #: Ticks in a second.

Raw = dict[str, Any]


# Times


def text(seconds: float) -> str:
    """Return a duration as a scenario writes it."""
    return f"{seconds:.9f} s"


def constant(value: float) -> Raw:
    """Return a time that never varies."""
    return {"shape": "constant", "value": text(value)}


def exponential(mean: float) -> Raw:
    """Return an exponential time."""
    return {"shape": "exponential", "mean": text(mean)}


def erlang(mean: float, stages: int) -> Raw:
    """Return an Erlang time."""
    return {"shape": "erlang", "mean": text(mean), "stages": stages}


def uniform(low: float, high: float) -> Raw:
    """Return a uniform time."""
    return {"shape": "uniform", "low": text(low), "high": text(high)}


def normal(mean: float, sd: float) -> Raw:
    """Return a normal time, cut at zero."""
    return {"shape": "normal", "mean": text(mean), "sd": text(sd)}


def lognormal(mean: float, cv: float) -> Raw:
    """Return a lognormal time."""
    return {"shape": "lognormal", "mean": text(mean), "cv": cv}


def triangular(low: float, mode: float, high: float) -> Raw:
    """Return a triangular time."""
    return {"shape": "triangular", "low": text(low), "mode": text(mode), "high": text(high)}


# Lines


def bare(length: float, warm_up: float = 0.0, takt: float = 60.0) -> Raw:
    """Return the tables that every scenario has, without a line."""
    return {
        "takt": text(takt),
        "flow": [],
        "run": {"length": text(length), "warm_up": text(warm_up), "replications": 1},
        "section": {},
        "station": {},
        "buffer": {},
    }


def work(time: Raw, **rest: Any) -> Raw:
    """Return a station with one task that needs nobody."""
    return {"task": {"work": {"people": 0, "time": time, **rest}}}


def tandem(
    times: Sequence[Raw], places: int | Sequence[int] = 0, *, length: float, warm_up: float = 0.0
) -> Raw:
    """Return free stations M0, M1, ... in a row, with so many places in each gap (B1 lies before M1)."""
    gaps = [places] * (len(times) - 1) if isinstance(places, int) else list(places)
    raw = bare(length, warm_up)
    for i, time in enumerate(times):
        if i and gaps[i - 1]:
            raw["buffer"][f"B{i}"] = {"capacity": gaps[i - 1]}
            raw["flow"].append(f"B{i}")
        raw["section"][f"S{i}"] = {"pacing": "free", "stations": [f"M{i}"]}
        raw["station"][f"M{i}"] = work(time)
        raw["flow"].append(f"S{i}")
    return raw


def queue(
    gap: Raw | None, times: Sequence[Raw], *, length: float, warm_up: float = 0.0, places: int = 1
) -> Raw:
    """Return jobs that come by themselves to M0, M1, ... with endless room before each.

    A door that holds nobody lets each job into the first queue at once.
    """
    raw = tandem([constant(0.0), *times], 100_000, length=length, warm_up=warm_up)
    raw["station"]["M0"] = {}
    for i in range(len(times)):
        if places > 1:
            raw["station"][f"M{i + 1}"]["places"] = places
    if gap is not None:
        raw["supply"] = {"every": gap}
    return raw


def paced(
    times: Sequence[Raw | None], *, length: float, warm_up: float = 0.0, takt: float = 60.0, **section: Any
) -> Raw:
    """Return one section "line" of stations S0, S1, ... (None: an empty station)."""
    raw = bare(length, warm_up, takt)
    raw["flow"] = ["line"]
    raw["section"]["line"] = {
        "pacing": "moving", "stations": [f"S{i}" for i in range(len(times))], **section
    }  # fmt: skip
    for i, time in enumerate(times):
        raw["station"][f"S{i}"] = work(time) if time is not None else {}
    return raw


def listed(raw: Raw, kinds: Sequence[str], after_last: str = "end") -> Raw:
    """Let jobs of the models ``kinds`` come in this order; return ``raw`` itself."""
    raw["model"] = {kind: {} for kind in dict.fromkeys(kinds)}
    raw["orders"] = {"sequence": "listed", "list": list(kinds), "after_last": after_last}
    return raw


# Runs


class Line:
    """A line made ready once, to be run any number of times."""

    def __init__(self, raw: Mapping[str, Any]) -> None:
        self.plan: Plan = build(from_dict(raw))

    def run(self, replication: int = 1, *, seed: int = 1) -> Ledger:
        """Return the ledger of one replication."""
        return self._run(replication, seed, with_events=False)[0]

    def log(self, replication: int = 1, *, seed: int = 1) -> tuple[list[Event], Ledger]:
        """Return what happened in one replication, and its ledger."""
        ledger, events = self._run(replication, seed, with_events=True)
        return list(events), ledger

    def _run(self, replication: int, seed: int, *, with_events: bool) -> Told:
        """Run a replication by the fast drive, and the first by both."""
        how: dict[str, Any] = {"with_events": with_events}
        if replication == 1:
            return both_drives(self.plan, seed, replication, **how)
        return one_drive(self.plan, seed, replication, drive=fast(), **how)

    def runs(self, replications: int, *, seed: int = 1) -> Iterator[Ledger]:
        """Yield the ledgers of replications 1, 2, ..."""
        for replication in range(1, replications + 1):
            yield self.run(replication, seed=seed)

    def station(self, name: str) -> int:
        """Return the index of a station."""
        return self.plan.names.station.index(name)


def hours_of(ledger: Ledger, unit: float = UNIT) -> float:
    """Return how many units of time the ledger covers."""
    return (ledger.end - ledger.start) / (TICKS * unit)


def rate(ledger: Ledger, unit: float = UNIT) -> float:
    """Return finished jobs per unit of time."""
    return ledger.jobs_out / hours_of(ledger, unit)


def rates(raw: Mapping[str, Any], replications: int, *, seed: int = 1, unit: float = UNIT) -> list[float]:
    """Return finished jobs per unit of time, one figure per replication."""
    return [rate(ledger, unit) for ledger in Line(raw).runs(replications, seed=seed)]


def share(ledger: Ledger, station: int, state: int) -> float:
    """Return the share of time that a station is in a state."""
    return float(ledger.station_state[station, state]) / (ledger.end - ledger.start)


def shares(ledger: Ledger) -> list[tuple[float, float, float]]:
    """Return the shares of time that each station works, is blocked, and is starved."""
    return [
        (share(ledger, s, S_WORKING), share(ledger, s, S_BLOCKED), share(ledger, s, S_STARVED))
        for s in range(len(ledger.station_state))
    ]


def speeds(
    raw: Mapping[str, Any], mean_times: Sequence[float], weights: Sequence[float], replications: int
) -> list[float]:
    """Return jobs per unit of time, told by the machines' use; one figure per replication.

    In the long run machine i of mean time ``w`` works the share ``w`` times the throughput, so any weighted
    mean of share / ``w`` has the throughput as its mean. Weighted by how much each machine's speed counts,
    it loses most of the luck of the times drawn: a run of long times makes fewer jobs but works as much.
    """
    total = sum(weights)
    figures = []
    for ledger in Line(raw).runs(replications):
        use = [share(ledger, s, S_WORKING) / w for s, w in enumerate(mean_times)]
        figures.append(sum(g * u for g, u in zip(weights, use, strict=True)) / total)
    return figures


# Events


def seconds_of(events: Sequence[Event], what: str, station: int | None = None) -> list[float]:
    """Return when something happened [s], at one station or anywhere."""
    return [e.time / TICKS for e in events if e.what == what and station in (None, e.station)]


def by_job(events: Sequence[Event], what: str, station: int) -> dict[int, float]:
    """Return when something happened to each job at a station [s]; the first time, if several."""
    found: dict[int, float] = {}
    for e in events:
        if e.what == what and e.station == station:
            found.setdefault(e.job, e.time / TICKS)
    return found


# Given times


def given(stations: Sequence[str], table: Sequence[Sequence[float]], raw: Raw) -> Raw:
    """Give each job its own times [s]: row j of ``table`` is job j, column s is station ``stations[s]``.

    Jobs come once each in this order, those with equal rows as one model; return ``raw`` itself.
    """
    rows = [tuple(row) for row in table]
    models = {row: f"j{j}" for j, row in enumerate(dict.fromkeys(rows))}
    listed(raw, [models[row] for row in rows])
    for s, station in enumerate(stations):
        raw["station"][station]["task"] = {
            "work": {
                "people": 0,
                "time": constant(0.0),
                "time_for": {model: constant(row[s]) for row, model in models.items()},
            }
        }
    return raw


def drawn(line: Line, jobs: int, replication: int = 1, *, seed: int = 1) -> list[list[int]]:
    """Return what ``jobs`` jobs draw at each task of the plan [ticks]: one time a task, first attempts."""
    draws, tasks = Luck(line.plan, seed, replication), line.plan.tasks
    shapes = [int(shapes[0]) for shapes in (tasks.time_shape[t] for t in range(len(tasks.station)))]
    return [[draws.task_ticks(t, j, 0, shape) for t, shape in enumerate(shapes)] for j in range(jobs)]
