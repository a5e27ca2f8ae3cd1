"""The run and the question behind it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from linesim.scenario.base import Count, Count1, Dur, Name, Number, Record
from linesim.scenario.line import NO_TIME
from linesim.ticks import Duration


class Run(Record):
    """How long to simulate, how often, and from which state."""

    length: Dur = Field(description='Time that is measured, after the warm-up: `"5 shifts"` or `"40 h"`.')
    warm_up: Dur = Field(NO_TIME, description="Time before measuring begins.")
    replications: Count1 = Field(20, description="Independent repetitions.")
    seed: Count = Field(
        1, description="Number from which all draws are derived; the same seed, the same output."
    )
    shift: Dur = Field(
        Duration(8.0, "h", 28_800.0),
        description="Length of a shift where no calendar gives one; also per-shift figures.",
    )
    start: Literal["empty", "full"] = Field(
        "empty",
        description="State at the beginning: `empty`, or `full` (a job in each pitch, buffers at their "
        "level).",
    )
    calendar: Name | None = Field(
        None,
        description="Calendar of everything that names none of its own; default: the only calendar of "
        "the scenario, or "
        "uninterrupted working time if there is none.",
    )
    limit_factor: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=1, le=1e12)] = Field(
        1.0,
        description="Factor on the limits of size (people, places, shifts, tasks) that catch slips of the "
        "pen; changes no figure.",
    )


class Study(Record):
    """The question, in words; printed at the top of every report."""

    question: str | None = Field(None, description="What is asked.", max_length=2000)
    decision: str | None = Field(None, description="What will be decided by the answer.", max_length=2000)
    owner: str | None = Field(None, description="Who asks.", max_length=200)
    date: str | None = Field(None, description="When.", max_length=200)


class Target(Record):
    """What the plan asks of the line."""

    jobs_per_shift: Number | None = Field(
        None, description="Jobs per shift; the share of shifts that meet it is reported.", ge=0
    )


class Cost(Record):
    """Money, for answers such as what one more operator buys."""

    operator_per_shift: Number | None = Field(None, description="Cost of one operator for a shift.", ge=0)
    margin_per_job: Number | None = Field(None, description="What one more job brings.")
    stop_minute: Number | None = Field(None, description="Cost of a minute of line stop.", ge=0)
    currency: str | None = Field(None, description="Word or sign of the money, such as `EUR`.", max_length=20)
