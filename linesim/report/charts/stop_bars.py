"""What stops the line: bars sorted by size, each with its interval."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import listed, mean_text, number
from linesim.plan.words import HANDED_ON
from linesim.questions.run.sentences import cause_in_words, stops_by_size
from linesim.report.canvas import Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale
from linesim.report.style import MAIN, PASSED_ON, SMALL, SOFT, Paint
from linesim.report.table import PageCell, estimated, numeric, table
from linesim.runs.result import Result
from linesim.runs.rows import Row

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

MOST_BARS = 12
METHOD = (
    "Bars sorted by size, as J. M. Juran drew them after Pareto (Quality Control Handbook, 1951); the share "
    "so far is a number in the table instead of a second axis."
)
REST = Paint("#ffffff", "#4a4f57")


class Bar(NamedTuple):
    """One place and cause.

    Attributes:
        label: Place and cause in words.
        minutes: Stop minutes per shift, with their interval.
        stops: Stops per shift; None for the rest taken together.
        passed_on: Whether it only passes on what happened elsewhere.
        share_so_far: Share of all stop minutes that it and the larger ones make up.
    """

    label: str
    minutes: Row
    stops: Row | None
    passed_on: bool
    share_so_far: float


def bars(result: Result) -> tuple[Bar, ...]:
    """Return every place and cause that stopped something, the largest first."""
    rows = stops_by_size(result)
    whole = sum(row.mean or 0.0 for row in rows)
    found, so_far = [], 0.0
    for row in rows:
        so_far += row.mean or 0.0
        why = cause_in_words(row.cause, of_section=row.where in result.run.sections)
        count = result.row("stop_turns", row.where, row.cause)
        found.append(Bar(f"{row.where}: {why}", row, count, row.cause in HANDED_ON, so_far / whole))
    return tuple(found)


def stop_bars(result: Result) -> Figure | None:
    """Return the figure; None if nothing stopped.

    Sorted bars with intervals: Juran's ordering by size, with the rest last.
    """
    found = bars(result)
    if not found:
        return None
    shown, rest = found[:MOST_BARS], found[MOST_BARS:]
    rest_min = sum(bar.minutes.mean or 0.0 for bar in rest)
    first = shown[0]
    passing = listed([f"“{cause_in_words(cause)}”" for cause in HANDED_ON])
    says = (
        "Minutes of a shift in which a section stands, by the place and cause that began the stop; each "
        f"minute counts once. The largest is {first.label}, {mean_text(first.minutes.estimate)} min. "
    )
    if any(bar.passed_on for bar in shown):
        says += f"Hatched bars ({passing}) pass on what happened elsewhere. "
    says += "The lines across the bars are intervals of the mean." if first.minutes.low is not None else ""
    return figure(
        "stop-bars",
        "Minutes of line stop per shift, by place and cause",
        says.strip(),
        table(
            "All places and causes, the largest first",
            ["place and cause", *numeric("min/shift", "interval", "turns/shift", "share so far, %")],
            [
                (
                    bar.label,
                    *estimated(bar.minutes.estimate),
                    estimated(bar.stops.estimate)[0] if bar.stops else PageCell(""),
                    PageCell(number(100 * bar.share_so_far, 0), bar.share_so_far),
                )
                for bar in found
            ],
        ),
        METHOD,
        lambda width: _draw(width, shown, len(rest), rest_min),
    )


def _draw(width: int, shown: tuple[Bar, ...], n_rest: int, rest_min: float) -> Drawing:
    labels = [bar.label for bar in shown]
    lines = [(bar.minutes.mean or 0.0, bar.minutes, PASSED_ON if bar.passed_on else MAIN) for bar in shown]
    is_wide = width > 500
    pitch = 24 if is_wide else 38
    left = min(room_for(labels), 0.42 * width) + 10 if is_wide else 4.0
    longest = max(row.high or row.mean or 0.0 for _, row, _ in lines)
    scale = Scale(0, max(longest, rest_min, 1e-3) * 1.02, left, width - 46)
    n = len(shown) + (1 if n_rest else 0)
    pen = Pen(width, n * pitch + 44)
    pen.axis_below(scale, n * pitch + 6, 4, "minutes per shift")

    def label(i: int, text: str) -> float:
        """Write a label and return the middle of its bar."""
        if is_wide:
            pen.words(left - 8, i * pitch + 16, text, side="right", room=left - 10)
            return i * pitch + 16
        pen.words(left, i * pitch + 12, text, room=width - left)
        return i * pitch + 27

    for i, (text, (mean, row, paint)) in enumerate(zip(labels, lines, strict=True)):
        middle = label(i, text)
        pen.box(scale.start, middle - 7, scale.at(mean) - scale.start, 14, paint)
        end = scale.at(mean)
        if row.low is not None and row.high is not None:
            pen.whisker(scale.at(row.low), scale.at(row.high), middle)
            end = scale.at(row.high)
        pen.words(end + 6, middle, mean_text(row.estimate), size=SMALL, bold=i == 0)
    if n_rest:
        middle = label(len(shown), f"{n_rest} more")
        pen.box(scale.start, middle - 7, scale.at(rest_min) - scale.start, 14, REST)
        pen.words(scale.at(rest_min) + 6, middle, number(rest_min, 1), size=SMALL, colour=SOFT)
    return pen.figure
