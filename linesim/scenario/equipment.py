"""Equipment: robots and shared tools."""

from __future__ import annotations

from pydantic import Field

from linesim.scenario.base import Count1, Name, Record, Table, default_table
from linesim.scenario.breakdowns import Breakdown


class Robot(Record):
    """Automatic equipment at a station."""

    calendar: Name | None = Field(None, description="Calendar of the robot; default: that of the run.")
    failure: Table[Breakdown] = Field(
        default_factory=default_table, description="Ways in which it fails, by name."
    )


class Tool(Record):
    """Shared equipment, held while a task lasts."""

    count: Count1 = Field(1, description="How many there are.")
