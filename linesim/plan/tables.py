"""The tables of a plan: read-only arrays, one class a family of things, one array a property."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate, chain, pairwise

import numpy as np
from numpy.typing import NDArray

IntArray = NDArray[np.int64]
FloatArray = NDArray[np.float64]


def int_array(values: Iterable[int]) -> IntArray:
    """Return ``values`` as a read-only int64 array of shape ``(n,)``."""
    array = np.array(list(values), dtype=np.int64)
    array.flags.writeable = False
    return array


def float_array(values: Iterable[float]) -> FloatArray:
    """Return ``values`` as a read-only float64 array of shape ``(n,)``."""
    array = np.array(list(values), dtype=np.float64)
    array.flags.writeable = False
    return array


@dataclass(frozen=True, eq=False, repr=False)
class Ragged:
    """A table whose rows differ in length, kept as two flat arrays.

    Row ``i`` is ``values[starts[i]:starts[i + 1]]``; ``starts`` has one entry more than
    there are rows.
    """

    starts: IntArray
    values: IntArray

    @classmethod
    def of(cls, rows: Sequence[Iterable[int]]) -> Ragged:
        """Return the ragged table of ``rows``."""
        lists = [list(row) for row in rows]
        return cls(int_array(accumulate(map(len, lists), initial=0)), int_array(chain.from_iterable(lists)))

    def __len__(self) -> int:
        return len(self.starts) - 1

    def __getitem__(self, row: int) -> IntArray:
        """Return row ``row``, shape ``(length of the row,)``."""
        return self.values[self.starts[row] : self.starts[row + 1]]

    def tolists(self) -> list[list[int]]:
        """Return the rows as lists of Python integers, for loops that run in Python."""
        values, starts = self.values.tolist(), self.starts.tolist()
        return [values[a:b] for a, b in pairwise(starts)]


NONE = -1  #: "no such thing" wherever an index is expected

MOVING, INDEXED, FREE = 0, 1, 2  #: how a section is paced
SECTION, BUFFER = 0, 1  #: what an element of the flow is
AT_ONCE, AT_STATION, AT_TASK = 0, 1, 2  #: where a fault is found
THERE, IN_STATION, IN_BAY, SCRAP = 0, 1, 2, 3  #: where a found fault is put right, if it is
ROBOT, CONVEYOR, STATION, SUPPLY, REMOVAL = 0, 1, 2, 3, 4  #: what a failure mode befalls
RUNNING, CALENDAR, JOBS = 0, 1, 2  #: what a failure mode counts


@dataclass(frozen=True, eq=False, repr=False)
class Sections:
    """Stretches of line that move together; all times in ticks."""

    pacing: IntArray
    takt: IntArray
    transfer: IntArray
    waits_on_gap: IntArray  #: 1 where an empty place is not let through
    calendar: IntArray  #: index, or NONE for always
    stations: Ragged  #: in line order


@dataclass(frozen=True, eq=False, repr=False)
class Stations:
    """Work areas; reaches and limits in ticks of conveyor running time."""

    section: IntArray
    position: IntArray  #: 0 for the first of its section
    places: IntArray
    early: IntArray
    late: IntArray
    stops_at_limit: IntArray  #: 1 stops the section, 0 lets the job go on with open work
    open_station: IntArray  #: where open work is to be done: a station, or NONE
    open_bay: IntArray  #: … or a bay, or NONE
    call_at: IntArray  #: ticks after the job's entry at which the station may call, or NONE
    crews: Ragged  #: crews that cover it, floaters left out
    floaters: Ragged  #: floater crews that cover it


@dataclass(frozen=True, eq=False, repr=False)
class PlannedBuffers:
    """Places between two sections."""

    capacity: IntArray
    travel: IntArray
    level: IntArray  #: jobs in it at the start of a run that starts full


@dataclass(frozen=True, eq=False, repr=False)
class Flow:
    """The line order: element ``i`` is section or buffer ``index[i]``, as ``kind[i]`` says."""

    kind: IntArray
    index: IntArray


@dataclass(frozen=True, eq=False, repr=False)
class Feeders:
    """Side lines: their own flows, and the section that takes one of their units per job."""

    flows: tuple[Flow, ...]
    joins: IntArray


@dataclass(frozen=True, eq=False, repr=False)
class Bays:
    """Off-line rework at the end of a section."""

    section: IntArray
    waiting: IntArray
    places: IntArray
    people: IntArray
    crews: Ragged
    rejoin: IntArray  #: buffer, or NONE to leave as finished
    max_passes: IntArray  #: NONE for any number
    holds: IntArray  #: 1: a full bay holds the job; 0: the job carries its faults on
    success: FloatArray


@dataclass(frozen=True, eq=False, repr=False)
class Carriers:
    """Skillets, hangers or trays that travel with a job and come back empty."""

    count: IntArray
    boards: IntArray  #: section
    leaves: IntArray  #: section
    returns: IntArray


LEARNT = 10_000  #: Parts of its time that a task takes who has learnt it.


@dataclass(frozen=True, eq=False, repr=False)
class Crews:
    """People. Operators are numbered through all crews; those of crew ``c`` begin at ``first[c]``."""

    people: IntArray
    first: IntArray
    walk: IntArray
    walk_speed: FloatArray  #: multiple of the conveyor's speed; 0 where ``walk`` holds
    calendar: IntArray
    floater: IntArray
    response: IntArray
    absence: FloatArray  #: chance that a person is away for a shift
    new: IntArray  #: people who learn, the last by number
    curve: Ragged  #: what a task takes the new, the first time and on, in `LEARNT`-ths of its time


@dataclass(frozen=True, eq=False, repr=False)
class Equipment:
    """Robots, tools and zones."""

    robot_calendar: IntArray
    tool_count: IntArray
    zone_people: IntArray


@dataclass(frozen=True, eq=False, repr=False)
class Tasks:
    """Pieces of work, in file order."""

    station: IntArray
    people: IntArray
    crews: Ragged
    robots: Ragged
    tools: Ragged
    zone: IntArray
    after: Ragged
    needs: IntArray  #: options that must all be there, as bits
    bars: IntArray  #: options of which none may be there, as bits
    models: IntArray  #: models that have it, as bits
    time_shape: Ragged  #: shapes, tried in order …
    time_model: Ragged  #: … for this model (NONE: any) …
    time_option: Ragged  #: … with this option (NONE: whatever); the last fits every job
    again: IntArray
    faults: Ragged


@dataclass(frozen=True, eq=False, repr=False)
class Faults:
    """Defects that tasks may leave. Chances are tried in order like the times of a task."""

    task: IntArray
    chances: tuple[tuple[tuple[int, int, float], ...], ...]  #: (model or NONE, option or NONE, chance)
    found: IntArray
    found_at: IntArray
    detect: FloatArray
    tries: IntArray
    right: IntArray
    right_at: IntArray
    repair: IntArray  #: shape, or NONE


@dataclass(frozen=True, eq=False, repr=False)
class Modes:
    """Ways in which robots, conveyors, stations, supply or removal fail."""

    owner_kind: IntArray
    owner: IntArray
    per: IntArray
    every: IntArray  #: shape, or NONE where ``per`` is JOBS
    every_jobs: IntArray
    lasts: IntArray  #: shape
    crew: IntArray  #: who repairs it, or NONE
    people: IntArray
    cause: IntArray  #: index into the plan's causes


@dataclass(frozen=True, eq=False, repr=False)
class PlannedGate:
    """Supply or removal: ``every`` a shape or NONE, or ``schedule`` times in ticks (empty: at any time)."""

    every: int
    schedule: IntArray


@dataclass(frozen=True, slots=True)
class PlannedCalendar:
    """Working time that repeats every ``period`` ticks: ``on`` and ``shifts`` are (start, end) in it."""

    period: int
    on: tuple[tuple[int, int], ...]
    shifts: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Prices:
    """What things are worth, in the scenario's money; None where nobody says."""

    currency: str
    margin: float | None  #: of a job
    stop_minute: float | None  #: a minute of stop that begins on the line
    people: float | None  #: everybody, for a shift of the line
    equipment: float | None  #: robots, tools and buffer places, for a shift of the line


@dataclass(frozen=True, slots=True)
class PlannedRun:
    """How long and how often: ticks and counts."""

    warm_up: int
    length: int
    replications: int
    seed: int
    shift: int  #: length of a shift where no calendar says
    starts_full: bool
    calendar: int  #: the scenario's own calendar, which makes its shifts, or NONE
