"""Drawing in px from the top left corner: boxes, lines, marks and words on a matplotlib sheet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal, Protocol

from linesim.report.style import ABOUT, FAINT, INK, LETTERS, RULE, SMALL, SOFT, Paint, sheet

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.figure import Figure

    from linesim.report.scale import Scale

Side = Literal["left", "center", "right"]
WHITE = "#ffffff"  #: What lies under words and strokes that cross other lines.
IS_WIDE = 500  #: Drawings wider than this are read on a desk or on paper [px].
_CENTRE = 0.36  #: From the middle of a line of letters down to its foot, as a share of their height.


class HasInterval(Protocol):
    """A figure with the ends of its interval, as far as they are known."""

    @property
    def mean(self) -> float | None:
        """The figure."""

    @property
    def low(self) -> float | None:
        """Where its interval begins."""

    @property
    def high(self) -> float | None:
        """Where it ends."""


class Pen:
    """Draws on a sheet of ``width`` x ``height`` px; ``y`` counts downwards.

    What is drawn later lies on top. Words are written as they are: nothing in them is markup.
    """

    def __init__(self, width: int, height: float) -> None:
        self.width, self.height = width, height
        from matplotlib.transforms import Affine2D

        self.figure: Figure = sheet(width, height)
        self._px = Affine2D().scale(1, -1).translate(0, height)
        self._order = 0
        self.about = ""  #: Station that what is drawn now belongs to; empty for none.

    def box(self, x: float, y: float, width: float, height: float, paint: Paint) -> None:
        """Fill a box from its upper left corner."""
        from matplotlib.patches import Rectangle

        self._put(Rectangle((x, y), width, height, **paint.fill))

    def tint(self, x: float, y: float, width: float, height: float, colour: str) -> None:
        """Fill a box without an outline."""
        from matplotlib.patches import Rectangle

        self._put(Rectangle((x, y), width, height, facecolor=colour, linewidth=0))

    def area(self, xs: Sequence[float], ys: Sequence[float], colour: str) -> None:
        """Fill what lies between corners, without an outline."""
        from matplotlib.patches import Polygon

        corners = list(zip(xs, ys, strict=True))
        self._put(Polygon(corners, facecolor=colour, linewidth=0))

    def line(
        self,
        xs: Sequence[float],
        ys: Sequence[float],
        *,
        colour: str = INK,
        width: float = 1.0,
        dashes: tuple[float, float] | None = None,
    ) -> None:
        """Draw a line through points."""
        from matplotlib.lines import Line2D

        line = Line2D(xs, ys, color=colour, linewidth=width, solid_capstyle="butt")
        if dashes:
            line.set_dashes(dashes)
        self._put(line)

    def marks(
        self, xs: Sequence[float], ys: Sequence[float], shape: str, size: float, paint: Paint | None = None
    ) -> None:
        """Set marks of one shape: ``o`` dot, ``s`` square, ``D`` diamond, ``|`` or ``_`` stroke."""
        from matplotlib.lines import Line2D

        paint = paint or Paint(INK, INK)
        self._put(
            Line2D(
                xs, ys, linestyle="none", marker=shape, markersize=size, markerfacecolor=paint.face,
                markeredgecolor=paint.edge, markeredgewidth=1.0,
            )
        )  # fmt: skip

    def words(
        self,
        x: float,
        y: float,
        text: str,
        *,
        side: Side = "left",
        size: float = LETTERS,
        colour: str = INK,
        bold: bool = False,
        turned: float = 0.0,
        room: float | None = None,
        on_white: bool = False,
    ) -> None:
        """Write one line, its middle at the height ``y``.

        Args:
            x: Where its ``side`` is.
            y: Middle of the letters.
            text: What is written.
            side: Which part of it stands at ``x``.
            size: Height of the letters.
            colour: Colour of the letters.
            bold: Whether in bold.
            turned: Degrees to the left, about its foot at ``x``.
            room: Width that it may take; longer text is cut and ends in ``…``.
            on_white: Whether what lies under it is covered, of letters at the left.
        """
        if room is not None:
            text = fitted(text, room, size, bold=bold)
        if on_white:
            wide = room_for([text], size, bold=bold)
            self.tint(x - 2 - (wide if side == "right" else 0), y - 8, wide + 4, 16, WHITE)
        from matplotlib.text import Text

        self._put(
            Text(
                x, y + (0 if turned else _CENTRE * size), text, fontsize=size, color=colour,
                horizontalalignment=side, verticalalignment="baseline", rotation=turned,
                rotation_mode="anchor", fontweight="bold" if bold else "normal", parse_math=False,
            )
        )  # fmt: skip

    def note(
        self, x: float, y: float, text: str, *, side: Side = "center", room: float | None = None
    ) -> None:
        """Write one line of small grey letters, such as a value at an axis."""
        self.words(x, y, text, side=side, size=SMALL, colour=SOFT, room=room)

    def stroke(self, xs: Sequence[float], ys: Sequence[float], width: float = 2.2) -> None:
        """Draw a black line on a white rim, such as the takt across bars."""
        self.line(xs, ys, colour=WHITE, width=width + 1.8)
        self.line(xs, ys, width=width)

    def whisker(self, low: float, high: float, at: float, *, upright: bool = False, cap: float = 3.0) -> None:
        """Draw the ends of a range: a line with a stroke at each end, black on a thin white rim.

        Args:
            low: Where it begins, along its direction.
            high: Where it ends.
            at: Where it lies, across it.
            upright: Whether it stands.
            cap: Half the length of the strokes at its ends.
        """
        ends = [((low, high), (at, at))] + [((end, end), (at - cap, at + cap)) for end in (low, high)]
        for colour, wide in ((WHITE, 3.4), (INK, 1.6)):
            for along, across in ends:
                xs, ys = (across, along) if upright else (along, across)
                self.line(xs, ys, colour=colour, width=wide)

    def interval(self, scale: Scale, found: HasInterval, at: float, *, upright: bool = False) -> float:
        """Draw the interval of a figure, if it has one of any width.

        Returns:
            Where interval and mean end [px]; where they begin, on a scale that stands.
        """
        mean = scale.at(found.mean or 0.0)
        if found.low is None or found.high is None or not found.low < found.high:
            return mean
        low, high = scale.at(found.low), scale.at(found.high)
        self.whisker(min(low, high), max(low, high), at, upright=upright)
        return min(mean, high) if upright else max(mean, high)

    def axis_below(self, scale: Scale, y: float, top: float, label: str) -> None:
        """Draw an axis at the height ``y``, with lines up to ``top`` at its round values, and its label."""
        for value, text in scale.ticks():
            at = scale.at(value)
            self.line((at, at), (top, y), colour=RULE, width=0.8)
            half = room_for([text], SMALL) / 2
            inside = min(max(at, half), max(half, self.width - half))
            self.note(inside, y + 10, text)
        self.line((scale.start, scale.end), (y, y), colour=FAINT, width=0.8)
        half = room_for([label], SMALL) / 2
        middle = min(max((scale.start + scale.end) / 2, half), max(half, self.width - half))
        self.note(middle, y + 26, label, room=self.width)

    def levels(self, scale: Scale, x: float, right: float, *, unit: str = "", is_told: bool = True) -> None:
        """Draw lines from ``x`` to ``right`` at the round values of a scale that stands, told on the left."""
        for value, text in scale.ticks():
            at = scale.at(value)
            self.line((x, right), (at, at), colour=RULE, width=0.8)
            if is_told:
                self.note(x - 6, at, f"{text}{unit if value else ''}", side="right")

    def axis_left(self, scale: Scale, x: float, right: float, label: str) -> None:
        """Draw an axis at ``x`` that stands, with lines to ``right``; its label is written above it."""
        self.levels(scale, x, right)
        self.note(0, 8, label, side="left")

    def counts_below(self, scale: Scale, y: float, label: str) -> None:
        """Write the whole numbers of a scale below the height ``y``, and what they count."""
        for value, _ in scale.ticks():
            if value.is_integer():
                self.note(scale.at(value), y + 12, f"{value:.0f}")
        self.note((scale.start + scale.end) / 2, y + 29, label)

    def plan(self, scale: Scale, target: float | None, top: float, foot: float) -> None:
        """Draw what the plan asks for as a broken upright line, told above ``top``; nothing without one."""
        if target is None:
            return
        at, text = scale.at(target), f"plan {target:g}"
        self.line((at, at), (top, foot), width=1.6, dashes=(4, 3))
        half = room_for([text], SMALL, bold=True) / 2
        middle = min(max(at, half), self.width - half)
        self.words(middle, top - 7, text, side="center", size=SMALL, bold=True)

    def _put(self, artist: Artist) -> None:
        self._order += 1
        artist.set_zorder(self._order)
        artist.set_transform(self._px)
        if self.about:
            artist.set_url(f"{ABOUT}{self.about}")
        self.figure.add_artist(artist)


def room_for(texts: Sequence[str], size: float = LETTERS, *, bold: bool = False) -> float:
    """Return the width of the longest of some lines [px], in the letters that drawings are laid out with."""
    return max((_width(text, size, bold) for text in texts), default=0.0)


def fitted(text: str, room: float, size: float = LETTERS, *, bold: bool = False) -> str:
    """Return text that fits into a width, cut and ended with ``…`` if it must be."""
    if _width(text, size, bold) <= room:
        return text
    while text and _width(text + "…", size, bold) > room:
        text = text[:-1]
    return text.rstrip() + "…"


def wrapped(text: str, room: float, size: float = LETTERS) -> list[str]:
    """Return text as lines that fit into a width, broken between words; a longer word is cut."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and _width(longer, size, False) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return [fitted(line, room, size) for line in lines]


def _width(text: str, size: float, bold: bool) -> float:
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    font = FontProperties(family="DejaVu Sans", size=size, weight="bold" if bold else "normal")
    width, _, _ = text_to_path.get_text_width_height_descent(text, font, ismath=False)
    return float(width)
