"""The run, its working time, and the question behind it."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Annotated, Literal

from pydantic import Field

from linesim.scenario.base import (
    NO_TIME,
    Count,
    Count1,
    Dur,
    Name,
    Number,
    ReadBy,
    Record,
    Table,
    default_table,
    refuse,
)
from linesim.scenario.problems import shown
from linesim.ticks import Duration

Day = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
DAYS: tuple[Day, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
DAY_MIN = 24 * 60  #: Minutes of a day.
WEEK_MIN = 7 * DAY_MIN  #: Minutes of a week.
_SPAN = re.compile(r"([01]\d|2[0-3]):([0-5]\d)-(?:([01]\d|2[0-3]):([0-5]\d)|24:00)", re.ASCII)


@lru_cache
def minutes_of(span: str) -> tuple[int, int] | None:
    """Return begin and end of a span in minutes from midnight, the end after the begin.

    Args:
        span: Text such as `"22:00-06:00"`; an end before its begin lies on the next day.

    Returns:
        The minutes, the second up to 48 h; `None` if the text is no span.

    Examples:
        >>> minutes_of("06:00-14:00"), minutes_of("22:00-06:00")
        ((360, 840), (1320, 1800))
    """
    found = _SPAN.fullmatch(span)
    if not found:
        return None
    begin = 60 * int(found[1]) + int(found[2])
    end = DAY_MIN if found[3] is None else 60 * int(found[3]) + int(found[4])
    if begin == end:
        return None
    return begin, end if end > begin else end + DAY_MIN


def as_span(value: object) -> str:
    """Return a text that is a span of a day; refuse any other value."""
    if isinstance(value, str) and minutes_of(value):
        return value
    refuse("bad-span", f'{shown(value)} is no span of a day; write begin and end such as "06:00-14:00".')


Span = Annotated[
    str,
    ReadBy(
        as_span,
        {"type": "string", "pattern": r"^([01]\d|2[0-3]):[0-5]\d-(([01]\d|2[0-3]):[0-5]\d|24:00)$"},
    ),
]
"""A span of a day, such as `06:00-14:00`."""


class Calendar(Record):
    """Shifts with breaks. Day 1 is a Monday; a shift may cross midnight."""

    shifts: tuple[Span, ...] = Field(
        description='Shifts as `"06:00-14:00"`, in the order of the day; `"22:00-06:00"` crosses midnight '
        "and belongs to the day on which it begins.",
        min_length=1,
    )
    breaks: tuple[Span, ...] = Field((), description='Breaks inside the shifts as `"09:00-09:15"`.')
    days: tuple[Day, ...] = Field(
        DAYS, description="Days on which the shifts begin; default: all seven.", min_length=1
    )


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
        description="Calendar of everything that names none of its own; default: the only calendar of the "
        "scenario, or uninterrupted working time if there is none.",
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


class Premium(Record):
    """Hours in which people cost more: nights, weekends. Hours under two premiums cost both."""

    hours: Span = Field(description='Hours of the day as `"22:00-06:00"`.')
    days: tuple[Day, ...] = Field(
        DAYS, description="Days on which these hours begin; default: all seven.", min_length=1
    )
    share: Number = Field(description="What is paid on top, as a share: 0.25 is a quarter more.", ge=0, le=10)


class Cost(Record):
    """Money, for answers such as what one more operator buys.

    Net money a shift is jobs times their margin, less the minutes of own stops, people and equipment at
    their prices; what has no price is left out. A study that compares lines counts the change of a
    section's own minutes only as far as it stands longer or shorter at all, replication by replication:
    a minute of own stop that takes the place of one passed on costs nothing.
    """

    operator_per_shift: Number | None = Field(
        None,
        description="Cost of one operator for a shift of the operator's calendar, floaters included.",
        ge=0,
    )
    margin_per_job: Number | None = Field(None, description="What one more job brings.")
    stop_minute: Number | None = Field(
        None,
        description="Cost of a minute of stop that begins on the line itself (`own_stop`), besides the jobs "
        "that are not made; never charged for what a section only passes on.",
        ge=0,
    )
    buffer_place_per_shift: Number | None = Field(
        None, description="Cost of one place of a buffer for a shift.", ge=0
    )
    robot_per_shift: Number | None = Field(None, description="Cost of one robot for a shift.", ge=0)
    tool_per_shift: Number | None = Field(None, description="Cost of one piece of a tool for a shift.", ge=0)
    equipment: Table[Number] = Field(
        default_factory=default_table,
        description="Cost of single robots, tools (one piece) and buffers (one place) for a shift, by their "
        "names, instead of the cost of their kind: `{ R1 = 85, lane = 4 }`.",
    )
    premium: Table[Premium] = Field(
        default_factory=default_table, description="Hours in which people cost more, by name."
    )
    currency: str | None = Field(None, description="Word or sign of the money, such as `EUR`.", max_length=20)
