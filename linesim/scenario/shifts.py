"""Working time: shifts, breaks and days."""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import Field, PlainValidator, WithJsonSchema

from linesim.scenario.base import Record, refuse
from linesim.scenario.suggest import shown

Day = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
DAYS: tuple[Day, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
DAY_MIN = 24 * 60  #: Minutes of a day.
WEEK_MIN = 7 * DAY_MIN  #: Minutes of a week.
_SPAN = re.compile(r"([01]\d|2[0-3]):([0-5]\d)-(?:([01]\d|2[0-3]):([0-5]\d)|24:00)", re.ASCII)


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
    PlainValidator(as_span),
    WithJsonSchema(
        {"type": "string", "pattern": r"^([01]\d|2[0-3]):[0-5]\d-(([01]\d|2[0-3]):[0-5]\d|24:00)$"}
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
