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


def _with_runs(store: Store, document: Mapping[str, Any]) -> Reopened:
    answer = answer_from(document) if "study" in document else None
    if answer is not None and not answer.card.cases:
        return Reopened(answer, None, None)
    with _readable():
        run = document["run"]
        seed, confidence = int(run["seed"]), float(run["confidence"])
        card, numbers, convergence = _run_of(document) if answer is None else _base_of(answer)
    scenario = store.scenario(card.fingerprint)
    if scenario is None:
        return Reopened(answer, None, None)
    stored = store.get(card.fingerprint, seed, numbers)
    if not stored.replications:
        return Reopened(answer, scenario, None)
    from linesim.plan.build import build
    from linesim.runs.simulation import result_of

    found = Replications(stored.labels, tuple(stored.replications[n] for n in sorted(stored.replications)))
    result = result_of(build(scenario), found, card, seed=seed, confidence=confidence)
    return Reopened(answer, scenario, replace(result, convergence=convergence))


def _run_of(document: Mapping[str, Any]) -> tuple[ScenarioCard, tuple[int, ...], Convergence | None]:
    """Return the line of a run: what its result carries, and which replications it holds."""
    scenario = document["scenario"]
    title, file, fingerprint = (_text(scenario[name]) for name in ("title", "file", "fingerprint"))
    changes, warnings = (
        tuple(map(_text, one)) for one in (scenario["changes"], document.get("warnings", ()))
    )
    card = ScenarioCard(title, file, fingerprint, changes, warnings)
    sharp = Convergence.from_dict(document["convergence"]) if "convergence" in document else None
    return card, tuple(int(number) for number in document["run"]["numbers"]), sharp


def _base_of(answer: Document) -> tuple[ScenarioCard, tuple[int, ...], Convergence | None]:
    """Return the base of a study, likewise."""
    card, first = answer.card, answer.card.cases[0]
    base = ScenarioCard(card.title, card.file, first.fingerprint, first.changes, card.warnings)
    lost = {number for name, number in card.lost if name == first.name}
    kept = islice(
        (number for number in count(1) if number not in lost), min(first.replications, MOST_REPLICATIONS)
    )
    return base, tuple(kept), next((one for one in card.convergences if one.case == first.name), None)


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
