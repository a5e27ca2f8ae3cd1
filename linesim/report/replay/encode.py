"""A record as few whole numbers as possible, for a page to read.

Times are ticks from the start of the window. In a row of numbers that only grow, such as beginnings, each is
written as its distance from the one before; `-1` stands for nothing and for what has not ended. Only what
touches the window is kept. A shift of thirty stations takes about a megabyte.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from itertools import groupby, pairwise
from typing import Any

from linesim.plan.orders import Order, Orders
from linesim.plan.tables import NONE
from linesim.report.replay.belts import Belt
from linesim.report.replay.record import TOLD, Note, ReplayRecord, Run
from linesim.report.replay.stays import (
    BAY_PLACE,
    BUFFER_PLACE,
    OPEN,
    SECTION_PLACE,
    STATION_PLACE,
    Stay,
)
from linesim.report.replay.stops import StopSpan
from linesim.report.replay.work import Work

LEFT, FAULT, PAUSED = 1, 2, 4  #: What the sixth number of a piece of work says, as bits.


def encoded(
    found: ReplayRecord, orders: Sequence[Order | None], book: Orders, start: int, end: int
) -> dict[str, Any]:
    """Return what a record holds between two ticks, as lists of whole numbers.

    Args:
        found: What happened.
        orders: What each job is.
        book: Names of models and options.
        start: First tick of the window.
        end: Last tick of the window.
    """
    stays = [stay for stay in found.stays if _touches(stay.begin, stay.end, start, end)]
    by_place = {
        key: _stays(group, start) for key, group in groupby(stays, key=lambda stay: (stay.kind, stay.place))
    }
    n_stations, n_sections = len(found.stations), len(found.belts)
    work = [w for w in found.work if _touches(w.walk, w.end, start, end)]
    by_station = {s: _work(group, start) for s, group in groupby(work, key=lambda w: w.station)}
    return {
        "told": TOLD,
        "belts": [None if belt is None else _belt(belt, start, end) for belt in found.belts],
        "duty": [_toggles(ticks, start, end) for ticks in found.duty],
        "in_section": [by_place.get((SECTION_PLACE, s), []) for s in range(n_sections)],
        "in_station": [by_place.get((STATION_PLACE, s), []) for s in range(n_stations)],
        "in_buffer": _dense(by_place, BUFFER_PLACE),
        "in_bay": _dense(by_place, BAY_PLACE),
        "stops": _stops([stop for stop in found.stops if stop.within(start, end)], start),
        "work": [by_station.get(s, []) for s in range(n_stations)],
        "stations": [_run(run, start, end) for run in found.stations],
        "operators": [_run(run, start, end) for run in found.operators],
        "last_at": _last_at(found, start),
        "notes": _notes([note for note in found.notes if start <= note.time <= end], start),
        **_orders(stays, orders, book),
    }


def _touches(begin: int, until: int, start: int, end: int) -> bool:
    """Return whether a span touches the window; one of no length that does not begin in it does not."""
    return begin <= end and (until == OPEN or until >= start)


def _dense(by_place: dict[tuple[int, int], list[int]], kind: int) -> list[list[int]]:
    last = max((place for found, place in by_place if found == kind), default=-1)
    return [by_place.get((kind, place), []) for place in range(last + 1)]


def _steps(values: Iterable[int], before: int) -> list[int]:
    """Return how far each value is from the one before."""
    return [b - a for a, b in pairwise((before, *values))]


def _toggles(ticks: Sequence[int], start: int, end: int) -> list[int]:
    """Return whether it is on at the start, and the distances between the changes after that."""
    first = bisect_right(ticks, start)
    return [first % 2, *_steps([t for t in ticks[first:] if t <= end], start)]


def _belt(belt: Belt, start: int, end: int) -> dict[str, Any]:
    """Return running time since mark 0 and marks passed at the start, and what changes them."""
    first = belt.passed(start)
    return {
        "takt": belt.takt,
        "transfer": belt.transfer,
        "indexed": int(belt.is_indexed),
        "ran": belt.ran(start) - belt.phase,
        "runs": _toggles(belt.toggles, start, end),
        "passed": first,
        "marks": _steps([t for t in belt.marks[first:] if t <= end], start),
    }


def _stays(stays: Iterable[Stay], start: int) -> list[int]:
    """Return job, begin, length and mark of each stay; the first two as steps."""
    row, job, begin = [], 0, start
    for stay in stays:
        lasts = OPEN if stay.end == OPEN else stay.end - stay.begin
        row += [stay.job - job, stay.begin - begin, lasts, stay.mark]
        job, begin = stay.job, stay.begin
    return row


def _stops(stops: Sequence[StopSpan], start: int) -> list[int]:
    """Return section, begin (as a step), length, station and cause of each stop."""
    row, begin = [], start
    for stop in stops:
        row += [stop.section, stop.begin - begin, stop.end - stop.begin, stop.station, stop.cause]
        begin = stop.begin
    return row


def _work(pieces: Iterable[Work], start: int) -> list[int]:
    """Return each piece: when, how long, what, on which job (when and job as steps), how it went, by whom."""
    row, walk, job = [], start, 0
    for piece in pieces:
        flags = LEFT * piece.is_left + FAULT * (piece.fault != NONE) + PAUSED * bool(piece.pauses)
        lasts = OPEN if piece.end == OPEN else piece.end - piece.begin
        begin = OPEN if piece.begin == OPEN else piece.begin - piece.walk
        row += [
            piece.walk - walk,
            begin,
            lasts,
            piece.job - job,
            piece.task,
            flags,
            len(piece.who),
            *piece.who,
        ]
        if piece.fault != NONE:
            row.append(piece.fault)
        if piece.pauses:
            row.append(len(piece.pauses))
            for pause, until in piece.pauses:
                row += [pause - piece.begin, OPEN if until == OPEN else until - pause]
        walk, job = piece.walk, piece.job
    return row


def _run(run: Run, start: int, end: int) -> list[int]:
    """Return the state at the start, then after how long it changes and into what."""
    first = bisect_right(run, (start, 1 << 60)) - 1
    row, now = [run[first][1]], start
    for tick, state in run[first + 1 :]:
        if tick > end:
            break
        row += [tick - now, state]
        now = tick
    return row


def _last_at(found: ReplayRecord, start: int) -> list[int]:
    """Return the station at which each operator was last before the window, or NONE."""
    last: list[tuple[int, int]] = [(-1, NONE)] * len(found.operators)
    for piece in found.work:
        if piece.walk < start:
            for operator in piece.who:
                last[operator] = max(last[operator], (piece.walk, piece.station))
    return [station for _, station in last]


def _notes(notes: Sequence[Note], start: int) -> list[int]:
    """Return when (as a step), what, job, station, task, where and who of each note."""
    row, now = [], start
    for note in notes:
        row += [note.time - now, *note[1:]]
        now = note.time
    return row


def _orders(stays: Sequence[Stay], orders: Sequence[Order | None], book: Orders) -> dict[str, Any]:
    """Return what the jobs of the window are: the different orders in words, and which of them each has."""
    numbers = [stay.job for stay in stays]
    first, last = min(numbers, default=0), max(numbers, default=-1)
    kinds: dict[str, int] = {}
    of = [kinds.setdefault(_order_words(orders, n, book), len(kinds)) for n in range(first, last + 1)]
    return {"first_job": first, "orders": list(kinds), "order_of": of}


def _order_words(orders: Sequence[Order | None], number: int, book: Orders) -> str:
    order = orders[number] if number < len(orders) else None
    if order is None:
        return ""
    options = [name for o, name in enumerate(book.option_names) if order.options >> o & 1]
    model = [book.model_names[order.model]] if len(book.model_names) > 1 or options else []
    return " + ".join([*model, *options])
