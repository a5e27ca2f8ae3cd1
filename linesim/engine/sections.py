"""What all sections share: stations, holds, and the places where jobs come and go."""

from __future__ import annotations

from typing import TYPE_CHECKING

from typing_extensions import override

from linesim.engine import traffic
from linesim.plan.tables import NONE
from linesim.plan.words import BLOCKED, S_BLOCKED, S_DOWN, S_STARVED, S_STOPPED, STARVED

if TYPE_CHECKING:
    from linesim.engine.bays import Bay
    from linesim.engine.breakdowns import Mode
    from linesim.engine.jobs import Job, Visit
    from linesim.engine.line import Line
    from linesim.engine.stations import Station


class Element:
    """Anything on the way of a job: it takes jobs from above and passes them on below.

    Jobs are pushed from the downstream end upward; only a moving or indexed section, which takes a job
    at its marks, reaches up and pulls.
    """

    __slots__ = ("below", "inlets", "line", "order")

    def __init__(self, line: Line) -> None:
        self.line = line
        self.order = 0  #: place down the line, larger further down
        self.inlets: list[Element] = []
        self.below: Element | None = None

    def accepts(self, job: Job) -> bool:
        """Return whether ``job`` could be pushed in now."""
        raise NotImplementedError

    def take(self, job: Job, origin: Element) -> None:
        """Take ``job``, which ``origin`` pushes in."""
        raise NotImplementedError

    def pulls_from(self, giver: Element) -> bool:
        """Return whether jobs are taken straight out of ``giver`` at a mark, and never pushed in."""
        return False

    def offers(self, to: Element) -> Job | None:
        """Return the job that could be pulled out by ``to`` now, or None."""
        raise NotImplementedError

    def give(self, to: Element) -> Job:
        """Hand the offered job to ``to``."""
        raise NotImplementedError

    def move(self) -> None:
        """Push on what can go."""
        raise NotImplementedError

    def is_kept_empty_by(self, carrier: int) -> bool:
        """Return whether the first place is empty because a job waits for ``carrier`` and none is free."""
        raise NotImplementedError

    def is_dry(self) -> bool:
        """Return whether nothing is in here and nothing will ever come."""
        raise NotImplementedError

    def wake(self) -> None:
        """Have `move` called before this instant is over."""
        self.line.moves.add(self.order)

    def wake_inlets(self) -> None:
        """Have everything that passes jobs to here look again: there may be room."""
        for inlet in self.inlets:
            inlet.wake()


class Join(Element):
    """Where a feeder meets a section: its units are pulled, one with each job that boards."""

    __slots__ = ("entrance", "index")

    def __init__(self, line: Line, index: int, entrance: Element) -> None:
        super().__init__(line)
        self.index = index
        self.entrance = entrance

    @override
    def pulls_from(self, giver: Element) -> bool:
        return True

    def has_unit(self) -> bool:
        """Return whether a unit waits."""
        return self.inlets[0].offers(self) is not None

    def take_unit(self) -> Job:
        """Take the unit that waits."""
        return self.inlets[0].give(self)

    @override
    def wake(self) -> None:
        self.entrance.wake()
        self.entrance.wake_inlets()


class Section(Element):
    """Stations that stop together.

    ``holds`` are the reasons for which it stands, (station, cause), oldest first: the first has the
    minutes until it clears, then the next. A failed conveyor is a hold of no station (NONE); a blocked
    end is one of the last station, a missing job one of the first.
    """

    __slots__ = (
        "bays",
        "carriers_in",
        "carriers_out",
        "feeders",
        "holds",
        "index",
        "is_on",
        "modes",
        "stations",
        "unnamed",
    )

    def __init__(self, index: int, line: Line) -> None:
        super().__init__(line)
        self.index = index
        self.is_on = True
        self.stations: list[Station] = []
        self.bays: list[Bay] = []
        self.feeders: list[Join] = []
        self.carriers_in: list[int] = []
        self.carriers_out: list[int] = []
        self.holds: dict[tuple[int, int], None] = {}
        self.unnamed: list[Visit] = []  #: visits that stopped it, cause not yet told
        self.modes: list[Mode] = []

    @property
    def is_stopped(self) -> bool:
        """Return whether it should run and stands."""
        return self.is_on and bool(self.holds)

    def conveyor_clock(self, now: int) -> int:
        """Return the running time of the conveyor [ticks]; 0 where there is none."""
        raise NotImplementedError

    def is_moving(self, now: int) -> bool:
        """Return whether the conveyor runs at this moment; a free section runs while it may hand on."""
        raise NotImplementedError

    def open_again(self, job: Job, station: Station) -> Visit | None:
        """Return a new visit of ``job`` to ``station`` if it still is in reach there, its work being over."""
        return None

    def is_past(self, job: Job, station: Station) -> bool:
        """Return whether ``job``, which is on this section, was within reach of ``station`` before now."""
        return False

    def regulate(self) -> None:
        """Start or halt the conveyor as what has happened demands."""
        raise NotImplementedError

    def state_without_work(self, position: int) -> int:
        """Return the state of a station at which no work is open."""
        raise NotImplementedError

    def work_done(self, station: Station, job: Job) -> None:
        """Note that the work on ``job`` at ``station`` is finished."""
        raise NotImplementedError

    def is_held_by(self, bay: Bay) -> bool:
        """Return whether the job at the end is ready to go into ``bay``."""
        raise NotImplementedError

    def held_state(self) -> int:
        """Return the state of a station that is ready while the section stands; what began the stop says."""
        station, cause = next(iter(self.holds))
        if cause in (BLOCKED, STARVED):
            return S_BLOCKED if cause == BLOCKED else S_STARVED
        return S_DOWN if station == NONE else S_STOPPED

    def hold(self, station: int, cause: int) -> None:
        """Let the section stand for one more reason."""
        self.holds.setdefault((station, cause))
        self.line.touched_sections.add(self.index)

    def release(self, station: int, cause: int) -> None:
        """Drop a reason to stand."""
        self.holds.pop((station, cause), None)
        self.line.touched_sections.add(self.index)
        self.wake()

    def outlet(self, job: Job) -> Element:
        """Return where ``job`` goes from the end of this section."""
        if job.is_scrap:
            return self.line.scrap
        if job.for_bay:
            for bay in self.bays:
                if bay.wants(job):
                    return bay
        assert self.below is not None
        return self.below

    def can_board(self, job: Job) -> bool:
        """Return whether ``job``, which waits, could come on: carriers are free, feeders have their units.

        A job that comes back from a bay may have both already.
        """
        carriers = self.line.carriers
        return all(k in job.carriers or carriers[k].free for k in self.carriers_in) and all(
            feeder.index in job.units or feeder.has_unit() for feeder in self.feeders
        )

    def is_wanting(self, carrier: int, entrance: Element) -> bool:
        """Return whether a job waits at ``entrance`` for one of these carriers, and none is free."""
        job = entrance.inlets[0].offers(entrance)
        return job is not None and carrier not in job.carriers and self.line.carriers[carrier].free == 0

    def board(self, job: Job) -> None:
        """Give ``job`` the carriers and the feeders' units that it has not."""
        for k in self.carriers_in:
            self.line.carriers[k].take(job)
        for feeder in self.feeders:
            if feeder.index not in job.units:
                traffic.merge(self.line, feeder.take_unit(), job)

    def part(self, job: Job) -> None:
        """Take the carriers off ``job``, which leaves the section, and its hopes of a bay that is full."""
        for k in self.carriers_out:
            self.line.carriers[k].release(job)
        if job.for_bay and not job.is_scrap:
            for bay in self.bays:
                if bay.index in job.for_bay and not bay.wants(job):
                    bay.pass_by(job)
