"""`crew`: answers that are known by hand, in tables and in words."""

import json
import math

import pytest

from linesim.errors import WrongQuestionError
from linesim.questions.crew import CrewAnswer, crew
from linesim.questions.crew.gains import looks
from linesim.questions.crew.hands import FEWER, FLOATER, MORE
from linesim.scenario import load_text
from tests.unit.questions.crew.lines import ALIKE, OVERRUN, SHARED


@pytest.fixture(scope="module")
def shared() -> CrewAnswer:
    """Ask about a line where one more doubles what it makes."""
    return crew(load_text(SHARED))


@pytest.fixture(scope="module")
def overrun() -> CrewAnswer:
    """Ask about a line where one more takes a stop away."""
    return crew(load_text(OVERRUN))


def test_one_more_doubles_a_line_of_one_operator(shared: CrewAnswer) -> None:
    """Two tasks of 10 min: 24 jobs a shift with one operator, 48 with two; one more idle, nothing."""
    rows = {row["change"]: row for row in shared.table("gains")}
    assert (rows["pair +1"]["gain"], rows["pair +1"]["low"], rows["pair +1"]["high"]) == (24, 24, 24)
    assert rows["idle +1"]["gain"] == rows["idle -1"]["gain"] == 0
    assert shared.best is not None
    assert shared.best.hand.name == "pair +1"


def test_money_follows_from_jobs_and_prices(shared: CrewAnswer) -> None:
    """24 jobs at 100 less 300 are 2100 a shift; it pays from 12.50 a job. One idle fewer saves 300."""
    rows = {row["change"]: row for row in shared.table("money")}
    assert rows["pair +1"]["net_per_shift"] == 2100
    assert rows["pair +1"]["break_even_margin"] == 12.5
    assert rows["pair +1"]["cautious_margin"] == pytest.approx(12.5)
    assert rows["idle +1"]["net_per_shift"] == -300
    assert rows["idle -1"]["net_per_shift"] == 300


def test_the_sentences_say_so(shared: CrewAnswer) -> None:
    """The best place comes first with its money; then what brings nothing, and who can be spared."""
    assert shared.sentences[0] == (
        "With one more operator in crew pair the line makes 24 more jobs a shift (each time); at EUR 100 a "
        "job and EUR 300 an operator's shift that is +EUR 2,100 a shift."
    )
    said = " ".join(shared.sentences)
    assert "In no other crew does one more bring as much." in said
    assert "One more brings nothing that matters in idle: less than 0.1 jobs a shift." in said
    assert (
        "One fewer costs nothing that matters in idle: less than 0.1 jobs a shift, and saves EUR 300" in said
    )
    assert "One fewer would leave too few people for a task or a bay in pair." in said


def test_settled_changes_are_not_run_on(shared: CrewAnswer) -> None:
    """What is clear after the first look gets no further replications."""
    assert set(shared.table("gains").column("replications")) == {6}


def test_stops_that_go_are_named_by_station_and_cause(overrun: CrewAnswer) -> None:
    """One person for 800 s of work under 600 s stops 200 s in 800: 120 minutes a shift, all gone with two."""
    rows = {(row["where"], row["cause"]): row for row in overrun.table("stops")}
    assert rows["K1", "overrun"]["before"] == pytest.approx(120, abs=0.5)
    assert rows["K1", "overrun"]["difference"] == pytest.approx(-120, abs=0.5)
    assert any(text.startswith("It takes away stops at K1 (work still open") for text in overrun.sentences)
    assert overrun.best is not None
    assert overrun.best.mean == 12


def test_without_a_margin_the_margin_is_the_answer(overrun: CrewAnswer) -> None:
    """120 stop minutes at 5 pay an operator of 300 by themselves: at any margin, and no net is made up."""
    row = next(row for row in overrun.table("money") if row["change"] == "k +1")
    assert row["net_per_shift"] is None
    assert row["break_even_margin"] == row["cautious_margin"] == 0
    assert "It pays at any margin" in " ".join(overrun.sentences)


def test_a_floater_who_comes_in_time_is_as_good_as_one_more(overrun: CrewAnswer) -> None:
    """Called early enough, a floater takes the whole stop away; who comes too late takes none of it."""
    late = next(gain for gain in overrun.gains if gain.hand.name == "k floater")
    assert late.mean == 0
    early = crew(load_text(OVERRUN), kinds=[FLOATER], response="5 s", call_at=0.1)
    assert [gain.mean for gain in early.gains] == [12]


def test_what_is_assumed_of_floaters_is_told(overrun: CrewAnswer) -> None:
    """The answer says how soon a new floater comes, and when stations call that never did."""
    assert any("30 s after a call and stations call at 0.7" in text for text in overrun.cautions)


def test_cautions_name_the_subjects_and_claim_nothing(shared: CrewAnswer) -> None:
    """Changed people come with the standards to look into, never with a claim that one is met."""
    said = " ".join(shared.cautions)
    assert "ISO 45001" in said
    assert "ISO 6385" in said
    assert "crew.pair.people" in said
    assert "comply" not in said
    assert "complian" not in said


def test_the_answer_is_the_same_with_workers(shared: CrewAnswer) -> None:
    """Two processes give the same bytes as none."""
    assert crew(load_text(SHARED), workers=2).to_json() == shared.to_json()


def test_the_answer_can_be_read_by_programs_and_notebooks(shared: CrewAnswer) -> None:
    """JSON holds every table; the notebook form escapes the names of the scenario."""
    known = json.loads(shared.to_json())
    assert known["study"] == "crew"
    assert set(known["tables"]) == {"gains", "money", "stops", "barred"}
    assert "<table>" in shared._repr_html_()
    assert "pair +1" in str(shared.table("gains").frame["change"][0])


def test_only_what_is_asked_is_run() -> None:
    """One crew and one kind of change: two cases."""
    answer = crew(load_text(SHARED), only=["pair"], kinds=[MORE])
    assert [case.name for case in answer.card.cases] == ["present", "pair +1"]
    assert [gain.hand.kind for gain in answer.gains] == [MORE]
    alone = crew(load_text(SHARED), only=["idle"], kinds=[FEWER])
    assert alone.best is None
    assert "One fewer costs nothing" in alone.sentences[0]


def test_one_replication_makes_no_claim() -> None:
    """Without an interval nothing is called surely better."""
    answer = crew(load_text(SHARED), only=["pair"], kinds=[MORE], replications=1)
    assert "no interval" in " ".join(answer.sentences)
    assert answer.table("gains").column("verdict") == ("no interval",)


def test_where_the_data_cant_tell_it_says_so() -> None:
    """Two stations alike: which of their crews gains more by one, the data can't tell."""
    said = " ".join(crew(load_text(ALIKE), kinds=[MORE]).sentences)
    assert "would bring as much the data can't tell." in said or "if it brings anything: can't tell" in said
    assert "In no other crew" not in said


def test_a_crew_that_surely_brings_less_is_no_rival() -> None:
    """Where one more in a crew surely brings nothing, it is not said that it may bring as much as the best.

    Four noisy replications tell 3 to 23 jobs of one crew from exactly none of seven others, while no pair of
    crews compared by itself, held to all the pairs there are, would be told apart.
    """
    idle = "".join(f"[crew.idle-{k}]\npeople = 1\ncovers = []\n" for k in range(6))
    noisy = SHARED.replace('time = "10 min"', 'time = { mean = "10 min", cv = 0.8 }')
    text = noisy.replace("[station.A", f"{idle}[station.A", 1).replace('"2 shifts"', '"1 shift"')
    answer = crew(load_text(text), kinds=[MORE], replications=4)
    best, *others = answer.gains
    assert best.low > max(gain.high for gain in others)
    assert "In no other crew does one more bring as much." in answer.sentences


def test_an_unknown_crew_is_a_wrong_question() -> None:
    """A crew that is not there is refused before anything is run."""
    with pytest.raises(WrongQuestionError, match="'crane' is not a crew"):
        crew(load_text(SHARED), only=["crane"])


def test_looks_end_with_all_replications() -> None:
    """Answers are looked at after 6, 12, 24, ... replications and after all; fewer than 6 once."""
    assert looks(50) == (6, 12, 24, 48, 50)
    assert looks(6) == (6,)
    assert looks(1) == (1,)
    assert math.prod(looks(12)) == 72
