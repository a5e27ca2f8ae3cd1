"""Records of what stands on a line; how they are read is said in `linesim.engine.tables`."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(slots=True, eq=False, repr=False)
class SectionRecord:
    """Stations that stop together, on one conveyor or free.

    Its holds are why it stands, oldest first: the first has the minutes until it clears, then the next.
    """

    hours: int = 0

    is_paced: int = 0
    takt: int = 0
    transfer: int = 0
    lets_gaps_pass: int = 0
    calendar: int = -1
    stations: int = 0  #: in ``ints``, in line order
    n_stations: int = 0
    bays: int = 0
    n_bays: int = 0
    feeders: int = 0  #: elements of the joins
    n_feeders: int = 0
    boards: int = 0  #: carriers taken here
    n_boards: int = 0
    leaves: int = 0  #: carriers given back here
    n_leaves: int = 0
    modes: int = 0
    n_modes: int = 0
    entrance: int = -1  #: elements
    exit: int = -1
    first: int = -1  #: first and last station
    last: int = -1
    is_on: int = 1
    is_changed: int = 0
    first_hold: int = -1
    first_unnamed: int = -1  #: visits that stopped it, cause not yet told
    last_unnamed: int = -1
    # the conveyor
    runs: int = 0
    clock_at: int = 0  #: conveyor clock at ``since``
    since: int = 0
    next_mark: int = 0
    next_move: int = -1  #: before the first mark there is no move
    mark_due: int = 0
    move_due: int = 0
    serial: int = 0
    timed: int = -1  #: conveyor clock for which the timer is set
    agenda: int = 0  #: in ``agenda``
    n_agenda: int = 0
    leaving: int = -1  #: job that leaves at the mark that is being passed
    # accounts
    state: int = 0
    state_since: int = 0
    ticks: int = 0  #: by state, in ``ticks``
    stop: int = 0  #: by station and cause
    stops: int = 0  #: how often it was booked so
    stands: int = 0  #: how often it came to a stand
    booked: int = -1  #: place in ``stop`` that the time is booked to
    booked_since: int = 0
    stopped: int = 0  #: ticks stopped so far
    stopped_before: int = 0  #: … before this shift


@dataclass(slots=True, eq=False, repr=False)
class StationRecord:
    """A work area, in whatever section it stands."""

    section: int = 0
    position: int = 0
    depth: int = 0  #: place down the line
    element: int = -1  #: of a free station
    places: int = 1
    early: int = 0
    late: int = 0
    stops_at_limit: int = 0
    open_to: int = 0  #: place to which open work goes
    call_at: int = -1
    crews: int = 0
    n_crews: int = 0
    floaters: int = 0
    n_floaters: int = 0
    people: int = 0  #: of all its crews
    modes: int = 0
    n_modes: int = 0
    first_task: int = 0
    job: int = -1  #: in its place, on a conveyor
    n_jobs: int = 0  #: in its places, if free
    first_ready: int = -1  #: finished jobs, in the order of finishing
    first_disturbed: int = -1  #: modes of the disturbances that go on, oldest first
    first_visit: int = -1
    first_waiting: int = -1  #: pieces ready, not begun
    last_waiting: int = -1
    n_running: int = 0
    is_changed: int = 0
    next_changed: int = -1
    is_looked: int = 0
    next_look: int = -1
    # accounts
    state: int = 0
    state_since: int = 0
    ticks: int = 0
    jobs: int = 0
    overruns: int = 0
    overload: int = 0
    unfinished: int = 0
    calls: int = 0
    calls_answered: int = 0
    call_response: int = 0
    calls_stopped: int = 0
    call_within: int = 0  #: in ``ticks``


@dataclass(slots=True, eq=False, repr=False)
class ElementRecord:
    """Anything on the way of a job: it takes jobs from above and passes them on below.

    Jobs are pushed from the downstream end upward; only a moving or indexed section, which takes a job
    at its marks, reaches up and pulls. Its number is its place down the line.
    """

    kind: int = 0
    index: int = 0  #: gate, buffer, section, station, bay or feeder
    section: int = -1  #: of a paced section or free station
    is_first: int = 0  #: of its section
    is_last: int = 0
    below: int = -1
    above: int = -1  #: the inlet on the line itself
    inlets: int = 0
    n_inlets: int = 0
    entrance: int = -1  #: of the section that a feeder joins
    has_unit: int = 0  #: a join: whether a unit waits
    is_woken: int = 0
    next_woken: int = -1
    job: int = -1  #: while a mark is passed: the job that boards
    step: int = 0  #: … and how far that has come
    caller: int = -1  #: … and the element that waits for the job that leaves


@dataclass(slots=True, eq=False, repr=False)
class BufferRecord:
    """Places between two sections, first in first out; a travelling job takes a place."""

    element: int = 0
    hours: int = 0
    capacity: int = 0
    travel: int = 0
    first: int = -1
    last: int = -1
    n: int = 0
    since: int = 0
    worked: int = 0  #: of its hours at ``since``
    highest: int = 0  #: level since the accounts were opened
    levels: int = 0  #: working time at each level, in ``ticks``
    levels_clock: int = 0


@dataclass(slots=True, eq=False, repr=False)
class BayRecord:
    """Waiting and work places at a section's end, with people of its own or shared with stations."""

    element: int = 0
    hours: int = 0
    section: int = 0
    place: int = 0  #: among the bays of its section
    waiting_places: int = 0
    places: int = 0
    people: int = 0
    crews: int = 0
    n_crews: int = 0
    max_passes: int = -1
    holds: int = 0
    success: float = 1.0
    column: int = 0
    skipped: int = 0  #: stations between here and where jobs rejoin, further down
    n_skipped: int = 0
    first_waiting: int = -1
    n_waiting: int = 0
    first_working: int = -1
    n_working: int = 0
    first_done: int = -1  #: put right, waiting to go on
    n_done: int = 0
    waiting: int = 0  #: accounts
    working: int = 0
    holding: int = 0
    jobs: int = 0
    seen: int = 0
    good: int = 0
    carried_on: int = 0


@dataclass(slots=True, eq=False, repr=False)
class GateRecord:
    """Supply or removal: at once, at a rate or by a schedule, with outages in which it is shut."""

    element: int = 0
    is_removal: int = 0
    feeder: int = -1
    column: int = -1  #: of its gaps, where it has a rate
    schedule: int = 0
    n_schedule: int = 0
    is_rated: int = 0  #: opens only at times of its own
    due: int = 0  #: openings not yet used
    n_opened: int = 0
    shut: int = 0  #: outages that go on
    next_number: int = 0
    job: int = -1  #: the next, not yet on the line
    units_in: int = 0
    units_merged: int = 0


@dataclass(slots=True, eq=False, repr=False)
class CrewRecord:
    """People who cover the same stations, numbered one after the other."""

    first: int = 0
    people: int = 0
    walk: int = 0
    walk_speed: float = 0.0
    response: int = 0
    calendar: int = -1
    stations: int = 0
    n_stations: int = 0
    is_on: int = 1
    n_free: int = 0
    is_changed: int = 0
    next_changed: int = -1
    absence: float = 0.0  #: chance that a person is away for a shift
    period: int = 0  #: after which shifts begin again as they did
    shifts: int = 0  #: in ``ints``: when they begin
    n_shifts: int = 0
    turn: int = 0  #: the next one: in which period …
    place: int = 0  #: … and which one in it
    shift: int = 0  #: how many have begun
    curve: int = 0  #: in ``ints``: what a task takes the new, each time
    n_curve: int = 0


@dataclass(slots=True, eq=False, repr=False)
class Operator:
    """One person of a crew."""

    crew: int = 0
    is_free: int = 1
    piece: int = -1
    bay_job: int = -1
    mode: int = -1  #: failure mode under repair
    helps: int = -1  #: visit at which a floater helps
    is_coming: int = 0  #: a floater on the way
    next: int = -1  #: in the people of a piece, a bay's job or a repair
    next_helper: int = -1
    last_job: int = 0  #: serial of the job last worked on
    section: int = -1  #: on which it last worked, for the way back
    position: int = 0  #: how far down that section [ticks of conveyor travel]
    free_since: int = 0
    serial: int = 0
    away: int = -1  #: column
    is_away: int = 0  #: for this shift, once what it has begun is ended
    practice: int = -1  #: in ``ints``: how often it has done each task, if it is new
    is_changed: int = 0
    state: int = 0
    state_since: int = 0
    ticks: int = 0


@dataclass(slots=True, eq=False, repr=False)
class RobotRecord:
    """Automatic equipment that one piece of work holds at a time."""

    calendar: int = -1
    modes: int = 0
    n_modes: int = 0
    stations: int = 0
    n_stations: int = 0
    piece: int = -1
    is_on: int = 1
    down: int = 0  #: failure modes under repair
    is_changed: int = 0
    next_changed: int = -1
    state: int = 0
    state_since: int = 0
    ticks: int = 0


@dataclass(slots=True, eq=False, repr=False)
class ToolRecord:
    """Shared equipment, a few pieces alike; its stations grow by those to which open work takes it."""

    count: int = 0
    free: int = 0
    stations: int = 0
    n_stations: int = 0
    busy: int = 0  #: account


@dataclass(slots=True, eq=False, repr=False)
class Mode:
    """One way in which one thing fails, again and again.

    It counts down running time, calendar time or jobs to its next failure; while the thing is down
    for this reason it counts nothing.
    """

    owner_kind: int = 0
    owner: int = 0
    per: int = 0
    every: int = -1  #: column
    every_jobs: int = -1
    lasts: int = -1
    crew: int = -1
    crews: int = 0  #: the same as a row of ``ints``
    people: int = 0
    cause: int = 0
    count: int = 0  #: failures so far
    left: int = 0  #: ticks, or jobs, to the next failure
    since: int = 0
    runs: int = 0
    serial: int = 0  #: of its timer, 0 for none
    failed: int = 0
    waits: int = 0  #: for people to repair it
    first_repairer: int = -1
    next: int = -1  #: among what disturbs its station


@dataclass(slots=True, eq=False, repr=False)
class CalendarRecord:
    """Working time that repeats; a change always turns it on or off."""

    period: int = 0
    changes: int = 0
    n_changes: int = 0
    is_on: int = 1
    turn: int = 0  #: the next change: in which period …
    place: int = 0  #: … and which one in it
    hours: int = 0  #: that follow it
    n_hours: int = 0


@dataclass(slots=True, eq=False, repr=False)
class HoursRecord:
    """The working time of a place: while any of its calendars works."""

    n_on: int = 0  #: calendars that work now
    worked: int = 0  #: ticks of working time up to ``since``
    since: int = 0


@dataclass(slots=True, eq=False, repr=False)
class Account:
    """Ticks times the level of something, on the clock and in the working time of its place."""

    hours: int = 0
    level: int = 0
    since: int = 0
    worked: int = 0  #: of its hours at ``since``
    on_clock: int = 0
    in_hours: int = 0


@dataclass(slots=True, eq=False, repr=False)
class CarrierRecord:
    """Skillets, hangers or trays of one kind: a job boards only if one is free."""

    count: int = 0
    free: int = 0
    returns: int = 0
    returning: int = 0
    boards: int = 0  #: section
    leaves: int = 0
    entrance: int = 0  #: element
    has_gap: int = 0  #: for want of one the first place came empty
    busy: int = 0  #: accounts
    short: int = 0
