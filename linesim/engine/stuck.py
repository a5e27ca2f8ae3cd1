"""A line that can no longer move is told, with who holds whom; it never just goes quiet."""

from __future__ import annotations

from linesim.engine.jobs import COMING, RUNNING, Visit
from linesim.engine.line import Line
from linesim.engine.paced import PacedSection
from linesim.errors import LineStuck
from linesim.plan.words import STATION_STATES, STOP_CAUSES


def check_moves(line: Line) -> None:
    """Raise `LineStuck` if jobs are inside and nothing under way could ever move them."""
    if line.books.n_inside and not _is_anything_under_way(line):
        raise LineStuck(line.clock.now, _who_holds_whom(line))


def _is_anything_under_way(line: Line) -> bool:
    """Return whether some work, way, repair, conveyor, gate or calendar will still change something."""
    now = line.clock.now
    if any(
        piece.state in (COMING, RUNNING)
        for station in line.stations
        for visit in station.visits
        for piece in visit.pieces
    ):
        return True
    if any(not calendar.on_at(now) for calendar in line.calendars):
        return True
    if any(mode.failed and not mode.waits for mode in line.modes):
        return True
    if any(buffer.jobs and buffer.jobs[-1][0] > now for buffer in line.buffers):
        return True
    if any(bay.working for bay in line.bays) or line.bay_people:
        return True
    if any(carrier.returning for carrier in line.carriers):
        return True
    if any(operator.is_coming for crew in line.crews for operator in crew.operators):
        return True
    if any(gate.is_rated and gate.has_more for gate in (line.supply, line.removal)):
        return True
    return any(
        isinstance(section, PacedSection)
        and (section.is_moving(now) or section.timed >= 0)
        and section.jobs_inside()
        for section in line.sections
    )


def _who_holds_whom(line: Line) -> list[str]:
    """Return a sentence for every job that waits, in line order."""
    sentences = [
        _visit_sentence(line, visit)
        for station in sorted(line.stations, key=lambda s: s.depth)
        for visit in station.visits
    ]
    names = line.plan.names
    for section in line.sections:
        for station, cause in section.holds:
            where = names.station[station] if station >= 0 else "its conveyor"
            sentences.append(
                f"section {names.section[section.index]} stands for {where}: {names.cause[cause]}"
            )
    for buffer in line.buffers:
        if buffer.jobs:
            sentences.append(
                f"buffer {names.buffer[buffer.index]} holds {len(buffer.jobs)} of {buffer.capacity}"
            )
    return sentences or ["jobs are inside, and no station, buffer or bay will hand them on"]


def _visit_sentence(line: Line, visit: Visit) -> str:
    names = line.plan.names
    words = [*STATION_STATES, *(f"waiting: {word}" for word in names.cause[len(STOP_CAUSES) :])]
    state = words[visit.station.state()]
    tasks = [names.task[piece.task] for piece in visit.pieces]
    holders = _holders(line, visit)
    held = f", held by {', '.join(holders)}" if holders else ""
    work = ", ".join(tasks) if tasks else "work that waits for earlier work"
    return f"job {visit.job.number + 1} at {names.station[visit.station.index]}: {state} ({work}{held})"


def _holders(line: Line, visit: Visit) -> list[str]:
    """Return who has the people, robots and tools that ``visit`` lacks."""
    names, found = line.plan.names, []
    for piece in visit.pieces:
        for c in piece.need.crews:
            for operator in line.crews[c].operators:
                if operator.piece is not None and operator.piece is not piece:
                    found.append(
                        f"{names.operator[operator.index]} on job {operator.piece.visit.job.number + 1}"
                    )
        for r in piece.need.robots:
            other = line.robots[r].piece
            if other is not None and other is not piece:
                found.append(f"{names.robot[r]} on job {other.visit.job.number + 1}")
    return list(dict.fromkeys(found))
