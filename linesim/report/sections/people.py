"""Does the work fit, and what do people and machines do?"""

from __future__ import annotations

from linesim.report.charts.crew_time import crew_time
from linesim.report.charts.operators import operators
from linesim.report.charts.piles import piles
from linesim.report.charts.station_work import station_work
from linesim.report.page_input import Told
from linesim.report.parts import PageSection, fold, section


def fits(told: Told) -> PageSection | None:
    """Return work content against takt, per station and per person, and what each place in a crew did."""
    return section(
        "fits",
        "Does the work fit the takt?",
        station_work(told),
        piles(told),
        fold("What each place in a crew really does", operators(told)),
    )


def people(told: Told) -> PageSection | None:
    """Return what people, robots, tools and carriers do."""
    shown = (told.view(name) for name in ("robots", "shared", "short"))
    return section(
        "people", "What do people and machines do?",
        fold("One person's shift, crew by crew", crew_time(told)), fold("Robots, tools and carriers", *shown),
    )  # fmt: skip
