"""Records of what stands on a line; how they are read is said in `linesim.engine.tables`."""

from __future__ import annotations

from dataclasses import dataclass

Index = int  #: half as wide in an array as other numbers; see `linesim.engine.tables`


@dataclass(slots=True, eq=False, repr=False)
class SectionRecord:
    """Stations that stop together, on one conveyor or free.

    Its holds are why it stands, oldest first: the first has the minutes until it clears, then the next.
    """

    hours: Index = 0

    is_paced: Index = 0
    takt: int = 0
    transfer: int = 0
    lets_gaps_pass: Index = 0
    calendar: Index = -1
    stations: Index = 0  #: in ``ints``, in line order
    n_stations: Index = 0
    bays: Index = 0
    n_bays: Index = 0
    feeders: Index = 0  #: elements of the joins
    n_feeders: Index = 0
    boards: Index = 0  #: carriers taken here
    n_boards: Index = 0
    leaves: Index = 0  #: carriers given back here
    n_leaves: Index = 0
    modes: Index = 0
    n_modes: Index = 0
    entrance: Index = -1  #: elements
    exit: Index = -1
    first: Index = -1  #: first and last station
    last: Index = -1
    is_on: Index = 1
    is_changed: Index = 0
    first_hold: Index = -1
    first_unnamed: Index = -1  #: visits that stopped it, cause not yet told
    last_unnamed: Index = -1
    # the conveyor
    runs: Index = 0
    clock_at: int = 0  #: conveyor clock at ``since``
    since: int = 0
    next_mark: int = 0
    next_move: int = -1  #: before the first mark there is no move
    mark_due: Index = 0
    move_due: Index = 0
    serial: int = 0
    timed: int = -1  #: conveyor clock for which the timer is set
    agenda: Index = 0  #: in ``agenda``
    n_agenda: Index = 0
    leaving: Index = -1  #: job that leaves at the mark that is being passed
    # accounts
    state: Index = 0
    state_since: int = 0
    ticks: Index = 0  #: by state, in ``ticks``
    stop: Index = 0  #: by station and cause
    stops: Index = 0  #: how often it was booked so
    stands: Index = 0  #: how often it came to a stand
    booked: Index = -1  #: place in ``stop`` that the time is booked to
    booked_since: int = 0
    stopped: int = 0  #: ticks stopped so far
    stopped_before: int = 0  #: … before this shift


@dataclass(slots=True, eq=False, repr=False)
class StationRecord:
    """A work area, in whatever section it stands."""

    section: Index = 0
    position: Index = 0
    depth: Index = 0  #: place down the line
    element: Index = -1  #: of a free station
    places: Index = 1
    early: int = 0
    late: int = 0
    stops_at_limit: Index = 0
    open_to: Index = 0  #: place to which open work goes
    call_at: int = -1
    crews: Index = 0
    n_crews: Index = 0
    floaters: Index = 0
    n_floaters: Index = 0
    people: Index = 0  #: of all its crews
    modes: Index = 0
    n_modes: Index = 0
    first_task: Index = 0
    job: Index = -1  #: in its place, on a conveyor
    n_jobs: Index = 0  #: in its places, if free
    first_ready: Index = -1  #: finished jobs, in the order of finishing
    first_disturbed: Index = -1  #: modes of the disturbances that go on, oldest first
    first_visit: Index = -1
    first_waiting: Index = -1  #: pieces ready, not begun
    last_waiting: Index = -1
    n_running: Index = 0
    is_changed: Index = 0
    next_changed: Index = -1
    is_looked: Index = 0
    next_look: Index = -1
    # accounts
    state: Index = 0
    state_since: int = 0
    ticks: Index = 0
    jobs: Index = 0
    overruns: Index = 0
    overload: int = 0
    unfinished: Index = 0
    calls: Index = 0
    calls_answered: Index = 0
    call_response: int = 0
    calls_stopped: Index = 0
    call_within: Index = 0  #: in ``ticks``


@dataclass(slots=True, eq=False, repr=False)
class ElementRecord:
    """Anything on the way of a job: it takes jobs from above and passes them on below.

    Jobs are pushed from the downstream end upward; only a moving or indexed section, which takes a job
    at its marks, reaches up and pulls. Its number is its place down the line.
    """

    kind: Index = 0
    index: Index = 0  #: gate, buffer, section, station, bay or feeder
    section: Index = -1  #: of a paced section or free station
    is_first: Index = 0  #: of its section
    is_last: Index = 0
    below: Index = -1
    above: Index = -1  #: the inlet on the line itself
    inlets: Index = 0
    n_inlets: Index = 0
    entrance: Index = -1  #: of the section that a feeder joins
    has_unit: Index = 0  #: a join: whether a unit waits
    is_woken: Index = 0
    next_woken: Index = -1
    job: Index = -1  #: while a mark is passed: the job that boards
    step: Index = 0  #: … and how far that has come
    caller: Index = -1  #: … and the element that waits for the job that leaves


@dataclass(slots=True, eq=False, repr=False)
class BufferRecord:
    """Places between two sections, first in first out; a travelling job takes a place."""

    element: Index = 0
    hours: Index = 0
    capacity: Index = 0
    travel: int = 0
    first: Index = -1
    last: Index = -1
    n: Index = 0
    since: int = 0
    worked: int = 0  #: of its hours at ``since``
    highest: Index = 0  #: level since the accounts were opened
    levels: Index = 0  #: working time at each level, in ``ticks``
    levels_clock: Index = 0


@dataclass(slots=True, eq=False, repr=False)
class BayRecord:
    """Waiting and work places at a section's end, with people of its own or shared with stations."""

    element: Index = 0
    hours: Index = 0
    section: Index = 0
    place: Index = 0  #: among the bays of its section
    waiting_places: Index = 0
    places: Index = 0
    people: Index = 0
    crews: Index = 0
    n_crews: Index = 0
    max_passes: Index = -1
    holds: Index = 0
    success: float = 1.0
    column: Index = 0
    skipped: Index = 0  #: stations between here and where jobs rejoin, further down
    n_skipped: Index = 0
    first_waiting: Index = -1
    n_waiting: Index = 0
    first_working: Index = -1
    n_working: Index = 0
    first_done: Index = -1  #: put right, waiting to go on
    n_done: Index = 0
    waiting: Index = 0  #: accounts
    working: Index = 0
    holding: Index = 0
    jobs: Index = 0
    seen: Index = 0
    good: Index = 0
    carried_on: Index = 0


@dataclass(slots=True, eq=False, repr=False)
class GateRecord:
    """Supply or removal: at once, at a rate or by a schedule, with outages in which it is shut."""

    element: Index = 0
    is_removal: Index = 0
    feeder: Index = -1
    column: Index = -1  #: of its gaps, where it has a rate
    schedule: Index = 0
    n_schedule: Index = 0
    is_rated: Index = 0  #: opens only at times of its own
    due: Index = 0  #: openings not yet used
    n_opened: Index = 0
    shut: Index = 0  #: outages that go on
    next_number: int = 0
    job: Index = -1  #: the next, not yet on the line
    units_in: Index = 0
    units_merged: Index = 0


@dataclass(slots=True, eq=False, repr=False)
class CrewRecord:
    """People who cover the same stations, numbered one after the other."""

    first: Index = 0
    people: Index = 0
    walk: int = 0
    walk_speed: float = 0.0
    response: int = 0
    calendar: Index = -1
    stations: Index = 0
    n_stations: Index = 0
    is_on: Index = 1
    n_free: Index = 0
    n_noted: Index = 0  #: … at the end of the last instant
    is_changed: Index = 0
    next_changed: Index = -1
    first_changed: Index = -1  #: people who may do something else now
    waits_for: Index = -1  #: what its idle people did when it last had any
    absence: float = 0.0  #: chance that a person is away for a shift
    period: int = 0  #: after which shifts begin again as they did
    shifts: Index = 0  #: in ``ints``: when they begin
    n_shifts: Index = 0
    turn: Index = 0  #: the next one: in which period …
    place: Index = 0  #: … and which one in it
    shift: Index = 0  #: how many have begun
    curve: Index = 0  #: in ``ints``: what a task takes the new, each time
    n_curve: Index = 0


@dataclass(slots=True, eq=False, repr=False)
class Operator:
    """One person of a crew."""

    crew: Index = 0
    is_free: Index = 1
    piece: Index = -1
    bay_job: Index = -1
    mode: Index = -1  #: failure mode under repair
    helps: Index = -1  #: visit at which a floater helps
    is_coming: Index = 0  #: a floater on the way
    next: Index = -1  #: in the people of a piece, a bay's job or a repair
    next_helper: Index = -1
    last_job: int = 0  #: serial of the job last worked on
    section: Index = -1  #: on which it last worked, for the way back
    position: int = 0  #: how far down that section [ticks of conveyor travel]
    free_since: int = 0
    serial: int = 0
    away: Index = -1  #: column
    is_away: Index = 0  #: for this shift, once what it has begun is ended
    practice: Index = -1  #: in ``ints``: how often it has done each task, if it is new
    is_changed: Index = 0
    next_changed: Index = -1  #: of its crew
    state: Index = 0
    state_since: int = 0
    ticks: Index = 0


@dataclass(slots=True, eq=False, repr=False)
class RobotRecord:
    """Automatic equipment that one piece of work holds at a time."""

    calendar: Index = -1
    modes: Index = 0
    n_modes: Index = 0
    stations: Index = 0
    n_stations: Index = 0
    piece: Index = -1
    is_on: Index = 1
    down: Index = 0  #: failure modes under repair
    is_changed: Index = 0
    next_changed: Index = -1
    state: Index = 0
    state_since: int = 0
    ticks: Index = 0


@dataclass(slots=True, eq=False, repr=False)
class ToolRecord:
    """Shared equipment, a few pieces alike; its stations grow by those to which open work takes it."""

    count: Index = 0
    free: Index = 0
    stations: Index = 0
    n_stations: Index = 0
    busy: Index = 0  #: account


@dataclass(slots=True, eq=False, repr=False)
class Mode:
    """One way in which one thing fails, again and again.

    It counts down running time, calendar time or jobs to its next failure; while the thing is down
    for this reason it counts nothing.
    """

    owner_kind: Index = 0
    owner: Index = 0
    per: Index = 0
    every: Index = -1  #: column
    every_jobs: Index = -1
    lasts: Index = -1
    crew: Index = -1
    crews: Index = 0  #: the same as a row of ``ints``
    people: Index = 0
    cause: Index = 0
    count: Index = 0  #: failures so far
    left: int = 0  #: ticks, or jobs, to the next failure
    since: int = 0
    runs: Index = 0
    serial: int = 0  #: of its timer, 0 for none
    failed: Index = 0
    waits: Index = 0  #: for people to repair it
    first_repairer: Index = -1
    next: Index = -1  #: among what disturbs its station


@dataclass(slots=True, eq=False, repr=False)
class CalendarRecord:
    """Working time that repeats; a change always turns it on or off."""

    period: int = 0
    changes: Index = 0
    n_changes: Index = 0
    is_on: Index = 1
    turn: Index = 0  #: the next change: in which period …
    place: Index = 0  #: … and which one in it
    hours: Index = 0  #: that follow it
    n_hours: Index = 0


@dataclass(slots=True, eq=False, repr=False)
class HoursRecord:
    """The working time of a place: while any of its calendars works."""

    n_on: Index = 0  #: calendars that work now
    worked: int = 0  #: ticks of working time up to ``since``
    since: int = 0


@dataclass(slots=True, eq=False, repr=False)
class Account:
    """Ticks times the level of something, on the clock and in the working time of its place."""

    hours: Index = 0
    level: Index = 0
    since: int = 0
    worked: int = 0  #: of its hours at ``since``
    on_clock: int = 0
    in_hours: int = 0


@dataclass(slots=True, eq=False, repr=False)
class CarrierRecord:
    """Skillets, hangers or trays of one kind: a job boards only if one is free."""

    count: Index = 0
    free: Index = 0
    returns: int = 0
    returning: Index = 0
    boards: Index = 0  #: section
    leaves: Index = 0
    entrance: Index = 0  #: element
    has_gap: Index = 0  #: for want of one the first place came empty
    busy: Index = 0  #: accounts
    short: Index = 0
