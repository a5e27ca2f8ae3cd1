"""Places of a scenario in a reader's words: ``crew.trim.people = 7`` is "trim crew: 7 people".

Names in an answer are keys of the file, so that programs and the next command can use them. Who reads a page
has no file open; for them the same keys are said in words.
"""

from __future__ import annotations

import re
from dataclasses import replace
from types import MappingProxyType

from linesim.answers.document import Chart, Document, Heading, Part, View, Words
from linesim.answers.table import Column, Table

#: Tables of a scenario whose rows have names, and those that have none.
_NAMED = "bay|buffer|calendar|carrier|crew|model|option|package|robot|section|station|tool|zone"
_PLAIN = "cost|orders|removal|run|supply|target"
_FILES = "csv|html|json|md|png|py|svg|toml|txt|xlsx"
_STEP = r'\.(?:"[^"]*"|[\w-]+)'
_VALUE = r'(?:"[^"]*"|[\w%+-]+(?:\.\d+)*)(?: (?:s|min|h|days?|weeks?|shifts?)\b)?'
_KEY = re.compile(
    rf"(?<![\w./-])(?P<kind>(?:{_NAMED})(?={_STEP}{_STEP})|(?:{_PLAIN})(?={_STEP})(?!\.(?:{_FILES})\b))"
    rf"(?P<steps>(?:{_STEP})+)"
    rf"(?:\s*=\s*(?P<value>{_VALUE})|:\s*(?P<change>{_VALUE} → {_VALUE}))?"
)
_FIELDS = MappingProxyType({"at": "station", "capacity": "places", "take": "take rate", "cv": "spread"})


def in_words(text: str) -> str:
    """Return a text with the keys of a scenario in words.

    Examples:
        >>> in_words("crew.trim.people: 6 → 7"), in_words("buffer.lane.capacity = 4, takt = 90 s")
        ('trim crew: 6 → 7 people', 'lane: 4 places, takt = 90 s')
        >>> in_words("Measure first: station.K1.task.bolt.time and crew.cab.people.")
        'Measure first: time of bolt at K1 and people in cab crew.'
    """
    return _KEY.sub(_said, text)


def _said(found: re.Match[str]) -> str:
    names = [one.strip('"') for one in re.findall(r'"[^"]*"|[\w-]+', found["steps"])]
    value = (found["value"] or found["change"] or "").replace('"', "")
    if found["kind"] in _PLAIN.split("|"):
        of, fields = "", names
    elif names[1:2] == ["task"] and len(names) > 2:
        of, fields = f"{names[2]} at {names[0]}", names[3:]
    else:
        of, fields = names[0], names[1:]
    last = " ".join(_FIELDS.get(field, field.replace("_", " ")) for field in fields)
    if found["kind"] == "crew" and last == "people":
        of = f"{of} crew"
    if last in ("people", "places"):
        one = {"people": "person", "places": "place"}[last] if value.split(" ")[-1] == "1" else last
        return f"{of}: {value} {one}" if value else f"{last} in {of}"
    if value:
        return f"{of}: {last} {value}" if of else f"{last} {value}"
    return f"{last} of {of}" if of and last else of or last


def readable(answer: Document) -> Document:
    """Return an answer whose texts and cells say in words what it changes; its tables keep their names."""
    return replace(
        answer,
        sentences=tuple(map(in_words, answer.sentences)),
        cautions=tuple(map(in_words, answer.cautions)),
        tables_=tuple(map(_table, answer.tables_)),
        shown_=tuple(map(_table, answer.shown_)),
        parts=tuple(map(_part, answer.parts)),
    )


def _table(table: Table) -> Table:
    rows = tuple(
        tuple(in_words(cell) if isinstance(cell, str) else cell for cell in row) for row in table.rows
    )
    return replace(table, columns=tuple(map(_column, table.columns)), rows=rows, says=in_words(table.says))


def _column(column: Column) -> Column:
    said = in_words(column.heading)
    return column if said == column.heading else replace(column, head=said)


def _part(part: Part) -> Part:
    if isinstance(part, Heading):
        return Heading(in_words(part.text))
    if isinstance(part, Words):
        return replace(part, texts=tuple(map(in_words, part.texts)))
    if isinstance(part, View):
        return replace(
            part, title=in_words(part.title), note=in_words(part.note),
            columns=tuple(map(_column, part.columns)),
        )  # fmt: skip
    if isinstance(part, Chart):
        view = _part(part.view)
        assert isinstance(view, View)
        return replace(part, view=view, says=in_words(part.says))
    return replace(part, title=in_words(part.title), note=in_words(part.note), down=_column(part.down))
