"""Where does it wait?"""

from __future__ import annotations

from linesim.answers.wording import number
from linesim.commands.page import Page
from linesim.plan.plan import Plan
from linesim.plan.tables import FREE, INDEXED
from linesim.plan.words import STATION_STATES
from linesim.questions.figures import give_or_take, with_span
from linesim.runs.result import Result
from linesim.runs.sums import together

MOST_WAITS = 8
COLUMNS = ("working", "waiting", "down", "spare", "stopped", "blocked", "starved")


def waits(page: Page, plan: Plan, result: Result) -> None:
    """Write where each station's minutes go, in line order, and what the waiting ones wait for."""
    shift = result.run.shift_min
    page.heading(f"Where does it wait? Where a shift's {number(shift, 0)} minutes go, station by station")
    found = {(row.where, row.cause): row for row in result.rows("station_state")}
    for index, section in enumerate(plan.names.section):
        pacing = {FREE: "free", INDEXED: "indexed"}.get(int(plan.sections.pacing[index]), "moving")
        names = [plan.names.station[s] for s in plan.sections.stations[index].tolist()]
        page.table(
            (f"{section}, {pacing}", *COLUMNS),
            [
                (
                    name,
                    *(
                        give_or_take(
                            together(result, "station_state", name, _is_waiting)
                            if state == "waiting"
                            else found[name, state],
                            scale=shift,
                        )
                        for state in COLUMNS
                    ),
                )
                for name in names
            ],
        )
    _for_what(page, result)


def _is_waiting(state: str) -> bool:
    return state.startswith("waiting: ")


def _for_what(page: Page, result: Result) -> None:
    rows = [r for r in result.rows("station_state") if _is_waiting(r.cause) and r.mean]
    rows.sort(key=lambda row: -(row.mean or 0.0))
    if not rows:
        return
    page.gap()
    page.table(
        ("waits longest", "for", "minutes a shift"),
        [
            (row.where, row.cause.removeprefix("waiting: "), with_span(row, scale=result.run.shift_min))
            for row in rows[:MOST_WAITS]
        ],
        left=2,
    )


assert set(COLUMNS) - {"waiting"} <= set(STATION_STATES)
