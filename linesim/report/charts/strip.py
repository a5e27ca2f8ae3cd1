"""The line as it stands: sections in line order, their stations, people, robots, banks and bays."""

from __future__ import annotations

from linesim.answers.wording import count_of, listed
from linesim.report.charts.stretches import Stretch, stretches
from linesim.report.charts.strip_drawing import draw_strip
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.table import PageCell, estimated, numeric, plain_number, table
from linesim.runs.rows import Row

METHOD = (
    "The strip map of a route (J. Ogilby, Britannia, 1675): the way unrolled straight and cut into scrolls, "
    "places along it in order, not to scale. Reaches past a station's borders as for the open stations of "
    "J. F. Bard, E. Dar-El and A. Shtub (International Journal of Production Research 30, 1992)."
)
_STOPS = (
    " The number in a station, and its colour, is the minutes of stop a shift that begin there; what only "
    "passes on what happened elsewhere is left out."
)


def strip(told: Told) -> Figure:
    """Return the figure: the line as a strip map, cut into scrolls, each station with its stop minutes."""
    found = stretches(told.plan)
    begun = {row.where: row for row in told.result.rows("own_stop") if row.mean is not None}
    minutes = {name: row.mean or 0.0 for name, row in begun.items()}
    return figure(
        "strip",
        "The line, section by section",
        _says(found) + (_STOPS if any(minutes.values()) else ""),
        table(
            "Stations in line order, and who and what works there",
            ["station", "section", "crews", "comes when called", "robots",
             *numeric("early, % of takt", "late, % of takt", "stops begun, min/shift", "interval")],
            [(*row, *_begun(begun.get(str(row[0])))) for stretch in found for row in _rows(stretch)],
        ),
        METHOD,
        lambda width: draw_strip(width, found, minutes),
    )  # fmt: skip


def _begun(row: Row | None) -> tuple[PageCell, PageCell]:
    return (PageCell("–"), PageCell("")) if row is None else estimated(row.estimate)


def _rows(stretch: Stretch) -> list[tuple[PageCell | str, ...]]:
    rows: list[tuple[PageCell | str, ...]] = []
    for position, place in enumerate(stretch.places):
        there, called = (
            ", ".join(
                f"{cover.crew} ({cover.people})"
                for cover in stretch.covers
                if position in cover.stations and cover.comes_when_called is when
            )
            for when in (False, True)
        )
        reaches = (plain_number(100 * share, f"{100 * share:.3g}") for share in (place.early, place.late))
        rows.append((place.name, stretch.name, there, called, ", ".join(place.robots), *reaches))
    return rows


def _says(found: tuple[Stretch, ...]) -> str:
    """Return what there is to be seen, in line order, and how to read it."""
    along: list[str] = []
    for stretch in found:
        along += [f"{bank.name} with {count_of(bank.capacity, 'place')}" for bank in stretch.banks]
        into = f", a feeder into {stretch.feeds}" if stretch.feeds else ""
        along.append(f"{stretch.name} ({count_of(len(stretch.places), 'station')}{into})")
    says = f"In line order: {listed(along)}. "
    if any(stretch.covers for stretch in found):
        says += "The line under the stations is the crew that covers them, with its number of people"
        if any(cover.comes_when_called for stretch in found for cover in stretch.covers):
            says += "; dashed, it comes when called"
        says += ". "
    if any(place.early or place.late for stretch in found for place in stretch.places):
        says += "The line over a station is how far its crew may work before and past its borders. "
    if any(place.robots for stretch in found for place in stretch.places):
        says += "A diamond is a robot. "
    if any(place.places > 1 for stretch in found for place in stretch.places):
        says += "A number behind × is how many jobs a station holds. "
    return says.strip()
