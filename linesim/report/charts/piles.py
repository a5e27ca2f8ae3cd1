"""Load piles: the work of one person of each crew, task on task, against takt."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import count_of, listed, number
from linesim.capacity.loads import LoadSpread, crew_parts, crew_spread
from linesim.report.canvas import Pen, fitted, room_for
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.scale import Scale
from linesim.report.style import BLUE, INK, SMALL, SOFT, Paint
from linesim.report.table import numeric, plain_number, rounded, table

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "A load pile (yamazumi), the chart of standardised work at a rebalancing: one pile a person, its pieces "
    "of work from the floor up in work order (Y. Monden, Toyota Production System, 1983). People of a crew "
    "share its work, so each pile is one person's equal part; whiskers over the mix after J. W. Tukey (1977)."
)
_DARK, _LIGHT = Paint(BLUE, "#ffffff"), Paint("#D9E8F4", BLUE)
_RARE = Paint("#ffffff", INK)


class PilePiece(NamedTuple):
    """One task in a pile.

    Attributes:
        station, task: Names.
        work_s: Its work per job and person of the crew, weighted by the mix [s].
    """

    station: str
    task: str
    work_s: float


class Pile(NamedTuple):
    """One crew.

    Attributes:
        crew: Its name.
        people: How many people.
        takt_s: Longest takt it works to [s].
        pieces: Its work in line order, as one person's part.
        spread: Work per person over the mix [s].
    """

    crew: str
    people: int
    takt_s: float
    pieces: tuple[PilePiece, ...]
    spread: LoadSpread


def crew_piles(told: Told) -> tuple[Pile, ...]:
    """Return a pile for each crew that has planned work, in file order."""
    plan, loads = told.plan, told.loads
    order = {name: i for i, name in enumerate(n for _, _, stations in told.stations for n in stations)}
    found = []
    for c, load in enumerate(loads.crews):
        spread = crew_spread(loads, c)
        if spread is None or load.work_s <= 0:
            continue
        pieces = []
        for t, part in crew_parts(loads, c).items():
            station = plan.names.station[int(plan.tasks.station[t])]
            work_s = part * loads.task_person_s[t] / load.count
            if work_s > 0:
                pieces.append(PilePiece(station, plan.names.task[t].removeprefix(f"{station}."), work_s))
        pieces.sort(key=lambda piece: order[piece.station])  # steady: tasks stay in file order
        found.append(Pile(load.name, load.count, load.takt_s, tuple(pieces), spread))
    return tuple(found)


def piles(told: Told) -> Figure | None:
    """Return the figure; None where nobody has planned work.

    Load piles (yamazumi) with whiskers over the mix, because the weighted mean hides the overload.
    """
    found = crew_piles(told)
    if not found:
        return None
    has_mix = any(pile.spread.high > pile.spread.low for pile in found)
    return figure(
        "piles",
        "Planned work per person of each crew, task on task, against takt",
        _says(found, has_mix),
        table(
            "Work per person and job",
            ["crew",
             *numeric("people", "takt, s", "mean, s", "of takt, %", "lightest, s", "19 in 20 within, s",
                      "heaviest, s", "jobs over takt, %"),
             "heaviest variant", "mean by station, s"],
            [
                (
                    pile.crew, plain_number(pile.people), plain_number(pile.takt_s),
                    rounded(pile.spread.mean), rounded(100 * pile.spread.mean / pile.takt_s, 0),
                    rounded(pile.spread.low), rounded(pile.spread.p95), rounded(pile.spread.high),
                    rounded(100 * pile.spread.over), pile.spread.heaviest,
                    ", ".join(f"{station} {number(s, 1)}" for station, s in by_station(pile)),
                )
                for pile in found
            ],
        ),
        METHOD,
        lambda width: _draw(width, found, has_mix),
    )  # fmt: skip


def by_station(pile: Pile) -> list[tuple[str, float]]:
    """Return the stations of a pile with the work there per job and person [s], from the floor up."""
    found: dict[str, float] = {}
    for piece in pile.pieces:
        found[piece.station] = found.get(piece.station, 0.0) + piece.work_s
    return list(found.items())


def _says(found: tuple[Pile, ...], has_mix: bool) -> str:
    says = (
        "One pile a crew: what one of its people is planned to do per job if they share the work equally, in "
        "line order from the floor up, station by station dark and light. The black stroke is the takt. "
    )
    if has_mix:
        says += (
            "The upright line reaches from the lightest variant to the heaviest, and nineteen jobs in twenty "
            "lie at or below the ring. "
        )
    over = sorted((pile for pile in found if pile.spread.over > 0), key=lambda pile: -pile.spread.over)
    if over:
        named = listed([f"{pile.crew} ({100 * pile.spread.over:.0f} % of jobs)" for pile in over])
        says += f"More work than the takt allows: {named}. "
    return (
        says + "Walking, help, repairs and waiting come on top; what each place in a crew did stands below."
    )


def _draw(width: int, found: tuple[Pile, ...], has_mix: bool) -> Drawing:
    is_wide = width > 500
    left, top = 40.0, 40.0
    pitch = (width - left) / len(found)
    thick = min(46.0, 0.62 * pitch)
    names = [pile.crew for pile in found]
    turned = room_for(names) > pitch - 6
    foot = 26.0 + (min(86.0, room_for(names)) if turned else 12.0)
    tall = 270.0
    most = max(max(pile.spread.high, pile.takt_s) for pile in found)
    scale = Scale(0, most * 1.06, top + tall, top)
    pen = Pen(width, top + tall + foot)
    pen.axis_left(scale, left, width, "seconds of work per job, for each person")
    for i, pile in enumerate(found):
        middle = left + (i + 0.5) * pitch
        _pile(pen, scale, pile, middle, thick)
        takt = scale.at(pile.takt_s)
        wide = thick / 2 + min(8.0, 0.15 * pitch)
        pen.line((middle - wide, middle + wide), (takt, takt), colour="#ffffff", width=4)
        pen.line((middle - wide, middle + wide), (takt, takt), width=2.2)
        end = min(takt, scale.at(pile.spread.mean))
        if has_mix and pile.spread.high > pile.spread.low:
            at = middle + thick / 2 - 7
            pen.whisker(scale.at(pile.spread.high), scale.at(pile.spread.low), at, upright=True)
            pen.marks((at,), (scale.at(pile.spread.p95),), "o", 5.5, _RARE)
            end = min(end, scale.at(pile.spread.high))
        percent = f"{number(100 * pile.spread.mean / pile.takt_s, 0)} %"
        pen.words(middle, end - 10, percent, side="center", size=SMALL, bold=pile.spread.mean > pile.takt_s)
        if turned:
            pen.words(middle + 4, top + tall + 12, fitted(pile.crew, 84), side="right", size=SMALL, turned=60)
        else:
            pen.words(middle, top + tall + 13, pile.crew, side="center")
            people = count_of(pile.people, "person", "people") if is_wide else str(pile.people)
            pen.words(middle, top + tall + 28, people, side="center", size=SMALL, colour=SOFT)
    return pen.figure


def _pile(pen: Pen, scale: Scale, pile: Pile, middle: float, thick: float) -> None:
    """Draw the pieces of a pile, station by station dark and light, with the station's name where it fits."""
    so_far, left = 0.0, middle - thick / 2
    for k, (station, group_s) in enumerate(by_station(pile)):
        paint, ink = (_DARK, "#ffffff") if k % 2 == 0 else (_LIGHT, INK)
        foot, top = scale.at(so_far), scale.at(so_far + group_s)
        pen.about = station
        for piece in pile.pieces:
            if piece.station == station:
                low, high = scale.at(so_far), scale.at(so_far + piece.work_s)
                pen.box(left, high, thick, low - high, paint)
                so_far += piece.work_s
        if foot - top > 15 and thick > 30:
            at, wide = (foot + top) / 2, min(room_for([station], SMALL), thick - 16)
            pen.tint(left + 4, at - 7, wide + 4, 14, paint.face)
            pen.words(left + 6, at, station, size=SMALL, colour=ink, room=thick - 14)
        pen.about = ""
