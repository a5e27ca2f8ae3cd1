"""Draws the strip of the line: a scroll for each section, and the way from scroll to scroll."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import number
from linesim.report.canvas import Pen, room_for
from linesim.report.style import BLUE, FAINT, INK, ON_PAINT, PALE, SMALL, SOFT, VERMILLION, Paint

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from matplotlib.figure import Figure as Drawing

    from linesim.report.charts.strip import Bank, BayMark, Cover, Place, Stretch

_GUTTER = 12.0  #: Beside the stations, for the way from one scroll to the next [px].
_NARROWEST, _WIDEST = 30.0, 76.0  #: Width of a station [px].
_HEAD, _REACH, _BOX, _LANE, _BANK = 22.0, 9.0, 44.0, 25.0, 30.0  #: Heights of what a scroll is made of [px].
_STATION, _CELL, _ROBOT = Paint("#ffffff", INK), Paint("#ffffff", INK), Paint(BLUE, INK)
_IN_WORK = Paint(PALE, INK)  #: A place of a bay to work in.
_FAINT = 0.05  #: Minutes below this leave a station white.
_MOST_CELLS = 10  #: Places of a bank that are drawn one by one; more are only told.


class Scroll(NamedTuple):
    """A piece of a section that fits into the width.

    Attributes:
        stretch: The section.
        first: Position of its first station.
        places: Its stations.
        is_begin, is_end: Whether the section begins or ends here.
    """

    stretch: Stretch
    first: int
    places: tuple[Place, ...]
    is_begin: bool
    is_end: bool

    def lanes(self) -> list[list[Cover]]:
        """Return its crews in as few lanes as they fit into side by side."""
        lanes: list[list[Cover]] = []
        for cover in self.stretch.covers:
            ours = self.span(cover)
            if ours is None:
                continue
            for lane in lanes:
                spans = [span for other in lane if (span := self.span(other)) is not None]
                if all(ours[0] > last or ours[1] < first for first, last in spans):
                    lane.append(cover)
                    break
            else:
                lanes.append([cover])
        return lanes

    def span(self, cover: Cover) -> tuple[int, int] | None:
        """Return the first and last station of this piece that a crew covers; None if it covers none."""
        mine = [k - self.first for k in cover.stations if 0 <= k - self.first < len(self.places)]
        return (mine[0], mine[-1]) if mine else None

    @property
    def height(self) -> float:
        """How high it is drawn, without what lies before it [px]."""
        bays = len(self.stretch.bays) if self.is_end else 0
        reach = _REACH if any(place.early or place.late for place in self.places) else 0.0
        return (_HEAD if self.is_begin else 6.0) + reach + _BOX + 4 + _LANE * len(self.lanes()) + 20 * bays


def scrolls(found: Sequence[Stretch], most: int) -> list[Scroll]:
    """Cut sections into pieces of at most ``most`` stations, as even as can be."""
    cut = []
    for stretch in found:
        n = len(stretch.places)
        pieces = max(1, -(-n // most))
        borders = [round(k * n / pieces) for k in range(pieces + 1)]
        for k, (first, last) in enumerate(pairwise(borders)):
            places = stretch.places[first:last]
            cut.append(Scroll(stretch, first, places, k == 0, k == pieces - 1))
    return cut


def draw_strip(width: int, found: Sequence[Stretch], minutes: Mapping[str, float]) -> Drawing:
    """Draw the line in a width in px, its stations shaded by their minutes of stop."""
    most = max(minutes.values(), default=0.0)
    room = width - 2 * _GUTTER
    cut = scrolls(found, int(room // _NARROWEST))
    step = min(_WIDEST, room / max(len(scroll.places) for scroll in cut))
    tops, y = [], 0.0
    for scroll in cut:
        y += _before(scroll)
        tops.append(y)
        y += scroll.height
    pen = Pen(width, y + 2)
    came: float | None = None  #: where the way left the scroll before
    for k, (scroll, top) in enumerate(zip(cut, tops, strict=True)):
        starts = scroll.is_begin and scroll.stretch.is_first
        rail = _scroll(pen, scroll, top, step, minutes, most)
        if starts:
            _arrow(pen, 0, _GUTTER, rail)
        elif came is not None:
            banks = scroll.stretch.banks if scroll.is_begin else ()
            _way(pen, came, top - _before(scroll) / 2, rail, banks)
        end = _GUTTER + step * len(scroll.places)
        ends = k + 1 == len(cut) or (cut[k + 1].is_begin and cut[k + 1].stretch.is_first)
        if ends:
            _arrow(pen, end, end + _GUTTER, rail)
            came = None
        else:
            pen.line((end, width - 4), (rail, rail), colour=FAINT, width=1.4)
            came = rail
    return pen.figure


def _before(scroll: Scroll) -> float:
    """Return the height of what lies before a scroll [px]."""
    if scroll.is_begin and scroll.stretch.is_first:
        return 10.0 if scroll.stretch.feeds else 0.0
    return _BANK if scroll.is_begin and scroll.stretch.banks else 14.0


def _scroll(
    pen: Pen, scroll: Scroll, top: float, step: float, minutes: Mapping[str, float], most: float
) -> float:
    """Draw a scroll and return the height at which its jobs come and go."""
    y = top
    if scroll.is_begin:
        _head(pen, scroll.stretch, y + 9)
        y += _HEAD
    else:
        y += 6
    if any(place.early or place.late for place in scroll.places):
        for k, place in enumerate(scroll.places):
            if place.early or place.late:
                left, right = _GUTTER + (k - place.early) * step, _GUTTER + (k + 1 + place.late) * step
                at = y + (1.5 if k % 2 else 5)
                pen.line((max(left, 1), min(right, pen.width - 1)), (at, at), colour=BLUE, width=2)
        y += _REACH
    for k, place in enumerate(scroll.places):
        _station(pen, place, _GUTTER + k * step, y, step, minutes.get(place.name, 0.0), most)
    rail = y + _BOX / 2
    y += _BOX + 4
    for lane in scroll.lanes():
        for cover in lane:
            _cover(pen, scroll, cover, y, step, is_alone=len(lane) == 1)
        y += _LANE
    if scroll.is_end:
        for bay in scroll.stretch.bays:
            _bay(pen, bay, y + 9)
            y += 20
    return rail


def _head(pen: Pen, stretch: Stretch, y: float) -> None:
    name = f"{stretch.name}, feeds {stretch.feeds}" if stretch.feeds else stretch.name
    room = pen.width - 2 * _GUTTER
    pen.words(_GUTTER, y, name, bold=True, room=0.6 * room)
    used = min(room_for([name], bold=True), 0.6 * room) + 8
    pen.words(_GUTTER + used, y + 0.5, stretch.pacing, size=SMALL, colour=SOFT, room=room - used)


def _station(pen: Pen, place: Place, x: float, y: float, step: float, minutes: float, most: float) -> None:
    pen.about = place.name
    pen.box(x + 1, y, step - 2, _BOX, _shaded(minutes / most) if minutes >= _FAINT else _STATION)
    text = place.name if place.places == 1 else f"{place.name} ×{place.places}"
    ink = ON_PAINT if minutes >= _FAINT else INK
    pen.words(x + step / 2, y + 10, text, side="center", size=SMALL, room=step - 4, colour=ink)
    if minutes >= _FAINT:
        said = number(minutes, 1 if minutes < 9.95 else 0)
        pen.words(x + step / 2, y + 25, said, side="center", size=SMALL, room=step - 4, bold=True, colour=ink)
    for r in range(min(len(place.robots), 3)):
        middle = x + step / 2 + 9 * (r - (min(len(place.robots), 3) - 1) / 2)
        pen.marks((middle,), (y + 38,), "D", 5, _ROBOT)
    pen.about = ""


def _shaded(share: float) -> Paint:
    """Return the paint of a station: the nearer to vermillion, the more minutes it stops the line."""
    mixed = (round(255 - (255 - int(VERMILLION[i : i + 2], 16)) * 0.8 * max(share, 0.05)) for i in (1, 3, 5))
    return Paint("#" + "".join(f"{part:02x}" for part in mixed), INK)


def _cover(pen: Pen, scroll: Scroll, cover: Cover, y: float, step: float, *, is_alone: bool) -> None:
    span = scroll.span(cover)
    assert span is not None, "only crews that are here have a lane"
    left, right = _GUTTER + span[0] * step + 4, _GUTTER + (span[1] + 1) * step - 4
    dashes = (4.0, 3.0) if cover.comes_when_called else None
    pen.line((left, right), (y + 5, y + 5), width=1.2, dashes=dashes)
    for k in cover.stations:
        if 0 <= k - scroll.first < len(scroll.places):
            middle = _GUTTER + (k - scroll.first + 0.5) * step
            pen.line((middle, middle), (y + 1, y + 5), width=1.2)
    text = f"{cover.crew}, {cover.people}"
    room = pen.width - 2 * _GUTTER if is_alone else right - left + 8
    half = min(room_for([text], SMALL), room) / 2
    middle = min(max((left + right) / 2, half + 1), pen.width - half - 1)
    pen.words(middle, y + 14, text, side="center", size=SMALL, room=room)


def _way(pen: Pen, came: float, y: float, rail: float, banks: Sequence[Bank]) -> None:
    """Draw the way from one scroll down to the next, with the banks that lie on it."""
    right, left = pen.width - 4.0, 4.0
    pen.line((right, right, left, left, _GUTTER - 4), (came, y, y, rail, rail), colour=FAINT, width=1.4)
    _arrow(pen, _GUTTER - 6, _GUTTER, rail)
    x = right - 16
    for bank in reversed(banks):
        text = f"{bank.name}, {bank.capacity}"
        n = min(bank.capacity, _MOST_CELLS)
        wide = min(room_for([text], SMALL), 0.5 * pen.width) + 12 + 10 * n
        x -= wide
        pen.tint(x - 4, y - 9, wide + 2, 18, "#ffffff")
        for k in range(n):
            pen.box(x + 10 * k, y - 5, 10, 10, _CELL)
        pen.words(x + 10 * n + 5, y, text, size=SMALL, room=wide - 10 * n - 10)
        x -= 16


def _bay(pen: Pen, bay: BayMark, y: float) -> None:
    """Draw a bay: filled cells to work in, empty ones to wait in, and where its jobs go on."""
    n_work, n_wait = min(bay.places, _MOST_CELLS), min(bay.waiting, _MOST_CELLS)
    x = _GUTTER + 1
    for k in range(n_work + n_wait):
        pen.box(x, y - 5, 10, 10, _IN_WORK if k < n_work else _CELL)
        x += 10
    on = f"to {bay.rejoin}" if bay.rejoin else "out as finished"
    text = f"bay {bay.name}: {bay.places} in work, {bay.waiting} waiting, {on}"
    pen.words(x + 6, y, text, size=SMALL, colour=SOFT, room=pen.width - x - 8)


def _arrow(pen: Pen, left: float, right: float, y: float) -> None:
    pen.line((left, right - 5), (y, y), colour=FAINT, width=1.4)
    pen.area((right - 6, right, right - 6), (y - 4, y, y + 4), FAINT)
