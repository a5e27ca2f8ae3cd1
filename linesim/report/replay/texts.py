"""What a window of a replication says in sentences, and its stops as rows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from linesim.answers.wording import count_of, listed
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE
from linesim.questions.run.sentences import cause_in_words
from linesim.report.replay.record import TOLD, ReplayRecord
from linesim.report.replay.stops import StopSpan, worst
from linesim.report.replay.window import Window
from linesim.ticks import TICKS_PER_SECOND

MOST_ON_PAPER = 30  #: Stops that are printed, the longest.
_MINUTE = 60 * TICKS_PER_SECOND


class StopRow(NamedTuple):
    """A stop in words.

    Attributes:
        begins: When, as the page's clock says it.
        section, place, why: Which section stood, where it is booked to, and its cause.
        minutes: How long [min].
        is_minor: Whether it is left out on paper.
    """

    begins: str
    section: str
    place: str
    why: str
    minutes: str
    is_minor: bool


def clock(tick: int, window: Window) -> str:
    """Return a moment as shift and time in it, or as time of the run where no shift is.

    Examples:
        >>> clock(3_723_000, Window(0, 10, ((3_600_000, 7_200_000),))), clock(0, Window(0, 10, ()))
        ('shift 1, 0:02:03', 'run 0:00:00')
    """
    for i, (begin, end) in enumerate(window.shifts):
        if begin <= tick < end or (tick == end == window.end):
            return f"shift {i + 1}, {_hms(tick - begin)}"
    return f"run {_hms(tick)}"


def _hms(ticks: int) -> str:
    s = ticks // TICKS_PER_SECOND
    return f"{s // 3600}:{s // 60 % 60:02d}:{s % 60:02d}"


def shown_stops(found: ReplayRecord, window: Window) -> tuple[StopSpan, ...]:
    """Return the stops of which something lies in the window, in order of their beginning."""
    return tuple(stop for stop in found.stops if stop.within(window.start, window.end))


def stop_rows(plan: Plan, stops: Sequence[StopSpan], window: Window) -> tuple[StopRow, ...]:
    """Return the stops of a window as rows of a table."""
    longest = sorted(stops, key=lambda stop: stop.begin - stop.end)[:MOST_ON_PAPER]
    printed = set(longest)
    return tuple(
        StopRow(
            clock(stop.begin, window),
            plan.names.section[stop.section],
            _place(plan, stop),
            _why(plan, stop),
            f"{(stop.end - stop.begin) / _MINUTE:.2f}",
            stop not in printed,
        )
        for stop in stops
    )


def sentences(plan: Plan, found: ReplayRecord, window: Window, number: int, seed: int) -> tuple[str, ...]:
    """Return what is to be known first: the worst stop, what left the line, how long each section stood."""
    stops = shown_stops(found, window)
    hardest = worst(stops, window.start, window.end)
    if hardest is None:
        first = "No section stands in this window."
    else:
        kind = "passed on from elsewhere" if hardest.is_passed_on else "not passed on from elsewhere"
        lasts = f"{(hardest.end - hardest.begin) / _MINUTE:.1f} min"
        section = plan.names.section[hardest.section]
        first = (
            f"The longest stop {kind} begins at {clock(hardest.begin, window)}: {section} "
            f"stands {lasts}, {_place(plan, hardest)}, {_why(plan, hardest)}."
        )
    off = TOLD.index("line-off")
    jobs = sum(note.what == off and window.start < note.time <= window.end for note in found.notes)
    minutes = (window.end - window.start) / _MINUTE
    long = f"{minutes / 60:.4g} h" if minutes >= 60 else f"{minutes:.3g} min"
    told = (
        f"Replication {number} of seed {seed}, {long} from {clock(window.start, window)} on: "
        f"{count_of(jobs, 'job')} {'leaves' if jobs == 1 else 'leave'} the line as finished"
    )
    stood = [
        f"{name} {minutes:.1f} min in {count_of(n, 'stop')}"
        for name, minutes, n in _stood(plan, stops, window)
        if n
    ]
    told += f". Standing still: {listed(stood)}." if stood else "."
    return first, told, "One replication shows how things happen, not how often: intervals come from many."


def _stood(plan: Plan, stops: Sequence[StopSpan], window: Window) -> list[tuple[str, float, int]]:
    rows = []
    for s, name in enumerate(plan.names.section):
        mine = [stop for stop in stops if stop.section == s]
        rows.append((name, sum(stop.within(window.start, window.end) for stop in mine) / _MINUTE, len(mine)))
    return rows


def _place(plan: Plan, stop: StopSpan) -> str:
    return plan.names.section[stop.section] if stop.station == NONE else plan.names.station[stop.station]


def _why(plan: Plan, stop: StopSpan) -> str:
    return cause_in_words(plan.names.cause[stop.cause], of_section=stop.station == NONE)
