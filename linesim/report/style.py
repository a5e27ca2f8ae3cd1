"""How every drawing looks: colours with a pattern each, letters, lines, and the two widths they are drawn in.

Colours are those of M. Okabe and K. Ito, Color Universal Design (2008), told apart by people with any kind
of colour blindness, in an order of our own. Their contrast on white is at least 3:1 where they stand
without an outline; the paler ones have one. No meaning hangs on colour alone: each also has a pattern, a
place or a word.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WIDE, NARROW = 780, 328  #: Widths of a drawing [px]: beside margins on a desk or paper, and on a phone.
LETTERS, SMALL = 12.5, 12.0  #: Heights of letters [px].

INK, SOFT, FAINT, RULE = "#1b1d21", "#4a4f57", "#6b717a", "#d3d6da"  #: Text, lesser text, least text, lines.
ON_PAINT = "#1b1d22"  #: Ink on a colour that stays where a reader prefers the dark.
BLUE, VERMILLION, GREEN, PURPLE = "#0072B2", "#D55E00", "#009E73", "#CC79A7"
SKY, ORANGE, PALE = "#56B4E9", "#E69F00", "#E9EBEE"

ABOUT = "about "  #: Begins the link of what belongs to a station; a page marks it with the name.
PATTERNED = "pattern "  #: Begins the name of what is to be filled with a pattern.
#: Size of a tile [px], and the path in it. Patterns of our own: matplotlib's take a hundred times the bytes.
PATTERNS: Mapping[str, tuple[int, str]] = MappingProxyType(
    {
        "rising": (5, "M-1 1L1-1M0 5L5 0M4 6L6 4"),
        "falling": (5, "M-1 4L1 6M0 0L5 5M4-1L6 1"),
        "upright": (4, "M2 0V4"),
        "cross": (5, "M0 0L5 5M5 0L0 5"),
        "dots": (4, "M1.5 2H2.5"),
    }
)


@dataclass(frozen=True, slots=True)
class Paint:
    """How a kind of thing is filled: colour, outline, and the name of a pattern, one of `PATTERNS`."""

    face: str
    edge: str = INK
    hatch: str = ""

    @property
    def fill(self) -> dict[str, Any]:
        """The same as matplotlib takes it; the pattern is put in afterwards, see `linesim.report.svg`."""
        mark = f"{PATTERNED}{self.hatch}" if self.hatch else None
        return {"facecolor": self.face, "edgecolor": self.edge, "linewidth": 0.7, "gid": mark}


#: What time is spent on, for stations and people alike.
TIMES: Mapping[str, Paint] = MappingProxyType(
    {
        "working": Paint(BLUE, BLUE),
        "waiting": Paint(ORANGE, INK, "dots"),
        "down": Paint(VERMILLION, INK),
        "spare": Paint("#ffffff", FAINT),
        "stopped": Paint(PURPLE, INK, "cross"),
        "blocked": Paint("#ffffff", INK, "rising"),
        "starved": Paint("#ffffff", INK, "upright"),
        "walking": Paint(SKY, INK),
        "helping": Paint(GREEN, INK, "falling"),
    }
)
MAIN = Paint(BLUE, BLUE)  #: The figure that a drawing is about.
PASSED_ON = Paint("#ffffff", INK, "rising")  #: What only passes on what happened elsewhere.
OTHER = Paint(VERMILLION, INK)  #: What is set against it: a changed line.

_RULES: Mapping[str, Any] = MappingProxyType(
    {
        "font.family": "DejaVu Sans",  # comes with matplotlib: the same widths on every machine
        "font.size": LETTERS,
        "text.color": INK,
        "text.parse_math": False,  # a dollar in a name is a dollar
        "text.usetex": False,
        "axes.edgecolor": FAINT,
        "axes.labelcolor": SOFT,
        "axes.labelsize": SMALL,
        "axes.linewidth": 0.8,
        "axes.spines.top": False,
        "axes.spines.right": False,
        "axes.unicode_minus": True,
        "axes.formatter.use_mathtext": False,
        "axes.formatter.useoffset": False,
        "xtick.color": SOFT,
        "ytick.color": SOFT,
        "xtick.labelsize": SMALL,
        "ytick.labelsize": SMALL,
        "svg.fonttype": "none",  # letters stay letters: small, searchable, read aloud
        "path.simplify": False,
    }
)


@contextmanager
def house_style(salt: str) -> Iterator[None]:
    """Draw in the house style; ``salt`` makes the ids of a drawing its own, and the same each time."""
    import matplotlib

    rules: dict[Any, Any] = {**_RULES, "svg.hashsalt": salt}
    with matplotlib.rc_context():
        matplotlib.rcdefaults()  # whatever a user has set for other drawings
        matplotlib.rcParams.update(rules)
        yield


def sheet(width: int, height: float) -> Figure:
    """Return an empty sheet of a size in px; one unit of a drawing's length is one px."""
    from matplotlib.figure import Figure

    return Figure(figsize=(width / 72, height / 72), dpi=72, facecolor="none")
