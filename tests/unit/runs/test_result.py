"""Rows and results from replications made by hand."""

import json
import pickle

import numpy as np
import pytest

import linesim
from linesim.answers.measure import Measure
from linesim.runs.case_runner import paired
from linesim.runs.replication import Label, Replication, Shift
from linesim.runs.result import Result, RunCard, ScenarioCard
from linesim.runs.rows import NO_FIGURE, NO_INTERVAL, Row, nearest_rank, row_of, rows_of
from linesim.scenario import load_text
from linesim.stats.intervals import mean_interval
from tests.commands.calls import LINE

LABELS = (
    Label("jobs_per_shift", "segment", "", "jobs"),
    Label("line_stop", "T1", "overrun", "min/shift"),
    Label("lead_time", "segment", "", "min"),
)


def replication(number: int, jobs: tuple[int, ...], stop: float, lead: float | None) -> Replication:
    """Return a replication with shifts of ``jobs``."""
    shifts = tuple(Shift(made, (stop,), 0) for made in jobs)
    return Replication(number, (sum(jobs) / len(jobs) if jobs else None, stop, lead), shifts)


THREE = (
    replication(1, (10, 12), 3.0, 80.0),
    replication(2, (11, 13), 5.0, None),
    replication(3, (12, 14), 4.0, 90.0),
)


def result(finished: tuple[Replication, ...] = THREE) -> Result:
    """Return the result of replications made by hand."""
    run = RunCard(
        seed=7,
        numbers=tuple(r.number for r in finished),
        lost=(),
        confidence=0.95,
        warm_up_s=0.0,
        length_s=57_600.0,
        shift_min=480.0,
        target=12.0,
        sections=("trim",),
        versions=(("linesim", "1"),),
    )
    return Result.of(ScenarioCard("By hand", "hand.toml", "f00d"), run, LABELS, finished)


def test_rows_carry_mean_interval_and_spread() -> None:
    """Stops of 3, 5 and 4 minutes: mean 4, sd 1, half width t(0.975, 2) / sqrt(3) = 2.484."""
    row = result().row("line_stop", "T1", "overrun")
    assert (row.mean, row.sd, row.replications, row.method) == (4.0, 1.0, 3, "Student t")
    assert row.half_width == pytest.approx(4.302653 / 3**0.5, abs=1e-6)  # standard t table
    assert row.low is not None and row.high is not None
    assert row.high - row.mean == pytest.approx(row.mean - row.low)


def test_one_replication_has_no_interval_and_says_so() -> None:
    """With one replication bounds, half width and sd are None, and the method says why."""
    row = result(THREE[:1]).row("line_stop", "T1", "overrun")
    assert row[4:] == (3.0, None, None, None, None, 1, NO_INTERVAL)


def test_a_figure_that_some_replications_lack_counts_those_that_have_it() -> None:
    """Lead times of 80 and 90 with one replication that has none: mean 85 of two."""
    row = result().row("lead_time")
    assert (row.mean, row.replications) == (85.0, 2)


def test_a_figure_that_no_replication_gives_is_none() -> None:
    """Where no replication gives the figure, the row is there, empty, and says why."""
    row = result((THREE[1],)).row("lead_time")
    assert row[4:] == (None, None, None, None, None, 0, NO_FIGURE)


def test_percentiles_are_over_the_shifts_of_all_replications() -> None:
    """Of the six shifts 10 11 12 12 13 14 the first decile is 10, the last 14; their rows follow the mean."""
    found = result()
    names = [row.measure for row in found.measures]
    assert names[:3] == ["jobs_per_shift", "jobs_per_shift_p10", "jobs_per_shift_p90"]
    assert found.row("jobs_per_shift_p10").mean == 10
    assert found.row("jobs_per_shift_p90").mean == 14
    assert found.row("jobs_per_shift_p10").method == "bootstrap (BCa)"


def test_no_whole_shift_no_percentile() -> None:
    """A run shorter than a shift has rows of percentiles that give no figure."""
    short = replication(1, (), 1.0, 80.0)
    assert result((short,)).row("jobs_per_shift_p90").mean is None


@pytest.mark.parametrize(("percent", "expected"), [(10, 1), (11, 2), (50, 5), (90, 9), (91, 10), (100, 10)])
def test_nearest_rank(percent: int, expected: int) -> None:
    """Of 1 … 10 in any order, the value that at least so many percent do not exceed, row by row."""
    ascending = np.arange(1, 11)
    rows = np.array([ascending, ascending[::-1], np.roll(ascending, 3)])
    assert nearest_rank(rows, percent).tolist() == [expected] * 3


@pytest.mark.parametrize("seldom", [[0.0] * 9 + [1.0], [0.0, 0.0, 1.0]])
def test_an_interval_of_what_cannot_be_negative_stays_above_zero(seldom: list[float]) -> None:
    """An interval of a figure of the line that would reach below 0 ends there; its other end stays."""
    row = row_of(Label("line_stop", "T1", "breakdown", "min/shift"), seldom, 0.95)
    found = mean_interval(seldom)
    assert found.low is not None and found.low < 0
    assert (row.mean, row.low, row.high) == (found.mean, 0.0, found.high)
    share = row_of(Label("buffer_full", "B", "", "share"), [1 - value for value in seldom], 0.95)
    assert share.high == 1.0 and share.low is not None and share.low > -1e-12


def test_money_may_be_lost() -> None:
    """Net money below 0 keeps its whole interval."""
    row = row_of(Label("net_money", "segment", "", "EUR/shift"), [-9.0, -2.0, 3.0, -4.0], 0.95)
    assert row.low == mean_interval([-9.0, -2.0, 3.0, -4.0]).low


def test_differences_of_shares_stay_possible() -> None:
    """A change of a share is never told as more than 1 or less than -1, that of a time is left alone."""
    base, after = np.array([0.0, 0.0, 0.9]), np.array([1.0, 0.95, 0.0])
    share = paired(base, after, Measure("plan_met"), "share", 0.95)
    assert (share.low, share.high) == (-1.0, 1.0)
    time = paired(base, after, Measure("lead_time"), "min", 0.95)
    assert time.low is not None and time.low < -1


def test_plan_met_is_the_share_of_all_shifts() -> None:
    """Of the shifts 10 12 11 13 12 14 four make the plan of 12; the interval is Wilson's."""
    labels = (Label("plan_met", "segment", "", "share"),)
    finished = tuple(Replication(r.number, (0.0,), r.shifts) for r in THREE)
    row = rows_of(labels, finished, 0.95, target=12.0)[0]
    assert row.mean == pytest.approx(4 / 6) and row.method == "Wilson over replications"


def test_a_plan_that_is_always_met_says_what_is_known() -> None:
    """All shifts of three replications make 10: at 95 % the share is 3 / (3 + 1.96**2) or more."""
    labels = (Label("plan_met", "segment", "", "share"),)
    finished = tuple(Replication(r.number, (0.0,), r.shifts) for r in THREE)
    row = rows_of(labels, finished, 0.95, target=10.0)[0]
    assert (row.mean, row.high) == (1.0, 1.0)
    assert row.low == pytest.approx(3 / (3 + 1.959964**2), abs=1e-6)


def test_json_is_one_object_and_repeats_byte_for_byte() -> None:
    """The document reads back, has its parts in order, and two results of the same replications are equal."""
    text = result().to_json()
    assert text == result().to_json()
    read = json.loads(text)
    assert list(read) == ["schema_version", "scenario", "warnings", "run", "measures"]
    assert list(read["measures"][0]) == list(Row._fields)
    assert read["run"]["replications"] == 3


def test_json_has_null_and_never_nan() -> None:
    """What is unknown is null, so that strict readers accept the document."""
    assert "NaN" not in result((THREE[1],)).to_json()
    assert json.loads(result((THREE[1],)).to_json())["measures"][-1]["mean"] is None


def test_table_has_one_row_a_figure_in_the_columns_of_the_json() -> None:
    """The pandas frame says the same as the measures, None as missing."""
    table = result().table
    assert list(table.columns) == list(Row._fields)
    assert len(table) == len(result().measures)
    assert table["mean"].tolist()[0] == result().measures[0].mean


def test_asking_for_what_is_not_there_names_what_is() -> None:
    """An unknown measure lists the measures; an unknown place lists the places."""
    with pytest.raises(KeyError, match="no measure 'output'; there are jobs_per_shift"):
        result().row("output")
    with pytest.raises(KeyError, match="T1, overrun"):
        result().row("line_stop", "T9")
    with pytest.raises(KeyError, match="T1, overrun"):
        result().values("line_stop", "T9")


def test_values_give_each_replication() -> None:
    """Values come in the order of the replications, None where one has none."""
    assert result().values("lead_time") == (80.0, None, 90.0)


def test_results_are_data() -> None:
    """The rows of a result equal what their text evaluates to; it survives a trip to another process."""
    found = result()
    names = {c.__name__: c for c in (Label, Replication, Row, RunCard, ScenarioCard, Shift)}
    for part in (found.scenario, found.run, found.replications, found.measures):
        assert eval(repr(part), names) == part
    assert pickle.loads(pickle.dumps(found)) == found


def test_confidence_widens_the_interval() -> None:
    """At 99 % an interval is wider than at 95 %, at the same mean."""
    narrow, wide = rows_of(LABELS, THREE, 0.95)[1 + 2], rows_of(LABELS, THREE, 0.99)[1 + 2]
    assert narrow.mean == wide.mean
    assert narrow.half_width is not None and wide.half_width is not None
    assert wide.half_width > narrow.half_width


def test_a_result_fits_a_screen() -> None:
    """What Python shows of a result and of the answer of a run is short, however much is in them."""
    long = load_text(LINE.replace("Two stations and a lane", "A line " * 28))
    answer = linesim.simulate(long, replications=2)
    assert len(repr(answer.result)) < 200 and len(repr(answer)) < 500
    assert repr(answer.result).startswith("<result of A line A line ") and "2 replications" in repr(
        answer.result
    )


def test_the_answer_of_a_run_is_a_result_too() -> None:
    """Sentences, tables and frames stand beside the figures of each replication and their rows."""
    answer = linesim.simulate(load_text(LINE), replications=3, seed=4)
    assert answer.sentences[0].startswith("The line makes ")
    frame = answer.replications
    assert frame.index.tolist() == [1, 2, 3]
    assert tuple(frame["throughput"]) == answer.values("throughput")
    assert frame["line_stop:back"].mean() == pytest.approx(answer.row("line_stop", "back").mean)
    assert len(answer.frame("measures")) == len(answer.result.measures)
    alone = linesim.simulate(load_text(LINE), only_replication=2, seed=4)
    assert alone.values("throughput")[0] == frame.loc[2, "throughput"]


def test_a_measure_that_is_not_there_names_the_nearest() -> None:
    """A slip in the name of a measure is answered with those most like it, not with all of them."""
    answer = linesim.simulate(load_text(LINE), replications=2)
    with pytest.raises(KeyError, match=r"no measure 'thruput'; did you mean throughput\?"):
        answer.row("thruput")
    with pytest.raises(KeyError, match="there are throughput, "):
        answer.row("colour")
