"""What the drawings of stops and waits are drawn from: sums that close, the largest first."""

import dataclasses
import math

import pytest

from linesim.capacity.ceiling import limits
from linesim.measures import SEGMENT
from linesim.plan.build import build
from linesim.plan.words import HANDED_ON
from linesim.questions.bottleneck import bottleneck
from linesim.questions.bottleneck.evidence import TURN
from linesim.questions.run.answer import document_of
from linesim.questions.run.page_only import tightest
from linesim.questions.run.sentences import cause_in_words
from linesim.report.charts.losses import losses, losses_chart
from linesim.report.charts.minutes import crew_lines, station_lines, waits
from linesim.report.sections.line import begun_at, bottlenecks, turn_of
from linesim.report.style import PASSED_ON
from linesim.runs.simulation import simulate
from linesim.scenario import load_text
from tests.unit.report.small import small_result, small_scenario, small_told

FREE = """\
takt = "60 s"
flow = ["cell"]
[run]
length = "2 h"
shift = "1 h"
[section.cell]
pacing = "free"
stations = ["P1"]
[crew.cell]
people = 1
covers = ["P1"]
[station.P1.task.fit]
time = "50 s"
"""


def stop_of(*sections: str) -> float:
    """Return the stop minutes of sections."""
    return sum(small_result().row("line_stop", name).mean or 0.0 for name in sections)


def test_losses_lead_from_the_takt_to_what_is_made() -> None:
    """Ceiling less all losses is what the line makes, in every replication; the largest comes first."""
    told = small_told()
    found = losses(told)
    assert found is not None and found.section == "belt"
    assert found.ceiling == pytest.approx(told.shift_min * 60 / found.takt_s)
    means = [one.jobs.mean or 0.0 for one in found.found]
    assert found.ceiling - math.fsum(means) == pytest.approx(found.made.mean)
    assert found.made.mean == pytest.approx(told.result.row("jobs_per_shift").mean)
    assert means[:-1] == sorted(means[:-1], reverse=True)


def test_a_minute_of_stop_costs_the_jobs_of_a_minute() -> None:
    """What a cause takes away are its minutes of stop in the section, over the takt; hatched if passed on."""
    told = small_told()
    found = losses(told)
    assert found is not None
    by_label = {one.label: one for one in found.found}
    for cause in {row.cause for row in told.result.rows("line_stop") if row.cause not in ("", "starved")}:
        minutes = math.fsum(
            row.mean or 0.0 for row in told.result.rows("line_stop")
            if row.cause == cause and row.where in ("belt", "K1", "K2")
        )  # fmt: skip
        if minutes * 60 / found.takt_s >= 0.05:
            one = by_label[cause_in_words(cause)]
            assert one.jobs.mean == pytest.approx(minutes * 60 / found.takt_s)
            assert (one.paint == PASSED_ON) == (cause in HANDED_ON)
            assert math.fsum(jobs for _, jobs in one.places) == pytest.approx(one.jobs.mean)
            assert {place for place, _ in one.places} <= {"K1", "K2", "belt"}
    assert any(dict(one.places).get("K1", 0.0) > 0 for one in found.found)
    figure = losses_chart(told)
    assert figure is not None and found.found[0].label in figure.says
    assert len(figure.table.rows) == len(found.found) + 2


def test_a_loss_of_nothing_has_no_sign() -> None:
    """A line that makes all that its takt lets through loses 0 jobs, not -0, in table and drawing."""
    scenario = load_text(
        'title = "full"\ntakt = "10 s"\nflow = ["belt"]\n[run]\nlength = "600 s"\nshift = "600 s"\n'
        'warm_up = "5 s"\nstart = "full"\n[section.belt]\npacing = "moving"\nstations = ["A"]\n'
    )
    answer = document_of(build(scenario), simulate(scenario, replications=2))
    figure = losses_chart(dataclasses.replace(small_told(), answer=answer))
    assert figure is not None
    assert [row[1].text for row in figure.table.rows] == ["60.0", "0", "60"]
    assert ">0<" in figure.wide and ">-0<" not in figure.wide


def test_a_line_without_takt_has_no_losses() -> None:
    """Where every station hands on by itself no takt sets a ceiling, so nothing is drawn."""
    scenario = load_text(FREE)
    answer = document_of(build(scenario), simulate(scenario, replications=2))
    told = dataclasses.replace(small_told(), answer=answer)
    assert losses(told) is None and losses_chart(told) is None


def test_a_minute_that_is_passed_on_is_not_paid_again() -> None:
    """The page's price of stops is that of the minutes by cause that are not passed on, and of no others."""
    slow = {"section.belt.on_gap": "wait", "station.P1.task.press.time": "75 s"}
    scenario = small_scenario().replace(slow)
    result = simulate(scenario, replications=2)
    own = math.fsum(r.mean or 0.0 for r in result.rows("line_stop") if r.cause not in ("", *HANDED_ON))
    told = dataclasses.replace(small_told(), answer=document_of(build(scenario), result))
    assert sum(result.row("line_stop", name).mean or 0.0 for name in ("cell", "belt")) > 1.5 * own > 0
    shown = told.view("money")
    assert shown is not None
    (stops,) = (row for row in shown.rows if row[0].text == "own stops")
    assert stops[1].value == pytest.approx(-20 * own) and stops[1].text.startswith("-EUR ")


def test_the_grid_closes() -> None:
    """Rows and columns of the grid of place by cause add up to the stop minutes of the sections."""
    grid = small_told().view("stop grid")
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


def test_page_and_study_name_the_same_turning_point() -> None:
    """Page and study look at the same shares and go by the same rule, named or not."""
    told = small_told()
    turn = turn_of(told)
    assert turn is not None
    study = bottleneck(small_scenario(), only=["P1"], replications=len(told.result.replications))
    row = study.table("methods").row(TURN)
    assert (", ".join(turn.level), turn.times) == (row["could_be"], row["times"])
    assert row["names"] == (turn.place if turn.stations else "can't tell")


def test_stops_are_begun_somewhere() -> None:
    """What begins at each place is its own causes, the largest first."""
    found = begun_at(small_told())
    own = math.fsum(
        row.mean or 0.0
        for row in small_result().rows("line_stop")
        if row.cause and row.cause not in HANDED_ON
    )
    assert math.fsum(row.mean or 0.0 for _, row in found) == pytest.approx(own)
    assert [row.mean for _, row in found] == sorted((row.mean or 0.0 for _, row in found), reverse=True)


def test_ceilings_are_above_what_is_made() -> None:
    """The tightest limit comes first, and what the line makes is below it."""
    told = small_told()
    found = tightest(told.loads)
    rates = [limit.jobs_per_hour for limit in found]
    assert rates == sorted(rates)
    assert found[0] == limits(told.loads)[0]
    assert len(found) <= len(limits(told.loads))
    made = told.result.row("throughput", SEGMENT)
    assert made.mean is not None
    assert made.mean < rates[0]
    limits_told = bottlenecks(told)
    assert limits_told is not None
    assert "takt of belt" in str(limits_told.parts)
