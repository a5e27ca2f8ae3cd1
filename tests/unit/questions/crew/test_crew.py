"""`crew`: answers that are known by hand, in tables and in words."""

import json
import math

import pytest

from linesim import crew
from linesim.answers.document import Document
from linesim.answers.values import Change
from linesim.errors import WrongQuestionError
from linesim.questions.crew.hands import looks
from linesim.questions.run import RunQuestion
from linesim.scenario import load_text
from tests.unit.questions.crew.lines import ALIKE, OVERRUN, SHARED


def change(answer: Document, table: str, column: str, *key: str) -> Change:
    """Return a change of a table."""
    found = answer.table(table).row(*key)[column]
    assert isinstance(found, Change)
    return found


@pytest.fixture(scope="module")
def shared() -> Document:
    """Ask about a line where one more doubles what it makes."""
    return crew(load_text(SHARED))


@pytest.fixture(scope="module")
def overrun() -> Document:
    """Ask about a line where one more takes a stop away."""
    return crew(load_text(OVERRUN))


def test_one_more_doubles_a_line_of_one_operator(shared: Document) -> None:
    """Two tasks of 10 min: 24 jobs a shift with one operator, 48 with two; one more idle, nothing."""
    found = change(shared, "gains", "gain", "pair +1")
    assert (found.mean, found.low, found.high) == (24, 24, 24)
    assert change(shared, "gains", "gain", "idle +1").mean == 0
    assert change(shared, "gains", "gain", "idle -1").mean == 0
    assert shared.table("gains").column("change")[0] == "pair +1"


def test_money_follows_from_jobs_and_prices(shared: Document) -> None:
    """24 jobs at 100 less 300 are 2100 a shift; it pays from 12.50 a job. One idle fewer saves 300."""
    row = shared.table("money").row("pair +1")
    parts = {
        name: change(shared, "money", name, "pair +1").mean for name in ("net", "from_jobs", "from_people")
    }
    assert parts == {"net": 2100, "from_jobs": 2400, "from_people": -300}
    assert row["from_stops"] is row["from_equipment"] is None
    assert row["break_even_margin"] == 12.5
    assert row["cautious_margin"] == pytest.approx(12.5)
    assert change(shared, "money", "net", "idle +1").mean == -300
    assert change(shared, "money", "net", "idle -1").mean == 300


def test_the_sentences_say_so(shared: Document) -> None:
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


def test_settled_changes_are_not_run_on(shared: Document) -> None:
    """What is clear after the first look gets no further replications."""
    assert set(shared.table("gains").frame["replications"]) == {6}


FLOATER = """
[crew.helper]
people = 1
covers = [COVERED]
floater = true
response = "10 s"
"""


def test_a_floater_that_nobody_can_call_is_told() -> None:
    """Where a floater idles beside stations that overrun, run and crew say that none of them can call."""
    (section,) = load_text(OVERRUN).section.values()
    covered = ", ".join(f'"{name}"' for name in section.stations)
    line = load_text(OVERRUN + FLOATER.replace("COVERED", covered))
    told = "Floater helper never worked, though jobs overran at "
    asked = crew(line, no_more=True, no_floater=True, replications=2)
    for sentences in (asked.sentences, RunQuestion(replications=2).answer(line).sentences):
        (said,) = [text for text in sentences if text.startswith(told)]
        assert "can call, which ha" in said and said.endswith("no call_at.")
    calling = line.replace({("station", name, "call_at"): 0.1 for name in section.stations})
    assert not any(text.startswith(told) for text in RunQuestion(replications=2).answer(calling).sentences)


def test_stops_that_go_are_named_by_station_and_cause(overrun: Document) -> None:
    """One person for 800 s of work under 600 s stops 200 s in 800: 120 minutes a shift, all gone with two."""
    found = change(overrun, "stops", "difference", "k +1", "K1", "overrun")
    assert found.before == pytest.approx(120, abs=0.5)
    assert found.mean == pytest.approx(-120, abs=0.5)
    assert any(text.startswith("It takes away stops at K1 (work still open") for text in overrun.sentences)
    assert change(overrun, "gains", "gain", "k +1").mean == 12


def test_one_fewer_has_its_stops_too() -> None:
    """One of two people fewer brings back the 120 minutes that the second took away, by station and cause."""
    two = OVERRUN.replace("people = 1", "people = 2").replace(
        "stop_minute = 5", "stop_minute = 5\nmargin_per_job = 10"
    )
    answer = crew(load_text(two), no_more=True, no_floater=True)
    assert change(answer, "stops", "difference", "k -1", "K1", "overrun").mean == pytest.approx(120, abs=0.5)
    assert change(answer, "money", "from_stops", "k -1").mean == pytest.approx(-600, abs=2.5)
    assert change(answer, "money", "from_people", "k -1").mean == 300
    assert change(answer, "money", "net", "k -1").mean == pytest.approx(-600 + 300 - 120, abs=2.5)


def test_premiums_and_equipment_count() -> None:
    """An operator of a shift with a quarter on top costs 375; a tool costs the same with and without him."""
    priced = SHARED.replace(
        'currency = "EUR"',
        """currency = "EUR"
    premium.night = { hours = "22:00-06:00", share = 0.25 }
    tool_per_shift = 40
    [tool.gun]
    [calendar.nights]
    shifts = ["22:00-06:00"]""",
    ).replace("[run]", '[run]\ncalendar = "nights"', 1)
    answer = crew(load_text(priced), only=["idle"], no_floater=True, replications=2)
    assert change(answer, "money", "net", "idle +1").mean == -375
    assert change(answer, "money", "from_people", "idle -1").mean == 375
    assert change(answer, "money", "from_equipment", "idle +1").verdict == "the same"


def test_without_a_margin_the_margin_is_the_answer(overrun: Document) -> None:
    """120 stop minutes at 5 pay an operator of 300 by themselves: at any margin, and no net is made up."""
    row = overrun.table("money").row("k +1")
    assert row["net"] is row["from_jobs"] is None
    assert change(overrun, "money", "from_stops", "k +1").mean == pytest.approx(600, abs=2.5)
    assert change(overrun, "money", "from_people", "k +1").mean == -300
    assert row["break_even_margin"] == row["cautious_margin"] == 0
    assert "It pays at any margin" in " ".join(overrun.sentences)


def test_a_floater_who_comes_in_time_is_as_good_as_one_more(overrun: Document) -> None:
    """Called early enough, a floater takes the whole stop away; who comes too late takes none of it."""
    assert change(overrun, "gains", "gain", "k floater").mean == 0
    early = crew(load_text(OVERRUN), no_more=True, no_fewer=True, response="5 s", call_at=0.1)
    assert early.table("gains").column("change") == ("k floater",)
    assert change(early, "gains", "gain", "k floater").mean == 12


def test_what_is_assumed_of_floaters_is_told(overrun: Document) -> None:
    """The answer says how soon a new floater comes, and when stations call that never did."""
    assert any("30 s after a call and stations call at 0.7" in text for text in overrun.cautions)


def test_cautions_name_the_subjects_and_claim_nothing(shared: Document) -> None:
    """Changed people come with the standards to look into, never with a claim that one is met."""
    said = " ".join(shared.cautions)
    assert "ISO 45001" in said
    assert "ISO 6385" in said
    assert "crew.pair.people" in said
    assert "comply" not in said
    assert "complian" not in said


def test_the_answer_is_the_same_with_workers(shared: Document) -> None:
    """Two processes give the same bytes as none."""
    assert crew(load_text(SHARED), workers=2).to_json() == shared.to_json()


def test_the_answer_can_be_read_by_programs_and_notebooks(shared: Document) -> None:
    """JSON holds every table; the notebook form escapes the names of the scenario."""
    known = json.loads(shared.to_json())
    assert known["study"] == "crew"
    assert set(known["tables"]) == {"gains", "money", "stops", "barred"}
    assert "<table>" in shared._repr_html_()
    assert "pair +1" in str(shared.table("gains").frame["change"][0])


def test_only_what_is_asked_is_run() -> None:
    """One crew and one kind of change: two cases."""
    answer = crew(load_text(SHARED), only=["pair"], no_fewer=True, no_floater=True)
    assert [case.name for case in answer.card.cases] == ["present", "pair +1"]
    assert answer.table("gains").column("kind") == ("one more",)
    alone = crew(load_text(SHARED), only=["idle"], no_more=True, no_floater=True)
    assert alone.table("gains").column("kind") == ("one fewer",)
    assert "One fewer costs nothing" in alone.sentences[0]


def test_one_replication_makes_no_claim() -> None:
    """Without an interval nothing is called surely better."""
    answer = crew(load_text(SHARED), only=["pair"], no_fewer=True, no_floater=True, replications=1)
    assert "no interval" in " ".join(answer.sentences)
    assert change(answer, "gains", "gain", "pair +1").verdict == "no interval"


def test_where_the_data_cant_tell_it_says_so() -> None:
    """Two stations alike: which of their crews gains more by one, the data can't tell."""
    said = " ".join(crew(load_text(ALIKE), no_fewer=True, no_floater=True).sentences)
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
    answer = crew(load_text(text), no_fewer=True, no_floater=True, replications=4)
    best, *others = answer.table("gains").frame.itertuples()
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
