"""How near the line comes to the most that each part of it could let through."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linesim.answers.wording import mean_text, number
from linesim.capacity.ceiling import Limit, limits
from linesim.measures.output import TICKS_PER_HOUR, shift_ticks
from linesim.report.canvas import Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.scale import Scale
from linesim.report.style import BLUE, INK, PALE, SMALL, Paint
from linesim.report.table import PageCell, numeric, table

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = "A dot chart (W. S. Cleveland, The Elements of Graphing Data, 1985), the tightest on top."
MOST_DOTS = 10
_DOT = Paint(BLUE, BLUE)


def tightest(told: Told) -> tuple[Limit, ...]:
    """Return what limits output, the tightest first; several crews together only where that is tighter."""
    found = limits(told.loads)
    crews = [(frozenset(limit.name.split("+")), limit) for limit in found if limit.what == "crew"]
    weaker = {
        limit.name
        for names, limit in crews
        for part, other in crews
        if part < names and other.jobs_per_hour <= limit.jobs_per_hour
    }
    return tuple(limit for limit in found if limit.what != "crew" or limit.name not in weaker)


def ceilings(told: Told) -> Figure | None:
    """Return the figure; None where nothing limits output.

    A dot chart (Cleveland), with what the line really makes as a line through it.
    """
    found = tightest(told)
    if not found:
        return None
    hours = shift_ticks(told.plan) / TICKS_PER_HOUR
    made = told.result.row("jobs_per_shift")
    if made.mean is None:
        rate = told.result.row("throughput")
        made = rate._replace(
            mean=None if rate.mean is None else rate.mean * hours,
            low=None if rate.low is None else rate.low * hours,
            high=None if rate.high is None else rate.high * hours,
            half_width=None if rate.half_width is None else rate.half_width * hours,
        )
    shown = [(limit.label, limit.jobs_per_hour * hours) for limit in found[:MOST_DOTS]]
    assert made.mean is not None, "a run without output has no page"
    target = told.result.run.target
    first = found[0]
    says = (
        "One dot a limit: the most jobs per shift that it lets through if nothing ever waited. The line "
        f"makes {mean_text(made.estimate)}; the tightest limit is {first.label} with "
        f"{number(first.jobs_per_hour * hours, 0)}, {first.because}. A line always makes less than its "
        "tightest limit, because something always waits."
    )
    return figure(
        "ceilings",
        "The most that each part of the line lets through, and what the line makes",
        says,
        table(
            "Everything that limits output, from mean times",
            ["limit", *numeric("jobs per shift at most"), "how it comes about"],
            [
                (
                    limit.label,
                    PageCell(number(limit.jobs_per_hour * hours, 1), limit.jobs_per_hour),
                    limit.because,
                )
                for limit in found
            ],
        ),
        METHOD,
        lambda width: _draw(width, shown, (made.low, made.mean or 0.0, made.high), target),
    )


def _draw(
    width: int,
    shown: list[tuple[str, float]],
    made: tuple[float | None, float, float | None],
    target: float | None,
) -> Drawing:
    pitch = 22
    left = min(room_for([name for name, _ in shown]), 0.45 * width) + 10
    values = [value for _, value in shown]
    low = min(made[1], *values, *([] if target is None else [target]))
    high = max(made[1], *values, *([] if target is None else [target]))
    rim = 0.06 * (high - low) or 1.0
    scale = Scale(low - rim, high + rim, left, width - 34, marks=5 if width > 500 else 4)
    top = 44.0
    pen = Pen(width, top + len(shown) * pitch + 44)
    foot = top + len(shown) * pitch + 6
    if made[0] is not None and made[2] is not None:
        pen.tint(
            scale.at(made[0]), top - 6, max(1.0, scale.at(made[2]) - scale.at(made[0])), foot - top + 6, PALE
        )
    pen.axis_below(scale, foot, top - 6, "jobs per shift (the axis does not begin at 0)")
    _mark(pen, scale, made[1], "makes", top, foot, 10)
    if target is not None:
        _mark(pen, scale, target, "plan", top, foot, 27, dashes=(4, 3))
    for i, (name, value) in enumerate(shown):
        middle = top + i * pitch + 11
        pen.words(left - 8, middle, name, side="right", room=left - 8)
        pen.line((left, scale.at(value)), (middle, middle), colour=BLUE, width=0.8, dashes=(1, 2))
        pen.marks((scale.at(value),), (middle,), "o", 8, _DOT)
        pen.words(scale.at(value) + 8, middle, number(value, 0), size=SMALL)
    return pen.figure


def _mark(
    pen: Pen, scale: Scale, value: float, word: str, top: float, foot: float, y: float,
    dashes: tuple[float, float] | None = None,
) -> None:  # fmt: skip
    """Draw a line through the chart with its word and number on top, on the side where there is room."""
    at = scale.at(value)
    pen.line((at, at), (y, foot), colour=INK, width=1.6, dashes=dashes)
    side = "right" if at > (scale.start + scale.end) / 2 else "left"
    pen.words(
        at + (-5 if side == "right" else 5), y, f"{word} {number(value, 0)}",
        side="right" if side == "right" else "left", size=SMALL, bold=True,
    )  # fmt: skip
