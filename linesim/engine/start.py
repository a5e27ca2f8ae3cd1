"""The first instant: who is on, what is already on the line, and what begins."""

from __future__ import annotations

from itertools import takewhile

from linesim.engine.buffers import Buffer
from linesim.engine.free import Stalls
from linesim.engine.gates import SupplyEnd
from linesim.engine.jobs import Job
from linesim.engine.line import Line
from linesim.engine.paced import PacedSection
from linesim.engine.sections import Element, Section
from linesim.engine.switch import switch_calendar
from linesim.plan.tables import NONE


def start(line: Line) -> None:
    """Open the line at tick 0."""
    for c in range(len(line.calendars)):
        switch_calendar(line, c)
    for mode in line.modes:
        mode.start()
    if line.plan.run.starts_full:
        _fill(line)
    line.supply.start()
    line.removal.start()
    for element in line.elements:
        element.wake()
    line.touched_sections.update(range(len(line.sections)))
    line.dirty_stations.update(range(len(line.stations)))
    line.dirty_crews.update(range(len(line.crews)))
    line.dirty_robots.update(range(len(line.robots)))


def _fill(line: Line) -> None:
    """Put a job in every place and the stated number in every buffer, the oldest furthest down."""
    for supply in line.supplies:
        for element in reversed(_elements_below(supply)):
            _fill_element(line, supply, element)


def _elements_below(supply: SupplyEnd) -> list[Element]:
    found: list[Element] = []
    element = supply.below
    while isinstance(element, PacedSection | Stalls | Buffer):
        found.append(element)
        element = element.below
    return found


def _fill_element(line: Line, supply: SupplyEnd, element: Element) -> None:
    if isinstance(element, Buffer):
        for _ in range(min(element.capacity, int(line.plan.buffers.level[element.index]))):
            _put(line, supply, element, NONE)
    elif isinstance(element, PacedSection):
        for position in range(len(element.places) - 1, -1, -1):
            _put(line, supply, element, position)
    elif isinstance(element, Stalls):
        for _ in range(element.places):
            _put(line, supply, element, element.station.position)


def _put(line: Line, supply: SupplyEnd, element: Element, position: int) -> None:
    """Take the next job from ``supply`` and put it where it would be had it come down the line."""
    if not _has_carriers(line, supply, element):
        return
    job = supply.bring()
    if job is None:
        return
    for earlier in takewhile(lambda other: other is not element, _elements_below(supply)):
        _count_as_done(line, job, earlier, NONE)
        _count_as_joined(job, earlier)
    _count_as_joined(job, element)
    _load_carriers(line, job, supply, element)
    _count_as_done(line, job, element, position)
    if isinstance(element, Buffer):
        element.put(job, 0)
    elif isinstance(element, PacedSection):
        element.fill(job, position)
    elif isinstance(element, Stalls):
        element.fill(job)


def _count_as_done(line: Line, job: Job, element: Element, before: int) -> None:
    """Count the work of ``element`` as done: all of it, or that ahead of position ``before``."""
    if isinstance(element, PacedSection):
        stations = element.stations if before == NONE else element.stations[:before]
    elif isinstance(element, Stalls) and before == NONE:
        stations = [element.station]
    else:
        stations = []
    for station in stations:
        job.done.update(job.variant.work[station.index].tasks)


def _count_as_joined(job: Job, element: Element) -> None:
    """Count the units of the feeders that join at ``element`` as taken."""
    section = element.section if isinstance(element, Stalls) else element
    if isinstance(section, Section):
        job.units += [feeder.index for feeder in section.feeders if feeder.index not in job.units]


def _carriers_at(line: Line, supply: SupplyEnd, element: Element) -> list[int]:
    """Return the carriers on which a job at ``element`` travels."""
    on: list[int] = []
    for passed in _elements_below(supply):
        section = passed.section if isinstance(passed, Stalls) else passed
        if isinstance(section, Section):
            on += [k for k in section.carriers_in if k not in on]
        if passed is element:
            break
        if isinstance(section, Section) and not (isinstance(passed, Stalls) and not passed.is_last):
            on = [k for k in on if k not in section.carriers_out]
    return on


def _has_carriers(line: Line, supply: SupplyEnd, element: Element) -> bool:
    return all(line.carriers[k].free for k in _carriers_at(line, supply, element))


def _load_carriers(line: Line, job: Job, supply: SupplyEnd, element: Element) -> None:
    for k in _carriers_at(line, supply, element):
        line.carriers[k].take(job)
