"""Active periods from the event log: how long stations work without a pause, and who is bottleneck when.

What is noted of a replication stands in a file that imports only what decides figures too: `runs/program.py`.
"""

from __future__ import annotations

from collections.abc import Sequence

from linesim.draws.draws import Draws
from linesim.ledger.ledger import Event
from linesim.plan.plan import Plan
from linesim.plan.words import (
    S_BLOCKED,
    S_OFF,
    S_SPARE,
    S_STARVED,
    S_STOPPED,
    S_WAIT_EARLIER,
)
from linesim.runs.replication import Label, Recorder, Replication
from linesim.stats.bottlenecks import (
    ActivePeriods,
    active_periods,
)
from linesim.ticks import seconds

Spans = list[tuple[int, int]]

#: A station in one of these waits for somebody else; in every other it is what keeps its job from going on.
INACTIVE = frozenset({S_SPARE, S_STOPPED, S_BLOCKED, S_STARVED, S_OFF, S_WAIT_EARLIER})

AVERAGE, SOLE, SHIFTING = "active_period", "bottleneck_sole", "bottleneck_shifting"


class _States(list[Event]):
    """An event log that keeps what stations are and forgets the rest, which is many times as much."""

    def append(self, event: Event) -> None:
        if event.what == "station is":
            super().append(event)


def active_spans(plan: Plan, states: Sequence[Event]) -> tuple[list[Spans], Spans]:
    """Return when stations were active, and when any of them was on duty [ticks].

    A period ends with a break or shift, for everybody alike, and with the end of the run.

    Args:
        plan: The line.
        states: Events ``station is`` of one replication, in order of time.

    Returns:
        For each station its active spans, and the spans in which at least one station was not off.
    """
    n, stop = len(plan.names.station), plan.run.warm_up + plan.run.length
    active: list[Spans] = [[] for _ in range(n)]
    since = [-1] * n
    is_off = [False] * n  # a line begins with all stations starved, which needs no event
    on_duty: Spans = []
    some_since, off = 0, 0
    for event in (*states, *(Event(stop, "station is", station=s, where=S_OFF) for s in range(n))):
        s, now = event.station, event.time
        if event.where in INACTIVE and since[s] >= 0:
            if now > since[s]:
                active[s].append((since[s], now))
            since[s] = -1
        elif event.where not in INACTIVE and since[s] < 0:
            since[s] = now
        if (event.where == S_OFF) != is_off[s]:
            is_off[s] = event.where == S_OFF
            off += 1 if is_off[s] else -1
            if off == n and some_since < now:
                on_duty.append((some_since, now))
            elif off == n - 1 and not is_off[s]:
                some_since = now
    return active, on_duty


def periods_of(plan: Plan, seed: int, number: int, drive: str = "simpy") -> tuple[ActivePeriods, int]:
    """Return the active periods of one replication after its warm-up, and the ticks on duty in that time.

    Args:
        plan: The line.
        seed: Seed of the run.
        number: Replication, counted from 1.
        drive: ``simpy`` or ``compiled``.

    Raises:
        LineStuck: If the line can no longer move.
    """
    from linesim.engine.run import run_line

    states = _States()
    run_line(plan, Draws(plan, seed, number), states, drive=drive)
    active, on_duty = active_spans(plan, states)
    first, last = plan.run.warm_up, plan.run.warm_up + plan.run.length
    found = active_periods(active, window=(first, last))
    return found, sum(max(0, min(end, last) - max(begin, first)) for begin, end in on_duty)


def run_periods(
    plan: Plan, seed: int, number: int, drive: str = "simpy"
) -> tuple[tuple[Label, ...], Replication]:
    """Return what `periods_of` says of each station as figures: an average and two shares; see `Recorder`."""
    labels = tuple(
        Label(measure, name, "", unit)
        for measure, unit in ((AVERAGE, "s"), (SOLE, "share"), (SHIFTING, "share"))
        for name in plan.names.station
    )
    found, on_duty = periods_of(plan, seed, number, drive)
    shares = [value / on_duty if on_duty else 0.0 for value in (*found.sole, *found.shifting)]
    averages = [seconds(1) * value for value in found.average]
    return labels, Replication(number, (*averages, *shares), ())


NOTES = Recorder("periods", run_periods)  #: What `bottleneck` notes down beside the figures of the line.
