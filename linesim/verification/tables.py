"""Small lines written as the tables of a scenario. Times are seconds."""

from __future__ import annotations

from collections.abc import Sequence

from linesim.verification.bench import Raw

UNIT = 1000.0  #: One unit of time where a source has none [s]; rounding to 1 ms moves nothing then.


def seconds(value: float) -> str:
    """Return a duration as a scenario writes it."""
    return f"{value:.9f} s"


def constant(value: float) -> Raw:
    """Return a time that never varies."""
    return {"shape": "constant", "value": seconds(value)}


def exponential(mean: float = UNIT) -> Raw:
    """Return an exponential time."""
    return {"shape": "exponential", "mean": seconds(mean)}


def erlang(mean: float, stages: int) -> Raw:
    """Return an Erlang time."""
    return {"shape": "erlang", "mean": seconds(mean), "stages": stages}


def uniform(low: float, high: float) -> Raw:
    """Return a uniform time."""
    return {"shape": "uniform", "low": seconds(low), "high": seconds(high)}


def normal(mean: float, sd: float) -> Raw:
    """Return a normal time, cut at zero."""
    return {"shape": "normal", "mean": seconds(mean), "sd": seconds(sd)}


def lognormal(mean: float, cv: float) -> Raw:
    """Return a lognormal time."""
    return {"shape": "lognormal", "mean": seconds(mean), "cv": cv}


def bare(length: float, warm_up: float = 0.0, takt: float = 60.0) -> Raw:
    """Return the tables that every scenario has, without a line."""
    run = {"length": seconds(length), "warm_up": seconds(warm_up), "replications": 1}
    return {
        "takt": seconds(takt), "flow": [], "run": run, "section": {}, "station": {}, "buffer": {},
    }  # fmt: skip


def work(time: Raw) -> Raw:
    """Return a station with one task that needs nobody."""
    return {"task": {"work": {"people": 0, "time": time}}}


def free_line(
    times: Sequence[Raw], places: int | Sequence[int] = 0, *, length: float, warm_up: float = 0.0
) -> Raw:
    """Return free stations M1, M2, ... with buffers B1, B2, ... of so many places behind them."""
    gaps = [places] * (len(times) - 1) if isinstance(places, int) else list(places)
    raw = bare(length, warm_up)
    for number, time in enumerate(times, start=1):
        raw["section"][f"S{number}"] = {"pacing": "free", "stations": [f"M{number}"]}
        raw["station"][f"M{number}"] = work(time)
        raw["flow"].append(f"S{number}")
        if number <= len(gaps) and gaps[number - 1]:
            raw["buffer"][f"B{number}"] = {"capacity": gaps[number - 1]}
            raw["flow"].append(f"B{number}")
    return raw


def queue(gap: Raw, time: Raw, *, length: float, warm_up: float, stalls: int = 1) -> Raw:
    """Return jobs that come by themselves to station M2 through a door that holds nobody."""
    raw = free_line([constant(0.0), time], 100_000, length=length, warm_up=warm_up)
    raw["station"]["M1"] = {}
    raw["station"]["M2"]["places"] = stalls
    raw["supply"] = {"every": gap}
    return raw


def paced_line(
    times: Sequence[Raw | None],
    *,
    length: float,
    warm_up: float = 0.0,
    takt: float = 60.0,
    pacing: str = "moving",
) -> Raw:
    """Return one section "line" of stations M1, M2, ... (None: an empty station)."""
    raw = bare(length, warm_up, takt)
    names = [f"M{number}" for number in range(1, len(times) + 1)]
    raw["flow"], raw["section"] = ["line"], {"line": {"pacing": pacing, "stations": names}}
    raw["station"] = {name: work(time) if time else {} for name, time in zip(names, times, strict=True)}
    return raw


def given(raw: Raw, stations: Sequence[str], rows: Sequence[Sequence[float]]) -> Raw:
    """Give each job its own times [s], row by row; return ``raw`` itself.

    Args:
        raw: The line.
        stations: Stations whose times are given, one a column.
        rows: One row a job, in the order in which jobs come; no job comes after the last.
    """
    models = {tuple(row): f"j{number}" for number, row in enumerate(rows)}
    raw["model"] = {name: {} for name in models.values()}
    listed = [models[tuple(row)] for row in rows]
    raw["orders"] = {"sequence": "listed", "list": listed, "after_last": "end"}
    for column, station in enumerate(stations):
        task = raw["station"][station].setdefault("task", {}).setdefault("work", {"people": 0})
        task["time"] = constant(0.0)
        task["time_for"] = {name: constant(row[column]) for row, name in models.items()}
    return raw
