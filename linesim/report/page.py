"""The whole page: sections in their order, put into one file that needs nothing else."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable
from importlib.resources import files
from itertools import count
from typing import TYPE_CHECKING

from linesim.report.parts import Facts, KeyFigures, Section, Words, section
from linesim.report.sections.bottlenecks import bottlenecks
from linesim.report.sections.buffers import buffers
from linesim.report.sections.makes import makes
from linesim.report.sections.people import fits, people
from linesim.report.sections.quality import quality
from linesim.report.sections.stops import stops
from linesim.report.sections.trust import assumed, beware, repeat, sure, words
from linesim.report.sections.waits import waits
from linesim.report.told import Told
from linesim.studies.figures import estimate, span
from linesim.studies.run_answer import answer

if TYPE_CHECKING:
    from markupsafe import Markup

_TEMPLATES = "templates"


def run_page(told: Told) -> str:
    """Return the page about a run as HTML: the answer first, then one section a question.

    The same run gives the same bytes. Every text that a scenario brings along is escaped, and a policy
    in the page lets the reader's program load nothing and run nothing but the page's own script.
    """
    found = (
        _answer(told), makes(told), stops(told), waits(told), fits(told), people(told), buffers(told),
        quality(told), bottlenecks(told), sure(told), assumed(told), _compared(), repeat(told), words(told),
        beware(told),
    )  # fmt: skip
    return html(told.result.scenario.title or told.result.scenario.file, "Line report", found)


def html(title: str, kind: str, sections: Iterable[Section | None]) -> str:
    """Return a page as HTML.

    Args:
        title: Title of the page.
        kind: What kind of page it is, above the title.
        sections: What stands on it, in this order; None is left out.
    """
    from jinja2 import Environment, FunctionLoader, StrictUndefined
    from markupsafe import Markup

    def load(name: str) -> str:
        return files("linesim.report").joinpath(_TEMPLATES, name).read_text(encoding="utf-8")

    env = Environment(
        loader=FunctionLoader(load), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True, keep_trailing_newline=True,
    )  # fmt: skip
    script, style = load("report.js"), load("report.css")
    made = env.get_template("report.html").render(
        title=title or "A line without a title",
        kind=kind,
        sections=[found for found in sections if found is not None],
        style=Markup(style),
        script=Markup(script),
        script_digest=digest(script),
        drawing=_drawing,
        next_id=(f"table-{number}" for number in count(1)).__next__,
    )
    return made


def digest(script: str) -> str:
    """Return the digest by which a policy allows one script and no other."""
    return "sha256-" + base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()


def _drawing(svg: str) -> Markup:
    """Return a drawing as it is: an XML writer made it, and escaped every text in it."""
    from markupsafe import Markup

    return Markup(svg)


def _answer(told: Told) -> Section | None:
    said = answer(told.result)
    return section(
        "answer",
        "Question and answer",
        Facts(told.asked) if told.asked else "The scenario states no question. [study] in the file holds it.",
        Words(said[:1], leads=True),
        Words(said[1:]) if said[1:] else None,
        _keys(told),
        told.note,
    )


def _keys(told: Told) -> KeyFigures:
    result = told.result
    made, rate = result.row("jobs_per_shift"), result.row("throughput")
    found = []
    if made.mean is not None:
        low, high = result.row("jobs_per_shift_p10").mean, result.row("jobs_per_shift_p90").mean
        assert low is not None and high is not None
        found.append(("jobs per shift", estimate(made), span(made)))
        found.append(("a single shift", f"{low:.0f}–{high:.0f}", "eight in ten"))
    else:
        found.append(("jobs per hour", estimate(rate), span(rate)))
    if result.run.target is not None and result.row("plan_met").mean is not None:
        met = result.row("plan_met")
        found.append(
            (f"shifts that make {result.run.target:g}", f"{estimate(met, scale=100)} %", span(met, scale=100))
        )
    lead = result.row("lead_time")
    found.append(("minutes on the line", estimate(lead), span(lead)))
    if told.plan.names.fault:
        first = result.row("first_time_through")
        found.append(("right first time", f"{estimate(first, scale=100)} %", span(first, scale=100)))
    return KeyFigures(tuple(found))


def _compared() -> Section | None:
    return section(
        "compared",
        "What was compared?",
        "Nothing: this page shows one line as it is. linesim compare, buffers, crew, mix and sweep change "
        "something "
        "and say what that does; linesim report makes a page of their answers.",
    )
