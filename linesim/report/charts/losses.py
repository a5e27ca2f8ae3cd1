"""From the takt to what is made: the jobs that each cause takes away."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.values import Change
from linesim.answers.wording import mean_text, number
from linesim.plan.tables import FREE, SECTION
from linesim.plan.words import HANDED_ON
from linesim.questions.run.sentences import cause_in_words
from linesim.report.canvas import IS_WIDE, Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale
from linesim.report.style import INK, MAIN, OTHER, PASSED_ON, RULE, SMALL, Paint
from linesim.report.table import PageCell, estimated, numeric, table
from linesim.runs.replication import Label
from linesim.runs.rows import Row, row_of
from linesim.ticks import seconds

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

    from linesim.report.page_input import Told

METHOD = (
    "A waterfall: each bar begins where the one above it ends (as in the loss trees of S. Nakajima, "
    "Introduction to TPM, 1988), here in jobs a shift instead of shares of time."
)
_FAINT = 0.05  #: Jobs below this are told with the rest.
_CEILING, _REST = Paint("#ffffff", INK), Paint("#ffffff", INK, "dots")


class Loss(NamedTuple):
    """Jobs a shift that a cause takes away; negative for the rest where it gives some.

    Attributes:
        label: The cause in words.
        jobs: How many, with their interval.
        paint: How its bar is filled.
        places: Where it begins, the section or a station of it, and how many jobs of them are lost there.
    """

    label: str
    jobs: Row
    paint: Paint
    places: tuple[tuple[str, float], ...] = ()


class Losses(NamedTuple):
    """What lies between the takt of a section and what the line makes.

    Attributes:
        section: The section that would make least by itself.
        takt_s: Its takt [s].
        ceiling: Jobs a shift at that takt.
        found: What is lost, the largest first, the rest last.
        made: What the line makes.
    """

    section: str
    takt_s: float
    ceiling: float
    found: tuple[Loss, ...]
    made: Row


def losses(told: Told) -> Losses | None:
    """Return where jobs are lost; None for a line without a paced section, or without output.

    Seen from the paced section that would make least if nothing but itself ever stopped it: a minute in which
    it stands costs the jobs of a minute. Places that pass empty because no job came are lost like stops; the
    rest is the difference to what leaves the line.
    """
    plan, result, shift_min = told.plan, told.result, told.shift_min
    made = _made(told)
    paced = [
        int(s)
        for kind, s in zip(plan.flow.kind, plan.flow.index, strict=True)
        if kind == SECTION and plan.sections.pacing[s] != FREE
    ]
    if not paced or None in made:
        return None

    def takt_min(s: int) -> float:
        return seconds(int(plan.sections.takt[s])) / 60

    def alone(s: int) -> float:
        own = result.row("own_stop", plan.names.section[s]).mean or 0.0
        return (shift_min - own) / takt_min(s)

    s = min(paced, key=alone)
    name = plan.names.section[s]
    stations = [plan.names.station[k] for k in plan.sections.stations[s].tolist()]
    per_job, n = takt_min(s), len(result.replications)
    by_cause: dict[str, list[float]] = {}
    by_place: dict[str, dict[str, float]] = {}
    for column, label in enumerate(result.labels):
        if label.measure == "line_stop" and label.cause and label.where in (name, *stations):
            jobs = by_cause.setdefault(label.cause, [0.0] * n)
            for r, one in enumerate(result.replications):
                jobs[r] += (one.values[column] or 0.0) / per_job
            minutes = math.fsum(one.values[column] or 0.0 for one in result.replications)
            by_place.setdefault(label.cause, {})[label.where] = minutes / per_job / n
    empty = [share or 0.0 for share in result.values("station_state", stations[0], "starved")]
    stood = by_cause.get("starved", [0.0] * n)
    by_cause["starved"] = [
        max(share * shift_min / per_job, jobs) for share, jobs in zip(empty, stood, strict=True)
    ]
    kept = {cause: jobs for cause, jobs in by_cause.items() if sum(jobs) / n >= _FAINT}
    ceiling = shift_min / per_job
    rest = [ceiling - sum(jobs[r] for jobs in kept.values()) - (made[r] or 0.0) for r in range(n)]
    confidence = result.run.confidence

    def row(cause: str, values: list[float]) -> Row:
        return row_of(Label("lost_jobs", name, cause, "jobs"), values, confidence)

    def places(cause: str, jobs: float) -> tuple[tuple[str, float], ...]:
        own = {one: lost for one, lost in by_place.get(cause, {}).items() if one != name}
        return (*own.items(), (name, jobs - math.fsum(own.values())))

    found = [
        Loss(
            _in_words(cause), row(cause, jobs), PASSED_ON if cause in HANDED_ON else OTHER,
            places(cause, sum(jobs) / n),
        )
        for cause, jobs in kept.items()
    ]  # fmt: skip
    found.sort(key=lambda one: -(one.jobs.mean or 0.0))
    left = Loss("all else: rework, jobs given up, more or fewer inside", row("", rest), _REST)
    return Losses(
        name,
        seconds(int(plan.sections.takt[s])),
        ceiling,
        (*found, left),
        row("made", [v or 0.0 for v in made]),
    )


def _made(told: Told) -> list[float | None]:
    """Return what each replication makes in jobs a shift, also where it holds no whole shift."""
    if told.result.row("jobs_per_shift").mean is not None:
        return list(told.result.values("jobs_per_shift"))
    hours = told.shift_min / 60
    return [None if rate is None else rate * hours for rate in told.result.values("throughput")]


def _in_words(cause: str) -> str:
    return "no job came" if cause == "starved" else cause_in_words(cause)


def losses_chart(told: Told) -> Figure | None:
    """Return the figure; None where `losses` gives nothing.

    A waterfall from the takt down to what is made, the largest loss first.
    """
    line = losses(told)
    if line is None:
        return None
    target = told.result.run.target
    first = line.found[0]
    ceiling = number(line.ceiling, 1)
    says = (
        f"At its takt of {line.takt_s:g} s {line.section} lets {ceiling} jobs a shift through: it is the "
        "section that would make least by itself. Each step is what a cause takes away there, the largest "
        f"first: {first.label}, {mean_text(first.jobs.estimate)} jobs. The last bar is what the line makes. "
        "Hatched steps pass on what happened elsewhere. Choose a station to see its part of each."
    )
    rows: list[tuple[PageCell | str, ...]] = [
        (f"takt of {line.section}, one job in {line.takt_s:g} s", PageCell(ceiling, line.ceiling), "")
    ]
    rows += [(one.label, *estimated(_taken(one.jobs))) for one in line.found]
    rows.append(("made", *estimated(line.made.estimate)))
    return figure(
        "losses",
        f"Lost jobs: from the takt of {line.section} to what is made",
        says,
        table(
            "Jobs a shift, from the takt to what is made",
            ["step", *numeric("jobs/shift", "interval")],
            rows,
            sorts=False,
        ),
        METHOD,
        lambda width: _draw(width, line, target),
    )


def _taken(row: Row) -> Change:
    """Return a loss as it is read: as the change that it makes."""
    lost = row.estimate.scaled(-1.0, "jobs")
    return Change(lost.mean, lost.high, lost.low, n=lost.n, method=lost.method, confidence=lost.confidence)


def _draw(width: int, line: Losses, target: float | None) -> Drawing:
    made = line.made.mean or 0.0
    rows = [_Bar(f"takt of {line.section}", 0.0, line.ceiling, _CEILING)]
    level = line.ceiling
    for one in line.found:
        jobs = one.jobs.mean or 0.0
        rows.append(_Bar(one.label, level, level - jobs, one.paint, one.places))
        level -= jobs
    rows.append(_Bar("made", 0.0, made, MAIN))
    values = [end for one in rows for end in (one.begin, one.end) if end > 0]
    least, most = min([*values, *([target] if target else [])]), max([*values, *([target] if target else [])])
    is_wide = width > IS_WIDE
    left = min(room_for([one.label for one in rows]), 0.46 * width) + 10 if is_wide else 4.0
    pitch = 26 if is_wide else 40
    lost = [mean_text(_taken(one.jobs)) for one in line.found]
    texts = [number(line.ceiling, 0), *lost, mean_text(line.made.estimate)]
    right = width - room_for(texts, SMALL, bold=True) - 12
    rim = 0.25 * (most - least) or 1.0
    scale = Scale(max(0.0, least - rim), most, left, right, marks=5 if is_wide else 4)
    top = 18.0
    foot = top + pitch * len(rows) + 4
    pen = Pen(width, foot + 36)
    pen.axis_below(scale, foot, top - 4, "jobs per shift (the axis does not begin at 0)")
    pen.plan(scale, target, 14, foot)
    for k, (bar, text) in enumerate(zip(rows, texts, strict=True)):
        middle = top + pitch * k + (13 if is_wide else 29)
        if is_wide:
            pen.words(left - 8, middle, bar.label, side="right", size=SMALL, room=left - 8)
        else:
            pen.words(0, middle - 15, bar.label, size=SMALL, room=width, on_white=True)
        high = _draw_bar(pen, bar, scale, middle - 7)
        if k + 1 < len(rows):
            at = scale.at(bar.end)
            pen.line((at, at), (middle + 7, middle + pitch - 7), colour=RULE, width=1.0)
        pen.words(high + 6, middle, text, size=SMALL, bold=not bar.begin, on_white=True)
    return pen.figure


class _Bar(NamedTuple):
    """A bar from one level to the next, in pieces by place where several share it."""

    label: str
    begin: float
    end: float
    paint: Paint
    places: tuple[tuple[str, float], ...] = ()


def _draw_bar(pen: Pen, bar: _Bar, scale: Scale, y: float) -> float:
    """Draw a bar and return its right end [px]; pieces too narrow to be seen go with the last one."""
    low, high = scale.start if not bar.begin else scale.at(bar.begin), scale.at(bar.end)
    total = bar.begin - bar.end
    at = low
    for place, jobs in bar.places[:-1]:
        width = abs(high - low) * jobs / total
        if width >= 1.0:
            pen.about = place
            pen.box(at - width, y, width, 14, bar.paint)
            at -= width
    pen.about = bar.places[-1][0] if bar.places else ""
    pen.box(min(at, high), y, max(abs(high - at), 1.0), 14, bar.paint)
    pen.about = ""
    return max(low, high)
