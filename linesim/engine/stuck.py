"""A line that can no longer move is told, with who holds whom; it never just goes quiet."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.engine.job_records import Piece
from linesim.engine.line_records import SectionRecord
from linesim.engine.offers import has_jobs, offer
from linesim.engine.people import has_left
from linesim.engine.states import idle_station_state
from linesim.engine.tables import COMING, RUNNING, State
from linesim.engine.traffic import MOST_AT_ONCE, has_more
from linesim.errors import LineStuck
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE
from linesim.plan.words import STATION_STATES, STOP_CAUSES


def check_moves(s: State, plan: Plan) -> None:
    """Raise `LineStuck` if jobs are inside and nothing under way could ever move them."""
    if s.w[0].n_inside and not _is_anything_under_way(s):
        raise LineStuck(s.w[0].now, s.w[0].moved, _who_holds_whom(s, plan))


def without_end(s: State) -> LineStuck:
    """Return the error for jobs that come and go without end in one instant."""
    held = (
        f"{MOST_AT_ONCE} jobs came and went in one instant: no work takes any time, and neither supply "
        "nor removal holds them back",
        "give each model at least one task that takes time, or [supply] a rate",
    )
    return LineStuck(s.w[0].now, s.w[0].now, held)


def _visits(s: State, k: int) -> Iterator[int]:
    v = s.stations[k].first_visit
    while v != NONE:
        yield v
        v = s.visits[v].next


def _pieces(s: State, v: int) -> Iterator[Piece]:
    p = s.visits[v].first_piece
    while p != NONE:
        yield s.pieces[p]
        p = s.pieces[p].next


def _all_pieces(s: State) -> Iterator[Piece]:
    for k in range(s.w[0].n_stations):
        for v in _visits(s, k):
            yield from _pieces(s, v)


def _is_anything_under_way(s: State) -> bool:
    """Return whether some work, way, repair, conveyor, gate or calendar will still change something.

    Looked at is the moment just before this instant: in it everything may be about to end.
    """
    w = s.w[0]
    return (
        any(piece.state in (COMING, RUNNING) for piece in _all_pieces(s))
        or any(s.jobs[j].bay_runs for j in _in_bays(s))
        or any(mode.failed and not mode.waits for mode in s.modes)
        or any(buffer.n and s.jobs[buffer.last].arrives >= w.now for buffer in s.buffers)
        or any(carrier.returning for carrier in s.carriers)
        or any(operator.is_coming for operator in s.operators)
        or any(s.gates[g].is_rated and has_more(s, g) and not s.gates[g].due for g in (w.supply, w.removal))
        or any(_runs_on(s, x, section) for x, section in enumerate(s.sections))
        or _waits_for_hours(s)
    )


def _in_bays(s: State) -> Iterator[int]:
    for bay in s.bays:
        j = bay.first_working
        while j != NONE:
            yield j
            j = s.jobs[j].next


def _runs_on(s: State, x: int, section: SectionRecord) -> bool:
    """Return whether the conveyor of a section runs and carries something, or soon will."""
    if not section.is_paced or section.timed == NONE:
        return False
    return has_jobs(s, x) or offer(s, section.entrance) != NONE


def _waits_for_hours(s: State) -> bool:
    """Return whether something waits for the working time of a section, a person or a robot to begin."""
    off = {c for c, crew in enumerate(s.crews) if not crew.is_on}
    off |= {operator.crew for o, operator in enumerate(s.operators) if has_left(s, o)}  # they will come back
    if any(not section.is_on for section in s.sections):
        return True
    if any(mode.waits and mode.crew in off for mode in s.modes):
        return True
    for bay in s.bays:
        crews = s.ints[bay.crews : bay.crews + bay.n_crews]
        if off.intersection(crews) and (bay.n_waiting or bay.n_working):
            return True
    return any(
        off.intersection(s.ints[piece.crews : piece.crews + piece.n_crews])
        or any(s.operators[o].crew in off for o in _people(s, piece))
        or any(not s.robots[r].is_on for r in s.ints[piece.robots : piece.robots + piece.n_robots])
        for piece in _all_pieces(s)
    )


def _people(s: State, piece: Piece) -> Iterator[int]:
    o = piece.first_person
    while o != NONE:
        yield o
        o = s.operators[o].next


def _who_holds_whom(s: State, plan: Plan) -> list[str]:
    """Return a sentence for every job that waits, in line order."""
    names = plan.names
    order = sorted(range(len(s.stations)), key=lambda k: s.stations[k].depth)
    sentences = [_visit_sentence(s, plan, k, v) for k in order for v in _visits(s, k)]
    for x, section in enumerate(s.sections):
        i = section.first_hold
        while i != NONE:
            hold = s.items[i]
            where = names.station[hold.place] if hold.place >= 0 else "its conveyor"
            sentences.append(f"section {names.section[x]} stands for {where}: {names.cause[hold.cause]}")
            i = hold.next
    for b, buffer in enumerate(s.buffers):
        if buffer.n:
            sentences.append(f"buffer {names.buffer[b]} holds {buffer.n} of {buffer.capacity}")
    sentences += [
        f"every carrier {names.carrier[k]} is with a job or on its way back"
        for k, carrier in enumerate(s.carriers)
        if carrier.free == 0
    ]
    return sentences or ["jobs are inside, and no station, buffer or bay will hand them on"]


def _visit_sentence(s: State, plan: Plan, k: int, v: int) -> str:
    names = plan.names
    words = [*STATION_STATES, *(f"waiting: {word}" for word in names.cause[len(STOP_CAUSES) :])]
    state = words[idle_station_state(s, k)]
    tasks = [names.task[piece.task] for piece in _pieces(s, v)]
    holders = _holders(s, plan, v)
    held = f", held by {', '.join(holders)}" if holders else ""
    work = ", ".join(tasks) if tasks else "work that waits for earlier work"
    return f"job {s.jobs[s.visits[v].job].number + 1} at {names.station[k]}: {state} ({work}{held})"


def _holders(s: State, plan: Plan, v: int) -> list[str]:
    """Return who has the people, robots and tools that a visit lacks."""
    names, found = plan.names, []

    def job_of(p: int) -> int:
        return s.jobs[s.visits[s.pieces[p].visit].job].number + 1

    for piece in _pieces(s, v):
        for c in s.ints[piece.crews : piece.crews + piece.n_crews]:
            crew = s.crews[c]
            for o in range(crew.first, crew.first + crew.people):
                other = s.operators[o].piece
                if other != NONE and s.pieces[other] is not piece:
                    found.append(f"{names.operator[o]} on job {job_of(other)}")
        for r in s.ints[piece.robots : piece.robots + piece.n_robots]:
            other = s.robots[r].piece
            if other != NONE and s.pieces[other] is not piece:
                found.append(f"{names.robot[r]} on job {job_of(other)}")
    return list(dict.fromkeys(found))
