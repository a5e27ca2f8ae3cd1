"""Load piles: work of one person, task on task, against takt; of crews, and of stations as tasks move."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.document import Chart, Document
from linesim.answers.wording import count_of, listed, number
from linesim.capacity.loads import LoadSpread, crew_parts, crew_spread
from linesim.report.canvas import IS_WIDE, Pen, fitted, room_for
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.scale import Scale
from linesim.report.style import BLUE, INK, PASSED_ON, SMALL, Paint
from linesim.report.table import numeric, plain_number, rounded, table

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

_PILES = (
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
        _PILES,
        lambda width: _draw_piles(width, found, has_mix),
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


def _draw_piles(width: int, found: tuple[Pile, ...], has_mix: bool) -> Drawing:
    is_wide = width > IS_WIDE
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
        pen.stroke((middle - wide, middle + wide), (takt, takt))
        end = min(takt, scale.at(pile.spread.mean))
        if has_mix and pile.spread.high > pile.spread.low:
            at = middle + thick / 2 - 7
            pen.interval(scale, pile.spread, at, upright=True)
            pen.marks((at,), (scale.at(pile.spread.p95),), "o", 5.5, _RARE)
            end = min(end, scale.at(pile.spread.high))
        percent = f"{number(100 * pile.spread.mean / pile.takt_s, 0)} %"
        pen.words(middle, end - 10, percent, side="center", size=SMALL, bold=pile.spread.mean > pile.takt_s)
        if turned:
            pen.words(middle + 4, top + tall + 12, fitted(pile.crew, 84), side="right", size=SMALL, turned=60)
        else:
            pen.words(middle, top + tall + 13, pile.crew, side="center")
            people = count_of(pile.people, "person", "people") if is_wide else str(pile.people)
            pen.note(middle, top + tall + 28, people)
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


_BEFORE_AFTER = (
    "Load piles (yamazumi) of stations before and after a rebalancing: pieces of work from the floor up "
    "(Y. Monden, Toyota Production System, 1983)."
)
PER_ROW = 10  #: Stations in a row of a wide drawing; a narrow one has half.


class Pair(NamedTuple):
    """A station before and after.

    Attributes:
        station: Its name.
        takt_s: Its takt [s].
        now, then: Work of its tasks per person [s], and whether each moves, from the floor up.
    """

    station: str
    takt_s: float
    now: tuple[tuple[float, bool], ...]
    then: tuple[tuple[float, bool], ...]


def balance_of(answer: Document, chart: Chart) -> Figure | None:
    """Return the piles of the stations of a view, before and after; None without any."""
    by_station: dict[str, list[tuple[float, float, float, bool]]] = {}
    for row in answer.rows(chart.view):
        takt, now, then = (_amount(row[name]) for name in ("takt_s", "now_s", "then_s"))
        by_station.setdefault(str(row["station"]), []).append((takt, now, then, bool(row["moved"])))
    if not by_station:
        return None
    pairs = [
        Pair(
            station,
            rows[0][0],
            tuple((now, moved) for _, now, _, moved in sorted(rows, key=_still_first) if now > 0),
            tuple((then, moved) for _, _, then, moved in sorted(rows, key=_still_first) if then > 0),
        )
        for station, rows in by_station.items()
    ]
    return figure(
        chart.name,
        "Work per person at each station before and after, against takt",
        f"{chart.says} Left and pale: now. Right and dark: with the moves. Hatched on top: what moves. The "
        "black stroke is the takt. Work is the mean over the mix; heavy jobs need more.",
        table(
            "Work per person and job",
            ["station", *numeric("takt, s", "now, s", "then, s")],
            [
                (pair.station, rounded(pair.takt_s), rounded(_sum(pair.now)), rounded(_sum(pair.then)))
                for pair in pairs
            ],
        ),
        _BEFORE_AFTER,
        lambda width: _draw_balance(width, pairs),
    )


def _amount(cell: object) -> float:
    assert isinstance(cell, int | float)
    return float(cell)


def _still_first(row: tuple[float, float, float, bool]) -> bool:
    return row[3]


def _sum(pieces: tuple[tuple[float, bool], ...]) -> float:
    return sum(work for work, _ in pieces)


def _draw_balance(width: int, pairs: list[Pair]) -> Drawing:
    per_row = PER_ROW if width > IS_WIDE else PER_ROW // 2
    rows = [pairs[k : k + per_row] for k in range(0, len(pairs), per_row)]
    left, top, tall, gap = 40.0, 26.0, 190.0, 46.0
    most = max(max(_sum(pair.now), _sum(pair.then), pair.takt_s) for pair in pairs) * 1.1
    pen = Pen(width, top + len(rows) * (tall + gap))
    pitch = (width - left) / min(per_row, len(pairs))
    thick = min(24.0, 0.34 * pitch)
    for k, row in enumerate(rows):
        floor = top + k * (tall + gap) + tall
        scale = Scale(0, most, floor, floor - tall)
        pen.axis_left(scale, left, width, "seconds of work per job, for each person" if k == 0 else "")
        for i, pair in enumerate(row):
            _pair(pen, scale, pair, left + (i + 0.5) * pitch, thick, pitch)
    return pen.figure


def _pair(pen: Pen, scale: Scale, pair: Pair, middle: float, thick: float, pitch: float) -> None:
    """Draw both piles of a station, its takt and its name."""
    for x, pieces, paint in ((middle - thick - 1, pair.now, _LIGHT), (middle + 1, pair.then, _DARK)):
        so_far = 0.0
        for work, moved in pieces:
            low, high = scale.at(so_far), scale.at(so_far + work)
            pen.box(x, high, thick, low - high, PASSED_ON if moved else paint)
            so_far += work
    takt, wide = scale.at(pair.takt_s), thick + 5
    pen.stroke((middle - wide, middle + wide), (takt, takt))
    pen.words(middle, scale.at(0) + 13, pair.station, side="center", room=pitch - 4)
    change = _sum(pair.then) - _sum(pair.now)
    if round(change):
        text = f"{change:+.0f} s"
        fits = room_for([text], SMALL) <= pitch
        pen.note(middle, scale.at(0) + 28, text if fits else "")
