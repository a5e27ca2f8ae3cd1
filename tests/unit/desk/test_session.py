"""What is changed against a file: changes that replace each other, undo, alternatives, another file."""

from pathlib import Path

import pytest

from linesim.desk.forms import stepped
from linesim.desk.session import MOST_KEPT, DeskError, Edit, Session, edits_kept, edits_of, kept_text
from linesim.errors import ScenarioError
from tests.commands.calls import LINE

PEOPLE = ("crew", "two", "people")


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """Return a session of a small line."""
    path = tmp_path / "line.toml"
    path.write_text(LINE, encoding="utf-8")
    return Session(path)


def test_a_later_change_takes_the_place_of_an_earlier(session: Session) -> None:
    """Two changes at one place are one, and a table laid over it covers the values inside."""
    for people in (3, 4):
        session.change([Edit(PEOPLE, people)])
    assert [edit.line for edit in session.edits] == ["crew.two.people = 4"]
    assert session.scenario.crew["two"].people == 4
    session.change([Edit(("crew", "two"), {"people": 5})])
    assert [edit.key for edit in session.edits] == ["crew.two"]


def test_what_restores_the_file_is_no_change(session: Session) -> None:
    """A step up and a step down leave nothing changed, nor does the same value written otherwise."""
    for by in (1, -1):
        session.change([stepped(session.scenario, "crew.two.people", by)])
    assert session.edits == ()
    session.change([Edit(("station", "B", "late"), "20%")])
    assert session.edits == ()
    assert session.scenario == session.base


def test_undo_takes_back_one_change(session: Session) -> None:
    """Each change is undone by itself, in any order, and the others stay."""
    session.change([Edit(PEOPLE, 3)])
    session.change([Edit(("takt",), "55 s")])
    session.undo("crew.two.people")
    assert [edit.key for edit in session.edits] == ["takt"]
    assert session.scenario.crew["two"].people == 2
    session.undo("takt")
    assert session.scenario == session.base


def test_a_wrong_change_changes_nothing(session: Session) -> None:
    """What the check refuses leaves the line and the list of changes as they were."""
    session.change([Edit(PEOPLE, 3)])
    before = session.edits, session.scenario
    for place, value in ((PEOPLE, -1), (("crew", "three", "people"), 1), (("takt",), "95")):
        with pytest.raises(ScenarioError):
            session.change([Edit(place, value)])
    assert (session.edits, session.scenario) == before


def test_new_things_are_said_to_be_new(session: Session) -> None:
    """A new tool is an addition, on the command line too, and a change of it may follow."""
    session.change(edits_of({"tool": {"gun": {"count": 2}}}, is_new=True))
    assert [(edit.line, edit.is_new) for edit in session.edits] == [("tool.gun.count = 2", True)]
    assert session.scenario.tool["gun"].count == 2


def test_alternatives_are_four_at_most(session: Session) -> None:
    """Four alternatives are kept; a fifth is refused, one of the same name takes its place."""
    with pytest.raises(DeskError, match="nothing is changed"):
        session.keep("nothing")
    for people in range(3, 3 + MOST_KEPT):
        session.change([Edit(PEOPLE, people)])
        session.keep(f"{people} people")
    session.change([Edit(PEOPLE, 9)])
    with pytest.raises(DeskError, match="at most"):
        session.keep("one more")
    session.keep("3 people")
    assert session.kept["3 people"] == (Edit(PEOPLE, 9),)
    for name in ("", " ", "a:b", "a=b", "<b>", "x" * 99, "line.toml"):
        with pytest.raises(DeskError):
            session.keep(name)


def test_what_a_store_keeps_is_read_back_or_refused(session: Session) -> None:
    """Changes come back from their text as they were; what somebody else wrote into a store is refused."""
    session.change([Edit(PEOPLE, 3), Edit(("station", "B", "late"), "30%")])
    assert edits_kept("more", kept_text(session.edits)) == session.edits
    for name, text in (("more", "{"), ("more", "[1]"), ("more", '[[["crew"], null, false]]'),
                       ("more", '[[[], 1, false]]'), ("more", '[[[5], 1, false]]'), ("<b>", "[]"),
                       ("more", '[[["title"], "a\u202eb", false]]'), ("more", "[" * 99999)):  # fmt: skip
        with pytest.raises(DeskError, match="cannot be read"):
            edits_kept(name, text)


def test_a_file_that_changed_is_told(session: Session) -> None:
    """A change of the file on disk is told, also that it is gone; read again it carries the changes."""
    assert session.disk_says() == ""
    session.change([Edit(PEOPLE, 3)])
    session.path.write_text(LINE.replace('takt  = "60 s"', 'takt  = "66 s"'), encoding="utf-8")
    assert session.disk_says() == "line.toml was changed on disk."
    assert str(session.scenario.takt) == "60 s"
    session.reread()
    assert session.disk_says() == ""
    assert str(session.scenario.takt) == "66 s" and session.scenario.crew["two"].people == 3
    session.path.write_text("takt = 5", encoding="utf-8")
    with pytest.raises(ScenarioError):
        session.reread()
    assert str(session.scenario.takt) == "66 s"
    session.path.unlink()
    assert "does not exist" in session.disk_says()


def test_an_alternative_that_fits_no_more(session: Session) -> None:
    """An alternative whose crew is gone from the file fits no more, and nothing breaks."""
    session.change([Edit(PEOPLE, 3)])
    session.keep("more")
    session.lay(())
    text = LINE.replace("[crew.two]", "[crew.others]")
    session.path.write_text(text, encoding="utf-8")
    session.reread()
    assert session.fits(session.kept["more"]) is None
