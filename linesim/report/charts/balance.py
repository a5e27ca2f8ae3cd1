"""Load piles of stations before and after tasks move, against takt."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.document import Chart, Document
from linesim.answers.wording import number
from linesim.report.canvas import Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale
from linesim.report.style import BLUE, INK, SMALL, SOFT, Paint
from linesim.report.table import numeric, rounded, table

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "Load piles (yamazumi) of stations before and after a rebalancing: pieces of work from the floor up "
    "(Y. Monden, Toyota Production System, 1983)."
)
_NOW, _THEN = Paint("#D9E8F4", BLUE), Paint(BLUE, "#ffffff")
_MOVED = Paint("#ffffff", INK, "rising")
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
        METHOD,
        lambda width: _draw(width, pairs),
    )


def _amount(cell: object) -> float:
    assert isinstance(cell, int | float)
    return float(cell)


def _still_first(row: tuple[float, float, float, bool]) -> bool:
    return row[3]


def _sum(pieces: tuple[tuple[float, bool], ...]) -> float:
    return sum(work for work, _ in pieces)


def _draw(width: int, pairs: list[Pair]) -> Drawing:
    per_row = PER_ROW if width > 500 else PER_ROW // 2
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
    for x, pieces, paint in ((middle - thick - 1, pair.now, _NOW), (middle + 1, pair.then, _THEN)):
        so_far = 0.0
        for work, moved in pieces:
            low, high = scale.at(so_far), scale.at(so_far + work)
            pen.box(x, high, thick, low - high, _MOVED if moved else paint)
            so_far += work
    takt, wide = scale.at(pair.takt_s), thick + 5
    pen.line((middle - wide, middle + wide), (takt, takt), colour="#ffffff", width=4)
    pen.line((middle - wide, middle + wide), (takt, takt), width=2.2)
    pen.words(middle, scale.at(0) + 13, pair.station, side="center", room=pitch - 4)
    change = _sum(pair.then) - _sum(pair.now)
    if abs(change) >= 0.05:
        text = f"{'+' if change > 0 else '−'}{number(abs(change), 0)} s"
        fits = room_for([text], SMALL) <= pitch
        pen.words(middle, scale.at(0) + 28, text if fits else "", side="center", size=SMALL, colour=SOFT)
