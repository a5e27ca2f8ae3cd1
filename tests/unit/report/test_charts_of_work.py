"""What the drawings of work, shifts, buffers and precision are drawn from."""

import math

import pytest

from linesim.answers.wording import text
from linesim.commands.report import told_of
from linesim.report.charts.levels import Hours, bay_hours, bay_loads, bays_by_hour, buffer_levels, fullest
from linesim.report.charts.over_time import (
    OneShift,
    by_shift,
    convergence,
    settling,
    shift_chart,
    smoothed,
    start_in_words,
    steps,
)
from linesim.report.charts.piles import by_station, crew_piles
from linesim.report.charts.work import MOST_PEOPLE, operator_groups, operators, station_loads, station_work
from linesim.runs.replication import Label
from linesim.runs.rows import row_of
from linesim.runs.simulation import simulate
from linesim.scenario import load_text
from tests.unit.report.small import small_result, small_told


def test_station_work_by_hand() -> None:
    """Mean, lightest and heaviest time of K1 follow from the mix: 44 or 62 s, 14 s more with a rack."""
    found = {load.station: load for load in station_loads(small_told())}
    k1 = found["K1"].spread
    assert k1.low == pytest.approx(44)
    assert k1.high == pytest.approx(62 + 14)
    assert k1.mean == pytest.approx(0.7 * 44 + 0.3 * 62 + 0.5 * 14)
    assert k1.over == pytest.approx(0.3)  # every rich job is above 60 s
    assert k1.p95 == pytest.approx(62 + 14)  # 15 in 100 jobs are rich with a rack
    assert k1.heaviest == "rich+rack"
    assert found["P1"].spread.low == found["P1"].spread.high == pytest.approx(50)
    assert list(found) == ["P1", "P2", "K1", "K2"]


def test_piles_hold_all_work() -> None:
    """The pieces of a pile add up to one person's part of its crew's work, station by station."""
    told = small_told()
    loads = {load.name: load for load in told.loads.crews}
    piles = {pile.crew: pile for pile in crew_piles(told)}
    assert set(piles) == {"cell", "belt"}  # helper and mending have no planned work
    for name, pile in piles.items():
        one = loads[name].work_s / loads[name].count
        assert math.fsum(piece.work_s for piece in pile.pieces) == pytest.approx(one)
        assert pile.spread.mean == pytest.approx(one)
        assert pile.spread.low <= pile.spread.mean <= pile.spread.high
    assert [station for station, _ in by_station(piles["belt"])] == ["K1", "K2"]
    assert piles["belt"].spread.high == pytest.approx((62 + 14 + 40) / 2)


def test_shifts_hold_every_shift() -> None:
    """The dots are the shifts of every replication, and the plan is met as often as the table says."""
    result = small_result()
    found = by_shift(result)
    assert [shift.number for shift in found] == [1, 2, 3, 4, 5]
    jobs = [j for shift in found for j in shift.jobs]
    assert len(jobs) == 5 * 4
    assert result.row("plan_met").mean == pytest.approx(sum(j >= 55 for j in jobs) / len(jobs))
    assert math.fsum(shift.mean.mean or 0.0 for shift in found) / 5 == pytest.approx(
        result.row("jobs_per_shift").mean or 0.0
    )
    figure = shift_chart(small_told())
    assert figure is not None
    assert f"met in {sum(j >= 55 for j in jobs)} of 20" in figure.says


def test_convergence_ends_with_the_result() -> None:
    """The last step of the mean so far is the row of the result, and the first has no interval."""
    found = steps(small_result())
    row = small_result().row("jobs_per_shift")
    assert found[-1].so_far[4:8] == pytest.approx(row[4:8])
    assert found[0].so_far.low is None
    assert [step.runs for step in found] == [1, 2, 3, 4]


def test_overruns_stand_beside_the_work() -> None:
    """Where by mean times nothing is too long, the same row still says how often a job overran in the run.

    Of 50 s ± 40 % at a takt of 60 s some ten in a hundred take longer.
    """
    line = (
        'takt = "60 s"\nflow = ["one"]\n[run]\nlength = "5 h"\nreplications = 3\n[section.one]\n'
        'pacing = "moving"\nstations = ["A", "B"]\n[crew.all]\npeople = 2\ncovers = ["A", "B"]\n'
        '[station.A.task.fit]\ntime = { mean = "50 s", cv = 0.4 }\n[station.B.task.easy]\ntime = "20 s"\n'
    )
    scenario = load_text(line)
    result = simulate(scenario)
    told = told_of(scenario, result, "linesim report")
    tight, easy = station_loads(told)
    assert tight.spread.over == 0 and easy.overruns is not None and easy.overruns.mean == 0
    assert tight.overruns is not None and (tight.overruns.mean or 0) > 10
    drawn = station_work(told)
    assert "By mean times no variant needs more than the takt at any station." in drawn.says
    assert "reached the limit with work open at 1 station: A (" in drawn.says
    (place,) = (k for k, c in enumerate(drawn.table.columns) if c.name.startswith("overruns as run"))
    assert [row[place].value for row in drawn.table.rows] == [tight.overruns.mean, 0]
    assert " % over</text>" in drawn.wide


def test_one_replication_settles_nothing() -> None:
    """There is no drawing of convergence for one replication."""
    assert convergence(small_told(1)) is None


def shift(number: int, jobs: int) -> OneShift:
    """Return a shift in which every replication made the same."""
    return OneShift(number, (jobs, jobs), row_of(Label("x", "", "", ""), [jobs, jobs], 0.95), None)


def test_a_late_start_is_said() -> None:
    """If the first of many shifts surely make less, the warm-up is too short; else the words say so."""
    slow = tuple(shift(k + 1, 20 if k < 2 else 50 + k % 2) for k in range(16))
    assert "so the warm-up is too short" in start_in_words(slow, 0.95)
    steady = tuple(shift(k + 1, 50 + k % 2) for k in range(16))
    assert start_in_words(steady, 0.95).startswith("They do not")
    wild = [OneShift(k + 1, (40 + 9 * (k % 3), 60 - 11 * (k % 5)), steady[0].mean, None) for k in range(16)]
    assert "the data can't tell" in start_in_words(tuple(wild), 0.95)


def test_settling_smooths_over_neighbours() -> None:
    """Welch's average of one shift to each side is the mean of three shifts."""
    line = smoothed(tuple(shift(k + 1, jobs) for k, jobs in enumerate((3, 6, 12, 9, 6))))
    assert line == pytest.approx((3, 7, 9, 9))
    assert settling(small_told()) is not None


def test_buffer_levels_fill_the_time() -> None:
    """The shares of time at each level add up to 1 and give the mean level."""
    (lane,) = buffer_levels(small_told())
    assert (lane.name, lane.places, len(lane.at)) == ("lane", 3, 4)
    shares = [row.mean or 0.0 for row in lane.at]
    assert math.fsum(shares) == pytest.approx(1)
    assert math.fsum(k * share for k, share in enumerate(shares)) == pytest.approx(lane.level.mean)


def test_bays_stand_against_their_places() -> None:
    """Each bay has its jobs in work against its places, and those waiting against its waiting places."""
    found = bay_loads(small_told())
    assert [(bay.name, bay.what, bay.room) for bay in found] == [
        ("rework", "in work", 1),
        ("rework", "waiting", 2),
    ]
    assert all(0 <= (bay.jobs.mean or 0.0) <= bay.room for bay in found)


def test_fault_grid_closes() -> None:
    """Faults made at K1 and found at K2 stand in their cell and in the sum."""
    grid = small_told().view("fault grid")
    assert grid is not None
    assert [column.name for column in grid.columns] == ["made at", "K2.check", "sum"]
    ((name, found, total),) = grid.rows
    assert name.text == "K1"
    assert (
        found.value == total.value == pytest.approx(small_result().row("faults_found", "K1.bolt.fault").mean)
    )


def test_bays_by_hour_are_the_average_load() -> None:
    """Over whole shifts that fill the run, a shift's one hour holds what waits and what is in work."""
    (bay,) = bays_by_hour(small_told())
    row = small_result().row
    assert (bay.name, bay.room, len(bay.jobs)) == ("rework", 3, 1)  # shifts of one hour
    waiting, working = row("bay_waiting", "rework").mean or 0.0, row("bay_working", "rework").mean or 0.0
    assert bay.jobs[0].mean == pytest.approx(waiting + working)
    drawing = bay_hours(small_told())
    assert drawing is not None
    assert drawing.says.endswith(f"Bay rework: {text(bay.jobs[0].estimate)} jobs.")


def test_only_an_hour_that_stands_out_is_named() -> None:
    """The fullest hour is named only if its interval lies above those of all others."""

    def hours(*means: float) -> Hours:
        rows = [row_of(Label("x", "", "", ""), [m - 0.1, m, m + 0.1], 0.95) for m in means]
        return Hours("rework", 3, tuple(rows))

    assert fullest(hours(1, 3, 1.2)) == "hour 2 is the fullest, with 3.00 (2.75 to 3.25) jobs"
    assert "1.00 to 1.20 jobs; no hour stands out" in fullest(hours(1, 1.1, 1.2))
    nothing = hours(1)._replace(jobs=(row_of(Label("x", "", "", ""), [0.0, 0.0], 0.95),))
    assert fullest(nothing) == "nothing came in"


def test_operators_do_what_their_crew_does() -> None:
    """What the places of a crew do per job adds up to the crew's busy share of the time that a job took."""
    result = small_result()
    groups = {group.crew: group for group in operator_groups(small_told())}
    assert {name: len(group.operators) for name, group in groups.items()} == {
        "cell": 1, "belt": 2, "helper": 1, "mending": 1,
    }  # fmt: skip
    for name, group in groups.items():
        for one in group.operators:
            assert one.busy.mean == pytest.approx(math.fsum(part.mean or 0.0 for part in one.parts))
        columns = [
            (label.where, k) for k, label in enumerate(result.labels) if label.measure == "operator_load"
        ]
        for run in result.replications:
            busy_s = math.fsum(run.values[k] or 0.0 for where, k in columns if where.startswith(f"{name} "))
            rate = run.values[0]
            share = run.values[result.labels.index(Label("crew_busy", name, "", "share"))]
            assert rate is not None and share is not None
            assert busy_s == pytest.approx(share * len(group.operators) * 3600 / rate)


def test_the_first_by_number_is_busiest() -> None:
    """Of two who are free the first goes, which the words say: the second of the belt works less."""
    (belt,) = (group for group in operator_groups(small_told()) if group.crew == "belt")
    first, second = (one.busy.mean or 0.0 for one in belt.operators)
    assert first > second
    drawing = operators(small_told())
    assert drawing is not None
    assert "places, not persons" in drawing.says
    assert "No crew is busy for longer than its takt." in drawing.says
    assert MOST_PEOPLE >= 5
