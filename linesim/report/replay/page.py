"""The page of a replay: data, words and drawings put into one file that needs nothing else."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from linesim.report.replay.definitions import DEFINITIONS
from linesim.report.replay.encode import encoded
from linesim.report.replay.line import line_of
from linesim.report.replay.pack import packed
from linesim.report.replay.paints import paints, tiles
from linesim.report.replay.record import ReplayRecord, record
from linesim.report.replay.stops import worst
from linesim.report.replay.texts import sentences, shown_stops, stop_rows
from linesim.report.replay.window import Window
from linesim.runs.provenance import versions
from linesim.runs.trace import Watched

#: The page's script, in the order of what builds on what; the hand that moves it all comes last.
SCRIPTS = (
    "replay/data.js", "replay/words.js", "replay/draw.js", "replay/ruler.js", "replay/strip.js",
    "replay/paths.js", "replay/drift.js", "replay/panels.js", "replay.js",
)  # fmt: skip


def replay_page(watched: Watched, window: Window, *, file: str, command: str = "") -> str:
    """Return the page of a replay as HTML; the same replication gives the same bytes.

    Every text that a scenario brings along is escaped, and a policy in the page lets the reader's program
    load nothing and run nothing but the page's own script.

    Args:
        watched: The replication, watched at least to the end of the window.
        window: The part that the page shows.
        file: Name of the scenario's file.
        command: How to make the page again.
    """
    from jinja2 import Environment, StrictUndefined
    from markupsafe import Markup

    from linesim.report.page import digest

    plan = watched.plan
    found = record(plan, watched.events, watched.until)
    stops = shown_stops(found, window)
    script = '(async () => {\n"use strict";\n' + "\n".join(_text(name) for name in SCRIPTS) + "})();\n"
    env = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, keep_trailing_newline=True
    )
    return env.from_string(_text("replay.html")).render(
        title=plan.title or file or "A line without a title",
        sentences=sentences(plan, found, window, watched.number, watched.seed),
        stops=(rows := stop_rows(plan, stops, window)),
        n_minor=sum(row.is_minor for row in rows),
        has_worst=bool(stops),
        definitions=DEFINITIONS,
        facts=_facts(watched, file, command),
        tiles=tiles(),
        style=Markup(_text("report.css") + _text("replay.css")),
        data=Markup(harmless_json(data_of(watched, found, window))),
        script=Markup(script),
        script_digest=digest(script),
    )


def data_of(watched: Watched, found: ReplayRecord, window: Window) -> dict[str, Any]:
    """Return everything that the page's script draws from, as lists, numbers and text."""
    plan, start = watched.plan, window.start
    stops = shown_stops(found, window)
    hardest = worst(stops, window.start, window.end)
    rest, rows = packed(encoded(found, watched.orders, plan.orders, start, window.end))
    return {
        "start": start,
        "length": window.end - start,
        "shifts": [[begin - start, end - start] for begin, end in window.shifts],
        "worst": None if hardest is None else stops.index(hardest),
        "paint": paints(),
        "line": line_of(plan),
        "record": rest,
        "rows": rows,
    }


def harmless_json(value: object) -> str:
    r"""Return JSON that may stand in a script element: nothing in it can end the element or begin another.

    Examples:
        >>> harmless_json("</script>")
        '"\\u003c/script\\u003e"'
    """
    text = json.dumps(value, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _facts(watched: Watched, file: str, command: str) -> tuple[tuple[str, str], ...]:
    others = ", ".join(f"{name} {version}" for name, version in versions().items())
    facts = (
        ("Command", command),
        ("Scenario", file),
        ("Replication", f"{watched.number} of seed {watched.seed}"),
        ("Made with", others),
    )
    return tuple((term, text) for term, text in facts if text)


def _text(name: str) -> str:
    return files("linesim.report").joinpath("templates", *name.split("/")).read_text(encoding="utf-8")
