"""Closed loops of pallets, one tool for several stalls, two feeders into an assembly.

Loops with endless room: product form, mean value analysis (M. Reiser and S. S. Lavenberg, Journal of the ACM
27 (1980) 313-322). Tight loops and the assembly: recomputed from their Markov chains. Tool: finite-source
queue, C. Palm 1947 (from memory).

Carriers come back to a rack without a limit, so a loop whose return is tight is built from jobs that never
leave: a bay sends each one back to the first buffer. In the printed ring of six places the bay is the third
station itself. Where it only sends back, its own place is one of the return's places.
"""

import numpy as np
import pytest

from linesim.plan.words import S_WORKING
from linesim.theory.stations import repair_crews
from linesim.theory.tandem import assembly_throughput, loop_throughput
from tests.formulas.loops import tight_loop_throughput
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import (
    TICKS,
    UNIT,
    Line,
    Raw,
    bare,
    exponential,
    listed,
    speeds,
    tandem,
    work,
)

REPLICATIONS = 40


def pallet_loop(mean_times: tuple[float, ...], pallets: int, length: float) -> Raw:
    """Return stations in a row through which jobs travel on pallets that are back at once."""
    times = [exponential(UNIT * w) for w in mean_times]
    raw = tandem(times, pallets, length=length * UNIT, warm_up=50 * UNIT)
    raw["carrier"] = {
        "pallet": {"count": pallets, "boards": "S0", "leaves": f"S{len(mean_times) - 1}", "returns": "0 s"}
    }
    return raw


BALANCED = (1.0, 1.0, 1.0, 1.0)
UNEVEN = (1.0, 1.2, 0.8, 1.0)


@pytest.mark.parametrize(
    ("mean_times", "pallets", "printed"),
    [  # balanced: w/(w + M - 1); uneven: mean value analysis, equal to the Markov chain
        (BALANCED, 1, 0.25),
        (BALANCED, 2, 0.4),
        (BALANCED, 4, 0.57142857),
        (BALANCED, 8, 0.72727273),
        (BALANCED, 12, 0.8),
        (UNEVEN, 2, 0.39840637),
        (UNEVEN, 4, 0.56470693),
    ],
)
def test_pallet_loop(mean_times: tuple[float, ...], pallets: int, printed: float) -> None:
    """A loop with endless room makes its exact throughput; with one pallet more it does not."""
    exact = loop_throughput(mean_times, pallets)
    assert exact == pytest.approx(printed, abs=5e-9)
    weights = []
    for i in range(4):  # how much each station's speed counts
        faster = [w * (0.99 if k == i else 1) for k, w in enumerate(mean_times)]
        weights.append(loop_throughput(faster, pallets) - exact)
    see = 0.03 * exact
    assert_mean_agrees(
        speeds(pallet_loop(mean_times, pallets, 350), mean_times, weights, REPLICATIONS), exact, must_see=see
    )
    if pallets == 4:
        wrong = pallet_loop(mean_times, pallets + 1, 350)
        assert_mean_differs(speeds(wrong, mean_times, weights, REPLICATIONS), exact, must_see=see)


def ring(places: tuple[int, int, int], jobs: int, length: float = 450) -> Raw:
    """Return three stations and ``jobs`` jobs that go round for ever; ``places`` behind each station.

    The last gap is the bay's one place and the buffer where its jobs rejoin.
    """
    raw = bare(length * UNIT, 50 * UNIT)
    raw["flow"] = ["door", "back", "S1", "gap-1", "S2", "gap-2", "S3"]
    raw["section"] = {
        name: {"pacing": "free", "stations": [f"M{i}"]} for i, name in enumerate(("door", "S1", "S2", "S3"))
    }
    raw["buffer"] = {
        "back": {"capacity": places[2] - 1},
        "gap-1": {"capacity": places[0]},
        "gap-2": {"capacity": places[1]},
    }
    raw["station"] = {"M0": {}, **{f"M{i}": work(exponential(UNIT), again=True) for i in (1, 2, 3)}}
    raw["station"]["M3"]["task"]["work"]["fault"] = {
        "chance": 1.0, "found": "M3.look", "right": "round", "repair": "0 s",
    }  # fmt: skip
    raw["station"]["M3"]["task"]["look"] = {"people": 0, "time": "0 s", "after": ["work"], "again": True}
    raw["bay"] = {"round": {"section": "S3", "waiting": 0, "places": 1, "rejoin": "back"}}
    raw["crew"] = {"one": {"people": 1, "covers": ["round"]}}
    return listed(raw, ["standard"] * jobs)


def round_rates(raw: Raw) -> list[float]:
    """Return the mean use of the three stations, which work a mean time of 1 on each round."""
    line = Line(raw)
    stations = [line.station(f"M{i}") for i in (1, 2, 3)]
    return [
        float(np.mean([ledger.station_state[s, 0] for s in stations])) / (ledger.end - ledger.start)
        for ledger in line.runs(REPLICATIONS)
    ]


def ring_of_six(jobs: int, places: int = 1, length: float = 250) -> Raw:
    """Return the printed ring: two stations, a bay for the third, one place in each gap.

    The bay's waiting place is the gap before it, its work place the third station: a job done there stays
    until the buffer that leads back, the third gap, has room.
    """
    raw = bare(length * UNIT, 50 * UNIT)
    raw["flow"] = ["door", "back", "S1", "gap", "S2"]
    raw["section"] = {
        name: {"pacing": "free", "stations": [f"M{i}"]} for i, name in enumerate(("door", "S1", "S2"))
    }
    raw["buffer"] = {"back": {"capacity": places}, "gap": {"capacity": places}}
    raw["station"] = {"M0": {}, **{f"M{i}": work(exponential(UNIT), again=True) for i in (1, 2)}}
    raw["station"]["M2"]["task"]["work"]["fault"] = {
        "chance": 1.0, "found": "M2.look", "right": "M3", "repair": exponential(UNIT),
    }  # fmt: skip
    raw["station"]["M2"]["task"]["look"] = {"people": 0, "time": "0 s", "after": ["work"], "again": True}
    raw["bay"] = {"M3": {"section": "S2", "waiting": places, "places": 1, "rejoin": "back"}}
    raw["crew"] = {"one": {"people": 1, "covers": ["M3"]}}
    return listed(raw, ["standard"] * jobs)


def pass_rates(raw: Raw) -> list[float]:
    """Return the mean use of the two stations and the bay, which work a mean time of 1 on each round."""
    line = Line(raw)
    stations = [line.station("M1"), line.station("M2")]
    return [
        (int(ledger.station_state[stations, S_WORKING].sum()) + int(ledger.bay_working[0]))
        / (3 * (ledger.end - ledger.start))
        for ledger in line.runs(REPLICATIONS)
    ]


@pytest.mark.parametrize(
    ("jobs", "printed"), [(1, 0.33333333), (2, 0.5), (3, 0.6), (4, 0.64285714), (5, 0.64285714)]
)  # Markov chain
def test_printed_ring_of_six_places(jobs: int, printed: float) -> None:
    """One to five jobs in a ring of six places pass at the printed rates; endless room is told apart."""
    exact = tight_loop_throughput((1, 1, 1), (1, 1, 1), jobs)
    assert exact == pytest.approx(printed, abs=5e-9)
    found = pass_rates(ring_of_six(jobs))
    assert_mean_agrees(found, exact, must_see=0.03 * exact)
    if jobs == 5:
        assert_mean_differs(found, loop_throughput((1, 1, 1), jobs), must_see=0.03 * exact)
        assert_mean_differs(pass_rates(ring_of_six(jobs, 2)), exact, must_see=0.03 * exact)


def test_tight_ring() -> None:
    """Six jobs that go round a ring of seven places pass at the exact rate, slower than with endless room."""
    exact = tight_loop_throughput((1, 1, 1), (1, 1, 2), 6)
    found = round_rates(ring((1, 1, 2), 6))
    assert_mean_agrees(found, exact, must_see=0.03 * exact)
    assert_mean_differs(found, loop_throughput((1, 1, 1), 6), must_see=0.03 * exact)


@pytest.mark.parametrize("stalls", [2, 3])
def test_shared_tool(stalls: int) -> None:
    """Stalls that alternate own work and one tool make the exact rate; with two tools they make more."""
    own, use = 40.0, 20.0
    exact = repair_crews(stalls, 1, own, use)
    if stalls == 2:  # by hand: p0 = 1/(1 + 2r + 2r^2), r = 20/40
        assert (exact.repairs_rate, exact.crew_use) == pytest.approx((0.03, 0.6), abs=1e-12)
        assert exact.wait == pytest.approx(6.666667, abs=6e-7)

    def line(tools: int) -> Line:
        raw = bare(20_000, 1000)
        raw["flow"] = ["stalls"]
        raw["section"]["stalls"] = {"pacing": "free", "stations": ["S"]}
        raw["tool"] = {"press": {"count": tools}}
        raw["station"]["S"] = {
            "places": stalls,
            "task": {
                "own": {"people": 0, "time": exponential(own)},
                "press": {"people": 0, "time": exponential(use), "tool": "press", "after": ["own"]},
            },
        }
        return Line(raw)

    ledgers = list(line(1).runs(REPLICATIONS))
    busy = [ledger.tool_busy[0] / (ledger.end - ledger.start) for ledger in ledgers]
    made = [TICKS * ledger.jobs_out / (ledger.end - ledger.start) for ledger in ledgers]
    assert_mean_agrees(busy, exact.crew_use, must_see=0.03)
    assert_mean_agrees(made, exact.repairs_rate, must_see=0.05 * exact.repairs_rate)
    # Each job is in its stall for own work, wait and press: the wait is what is left of stalls / rate.
    waits = [stalls / rate - own - use for rate in made]
    assert_mean_agrees(waits, exact.wait, must_see=5.0)
    twice = [TICKS * ledger.jobs_out / (ledger.end - ledger.start) for ledger in line(2).runs(REPLICATIONS)]
    assert_mean_differs(twice, exact.repairs_rate, must_see=0.05 * exact.repairs_rate)


def test_waits_for_the_tool() -> None:
    """In one long run the waits between own work and press have the mean 6.667 s that the rate says."""
    raw = bare(200_000)
    raw["flow"] = ["stalls"]
    raw["section"]["stalls"] = {"pacing": "free", "stations": ["S"]}
    raw["tool"] = {"press": {}}
    raw["station"]["S"] = {
        "places": 2,
        "task": {
            "own": {"people": 0, "time": exponential(40)},
            "press": {"people": 0, "time": exponential(20), "tool": "press", "after": ["own"]},
        },
    }
    line = Line(raw)
    events, _ = line.log()
    own, press = line.plan.names.task.index("S.own"), line.plan.names.task.index("S.press")
    ended = {e.job: e.time for e in events if e.what == "task end" and e.task == own}
    began = {e.job: e.time for e in events if e.what == "task start" and e.task == press}
    waits = np.array([began[j] - ended[j] for j in sorted(began)]) / TICKS
    batches = waits[: len(waits) // 40 * 40].reshape(40, -1).mean(axis=1)
    assert_mean_agrees(batches, 6.666667, must_see=1.5)
    assert_mean_differs(batches / 2, 6.666667, must_see=1.5)  # as if half the time were waited


@pytest.mark.parametrize(("places", "printed"), [(0, 0.54545455), (1, 0.66538462)])  # Markov chain; b=0: 6/11
@pytest.mark.parametrize("order", ["frames first", "drives first"])
def test_two_feeders(places: int, printed: float, order: str) -> None:
    """Two saturated feeders into an assembly that takes one of each at once make the exact rate."""
    exact = assembly_throughput(1, 1, 1, places)
    assert exact == pytest.approx(printed, abs=5e-9)

    def figures(b: int) -> list[float]:
        raw = bare(500 * UNIT, 40 * UNIT)
        main, side = ("frames", "drives") if order == "frames first" else ("drives", "frames")
        for name, station in (("frames", "M1"), ("drives", "M2"), ("assembly", "A")):
            raw["section"][name] = {"pacing": "free", "stations": [station]}
            raw["station"][station] = work(exponential(UNIT))
        raw["buffer"] = {f"{name}-place": {"capacity": b} for name in ("frames", "drives")}
        raw["flow"] = [main, f"{main}-place", "assembly"]
        raw["feeder"] = {"side": {"flow": [side, f"{side}-place"], "joins": "assembly"}}
        return speeds(raw, (1, 1, 1), (1, 1, 1), REPLICATIONS)

    assert_mean_agrees(figures(places), exact, must_see=0.03 * exact)
    if order == "frames first":
        assert_mean_differs(figures(1 - places), exact, must_see=0.03 * exact)
