"""`run`: the replications of one line, and the event log of one of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from linesim.draws.draws import Draws
from linesim.plan.tables import NONE
from linesim.plan.words import OPERATOR_STATES
from linesim.questions.run import RunQuestion
from linesim.runs.cases import Case, run_cases
from linesim.ticks import seconds

if TYPE_CHECKING:
    from linesim.answers.table import Flat
    from linesim.ledger.ledger import Event
    from linesim.plan.plan import Plan
    from linesim.questions.run.answer import RunAnswer
    from linesim.scenario import Scenario


def study(asked: RunQuestion, scenario: Scenario) -> RunAnswer:
    """Return what the line makes, what stops it, where it waits, and how sure that is."""
    case = Case(scenario.title or "the scenario", scenario, (*asked.add, *asked.sets))
    runs = run_cases(
        [case],
        replications=asked.replications,
        numbers=None if asked.only_replication is None else [asked.only_replication],
        seed=asked.seed,
        **asked.how,
    )
    from linesim.questions.run.answer import answer_of  # the first replication need not wait for it

    return answer_of(asked, scenario, runs)


COLUMNS = ("time_s", "what", "job", "section", "station", "task", "where", "who", "cause")


def events_csv(plan: Plan, seed: int, number: int, drive: str = "simpy") -> str:
    """Return everything that happens in one replication, one line an event.

    Args:
        plan: The line.
        seed: Seed of the run.
        number: Replication, counted from 1.
        drive: ``simpy`` or ``compiled``.
    """
    from linesim.answers.table import csv_text
    from linesim.engine.run import run_line

    events: list[Event] = []
    run_line(plan, Draws(plan, seed, number), events, drive=drive)
    return csv_text(COLUMNS, named(plan, events))


def named(plan: Plan, events: list[Event]) -> Iterator[tuple[Flat, ...]]:
    """Yield events with names; jobs are counted from 1, the warm-up is included."""
    names, places = plan.names, _places(plan)
    for event in events:
        section = event.section
        if section == NONE and event.station != NONE:
            section = int(plan.stations.section[event.station])
        yield (
            seconds(event.time),
            event.what,
            None if event.job == NONE else event.job + 1,
            _name(names.section, section),
            _name(names.station, event.station),
            _name(names.task, event.task),
            _name(places.get(event.what, names.fault), event.where),
            ";".join(names.operator[o] for o in event.who) or None,
            _name(names.cause, event.cause),
        )


def _places(plan: Plan) -> dict[str, tuple[str, ...]]:
    """Return what `Event.where` counts, by what happened; in whatever is not named here, faults."""
    from linesim.measures.places import station_state_words

    names = plan.names
    return {
        **dict.fromkeys(("buffer in", "buffer out"), names.buffer),
        **dict.fromkeys(("bay in", "bay out"), names.bay),
        **dict.fromkeys(("fail", "repaired"), names.mode),
        **dict.fromkeys(("on", "off"), names.calendar),
        **dict.fromkeys(("line-on", "merge"), names.feeder),
        "station is": station_state_words(plan),
        "operator is": OPERATOR_STATES,
    }


def _name(known: tuple[str, ...], index: int) -> Flat:
    return None if index == NONE else known[index]
