"""Records of what travels and is done, of draws, timers and events; see `linesim.engine.tables`."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(slots=True, eq=False, repr=False)
class Job:
    """One unit being built, or one unit of a feeder."""

    number: int = 0
    serial: int = 0
    variant: int = 0
    on: int = 0  #: tick of line-on
    way: int = 0  #: working time since then, of the places that it has left
    hours: int = 0  #: of the place that it is in
    worked: int = 0  #: … when it came there
    feeder: int = -1
    boarded: int = 0  #: clock of its section when it came on
    reached: int = 0  #: stations of its section whose work on it was opened
    arrives: int = 0  #: tick at which it is at its buffer's far end
    bay_visits: int = 0
    is_scrap: int = 0  #: to be taken off at the end of its section
    is_reworked: int = 0
    is_unclean: int = 0  #: something was found, redone, repaired or left open
    n_open: int = 0  #: tasks left at a limit and not done since
    cells: int = 0  #: by task, zone, carrier, feeder and bay, in ``cells``
    next: int = -1  #: in a buffer, a bay or among the finished of a free station
    first_visit: int = -1  #: in the order in which they were opened
    last_visit: int = -1
    first_fault: int = -1  #: faults it carries, in the order in which they were made
    first_item: int = -1  #: open work for stations and bays to come
    bay_items: int = -1  #: open work that a bay does now
    bay_left: int = 0  #: ticks of work left in the bay
    bay_end: int = 0
    bay_serial: int = 0
    bay_runs: int = 0
    bay_blocks: int = 0
    bay_people: int = -1


@dataclass(slots=True, eq=False, repr=False)
class Visit:
    """The work on one job at one station, from the moment the crew can reach it."""

    job: int = 0
    station: int = 0
    limit: int = 0  #: conveyor clock at which the work must be over, or NO_LIMIT
    left: int = 0  #: pieces not yet done
    has_outer: int = 0  #: some of its tasks wait for tasks of other stations
    tasks: int = 0  #: as the work of the job's variant at the station has them
    n_tasks: int = 0
    steps: int = 0
    is_called: int = 0
    is_redone: int = 0
    is_stopped: int = 0  #: its unfinished work stopped the section
    first_piece: int = -1  #: ready or begun, not done
    first_later: int = -1  #: open work that waits for earlier work
    first_helper: int = -1
    last_helper: int = -1
    asked_at: int = -1  #: when it called, and in which accounts that counts
    asked_in: int = 0
    is_open_call: int = 0
    next: int = -1  #: at its station
    next_of_job: int = -1
    next_call: int = -1
    next_unnamed: int = -1
    cells: int = 0  #: predecessors left and how far, by task of the station


@dataclass(slots=True, eq=False, repr=False)
class Piece:
    """One piece of work on one job at one station: a task, a fault put right, or work left open before."""

    visit: int = 0
    task: int = 0
    kind: int = 0
    state: int = 0
    remaining: int = -1  #: ticks of work left; NONE until it is first begun
    since: int = 0
    end: int = 0
    serial: int = 0
    attempt: int = 0  #: counted over every time the task is done on this job
    tries: int = 0  #: times it was redone at this visit
    fault: int = -1  #: carried fault that it puts right
    blocks: int = 0  #: how many things keep it paused: people off, robots down
    people: int = 0  #: needed
    crews: int = 0
    n_crews: int = 0
    robots: int = 0
    n_robots: int = 0
    tools: int = 0
    n_tools: int = 0
    zone: int = -1
    first_person: int = -1
    next: int = -1  #: of its visit
    next_waiting: int = -1
    next_in_queue: int = -1  #: for people and equipment
    to_limit: int = 0


@dataclass(slots=True, eq=False, repr=False)
class Item:
    """What a job carries on: a fault, or work left at a limit or to be put right elsewhere."""

    task: int = 0
    remaining: int = 0
    people: int = 0
    fault: int = -1  #: carried fault that it puts right (another item), or the fault itself
    place: int = -1  #: where it is to be done
    is_known: int = 0  #: a carried fault: found at least once
    is_flagged: int = 0  #: … and waiting to be put right
    cause: int = 0  #: a hold of a section: its cause, and ``place`` its station
    next: int = -1


@dataclass(slots=True, eq=False, repr=False)
class TaskRecord:
    """What a task needs, the same for every job."""

    station: int = 0
    people: int = 0
    crews: int = 0
    n_crews: int = 0
    robots: int = 0
    n_robots: int = 0
    tools: int = 0
    n_tools: int = 0
    zone: int = -1
    again: int = 0
    faults: int = 0
    n_faults: int = 0
    inspects: int = 0


@dataclass(slots=True, eq=False, repr=False)
class FaultRecord:
    """A defect that a task may leave."""

    task: int = 0
    found: int = 0
    found_at: int = 0
    detect: float = 1.0
    tries: int = 0
    right: int = 0
    right_at: int = 0
    repair: int = -1  #: columns
    made: int = 0
    seen: int = 0
    n_made: int = 0
    n_found: int = 0
    n_escaped: int = 0
    n_not_put_right: int = 0


@dataclass(slots=True, eq=False, repr=False)
class Step:
    """A task on the jobs of some variants, among those of its station: row ``steps + task`` of its work."""

    column: int = 0
    mean: float = 0.0  #: ticks
    n_pred: int = 0  #: earlier tasks of the same station
    outer: int = 0  #: earlier tasks of other stations
    n_outer: int = 0
    then: int = 0  #: tasks of the same station that wait for it
    n_then: int = 0
    elsewhere: int = 0  #: whether tasks of other stations wait for it
    before: int = 0  #: all that it waits for
    n_before: int = 0


@dataclass(slots=True, eq=False, repr=False)
class WorkRecord:
    """The tasks of one variant at one station: row ``variant * n_stations + station``."""

    tasks: int = 0
    n_tasks: int = 0
    has_outer: int = 0
    steps: int = 0  #: what makes the number of a task its row among the steps


@dataclass(slots=True, eq=False, repr=False)
class ColumnRecord:
    """One stream of draws through one distribution: two blocks of rows, in use and for late jobs."""

    constant: int = -1  #: what every row is, or -1
    bits: int = 0  #: rows of a block, as a power of two
    block: int = -1
    at: int = 0  #: in ``drawn``
    other_block: int = -1
    other_at: int = 0
    later: int = -1  #: the same for the next attempt


@dataclass(slots=True, eq=False, repr=False)
class Entry:
    """A timer, or what a conveyor meets: sorted by all but the last."""

    at: int = 0
    order: int = 0  #: rank, first and second index, as `queue.order_of` puts them into one number
    serial: int = 0
    what: int = 0


@dataclass(slots=True, eq=False, repr=False)
class RowRecord:
    """A row of the event log; what it says is in `linesim.ledger.ledger`."""

    time: int = 0
    what: int = 0
    job: int = -1
    section: int = -1
    station: int = -1
    task: int = -1
    where: int = -1
    who: int = -1  #: one person; further ones follow in rows of their own
    cause: int = -1


@dataclass(slots=True, eq=False, repr=False)
class Level:
    """How many jobs were in a bay from a moment on."""

    bay: int = 0
    time: int = 0
    level: int = 0
