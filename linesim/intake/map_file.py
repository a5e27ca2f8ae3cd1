"""The map beside a scenario: which heading of a plant's tables means what, so that nobody is asked twice."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from linesim.errors import WrongQuestionError
from linesim.intake.body import Body
from linesim.intake.headings import heading_of, key_of
from linesim.intake.words import KINDS, SIZES, TIMED, WHAT, WORDS, Kind
from linesim.scenario.files import TEXT_LIMIT
from linesim.scenario.problems import shown
from linesim.scenario.toml import key, toml_value

_HEAD = """\
# How `linesim import` reads the tables of this plant. It writes this file, and does not ask again what is
# answered here; it may be changed by hand. Left, a heading as the plant writes it; right, the column that it
# means, times with their unit (mean_s, mean_min, stop_min_trim); "" is not read.
"""
#: What stands beside the columns of a kind: how figures are written.
SETTLED: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {"decimal": (".", ","), "clock": ("m:ss", "h:mm"), "people": ("of the station", "of the task")}
)


@dataclass(frozen=True)
class ImportMap:
    """What was confirmed about the tables of a plant.

    Attributes:
        columns: Kind -> heading, as `key_of` writes it -> column.
        texts: Kind -> the same headings as they stand in the files.
        settled: Kind -> how figures are written.
        hidden: Whether hidden sheets, rows and columns are read.
    """

    columns: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    texts: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    settled: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    hidden: bool = False

    @classmethod
    def of_text(cls, text: str, name: str) -> ImportMap:
        """Return the map of a file.

        Args:
            text: What the file holds; empty for none.
            name: Its name, for messages.

        Raises:
            WrongQuestionError: With everything that is wrong in it.
        """
        wrong: list[str] = []
        try:
            if len(text) > TEXT_LIMIT:
                raise tomllib.TOMLDecodeError("it is too large")
            raw = tomllib.loads(text)
        except (tomllib.TOMLDecodeError, RecursionError) as error:
            raise WrongQuestionError(f"{name}: this is no map: {error}.") from None
        hidden = raw.pop("hidden", False)
        if not isinstance(hidden, bool):
            wrong.append(f"{name}: hidden is {shown(hidden)}; write true or false.")
        columns: dict[str, dict[str, str]] = {kind: {} for kind in KINDS}
        texts: dict[str, dict[str, str]] = {kind: {} for kind in KINDS}
        settled: dict[str, dict[str, str]] = {kind: {} for kind in KINDS}
        for kind in KINDS:
            table = raw.pop(kind, {})
            entries = dict(table) if isinstance(table, Mapping) else {"": table}
            headings = entries.pop("columns", {})
            for heading, target in headings.items() if isinstance(headings, Mapping) else [("", headings)]:
                try:
                    heading_of(str(target), kind)
                except ValueError as error:
                    wrong.append(f"{name}: {kind}.columns, {shown(heading)}: {error}.")
                columns[kind][key_of(heading)] = str(target)
                texts[kind][key_of(heading)] = heading
            for entry, value in entries.items():
                if value not in SETTLED.get(entry, ()):
                    said = f"; write {' or '.join(SETTLED[entry])}" if entry in SETTLED else ""
                    wrong.append(f"{name}: {kind} has {shown(entry)}, {shown(value)}{said}.")
                settled[kind][entry] = str(value)
        wrong += [f"{name}: {shown(kind)} is none of {', '.join(KINDS)}." for kind in raw]
        if wrong:
            raise WrongQuestionError(wrong)
        return cls(columns, texts, settled, hidden)

    def with_tables(
        self, bodies: Iterable[Body], settled: Mapping[str, Mapping[str, str]], *, hidden: bool
    ) -> ImportMap:
        """Return the map with what tables that were read add to it."""
        columns = {kind: dict(some) for kind, some in self.columns.items()}
        texts = {kind: dict(some) for kind, some in self.texts.items()}
        both: dict[str, Mapping[str, str]] = {
            kind: {**self.settled.get(kind, {}), **settled.get(kind, {})} for kind in KINDS
        }
        for body in bodies:
            kind: Kind = body.headed.kind
            for one in body.headed.headings:
                columns.setdefault(kind, {})[key_of(one.text)] = one.target
                texts.setdefault(kind, {}).setdefault(key_of(one.text), one.text)
        return ImportMap(columns, texts, both, hidden)

    def text(self) -> str:
        """Return what the file holds."""
        lines = [_HEAD.rstrip()]
        if self.hidden:
            lines += ["", "hidden = true  # hidden sheets, rows and columns are read too"]
        for kind in KINDS:
            if not self.columns.get(kind):
                continue
            lines += ["", f"[{kind}]"]
            lines += [f"{entry} = {toml_value(value)}" for entry, value in self.settled.get(kind, {}).items()]
            lines.append(f"[{kind}.columns]")
            lines += [
                f"{key((self.texts[kind][heading],))} = {toml_value(target)}"
                for heading, target in self.columns[kind].items()
            ]
        return "\n".join(lines) + "\n"


def reference() -> str:
    """Return the page that explains the map: kinds of table, their columns, and the words that mean them."""
    lines = [
        "# What `linesim import` reads, and the map that it keeps",
        "",
        "Written from the program; a test keeps it current. The map stands beside the scenario:",
        "`line.import.toml` beside `line.toml`. A column is found by its heading, whatever its capitals,",
        "signs and the unit in brackets; a word much like one of these is taken for it and asked about.",
        "`--column 'HEADING=COLUMN'` says what a heading means.",
        "",
        "```toml",
        "[tasks]",
        'decimal = ","             # "." or ",", where figures alone do not tell',
        'clock   = "m:ss"          # 1:15 is minutes and seconds; "h:mm" is hours and minutes',
        'people  = "of the station"  # a number once a station; "of the task" is that of each task',
        "[tasks.columns]",
        'Stn = "station"           # a heading, and the column that it means',
        '"Std. time (min)" = "mean_min"  # times with their unit: ' + ", ".join(SIZES),
        '"Time Field (s)" = "mean_s_for_Field"  # times of one model or option',
        'Remarks = ""              # not read',
        "```",
        "",
        "`hidden = true` above all tables reads hidden sheets, rows and columns too.",
    ]
    for kind in KINDS:
        lines += ["", f"## `[{kind}]`: {WHAT[kind]}", "", "| column | headings that mean it |", "|---|---|"]
        for name, words in WORDS[kind].items():
            column = f"`{name}_s`, `{name}_min` ..." if name in TIMED else f"`{name}`"
            lines.append(
                f"| {column} | {words.replace('|', ', ') or 'any, over a column of marks such as x'} |"
            )
    lines += ["", "A table of tasks may have every column of a task table of ours too, under its own name."]
    return "\n".join(lines) + "\n"
