"""Free lines in the long run: blocking after service, breakdowns, two feeders, pallets, one tool."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from linesim.plan.words import R_DOWN, R_WORKING, S_WORKING
from linesim.theory import laws
from linesim.theory.laws import two_machine_throughput
from linesim.theory.stations import repair_crews
from linesim.theory.tandem import assembly_throughput, line_throughput, loop_throughput, solve_line
from linesim.verification.bench import RATE, Known
from linesim.verification.tables import UNIT, bare, erlang, exponential, free_line, uniform, work

if TYPE_CHECKING:
    from linesim.verification.bench import CheckBench, Raw

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
        f"{n} machines, {_places(places)}",
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
        f"{n} Erlang-{stages} machines, {_places(places)}",
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
        f"{len(rates)} {kind}, {_places(places)}",
        f"{BERMAN}; {SOLVED}",
        made,
        _held(means, ups, repairs, places),
        JOBS,
        sees=RATE,
        wrong=lambda: solve_line(means, places + 1, mean_up=ups, mean_repair=repairs).throughput,
        recomputed=lambda: solve_line(means, places, mean_up=ups, mean_repair=repairs).throughput,
        is_quick=is_quick,
    )


def _places(places: int) -> str:
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
