"""Working time: shifts, breaks and days."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from linesim.scenario.base import Record

Day = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
DAYS: tuple[Day, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
Span = Annotated[str, Field(pattern=r"^([01]\d|2[0-3]):[0-5]\d-(([01]\d|2[0-3]):[0-5]\d|24:00)$")]


class Calendar(Record):
    """Shifts with breaks. Day 1 is a Monday; a shift may cross midnight."""

    shifts: tuple[Span, ...] = Field(
        description='Shifts as `"06:00-14:00"`, in the order of the day; `"22:00-06:00"` crosses '
        "midnight and "
        "belongs to the day on which it begins.",
        min_length=1,
    )
    breaks: tuple[Span, ...] = Field((), description='Breaks inside the shifts as `"09:00-09:15"`.')
    days: tuple[Day, ...] = Field(
        DAYS, description="Days on which the shifts begin; default: all seven.", min_length=1
    )
