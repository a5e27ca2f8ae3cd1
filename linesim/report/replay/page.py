"""The page of a replay: data, words, paints and drawings put into one file that needs nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from linesim.report.html import embedded, rendered, template_text
from linesim.report.replay.day import moments, planned
from linesim.report.replay.encode import encoded, packed
from linesim.report.replay.line import line_of
from linesim.report.replay.record import worst
from linesim.report.replay.sides import ReplaySide, Window, parting
from linesim.report.replay.texts import clock, parting_words, sentences, stop_rows
from linesim.report.style import FAINT, PALE, PATTERNS, TIMES, VERMILLION, Paint
from linesim.runs.provenance import versions
from linesim.runs.trace import Watched

#: Pairs of word and meaning, in the order of the page.
DEFINITIONS = (
    (
        "moment",
        "Time jumps from event to event. What is shown is how things are when all that happens at the moment "
        "has happened.",
    ),
    (
        "mark",
        "The moment, once a takt of conveyor running time, when every job of a moving or indexed section "
        "passes into the next station.",
    ),
    (
        "stop",
        "Time in which a section should run by the calendar and stands. A minute is booked to the place and "
        "cause that began it; “no room ahead” and “no job comes” pass on what happened elsewhere.",
    ),
    (
        "tag over the rail",
        "A job. The tip of a tag shows how far it has come; in an indexed section it stands until the move.",
    ),
    (
        "below the rail",
        "The state of the station as a pattern and in words, then the people who are there: filled at work, "
        "dashed on the way, thick-rimmed helping, grey waiting. A line leads to the job that they work on; "
        "it slants where the job is not yet, or no longer, in the middle of their station.",
    ),
    (
        "frame round a station",
        "The section stands because of it. The hatched rail and the word STANDS say the same.",
    ),
    (
        "space-time diagram",
        "The graphical timetable of C. Ibry and E.-J. Marey (19th century), used for assembly lines by Xu, "
        "Mei, Ren and Chen (2017). A job is a thread; places of a buffer and of a bay are drawn closer "
        "together than stations.",
    ),
    (
        "drift",
        "Where in its station work begins and ends, after Yano and Rachamadugu (1991) and Tsai (1995). 0 % "
        "is the border at which a job comes in, 100 % that at which it goes out.",
    ),
)


#: States of stations as everywhere else, and behind threads, where a stop must let them be seen.
_PAINTS = (
    *TIMES.items(),
    ("off", Paint(PALE, FAINT)),
    ("own", Paint("#ffffff", VERMILLION, "cross")),
    ("passed", Paint("#ffffff", FAINT, "rising")),
)

_OPEN = 1.8  #: How much wider the patterns are behind threads, which must be seen on them.


def paints() -> dict[str, dict[str, str]]:
    """Return colour, outline and pattern of everything that is filled, by name."""
    return {name: {"face": paint.face, "edge": paint.edge, "hatch": paint.hatch} for name, paint in _PAINTS}


def tiles() -> list[dict[str, Any]]:
    """Return the patterns that the page defines: size [px], path, colours of ground and strokes, scale."""
    found = []
    for name, paint in _PAINTS:
        if paint.hatch:
            size, path = PATTERNS[paint.hatch]
            found.append(
                {
                    "name": name,
                    "size": size,
                    "path": path,
                    "face": paint.face,
                    "ink": paint.edge,
                    "scale": _OPEN if name in ("own", "passed") else 1,
                }
            )
    return found


#: Parts of the page's script that all sides share, that each side has for itself, and that move it all.
SHARED = ("replay/common.js", "replay/draw.js")
OF_A_SIDE = (
    "replay/data.js", "replay/words.js", "replay/ruler.js", "replay/strip.js", "replay/paths.js",
    "replay/drift.js", "replay/panels.js", "replay/side.js",
)  # fmt: skip
HAND = ("replay.js",)
_SUFFIXES = ("", "-2")  #: What names of elements end with, by side.


def replay_page(sides: Sequence[ReplaySide], window: Window, *, file: str, command: str = "") -> str:
    """Return the page of a replay as HTML, see `linesim.report.html.rendered`.

    Args:
        sides: One line, or two that are shown side by side, each watched at least to the end of the window.
        window: The part that the page shows.
        file: Name of the scenario's file.
        command: How to make the page again.
    """
    from markupsafe import Markup

    watched = sides[0].watched
    parts = parting(sides[0].watched, sides[1].watched) if len(sides) > 1 else None
    return rendered(
        "replay.html", template_text("report.css") + template_text("replay.css"), _script(),
        title=watched.plan.title or file or "A line without a title",
        sentences=sentences(sides, window),
        sides=[
            _side_words(side, window, suffix)
            for side, suffix in zip(sides, _SUFFIXES, strict=False)
        ],
        parts_words=parting_words(parts, window) if len(sides) > 1 else "",
        parts_at=parts - window.start if parts is not None and window.start <= parts <= window.end else None,
        stops=(rows := stop_rows(sides, window)),
        stop_columns=(
            ("begins", "begin"), *([("line", "words")] if len(sides) > 1 else []), ("section", "words"),
            ("booked to", "words"), ("because", "words"), ("min", "length"),
        ),
        n_minor=sum(row.is_minor for row in rows),
        has_worst=bool(rows),
        definitions=DEFINITIONS,
        facts=_facts(watched, file, command),
        tiles=tiles(),
        data=Markup(embedded(data_of(sides, window))),
    )  # fmt: skip


def _side_words(side: ReplaySide, window: Window, suffix: str) -> dict[str, Any]:
    """Return what the page's text says of a side."""
    return {
        "name": side.name,
        "of": f": {side.name}" if side.name else "",
        "suffix": suffix,
        "n": side.band["n"] if side.band else 0,
        "moments": [
            (moment.tick - window.start, clock(moment.tick, window), moment.says)
            for moment in moments(side, window)
        ],
    }


def _script() -> str:
    """Return the script of the page, in the order of what builds on what; a side is one function."""
    shared, of_a_side, hand = (
        "\n".join(template_text(name) for name in some) for some in (SHARED, OF_A_SIDE, HAND)
    )
    side = (
        "async function worldOf(side) {\nconst id = (name) => document.getElementById(name + side.suffix);\n"
        f"{of_a_side}}}\n"
    )
    return f'(async () => {{\n"use strict";\n{shared}{side}{hand}}})();\n'


def data_of(sides: Sequence[ReplaySide], window: Window) -> dict[str, Any]:
    """Return everything that the page's script draws from, as lists, numbers and text."""
    start = window.start
    stops = [stop for side in sides for stop in side.stops]
    hardest = worst(stops, window.start, window.end)
    return {
        "start": start,
        "length": window.end - start,
        "shifts": [[begin - start, end - start] for begin, end in window.shifts],
        "worst": None if hardest is None else stops.index(hardest),
        "paint": paints(),
        "sides": [_side_data(side, window, suffix) for side, suffix in zip(sides, _SUFFIXES, strict=False)],
    }


def _side_data(side: ReplaySide, window: Window, suffix: str) -> dict[str, Any]:
    watched = side.watched
    raw = encoded(side.record, watched.orders, watched.plan.orders, window.start, window.end)
    rest, rows = packed(raw)
    return {
        "name": side.name,
        "suffix": suffix,
        "line": line_of(watched.plan),
        "planned": planned(watched.plan, window)._asdict(),
        "band": side.band,
        "moments": [moment.tick - window.start for moment in moments(side, window)],
        "record": rest,
        "rows": rows,
    }


def _facts(watched: Watched, file: str, command: str) -> tuple[tuple[str, str], ...]:
    others = ", ".join(f"{name} {version}" for name, version in versions().items())
    facts = (
        ("Command", command),
        ("Scenario", file),
        ("Replication", f"{watched.number} of seed {watched.seed}"),
        ("Made with", others),
    )
    return tuple((term, text) for term, text in facts if text)
