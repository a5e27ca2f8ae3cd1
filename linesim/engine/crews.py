"""People: who is free, who is on duty, and how long it takes to walk over."""

from __future__ import annotations

from bisect import insort
from typing import TYPE_CHECKING

from linesim.plan.tables import NONE
from linesim.plan.words import O_OFF, O_WAIT_JOB

if TYPE_CHECKING:
    from linesim.engine.jobs import Job, Piece, Visit
    from linesim.engine.stations import Station


class Operator:
    """One person of a crew."""

    __slots__ = (
        "crew",
        "free_since",
        "helps",
        "index",
        "is_coming",
        "last_job",
        "mode",
        "piece",
        "position",
        "section",
        "serial",
    )

    def __init__(self, index: int, crew: Crew) -> None:
        self.index = index
        self.crew = crew
        self.piece: Piece | None = None
        self.mode = NONE  #: failure mode under repair, or NONE
        self.helps: Visit | None = None  #: where a floater helps
        self.is_coming = False  #: a floater on the way
        self.last_job: Job | None = None
        self.section = NONE  #: section on which it last worked, for the way back
        self.position = 0  #: how far down that section [ticks of conveyor travel]
        self.free_since = 0
        self.serial = 0

    def __lt__(self, other: Operator) -> bool:
        return self.index < other.index


class Crew:
    """People who cover the same stations."""

    __slots__ = ("free", "index", "is_on", "operators", "response", "stations", "walk", "walk_speed")

    def __init__(
        self, index: int, first: int, people: int, walk: int, walk_speed: float, response: int
    ) -> None:
        self.index = index
        self.operators = [Operator(first + i, self) for i in range(people)]
        self.free = list(self.operators)  #: idle, in order of number
        self.is_on = True
        self.walk = walk
        self.walk_speed = walk_speed
        self.response = response
        self.stations: list[Station] = []

    def give_back(self, operator: Operator, now: int) -> None:
        """Count ``operator`` among the idle ones again."""
        operator.free_since = now
        insort(self.free, operator)

    def pick(self, job: Job) -> Operator:
        """Return the idle operator to send to ``job``: one who was last there, or the first by number."""
        for operator in self.free:
            if operator.last_job is job:
                return operator
        return self.free[0]


def walk_ticks(operator: Operator, visit: Visit, now: int) -> int:
    """Return how long ``operator`` walks before work on ``visit`` [ticks].

    Nobody walks to the job that they last worked on, nor to their first. With a walking speed of ``w``
    times the conveyor's, the way is the distance between operator and job, less what the operator
    has already walked back while idle; walking up the line towards a job that comes nearer closes it
    at ``w + 1``, walking after a job at ``w - 1``, and at ``w`` while the section stands.
    """
    crew = operator.crew
    job = visit.job
    if operator.last_job is None or operator.last_job is job:
        return 0
    if crew.walk_speed == 0:
        return crew.walk
    section = visit.station.section
    if operator.section != section.index:
        return 0
    place = section.conveyor_clock(now) - job.boarded
    way = operator.position - place
    ahead = abs(way) - crew.walk_speed * (now - operator.free_since)
    if ahead <= 0:
        return 0
    if not section.is_moving(now):
        return round(ahead / crew.walk_speed)
    return round(ahead / (crew.walk_speed + (1 if way > 0 else -1)))


def idle_state(crew: Crew) -> int:
    """Return what an idle operator of ``crew`` is waiting for.

    Where its stations differ, the first that holds of: a tool, room in a zone, earlier work, a line stop.
    """
    if not crew.is_on:
        return O_OFF
    reasons = {station.idle_reason(crew) for station in crew.stations}
    return min(reasons - {O_WAIT_JOB}, default=O_WAIT_JOB)
