"""How sure is this?"""

from __future__ import annotations

from linesim.commands.page import Page
from linesim.measures import DEFINITIONS, GLOSSARY
from linesim.plan.plan import Plan
from linesim.questions.precision_text import (
    CAUTION,
    LUCK_ALONE,
    lost_in_words,
    precision_in_words,
    rests_on,
    sharpness_in_words,
)
from linesim.runs.result import Result


def sure(page: Page, plan: Plan, result: Result) -> None:
    """Write what the figures rest on, what the words mean, and a caution."""
    page.heading("How sure is this?")
    facts = (rests_on, precision_in_words, sharpness_in_words, lost_in_words)
    for text in (*(said(result) for said in facts), LUCK_ALONE):
        if text:
            page.say(text, indent=2)
    page.gap()
    words = [f"{word}: {says}" for word, says in GLOSSARY.items()]
    stop = DEFINITIONS["line_stop"].says.partition(";")[0]
    page.say("; ".join([*words, f"line stop: {_lower(stop)}"]) + ".", indent=2)
    page.gap()
    page.say(CAUTION, indent=2)
    page.say(f"{result.scenario.file or 'scenario'} {result.scenario.fingerprint[:12]}", indent=2)


def _lower(text: str) -> str:
    return text[0].lower() + text[1:].removesuffix(".")
