"""The questions as buttons: the same studies as the commands, one at a time, with progress and a stop."""

from __future__ import annotations

import shlex
import signal
import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from linesim import questions
from linesim.commands.files import write_file
from linesim.desk.session import DeskError, Edit, Session, with_edits
from linesim.errors import LinesimError, WrongQuestionError
from linesim.questions.declare import Declared, Question, fields_of, question_named
from linesim.questions.parameter import Field

if TYPE_CHECKING:
    from linesim.answers.document import Document
    from linesim.scenario import Scenario

#: What can be asked by a button, in the order of the page: the three questions, then what to change.
BUTTONS = ("crew", "buffers", "mix", "bottleneck", "rebalance", "staff", "sequence")
AS_CHANGED = "as changed"  #: What commands call the line with the present changes.
#: What `mix` compares with the line as it is, where somebody has changed it.
_OF_THE_MIX = frozenset({"model", "option", "package", "orders"})
#: Options that a button has besides those that a question has of its own.
_SHARED = frozenset({"replications", "measure"})
#: Options that only the desk itself says.
_NOT_HERE = frozenset({"cluster", "workers", "seed", "drive", "confidence", "precision", "max_replications"})


class StudyStopped(LinesimError):  # noqa: N818 - what happened, not what failed
    """Somebody stopped the study; what was simulated is kept."""


@dataclass(frozen=True, slots=True)
class StudyState:
    """How far a study is, and what came of it.

    Attributes:
        name: Which question; empty before the first one.
        command: The command line that asks the same.
        done, total: Replications done, and of how many so far.
        notice: What one should hear meanwhile.
        answer: The answer; None before it is there.
        failed: Why there is none; empty if there may be.
        scenario: The line that it was asked of.
    """

    name: str = ""
    command: str = ""
    done: int = 0
    total: int = 0
    notice: str = ""
    answer: Document | None = None
    failed: str = ""
    scenario: Scenario | None = None

    @property
    def is_running(self) -> bool:
        """Whether it is on its way."""
        return bool(self.name) and self.answer is None and not self.failed


def buttons() -> tuple[type[Declared], ...]:
    """Return the questions that have a button."""
    return tuple(question_named(name) for name in BUTTONS if name in questions.NAMES)


def options_of(question: type[Declared]) -> tuple[Field, ...]:
    """Return what a button lets one say besides the question itself."""
    every = {one.name for one in fields_of(Question)}
    return tuple(
        one
        for one in fields_of(question)
        if one.flag.startswith("--") and one.option.decides and one.name not in _NOT_HERE
        and (one.name not in every or one.name in _SHARED)
    )  # fmt: skip


def asked_of(question: type[Declared], texts: Mapping[str, str]) -> tuple[dict[str, Any], list[str]]:
    """Return what somebody wrote beside a button, as the question takes it and as words of its command.

    Raises:
        WrongQuestionError: With everything that cannot be read.
    """
    known = {one.name: one for one in options_of(question)}
    given: dict[str, Any] = {}
    words: list[str] = []
    wrong = []
    for name, text in texts.items():
        one, text = known.get(name), text.strip()
        if one is None:
            wrong.append(f"{name[:60]!r} is no option of {question.name}.")
        elif text and one.form == "yes":
            given[name] = text == "yes"
            words += [one.flag] if given[name] else []
        elif text:
            parts = [part.strip() for part in text.split("\n") if part.strip()] if one.is_list else [text]
            try:
                read = [one.read(part) for part in parts]
            except ValueError as error:
                wrong.append(f"{one.name.replace('_', ' ')}: {error}.")
                continue
            given[name] = tuple(read) if one.is_list else read[0]
            words += [word for part in parts for word in (one.flag, part)]
    if wrong:
        raise WrongQuestionError(wrong)
    return given, words


def laid(edits: Sequence[Edit]) -> list[str]:
    """Return the words of a command line that lay changes over the file; what is new is there first."""
    ordered = sorted(edits, key=lambda edit: not edit.is_new)
    return [word for edit in ordered for word in ("--add" if edit.is_new else "--set", edit.line)]


def tried(edits: Sequence[Edit], name: str = AS_CHANGED) -> str:
    """Return changes as one alternative, as ``--try`` takes it."""
    return f"{name}: " + "; ".join(f"add {edit.line}" if edit.is_new else edit.line for edit in edits)


class Studies:
    """Runs one study at a time, in a thread of its own.

    Args:
        folder: Where replications and answers are kept.
        how: How replications are run, without a store.
        open_store: Opens the store, in the thread that uses it.
        tell: Told of every step.
    """

    def __init__(
        self,
        folder: Path,
        how: Mapping[str, Any],
        open_store: Callable[[], Any],
        tell: Callable[[StudyState], None],
    ) -> None:
        self._folder, self._how, self._open_store, self._tell = folder, how, open_store, tell
        self._thread: threading.Thread | None = None
        self._stops = threading.Event()
        self.state = StudyState()

    def begin(self, session: Session, name: str, texts: Mapping[str, str]) -> None:
        """Begin a study of the line as it is now.

        Raises:
            DeskError: If one is on its way, or there is no such button.
            WrongQuestionError: If it cannot be asked so.
        """
        if self._thread is not None and self._thread.is_alive():
            raise DeskError("one study at a time: stop the one that is on its way first.")
        question = next((one for one in buttons() if one.name == name), None)
        if question is None:
            raise DeskError("there is no such question.")
        given, words = asked_of(question, texts)
        under: tuple[Edit, ...] = session.edits
        over: tuple[Edit, ...] = ()
        if name == "mix" and "tries" not in given:
            over = tuple(edit for edit in under if edit.place[0] in _OF_THE_MIX)
            under = tuple(edit for edit in under if edit not in over)
        if over:
            given["tries"] = (tried(over),)
            words = ["--try", *given["tries"], *words]
        sets, added = (tuple(e.line for e in under if e.is_new is new) for new in (False, True))
        given |= {"sets": sets, "add": added, "file": session.path.name}
        question(**given)  # what is wrong with it is told at once
        command = shlex.join(["linesim", name, session.path.name, *laid(under), *words])
        self._stops.clear()
        scenario = with_edits(session.base, under)
        self.state = StudyState(name, command, scenario=scenario)
        self._thread = threading.Thread(
            target=self._run, args=(question, given, scenario), name="study", daemon=True
        )
        self._tell(self.state)
        self._thread.start()

    def stop(self) -> None:
        """Stop the study after the replications that are on their way."""
        self._stops.set()

    def end(self, seconds: float) -> None:
        """Stop the study and wait for its end, but not long."""
        self.stop()
        if self._thread is not None:
            self._thread.join(seconds)

    def _run(self, question: type[Declared], given: Mapping[str, Any], scenario: Scenario) -> None:
        if hasattr(signal, "pthread_sigmask"):
            signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        try:
            with self._open_store() as store:
                means = {"store": store, "progress": self._progress, "notice": self._notice}
                answer = question(**given, **self._how, **means).answer(scenario)
            write_file("desk", self._folder / f"{answer.study}.json", answer.to_json())
            self._put(answer=answer)
        except StudyStopped as stopped:
            self._put(failed=str(stopped))
        except LinesimError as error:
            self._put(failed="\n".join([str(error), *getattr(error, "__notes__", ())]))
        self._tell(self.state)

    def _progress(self, done: int, total: int) -> None:
        if self._stops.is_set():
            raise StudyStopped("stopped; what was simulated is kept, and asked again it goes on from there.")
        self._put(done=done, total=total)
        self._tell(self.state)

    def _notice(self, text: str) -> None:
        self._put(notice=text)
        self._tell(self.state)

    def _put(self, **what: Any) -> None:
        self.state = replace(self.state, **what)
