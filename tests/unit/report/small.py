"""A small line that has something of everything a page tells of, and what came of a few replications."""

import dataclasses
import tomllib
from functools import lru_cache

from linesim.plan.build import build
from linesim.questions.decision import decision_of
from linesim.questions.explain.study import walk
from linesim.questions.explain.work import assumptions
from linesim.questions.run.answer import document_of
from linesim.report.page_input import Told
from linesim.runs.result import Result
from linesim.runs.simulation import simulate
from linesim.scenario import Scenario, from_dict

LINE = """\
title = "Cell, lane and belt"
takt  = "60 s"
flow  = ["cell", "lane", "belt"]
[study]
question = "Does it make 55 an hour?"
decision = "Whether the belt gets one more operator."
[target]
jobs_per_shift = 55
[cost]
stop_minute = 20
currency    = "EUR"
[run]
length       = "5 h"
warm_up      = "30 min"
replications = 4
seed         = 5
shift        = "1 h"
[model.plain]
share = 0.7
[model.rich]
share = 0.3
[option.rack]
take = 0.5
[section.cell]
pacing   = "free"
stations = ["P1", "P2"]
[section.belt]
pacing   = "moving"
stations = ["K1", "K2"]
[section.belt.failure.chain]
every = { shape = "exponential", mean = "2 h", confidence = "guess", range = [0.5, 2.0] }
lasts = "3 min"
[buffer.lane]
capacity = 3
[bay.rework]
section = "belt"
places  = 1
waiting = 2
rejoin  = "out"
[station.K1]
late    = 0.2
call_at = 0.5
[robot.R1.failure.jam]
every = { shape = "exponential", mean = "1 h" }
lasts = { mean = "2 min", cv = 0.5, confidence = "estimated", source = "maintenance book (invented)" }
[tool.gun]
[crew.cell]
people = 1
covers = ["P2"]
[crew.belt]
people = 2
covers = ["K1", "K2"]
[crew.helper]
people   = 1
covers   = ["K1"]
floater  = true
response = "10 s"
[crew.mending]
people = 1
covers = ["rework"]
[station.P1.task.press]
robot = "R1"
time  = "50 s"
[station.P2.task.fit]
time = { mean = "45 s", cv = 0.2 }
tool = ["gun"]
[station.K1.task.bolt]
time     = { mean = "44 s", cv = 0.2 }
time_for = { rich = { mean = "62 s", cv = 0.2 } }
fault    = { chance = 0.06, found = "K2.check", right = "rework", repair = "4 min" }
[station.K1.task.rack]
time    = "14 s"
options = ["rack"]
after   = ["bolt"]
[station.K2.task.check]
time = { mean = "40 s", cv = 0.1 }
"""  #: A line with two kinds of section, a robot, a tool, a buffer, a bay, options, faults, calls and stops.


@lru_cache(maxsize=1)
def small_scenario() -> Scenario:
    """Return the line."""
    return from_dict(tomllib.loads(LINE))


@lru_cache(maxsize=2)
def small_result(replications: int = 4) -> Result:
    """Return what came of its first replications."""
    return simulate(small_scenario(), replications=replications, file="small.toml")


def small_told(replications: int = 4) -> Told:
    """Return everything that a page about the line tells of."""
    scenario = small_scenario()
    return Told(
        answer=document_of(
            build(scenario), small_result(replications), decision_of(small_result(replications), scenario)
        ),
        asked=(("Question", scenario.study.question or ""), ("Decision", scenario.study.decision or "")),
        assumptions=assumptions(scenario),
        walk=walk(scenario),
        command="linesim report small.toml -o report.html",
    )


def renamed(told: Told, names: dict[str, str]) -> Told:
    """Return the same line with other names of things, also ones that no scenario could give."""

    def new(text: str) -> str:
        head, dot, rest = text.partition(".")
        return names.get(text, names.get(head, head) + dot + rest)

    every = {f.name: tuple(map(new, getattr(told.plan.names, f.name)))
             for f in dataclasses.fields(told.plan.names)}  # fmt: skip
    plan = dataclasses.replace(told.plan, names=dataclasses.replace(told.plan.names, **every))
    result = dataclasses.replace(
        told.result,
        run=dataclasses.replace(told.result.run, sections=tuple(map(new, told.result.run.sections))),
        labels=tuple(
            label._replace(where=new(label.where), cause=new(label.cause)) for label in told.result.labels
        ),
        measures=tuple(
            row._replace(where=new(row.where), cause=new(row.cause)) for row in told.result.measures
        ),
    )
    return dataclasses.replace(told, answer=document_of(plan, result, told.answer.decision))
