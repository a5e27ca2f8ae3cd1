"""Plain free lines: laws job by job, and what lines make in the long run."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from linesim.plan.tables import BUFFER
from linesim.plan.words import R_DOWN, R_WORKING, S_WORKING
from linesim.theory import laws
from linesim.theory.departures import line_times, reversed_line
from linesim.theory.laws import two_machine_throughput
from linesim.theory.stations import repair_crews
from linesim.theory.tandem import assembly_throughput, line_throughput, loop_throughput, solve_line
from linesim.ticks import TICKS_PER_SECOND
from linesim.verification.bench import DIFFERS, RATE, CheckRow, Known, judge_equal, not_here
from linesim.verification.lines import (
    UNIT,
    bare,
    constant,
    erlang,
    exponential,
    free_line,
    given,
    not_free,
    uniform,
    work,
    work_of,
)

if TYPE_CHECKING:
    from linesim.ledger.ledger import Event
    from linesim.plan.plan import Plan
    from linesim.verification.bench import CheckBench, Raw


MOST_JOBS = 300  #: Jobs that are followed.
REVERSED_JOBS = 60  #: Jobs whose times are given to the line and to its reverse.

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
    out = [event.job for event in events if event.what == "line-off"][:MOST_JOBS]
    work = [] if why else work_of(out, events, line)
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
        (wanted / TICKS_PER_SECOND).tolist(),
        [time / TICKS_PER_SECOND for time in left],
        unit="s",
    )
    rows = [tuple(t / TICKS_PER_SECOND for t in row) for row in work[:REVERSED_JOBS]]
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
    return max(event.time for event in events if event.what == "line-off") / TICKS_PER_SECOND


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


JOBS = "jobs a mean time"
REPLICATIONS = 30
CHAIN = "F. S. Hillier and R. W. Boling, Operations Research 15 (1967) 286-303 (from memory)"
HUNT = "G. C. Hunt, Operations Research 4 (1956) 674-683 (from memory)"
BERMAN = "S. B. Gershwin and O. Berman, AIIE Transactions 13 (1981) 2-11 (from memory)"
SOLVED = "recomputed: Markov chain"

#: Machines, places in each gap, jobs a mean time.
BALANCED = (
    (2, 0, 0.66666667), (2, 1, 0.75), (2, 2, 0.8), (2, 3, 0.83333333),
    (3, 2, 0.73401667), (3, 3, 0.77671153),
    (4, 0, 0.51477549), (4, 1, 0.63115269), (4, 3, 0.74770951),
)  # fmt: skip
#: Machines, stages of the Erlang time, places, jobs a mean time.
STAGED = ((2, 2, 0, 0.72727273), (2, 2, 1, 0.82142857), (2, 4, 2, 0.91986185), (3, 2, 0, 0.64040850))
#: Rates of work, failure and repair of each machine, places, jobs a mean time.
FAILING = (
    ((1, 1), (0.05, 0.05), (0.5, 0.5), 1, 0.66469075),
    ((1, 1), (0.05, 0.05), (0.5, 0.5), 2, 0.70784869),
    ((1, 1.2), (0.1, 0.05), (0.4, 0.5), 3, 0.71929404),
    ((1, 1, 1), (0.05,) * 3, (0.5,) * 3, 0, 0.49518591),
)


def checks() -> tuple[Known, ...]:
    """Return the checks; the quick set has one of each kind."""
    return (
        _balanced(3, 0, 0.56410256, f"{HUNT}: 22/39; {SOLVED}", is_quick=True),
        _balanced(3, 1, 0.67046616, f"{CHAIN}: 8529/12721; {SOLVED}", is_quick=True),
        _failing(((1, 1), (0.05, 0.05), (0.5, 0.5), 0, 0.59443912), is_quick=True),
        Known(
            "two machines, uniform times",
            "1/E[max(T1, T2)] = 6/7, closed form; recomputed: quadrature",
            0.85714286,
            _use([uniform(0.5 * UNIT, 1.5 * UNIT)] * 2, (1.0, 1.0), 0, 750),
            JOBS,
            sees=RATE,
            wrong=lambda: two_machine_throughput(*[laws.normal(1, 1 / 12**0.5)] * 2),
            recomputed=lambda: two_machine_throughput(laws.uniform(0.5, 1.5), laws.uniform(0.5, 1.5)),
        ),
        Known(
            "two feeders, one assembly",
            f"6/11; {SOLVED}",
            0.54545455,
            _feeders,
            JOBS,
            sees=RATE,
            wrong=lambda: assembly_throughput(1, 1, 1, 1),
            recomputed=lambda: assembly_throughput(1, 1, 1, 0),
        ),
        Known(
            "four stations, four pallets",
            "w/(w + M - 1), product form; recomputed: mean value analysis (M. Reiser and S. S. Lavenberg, "
            "Journal of the ACM 27 (1980) 313-322)",
            0.57142857,
            _pallets,
            JOBS,
            sees=RATE,
            wrong=lambda: loop_throughput((1, 1, 1, 1), 5),
            recomputed=lambda: loop_throughput((1, 1, 1, 1), 4),
        ),
        Known(
            "two stalls, one tool: in use",
            "finite-source queue, C. Palm 1947 (from memory); recomputed: closed form",
            0.6,
            _tool,
            "share",
            sees=RATE,
            wrong=lambda: repair_crews(3, 1, 40.0, 20.0).crew_use,
            recomputed=lambda: repair_crews(2, 1, 40.0, 20.0).crew_use,
        ),
        *(_balanced(n, places, made, f"{CHAIN}; {SOLVED}") for n, places, made in BALANCED),
        *(_staged(*case) for case in STAGED),
        *(_failing(case) for case in FAILING),
    )


def _balanced(n: int, places: int, made: float, source: str, *, is_quick: bool = False) -> Known:
    return Known(
        f"{n} machines, {_gap_words(places)}",
        source,
        made,
        _use([exponential()] * n, (1.0,) * n, places, 300 + 100 * places),
        JOBS,
        sees=RATE,
        wrong=lambda: line_throughput((1.0,) * n, places + 1),
        recomputed=lambda: line_throughput((1.0,) * n, places),
        is_quick=is_quick,
    )


def _staged(n: int, stages: int, places: int, made: float) -> Known:
    return Known(
        f"{n} Erlang-{stages} machines, {_gap_words(places)}",
        "H. T. Papadopoulos, C. Heavey and M. E. J. O'Kelly, Computers in Industry 13 (1990) 317-335 (title "
        f"page seen); {SOLVED}",
        made,
        _use([erlang(UNIT, stages)] * n, (1.0,) * n, places, 300 + 100 * places),
        JOBS,
        sees=RATE,
        wrong=lambda: line_throughput((1.0,) * n, places + 1, stages=stages),
        recomputed=lambda: line_throughput((1.0,) * n, places, stages=stages),
        is_quick=False,
    )


def _failing(
    case: tuple[Sequence[float], Sequence[float], Sequence[float], int, float], *, is_quick: bool = False
) -> Known:
    rates, fails, mends, places, made = case
    means, ups, repairs = ([1 / rate for rate in row] for row in (rates, fails, mends))
    kind = "that fail" if len(set(rates)) == 1 else "unequal that fail"
    return Known(
        f"{len(rates)} {kind}, {_gap_words(places)}",
        f"{BERMAN}; {SOLVED}",
        made,
        _held(means, ups, repairs, places),
        JOBS,
        sees=RATE,
        wrong=lambda: solve_line(means, places + 1, mean_up=ups, mean_repair=repairs).throughput,
        recomputed=lambda: solve_line(means, places, mean_up=ups, mean_repair=repairs).throughput,
        is_quick=is_quick,
    )


def _gap_words(places: int) -> str:
    return "no places" if not places else "1 place" if places == 1 else f"{places} places"


def _use(
    times: Sequence[Raw], means: Sequence[float], places: int, units: float
) -> Callable[[CheckBench], Sequence[float]]:
    return lambda bench: _speeds(
        bench, free_line(times, places, length=units * UNIT, warm_up=40 * UNIT), means
    )


def _speeds(bench: CheckBench, raw: Raw, means: Sequence[float]) -> list[float]:
    """Return jobs a unit of time as the machines' use tells them.

    In the long run a machine of mean time ``w`` works ``w`` times the throughput. Its use has less
    luck in it than a count of jobs: a run of long times makes fewer jobs but works as much.
    """
    plan, found = bench.plan(raw), []
    for ledger in bench.runs(plan, REPLICATIONS):
        clock = ledger.end - ledger.start
        use = [float(ledger.station_state[s, S_WORKING]) / clock / w for s, w in enumerate(means)]
        found.append(sum(use) / len(use))
    return found


def _held(
    means: Sequence[float], ups: Sequence[float], repairs: Sequence[float], places: int
) -> Callable[[CheckBench], Sequence[float]]:
    """Return what tells jobs a unit of time by how long robots are held by work, their repairs included."""

    def found(bench: CheckBench) -> list[float]:
        length = (350 + 150 * places) * UNIT
        raw = free_line([exponential(UNIT * w) for w in means], places, length=length, warm_up=40 * UNIT)
        raw["robot"] = {}
        for i, (w, up, repair) in enumerate(zip(means, ups, repairs, strict=True), start=1):
            raw["station"][f"M{i}"]["task"]["work"] = {"robot": f"R{i}", "time": exponential(UNIT * w)}
            fault = {"every": exponential(UNIT * up), "lasts": exponential(UNIT * repair)}
            raw["robot"][f"R{i}"] = {"failure": {"fault": fault}}
        per_job = [w * (1 + repair / up) for w, up, repair in zip(means, ups, repairs, strict=True)]
        plan, figures = bench.plan(raw), []
        for ledger in bench.runs(plan, REPLICATIONS):
            clock = ledger.end - ledger.start
            held = (ledger.robot_state[:, R_WORKING] + ledger.robot_state[:, R_DOWN]).tolist()
            figures.append(sum(t / clock / job for t, job in zip(held, per_job, strict=True)) / len(held))
        return figures

    return found


def _feeders(bench: CheckBench) -> Sequence[float]:
    raw = bare(300 * UNIT, 40 * UNIT)
    for name, station in (("frames", "M1"), ("drives", "M2"), ("assembly", "A")):
        raw["section"][name] = {"pacing": "free", "stations": [station]}
        raw["station"][station] = work(exponential())
    raw["flow"] = ["frames", "assembly"]
    raw["feeder"] = {"side": {"flow": ["drives"], "joins": "assembly"}}
    return _speeds(bench, raw, (1, 1, 1))


def _pallets(bench: CheckBench) -> Sequence[float]:
    raw = free_line([exponential()] * 4, 4, length=450 * UNIT, warm_up=40 * UNIT)
    raw["carrier"] = {"pallet": {"count": 4, "boards": "S1", "leaves": "S4", "returns": "0 s"}}
    return _speeds(bench, raw, (1, 1, 1, 1))


def _tool(bench: CheckBench) -> Sequence[float]:
    raw = bare(60_000, 1000)
    raw["flow"], raw["section"] = ["stalls"], {"stalls": {"pacing": "free", "stations": ["S"]}}
    raw["tool"] = {"press": {"count": 1}}
    press = {"people": 0, "time": exponential(20), "tool": "press", "after": ["own"]}
    raw["station"]["S"] = {
        "places": 2, "task": {"own": {"people": 0, "time": exponential(40)}, "press": press},
    }  # fmt: skip
    plan = bench.plan(raw)
    return [
        float(ledger.tool_busy_clock[0]) / (ledger.end - ledger.start)
        for ledger in bench.runs(plan, REPLICATIONS)
    ]
