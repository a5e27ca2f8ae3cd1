"""A study read back from its folder: the answer as it was written, and the line that it is about."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from itertools import count, islice
from pathlib import Path
from typing import TYPE_CHECKING, Any

from linesim.answers.card import Convergence, StudyCard
from linesim.answers.document import Document
from linesim.errors import LinesimError
from linesim.runs.replicate import Replications
from linesim.runs.result import Result, ScenarioCard
from linesim.runs.store_file import NAME

if TYPE_CHECKING:
    from linesim.runs.store import Store
    from linesim.scenario import Scenario

MOST_BYTES = 200_000_000  #: A larger answer was not written by a study.
MOST_REPLICATIONS = 1_000_000


class NoStudyError(LinesimError):
    """What was named is no study, or cannot be read."""

    status = 2  #: Exit status: the input was wrong.


@dataclass(frozen=True, slots=True)
class Reopened:
    """What a study says, and what of its base is still known.

    Attributes:
        answer: The answer; None for a run, whose answer is `result`.
        scenario: The base; None where the folder keeps no replications.
        result: The base's replications as a run; None where none of this program's are kept.
    """

    answer: Document | None
    scenario: Scenario | None
    result: Result | None


def reopen(path: Path) -> Reopened:
    """Read a study from its folder, or from one of the answers in it.

    Args:
        path: The folder, or the JSON file of an answer.

    Raises:
        NoStudyError: If there is no answer, or there are several and none was named.
        StudyError: If the replications are damaged.
    """
    document = _document(path if path.is_file() else _only_answer(path))
    folder = path.parent if path.is_file() else path
    if not (folder / NAME).is_file():
        if "study" not in document:
            raise NoStudyError(
                f"{folder} keeps no replications; name the scenario instead, and it is run anew."
            )
        return Reopened(answer_from(document), None, None)
    from linesim.runs.store import Store

    with Store(folder, must_exist=True) as store:
        return _with_runs(store, document)


def answer_from(document: Mapping[str, Any]) -> Document:
    """Return an answer from what `Document.as_dict` writes.

    Raises:
        NoStudyError: If it was not written by it.
    """
    with _readable():
        card = StudyCard.from_dict(document)
        return Document.from_dict(document, card)


@contextmanager
def _readable() -> Iterator[None]:
    """Say in words that what is read here was not written by us."""
    try:
        yield
    except (LookupError, TypeError, ValueError, AttributeError) as error:
        raise NoStudyError(f"the answer of a study cannot be read: {type(error).__name__} {error}") from error


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError(f"text expected, found {type(value).__name__}")
    return value


@dataclass(frozen=True, slots=True)
class _Base:
    """What an answer says of its base: which replications of which content, and what its result carries."""

    card: ScenarioCard
    seed: int
    confidence: float
    numbers: tuple[int, ...]
    convergence: Convergence | None


def _base_of(document: Mapping[str, Any], answer: Document | None) -> _Base:
    """Return the base of a study, or the line of a run where ``answer`` is None."""
    run, scenario = document["run"], document["scenario"]
    seed, confidence = int(run["seed"]), float(run["confidence"])
    if answer is None:
        changes = tuple(map(_text, scenario["changes"]))
        card = ScenarioCard(
            _text(scenario["title"]),
            _text(scenario["file"]),
            _text(scenario["fingerprint"]),
            changes,
            tuple(map(_text, document.get("warnings", ()))),
        )
        sharp = Convergence.from_dict(document["convergence"]) if "convergence" in document else None
        return _Base(card, seed, confidence, tuple(int(number) for number in run["numbers"]), sharp)
    first = answer.card.cases[0]
    lost = {number for name, number in answer.card.lost if name == first.name}
    each = (number for number in count(1) if number not in lost)
    return _Base(
        ScenarioCard(
            answer.card.title, answer.card.file, first.fingerprint, first.changes, answer.card.warnings
        ),
        seed,
        confidence,
        tuple(islice(each, min(first.replications, MOST_REPLICATIONS))),
        next((one for one in answer.card.convergences if one.case == first.name), None),
    )


def _with_runs(store: Store, document: Mapping[str, Any]) -> Reopened:
    answer = answer_from(document) if "study" in document else None
    if answer is not None and not answer.card.cases:
        return Reopened(answer, None, None)
    with _readable():
        base = _base_of(document, answer)
    scenario = store.scenario(base.card.fingerprint)
    if scenario is None:
        return Reopened(answer, None, None)
    stored = store.get(base.card.fingerprint, base.seed, base.numbers)
    if not stored.replications:
        return Reopened(answer, scenario, None)
    from linesim.plan.build import build
    from linesim.runs.simulation import result_of

    found = Replications(stored.labels, tuple(stored.replications[n] for n in sorted(stored.replications)))
    result = result_of(build(scenario), found, base.card, seed=base.seed, confidence=base.confidence)
    return Reopened(answer, scenario, replace(result, convergence=base.convergence))


def _only_answer(folder: Path) -> Path:
    if not folder.is_dir():
        raise NoStudyError(f"{folder} is neither a file nor a folder.")
    found = [path for path in sorted(folder.glob("*.json")) if path.is_file()]
    if not found:
        raise NoStudyError(f"{folder} holds no answer; a study writes one with --out {folder}.")
    if len(found) > 1:
        named = ", ".join(str(path) for path in found)
        raise NoStudyError(f"{folder} holds several answers; name one of them: {named}.")
    return found[0]


def _document(path: Path) -> Mapping[str, Any]:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise NoStudyError(f"{path} is larger than any answer.")
        document = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        raise NoStudyError(f"{path} cannot be read as an answer: {error}") from error
    if not isinstance(document, dict) or not {"scenario", "run"} <= set(document):
        raise NoStudyError(f"{path} is not the answer of a study.")
    return document
