"""Each small scenario shows what its second line says is to be seen."""

from functools import cache

import pytest

from tests.documents.pages import ROOT


@cache
def ran(name: str, *sets: str):  # type: ignore[no-untyped-def]
    """Return the result of a feature's scenario with lines of TOML laid over it."""
    import linesim

    scenario = linesim.load(ROOT / "scenarios" / "features" / f"{name}.toml", sets)
    return linesim.simulate(scenario, replications=4)


def mean(result, *row: str) -> float:  # type: ignore[no-untyped-def]
    """Return the mean of a row."""
    value = result.row(*row).mean
    assert value is not None
    return float(value)


def test_passing_on() -> None:
    """K1 passes work on and never stops the section, K2 stops it and passes nothing on."""
    result = ran("passing-on")
    assert mean(result, "overruns", "K1") > 0
    assert mean(result, "overruns", "K2") > 0
    assert mean(result, "unfinished", "K1") > 0 == mean(result, "unfinished", "K2")
    assert {row.where for row in result.result.rows("line_stop") if row.mean} == {"trim", "K2"}


def test_calls_and_floaters() -> None:
    """A floater answers calls after 15 s at least, and takes most of the stops away."""
    result = ran("calls-and-floaters")
    assert mean(result, "calls", "K1") > 0
    assert mean(result, "call_response", "K1") >= 15
    without = ran("calls-and-floaters", "crew.help.people = 0")
    assert mean(result, "line_stop", "trim") < 0.5 * mean(without, "line_stop", "trim")


def test_absence_and_learning() -> None:
    """Who is away makes fewer jobs and a wider spread; who is new makes fewer in the first shifts alone."""
    usual, there = ran("absence-and-learning"), ran("absence-and-learning", "crew.hall.absence = 0")
    assert mean(usual, "jobs_per_shift") < 0.97 * mean(there, "jobs_per_shift")
    spread = [
        mean(result, "jobs_per_shift_p90") - mean(result, "jobs_per_shift_p10") for result in (usual, there)
    ]
    assert spread[0] > 1.5 * spread[1]
    shifts = [[shift.jobs for shift in replication.shifts] for replication in there.result.replications]
    learnt = ran("absence-and-learning", "crew.hall.absence = 0", "crew.hall.learning.done = 1000")
    last = [[shift.jobs for shift in replication.shifts] for replication in learnt.result.replications]
    assert sum(row[0] for row in shifts) < sum(row[0] for row in last)


def test_zones_and_sides() -> None:
    """With room for two inside, the overruns nearly disappear."""
    wide = ran("zones-and-sides", "zone.inside.people = 2")
    assert mean(wide, "overruns", "K1") < 0.2 * mean(ran("zones-and-sides"), "overruns", "K1")


def test_moved_task() -> None:
    """Where the label is done at K1 the section stops for it, and hardly ever with the label at K2."""
    before = ran("moved-task", 'station.K1.task.label.at = "K1"')
    assert mean(ran("moved-task"), "line_stop", "trim") < 0.1 * mean(before, "line_stop", "trim")


def test_robots_together() -> None:
    """Both robots press at the same time, and each stands while the other is down."""
    result = ran("robots-together")
    busy = [mean(result, "robot_state", robot, "working") for robot in ("R-left", "R-right")]
    assert busy[0] == pytest.approx(busy[1], rel=1e-12)
    for robot in ("R-left", "R-right"):
        assert mean(result, "robot_state", robot, "down") > 0
        assert mean(result, "robot_state", robot, "waiting") > 0


def test_carriers() -> None:
    """Six skillets in a loop of eight minutes carry 45 jobs an hour, eight carry a job every takt."""
    assert mean(ran("carriers"), "throughput") == pytest.approx(45, rel=1e-9)
    assert mean(ran("carriers", "carrier.skillet.count = 8"), "throughput") == pytest.approx(60, rel=1e-9)


def test_travelling_faults() -> None:
    """Faults made at K1 and K2 are found at K3's check, some of K1's are not, and those escape."""
    result = ran("travelling-faults")
    grid = {(row.where, row.cause): row.mean for row in result.result.rows("fault_grid")}
    assert grid["K1", "K3.check"] > 5 * grid["K1", "not found"] > 0
    assert grid["K2", "K3.check"] > 0
    assert mean(result, "escaped") > 0


def test_scrap() -> None:
    """About three jobs in a hundred are given up for a crack, and none once no crack comes."""
    result = ran("scrap")
    assert mean(result, "scrapped") == pytest.approx(0.03, abs=0.01)
    assert mean(result, "throughput") < 59
    crack = "station.K1.task.machine.fault.crack.chance = 0"
    assert mean(ran("scrap", crack), "scrapped") == 0 < mean(ran("scrap", crack), "reworked")


def test_two_bays() -> None:
    """The first bay holds the line, the second lets faults go on, and jobs overtake one another."""
    result = ran("two-bays")
    assert mean(result, "bay_hold", "first-bay") > 0 == mean(result, "bay_carried_on", "first-bay")
    assert mean(result, "bay_carried_on", "second-bay") > 0 == mean(result, "bay_hold", "second-bay")
    assert mean(result, "escaped") > 0
    assert mean(result, "out_of_sequence") > 0


def test_staggered_breaks() -> None:
    """The lane swings between many jobs and none, and with five places the line makes less."""
    result = ran("staggered-breaks")
    assert mean(result, "buffer_at", "lane", "2") > 0
    assert mean(result, "buffer_at", "lane", "30") > 0
    short = ran("staggered-breaks", "buffer.lane.capacity = 5", "buffer.lane.level = 3")
    assert mean(short, "throughput") < 0.95 * mean(result, "throughput")


def test_disturbances() -> None:
    """Line stops carry the scenario's own cause words beside the program's."""
    causes = {row.cause for row in ran("disturbances").result.rows("line_stop") if row.mean}
    assert {"parts", "kit", "breakdown"} <= causes


def test_orders_from_a_file() -> None:
    """The sequence is the one of the file, again and again, in every replication."""
    import linesim
    from linesim.draws.draws import Draws
    from linesim.plan.build import build

    folder = ROOT / "scenarios" / "features"
    plan = build(linesim.load(folder / "orders-from-a-file.toml"))
    rows = (folder / "orders.csv").read_text(encoding="utf-8").splitlines()[1:]
    models = [row.split(",")[0] for row in rows]
    for replication in (1, 2):
        draws = Draws(plan, plan.run.seed, replication)
        found = [draws.order(job).model for job in range(2 * len(rows))]
        assert [("short", "long")[model] for model in found] == models * 2


def test_levelled() -> None:
    """Levelled, two heavy jobs hardly ever follow one another; at random they often do, and it stops more."""
    import linesim
    from linesim.draws.draws import Draws
    from linesim.plan.build import build

    def pairs(*sets: str) -> int:
        plan = build(linesim.load(ROOT / "scenarios" / "features" / "levelled.toml", sets))
        draws = Draws(plan, plan.run.seed, 1)
        return "".join("ABC"[draws.order(job).model] for job in range(1000)).count("BB")

    random = 'orders.sequence = "random"'
    assert pairs() < 20 < 50 < pairs(random)
    assert mean(ran("levelled"), "line_stop", "trim") < 0.5 * mean(
        ran("levelled", random), "line_stop", "trim"
    )


def test_spacing() -> None:
    """The rule takes most of the overload away that a looser one leaves."""
    loose = ran("spacing", "orders.spacing.sunroof.at_most = 2")
    assert mean(ran("spacing"), "overload", "K1") < 0.2 * mean(loose, "overload", "K1")


def test_supply_and_removal() -> None:
    """The first station starves, the last one is at times blocked, although the work fits the takt."""
    result = ran("supply-and-removal")
    assert mean(result, "station_state", "A1", "starved") > 0.05
    assert mean(result, "station_state", "B1", "blocked") > 0


def test_measured_times() -> None:
    """A smooth shape of the same mean and spread gives about half of the overruns."""
    smooth = ran(
        "measured-times", 'station.K1.task.fit-door.time = { shape = "lognormal", mean = "55 s", cv = 0.18 }'
    )
    assert mean(smooth, "overruns", "K1") < 0.7 * mean(ran("measured-times"), "overruns", "K1")


@pytest.mark.parametrize("name", ["excel-table", "guesses", "packages"])
def test_the_rest_runs(name: str) -> None:
    """The scenarios about input run as shipped and build jobs."""
    assert mean(ran(name), "throughput") > 30
