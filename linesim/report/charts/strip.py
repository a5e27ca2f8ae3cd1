"""The line as it stands, cut into its sections: what a drawing of it shows, in line order."""

from __future__ import annotations

from typing import NamedTuple

from linesim.answers.wording import count_of, listed
from linesim.plan.plan import Plan
from linesim.plan.tables import BUFFER, FREE, MOVING, NONE, Flow
from linesim.report.charts.strip_drawing import draw_strip
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told, pacing_in_words
from linesim.report.table import PageCell, estimated, numeric, plain_number, table
from linesim.runs.rows import Row


class Place(NamedTuple):
    """A station.

    Attributes:
        name: Its name.
        places: How many jobs it holds.
        robots: The robots that work there.
        early, late: How far its crew may reach past its borders, as shares of a takt.
    """

    name: str
    places: int
    robots: tuple[str, ...]
    early: float
    late: float


class Cover(NamedTuple):
    """A crew in a section.

    Attributes:
        crew: Its name.
        people: How many people it has.
        stations: The stations of the section that it covers, by position.
        comes_when_called: Whether it is a floater.
    """

    crew: str
    people: int
    stations: tuple[int, ...]
    comes_when_called: bool


class Bank(NamedTuple):
    """A buffer: its name and its places."""

    name: str
    capacity: int


class BayMark(NamedTuple):
    """A bay: its name, places to work and to wait, and where its jobs go on."""

    name: str
    places: int
    waiting: int
    rejoin: str


class Stretch(NamedTuple):
    """A section and what lies before it.

    Attributes:
        name: Its name.
        pacing: How it moves, in words.
        feeds: The section that this feeder joins, if it begins one.
        is_first: Whether the flow begins here: the main one, or that of a feeder.
        banks: Buffers between the section before and this one.
        places: Its stations, in line order.
        covers: Its crews, those that are always there first.
        bays: Bays at its end.
    """

    name: str
    pacing: str
    feeds: str
    is_first: bool
    banks: tuple[Bank, ...]
    places: tuple[Place, ...]
    covers: tuple[Cover, ...]
    bays: tuple[BayMark, ...]


def stretches(plan: Plan) -> tuple[Stretch, ...]:
    """Return the line cut into its sections: the main flow, then the feeders."""
    joined = [plan.names.section[s] for s in plan.feeders.joins.tolist()]
    flows = zip((plan.flow, *plan.feeders.flows), ("", *joined), strict=True)
    return tuple(stretch for flow, joins in flows for stretch in _of_flow(plan, flow, joins))


def _of_flow(plan: Plan, flow: Flow, joins: str) -> list[Stretch]:
    found: list[Stretch] = []
    banks: list[Bank] = []
    for kind, i in zip(flow.kind.tolist(), flow.index.tolist(), strict=True):
        if kind == BUFFER:
            banks.append(Bank(plan.names.buffer[i], int(plan.buffers.capacity[i])))
            continue
        stations = plan.sections.stations[i].tolist()
        found.append(
            Stretch(
                name=plan.names.section[i],
                pacing=pacing_in_words(plan, i),
                feeds="" if found else joins,
                is_first=not found,
                banks=tuple(banks),
                places=tuple(_place(plan, k) for k in stations),
                covers=_covers(plan, stations),
                bays=_bays(plan, i),
            )
        )
        banks = []
    return found


def _place(plan: Plan, k: int) -> Place:
    section = int(plan.stations.section[k])
    early = late = 0.0
    if plan.sections.pacing[section] == MOVING:
        takt = int(plan.sections.takt[section])
        early, late = int(plan.stations.early[k]) / takt, int(plan.stations.late[k]) / takt
    places = int(plan.stations.places[k]) if plan.sections.pacing[section] == FREE else 1
    mine = [t for t, station in enumerate(plan.tasks.station.tolist()) if station == k]
    robots = dict.fromkeys(plan.names.robot[r] for t in mine for r in plan.tasks.robots[t].tolist())
    return Place(plan.names.station[k], places, tuple(robots), early, late)


def _covers(plan: Plan, stations: list[int]) -> tuple[Cover, ...]:
    found = []
    for crews, called in ((plan.stations.crews, False), (plan.stations.floaters, True)):
        for c in sorted({c for k in stations for c in crews[k].tolist()}):
            at = tuple(p for p, k in enumerate(stations) if c in crews[k].tolist())
            found.append(Cover(plan.names.crew[c], int(plan.crews.people[c]), at, called))
    return tuple(found)


def _bays(plan: Plan, section: int) -> tuple[BayMark, ...]:
    return tuple(
        BayMark(
            name, int(plan.bays.places[y]), int(plan.bays.waiting[y]),
            "" if plan.bays.rejoin[y] == NONE else plan.names.buffer[int(plan.bays.rejoin[y])],
        )
        for y, name in enumerate(plan.names.bay)
        if plan.bays.section[y] == section
    )  # fmt: skip


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
