"""What comes beside a scenario: what-ifs in a line of text, and tables that somebody names."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from linesim.errors import ScenarioError, WrongQuestionError
from linesim.scenario.files import TABLE_LIMIT, Folder
from linesim.scenario.grid import Cell, CellGrid, is_workbook, read_grid
from linesim.scenario.problems import Notes, UnreadableError

if TYPE_CHECKING:
    from linesim.runs.cases import Case
    from linesim.scenario import Scenario
    from linesim.scenario.origins import Place


_NEW = re.compile(r"\s*add\s+(?=[\w\"'])")
_QUOTED = r""""(?:[^"\\]|\\.)*"|'[^']*'"""
_PARTS = re.compile(rf"(?:{_QUOTED}|[^;\"'])+|[;\"']")
_NAMED = re.compile(r"\s*([^:=\"']*[^:=\"'\s])\s*:\s*(.*)", re.DOTALL)


class Alternative(NamedTuple):
    """One alternative.

    Attributes:
        name: What the answer calls it; empty names it after what it changes.
        changes: Places and what they are set to.
        add: The same for what is new.
        lines: The lines of TOML that say so, as they were written.
    """

    name: str
    changes: dict[Place, Any]
    add: dict[Place, Any]
    lines: tuple[str, ...]

    def case(self, base: Scenario) -> Case:
        """Return the line with it.

        Raises:
            ScenarioError: With everything that is wrong then.
        """
        from linesim.runs.cases import Case
        from linesim.scenario.replace import named_after

        name = self.name or named_after({**self.add, **self.changes})
        return Case(name, base.replace(self.changes, add=self.add), self.lines)


def alternative_of(text: str) -> Alternative:
    """Return the alternative that a text describes.

    Raises:
        WrongQuestionError: If one of its lines is no TOML, or there is none.

    Examples:
        >>> alternative_of("two more: crew.cab.people = 7; add tool.gun.count = 1")[:3]
        ('two more', {('crew', 'cab', 'people'): 7}, {('tool', 'gun', 'count'): 1})
    """
    from linesim.errors import WrongQuestionError
    from linesim.scenario.replace import leaves
    from linesim.scenario.toml import table_of

    named = _NAMED.fullmatch(text)
    name, rest = (named[1], named[2]) if named else ("", text)
    changes: dict[Place, Any] = {}
    add: dict[Place, Any] = {}
    lines = [line.strip() for line in _split(rest) if line.strip()]
    for line in lines:
        new = _NEW.match(line)
        try:
            table = table_of(line[new.end() :] if new else line)
        except ValueError as error:
            raise WrongQuestionError(f"--try: {error}") from None
        (add if new else changes).update(leaves(table))
    if not changes and not add:
        raise WrongQuestionError(
            f"--try: {text!r} changes nothing; write what differs, such as 'crew.trim.people = 7'."
        )
    return Alternative(name, changes, add, tuple(lines))


def the_alternative(tries: Sequence[str]) -> Alternative | None:
    """Return the one alternative that a question takes; None if there is none.

    Raises:
        WrongQuestionError: If there are several, or it is wrong.
    """
    if len(tries) > 1:
        from linesim.errors import WrongQuestionError

        raise WrongQuestionError(
            "--try may stand once here; lines that belong together stand in one, with a semicolon between."
        )
    return alternative_of(tries[0]) if tries else None


def _split(text: str) -> list[str]:
    """Return the parts between semicolons that stand outside quotes."""
    parts = [""]
    for piece in _PARTS.findall(text):
        if piece == ";":
            parts.append("")
        else:
            parts[-1] += piece
    return parts


def open_table(path: str | os.PathLike[str], *, prefer: str, as_text: bool = False) -> CellGrid:
    """Return the table of a CSV file or workbook.

    Args:
        path: The file, as a user names it.
        prefer: Sheet that is read if a workbook has one of this name; else the first.
        as_text: Whether it is to be written to, which takes a CSV file.

    Raises:
        ScenarioError: If it cannot be read, is no table, or holds no rows.
        WrongQuestionError: If it is a workbook and is to be written to.
    """
    name = os.fspath(path)
    real = Path(os.path.realpath(name))
    notes = Notes()
    try:
        found = Folder(os.path.dirname(name), real.parent).read(real.name, limit=TABLE_LIMIT)
        if as_text and is_workbook(found):
            raise WrongQuestionError(
                f"{name} is a workbook; times are written into CSV files: save it as one."
            )
        table = read_grid(found, prefer=prefer)
    except UnreadableError as error:
        notes.of_file(name, error)
        raise ScenarioError(notes.sorted([name])) from None
    table = CellGrid(name, table.heading, table.rows)
    if not table.rows:
        notes.at_cell(
            name, Cell("", None, ""), "empty-table", "there is no row below the headings; write at least one."
        )
    raise_notes(notes, name)
    return table


def raise_notes(notes: Notes, name: str) -> None:
    """Raise everything that was found wrong in a table, if anything was.

    Raises:
        ScenarioError: With all of it.
    """
    if notes.has_errors:
        raise ScenarioError(notes.sorted([name]))
