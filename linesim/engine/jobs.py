"""What travels: a job, its stay at a station, and the pieces of work done there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linesim.plan.tables import NONE

if TYPE_CHECKING:
    from linesim.engine.crews import Operator
    from linesim.engine.robots import Robot
    from linesim.engine.stations import Station
    from linesim.engine.variants import Need, StationWork, Variant

#: What a piece of work is for.
TASK, PUT_RIGHT, OPEN_WORK = range(3)
#: How far it has come.
READY, COMING, RUNNING, PAUSED, DONE = range(5)

Place = tuple[int, int]  #: where open work is to be done: a station or a bay, the other NONE
NOWHERE: Place = (NONE, NONE)  #: no place is left that could do it


class Piece:
    """One piece of work on one job at one station: a task, a fault put right, or work left open before."""

    __slots__ = (
        "attempt",
        "blocks",
        "end",
        "fault",
        "kind",
        "local",
        "need",
        "people",
        "remaining",
        "robots",
        "serial",
        "since",
        "state",
        "task",
        "tries",
        "visit",
    )

    def __init__(
        self, visit: Visit, local: int, task: int, need: Need, kind: int = TASK, remaining: int = NONE
    ) -> None:
        self.visit = visit
        self.local = local  #: place in the visit's list of tasks, or NONE
        self.task = task
        self.need = need
        self.kind = kind
        self.remaining = remaining  #: ticks of work left; NONE until it is first begun
        self.state = READY
        self.attempt = 0  #: counted over every time the task is done on this job
        self.tries = 0  #: times it was redone at this visit
        self.fault: CarriedFault | None = None
        self.people: list[Operator] = []
        self.robots: list[Robot] = []
        self.blocks = 0  #: how many things keep it paused: people off, robots down
        self.since = 0
        self.end = 0
        self.serial = 0


class CarriedFault:
    """A fault that travels with its job until it is put right."""

    __slots__ = ("fault", "flagged", "known")

    def __init__(self, fault: int) -> None:
        self.fault = fault
        self.known = False  #: found at least once
        self.flagged = False  #: found, and waiting to be put right


class OpenWork:
    """Work that a job carries on: left at a limit, or a fault to be put right elsewhere."""

    __slots__ = ("fault", "need", "remaining", "task")

    def __init__(self, task: int, remaining: int, need: Need | None, fault: CarriedFault | None) -> None:
        self.task = task
        self.remaining = remaining
        self.need = need
        self.fault = fault


class Job:
    """One unit being built, or one unit of a feeder."""

    __slots__ = (
        "attempts",
        "bay_passes",
        "bay_visits",
        "boarded",
        "carriers",
        "done",
        "faults",
        "feeder",
        "for_bay",
        "for_station",
        "is_scrap",
        "number",
        "on",
        "open_tasks",
        "reached",
        "reworked",
        "unclean",
        "units",
        "variant",
        "visits",
        "zones",
    )

    def __init__(self, number: int, variant: Variant, on: int, feeder: int = NONE) -> None:
        self.number = number
        self.variant = variant
        self.on = on  #: tick of line-on
        self.feeder = feeder
        self.done: set[int] = set()
        self.visits: dict[int, Visit] = {}  #: by station
        self.attempts: dict[int, int] = {}  #: times each task was begun, where more than once
        self.faults: list[CarriedFault] = []
        self.for_station: dict[int, list[OpenWork]] = {}
        self.for_bay: dict[int, list[OpenWork]] = {}
        self.is_scrap = False  #: to be taken off at the end of its section
        self.zones: dict[int, int] = {}  #: people in each zone of the job
        self.carriers: list[int] = []
        self.units: list[int] = []  #: feeders whose unit it has
        self.boarded = 0  #: clock of its section when it came on
        self.open_tasks: dict[int, Place] = {}  #: tasks left at a limit and not done since
        self.reached = 0  #: stations of its section whose work on it was opened
        self.bay_visits = 0
        self.bay_passes: dict[int, int] = {}  #: visits to each bay
        self.reworked = False
        self.unclean = False  #: something was found, redone, repaired or left open

    @property
    def has_open_work(self) -> bool:
        """Return whether work was left that was not done since, or is to be put right."""
        return bool(self.open_tasks or self.for_station or self.for_bay)


class Visit:
    """The work on one job at one station, from the moment the crew can reach it."""

    __slots__ = (
        "helpers",
        "is_called",
        "job",
        "later",
        "left",
        "limit",
        "pieces",
        "pred_left",
        "redone",
        "station",
        "status",
        "stopped",
        "work",
    )

    def __init__(self, job: Job, station: Station, work: StationWork, limit: int) -> None:
        self.job = job
        self.station = station
        self.work = work
        self.limit = limit  #: conveyor clock at which the work must be over, or NO_LIMIT
        self.left = len(work.tasks)  #: pieces not yet done
        self.pred_left = work.n_pred.copy()
        self.status = bytearray(self.left)  #: by task: 0 waits for earlier work, 1 ready or begun, 2 done
        self.pieces: list[Piece] = []  #: ready or begun, not done
        self.later: list[OpenWork] = []  #: open work that waits for earlier work
        self.is_called = False
        self.redone = False
        self.stopped = False  #: its unfinished work stopped the section
        self.helpers: list[Operator] = []
