"""The same indexed line three ways: as a plain SimPy model, on linesim's engine, and as bare drawing."""

from __future__ import annotations

import math
import resource
from collections.abc import Generator

import numpy as np
import simpy
from numpy.typing import NDArray
from scipy.special import ndtri

from linesim.draws.draws import Draws
from linesim.engine.run import run_line
from linesim.ledger.ledger import Ledger
from linesim.plan.build import build
from linesim.scenario import from_dict

TASKS, OPERATORS = 8, 2  #: per station; the tasks form two chains
MEAN_S, CV = 20.0, 0.15
TAKT_S = 95.0


def times_s(n_jobs: int, n_stations: int, seed: int = 1) -> NDArray[np.float64]:
    """Return lognormal task times, shape (jobs, stations, tasks): the bare drawing, one vector a task."""
    spread = math.sqrt(math.log1p(CV * CV))
    scale = math.log(MEAN_S) - spread**2 / 2
    luck = np.random.Generator(np.random.Philox(seed))
    table = np.empty((n_jobs, n_stations, TASKS))
    for s in range(n_stations):
        for t in range(TASKS):
            table[:, s, t] = np.exp(scale + spread * ndtri(luck.random(n_jobs)))
    return table


def plain_simpy(table: NDArray[np.float64]) -> float:
    """Run the line as one would write it in SimPy, a process a task; return its end [s].

    It keeps no accounts, has no calls, limits, failures or walking, and knows nothing of causes.
    """
    n_jobs, n_stations, _ = table.shape
    environment = simpy.Environment()
    crews = [simpy.Resource(environment, OPERATORS) for _ in range(n_stations)]

    def task(crew: simpy.Resource, duration: float) -> Generator[simpy.Event, None, None]:
        with crew.request() as request:
            yield request
            yield environment.timeout(duration)

    def chain(s: int, durations: list[float]) -> Generator[simpy.Event, None, None]:
        for duration in durations:
            yield environment.process(task(crews[s], duration))

    def line() -> Generator[simpy.Event, None, None]:
        places: list[int | None] = [None] * n_stations
        waiting = iter(range(n_jobs))
        left = n_jobs
        while left:
            left -= places[-1] is not None
            places = [next(waiting, None), *places[:-1]]
            work: list[simpy.Event] = [environment.timeout(TAKT_S)]
            for s, job in enumerate(places):
                if job is not None:
                    durations = table[job, s].tolist()
                    half = TASKS // 2
                    work.append(environment.process(chain(s, durations[:half])))
                    work.append(environment.process(chain(s, durations[half:])))
            yield environment.all_of(work)

    environment.run(environment.process(line()))
    return float(environment.now)


def scenario(n_jobs: int, n_stations: int, takt_s: float = TAKT_S) -> dict[str, object]:
    """Return the line as a scenario; it runs until the last of ``n_jobs`` is off."""
    time = {"mean": f"{MEAN_S} s", "cv": CV}
    half = TASKS // 2
    tasks = {f"t{t}": {"time": time, "after": [] if t in (0, half) else [f"t{t - 1}"]} for t in range(TASKS)}
    names = [f"S{s}" for s in range(n_stations)]
    return {
        "takt": f"{takt_s} s",
        "flow": ["line"],
        "run": {"length": f"{(n_jobs + n_stations) * takt_s * 1.5} s", "replications": 1},
        "orders": {"sequence": "listed", "list": ["standard"] * n_jobs, "after_last": "end"},
        "section": {"line": {"pacing": "indexed", "stations": names}},
        "station": {name: {"task": tasks} for name in names},
        "crew": {f"crew-{name}": {"people": OPERATORS, "covers": [name]} for name in names},
    }


def on_engine(n_jobs: int, n_stations: int) -> Ledger:
    """Run the line on linesim's engine, with full accounts."""
    plan = build(from_dict(scenario(n_jobs, n_stations)))
    return run_line(plan, Draws(plan, 1, 1))


def peak_mib() -> float:
    """Return the most memory that the program ever held [MiB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
