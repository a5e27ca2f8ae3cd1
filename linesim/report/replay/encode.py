"""A record as columns of whole numbers in few letters, for a page to read and unpack.

Times are ticks from the start of the window. What grows is written as steps, work from the end of the piece
before it, states by the moments of work at which they change; `-1` stands for nothing and for what has not
ended. Only what touches the window is kept. So columns are of small numbers that repeat, which `pack` makes
few letters of: a shift of thirty stations takes some 200 kB.
"""

from __future__ import annotations

import base64
import zlib
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from itertools import groupby, pairwise
from typing import Any

from linesim.plan.orders import PlannedOrder, PlannedOrders
from linesim.plan.tables import NONE
from linesim.report.replay.belts import Belt
from linesim.report.replay.record import (
    BAY_PLACE,
    BUFFER_PLACE,
    OPEN,
    SECTION_PLACE,
    STATION_PLACE,
    TOLD,
    Note,
    ReplayRecord,
    Run,
    Stay,
    StopSpan,
    WorkShown,
)

LEFT, FAULT, PAUSED = 1, 2, 4  #: What the sixth number of a piece of work says, as bits.


def encoded(
    found: ReplayRecord, orders: Sequence[PlannedOrder | None], book: PlannedOrders, start: int, end: int
) -> dict[str, Any]:
    """Return what a record holds between two ticks, as columns of whole numbers.

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
    by_station = {s: list(group) for s, group in groupby(work, key=lambda w: w.station)}
    by_operator: dict[int, list[WorkShown]] = {}
    for piece in work:
        for operator in piece.who:
            by_operator.setdefault(operator, []).append(piece)
    return {
        "told": TOLD,
        "belts": [None if belt is None else _belt(belt, start, end) for belt in found.belts],
        "duty": [_toggles(ticks, start, end) for ticks in found.duty],
        "in_section": [by_place.get((SECTION_PLACE, s), []) for s in range(n_sections)],
        "in_station": [by_place.get((STATION_PLACE, s), []) for s in range(n_stations)],
        "in_buffer": _dense(by_place, BUFFER_PLACE),
        "in_bay": _dense(by_place, BAY_PLACE),
        "stops": _stops([stop for stop in found.stops if stop.within(start, end)], start),
        "work": [_work(by_station.get(s, ()), start) for s in range(n_stations)],
        "stations": [
            _run(run, _moments(by_station.get(s, ()), start, end), start, end)
            for s, run in enumerate(found.stations)
        ],
        "operators": [
            _run(run, _moments(by_operator.get(o, ()), start, end), start, end)
            for o, run in enumerate(found.operators)
        ],
        "last_at": _last_at(found, start),
        "notes": _notes([note for note in found.notes if start <= note.time <= end], start),
        **_orders(stays, orders, book),
    }


def _touches(begin: int, until: int, start: int, end: int) -> bool:
    """Return whether a span touches the window; one of no length that does not begin in it does not."""
    return begin <= end and (until == OPEN or until >= start)


def _dense(by_place: dict[tuple[int, int], list[list[int]]], kind: int) -> list[list[list[int]]]:
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


def _stays(stays: Iterable[Stay], start: int) -> list[list[int]]:
    """Return job, begin, length and mark of stays; the first two as steps."""
    some = list(stays)
    return [
        _steps((stay.job for stay in some), 0),
        _steps((stay.begin for stay in some), start),
        [OPEN if stay.end == OPEN else stay.end - stay.begin for stay in some],
        [stay.mark for stay in some],
    ]


def _stops(stops: Sequence[StopSpan], start: int) -> list[list[int]]:
    """Return section, begin (as a step), length, station and cause of stops."""
    return [
        [stop.section for stop in stops],
        _steps((stop.begin for stop in stops), start),
        [stop.end - stop.begin for stop in stops],
        [stop.station for stop in stops],
        [stop.cause for stop in stops],
    ]


def _work(pieces: Sequence[WorkShown], start: int) -> list[list[int]]:
    """Return when work sets out, begins after that, how long it takes, job, task, how it went, by whom.

    It sets out so long after the end of the piece before it; jobs are steps. The last columns hold, for those
    pieces that have any: faults, how many pauses, and beginning and length of each.
    """
    columns: list[list[int]] = [[] for _ in range(10)]
    before, job = start, 0
    for piece in pieces:
        flags = LEFT * piece.is_left + FAULT * (piece.fault != NONE) + PAUSED * bool(piece.pauses)
        begin = OPEN if piece.begin == OPEN else piece.begin - piece.walk
        lasts = OPEN if piece.end == OPEN else piece.end - piece.begin
        row = (piece.walk - before, begin, lasts, piece.job - job, piece.task, flags, len(piece.who))
        for column, number in zip(columns, row, strict=False):
            column.append(number)
        columns[7] += piece.who
        if piece.fault != NONE:
            columns[8].append(piece.fault)
        if piece.pauses:
            columns[9].append(len(piece.pauses))
            for pause, until in piece.pauses:
                columns[9] += [pause - piece.begin, OPEN if until == OPEN else until - pause]
        before, job = piece.walk + max(0, begin) + max(0, lasts), piece.job
    return columns


def _moments(pieces: Sequence[WorkShown], start: int, end: int) -> list[int]:
    """Return the moments of the window at which work sets out, begins or ends."""
    found = {tick for piece in pieces for tick in (piece.walk, piece.begin, piece.end)}
    return sorted(tick for tick in found if start < tick <= end)


def _run(run: Run, moments: Sequence[int], start: int, end: int) -> list[list[int]]:
    """Return the states from the start of the window on, and when each of the others begins.

    A state that begins at a moment of work is written as twice how many of those lie between the state before
    it and that one, another one as twice how long after the one before it, plus one.
    """
    first = bisect_right(run, (start, 1 << 60)) - 1
    states, when, now = [run[first][1]], [], start
    for tick, state in run[first + 1 :]:
        if tick > end:
            break
        passed, at = bisect_right(moments, now), bisect_left(moments, tick)
        is_known = at < len(moments) and moments[at] == tick
        when.append(2 * (at - passed) if is_known else 2 * (tick - now) + 1)
        states.append(state)
        now = tick
    return [states, when]


def _last_at(found: ReplayRecord, start: int) -> list[int]:
    """Return the station at which each operator was last before the window, or NONE."""
    last: list[tuple[int, int]] = [(-1, NONE)] * len(found.operators)
    for piece in found.work:
        if piece.walk < start:
            for operator in piece.who:
                last[operator] = max(last[operator], (piece.walk, piece.station))
    return [station for _, station in last]


def _notes(notes: Sequence[Note], start: int) -> list[list[int]]:
    """Return when (as a step), what, job, station, task, where and who of notes."""
    times = _steps((note.time for note in notes), start)
    return [times, *([note[k] for note in notes] for k in range(1, len(Note._fields)))]


def _orders(
    stays: Sequence[Stay], orders: Sequence[PlannedOrder | None], book: PlannedOrders
) -> dict[str, Any]:
    """Return what the jobs of the window are: the different orders in words, and which of them each has."""
    numbers = [stay.job for stay in stays]
    first, last = min(numbers, default=0), max(numbers, default=-1)
    kinds: dict[str, int] = {}
    of = [kinds.setdefault(_order_words(orders, n, book), len(kinds)) for n in range(first, last + 1)]
    return {"first_job": first, "orders": list(kinds), "order_of": of}


def _order_words(orders: Sequence[PlannedOrder | None], number: int, book: PlannedOrders) -> str:
    order = orders[number] if number < len(orders) else None
    if order is None:
        return ""
    options = [name for o, name in enumerate(book.option_names) if order.options >> o & 1]
    model = [book.model_names[order.model]] if len(book.model_names) > 1 or options else []
    return " + ".join([*model, *options])


ROW = True  #: Stands in a nest of lists and tables where a row of numbers was taken out.


def packed(value: Any) -> tuple[Any, str]:
    """Return a nest of lists and tables without its rows of whole numbers, and those as one text.

    A row is a list of whole numbers and nothing else; each leaves `ROW` in its place. Length and numbers
    follow each other in the order in which one walks the nest, each number in groups of seven bits, the
    lowest first, with its sign in the lowest bit (LEB128, zigzag); deflated (RFC 1950), in base 64.

    Examples:
        >>> packed({"a": [1, -2, 300], "b": [[], "c", 7]})[0]
        {'a': True, 'b': [[], 'c', 7]}
    """
    found = bytearray()
    rest = _taken(value, found)
    return rest, base64.b64encode(zlib.compress(bytes(found), 9)).decode("ascii")


def _taken(value: Any, found: bytearray) -> Any:
    if isinstance(value, dict):
        return {name: _taken(inner, found) for name, inner in value.items()}
    if not isinstance(value, list):
        return value
    if value and all(type(one) is int for one in value):
        found += _bytes([len(value), *value])
        return ROW
    return [_taken(inner, found) for inner in value]


def _bytes(numbers: Iterable[int]) -> bytes:
    found = bytearray()
    for number in numbers:
        rest = 2 * number if number >= 0 else -2 * number - 1
        while rest > 127:
            found.append(rest & 127 | 128)
            rest >>= 7
        found.append(rest)
    return bytes(found)
