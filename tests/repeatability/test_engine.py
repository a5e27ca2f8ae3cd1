"""The engine repeats itself: same seed same run, and a change to the line changes nothing else."""

import copy
import os
import subprocess
import sys
from collections import defaultdict
from pathlib import Path
from typing import Any

import pytest

from linesim.ledger.ledger import Event
from linesim.plan.tables import NONE
from tests.drives import plain
from tests.lines import Ran, Tables, run_tables, tables

#: A little of everything that is drawn: mix, times, faults, detection, repairs, failures, supply.
LINE = """
takt = "60 s"
flow = ["first", "lane", "second"]
[model.big]
share = 2
[model.small]
[option.rack]
take = 0.4
[supply]
every = { shape = "gamma", mean = "55 s", cv = 0.5 }
[section.first]
pacing = "moving"
stations = ["A", "B"]
[section.second]
pacing = "free"
stations = ["C"]
[buffer.lane]
capacity = 2
[station.A.task]
frame = { time = { mean = "35 s", cv = 0.3 } }
rack = { time = { mean = "15 s", cv = 0.3 }, options = ["rack"], after = ["frame"] }
[station.B.task.screw]
time = { mean = "40 s", cv = 0.3 }
time_for = { big = { mean = "45 s", cv = 0.3 } }
[station.B.task.screw.fault]
chance = 0.2
found = "C.test"
detect = 0.7
right = "rework"
repair = { shape = "exponential", mean = "60 s" }
[station.C.task.test]
time = { shape = "triangular", low = "20 s", mode = "30 s", high = "50 s" }
robot = "r"
again = true
[robot.r.failure.jam]
every = { shape = "exponential", mean = "6 min" }
lasts = { mean = "1 min", cv = 0.5 }
[bay.rework]
section = "second"
waiting = 2
rejoin = "lane"
success = 0.8
max_passes = 3
[crew.team]
people = 3
covers = ["A", "B", "rework"]
"""


def line(length: str = "90 min") -> Tables:
    """Return the tables of the line."""
    return tables(LINE, length=length)


def _times(ran: Ran) -> dict[tuple[int, str, int], int]:
    """Return the ticks worked on each try of each task, by job and task name, repairs left out."""
    plan, begun, worked = ran.plan, {}, defaultdict(int)
    done: dict[tuple[int, str, int], int] = {}
    tries: dict[tuple[int, str], int] = defaultdict(int)
    for event in ran.events:
        if not event.what.startswith("task") or event.where != NONE:
            continue
        key = event.job, plan.names.task[event.task]
        if event.what in ("task start", "task resume"):
            begun[key] = event.time
        elif key in begun:
            worked[key] += event.time - begun.pop(key)
        if event.what == "task end":
            done[*key, tries[key]] = worked.pop(key)
            tries[key] += 1
    return done


def _rows(ran: Ran, what: str, *columns: str) -> list[tuple[Any, ...]]:
    return [tuple(getattr(e, column) for column in columns) for e in ran.events if e.what == what]


def test_the_same_seed_gives_the_same_run() -> None:
    """Two runs of one seed and replication are equal, event for event; another seed or replication is not."""
    one, two = run_tables(line(), seed=5, replication=2), run_tables(line(), seed=5, replication=2)
    assert one.events == two.events
    assert plain(one.ledger) == plain(two.ledger)
    assert run_tables(line(), seed=6, replication=2).events != one.events
    assert run_tables(line(), seed=5, replication=3).events != one.events


def test_a_replication_alone_is_the_one_among_many() -> None:
    """Replication 3 is the same whether 1 and 2 were run before it or not."""
    alone = plain(run_tables(line(), replication=3).ledger)
    among = [plain(run_tables(line(), replication=k).ledger) for k in (1, 2, 3, 4)]
    assert among[2] == alone
    assert len({str(ledger) for ledger in among}) == 4


def test_a_longer_run_begins_like_the_shorter_one() -> None:
    """Up to its end a run is the beginning of every longer one."""
    short, long = run_tables(line("30 min")).events, run_tables(line("90 min")).events
    assert long[: len(short)] == short


def test_a_task_more_leaves_every_other_time_as_it_was() -> None:
    """With one more task at a station every other task takes the time it took, on every job and try."""
    before = _times(run_tables(line()))
    raw = line()
    raw["station"]["A"]["task"] = {
        "wipe": {"time": {"mean": "9 s", "cv": 0.5}},
        **raw["station"]["A"]["task"],
    }
    ran = run_tables(raw)
    after = _times(ran)
    common = before.keys() & after.keys()
    assert len(common) > 200
    assert {key: after[key] for key in common} == {key: before[key] for key in common}
    assert {task for _, task, _ in after} - {task for _, task, _ in before} == {"A.wipe"}


@pytest.mark.parametrize(
    "change",
    [
        ("buffer", "lane", "capacity", 9),
        ("crew", "team", "people", 5),
        ("section", "second", "stations", ["C", "D"]),
        ("section", "first", "takt", "50 s"),
    ],
    ids=lambda change: ".".join(map(str, change[:3])),
)
def test_a_change_to_the_line_sees_the_same_jobs_and_the_same_luck(change: tuple[Any, ...]) -> None:
    """A buffer place, a person, a station or a takt changed: jobs, times and faults stay as drawn."""
    base, raw = run_tables(line()), line()
    kind, name, key, value = change
    raw[kind][name][key] = value
    if key == "stations":
        raw["station"]["D"] = {"task": {"wipe": {"time": {"mean": "9 s", "cv": 0.5}, "people": 0}}}
    ran = run_tables(raw)
    assert ran.events != base.events
    before, after = _times(base), _times(ran)
    common = before.keys() & after.keys()
    assert len(common) > 150
    assert {key: after[key] for key in common} == {key: before[key] for key in common}
    # A fault belongs to job and task, not to the moment.
    done = {job for job, task, _ in common if task == "B.screw"}
    faulty = [{row[0] for row in _rows(r, "fault", "job")} & done for r in (base, ran)]
    assert faulty[0] == faulty[1]
    assert faulty[0]


def test_failures_last_as_long_whatever_else_happens() -> None:
    """The k-th failure of a robot lasts as long as before, although it comes at another moment."""

    def lasts(events: tuple[Event, ...]) -> list[int]:
        fails = [e.time for e in events if e.what == "fail"]
        return [e.time - fails[k] for k, e in enumerate(e for e in events if e.what == "repaired")]

    raw = line()
    raw["station"]["A"]["task"]["frame"]["time"]["mean"] = "50 s"
    one, two = run_tables(line()), run_tables(raw)
    first, second = lasts(one.events), lasts(two.events)
    n = min(len(first), len(second))
    assert n > 2
    assert first[:n] == second[:n]
    assert _rows(one, "fail", "time") != _rows(two, "fail", "time")


def test_names_key_the_draws_and_places_do_not() -> None:
    """A robot, a crew and a station written before the others move every index and change no event."""
    raw = copy.deepcopy(line())
    raw["robot"] = {"idle": {}, **raw["robot"]}
    raw["crew"] = {"spare": {"people": 1, "covers": []}, **raw["crew"]}
    one, two = run_tables(line()), run_tables(raw)
    assert _rows(one, "task end", "time", "job", "task") == _rows(two, "task end", "time", "job", "task")
    assert one.ledger.jobs_out == two.ledger.jobs_out


_RUN = """
import hashlib
from linesim.draws.draws import Draws
from linesim.engine.run import run_line
from linesim.plan.build import build
from linesim.scenario import load
plan = build(load("scenarios/tractor/line.toml", sets=("run.length = '2 h'", "run.warm_up = '0 s'")))
events = []
ledger = run_line(plan, Draws(plan, 1, 1), events)
print(hashlib.sha256(repr((events, ledger)).encode()).hexdigest())
"""


def test_another_hash_seed_changes_nothing(root: Path) -> None:
    """Python's own random order of hashes has no say: the shipped line is the same in two processes."""
    prints = []
    for seed in ("1", "2"):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(root)}
        done = subprocess.run(
            [sys.executable, "-c", _RUN],
            env=environment,
            cwd=root,
            capture_output=True,
            text=True,
            check=True,
        )
        prints.append(done.stdout.strip())
    assert prints[0] == prints[1]
    assert len(prints[0]) == 64
