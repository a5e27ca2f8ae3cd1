"""What the page is given says, number by number, what the record says of its window."""

import base64
import json
import zlib
from itertools import accumulate
from typing import Any

import pytest

from linesim.plan.tables import NONE
from linesim.report.html import embedded
from linesim.report.replay.encode import ROW, encoded, packed
from linesim.report.replay.record import (
    BAY_PLACE,
    BUFFER_PLACE,
    OPEN,
    SECTION_PLACE,
    STATION_PLACE,
    Run,
    Stay,
    WorkShown,
    record,
)
from linesim.runs.trace import watch
from tests.unit.report.replay.seen import LINES, Seen, seen

everywhere = pytest.mark.parametrize("name", LINES)


def window(run: Seen) -> tuple[int, int]:
    """Return a window in the middle of a run that begins and ends at no round time."""
    until = run.watched.until
    return until // 3 + 7, 2 * until // 3 + 11


def code(run: Seen, start: int, end: int) -> dict[str, Any]:
    """Return the encoded window, packed for the page and unpacked again."""
    watched = run.watched
    rest, rows = packed(encoded(run.record, watched.orders, watched.plan.orders, start, end))
    return dict(unpacked(json.loads(embedded(rest)), rows))


def unpacked(rest: Any, text: str) -> Any:
    """Return what `packed` was given."""
    raw = iter(zlib.decompress(base64.b64decode(text)))

    def number() -> int:
        found = place = 0
        while (one := next(raw)) > 127:
            found, place = found | (one & 127) << place, place + 7
        found |= one << place
        return -(found + 1) // 2 if found % 2 else found // 2

    def filled(value: Any) -> Any:
        if value is ROW:
            return [number() for _ in range(number())]
        if isinstance(value, list):
            return [filled(inner) for inner in value]
        return {name: filled(inner) for name, inner in value.items()} if isinstance(value, dict) else value

    found = filled(rest)
    assert next(raw, None) is None
    return found


def stays_in(rows: list[list[list[int]]], kind: int, start: int) -> list[Stay]:
    """Read the stays of one kind back."""
    found = []
    for place, columns in enumerate(rows):
        steps, begun, lengths, marks = columns or ([], [], [], [])
        jobs, begins = list(accumulate(steps)), list(accumulate(begun, initial=start))[1:]
        for job, begin, lasts, mark in zip(jobs, begins, lengths, marks, strict=True):
            found.append(Stay(job, kind, place, begin, OPEN if lasts == OPEN else begin + lasts, mark))
    return found


def work_in(rows: list[list[list[int]]], start: int) -> list[WorkShown]:
    """Read the pieces of work back."""
    found = []
    for station, (*columns, people, faults, rests) in enumerate(rows):
        last, job = start, 0
        who_, faults_, rest = iter(people), iter(faults), iter(rests)
        for after, before, lasts, step, task, flags, n in zip(*columns, strict=True):
            walk, job = last + after, job + step
            who = tuple(next(who_) for _ in range(n))
            begin = OPEN if before == OPEN else walk + before
            fault = next(faults_) if flags & 2 else NONE
            pauses = []
            for _ in range(next(rest) if flags & 4 else 0):
                since, resting = begin + next(rest), next(rest)
                pauses.append((since, OPEN if resting == OPEN else since + resting))
            end = OPEN if lasts == OPEN else begin + lasts
            last = walk + max(0, before) + max(0, lasts)
            found.append(
                WorkShown(station, job, task, fault, who, walk, begin, end, bool(flags & 1), tuple(pauses))
            )
    return found


@everywhere
def test_stays_and_work_read_back(name: str) -> None:
    """Stays and pieces of work that touch the window read back as they were, and no others are there."""
    run = seen(name)
    start, end = window(run)
    code_ = code(run, start, end)
    rows = {
        SECTION_PLACE: "in_section",
        STATION_PLACE: "in_station",
        BUFFER_PLACE: "in_buffer",
        BAY_PLACE: "in_bay",
    }
    stays = [stay for kind, row in rows.items() for stay in stays_in(code_[row], kind, start)]
    assert stays == [s for s in run.record.stays if s.begin <= end and (s.end == OPEN or s.end >= start)]
    work = work_in(code_["work"], start)
    assert work == [w for w in run.record.work if w.walk <= end and (w.end == OPEN or w.end >= start)]


def run_in(columns: list[list[int]], pieces: list[WorkShown], start: int, end: int) -> list[tuple[int, int]]:
    """Read the states of a thing back: from when on, and which."""
    (first, *states), when = columns
    moments = sorted({t for w in pieces for t in (w.walk, w.begin, w.end) if start < t <= end})
    found = [(start, first)]
    for code_, state in zip(when, states, strict=True):
        now = found[-1][0]
        t = now + code_ // 2 if code_ % 2 else [m for m in moments if m > now][code_ // 2]
        found.append((t, state))
    return found


def within(run: Run, start: int, end: int) -> list[tuple[int, int]]:
    """Return the states of a window, the first from its start on."""
    before = [state for since, state in run if since <= start][-1]
    return [(start, before), *((since, state) for since, state in run if start < since <= end)]


@everywhere
def test_belts_and_states_read_back(name: str) -> None:
    """Running time, marks and states at any moment of the window follow from what the page is given."""
    run = seen(name)
    start, end = window(run)
    code_ = code(run, start, end)
    moments = [start, end, *range(start, end, (end - start) // 41)]
    for belt, raw in zip(run.record.belts, code_["belts"], strict=True):
        if belt is None:
            assert raw is None
            continue
        toggles = list(accumulate(raw["runs"][1:], initial=start))
        marks = list(accumulate(raw["marks"], initial=start))[1:]
        for t in moments:
            ran, runs = raw["ran"], raw["runs"][0]
            for since, until in zip(toggles, [*toggles[1:], end + 1], strict=True):
                ran += runs * max(0, min(t, until) - since)
                runs = 1 - runs
            assert ran == belt.ran(t) - belt.phase
            assert raw["passed"] + sum(mark <= t for mark in marks) == belt.passed(t)
    work = work_in(code_["work"], start)
    for k, (states, columns) in enumerate(zip(run.record.stations, code_["stations"], strict=True)):
        assert run_in(columns, [w for w in work if w.station == k], start, end) == within(states, start, end)
    for o, (states, columns) in enumerate(zip(run.record.operators, code_["operators"], strict=True)):
        assert run_in(columns, [w for w in work if o in w.who], start, end) == within(states, start, end)


@everywhere
def test_stops_and_notes_read_back(name: str) -> None:
    """Stops that touch the window and what is told in it read back as they were."""
    run = seen(name)
    start, end = window(run)
    code_ = code(run, start, end)
    sections, steps, lengths, places, causes = code_["stops"]
    begins = list(accumulate(steps, initial=start))[1:]
    stops = [
        (s, begin, begin + lasts, k, c)
        for s, begin, lasts, k, c in zip(sections, begins, lengths, places, causes, strict=True)
    ]
    assert stops == [tuple(stop) for stop in run.record.stops if stop.within(start, end)]
    steps, *others = code_["notes"]
    notes = list(zip(list(accumulate(steps, initial=start))[1:], *others, strict=True))
    assert notes == [tuple(note) for note in run.record.notes if start <= note.time <= end]


def test_orders_are_named() -> None:
    """Each job of the window has its model and options in words, each kind of order written once."""
    run = seen("features/calls-and-floaters")
    start, end = window(run)
    code_ = code(run, start, end)
    assert sorted(code_["orders"]) == ["heavy", "light"]
    book = run.watched.plan.orders
    for i, kind in enumerate(code_["order_of"]):
        order = run.watched.orders[code_["first_job"] + i]
        assert order is not None
        assert code_["orders"][kind] == book.model_names[order.model]


def test_watching_less_shows_the_same() -> None:
    """A run that is watched up to a moment gives, up to then, the numbers of one watched to its end."""
    run = seen("features/passing-on")
    watched = run.watched
    end = watched.until // 2
    less = watch(watched.plan, watched.seed, watched.number, until=end)
    assert less.events == tuple(event for event in watched.events if event.time < end)
    start = watched.plan.run.warm_up + 60_000
    short = code(Seen(less, record(watched.plan, less.events, less.until)), start, end - 1)
    long = code(run, start, end - 1)
    assert set(short) == set(long)
    for name in ("belts", "duty", "stations", "operators", "notes", "orders", "last_at"):
        assert short[name] == long[name]


def test_a_moment_outside_the_run_cannot_be_watched() -> None:
    """Watching must end after the warm-up and within the run."""
    plan = seen("features/passing-on").watched.plan
    for until in (plan.run.warm_up, plan.run.warm_up + plan.run.length + 1):
        with pytest.raises(ValueError, match="until must lie after"):
            watch(plan, 1, 1, until=until)
