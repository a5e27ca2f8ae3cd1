"""`doubt`: decisions that turn, open and stay, on lines one can work out in the head."""

from __future__ import annotations

import pytest

from linesim.errors import WrongQuestionError
from linesim.questions.doubt import Doubt, doubt
from linesim.questions.doubt.decision import CLOSES, FLIPS, OPEN, OPENS, STAYS, fate
from linesim.questions.verdicts import sign_of
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
def plan() -> Doubt:
    """Ask whether the plan of 65 jobs an hour is made, whatever the guesses are."""
    return doubt(load_text(PLAIN))


def test_a_guess_that_turns_the_plan_is_found(plan: Doubt) -> None:
    """At 70 s a job A makes 51 jobs an hour and misses 65; at 40 s 90; B never matters to the plan."""
    assert plan.verdict == 1
    move = plan.move(A)
    assert (move.low.fate, move.high.fate) == (STAYS, FLIPS)
    assert move.low.change.mean == pytest.approx(90 - 72)
    assert move.high.change.mean == pytest.approx(3600 / 70 - 72, abs=0.5)
    assert [end.fate for end in plan.move(B).ends] == [STAYS, STAYS]
    assert plan.moves[0].input.name == A
    assert "1 can turn that" in plan.sentences[0] and "the plan of 65 is made" in plan.sentences[0]
    assert f"Measure first: {A}." in plan.sentences


def test_what_changes_nothing_is_said_to(plan: Doubt) -> None:
    """B at 34 or 46 s waits for A all the same: no change in any replication, and a sentence says so."""
    assert [end.change.mean for end in plan.move(B).ends] == [0, 0]
    assert not plan.move(B).tells and plan.move(B).most == 0
    assert "1 other input changes nothing in any replication." in plan.sentences


def test_everything_at_once_takes_the_worse_end_of_each(plan: Doubt) -> None:
    """The worse ends are A at 70 s, the better ones A at 40 s with B at an end that keeps pace or nearly."""
    worse, better = plan.together
    assert worse.change.mean == pytest.approx(3600 / 70 - 72, abs=0.5)
    assert sign_of(better.change) == 1
    assert worse.fate == FLIPS


def test_ranges_that_are_not_given_are_told(plan: Doubt) -> None:
    """One of two inputs carries no range: the usual factors of both kinds are named."""
    assert "1 of 2 inputs carries no range: a guess was taken from 0.7 to 1.3 times" in plan.sentences[-1]
    assert "0.85 to 1.15" in plan.sentences[-1]


def test_an_alternative_that_turns_worse_is_found() -> None:
    """A known 52 s against a guessed 50 s: worse as it is, better if the guess is 70 s in truth."""
    found = doubt(load_text(PLAIN), alternative=to("station.A.task.fit.time.mean = '52 s'"))
    assert found.verdict == -1
    move = found.move(A)
    assert (move.low.fate, move.high.fate) == (STAYS, FLIPS)
    assert "the alternative (station.A.task.fit.time.mean = 52 s) is worse" in found.sentences[0]
    assert len(found.card.cases) == 2 * (1 + 4 + 2)


def test_an_alternative_that_no_longer_matters_is_told() -> None:
    """A faster A is better as it is; behind a B of 46 s at its high end it still is, at 34 s all the more."""
    found = doubt(
        load_text(PLAIN), alternative=to("station.A.task.fit.time.mean = '45 s'"), only=["station.B"]
    )
    assert found.verdict == 1
    assert [end.fate for end in found.moves[0].ends] == [STAYS, STAYS]
    assert found.together == ()
    assert "The one doubtful input does not turn that" in found.sentences[0]
    slow = PLAIN.replace('value = "40 s"', 'value = "48 s"')
    opened = doubt(
        load_text(slow), alternative=to("station.A.task.fit.time.mean = '45 s'"), only=["station.B"]
    )
    assert [end.fate for end in opened.moves[0].ends] == [STAYS, OPENS]  # 55.2 s: B holds both back alike


def test_fates() -> None:
    """What becomes of a decision follows from the verdicts before and after."""
    assert [fate(a, b) for a, b in ((1, 1), (1, -1), (-1, 1), (1, 0), (0, -1), (0, 0))] == [
        STAYS, FLIPS, FLIPS, OPENS, CLOSES, OPEN,
    ]  # fmt: skip


def test_without_a_decision_the_inputs_are_ranked() -> None:
    """A scenario without a plan gets the ranking and a word on what is missing."""
    found = doubt(load_text(PLAIN.replace("[target]\njobs_per_shift = 65\n", "")))
    assert found.decision is None and found.verdict is None
    assert "No decision was named" in found.sentences[0]
    assert [move.input.name for move in found.moves] == [A, B]
    assert all(end.fate == "" for move in found.moves for end in move.ends)


def test_one_replication_turns_nothing() -> None:
    """Without intervals no verdict stands, and a sentence says why."""
    found = doubt(load_text(PLAIN), replications=1)
    assert found.verdict == 0 and not any(move.turns or move.tells for move in found.moves)
    assert any("One replication has no interval" in text for text in found.sentences)


def test_wrong_questions_are_told() -> None:
    """Nothing marked, an input that is not there, and only guesses where there are none are refused."""
    with pytest.raises(WrongQuestionError, match="no input is marked as a guess or an estimate"):
        doubt(
            load_text(PLAIN.replace(', confidence = "guess"', "").replace(', confidence = "estimated"', ""))
        )
    with pytest.raises(WrongQuestionError, match=r"begins with 'station\.Z'; there are station\.A"):
        doubt(load_text(PLAIN), only=["station.Z"])
    with pytest.raises(WrongQuestionError, match=r"begins with 'station\.A\.task\.fi'"):
        doubt(load_text(PLAIN), only=["station.A.task.fi"])
    with pytest.raises(WrongQuestionError, match="marked as a guess,"):
        doubt(load_text(PLAIN.replace('"guess"', '"measured"')), guesses_only=True)


def test_cautions_know_what_was_not_seen(plan: Doubt) -> None:
    """One input at a time sees no interactions; an alternative of more people brings its subjects."""
    assert any("no interactions seen" in text for text in plan.cautions)
    crewed = PLAIN + "[crew.c]\npeople = 2\ncovers = ['A']\n"
    found = doubt(load_text(crewed), alternative=to("crew.c.people = 3"), only=[A], replications=2)
    assert any("ISO 45001" in text for text in found.cautions)
    assert not any("no interactions" in text for text in found.cautions)


def test_the_answer_repeats_byte_for_byte(plan: Doubt) -> None:
    """The same scenario and seed give the same JSON and the files of the command."""
    assert doubt(load_text(PLAIN)).to_json() == plan.to_json()
    assert set(plan.files()) == {"inputs.csv", "together.csv", "doubt.json"}
