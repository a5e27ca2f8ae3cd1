"""Small lines for tests, and what happened on them, in words and seconds."""

import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
from simpy import Environment

from linesim.ledger.ledger import Event, Ledger
from linesim.plan.build import build
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE
from linesim.plan.words import (
    OPERATOR_STATES,
    ROBOT_STATES,
    SECTION_STATES,
    STATION_STATES,
    STOP_CAUSES,
)
from linesim.scenario import from_dict, replace
from linesim.scenario.models import Scenario
from linesim.scenario.origins import Place
from linesim.scenario.toml import table_of
from tests.drives import both_drives, one_drive

Tables = dict[str, Any]
Accounts = dict[str, dict[str, float]]


class Ran(NamedTuple):
    """A line after its run."""

    plan: Plan
    ledger: Ledger
    events: tuple[Event, ...]


# Writing lines down


def to(*lines: str) -> dict[Place, Any]:
    """Return the changes that lines of TOML describe."""
    return {place: value for line in lines for place, value in replace.leaves(table_of(line))}


def tables(text: str, *, length: str = "", jobs: int | Sequence[str] = ()) -> Tables:
    """Return the tables of a scenario written as TOML, with what every scenario needs filled in.

    What most lines need may stand as text: ``section.line = "moving: A, B"`` (pacing, stations), ``crew.one =
    "2: A, B"`` (people, what they cover), ``station.A.task.work = "6 s, nobody"`` (time, ``2 people`` or
    nobody; one person where it does not say) and a fault of a task as ``"1 at B.test, scrap"`` (every job, or
    those of the model named; where it is found; what becomes of it) or ``"bad at once, rework 15 s"``
    (found at once and tried once more; with how long it takes to put right).

    Args:
        text: The line; ``takt`` is 10 s and the flow is the sections in file order where it does not say.
        length: Length of the run.
        jobs: How many jobs come and then no more, or their orders (``model+option``), one model each.
    """
    raw = _opened(tomllib.loads(text))
    raw.setdefault("title", "a line")
    raw.setdefault("takt", "10 s")
    raw.setdefault("flow", list(raw["section"]))
    run = raw.setdefault("run", {})
    run.setdefault("replications", 1)
    if length:
        run["length"] = length
    if jobs:
        orders = ["standard"] * jobs if isinstance(jobs, int) else list(jobs)
        models = raw.setdefault("model", {})
        for order in orders:
            models.setdefault(order.split("+")[0], {})
        raw["orders"] = {"sequence": "listed", "list": orders, "after_last": "end", **raw.get("orders", {})}
    return raw


def _opened(raw: Tables) -> Tables:
    """Return tables in which sections, crews and tasks that stand as text are tables too."""
    for name, told in raw.get("section", {}).items():
        if isinstance(told, str):
            pacing, _, stations = told.partition(": ")
            raw["section"][name] = {"pacing": pacing, "stations": stations.split(", ")}
    for name, told in raw.get("crew", {}).items():
        if isinstance(told, str):
            people, _, covers = told.partition(": ")
            raw["crew"][name] = {"people": int(people), "covers": covers.split(", ")}
    for station in raw.get("station", {}).values():
        for name, told in station.get("task", {}).items():
            if isinstance(told, str):
                time, _, who = told.partition(", ")
                people = {"people": 0 if who == "nobody" else int(who.split()[0])} if who else {}
                station["task"][name] = {"time": time, **people}
            elif fault := told.get("fault"):
                told["fault"] = _fault(fault)
    return raw


def _fault(told: Any) -> Any:
    """Return the table of a fault, or of several by name, some of which may stand as text."""
    if isinstance(told, dict) and "found" not in told:
        return {name: _fault(one) for name, one in told.items()}
    if not isinstance(told, str):
        return told
    found = re.fullmatch(r"(\S+) at (\S+), (\S+) ?(.*)", told)
    assert found is not None, told
    who, where, right, repair = found.groups()
    fault: Tables = {"chance": 1} if who == "1" else {"chance": 0, "chance_for": {who: 1}}
    fault |= {"found": "at once", "tries": 1} if where == "once" else {"found": where}
    return fault | {"right": right} | ({"repair": repair} if repair else {})


def timed(station: str, times: Sequence[float]) -> Tables:
    """Return the table of a station whose one task takes ``times[j]`` seconds on model ``j{j}``."""
    special = {f"j{j}": f"{seconds:g} s" for j, seconds in enumerate(times)}
    return {station: {"task": {"work": {"people": 0, "time": "1 s", "time_for": special}}}}


def tandem(times: Iterable[Sequence[float]], places: Sequence[int], *, length: float = 1000) -> Tables:
    """Return a plain free line: stations S1, S2, … with known times (a row a job), and buffers between."""
    rows = np.asarray(list(times), dtype=float)
    stations = [f"S{k + 1}" for k in range(rows.shape[1])]
    flow: list[str] = []
    raw: Tables = {
        "title": "tandem", "takt": "1 s", "section": {}, "buffer": {}, "station": {},
        "run": {"length": f"{length:g} s", "replications": 1},
        "model": {f"j{j}": {} for j in range(len(rows))},
        "orders": {"sequence": "listed", "list": [f"j{j}" for j in range(len(rows))], "after_last": "end"},
    }  # fmt: skip
    for k, station in enumerate(stations):
        if k:
            raw["buffer"][f"B{k}"] = {"capacity": int(places[k - 1])}
            flow.append(f"B{k}")
        raw["section"][f"L{k + 1}"] = {"pacing": "free", "stations": [station]}
        flow.append(f"L{k + 1}")
        raw["station"] |= timed(station, rows[:, k])
    return {**raw, "flow": flow}


def paced(
    times: Iterable[Sequence[float]],
    *,
    takt: float,
    pacing: str = "moving",
    length: float = 1000,
    **section: Any,
) -> Tables:
    """Return one paced section of stations S1, S2, … with known times (a row a job)."""
    rows = np.asarray(list(times), dtype=float)
    stations = [f"S{k + 1}" for k in range(rows.shape[1])]
    raw: Tables = {
        "title": "paced", "takt": f"{takt:g} s", "flow": ["line"],
        "section": {"line": {"pacing": pacing, "stations": stations, **section}}, "station": {},
        "run": {"length": f"{length:g} s", "replications": 1},
        "model": {f"j{j}": {} for j in range(len(rows))},
        "orders": {"sequence": "listed", "list": [f"j{j}" for j in range(len(rows))], "after_last": "end"},
    }  # fmt: skip
    for k, station in enumerate(stations):
        raw["station"] |= timed(station, rows[:, k])
    return raw


# Running them


def run_tables(
    raw: Mapping[str, Any],
    *,
    seed: int = 1,
    replication: int = 1,
    environment: Environment | None = None,
    with_events: bool = True,
) -> Ran:
    """Return the line of the tables ``raw`` after one replication."""
    return run_scenario(
        from_dict(raw), seed=seed, replication=replication, environment=environment, with_events=with_events
    )


def run_scenario(
    scenario: Scenario,
    *,
    seed: int = 1,
    replication: int = 1,
    environment: Environment | None = None,
    with_events: bool = True,
) -> Ran:
    """Return the line of ``scenario`` after one replication, which both drives ran alike."""
    plan = build(scenario)
    if environment is not None:
        how = {"environment": environment, "with_events": with_events}
        return Ran(plan, *one_drive(plan, seed, replication, checked=True, **how))
    return Ran(plan, *both_drives(plan, seed, replication, with_events=with_events))


def run(text: str, *, length: str = "", jobs: int | Sequence[str] = ()) -> Ran:
    """Return the line written as TOML after one replication; see `tables`."""
    return run_tables(tables(text, length=length, jobs=jobs))


# What happened, in words

#: What `where` names, by what happened.
_WHERE = {
    "buffer in": "buffer", "buffer out": "buffer", "bay in": "bay", "bay out": "bay", "fail": "mode",
    "repaired": "mode", "fault": "fault", "found": "fault", "on": "calendar", "off": "calendar",
    "line-on": "feeder", "merge": "feeder", "scrap": "feeder",
}  # fmt: skip


def sentence(plan: Plan, event: Event) -> str:
    """Return one event as words: second, what, job (from 1), where, who."""
    names = plan.names
    words = [f"{event.time / 1000:g}", event.what]
    if event.job != NONE:
        words.append(f"#{event.job + 1}")
    if event.task != NONE:
        place = names.station[event.station]
        words.append(names.task[event.task])
        if not names.task[event.task].startswith(f"{place}."):
            words.append(f"at {place}")
    elif event.station != NONE:
        words.append(names.station[event.station])
    elif event.section != NONE:
        words.append(names.section[event.section])
    if event.what in _WHERE and event.where != NONE:
        words.append(getattr(names, _WHERE[event.what])[event.where])
    if event.what.startswith(("walk", "task", "put")) and event.where != NONE:
        words.append(f"to put right {names.fault[event.where]}")
    if event.what == "station is":
        words.append(station_words(plan)[event.where])
    if event.what == "operator is":
        words.append(OPERATOR_STATES[event.where])
    if event.cause != NONE:
        words.append(names.cause[event.cause])
    if event.who:
        words.append("by " + ", ".join(names.operator[w] for w in event.who))
    return " ".join(words)


def trace(ran: Ran, *only: str) -> list[str]:
    """Return everything that happened but the states, one sentence an event; ``only`` some kinds if named."""
    wanted = [e for e in ran.events if (e.what in only if only else not e.what.endswith(" is"))]
    return [sentence(ran.plan, event) for event in wanted]


def lines(text: str) -> list[str]:
    """Return the lines of a text written in a test, with blanks evened out and notes behind ``;`` dropped."""
    rows = (" ".join(row.split(";")[0].split()) for row in text.splitlines())
    return [row for row in rows if row]


def station_words(plan: Plan) -> list[str]:
    """Return the words for the states of stations, the disturbances of this line included."""
    return [*STATION_STATES, *(f"waiting: {word}" for word in plan.names.cause[len(STOP_CAUSES) :])]


def _accounts(names: Sequence[str], words: Sequence[str], table: Any) -> Accounts:
    return {
        name: {word: int(ticks) / 1000 for word, ticks in zip(words, row, strict=True) if ticks}
        for name, row in zip(names, table, strict=True)
    }


def stations(ran: Ran) -> Accounts:
    """Return the seconds each station was in each state, states of no time left out."""
    return _accounts(ran.plan.names.station, station_words(ran.plan), ran.ledger.station_state)


def sections(ran: Ran) -> Accounts:
    """Return the seconds each section was in each state."""
    return _accounts(ran.plan.names.section, SECTION_STATES, ran.ledger.section_state)


def operators(ran: Ran) -> Accounts:
    """Return the seconds each operator was in each state."""
    return _accounts(ran.plan.names.operator, OPERATOR_STATES, ran.ledger.operator_state)


def robots(ran: Ran) -> Accounts:
    """Return the seconds each robot was in each state."""
    return _accounts(ran.plan.names.robot, ROBOT_STATES, ran.ledger.robot_state)


def stops(ran: Ran) -> dict[str, float]:
    """Return the seconds of line stop by ``station cause``; the section's own are ``(section) cause``."""
    names, found = ran.plan.names, {}
    for s, k, c in np.argwhere(ran.ledger.stop):
        place = names.station[k] if k < len(names.station) else f"({names.section[s]})"
        found[f"{place} {names.cause[c]}"] = int(ran.ledger.stop[s, k, c]) / 1000
    return found


def leaves(ran: Ran) -> dict[str, list[float]]:
    """Return for each station the seconds at which jobs left it, in the order in which they left."""
    found: dict[str, list[float]] = {name: [] for name in ran.plan.names.station}
    for event in ran.events:
        if event.what == "leave":
            found[ran.plan.names.station[event.station]].append(event.time / 1000)
    return found


def counts(ran: Ran, name: str) -> dict[str, int]:
    """Return one count of the ledger by station, zeros left out."""
    row = zip(ran.plan.names.station, getattr(ran.ledger, name), strict=True)
    return {station: int(n) for station, n in row if n}
