"""The ends of the segment: how jobs come, how they go, and where faulty ones are put right."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from linesim.scenario.base import Count, Count1, Name, Record, Table, default_table
from linesim.scenario.breakdowns import Outage
from linesim.scenario.shapes import Sample
from linesim.scenario.times import Time
from linesim.scenario.weights import Chance, Odds


class Supply(Record):
    """How jobs come to the first section. Without `every` and `file` one is always waiting."""

    every: Time | None = Field(None, description="Time between two jobs; default: no limit.")
    file: str | None = Field(
        None, description="Table with a column `at_s`: moments at which a job comes [s]."
    )
    at_s: tuple[Sample, ...] = Field(
        (), description="Moments at which a job comes [s from the beginning]; filled from `file`."
    )
    outage: Table[Outage] = Field(
        default_factory=default_table,
        description="Times in which nothing comes, by name; counted by the calendar.",
    )


class Removal(Record):
    """How jobs are taken from the end of the line. Without `every` and `file` at once."""

    every: Time | None = Field(None, description="Time between two removals; default: no limit.")
    file: str | None = Field(
        None, description="Table with a column `at_s`: moments at which a job is taken [s]."
    )
    at_s: tuple[Sample, ...] = Field(
        (), description="Moments at which a job may be taken [s from the beginning]; filled from `file`."
    )
    outage: Table[Outage] = Field(
        default_factory=default_table,
        description="Times in which nothing is taken, by name; counted by the calendar.",
    )


class Bay(Record):
    """Off-line rework places where faulty or unfinished jobs are put right."""

    section: Name = Field(description="Section at whose end it takes flagged jobs.")
    waiting: Count = Field(0, description="Places in which jobs wait.")
    places: Count1 = Field(1, description="Jobs that can be worked on at once.")
    people: Count1 = Field(1, description="People that one job needs, from the crews that cover the bay.")
    rejoin: Name = Field(
        description="Buffer where a job rejoins the line, or `out`: it leaves as finished. The buffer has at "
        "least one place: a section takes jobs at its own moments, and until then one that comes back needs "
        "room beside those of the line. A ring in which the bay hands straight to a section cannot be said; "
        "a buffer of one place comes nearest."
    )
    max_passes: Count1 | None = Field(
        None, description="A job that would come here more often than this is scrapped; default: never."
    )
    on_full: Literal["hold", "carry on"] = Field(
        "hold",
        description="When the bay is full: `hold` (the job blocks the section's end) or `carry on` (the "
        "fault leaves with the job and is counted).",
    )
    success: Odds = Field(
        default_factory=lambda: Chance(value=1.0),
        description="Chance that a repair works, 0 to 1; default 1.",
    )
