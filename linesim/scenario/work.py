"""Work: tasks and the faults that they leave."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import Field, model_validator

from linesim.scenario.base import (
    Chance,
    Confidence,
    Count,
    Count1,
    Flag,
    Name,
    Names,
    Odds,
    Opened,
    Record,
    Table,
    Texts,
    Weighed,
    default_table,
)
from linesim.scenario.times import Time


def _always() -> Chance:
    return Chance(value=1.0)


class Fault(Weighed):
    """A defect that a task may leave, where it is found and where it is put right."""

    chance: Odds = Field(description="Chance that the task leaves it, 0 to 1.")
    chance_for: Table[Odds] = Field(
        default_factory=default_table,
        description="Other chances by option or model; the first match in file order holds.",
    )
    found: str = Field(
        "at once",
        description="Where it is found: `at once`, a station, or a task there as `station.task`; of a unit "
        "built on a feeder also on the main line, where it is part of a job.",
    )
    detect: Odds = Field(
        default_factory=_always, description="Chance that it is found there, 0 to 1; default 1."
    )
    tries: Count1 = Field(
        1,
        description='With `found = "at once"`: the task is redone up to this many times, the first time not '
        "counted (with 2 it is done three times at most); a fault left after that goes to `right`.",
    )
    right: Name = Field(
        "there",
        description="Where it is put right: `there` (where it was found), a station or a bay; or `scrap`: "
        "the job is given up, and taken off at the end of the section in which the fault was found.",
    )
    repair: Time | None = Field(
        None,
        description="Work to put it right; none where the job is scrapped. It may be left out where the "
        "fault is found at once and put right there: redoing the task is the repair then.",
    )


def _name_faults(value: Any) -> Any:
    """Read a single fault as a table with one fault, whose name is `fault`."""
    if isinstance(value, Fault) or (isinstance(value, Mapping) and set(value) & set(Fault.model_fields)):
        return {"fault": value}
    return value


Faults = Annotated[
    Table[Fault], Opened(_name_faults, lambda several: (*several["patternProperties"].values(), several))
]
"""Faults by name; one alone may stand without a name and is called `fault`."""


class Task(Record):
    """One piece of work at a station."""

    title: str = Field("", description="What it is, in words.", max_length=200)
    time: Time = Field(description="How long it takes.")
    time_for: Table[Time] = Field(
        default_factory=default_table,
        description="Other times by option or model; the first match in file order holds.",
    )
    crew: Names = Field(
        (), description="Crew, or crews, whose people may do it; default: every crew that covers the station."
    )
    people: Count = Field(
        1, description="People it needs at once; default 1, or 0 where a `robot` and no `crew` is given."
    )
    robot: Names = Field((), description="Robot that does it; several work together, at the same time.")
    tool: Names = Field((), description="Shared tool, or tools, held while it lasts.")
    zone: Name | None = Field(None, description="Zone of the job in which its people work; default: none.")
    after: Texts = Field(
        (),
        description="Tasks that must be done before: of this station, or of another as `station.task`. The "
        "order carries through a task that the job does not have: with A before B before C, a job without "
        "B has A before C.",
    )
    options: Names = Field((), description="Options that all must be present for the task to be done.")
    unless: Names = Field((), description="Options none of which may be present.")
    models: Names = Field((), description="Models that need the task; default: all.")
    at: Name | None = Field(
        None,
        description="Station at which it is done, where that is another one than it stands under; its name "
        "stays `station.task` with the station it stands under.",
    )
    fixed: Flag = Field(
        False, description="Whether it has to stay where it is when `linesim rebalance` moves tasks."
    )
    again: Flag = Field(
        False,
        description="Whether it is done again on every pass through the station, as tests are after rework.",
    )
    fault: Faults = Field(
        default_factory=default_table, description="Fault that it may leave: one table, or several by name."
    )
    source: str | None = Field(None, description="Where the task's figures come from.", max_length=500)
    confidence: Confidence | None = Field(
        None, description="How well the task's time is known, where the time itself does not say."
    )

    @model_validator(mode="before")
    @classmethod
    def _robot_alone(cls, data: Any) -> Any:
        if isinstance(data, Mapping) and data.get("robot") and not data.get("crew") and "people" not in data:
            return {**data, "people": 0}
        return data
