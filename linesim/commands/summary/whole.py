"""The whole page of a run."""

from __future__ import annotations

from linesim.commands.page import Page
from linesim.commands.summary.buffers import buffers
from linesim.commands.summary.limits import limits
from linesim.commands.summary.machines import machines
from linesim.commands.summary.makes import makes
from linesim.commands.summary.people import people
from linesim.commands.summary.quality import quality
from linesim.commands.summary.stops import stops
from linesim.commands.summary.sure import sure
from linesim.commands.summary.waits import waits
from linesim.plan.plan import Plan
from linesim.questions.run_sentences import answer
from linesim.runs.result import Result


def show(page: Page, plan: Plan, result: Result) -> None:
    """Write the page of a run: the answer in sentences, then one block a question."""
    page.title(result.scenario.title or result.scenario.file)
    page.gap()
    for sentence in answer(result):
        page.say(sentence, indent=2)
    for part in (makes, stops, waits, limits, people, machines, buffers, quality, sure):
        part(page, plan, result)
