"""The tables behind an answer about bottlenecks."""

from __future__ import annotations

from collections.abc import Sequence

from linesim.plan.arrays import FloatArray
from linesim.questions.answer_table import AnswerTable
from linesim.questions.bottleneck.chain import Link
from linesim.questions.bottleneck.evidence import Nomination, StationFigures
from linesim.questions.bottleneck.one_more import OneMore
from linesim.questions.csv_tables import Cell
from linesim.questions.verdicts import verdict
from linesim.runs.rows import Row
from linesim.stats import arrow_rule

METHODS = ("method", "place", "stations", "could_be", "named_in", "replications")
STATIONS = (
    "station", "section", "pacing", "what", "unit", "mean", "low", "high", "replications", "method", "note",
)  # fmt: skip
RESOURCES = ("kind", "name", "unit", "mean", "low", "high", "replications", "method", "note")
LINKS = (
    "link", "is_section", "blocked_share", "starved_share", "arrow_to_next", "severity", "arrow_rule",
    "turning_point",
)  # fmt: skip


def methods_table(methods: Sequence[Nomination]) -> AnswerTable:
    """Return whom each method names, and who else it could be."""
    rows: list[tuple[Cell, ...]] = [
        (
            m.method,
            (m.place or None) if m.stations else "can't tell" if m.level else None,
            ";".join(m.stations),
            ";".join(m.level),
            m.times,
            m.replications,
        )
        for m in methods
    ]
    return AnswerTable.of(
        "methods", METHODS, rows, "Whom each method names; could_be: who the data can't tell from it."
    )


def stations_table(figures: Sequence[StationFigures]) -> AnswerTable:
    """Return what the methods look at, one row a figure and station."""
    rows: list[tuple[Cell, ...]] = []
    for f in figures:
        named: list[tuple[str, Row | None, str]] = [
            ("gain", f.gain, "" if f.gain is None else verdict(f.gain)),
            ("stop_caused", f.stop, f.cause),
            ("active_period", f.period, ""),
            ("bottleneck_sole", f.sole, ""),
            ("bottleneck_shifting", f.shifting, ""),
            ("blocked", f.blocked, ""),
            ("starved", f.starved, ""),
            ("down", f.down, ""),
        ]
        rows += [
            (f.station, f.section, f.pacing, what, row.unit, row.mean, row.low, row.high, row.replications,
             row.method, note)
            for what, row, note in named
            if row is not None
        ]  # fmt: skip
    return AnswerTable.of("stations", STATIONS, rows, "What the methods look at, station by station.")


def resources_table(found: Sequence[OneMore]) -> AnswerTable:
    """Return what one more of each crew, tool and carrier brings."""
    rows: list[tuple[Cell, ...]] = [
        (
            *one.resource,
            gain.unit,
            gain.mean,
            gain.low,
            gain.high,
            gain.replications,
            gain.method,
            verdict(gain),
        )
        for one in found
        for gain in [one.gain]
    ]
    return AnswerTable.of(
        "resources", RESOURCES, rows, "What one more of each crew, tool and carrier brings."
    )


def links_table(
    links: Sequence[Link], blocked: FloatArray, starved: FloatArray, arrow: Nomination, turn: Nomination
) -> AnswerTable:
    """Return what the rules of blocking and starving compare, means over replications, and whom they name."""
    b, s = blocked.mean(axis=0).tolist(), starved.mean(axis=0).tolist()
    arrows = arrow_rule(b, s)
    severity = dict(zip(arrows.bottlenecks, arrows.severity, strict=True))
    rows: list[tuple[Cell, ...]] = [
        (link.name, link.is_paced, b[i], s[i], arrows.directions[i : i + 1] or None, severity.get(i),
         _is_named(link, arrow), _is_named(link, turn))
        for i, link in enumerate(links)
    ]  # fmt: skip
    return AnswerTable.of(
        "links", LINKS, rows, "Stations of free sections and whole paced sections, and the arrows between."
    )


def _is_named(link: Link, rule: Nomination) -> str:
    if link.stations == rule.stations:
        return "yes"
    return "can't tell" if not rule.stations and link.stations[0] in rule.level else "no"
