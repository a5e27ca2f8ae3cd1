"""What the drawings of stops and waits are drawn from: sums that close, the largest first."""

import dataclasses
import math

import pytest

from linesim.capacity.ceiling import limits
from linesim.measures import SEGMENT
from linesim.plan.build import build
from linesim.plan.words import HANDED_ON
from linesim.questions.bottleneck.evidence import TURN
from linesim.questions.bottleneck.question import bottleneck
from linesim.report.charts.ceilings import ceilings, tightest
from linesim.report.charts.crew_time import lines as crew_lines
from linesim.report.charts.stop_bars import bars, stop_bars
from linesim.report.charts.turning import chain, turning
from linesim.report.charts.waits import lines as station_lines
from linesim.report.charts.waits import waits
from linesim.report.sections.bottlenecks import begun_at
from linesim.report.sections.stops import stop_grid
from linesim.runs.simulation import simulate
from tests.unit.report.small import small_result, small_scenario, small_told


def stop_of(*sections: str) -> float:
    """Return the stop minutes of sections."""
    return sum(small_result().row("line_stop", name).mean or 0.0 for name in sections)


def test_bars_are_sorted_and_whole() -> None:
    """Bars come the largest first, each with its interval, and together make up all stop minutes."""
    found = bars(small_result())
    means = [bar.minutes.mean or 0.0 for bar in found]
    assert means == sorted(means, reverse=True)
    assert math.fsum(means) == pytest.approx(stop_of("cell", "belt"))
    assert found[-1].share_so_far == pytest.approx(1)
    assert found[0].share_so_far == pytest.approx(means[0] / math.fsum(means))
    assert all(bar.minutes.low is not None for bar in found)


def test_a_minute_that_is_passed_on_is_not_paid_again() -> None:
    """The page's price of stops is that of the minutes by cause that are not passed on, and of no others."""
    slow = {"section.belt.on_gap": "wait", "station.P1.task.press.time": "75 s"}
    scenario = small_scenario().replace(slow)
    result = simulate(scenario, replications=2)
    own = math.fsum(r.mean or 0.0 for r in result.rows("line_stop") if r.cause not in ("", *HANDED_ON))
    told = dataclasses.replace(small_told(), plan=build(scenario), result=result)
    assert sum(result.row("line_stop", name).mean or 0.0 for name in ("cell", "belt")) > 1.5 * own > 0
    shown = told.view("money")
    assert shown is not None
    (stops,) = (row for row in shown.rows if row[0].text == "own stops")
    assert stops[1].value == pytest.approx(-20 * own) and stops[1].text.startswith("-EUR ")


def test_bars_tell_own_stops_from_passed_on_ones() -> None:
    """A bar is hatched where its cause passes on what happened elsewhere, and only there."""
    for bar in bars(small_result()):
        assert bar.passed_on == (bar.minutes.cause in HANDED_ON)


def test_the_figure_names_its_largest() -> None:
    """The description says which bar is the largest, so that nobody has to see it."""
    figure = stop_bars(small_result())
    assert figure is not None
    assert bars(small_result())[0].label in figure.says
    assert len(figure.table.rows) == len(bars(small_result()))


def test_the_grid_closes() -> None:
    """Rows and columns of the grid of place by cause add up to the stop minutes of the sections."""
    grid = stop_grid(small_told())
    assert grid is not None
    body = [[cell.value or 0.0 for cell in row[1:-1]] for row in grid.rows]
    sums = [row[-1].value for row in grid.rows]
    assert sums == pytest.approx([sum(row) for row in body])
    assert [cell.value for cell in grid.foot[1:-1]] == pytest.approx(
        [sum(c) for c in zip(*body, strict=True)]
    )
    assert grid.foot[-1].value == pytest.approx(stop_of("cell", "belt"))
    assert max(cell.tint for row in grid.rows for cell in row) == 1


def test_minutes_of_a_station_fill_the_shift() -> None:
    """The states of each station add up to all of its working time, in line order."""
    lines = station_lines(small_told())
    assert [line.name for line in lines] == ["P1", "P2", "K1", "K2"]
    assert [line.group for line in lines] == ["cell, free", "cell, free", "belt, moving", "belt, moving"]
    for line in lines:
        assert math.fsum(row.mean or 0.0 for row in line.minutes if row) == pytest.approx(1)


def test_minutes_of_a_person_fill_the_duty() -> None:
    """What a crew's people do adds up to all of their duty; planned work stands apart and is the load."""
    told = small_told()
    for line, load in zip(crew_lines(told), told.loads.crews, strict=True):
        planned, *really = line.minutes
        assert math.fsum(row.mean or 0.0 for row in really if row) == pytest.approx(1)
        assert (planned.mean if planned else 0.0) == pytest.approx(load.share_of_takt)


def test_columns_that_nobody_needs_are_left_out() -> None:
    """A state in which no station spends time has no column, neither drawn nor in the table."""
    figure = waits(small_told())
    heads = [column.name for column in figure.table.columns]
    assert "working, min" in heads
    assert len(heads) == len(set(heads) - {"interval"}) + heads.count("interval")
    for k, column in enumerate(figure.table.columns):
        if column.name.endswith(", min"):
            assert any((row[k].value or 0.0) > 0 for row in figure.table.rows), column.name


def test_chart_and_study_name_the_same_turning_point() -> None:
    """Page and study look at the same links and shares and go by the same rule, named or not."""
    told = small_told()
    found = chain(told)
    assert found is not None and turning(told) is not None
    study = bottleneck(small_scenario(), only=["P1"], replications=len(told.result.replications))
    assert (
        [e.name for e in found.elements] == list(study.table("links").column("link")) == ["P1", "P2", "belt"]
    )
    row = study.table("methods").row(TURN)
    assert (found.turn.names, found.turn.could_be, found.turn.times) == (
        row["names"], row["could_be"], row["times"],
    )  # fmt: skip
    minutes = told.shift_min
    for e, row in zip(found.elements, study.table("links"), strict=True):
        assert e.blocked.mean == pytest.approx(row["blocked_share"] * minutes)
        assert e.starved.mean == pytest.approx(row["starved_share"] * minutes)


def test_stops_are_begun_somewhere() -> None:
    """What begins at each place is its own causes; the shares of being first are shares."""
    found = begun_at(small_told())
    own = math.fsum(
        row.mean or 0.0
        for row in small_result().rows("line_stop")
        if row.cause and row.cause not in HANDED_ON
    )
    assert math.fsum(row.mean or 0.0 for _, row, _ in found) == pytest.approx(own)
    assert 1 <= sum(first for _, _, first in found) <= len(found)


def test_ceilings_are_above_what_is_made() -> None:
    """The tightest limit comes first, and what the line makes is below it."""
    told = small_told()
    found = tightest(told)
    rates = [limit.jobs_per_hour for limit in found]
    assert rates == sorted(rates)
    assert found[0] == limits(told.loads)[0]
    assert len(found) <= len(limits(told.loads))
    made = told.result.row("throughput", SEGMENT)
    assert made.mean is not None
    assert made.mean < rates[0]
    figure = ceilings(told)
    assert figure is not None
    assert "takt of belt" in figure.says
