"""Ledgers of shipped scenarios, kept as text: every account in ticks, every count, a digest of all events.

An engine that takes the same plan and draws must come to the same text. The digest covers each event with
all its columns, in order; where it differs, the accounts say where to look, and the traces beside this file
show how an order of events reads. ``--update-golden`` writes them anew; the difference is read before
anything else. Times are drawn, so another version of numpy or scipy may move a tick.
"""

import hashlib
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import fields
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np
import pytest

from linesim.ledger.ledger import Event, Ledger
from linesim.plan.build import build
from linesim.plan.plan import Plan
from linesim.plan.words import (
    OPERATOR_STATES,
    RESPONSE_STEPS_S,
    ROBOT_STATES,
    SECTION_STATES,
    STATION_STATES,
    STOP_CAUSES,
)
from linesim.scenario import load
from tests.drives import fast, one_drive, plain

HERE = Path(__file__).parent / "ledgers"
SEED, REPLICATION = 1, 1

#: Shipped scenario -> what is laid over it so that the run is short.
LEDGERS = MappingProxyType(
    {
        "tractor/line": ("run.warm_up = '10 min'", "run.length = '2 h'", "run.shift = '30 min'"),
        "textbook/displacement": (),
        "textbook/line-stop-trace": (),
        "textbook/three-machines-one-place": ("run.warm_up = '0 s'", "run.length = '3 h'"),
        "textbook/two-machines-that-fail": ("run.warm_up = '1 h'", "run.length = '3 h'"),
        "textbook/indexed-five": ("run.warm_up = '10 min'", "run.length = '1 h'"),
        "textbook/rework-loop": ("run.warm_up = '0 s'", "run.length = '3 h'"),
        "textbook/two-feeders": ("run.warm_up = '0 s'", "run.length = '2 h'"),
        "features/absence-and-learning": ("run.warm_up = '10 min'", "run.length = '4 shifts'"),
        "features/calls-and-floaters": ("run.warm_up = '10 min'", "run.length = '2 h'"),
        "features/carriers": ("run.warm_up = '0 s'", "run.length = '1 h'"),
        "features/passing-on": ("run.warm_up = '10 min'", "run.length = '2 h'"),
        "features/robots-together": ("run.warm_up = '10 min'", "run.length = '3 h'"),
        "features/staggered-breaks": ("run.warm_up = '0 s'", "run.length = '4 h'"),
        "features/supply-and-removal": ("run.warm_up = '10 min'", "run.length = '3 h'"),
        "features/travelling-faults": ("run.warm_up = '10 min'", "run.length = '2 h'"),
        "features/two-bays": ("run.warm_up = '10 min'", "run.length = '2 h'", "run.shift = '90 min'"),
        "features/zones-and-sides": ("run.warm_up = '10 min'", "run.length = '1 h'"),
    }
)

#: Tables of the ledger by state: field, what its rows are called, what its columns are called.
STATES = (
    ("section_state", "section", SECTION_STATES),
    ("station_state", "station", STATION_STATES),
    ("operator_state", "operator", OPERATOR_STATES),
    ("robot_state", "robot", ROBOT_STATES),
)
#: Fields that are lists by station, and so on.
BY = (
    ("station", ("station_jobs", "overruns", "overload", "unfinished", "calls", "calls_answered",
                 "call_response", "calls_stopped")),
    ("section", ("stands",)),
    ("tool", ("tool_busy", "tool_busy_clock", "tool_hours")),
    ("carrier", ("carrier_busy", "carrier_busy_clock", "carrier_short", "carrier_hours")),
    ("bay", ("bay_waiting", "bay_waiting_clock", "bay_working", "bay_working_clock", "bay_hours", "bay_jobs",
             "bay_seen", "bay_good", "bay_hold", "bay_carried_on")),
    ("fault", ("faults_made", "faults_found", "faults_escaped", "faults_not_put_right")),
    ("feeder", ("units_in", "units_merged")),
)  # fmt: skip
TOLD_APART = frozenset(
    {"call_within", "windows", "window_jobs", "window_stop", "window_reworked", "window_bay", "stop", "stops",
     "buffer_level", "buffer_level_clock"}
)  # fmt: skip


def told(plan: Plan, ledger: Ledger, events: Sequence[Event]) -> str:
    """Return a ledger and its events as text; what is 0 is left out."""
    names = plan.names
    singles = [field.name for field in fields(ledger) if isinstance(getattr(ledger, field.name), int)]
    parts = {"counts and ticks": [f"{name}: {getattr(ledger, name)}" for name in singles]}
    parts["shifts"] = [
        f"{start} to {end}: {jobs} jobs, {reworked} reworked; stood: {_row('', names.section, stop)}"
        for (start, end), jobs, stop, reworked in zip(
            ledger.windows.tolist(),
            ledger.window_jobs.tolist(),
            ledger.window_stop.tolist(),
            ledger.window_reworked.tolist(),
            strict=True,
        )
    ]
    parts["bay: job-ticks in each hour of each shift"] = [
        f"{name}, shift {shift}: {' '.join(map(str, hours))}"
        for shift, rows in enumerate(ledger.window_bay.tolist(), 1)
        for name, hours in zip(names.bay, rows, strict=True)
        if any(hours)
    ]
    for field, what, words in STATES:
        more = [f"waiting: {word}" for word in names.cause[len(STOP_CAUSES) :]] if what == "station" else []
        parts[what] = [
            _row(f"{name}: ", (*words, *more), states)
            for name, states in zip(getattr(names, what), getattr(ledger, field).tolist(), strict=True)
        ]
    parts["stops: ticks and number"] = [
        f"{names.section[place[0]]}, {(*names.station, 'its conveyor')[place[1]]}, {names.cause[place[2]]}: "
        f"{ledger.stop[tuple(place)]} {ledger.stops[tuple(place)]}"
        for place in np.argwhere(ledger.stops + ledger.stop > 0).tolist()
    ]
    for head, by_buffer in (
        ("buffer: ticks at level 0, 1, 2, …", ledger.buffer_level),
        ("buffer: the same on the clock", ledger.buffer_level_clock),
    ):
        parts[head] = [
            f"{name}: {' '.join(map(str, levels.tolist()))}"
            for name, levels in zip(names.buffer, by_buffer, strict=True)
        ]
    for what, listed in BY:
        rows = {name: _row("", getattr(names, what), getattr(ledger, name).tolist()) for name in listed}
        parts[f"counts by {what}"] = [f"{name}: {row}" for name, row in rows.items() if row]
    parts["calls that help reached"] = [
        _row(f"{name} within: ", [f"{step} s" for step in RESPONSE_STEPS_S], within)
        for name, within in zip(names.station, ledger.call_within.tolist(), strict=True)
        if any(within)
    ]
    parts["what happened"] = _digest(events)
    return "\n".join("\n".join([head, *rows, ""]) for head, rows in parts.items() if rows)


def _row(head: str, words: Iterable[str], values: Sequence[int]) -> str:
    return head + ", ".join(f"{word} {n}" for word, n in zip(words, values, strict=True) if n)


def _digest(events: Sequence[Event]) -> list[str]:
    """Return how often each thing happened, and a hash of everything that happened."""
    kinds = Counter(event.what for event in events)
    text = "\n".join(repr(tuple(event)) for event in events)
    return [
        f"events: {len(events)}",
        *(f"{what}: {n}" for what, n in sorted(kinds.items())),
        f"sha256: {hashlib.sha256(text.encode()).hexdigest()}",
    ]


def ran(name: str, scenarios: Path, seed: int = SEED) -> tuple[Plan, Ledger, list[Event]]:
    """Return a shipped scenario's plan and its shortened run."""
    plan = build(load(scenarios / f"{name}.toml", LEDGERS[name]))
    ledger, events = one_drive(plan, seed, REPLICATION)
    if fast() == "compiled":  # the same ledger and the same events, in order; and nobody need look on
        again, others = one_drive(plan, seed, REPLICATION, drive="compiled")
        alone, _ = one_drive(plan, seed, REPLICATION, drive="compiled", with_events=False)
        assert others == events
        assert plain(again) == plain(alone) == plain(ledger)
    return plan, ledger, list(events)


def file_of(name: str) -> Path:
    """Return where the ledger of a scenario is kept."""
    return HERE / f"{name.replace('/', '-')}.txt"


@pytest.mark.parametrize("name", LEDGERS)
def test_ledger(name: str, scenarios: Path, update_golden: bool) -> None:
    """A shipped scenario comes to exactly the ledger and the events that were kept."""
    now = told(*ran(name, scenarios))
    path = file_of(name)
    if update_golden:
        path.parent.mkdir(exist_ok=True)
        path.write_text(now, encoding="utf-8")
    assert path.read_text(encoding="utf-8") == now


def test_one_tick_is_noticed(scenarios: Path) -> None:
    """Another seed, and a single event one tick later, change the text."""
    name = "textbook/three-machines-one-place"
    kept = file_of(name).read_text(encoding="utf-8")
    assert told(*ran(name, scenarios, seed=2)) != kept
    plan, ledger, events = ran(name, scenarios)
    later = [*events[:-1], events[-1]._replace(time=events[-1].time + 1)]
    assert told(plan, ledger, later) != kept


def test_every_field_of_the_ledger_is_told() -> None:
    """No account or count of the ledger is left out of the text."""
    listed: set[Any] = {field for field, _, _ in STATES} | {name for _, names in BY for name in names}
    singles = {field.name for field in fields(Ledger) if field.type == "int"}
    assert {field.name for field in fields(Ledger)} == listed | singles | TOLD_APART


def test_every_kept_ledger_has_its_scenario() -> None:
    """No ledger is kept that nothing compares."""
    assert set(HERE.glob("*")) == {file_of(name) for name in LEDGERS}
