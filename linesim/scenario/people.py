"""People, and what they share at a job."""

from __future__ import annotations

from pydantic import Field, model_validator

from linesim.scenario.base import Count, Count1, Dur, Flag, Name, Names, Record, refuse
from linesim.scenario.line import NO_TIME


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

    @model_validator(mode="after")
    def _one_way_to_walk(self) -> Crew:
        if self.walk_speed is not None and self.walk.seconds > 0:
            refuse("one-of", "a crew takes one of `walk` and `walk_speed`.")
        return self


class Zone(Record):
    """A side or area of the job with room for few people at once."""

    people: Count1 = Field(description="Room for so many people at once on each job.")
