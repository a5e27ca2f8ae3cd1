"""What nobody measured."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.scenario import Scenario
from linesim.scenario.breakdowns import Breakdown
from linesim.scenario.inputs import weighed_in
from linesim.scenario.origins import dotted
from linesim.scenario.shapes import Shape
from linesim.scenario.weights import Chance, Weighed
from linesim.scenario.work import Task
from linesim.studies.figures import count_of
from linesim.studies.walk.text import Chapter, Sentence, chance_text, time_text, weight


def guesses(scenario: Scenario) -> Chapter:
    """Return the inputs that are marked as guesses, then the estimates, then how many say nothing."""
    found = list(weighed_in(scenario))
    sentences: list[Sentence] = []
    for level, head in (("guess", "Guesses"), ("estimated", "Estimates")):
        marked = [(path, value) for path, value in found if value.confidence == level]
        if marked:
            sentences.append(Sentence(f"{head}, {len(marked)}:"))
            sentences += [Sentence(f"{dotted(path)}: {_said(value)}", 1) for path, value in marked]
    if not sentences:
        sentences.append(Sentence("No input is marked as a guess or an estimate."))
    silent = sum(1 for value in _times(found) if value.confidence is None)
    measured = sum(1 for _, value in found if value.confidence == "measured")
    known = f"{count_of(measured, 'input is', 'inputs are')} marked as measured"
    sentences.append(Sentence(f"{known}; of {count_of(silent, 'time')} nobody says how well it is known."))
    return Chapter("What is guessed", tuple(sentences))


def _times(found: list[tuple[tuple[str | int, ...], Weighed | Task]]) -> Iterator[Shape]:
    """Yield the times whose weight is given neither with them nor with their task."""
    weighed = {path for path, value in found if isinstance(value, Task) and value.confidence}
    for path, value in found:
        if isinstance(value, Shape) and path[:-1] not in weighed:
            yield value


def _said(value: Weighed | Task) -> str:
    if isinstance(value, Task):
        return f"time of {time_text(value.time)}{f' [{value.source}]' if value.source else ''}"
    if isinstance(value, Shape):
        return time_text(value)
    if isinstance(value, Chance):
        return chance_text(value)
    if isinstance(value, Breakdown):
        return f"lasts {time_text(value.lasts)}{weight(value)}"
    return weight(value).strip() or "as given"
