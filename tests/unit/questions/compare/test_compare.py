"""`compare`: differences that are known, what changed, and verdicts that follow from the intervals."""

import math

import numpy as np
import pytest

from linesim.answers.document import Document
from linesim.answers.measure import Measure, measure_named
from linesim.answers.values import Change
from linesim.answers.wording import draws_in_words
from linesim.errors import WrongQuestionError
from linesim.questions.changes import changes_between
from linesim.questions.compare import compare
from linesim.runs.simulation import simulate
from linesim.scenario import from_dict, load_text
from linesim.stats.comparisons import (
    fair_difference,
    is_clearly_negative,
    joint_confidence,
    paired_difference,
)
from tests.commands.calls import LINE
from tests.lines import to


def difference(answer: Document, case: str, measure: str = "jobs_per_shift") -> Change:
    """Return how much more of a measure a case has than the base."""
    found = answer.table("differences").row(case, measure_named(measure))["difference"]
    assert isinstance(found, Change)
    return found


def differences(answer: Document) -> dict[Measure, Change]:
    """Return all differences of the first case by their measures."""
    table, found = answer.table("differences"), {}
    for row in table:
        measure, change = row["measure"], row["difference"]
        assert isinstance(measure, Measure) and isinstance(change, Change)
        if row["case"] == table.column("case")[0]:
            found[measure] = change
    return found


@pytest.fixture(scope="module")
def answer() -> Document:
    """Compare two changes of a small line with it."""
    return compare(
        load_text(LINE),
        {"slower": {"takt": "66 s"}, "roomier": {"buffer.lane.capacity": 3, "crew.two.people": 3}},
        replications=8,
    )


def test_differences_are_those_of_two_runs(answer: Document) -> None:
    """Each difference is that of two runs, replication by replication, at the joint confidence."""
    base = simulate(load_text(LINE), replications=8)
    slower = simulate(load_text(LINE).replace(to("takt = '66 s'")), replications=8)
    ours = [v for v in slower.values("jobs_per_shift") if v is not None]
    theirs = [v for v in base.values("jobs_per_shift") if v is not None]
    expected = paired_difference(ours, theirs, joint_confidence(0.95, 2))
    row = difference(answer, "slower")
    assert row.mean == expected.interval.mean
    assert (row.low, row.high) == (expected.interval.low, expected.interval.high)
    assert row.correlation == expected.correlation
    assert row.saving == expected.variance_ratio
    assert row.comparisons == 2


def test_a_longer_takt_makes_fewer_jobs_and_says_so(answer: Document) -> None:
    """With a takt a tenth longer the verdict is lower, in the table and in the first sentence."""
    row = difference(answer, "slower")
    assert row.verdict == "lower" and row.mean is not None and row.mean < -3
    assert answer.sentences[0].startswith("slower against base: ")
    assert "fewer jobs a shift" in answer.sentences[0]
    assert "97.5 %" in " ".join(answer.sentences)


def test_each_family_of_figures_is_corrected_for_its_size(answer: Document) -> None:
    """The deciding figure is corrected for the cases alone, all the others for their number too."""
    found = differences(answer)
    sizes = {change.comparisons for change in found.values()}
    headline = difference(answer, "slower", "lead_time").comparisons
    assert difference(answer, "slower").comparisons == 2
    assert len(sizes) == 3 and min(sizes) == 2 and headline in sizes
    for measure, change in found.items():
        assert math.isclose(change.confidence, joint_confidence(0.95, change.comparisons))
        assert measure.measure not in ("operator_load", "bay_by_hour"), "a part of another figure"
    base = simulate(load_text(LINE), replications=2)
    assert base.rows("operator_load"), "there is something that could be left out"


def test_what_changed_is_listed_by_name(answer: Document) -> None:
    """Only what differs is listed, with both values."""
    changes = answer.table("changes")
    assert changes.rows == (
        ("slower", "takt", "60 s", "66 s"),
        ("roomier", "buffer.lane.capacity", "2", "3"),
        ("roomier", "crew.two.people", "2", "3"),
    )


def test_cautions_name_people_and_pace_and_claim_nothing(answer: Document) -> None:
    """A changed takt and a changed crew each bring the subjects of their standards, and no clearance."""
    said = " ".join(answer.cautions)
    assert "ISO 11228-3" in said and "crew.two.people" in said and "ISO 45001" in said
    assert "complies" not in said and "ISO 10218" not in said
    calm = compare(load_text(LINE), [{"buffer.lane.capacity": 3}], replications=2)
    assert calm.cautions == ()


def test_robots_bring_the_safety_of_machinery() -> None:
    """A task that a robot takes over is a matter of ISO 12100 and ISO 10218."""
    base = load_text(LINE)
    robot = base.replace({"station.A.task.fit.robot": "R1"}, add={"robot.R1": {}})
    found = compare(base, {"robot": robot}, replications=2)
    assert any("ISO 12100" in caution and "ISO 10218-1" in caution for caution in found.cautions)


def test_a_case_without_changes_is_the_same() -> None:
    """Another title alone is no change: no difference anywhere, and a sentence says so."""
    found = compare(load_text(LINE), {"twin": {"title": "the same line"}}, replications=3)
    assert found.sentences[0] == "twin: nothing differs from the base."
    assert {change.verdict for change in differences(found).values()} == {"the same"}
    assert found.table("changes").rows == ()


def test_where_the_data_cannot_tell_no_winner_is_named() -> None:
    """A change that matters little and few replications: can't tell, and how many would."""
    found = compare(load_text(LINE), [{"station.B.late": 0.25}], replications=3)
    row = difference(found, found.card.cases[1].name)
    assert row.verdict == "can't tell"
    assert "can't tell, between" in found.sentences[0]
    assert any("1 %" in text for text in found.sentences)


def test_one_replication_gives_no_interval_and_no_verdict() -> None:
    """A single pair has a difference and nothing else."""
    found = compare(load_text(LINE), {"slower": {"takt": "66 s"}}, replications=1)
    row = difference(found, "slower")
    assert (row.low, row.high, row.verdict) == (None, None, "no interval")
    assert "one replication" in found.sentences[0]


def test_shares_never_lie_further_apart_than_they_can() -> None:
    """The interval of a difference of shares ends at 100 points, however few replications there are."""
    base = load_text(LINE).replace(to("target.jobs_per_shift = 58"))
    found = compare(base, {"quicker": {"takt": "57 s"}}, measure="plan_met", replications=2)
    for change in differences(found).values():
        if change.unit == "share" and change.low is not None and change.high is not None:
            assert change.mean is not None and -1 <= change.low <= change.mean <= change.high <= 1


def test_the_deciding_figure_can_be_chosen() -> None:
    """Less of stop minutes is better; an unknown measure or place is refused with what there is."""
    found = compare(
        load_text(LINE),
        {"slower": {"takt": "66 s"}, "quicker": {"takt": "57 s"}},
        measure="line_stop:back",
        replications=5,
    )
    assert found.table("differences").column("measure")[0] == Measure("line_stop", "back")
    assert difference(found, "slower", "line_stop:back").verdict == "lower"
    assert "'slower' is the best of 3 cases" in found.sentences[-1]
    with pytest.raises(WrongQuestionError, match="line_stop"):
        measure_named("line_stp")
    with pytest.raises(WrongQuestionError, match="front"):
        compare(load_text(LINE), [{"takt": "66 s"}], measure="line_stop:middle", replications=1)


def test_names_must_differ_and_something_must_be_compared() -> None:
    """Two what-ifs of the same name, and none at all, are refused."""
    with pytest.raises(WrongQuestionError, match="name of its own"):
        compare(load_text(LINE), [{"takt": "66 s"}, {"takt": "66 s"}])
    with pytest.raises(WrongQuestionError, match="nothing to compare"):
        compare(load_text(LINE), [])


def test_the_answer_survives_as_text_and_in_pages() -> None:
    """JSON repeats byte for byte and names are escaped in a notebook."""
    one, other = (compare(load_text(LINE), {"<b>": {"takt": "66 s"}}, replications=2) for _ in range(2))
    assert one.to_json() == other.to_json()
    assert "<b>" not in one._repr_html_() and "&lt;b&gt;" in one._repr_html_()


def test_changes_ignore_words_units_and_remarks() -> None:
    """Minutes for seconds, a title and a remark are no change; tables are told as new or gone."""
    base = load_text(LINE)
    alike = base.replace(to("takt = '1 min'", "title = 'x'", "station.A.task.fit.source = 'study'"))
    assert changes_between(base, alike) == ()
    ruled = base.replace(add=to("orders.spacing.rack = { of = 'rack', at_most = 2, in_any = 3 }"))
    shuffled = {**base.as_dict(), "crew": dict(reversed(base.as_dict()["crew"].items()))}
    assert [change.name for change in changes_between(base, from_dict(shuffled))] == ['"order of the tables"']
    (new,) = changes_between(base, ruled)
    assert str(new) == 'orders.spacing.rack: new, { of = "rack", at_most = 2, in_any = 3 }'
    (gone,) = changes_between(ruled, base)
    assert gone.after is None and "gone" in str(gone)


def test_pairing_that_does_not_help_is_told() -> None:
    """Uncorrelated figures get Welch's interval, opposed ones stay paired, helped ones say how much."""
    base = np.array([1.0, 2.0, 3.0, 4.0])
    apart = fair_difference(np.array([3.0, 1.0, 4.0, 2.0]), base, 0.95)
    assert apart.correlation == pytest.approx(0.0) and apart.method == "Welch t"
    assert "Welch" in draws_in_words(Change.between(apart))
    against = fair_difference(-base, base, 0.95)
    assert is_clearly_negative(-0.99, 4) and against.method == "paired t"
    assert "stays paired" in draws_in_words(Change.between(against))
    helped = fair_difference(base + np.array([1.0, 1.1, 0.9, 1.0]), base, 0.95)
    assert helped.method == "paired t" and helped.variance_ratio is not None and helped.variance_ratio > 10
    assert "times as many replications" in draws_in_words(Change.between(helped))
    assert "the same in every replication" in draws_in_words(
        Change.between(fair_difference(base + 1, base, 0.95))
    )


def test_nights_make_no_longer_lead_time() -> None:
    """One shift a day has the lead time of two, to the tick; only on the clock the nights make it longer."""
    hours = '[calendar.day]\nshifts = ["06:00-07:00", "18:00-19:00"]\n[model.plain]'
    text = LINE.replace('shift        = "1 h"', 'calendar = "day"').replace('"3 h"', '"4 shifts"')
    base = load_text(text.replace('warm_up      = "10 min"', "").replace("[model.plain]", hours))
    cases = {"one shift": {"calendar.day.shifts": ["06:00-07:00"]}}
    found = difference(compare(base, cases, replications=2), "one shift", "lead_time")
    assert (found.mean, found.verdict) == (0, "the same")
    clock = compare(base, cases, measure="lead_time_clock", replications=2)
    assert difference(clock, "one shift", "lead_time_clock").mean > 10
    assert "nights and breaks included" in clock.sentences[0]
