"""The questions as buttons: the same answers as the commands give, one at a time, and stopped on request."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from linesim import crew, load, mix, questions
from linesim.desk.forms import stepped
from linesim.desk.session import DeskError, Session
from linesim.desk.studies import BUTTONS, Studies, StudyState, asked_of, buttons, options_of
from linesim.errors import WrongQuestionError
from linesim.questions.declare import question_named
from linesim.runs.store import Store
from tests.commands.calls import LINE, command_words
from tests.desks import Told


class Buttons:
    """Studies of a small line, and what they tell."""

    def __init__(self, folder: Path) -> None:
        self.line = folder / "line.toml"
        self.line.write_text(LINE, encoding="utf-8")
        self.session = Session(self.line)
        self.told = Told()
        self.folder = folder / "kept"
        Store(self.folder).close()
        self.studies = Studies(self.folder, {"workers": 1}, lambda: Store(self.folder), self.told.put)

    def until(self, is_so: str) -> StudyState:
        """Return the first state that is so: `answer`, `failed` or `done`."""
        state = self.told.until(lambda one: getattr(one, is_so))
        assert isinstance(state, StudyState)
        return state


@pytest.fixture
def asked(tmp_path: Path) -> Iterator[Buttons]:
    """Return studies, ended with their test."""
    found = Buttons(tmp_path)
    yield found
    found.studies.end(20)


def test_every_button_is_a_question() -> None:
    """Each button is a command of its own, and what it lets one say are options of that command."""
    assert {one.name for one in buttons()} == set(BUTTONS) & set(questions.NAMES)
    for question in buttons():
        for one in options_of(question):
            assert one.flag.startswith("--")
            assert one.name not in ("cluster", "workers", "store", "save")


def test_a_button_answers_as_the_command_does(asked: Buttons) -> None:
    """The answer of a button is that of the Python function to the last byte, and says its command line."""
    asked.session.change([stepped(asked.session.scenario, "crew.two.people", 1)])
    asked.studies.begin(asked.session, "crew", {"only": "one\n", "no_fewer": "yes", "replications": "3"})
    state = asked.until("answer")
    assert state.answer is not None
    same = crew(
        asked.session.scenario, only=("one",), no_fewer=True, replications=3, file="line.toml",
        sets=("crew.two.people = 3",),
    )  # fmt: skip
    assert state.answer.to_json() == same.to_json()
    assert (asked.folder / "crew.json").read_text(encoding="utf-8") == same.to_json()
    assert command_words(state.command) == [
        "crew", "line.toml", "--set", "crew.two.people = 3", "--only", "one", "--no-fewer", "--replications",
        "3",
    ]  # fmt: skip


def test_the_mix_is_asked_with_and_without_its_changes(asked: Buttons) -> None:
    """Changes of models and options are what `mix` compares with the line; all others are laid under both."""
    asked.session.change([stepped(asked.session.scenario, "crew.two.people", 1),
                          stepped(asked.session.scenario, "option.rack.take", 1)])  # fmt: skip
    asked.studies.begin(asked.session, "mix", {"no_options": "yes", "replications": "3"})
    state = asked.until("answer")
    assert state.answer is not None
    same = mix(
        load(asked.line, ["crew.two.people = 3"]), tries=("as changed: option.rack.take = 0.55",),
        replications=3, no_options=True, sets=("crew.two.people = 3",), file="line.toml",
    )  # fmt: skip
    assert state.answer.sentences == same.sentences
    assert command_words(state.command)[:6] == [
        "mix", "line.toml", "--set", "crew.two.people = 3", "--try", "as changed: option.rack.take = 0.55",
    ]  # fmt: skip


def test_a_study_is_stopped_and_goes_on(asked: Buttons) -> None:
    """A stop ends the study after the replication on its way; what was run is kept and not run again."""
    asked.studies.begin(asked.session, "crew", {})
    with pytest.raises(DeskError, match="one study at a time"):
        asked.studies.begin(asked.session, "buffers", {})
    asked.until("done")
    asked.studies.stop()
    state = asked.until("failed")
    assert state.failed.startswith("stopped") and not state.is_running
    asked.studies.end(20)
    with Store(asked.folder) as store:
        kept = store.count()
    assert kept >= 1
    asked.studies.begin(asked.session, "crew", {"replications": "3", "only": "one"})
    assert asked.until("answer").answer is not None


def test_what_cannot_be_asked_is_told(asked: Buttons) -> None:
    """A wrong option, an unknown question, and a question that the line cannot answer are told in words."""
    for name, texts in (
        ("crew", {"replications": "many"}),
        ("crew", {"workers": "99"}),
        ("crew", {"x": "1"}),
    ):
        with pytest.raises(WrongQuestionError):
            asked.studies.begin(asked.session, name, texts)
    for name in ("run", "verify", "../crew", ""):
        with pytest.raises(DeskError, match="no such question"):
            asked.studies.begin(asked.session, name, {})
    asked.studies.begin(asked.session, "crew", {"only": "nobody"})
    assert "nobody" in asked.until("failed").failed


def test_options_are_read_as_the_command_reads_them() -> None:
    """Texts beside a button become values and words of the command; blanks say nothing."""
    given, words = asked_of(question_named("crew"), {"only": "one\n two \n", "no_more": "", "call_at": "0.7"})
    assert given == {"only": ("one", "two"), "call_at": 0.7}
    assert words == ["--only", "one", "--only", "two", "--call-at", "0.7"]
