"""Where blocked turns into starved along the line: the bottleneck lies between."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import number
from linesim.questions.bottleneck.evidence import Nomination, by_rules, idle_shares, links_of
from linesim.report.canvas import Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.scale import Scale
from linesim.report.style import FAINT, SMALL, SOFT, TIMES
from linesim.report.table import estimated, numeric, table
from linesim.runs.replication import Label
from linesim.runs.rows import Row, row_of

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "The turning point of blocked and starved time: L. Li, Q. Chang and J. Ni, International Journal of "
    "Production Research 47 (2009) 5019-5036; here with the stations of a paced section taken together, and "
    "named only where every sign is clear."
)


_HEADS = (
    "blocked, min/shift", "interval", "starved, min/shift", "interval", "first minus second", "interval",
)  # fmt: skip


class TurningElement(NamedTuple):
    """What hands on jobs by itself: a paced section, or a station of a free one.

    Attributes:
        name: Its name.
        blocked, starved: Minutes per shift.
        more_blocked: The first minus the second.
    """

    name: str
    blocked: Row
    starved: Row
    more_blocked: Row


class TurningChain(NamedTuple):
    """The elements in line order, and where the turning point is.

    Attributes:
        elements: The elements.
        turn: Whom the turning point names, as studies of bottlenecks tell it.
    """

    elements: tuple[TurningElement, ...]
    turn: Nomination


def chain(told: Told) -> TurningChain | None:
    """Return the line as blocked and starved; None with fewer than three elements, or if none ever is.

    Shares and rule are those of the study of bottlenecks: a paced section is blocked as its last station is
    and starved as its first, and feeders are left out.
    """
    links = links_of(told.plan)
    if len(links) < 3:
        return None
    confidence = told.result.run.confidence
    blocked, starved = idle_shares(told.result.values, links)
    if not (blocked.any() or starved.any()):
        return None
    _, turn = by_rules(links, blocked, starved, confidence)
    found = []
    for k, link in enumerate(links):
        minutes = (blocked[:, k] * told.shift_min, starved[:, k] * told.shift_min)
        rows = [
            row_of(Label(what, link.name, "", "min/shift"), values.tolist(), confidence)
            for what, values in (
                ("blocked", minutes[0]),
                ("starved", minutes[1]),
                ("more blocked than starved", minutes[0] - minutes[1]),
            )
        ]
        found.append(TurningElement(link.name, *rows))
    return TurningChain(tuple(found), turn)


def turning(told: Told) -> Figure | None:
    """Return the figure; None for a line with fewer than three elements, or with nothing blocked or starved.

    Li, Chang and Ni's turning point, drawn as bars to both sides of one line.
    """
    line = chain(told)
    if line is None:
        return None
    found, turn = line
    at = turn.place if turn.stations else ""
    says = (
        "Minutes of a shift in which each part of the line is blocked (no room ahead) to the left and "
        "starved (no job comes) to the right, in line order. What holds up the others is blocked before it "
        "and starved behind it. "
    )
    if at:
        says += f"Here everything before {at} is rather blocked and everything after it rather starved."
    elif turn.level:
        says += f"Which place here is of that kind the data can't tell ({turn.place})."
    else:
        says += "Here no single place is of that kind."
    return figure(
        "turning",
        "Blocked and starved along the line",
        says,
        table(
            "Blocked and starved, in line order",
            ["part of the line", *numeric(*_HEADS)],
            [
                (
                    e.name,
                    *estimated(e.blocked.estimate),
                    *estimated(e.starved.estimate),
                    *estimated(e.more_blocked.estimate),
                )
                for e in found
            ],
        ),
        METHOD,
        lambda width: _draw(width, found, at),
    )  # fmt: skip


def _draw(width: int, found: tuple[TurningElement, ...], at: str) -> Drawing:
    pitch, top = 22, 30.0
    left = min(room_for([e.name for e in found], bold=True), 0.3 * width) + 10
    right = width - 6.0
    side = max(max(e.blocked.mean or 0.0, e.starved.mean or 0.0) for e in found)
    room = room_for(["000"], SMALL) + 8
    middle = (left + right) / 2
    scale = Scale(0, side, 0, (right - left) / 2 - room)
    pen = Pen(width, top + len(found) * pitch + 8)
    pen.words(middle - 8, 10, "blocked", side="right", size=SMALL, bold=True)
    pen.words(middle + 8, 10, "starved", size=SMALL, bold=True)
    for i, e in enumerate(found):
        y = top + i * pitch + 11
        pen.words(left - 8, y, e.name, side="right", room=left - 8, bold=e.name == at)
        for row, word, way in ((e.blocked, "blocked", -1), (e.starved, "starved", 1)):
            long = scale.at(row.mean or 0.0)
            if long > 0.3:
                pen.box(middle if way > 0 else middle - long, y - 7, long, 14, TIMES[word])
            said = number(row.mean or 0.0, 1 if (row.mean or 0.0) < 9.95 else 0)
            pen.words(
                middle + way * (long + 5),
                y,
                said,
                side="left" if way > 0 else "right",
                size=SMALL,
                colour=SOFT,
            )
    pen.line((middle, middle), (top - 10, top + len(found) * pitch), colour=FAINT, width=1)
    return pen.figure
