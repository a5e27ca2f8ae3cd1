"""People, robots and tools, and what interrupts them, the conveyor, a station or the plant."""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag, model_validator

from linesim.scenario.base import (
    MOST,
    NO_TIME,
    Count,
    Count1,
    Dur,
    Flag,
    Name,
    Names,
    Record,
    Share,
    Table,
    Weighed,
    default_table,
    refuse,
)
from linesim.scenario.times import Time

Jobs = Annotated[int, Field(strict=True, ge=1, le=MOST)]


def _time_or_jobs(value: Any) -> str:
    return "jobs" if isinstance(value, int) and not isinstance(value, bool) else "time"


Every = Annotated[Annotated[Time, Tag("time")] | Annotated[Jobs, Tag("jobs")], Discriminator(_time_or_jobs)]
"""A time, or a whole number of jobs."""


class Breakdown(Weighed):
    """One way to fail: how often, for how long, and who mends it."""

    every: Every = Field(
        description='Time from the end of one to the beginning of the next; with `per = "jobs"` a whole '
        "number of jobs.",
    )
    lasts: Time = Field(description="How long it lasts once somebody works on it.")
    per: Literal["running", "calendar", "jobs"] = Field(
        "running",
        description="What `every` counts: `running` (time in operation), `calendar` (all time), `jobs` "
        "(jobs done).",
    )
    repaired_by: Name | None = Field(
        None, description="Crew whose people are needed for the repair; default: it mends without them."
    )
    people: Count1 = Field(1, description="People of `repaired_by` that one repair needs.")

    @model_validator(mode="after")
    def _counts_what_it_says(self) -> Breakdown:
        if (self.per == "jobs") != isinstance(self.every, int):
            right = (
                "a whole number of jobs" if self.per == "jobs" else 'a time, such as "3 h", or per = "jobs"'
            )
            refuse("one-of", f'with per = "{self.per}", `every` must be {right}.')
        return self


class Outage(Breakdown):
    """A time in which supply or removal does not work; it comes by the calendar."""

    per: Literal["calendar"] = Field(
        "calendar", description="What `every` counts: `calendar` (all time), nothing else."
    )


MOST_REPETITIONS = 20_000  #: Learning that takes longer is none.


class Learning(Record):
    """New people of a crew, who are slower until they have done a task often enough.

    The n-th time that a new person does a task takes `first * n ** log2(rate)` times as long as the task's
    time, and no less than once; who works at a task with others sets their pace too. Counted by person and
    task from the beginning of the run, warm-up included.
    """

    new: Count1 = Field(description="How many of the crew's people are new: the last by number.")
    first: float = Field(
        description="How many times as long a task takes them the first time, more than 1 to 10.",
        strict=True, gt=1, le=10,
    )  # fmt: skip
    rate: float = Field(
        description="What every doubling of the repetitions multiplies their time by: 0.8 is 20 % less.",
        strict=True, ge=0.5, lt=1,
    )  # fmt: skip
    done: Count = Field(0, description="How often they have done each task before the run.")

    @property
    def repetitions(self) -> int:
        """How often a task is done until it takes no longer than its time."""
        return math.ceil(math.pow(self.first, -1 / math.log2(self.rate)) - 1e-9)

    @model_validator(mode="after")
    def _comes_to_an_end(self) -> Learning:
        if math.log(self.first) > -math.log2(self.rate) * math.log(MOST_REPETITIONS):
            refuse(
                "out-of-range",
                f"from {self.first:g} times as long at a rate of {self.rate:g} nobody is as quick as the "
                f"others within {MOST_REPETITIONS} repetitions; begin lower or learn faster.",
            )
        return self


class Crew(Record):
    """People who cover named stations and bays."""

    people: Count = Field(description="How many people.")
    covers: Names = Field((), description="Stations and bays where they work; technicians may cover none.")
    walk: Dur = Field(
        NO_TIME,
        description="Time to turn to another job; or give `walk_speed`. Nobody walks between stations of the "
        "same job, nor to their first one.",
    )
    walk_speed: float | None = Field(
        None,
        description="Walking speed as a multiple of the conveyor's speed, more than 1; only where every "
        "station covered is in a `moving` section.",
        strict=True,
        gt=1,
        le=1000,
    )
    calendar: Name | None = Field(None, description="Calendar of the crew; default: that of the run.")
    floater: Flag = Field(False, description="Whether they come only when a station calls.")
    response: Dur = Field(NO_TIME, description="Time from a call to their arrival; floaters only.")
    absence: Share = Field(
        0.0,
        description="Chance that a person of the crew is away for a shift, drawn for each person and shift "
        "of the crew's calendar. Who is away is not on duty; what somebody has begun is ended first.",
        lt=1,
    )
    learning: Learning | None = Field(None, description="New people of the crew, who are slower at first.")

    @model_validator(mode="after")
    def _one_way_to_walk(self) -> Crew:
        if self.walk_speed is not None and self.walk.seconds > 0:
            refuse("one-of", "a crew takes one of `walk` and `walk_speed`.")
        return self


class Zone(Record):
    """A side or area of the job with room for few people at once."""

    people: Count1 = Field(description="Room for so many people at once on each job.")


class Robot(Record):
    """Automatic equipment at a station."""

    calendar: Name | None = Field(None, description="Calendar of the robot; default: that of the run.")
    failure: Table[Breakdown] = Field(
        default_factory=default_table, description="Ways in which it fails, by name."
    )


class Tool(Record):
    """Shared equipment, held while a task lasts."""

    count: Count1 = Field(1, description="How many there are.")
