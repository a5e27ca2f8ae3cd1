"""What a replay is made from says exactly what the ledger says, thing by thing and tick by tick."""

import numpy as np
import pytest

from linesim.plan.tables import FREE, NONE
from linesim.report.replay.record import (
    BUFFER_PLACE,
    OPEN,
    SECTION_PLACE,
    STATION_PLACE,
    TOLD,
    Places,
    Stay,
    StopSpan,
    worst,
)
from tests.unit.report.replay.seen import LINES, Seen, seen, ticks_by_state

everywhere = pytest.mark.parametrize("name", LINES)


def ends(seen: Seen, stay: Stay) -> int:
    """Return when a stay ended, or the end of the run."""
    return seen.watched.until if stay.end == OPEN else stay.end


@everywhere
def test_states_add_up_to_the_ledger(name: str) -> None:
    """The ticks that stations and operators spend in each state are those of the ledger."""
    watched, found = seen(name)
    ledger = watched.ledger
    for runs, account in ((found.stations, ledger.station_state), (found.operators, ledger.operator_state)):
        assert (ticks_by_state(runs, account.shape, ledger.start, ledger.end) == account).all()


@everywhere
def test_stops_add_up_to_the_ledger(name: str) -> None:
    """The stopped ticks of each section, place and cause are those of the ledger."""
    watched, found = seen(name)
    ledger = watched.ledger
    stopped = np.zeros_like(ledger.stop)
    for stop in found.stops:
        station = stop.station if stop.station != NONE else -1
        stopped[stop.section, station, stop.cause] += stop.within(ledger.start, ledger.end)
    assert (stopped == ledger.stop).all()


@everywhere
def test_stays_in_buffers_add_up_to_the_ledger(name: str) -> None:
    """The job-ticks that stays spend in each buffer are those of the ledger's levels."""
    run = seen(name)
    ledger = run.watched.ledger
    for b, levels in enumerate(ledger.buffer_level_clock):
        held = sum(
            max(0, min(ends(run, stay), ledger.end) - max(stay.begin, ledger.start))
            for stay in run.record.stays
            if (stay.kind, stay.place) == (BUFFER_PLACE, b)
        )
        assert held == int(levels @ np.arange(len(levels)))


@everywhere
def test_every_job_inside_is_in_one_place(name: str) -> None:
    """At every moment of the accounts the main line's stays are as many as the jobs inside."""
    run = seen(name)
    watched, found = run
    flow = Places(watched.plan)
    own = [
        stay
        for stay in found.stays
        if (
            {SECTION_PLACE: flow.section, BUFFER_PLACE: flow.buffer}[stay.kind][stay.place]
            if stay.kind in (SECTION_PLACE, BUFFER_PLACE)
            else flow.section[int(watched.plan.stations.section[stay.place])]
            if stay.kind == STATION_PLACE
            else flow.bay[stay.place]
        )
        == 0
    ]
    ledger = watched.ledger
    held = sum(max(0, min(ends(run, stay), ledger.end) - max(stay.begin, ledger.start)) for stay in own)
    assert held == ledger.job_time_clock
    assert sum(stay.end == OPEN for stay in own) == ledger.inside_end
    off = TOLD.index("line-off")
    assert sum(note.what == off and note.time >= ledger.start for note in found.notes) == ledger.jobs_out


@everywhere
def test_marks_lie_a_takt_of_running_time_apart(name: str) -> None:
    """A conveyor has run exactly one takt from each mark to the next, however long it stood between."""
    for belt in seen(name).record.belts:
        if belt is not None:
            ran = [belt.ran(mark) - belt.phase for mark in belt.marks]
            assert ran == [belt.takt * (number + 1) for number in range(len(ran))]


@everywhere
def test_places_are_where_the_events_say(name: str) -> None:
    """Whenever a job enters a station of a paced section its place is at that station."""
    watched, found = seen(name)
    plan, stays = watched.plan, {}
    for stay in found.stays:
        if stay.kind == SECTION_PLACE:
            stays.setdefault((stay.place, stay.job), []).append(stay)
    n = 0
    for event in watched.events:
        section = int(plan.stations.section[event.station]) if event.what == "enter" else NONE
        if section == NONE or plan.sections.pacing[section] == FREE:
            continue
        belt = found.belts[section]
        stay = next(s for s in reversed(stays[section, event.job]) if s.begin <= event.time)
        position = int(plan.stations.position[event.station])
        assert belt is not None
        assert belt.station(stay.mark, event.time) == position
        assert belt.place(stay.mark, event.time) == position + (0.5 if belt.is_indexed else 0)
        n += 1
    assert n or not any(found.belts)


@everywhere
def test_a_stop_is_a_flat_step(name: str) -> None:
    """While a paced section stands none of its jobs goes on; on a moving one they do otherwise."""
    found = seen(name).record
    stays = [stay for stay in found.stays if stay.kind == SECTION_PLACE]
    for stop in found.stops:
        belt = found.belts[stop.section]
        if belt is None:
            continue
        for stay in stays:
            if (
                stay.place == stop.section
                and stay.begin <= stop.begin
                and (stay.end == OPEN or stop.end < stay.end)
            ):
                at = {
                    belt.place(stay.mark, t) for t in (stop.begin, (stop.begin + stop.end) // 2, stop.end - 1)
                }
                assert len(at) == 1
    for belt in found.belts:
        if belt is not None and not belt.is_indexed:
            for begin, end in zip(belt.toggles[::2], belt.toggles[1::2], strict=False):
                assert belt.travel(end) - belt.travel(begin) == pytest.approx((end - begin) / belt.takt)


def test_a_trace_by_hand() -> None:
    """The six stops of the line-stop trace stand where hand reckoning puts them."""
    watched, found = seen("textbook/line-stop-trace")
    stations = watched.plan.names.station
    stops = [(stop.begin / 1000, stop.end / 1000, stations[stop.station]) for stop in found.stops]
    # By hand: pitches last 60, 70, 60, 66, 60, 75, 60, 63 s; a stop begins 60 s after its mark at the station
    # further down if two are late, and passes to the other when that one is done.
    assert stops == [
        (120, 122, "S2"), (122, 130, "S1"), (250, 251, "S3"), (251, 256, "S2"), (376, 391, "S3"),
        (511, 514, "S3"),
    ]  # fmt: skip


@everywhere
def test_people_work_while_the_log_says_so(name: str) -> None:
    """The people of every piece of work that runs are working or helping, in no two pieces at once."""
    watched, found = seen(name)
    at_work = np.zeros(len(found.operators), dtype=np.int64)
    for piece in found.work:
        end = watched.until if piece.end == OPEN else piece.end
        rests = sum((watched.until if until == OPEN else until) - since for since, until in piece.pauses)
        for operator in piece.who:
            at_work[operator] += max(0, end - piece.begin - rests) if piece.begin != OPEN else 0
    shape = (len(found.operators), 10)
    states = ticks_by_state(found.operators, shape, 0, watched.until)
    if not len(watched.plan.names.bay):  # work in bays is no piece of work at a station
        assert (at_work == states[:, 0] + states[:, 2]).all()
    else:
        assert (at_work <= states[:, 0] + states[:, 2]).all()


def test_the_worst_stop_begins_on_the_line() -> None:
    """The worst stop is the longest within the span, one that is passed on only if there is no other."""
    own, passed = StopSpan(0, 10, 30, 0, 0), StopSpan(0, 40, 90, 0, 4)
    long = StopSpan(1, 0, 25, 2, 1)
    assert worst((own, passed, long), 0, 100) == long
    assert worst((own, passed, long), 20, 100) == own
    assert worst((passed,), 0, 100) == passed
    assert worst((own,), 30, 100) is None
