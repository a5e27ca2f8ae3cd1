"""Laws of plain free lines, job by job: the departure recursion, one more place, the line reversed."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from linesim.plan.tables import BUFFER
from linesim.theory.departures import line_times, reversed_line
from linesim.verification.plain import not_free
from linesim.verification.row import DIFFERS, CheckRow, judge_equal, not_here
from linesim.verification.tables import constant, free_line, given

if TYPE_CHECKING:
    from linesim.ledger.ledger import Event
    from linesim.plan.plan import Plan
    from linesim.verification.bench import CheckBench, Raw

MOST_JOBS = 300  #: Jobs that are followed.
REVERSED_JOBS = 60  #: Jobs whose times are given to the line and to its reverse.
TICKS = 1000
MUTH = "E. J. Muth, Management Science 25 (1979) 152-158"
RECURSION, PLACES, REVERSED = "recursion", "one more place", "reversed line"


def free_laws(raw: Raw, bench: CheckBench) -> Iterator[CheckRow]:
    """Yield the outcome of each law, or why it does not apply."""
    raw = copy.deepcopy(raw)
    raw["run"]["start"] = "empty"
    plan = bench.plan(raw)
    why = not_free(plan)
    if why is not None:
        for what in (RECURSION, PLACES, REVERSED):
            yield not_here(what, why)
        return
    events, _ = bench.log(plan)
    yield from _followed(plan, events, bench)
    yield _one_more(raw, plan, events, bench)


def _followed(plan: Plan, events: Sequence[Event], bench: CheckBench) -> Iterator[CheckRow]:
    """Yield the laws that need nothing but the work of each job at each station."""
    line = _stations(plan)
    why = None
    if len(plan.names.mode):
        why = "machines fail, so that a job's time at a station is not its work alone"
    elif plan.buffers.travel.any():
        why = "jobs travel through buffers"
    elif any(list(plan.tasks.station).count(s) > 1 for s in line):
        why = "a station has several tasks"
    work = [] if why else _work(plan, events, line)
    if not why and len(work) < 2:
        why = "fewer than two jobs leave the line"
    if why:
        yield not_here(RECURSION, why)
        yield not_here(REVERSED, why)
        return
    places = _places(plan)
    left = [event.time for event in events if event.what == "line-off"][: len(work)]
    wanted = line_times([[float(t) for t in row] for row in work], places=places).leave[:, -1]
    yield judge_equal(
        f"{RECURSION}, {len(work)} exits",
        MUTH + ", on the work that each job drew",
        (wanted / TICKS).tolist(),
        [time / TICKS for time in left],
        unit="s",
    )
    rows = [tuple(t / TICKS for t in row) for row in work[:REVERSED_JOBS]]
    back, gaps = reversed_line(rows, places)
    one, other = (
        _makespan(bench, table, around)
        for table, around in ((rows, places), ([tuple(map(float, row)) for row in back], gaps))
    )
    yield judge_equal(
        f"{REVERSED}, {len(rows)} jobs",
        f"{MUTH}: stations, places and jobs in the opposite order; last exit at the same moment",
        (one,), (other,), unit="s",
    )  # fmt: skip


def _makespan(bench: CheckBench, rows: Sequence[Sequence[float]], places: Sequence[int]) -> float:
    length = sum(map(sum, rows)) + 1.0
    raw = free_line([constant(0.0)] * len(rows[0]), places, length=length)
    events, _ = bench.log(bench.plan(given(raw, list(raw["station"]), rows)))
    return max(event.time for event in events if event.what == "line-off") / TICKS


def _one_more(raw: Raw, plan: Plan, events: Sequence[Event], bench: CheckBench) -> CheckRow:
    """Return whether a place more in any gap delays some job."""
    source = f"{MUTH}: exits never later, same jobs and same work; counted: jobs that left later"
    base, flow = _exits(events), list(raw["flow"])
    gaps = [k for k in range(1, len(flow)) if flow[k] in raw["section"] and flow[k - 1] in raw["section"]]
    wider = []
    for name, buffer in raw["buffer"].items():
        if name in flow and (buffer["capacity"] or not plan.buffers.travel.any()):
            changed = copy.deepcopy(raw)
            changed["buffer"][name]["capacity"] += 1
            wider.append(changed)
    for k in gaps:
        changed = copy.deepcopy(raw)
        name = "one-more-place"
        changed["buffer"][name] = {"capacity": 1}
        changed["flow"] = [*flow[:k], name, *flow[k:]]
        wider.append(changed)
    if not wider:
        return not_here(PLACES, "there is no gap between two sections")
    later = 0
    for changed in wider:
        exits = _exits(bench.log(bench.plan(changed))[0])
        later += sum(1 for job, time in base.items() if exits.get(job, time + 1) > time)
    what = f"{PLACES}, {len(wider)} gap{'' if len(wider) == 1 else 's'}"
    if not base:
        return CheckRow(what, source + "; no job left the line", verdict=DIFFERS)
    return judge_equal(what, source, (0,), (later,), unit="jobs")


def _exits(events: Sequence[Event]) -> dict[int, int]:
    return {event.job: event.time for event in events if event.what == "line-off"}


def _stations(plan: Plan) -> list[int]:
    """Return the stations in line order."""
    flow = plan.flow
    found: list[int] = []
    for kind, index in zip(flow.kind.tolist(), flow.index.tolist(), strict=True):
        if kind != BUFFER:
            found += plan.sections.stations[index].tolist()
    return found


def _places(plan: Plan) -> tuple[int, ...]:
    """Return the places of each gap between neighbouring stations."""
    gaps: list[int] = []
    flow = plan.flow
    for kind, index in zip(flow.kind.tolist(), flow.index.tolist(), strict=True):
        if kind == BUFFER:
            gaps[-1] += int(plan.buffers.capacity[index])
        else:
            gaps += [0] * len(plan.sections.stations[index])
    return tuple(gaps[:-1])


def _work(plan: Plan, events: Sequence[Event], line: Sequence[int]) -> list[list[int]]:
    """Return the work of each job that left, at each station [ticks]; 0 where it had none."""
    column = {s: k for k, s in enumerate(line)}
    began: dict[tuple[int, int], int] = {}
    rows: dict[int, list[int]] = {}
    out: list[int] = []
    for event in events:
        if event.what == "task start":
            began[event.job, event.station] = event.time
        elif event.what == "task end":
            row = rows.setdefault(event.job, [0] * len(line))
            row[column[event.station]] = event.time - began[event.job, event.station]
        elif event.what == "line-off":
            out.append(event.job)
    return [rows.get(job, [0] * len(line)) for job in out[:MOST_JOBS]]
