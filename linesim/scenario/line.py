"""The line itself: sections, stations, buffers, carriers, what feeds into it, and its ends."""

from __future__ import annotations

from typing import Annotated, Literal, NamedTuple

from pydantic import Field

from linesim.scenario.base import (
    NO_TIME,
    Chance,
    Count,
    Count1,
    Dur,
    Name,
    Names,
    Odds,
    Record,
    Share,
    Table,
    default_table,
    or_percent,
)
from linesim.scenario.people import Breakdown, Outage
from linesim.scenario.shapes import Sample
from linesim.scenario.times import Time
from linesim.scenario.work import Task

Reach = Annotated[float, or_percent(0, 10), Field(strict=True, ge=0, le=10)]


class Section(Record):
    """Stations that share one conveyor and stop together."""

    pacing: Literal["moving", "indexed", "free"] = Field(
        description="How jobs move: `moving` (continuous conveyor), `indexed` (all jobs step together), "
        "`free` (each station hands on by itself)."
    )
    stations: Names = Field(description="Names of the stations, in line order.")
    takt: Dur | None = Field(
        None, description="Planned time between two jobs leaving this section; default: the takt of the line."
    )
    transfer: Dur = Field(
        NO_TIME,
        description="Time of one move, part of the takt, in which no task runs; `indexed` sections only.",
    )
    on_gap: Literal["pass", "wait"] = Field(
        "pass",
        description="When no job waits at a pitch mark: `pass` leaves an empty place, `wait` stops the "
        "section until a job comes.",
    )
    calendar: Name | None = Field(None, description="Calendar of this section; default: that of the run.")
    failure: Table[Breakdown] = Field(
        default_factory=default_table,
        description="Ways in which the conveyor fails; stops have cause `breakdown`.",
    )
    disturbance: Table[Breakdown] = Field(
        default_factory=default_table,
        description="Other ways in which the section stops; the name is the cause.",
    )


class Station(Record):
    """A work area that holds one job (in a free section: `places` jobs)."""

    title: str = Field("", description="What it is, in words.", max_length=200)
    early: Share = Field(
        0.0,
        description="How far before its border the crew may begin, as a share of a takt, 0 to 1; "
        "`moving` sections only.",
    )
    late: Reach = Field(
        0.0,
        description="How far past its far border the crew may finish, as a share of a takt; `moving` "
        "sections only.",
    )
    on_limit: Literal["stop", "pass"] = Field(
        "stop",
        description="At the limit with work still open: `stop` halts the section until it is done, `pass` "
        "lets the job go with open work.",
    )
    open_to: Name | None = Field(
        None,
        description='Station or bay that does the open work of jobs passed on (`on_limit = "pass"`); '
        "default: the "
        "first bay downstream.",
    )
    places: Count1 = Field(1, description="Jobs that can be worked on side by side; `free` sections only.")
    call_at: Share | None = Field(
        None,
        description="Share of the station's window, 0 to 1, at which it calls for help if the expected "
        "remaining work does not fit; default: it never calls. The window is the time from the job's entry "
        "to the limit, with `late` and without `transfer`; work begun `early`, before the entry, is no part "
        "of it.",
    )
    disturbance: Table[Breakdown] = Field(
        default_factory=default_table,
        description="Ways in which work here is interrupted, such as `parts`; the name is the cause of "
        "the stop.",
    )
    task: Table[Task] = Field(default_factory=default_table, description="Tasks of the station, by name.")


class Placed(NamedTuple):
    """A task with its name and where it is done.

    Attributes:
        station: Station that it stands under, the first part of its name.
        name: Second part of its name.
        at: Station at which it is done.
        task: The task.
    """

    station: str
    name: str
    at: str
    task: Task

    @property
    def full_name(self) -> str:
        """Its name on the line, ``station.task``."""
        return f"{self.station}.{self.name}"


class Buffer(Record):
    """Places between two sections, first in, first out."""

    capacity: Count = Field(description="Places; 0 is direct handover (then `travel` does not apply).")
    travel: Dur = Field(
        NO_TIME, description="Time from entering to being ready to leave; a job takes a place meanwhile."
    )
    level: Count | None = Field(
        None,
        description='Jobs in it at the beginning if `run.start = "full"`; default: half its places, '
        "rounded down.",
    )


class Carrier(Record):
    """Skillets, hangers or trays that travel with the jobs and return empty."""

    count: Count1 = Field(description="How many there are.")
    boards: Name = Field(description="Section whose first station takes a carrier for each job.")
    leaves: Name = Field(description="Section at whose end the carrier is released.")
    returns: Dur = Field(description="Time from release until the carrier can board again.")


class Feeder(Record):
    """A short line of its own that delivers one unit for each job of the main line."""

    flow: Names = Field(description="Sections and buffers of the feeder, in its line order.")
    joins: Name = Field(
        description="Section of the main line, or a station of one: each job takes one unit as it boards "
        "that section."
    )


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
        default_factory=lambda: Chance.model_construct(value=1.0),
        description="Chance that a repair works, 0 to 1; default 1.",
    )
