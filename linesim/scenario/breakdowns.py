"""Breakdowns: what interrupts a robot, a conveyor, a station or the plant around the line."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag, model_validator

from linesim.scenario.base import MOST, Count1, Name, refuse
from linesim.scenario.times import Time
from linesim.scenario.weights import Weighed

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
