"""How sure is this, what was assumed, how is it repeated, what do the words mean, what to beware of?"""

from __future__ import annotations

from collections import Counter
from types import MappingProxyType

from linesim.answers.document import Document
from linesim.answers.readable import in_words
from linesim.answers.wording import count_of, listed
from linesim.measures import DEFINITIONS, GLOSSARY
from linesim.questions.cautions import (
    CAUTION,
    LUCK_ALONE,
    lost_in_words,
    precision_in_words,
    rests_on,
    sharpness_in_words,
)
from linesim.questions.explain.work import Assumption
from linesim.report.charts.over_time import convergence, settling
from linesim.report.page_input import Told
from linesim.report.parts import Facts, Fold, PageHeading, PageSection, PageWords, Part, fold, section
from linesim.report.table import PageColumn, PageTable, plain_number, table
from linesim.runs.result import Result

_SAME_BYTES = (
    "The same scenario, seed, replications and versions give this page again, byte for byte, on any number "
    "of "
    "processors."
)
BEWARE = "Before anything is changed"  #: PageHeading of the last section.
_KNOWN = MappingProxyType(
    {"guess": "guess", "estimated": "estimated", "measured": "measured", "": "nobody says"}
)


def sure(told: Told) -> PageSection | None:
    """Return what the figures rest on, how they settle, and whether the start still shows."""
    facts = (rests_on, precision_in_words, sharpness_in_words, lost_in_words)
    said = [says(told.result) for says in facts]
    return section(
        "sure",
        "How sure is this?",
        PageWords(tuple(text for text in said if text)),
        fold(
            "How the figures settle, and whether the start still shows",
            LUCK_ALONE,
            _odd_ranges(told.result),
            convergence(told),
            settling(told),
        ),
    )


def _odd_ranges(result: Result) -> str:
    """Return what ranges mean that a reader may stumble over; empty if there are none."""
    rows = [row for row in result.measures if row.mean is not None and row.low is not None]
    said = []
    if any(row.low == row.high for row in rows):
        said.append("“each time” beside a figure: the same in every replication, which is no promise.")
    if any((row.low or 0.0) < 0 <= (row.mean or 0.0) for row in rows):
        said.append(
            "A range that reaches below 0 comes from few replications: read it as “about 0 or a little”."
        )
    return " ".join(said)


def assumed(told: Told) -> PageSection | None:
    """Return what was assumed, guesses first, and the whole line in sentences behind a fold."""
    rows = told.assumptions
    counts = Counter(row.known for row in rows)
    weighed = [row for row in rows if row.known in ("guess", "estimated")]
    others = [row for row in rows if row.known not in ("guess", "estimated")]
    said = listed(
        [
            text
            for known, text in (
                ("guess", count_of(counts["guess"], "guess", "guesses")),
                ("estimated", count_of(counts["estimated"], "estimate")),
                ("measured", f"{counts['measured']} measured"),
                ("", f"{counts['']} of which nobody says how well they are known"),
            )
            if counts[known]
        ]
    )
    guesses = [row for row in rows if row.known == "guess"]
    estimates = [row for row in weighed if row.known == "estimated"]
    parts: list[Part | PageTable | str | None] = [
        f"The inputs behind these figures: {said}." if said else "No input carries a time or a chance.",
        _inputs("Guesses", guesses) if guesses else "No input is marked as a guess.",
    ]
    if estimates:
        parts.append(fold(f"Estimates, {len(estimates)}", _inputs("Estimates", estimates)))
    if others:
        title = f"Measured, or nobody says, {len(others)}"
        parts.append(fold(title, _inputs("Measured inputs first", others)))
    if told.walk:
        lines: list[Part] = []
        for chapter in told.walk:
            lines.append(PageHeading(chapter.title))
            lines.append(PageWords(tuple(sentence.text for sentence in chapter.sentences), is_list=True))
        parts.append(Fold("The whole line, read back in sentences", tuple(lines)))
    return section("assumed", "What was assumed?", *parts)


def _inputs(caption: str, rows: list[Assumption]) -> PageTable:
    return table(
        caption,
        ["input", "set to", "known", "where from", "what somebody would defend"],
        [
            (in_words(row.key), row.value, _KNOWN[row.known], row.source or "–", row.span or "–")
            for row in rows
        ],
    )


def repeat(told: Told) -> PageSection | None:
    """Return what one needs to get the same page again."""
    result, run = told.result, told.result.run
    numbers = run.numbers
    which = f"{len(numbers)}"
    if numbers and numbers != tuple(range(1, len(numbers) + 1)):
        which += f" (numbers {', '.join(map(str, numbers[:12]))}{' …' if len(numbers) > 12 else ''})"
    pairs = [
        ("scenario", result.scenario.file or "made in a program"),
        *(("laid over it", line) for line in result.scenario.changes),
        ("fingerprint of its content", result.scenario.fingerprint),
        ("seed", str(run.seed)),
        ("replications", which),
        *([("lost", ", ".join(map(str, run.lost)))] if run.lost else []),
        (
            "measured",
            f"{run.length_s / 3600:.4g} h on the clock, after {run.warm_up_s / 3600:.4g} h of warm-up",
        ),
        ("confidence of intervals", f"{100 * run.confidence:g} %"),
        ("made with", ", ".join(f"{name} {version}" for name, version in run.versions)),
    ]
    return section(
        "repeat",
        "How can this be repeated?",
        _SAME_BYTES,
        *([f"Command: {told.command}"] if told.command else []),
        fold("What it rests on", Facts(tuple(pairs))),
    )


def repeat_study(answer: Document, command: str) -> PageSection | None:
    """Return what one needs to get the answer of a study again."""
    card = answer.card
    pairs = [
        ("scenario" if card.cases else "file", card.file or "made in a program"),
        ("study", answer.study),
        ("seed", str(card.seed)),
        ("confidence of intervals", f"{100 * card.confidence:g} %"),
        *(("lost", f"replication {number} of {case}") for case, number in card.lost),
        ("made with", ", ".join(f"{name} {version}" for name, version in card.versions)),
        *([("this page with", command)] if command else []),
    ]
    cases = table(
        "Cases",
        ["case", PageColumn("replications", is_number=True), "lines laid over the scenario", "fingerprint"],
        [
            (
                case.name,
                plain_number(case.replications),
                "; ".join(case.changes) or "–",
                case.fingerprint[:16],
            )
            for case in card.cases
        ],
    )
    if not card.cases:
        return section("repeat", "How can this be repeated?", Facts(tuple(pairs)))
    of_cases = fold(count_of(len(card.cases), "case") + ", with the lines laid over the scenario", cases)
    return section("repeat", "How can this be repeated?", _SAME_BYTES, Facts(tuple(pairs)), of_cases)


def words(result: Result | None) -> PageSection | None:
    """Return what the words and the measures of the page mean.

    Args:
        result: The run whose measures are explained; None explains all.
    """
    used = (
        DEFINITIONS.keys() if result is None else {r.measure for r in result.measures if r.mean is not None}
    )
    measures = tuple(
        (f"{name.replace('_', ' ')} [{says.unit}]", says.says)
        for name, says in DEFINITIONS.items()
        if name in used
    )
    return section(
        "words",
        "What do the words mean?",
        Fold("The words of the line", (Facts(tuple(GLOSSARY.items())),)),
        Fold("Every measure of this page", (Facts(measures),)),
    )


def beware(cautions: tuple[str, ...] = ()) -> PageSection | None:
    """Return what to beware of before anything is changed."""
    return section("beware", BEWARE, PageWords((*cautions, CAUTION), is_list=bool(cautions)))
