"""`doubt`: decisions that turn, open and stay, on lines one can work out in the head."""

from __future__ import annotations

import pytest

from linesim.answers.document import Document
from linesim.answers.table import Row
from linesim.errors import WrongQuestionError
from linesim.questions.doubt import doubt
from linesim.questions.doubt.moves import BETTER, CLOSES, FLIPS, OPEN, OPENS, STAYS, WORSE, fate
from linesim.scenario import load_text
from tests.lines import to

#: A of 50 s guessed from 40 to 70 s, B of 40 s estimated from 34 to 46 s, no luck anywhere: 72 jobs an hour.
PLAIN = """\
takt = "30 s"
flow = ["one", "lane", "two"]
[target]
jobs_per_shift = 65
[run]
warm_up      = "1 h"
length       = "4 h"
shift        = "1 h"
replications = 3
[section.one]
pacing   = "free"
stations = ["A"]
[section.two]
pacing   = "free"
stations = ["B"]
[buffer.lane]
capacity = 2
[station.A.task.fit]
people = 0
time = { value = "50 s", shape = "constant", confidence = "guess", range = [0.8, 1.4] }
[station.B.task.test]
people = 0
time = { value = "40 s", shape = "constant", confidence = "estimated" }
"""
A, B = "station.A.task.fit.time", "station.B.task.test.time"


@pytest.fixture(scope="module")
def plan() -> Document:
    """Ask whether the plan of 65 jobs an hour is made, whatever the guesses are."""
    return doubt(load_text(PLAIN))


def fates(row: Row) -> list[object]:
    """Return what becomes of the decision at both ends."""
    return [row["low_decision"], row["high_decision"]]


def test_a_guess_that_turns_the_plan_is_found(plan: Document) -> None:
    """At 70 s a job A makes 51 jobs an hour and misses 65; at 40 s 90; B never matters to the plan."""
    inputs = plan.table("inputs")
    move = inputs.row(A)
    assert fates(move) == [STAYS, FLIPS] and move["decision"] == "stays, flips"
    assert move["low"].mean == pytest.approx(90 - 72)
    assert move["high"].mean == pytest.approx(3600 / 70 - 72, abs=0.5)
    assert (move["low_factor"], move["high_factor"], move["factors"]) == (0.8, 1.4, "0.8 to 1.4")
    assert fates(inputs.row(B)) == [STAYS, STAYS]
    assert inputs.column("input") == (A, B)
    assert "1 can turn that" in plan.sentences[0] and "the plan of 65 is made" in plan.sentences[0]
    assert f"Measure first: {A}." in plan.sentences


def test_what_changes_nothing_is_said_to(plan: Document) -> None:
    """B at 34 or 46 s waits for A all the same: no change in any replication, and a sentence says so."""
    move = plan.table("inputs").row(B)
    assert (move["low"].mean, move["high"].mean) == (0, 0)
    assert "1 other input changes nothing in any replication." in plan.sentences


def test_everything_at_once_takes_the_worse_end_of_each(plan: Document) -> None:
    """The worse ends are A at 70 s, the better ones A at 40 s with B at an end that keeps pace or nearly."""
    worse, better = (plan.table("together").row(case) for case in (WORSE, BETTER))
    assert worse["change"].mean == pytest.approx(3600 / 70 - 72, abs=0.5)
    assert worse["level"].mean == pytest.approx(3600 / 70, abs=0.5)
    assert better["change"].sign == 1
    assert worse["decision"] == FLIPS


def test_ranges_that_are_not_given_are_told(plan: Document) -> None:
    """One of two inputs carries no range: the usual factors of both kinds are named."""
    assert "1 of 2 inputs carries no range: a guess was taken from 0.7 to 1.3 times" in plan.sentences[-1]
    assert "0.85 to 1.15" in plan.sentences[-1]


def test_an_alternative_that_turns_worse_is_found() -> None:
    """A known 52 s against a guessed 50 s: worse as it is, better if the guess is 70 s in truth."""
    found = doubt(load_text(PLAIN), alternative=to("station.A.task.fit.time.mean = '52 s'"))
    assert fates(found.table("inputs").row(A)) == [STAYS, FLIPS]
    assert "the alternative (station.A.task.fit.time.mean = 52 s) is worse" in found.sentences[0]
    assert len(found.card.cases) == 2 * (1 + 4 + 2)


def test_an_alternative_that_no_longer_matters_is_told() -> None:
    """A faster A is better as it is; behind a B of 46 s at its high end it still is, at 34 s all the more."""
    found = doubt(
        load_text(PLAIN), alternative=to("station.A.task.fit.time.mean = '45 s'"), only=["station.B"]
    )
    assert "is better: " in found.sentences[0]
    assert fates(found.table("inputs").row(B)) == [STAYS, STAYS]
    assert len(found.table("together")) == 1
    assert "The one doubtful input does not turn that" in found.sentences[0]
    slow = PLAIN.replace('value = "40 s"', 'value = "48 s"')
    opened = doubt(
        load_text(slow), alternative=to("station.A.task.fit.time.mean = '45 s'"), only=["station.B"]
    )
    assert fates(opened.table("inputs").row(B)) == [STAYS, OPENS]  # 55.2 s: B holds both back alike


def test_fates() -> None:
    """What becomes of a decision follows from the verdicts before and after."""
    assert [fate(a, b) for a, b in ((1, 1), (1, -1), (-1, 1), (1, 0), (0, -1), (0, 0))] == [
        STAYS, FLIPS, FLIPS, OPENS, CLOSES, OPEN,
    ]  # fmt: skip


def test_without_a_decision_the_inputs_are_ranked() -> None:
    """A scenario without a plan gets the ranking and a word on what is missing."""
    found = doubt(load_text(PLAIN.replace("[target]\njobs_per_shift = 65\n", "")))
    assert "No decision was named" in found.sentences[0]
    assert found.table("inputs").column("input") == (A, B)
    assert all(fates(row) == [None, None] for row in found.table("inputs"))


def test_one_replication_turns_nothing() -> None:
    """Without intervals no verdict stands, and a sentence says why."""
    found = doubt(load_text(PLAIN), replications=1)
    assert "the data can't tell. " in found.sentences[0]
    assert all(set(fates(row)) == {OPEN} for row in found.table("inputs"))
    assert any("One replication has no interval" in text for text in found.sentences)


def test_wrong_questions_are_told() -> None:
    """Nothing in doubt, an input that is not there, and only guesses where there are none are refused."""
    known = PLAIN.replace('"guess"', '"measured"').replace('"estimated"', '"measured"')
    with pytest.raises(WrongQuestionError, match="every input is marked as measured"):
        doubt(load_text(known))
    with pytest.raises(WrongQuestionError, match="exclude each other"):
        doubt(load_text(PLAIN), each=True, by_station=True)
    with pytest.raises(WrongQuestionError, match=r"begins with 'station\.Z'; there are station\.A"):
        doubt(load_text(PLAIN), only=["station.Z"])
    with pytest.raises(WrongQuestionError, match=r"begins with 'station\.A\.task\.fi'"):
        doubt(load_text(PLAIN), only=["station.A.task.fi"])
    with pytest.raises(WrongQuestionError, match="no input is marked as a guess"):
        doubt(load_text(PLAIN.replace('"guess"', '"measured"')), guesses=True)


def test_what_says_nothing_of_itself_is_an_estimate() -> None:
    """Without a mark a time is taken from 0.85 to 1.15 times what it is, and a caution says so."""
    silent = PLAIN.replace(', confidence = "guess", range = [0.8, 1.4]', "")
    found = doubt(load_text(silent), replications=2)
    row = found.table("inputs").row(A)
    assert (row["weight"], row["unmarked"], row["factors"]) == ("estimated", 1, "0.85 to 1.15")
    assert found.table("inputs").row(B)["unmarked"] == 0
    assert any(text.startswith("1 of 2 inputs says nothing of itself") for text in found.cautions)
    known = doubt(load_text(PLAIN), replications=2)
    assert not any("of itself" in text or "of themselves" in text for text in known.cautions)


def test_cautions_know_what_was_not_seen(plan: Document) -> None:
    """One input at a time sees no interactions; an alternative of more people brings its subjects."""
    assert any("no interactions seen" in text for text in plan.cautions)
    crewed = PLAIN + "[crew.c]\npeople = 2\ncovers = ['A']\n"
    found = doubt(load_text(crewed), alternative=to("crew.c.people = 3"), only=[A], replications=2)
    assert any("ISO 45001" in text for text in found.cautions)
    assert not any("no interactions" in text for text in found.cautions)


def test_the_answer_repeats_byte_for_byte(plan: Document) -> None:
    """The same scenario and seed give the same JSON and the files of the command."""
    assert doubt(load_text(PLAIN)).to_json() == plan.to_json()
    assert set(plan.files()) == {"inputs.csv", "together.csv", "doubt.json"}
