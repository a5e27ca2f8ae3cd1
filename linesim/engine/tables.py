"""The tables of a line while it runs: one record a thing, whole numbers in every field.

A table is a list of the records below where Python runs the rules, and an array of the same fields where they
are compiled; ``s.stations[k].n_running`` reads the same in both. References are indices, NONE for nothing.
A field is an ``Index`` (a place in a table, a count, yes or no: 32 bits in an array), an ``int`` (time, and
numbers that are given out without end: 64 bits) or a ``float``.
Lists are linked through ``next`` fields, from the first to the last in the order that each list says.
Records of what comes and goes (jobs, visits, pieces, items) lie in pools: a slot given back is used again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from linesim.engine.job_records import (
    ColumnRecord,
    Entry,
    FaultRecord,
    Item,
    Job,
    Level,
    Piece,
    RowRecord,
    Step,
    TaskRecord,
    Visit,
    WorkRecord,
)
from linesim.engine.line_records import (
    Account,
    BayRecord,
    BufferRecord,
    CalendarRecord,
    CarrierRecord,
    CrewRecord,
    ElementRecord,
    GateRecord,
    HoursRecord,
    Mode,
    Operator,
    RobotRecord,
    SectionRecord,
    StationRecord,
    ToolRecord,
)

Function = TypeVar("Function", bound=Callable[..., object])

# What an element of the line is.
SUPPLY, REMOVAL, SCRAP, BUFFER, PACED, STALLS, BAY, JOIN = range(8)

# What a piece of work is for, and how far it has come.
TASK, OPEN_WORK = range(2)
READY, COMING, RUNNING, PAUSED, DONE = range(5)

# How far a task of a visit is: waits for earlier work, ready or begun, done (or not to be done here).
WAITS, BEGUN, OVER = range(3)

# What rules are asked to do between instants: begin the run, and book everything up to now.
START, BOOK = range(1, 3)

# Why the loop comes back: the next moment is reached, a pool fills up, jobs pass without end, a fill failed.
GOES_ON, GROW, ENDLESS, FAILED, FULL = range(5)


@dataclass(slots=True, eq=False, repr=False)
class World:
    """What there is once."""

    now: int = 0
    moved: int = 0  #: when a job last came on, and when work on one last began, paused or ended
    serial: int = 0  #: last number given out to a timer, a job or a call; never repeats
    watch: int = 0  #: 1 if events are written
    status: int = 0
    n_events: int = 0
    n_timers: int = 0
    asked: int = 0  #: what the loop is to do in place of letting instants pass, 0 for nothing
    begins: int = 0  #: 1 until the first instant is over, in which nothing is due
    begin_levels: int = -1  #: in ``ints``: jobs in each buffer at the start of a line that starts full
    callback: int = 0  #: address that fills columns, where compiled
    # sizes
    n_sections: int = 0
    n_stations: int = 0
    n_elements: int = 0
    n_buffers: int = 0
    n_bays: int = 0
    n_crews: int = 0
    n_operators: int = 0
    n_calendars: int = 0
    n_accounts: int = 0
    n_robots: int = 0
    n_modes: int = 0
    n_carriers: int = 0
    n_feeders: int = 0
    n_tasks: int = 0
    n_causes: int = 0
    n_faults: int = 0
    n_zones: int = 0
    most_tasks: int = 0  #: of one station
    job_cells: int = 0  #: cells of one job
    scrap: int = 0  #: its element
    supply: int = 0  #: gates
    removal: int = 0
    gap_supply: int = 0  #: columns
    gap_removal: int = 0
    # pools: first free slot, and slots ever used
    free_job: int = -1
    used_jobs: int = 0
    free_visit: int = -1
    used_visits: int = 0
    free_piece: int = -1
    used_pieces: int = 0
    free_item: int = -1
    used_items: int = 0
    # touched in this instant: first of each list
    woken: int = -1
    look: int = -1
    changed_station: int = -1
    changed_crew: int = -1
    changed_robot: int = -1
    n_changed_sections: int = 0
    has_moved: int = 0  #: 1 if jobs may go another way: something was woken or regulated, or a gate shut
    n_repairs: int = 0  #: modes that wait for people
    first_call: int = -1
    last_call: int = -1
    epoch: int = 0  #: 0 in the warm-up, then 1: in which accounts a call counts
    # counts
    last_out: int = -1
    n_at_once: int = 0  #: jobs in a row that passed the whole line in one instant
    n_inside: int = 0
    inside: int = 0  #: account
    jobs_in: int = 0
    jobs_out: int = 0
    jobs_scrapped: int = 0
    first_time: int = 0
    reworked: int = 0
    escaped: int = 0
    out_of_sequence: int = 0
    lead_time: int = 0
    lead_time_clock: int = 0
    bay_put_right: int = 0
    n_steps: int = 0  #: levels of bays noted down and not yet fetched


class PoolsFull(Exception):  # noqa: N818 - not an error: the run begins anew with more room
    """A table was full in the middle of an instant, where compiled code cannot wait for a larger one."""


class State:
    """All tables of a line."""

    __slots__ = (
        "accounts", "agenda", "bays", "buffers", "calendars", "carriers", "cells", "chances", "columns",
        "crews", "drawn", "due", "elements", "events", "faults", "gates", "hours", "ints", "items", "jobs",
        "levels", "links", "modes", "operators", "outside", "pieces", "robots", "room", "sections",
        "stations", "steps", "tasks", "ticks", "timers", "tools", "visits", "w", "works",
    )  # fmt: skip

    w: list[World]
    sections: list[SectionRecord]
    stations: list[StationRecord]
    elements: list[ElementRecord]
    buffers: list[BufferRecord]
    bays: list[BayRecord]
    gates: list[GateRecord]
    crews: list[CrewRecord]
    operators: list[Operator]
    robots: list[RobotRecord]
    tools: list[ToolRecord]
    modes: list[Mode]
    calendars: list[CalendarRecord]
    hours: list[HoursRecord]  #: the first are those of the segment
    accounts: list[Account]
    carriers: list[CarrierRecord]
    jobs: list[Job]
    visits: list[Visit]
    pieces: list[Piece]
    items: list[Item]
    tasks: list[TaskRecord]
    faults: list[FaultRecord]
    steps: list[Step]
    works: list[WorkRecord]
    columns: list[ColumnRecord]
    agenda: list[Entry]
    timers: list[Entry]
    due: list[Entry]
    events: list[RowRecord]
    levels: list[Level]
    chances: list[float]  #: of each fault by variant: row ``variant * n_faults + fault``
    ints: list[int]  #: rows of indices, as the records say
    links: list[int]  #: rows of tasks, as works and steps say
    cells: list[int]  #: small tables of jobs and visits
    ticks: list[int]  #: time accounts
    drawn: list[int]  #: blocks of draws
    room: list[int]  #: slots of each table that grows, where compiled
    outside: Any  #: where Python runs the rules: what sets timers, makes room and draws


def rule(function: Function) -> Function:
    """Mark ``function`` as a rule and return it as it is.

    A rule reads and writes the tables of a line and nothing else. It is written in the part
    of Python that numba compiles: whole numbers, records by index, no texts, lists, dictionaries or closures,
    no rule that calls itself, not even through others. `linesim.engine.compiled` collects the rules by this
    mark, so that numba is loaded only where it is used.
    """
    function.is_rule = True  # type: ignore[attr-defined]
    return function
