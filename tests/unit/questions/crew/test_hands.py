"""Changes in staffing: what is changed, and what cannot be."""

import pytest

from linesim.errors import WrongQuestionError
from linesim.questions.crew import CrewQuestion
from linesim.questions.crew.hands import (
    FEWER,
    FLOATER,
    MORE,
    Barred,
    Hand,
    a_floater,
    check_response,
    crews_asked,
    one_fewer,
    one_more,
)
from linesim.scenario import load_text
from tests.unit.questions.crew.lines import OVERRUN, SHARED


def test_one_more_changes_the_number_of_people_and_nothing_else() -> None:
    """One more in a crew is one line of TOML; the scenario given stays as it is."""
    scenario = load_text(SHARED)
    hand = one_more(scenario, "pair")
    assert (hand.kind, hand.crew, hand.people, hand.name) == (MORE, "pair", 1, "pair +1")
    assert hand.case.changes == ("crew.pair.people = 2",)
    assert hand.case.scenario.fingerprint() == load_text(SHARED, sets=["crew.pair.people = 2"]).fingerprint()
    assert scenario.crew["pair"].people == 1


def test_one_fewer_is_barred_where_a_task_asks_for_more() -> None:
    """A crew of one that a task needs cannot give anybody up, and the answer says which task."""
    found = one_fewer(load_text(SHARED), "pair")
    assert isinstance(found, Barred)
    assert found.is_too_few
    assert "station.A.task.fit.people" in found.why


def test_one_fewer_of_a_crew_that_is_not_needed_is_possible() -> None:
    """Somebody whom no task needs can be given up; of nobody there is not one fewer."""
    found = one_fewer(load_text(SHARED), "idle")
    assert isinstance(found, Hand)
    assert (found.kind, found.people) == (FEWER, -1)
    nobody = one_fewer(load_text(SHARED, sets=["crew.idle.people = 0"]), "idle")
    assert nobody == Barred(FEWER, "idle", "nobody is in it")


def test_a_floater_comes_to_the_stations_of_a_crew_that_have_a_limit() -> None:
    """A floater is a crew of its own; the stations that never called now call, at a stated share."""
    hand = a_floater(load_text(OVERRUN), "k")
    assert isinstance(hand, Hand)
    assert hand.kind == FLOATER
    scenario = hand.case.scenario
    assert scenario.crew["k-floater"].floater
    assert scenario.crew["k-floater"].covers == ("K1", "K2")
    assert str(scenario.crew["k-floater"].response) == "30 s"
    assert {scenario.station[name].call_at for name in ("K1", "K2")} == {0.7}


def test_a_floater_takes_after_those_that_are_there() -> None:
    """Response and moment of the call are those of the scenario where it has some; names do not clash."""
    sets = [
        "station.K1.call_at = 0.5",
        "crew.k-floater = { people = 1, covers = ['K1'], floater = true, response = '12 s' }",
    ]
    hand = a_floater(load_text(OVERRUN, sets=sets[:1], add=sets[1:]), "k")
    assert isinstance(hand, Hand)
    assert str(hand.case.scenario.crew["k-floater-2"].response) == "12 s"
    assert hand.case.scenario.station["K2"].call_at == 0.5
    asked = a_floater(load_text(OVERRUN), "k", response="45 s", call_at=0.6)
    assert isinstance(asked, Hand)
    assert str(asked.case.scenario.crew["k-floater"].response) == "45 s"
    assert asked.case.scenario.station["K1"].call_at == 0.6


def test_no_floater_where_nothing_calls() -> None:
    """Stations of a free section have no limit, so nobody can be called before it."""
    found = a_floater(load_text(SHARED), "pair")
    assert isinstance(found, Barred)
    assert "no" in found.why
    assert "limit" in found.why


def test_what_no_floater_can_have_is_refused() -> None:
    """A response without a unit and a call outside the window are told with what would be right."""
    with pytest.raises(WrongQuestionError, match="unit"):
        check_response("30")
    check_response("30 s")
    with pytest.raises(WrongQuestionError, match=r"such as 0\.7"):
        CrewQuestion(call_at=1.5)


def test_crews_asked_about_must_be_there() -> None:
    """A crew that is not there is told with those that are; a line without crews is told so."""
    scenario = load_text(SHARED)
    assert crews_asked(scenario, ()) == ("pair", "idle")
    assert crews_asked(scenario, ("idle",)) == ("idle",)
    with pytest.raises(WrongQuestionError, match="'pears' is not a crew of this scenario; it has pair, idle"):
        crews_asked(scenario, ["pears"])
    nobody = """
    takt = "60 s"
    flow = ["line"]
    run.length = "1 h"
    section.line = { pacing = "free", stations = ["A"] }
    station.A.task.dry = { people = 0, time = "50 s" }
    """
    with pytest.raises(WrongQuestionError, match="has no crew"):
        crews_asked(load_text(nobody), ())
