"""A line that can no longer move is told, with who holds whom; it never just goes quiet."""

from __future__ import annotations

from linesim.engine.jobs import COMING, RUNNING, Piece, Visit
from linesim.engine.line import Line
from linesim.engine.paced import PacedSection
from linesim.errors import LineStuck
from linesim.plan.tables import NONE
from linesim.plan.words import STATION_STATES, STOP_CAUSES


def check_moves(line: Line) -> None:
    """Raise `LineStuck` if jobs are inside and nothing under way could ever move them."""
    if line.books.n_inside and not _is_anything_under_way(line):
        raise LineStuck(line.clock.now, _who_holds_whom(line))


def _is_anything_under_way(line: Line) -> bool:
    """Return whether some work, way, repair, conveyor, gate or calendar will still change something.

    Looked at is the moment just before this instant: in it everything may be about to end.
    """
    return (
        any(_goes_on(piece) for station in line.stations for v in station.visits for piece in v.pieces)
        or any(bay_job.runs for bay in line.bays for bay_job in bay.working)
        or any(mode.failed and not mode.waits for mode in line.modes)
        or any(buffer.jobs and buffer.jobs[-1][0] >= line.clock.now for buffer in line.buffers)
        or any(carrier.returning for carrier in line.carriers)
        or any(operator.is_coming for crew in line.crews for operator in crew.operators)
        or any(gate.is_rated and gate.has_more and not gate.due for gate in (line.supply, line.removal))
        or any(isinstance(section, PacedSection) and _runs_on(section) for section in line.sections)
        or _waits_for_hours(line)
    )


def _goes_on(piece: Piece) -> bool:
    """Return whether ``piece`` is in progress, or will be once its people are there."""
    return piece.state in (COMING, RUNNING)


def _runs_on(section: PacedSection) -> bool:
    """Return whether the conveyor of ``section`` runs and carries something, or soon will."""
    if section.timed == NONE:
        return False
    return section.has_jobs() or any(inlet.offers(section) is not None for inlet in section.inlets)


def _waits_for_hours(line: Line) -> bool:
    """Return whether something waits for the working time of a section, a crew or a robot to begin."""
    off = {crew.index for crew in line.crews if not crew.is_on}
    if any(not section.is_on for section in line.sections):
        return True
    if any(mode.waits and mode.crew in off for mode in line.modes):
        return True
    if any(off.intersection(bay.crews) and (bay.waiting or bay.working) for bay in line.bays):
        return True
    pieces = [piece for station in line.stations for visit in station.visits for piece in visit.pieces]
    return any(
        off.intersection(piece.need.crews)
        or any(operator.crew.index in off for operator in piece.people)
        or any(not line.robots[r].is_on for r in piece.need.robots)
        for piece in pieces
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
    sentences += [
        f"every carrier {names.carrier[carrier.index]} is with a job or on its way back"
        for carrier in line.carriers
        if carrier.free == 0
    ]
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
