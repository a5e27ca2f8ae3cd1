"""`warmup`: series that add up to the ledger's own accounts, starts of known length, refusals."""

from functools import partial

import numpy as np
import pytest

from linesim.answers.document import Document
from linesim.answers.values import Change
from linesim.errors import WrongQuestionError
from linesim.measures.output import TICKS_PER_HOUR
from linesim.plan.build import build
from linesim.plan.words import SECTION_STATES
from linesim.questions.warmup import warmup
from linesim.questions.warmup.cuts import SeriesCut, bias_of, cut_of, suggestion
from linesim.questions.warmup.series import SERIES, WorkingHours, averages, counts, interval_ticks, series
from linesim.report.document import document_pieces
from linesim.report.figure import Figure
from linesim.scenario import load_text
from tests.commands.calls import LINE
from tests.drives import both_drives
from tests.lines import to

#: Twelve stations that never fail: the first job leaves after twelve takts, and then one every minute.
LONG = (
    'takt = "60 s"\nflow = ["one"]\n[run]\nlength = "10 h"\nshift = "2 h"\nreplications = 2\n[section.one]\n'
    f'pacing = "moving"\nstations = [{", ".join(f"{chr(34)}S{k}{chr(34)}" for k in range(12))}]\n'
    + "".join(f"[station.S{k}]\n" for k in range(12))
)

BREAKS = """\
[calendar.day]
shifts = ["06:00-14:00"]
breaks = ["09:00-09:30"]
"""


def _calendar_line(length: str) -> str:
    with_calendar = LINE.replace('shift        = "1 h"', 'calendar = "day"').replace('"3 h"', f'"{length}"')
    return with_calendar.replace("[section.front]", BREAKS + "[section.front]")


def test_working_time_leaves_out_breaks_and_nights() -> None:
    """Of a shift from 6 to 14 with a break of half an hour 7.5 h are worked, and none in the night."""
    hours = WorkingHours(build(load_text(_calendar_line("47 h"))))
    h = TICKS_PER_HOUR
    times = np.array([0, h, 3 * h, 3 * h + h // 4, 3 * h + h // 2, 8 * h, 20 * h, 24 * h, 25 * h])
    expected = [0, 1, 3, 3, 3, 7.5, 7.5, 7.5, 8.5]
    assert (hours.worked(times) / h).tolist() == expected
    assert hours.total == 15 * h
    assert [hours.clock(int(w * h)) / h for w in (0, 1, 3, 3.5, 7.5, 8.5)] == [0, 1, 3, 4, 8, 25]


def test_counts_and_averages_by_hand() -> None:
    """Moments at the edge of an interval belong to the one that ends there; a level counts by its time."""
    assert counts(np.array([1, 10, 11, 20, 31]), 10, 3).tolist() == [2, 2, 0]
    found = averages(np.array([5, 12, 20]), np.array([2, 4, 0]), 10, 3)
    assert found.tolist() == [1.0, (2 * 2 + 8 * 4) / 10, 0.0]
    assert averages(np.array([], dtype=np.int64), np.array([], dtype=np.int64), 10, 2).tolist() == [0.0, 0.0]


@pytest.mark.parametrize("text", [LINE, _calendar_line("22 h")], ids=["one span", "breaks and a night"])
def test_series_add_up_to_the_ledger(text: str) -> None:
    """Without a warm-up, finished jobs, jobs inside and stops are those of the accounts of the same run."""
    plan = build(load_text(text).replace(to("run.warm_up = '0 s'")))
    hours = WorkingHours(plan)
    interval = hours.total // 40
    assert hours.total % 40 == 0
    found = dict(zip((name for name, _, _ in SERIES), series(plan, 5, 1, interval), strict=True))
    ledger, _ = both_drives(plan, 5, with_events=False)
    assert found["finished"].sum() * interval / TICKS_PER_HOUR == pytest.approx(ledger.jobs_out)
    stopped = ledger.section_state[:, SECTION_STATES.index("stopped")].sum()
    assert stopped > 0
    assert found["stopped"].sum() * interval * 2 == pytest.approx(stopped)
    assert found["inside"].sum() * interval == pytest.approx(ledger.job_time)


def cut_h(answer: Document) -> float:
    """Return the longest cut of the series that decide [h]."""
    cuts = [row["cut_h"] for row in answer.table("cuts") if row["decides"] == "yes"]
    return max(cut for cut in cuts if isinstance(cut, float))


def test_the_time_to_fill_a_line_is_cut() -> None:
    """Twelve stations are full after 12 min: the cut is the first batch of five intervals beyond."""
    found = warmup(load_text(LONG))
    plan = build(load_text(LONG))
    assert found.table("moving_average").column("start_h")[:2] == (0, 450 / 3600)
    assert interval_ticks(plan, WorkingHours(plan)) == 450_000  # a sixteenth of two hours: over five takts
    assert cut_h(found) == 5 * 450 / 3600
    assert "leave out 37.5 min" in found.sentences[0]
    assert 'run.warm_up = "1 shift"' in found.sentences[0]
    assert "Leaving nothing out, as the file does, is too little" in found.sentences[1]
    # A job a minute from minute 12 on, the one at the very end not counted: 588 in 10 h, 239 in the last 4.
    bias = found.table("bias").row("finished")["bias"]
    assert isinstance(bias, Change) and bias.mean == pytest.approx(588 / 10 - 239 / 4)
    kept = found.table("cuts").row("finished")["kept_mean"]
    assert kept == pytest.approx(60, abs=0.1)  # a job a minute, the one at the very end not counted


def test_a_line_that_starts_full_needs_no_cut() -> None:
    """With a job in every place from the first moment nothing need be left out."""
    found = warmup(load_text(LONG).replace(to("run.start = 'full'")))
    assert cut_h(found) == 0
    assert "would leave out nothing" in found.sentences[0]
    assert "is enough" in found.sentences[1]
    assert found.table("bias").column("verdict") == ("enough", "enough")


def test_a_line_that_never_settles_is_refused() -> None:
    """A lane that fills all through the run: no suggestion, and the reason."""
    lines = ["buffer.lane.capacity = 900", "station.A.task.fit.time = '30 s'"]
    found = warmup(load_text(LINE.replace("time_for = {", "# {")).replace(to(*lines)))
    assert found.is_refusal
    assert "No suggestion: jobs inside" in found.sentences[0]
    assert found.table("cuts").row("inside")["refused"] == "yes"
    assert set(found.table("moving_average").column("kept")) == {""}


def test_what_is_kept_begins_where_the_start_ends() -> None:
    """Of the intervals those before the longest cut are left out, and the page draws a line there."""
    found = warmup(load_text(LONG))
    kept = [row["start_h"] for row in found.table("moving_average") if row["kept"] == "yes"]
    assert kept[0] == cut_h(found)
    drawn = next(piece for piece in document_pieces(found) if isinstance(piece, Figure))
    assert drawn.name == "averages" and len(drawn.table.rows) == 24


def test_any_number_of_workers_gives_the_same_answer() -> None:
    """Two processes and one give the same bytes."""
    one, two = (warmup(load_text(LINE), replications=3, workers=n).to_json() for n in (1, 2))
    assert one == two


def test_a_run_that_is_too_short_is_refused_before_it_starts() -> None:
    """Less than twenty takts cannot show a start that fades, and a window must fit the run."""
    with pytest.raises(WrongQuestionError, match="20 takts"):
        warmup(load_text(LINE).replace(to("run.length = '9 min'", "run.shift = '5 min'")))
    with pytest.raises(WrongQuestionError, match="too wide"):
        warmup(load_text(LINE), window=40)


def test_the_latest_series_decides_and_one_refusal_is_enough() -> None:
    """The suggestion is the longest cut; none if any series is refused."""

    def cut(name: str, at: int | None) -> SeriesCut:
        return SeriesCut(name, at, at or 50, 0, 0, 0, 1.0, 1.0)

    assert suggestion({"a": cut("a", 5), "b": cut("b", 10)}) == 10
    assert suggestion({"a": cut("a", 5), "b": cut("b", None)}) is None


def test_a_step_of_known_length_is_found_on_the_mean() -> None:
    """At 12 for ten values, then about 5: ten are cut in each replication and in the mean.

    y = (12 if i < 10 else 5) + p[i mod 8]; recomputed by the definition: cut 10, mean kept 4.96666667.
    """
    p = (0, 1, -1, 2, -2, 0, 1, -1)
    row = np.array([(12 if i < 10 else 5) + p[i % 8] for i in range(40)], dtype=float)
    found = cut_of("x", np.stack([row, row]))
    assert (found.cut, found.alone_low, found.alone_high, found.alone_refused) == (10, 10, 10, 0)
    assert found.kept_mean == pytest.approx(4.96666667)
    assert cut_of("x", np.ones((2, 40))).cut == 0


JOBS = "jobs/h"
P = (0, 1, -1, 2, -2, 0, 1, -1)


def test_a_start_of_known_size_is_too_little_and_what_is_left_of_it_enough() -> None:
    """At 12 for ten values, then about 5: all 40 show 1.85 too many, those after the tenth 0.7 % too few.

    y = (12 if i < 10 else 5) + p[i mod 8] (White 1997's statistic is checked on the same series). By hand:
    all are 270/40 = 6.75, the last 20 are 98/20 = 4.9; from the tenth on 149/30, the last 15 are 5.
    """
    row = np.array([(12 if i < 10 else 5) + P[i % 8] for i in range(40)], dtype=float)
    table = np.stack([row, row])
    whole, cut = (bias_of(table, first, 1, JOBS, 0.95, 0.01) for first in (0, 10))
    assert whole is not None and cut is not None
    assert (whole.late, whole.bias.mean, whole.verdict) == (20, pytest.approx(1.85), "too little")
    assert (cut.late, cut.bias.mean, cut.verdict) == (25, pytest.approx(149 / 30 - 5), "enough")


def test_where_replications_disagree_the_data_cannot_tell() -> None:
    """A level that wanders from replication to replication tells neither enough nor too little."""
    luck = np.random.default_rng(3)
    found = bias_of(50 + luck.normal(0, 20, (6, 40)), 8, 8, JOBS, 0.95, 0.01)
    assert found is not None and found.bias.low is not None and found.bias.high is not None
    assert found.late == 24  # two cycles of eight at the end, of four that are measured
    assert found.bias.low < -0.5 and found.bias.high > 0.5
    assert found.verdict == "can't tell"
    assert bias_of(np.ones((2, 9)), 8, 1, JOBS, 0.95, 0.01) is None


def test_a_figure_that_cannot_be_told_is_said_so() -> None:
    """A restless line with three short runs: what the page says of the file's warm-up holds both ends."""
    found = warmup(load_text(LINE), replications=3)
    said = found.sentences[1]
    assert said.startswith("Whether ") and "the data can't tell" in said
    assert "too few and" in found.sentences[2]


def test_progress_is_told() -> None:
    """The teller hears of the start and of each replication."""
    heard: list[tuple[int, int]] = []
    look = partial(warmup, load_text(LINE), replications=2)
    look(progress=lambda done, total: heard.append((done, total)))
    assert heard == [(0, 2), (1, 2), (2, 2)]
