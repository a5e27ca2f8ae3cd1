"""What a window of a replication says in sentences, and its stops as rows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from linesim.answers.wording import count_of, listed
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE
from linesim.questions.run.sentences import cause_in_words
from linesim.report.replay.record import StopSpan, worst
from linesim.report.replay.sides import ReplaySide, Window
from linesim.ticks import TICKS_PER_SECOND

MOST_ON_PAPER = 30  #: Stops that are printed, the longest.
_MINUTE = 60 * TICKS_PER_SECOND


class StopRow(NamedTuple):
    """A stop in words.

    Attributes:
        side: Which line it is of; empty where there is one.
        begins: When, as the page's clock says it.
        section, place, why: Which section stood, where it is booked to, and its cause.
        minutes: How long [min].
        is_minor: Whether it is left out on paper.
    """

    side: str
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


def stop_rows(sides: Sequence[ReplaySide], window: Window) -> tuple[StopRow, ...]:
    """Return the stops of a window as rows of a table, side by side."""
    stops = [stop for side in sides for stop in side.stops]
    printed = set(sorted(range(len(stops)), key=lambda i: stops[i].begin - stops[i].end)[:MOST_ON_PAPER])
    return tuple(
        StopRow(
            side.name,
            clock(stop.begin, window),
            side.watched.plan.names.section[stop.section],
            _place(side.watched.plan, stop),
            _why(side.watched.plan, stop),
            f"{(stop.end - stop.begin) / _MINUTE:.2f}",
            i not in printed,
        )
        for i, (side, stop) in enumerate((side, stop) for side in sides for stop in side.stops)
    )


def sentences(sides: Sequence[ReplaySide], window: Window) -> tuple[str, ...]:
    """Return what is to be known first: the worst stop, what left the line, how long each section stood."""
    if len(sides) > 1:
        said = [_compared(sides, window), *(f"{side.name}: {_told(side, window)}" for side in sides)]
    else:
        said = [_hardest(sides[0], window), _told(sides[0], window)]
    watched = sides[0].watched
    minutes = (window.end - window.start) / _MINUTE
    long = f"{minutes / 60:.4g} h" if minutes >= 60 else f"{minutes:.3g} min"
    said.append(
        f"Replication {watched.number} of seed {watched.seed}, {long} from {clock(window.start, window)} on."
    )
    return (*said, "One replication shows how things happen, not how often: intervals come from many.")


def _hardest(side: ReplaySide, window: Window) -> str:
    hardest = worst(side.stops, window.start, window.end)
    if hardest is None:
        return "No section stands in this window."
    plan = side.watched.plan
    kind = "passed on from elsewhere" if hardest.is_passed_on else "not passed on from elsewhere"
    lasts = f"{(hardest.end - hardest.begin) / _MINUTE:.1f} min"
    section, place = plan.names.section[hardest.section], _place(plan, hardest)
    return (
        f"The longest stop {kind} begins at {clock(hardest.begin, window)}: {section} stands {lasts}, "
        f"{place}, {_why(plan, hardest)}."
    )


def _told(side: ReplaySide, window: Window) -> str:
    jobs = len(side.finished(window))
    told = f"{count_of(jobs, 'job')} {'leaves' if jobs == 1 else 'leave'} the line as finished."
    stood = [
        f"{name} {minutes:.1f} min in {count_of(n, 'stop')}"
        for name, minutes, n in _stood(side.watched.plan, side.stops, window)
        if n
    ]
    return f"{told} Standing still: {listed(stood)}." if stood else told


def parting_words(tick: int | None, window: Window) -> str:
    """Return in words when two lines with the same luck part."""
    if tick is None:
        return "Nothing that happens on one of them happens otherwise on the other."
    if tick == 0:
        return "They part with the first thing that happens."
    if tick < window.start:
        return f"They part at {clock(tick, window)}, before this page begins."
    if tick > window.end:
        return f"They part at {clock(tick, window)}, after this page ends."
    return f"They are alike up to {clock(tick, window)}."


def _compared(sides: Sequence[ReplaySide], window: Window) -> str:
    """Return what two lines make of the same jobs with the same luck."""
    parts = []
    for side in sides:
        own = sum(stop.within(window.start, window.end) for stop in side.stops if not stop.is_passed_on)
        made = count_of(len(side.finished(window)), "job")
        parts.append(f"{made} made and {own / _MINUTE:.1f} min lost to stops ({side.name})")
    return f"With the same jobs and the same luck: {', '.join(parts)}."


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
