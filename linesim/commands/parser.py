"""How every command presents itself: a purpose, three worked examples, then its options."""

from __future__ import annotations

import argparse
import re
import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

WIDTH = 80  #: Columns of every help page.
PURPOSE = "Simulates one segment of a paced assembly line and says how sure it is."

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[argparse.ArgumentParser]


class Parser(argparse.ArgumentParser):
    """A parser that keeps the lines of its texts as they are written and accepts no shortened options."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("formatter_class", _Layout)
        super().__init__(allow_abbrev=False, **options)


class _Layout(argparse.RawDescriptionHelpFormatter):
    def __init__(self, prog: str, **options: Any) -> None:
        super().__init__(prog, **{"max_help_position": 26, "width": WIDTH, **options})

    def add_argument(self, action: argparse.Action) -> None:
        """Make room for the longest command beside its purpose; argparse forgets their indent."""
        super().add_argument(action)
        if isinstance(action, argparse._SubParsersAction):
            self._action_max_length += self._indent_increment


def add_command(
    commands: Commands, name: str, purpose: str, *, examples: Sequence[tuple[str, str]], more: str = ""
) -> argparse.ArgumentParser:
    """Add a command to the program.

    Args:
        commands: The program's commands.
        name: What the user types.
        purpose: One line, without a full stop.
        examples: Command lines that work as they stand, each with what it does.
        more: What else one should know.

    Returns:
        The command's parser, for its arguments.
    """
    lines = textwrap.wrap(f"{purpose}.", WIDTH)
    lines += ["", *textwrap.wrap(more, WIDTH), "", "examples:"] if more else ["", "examples:"]
    for command, says in examples:
        lines += _command_lines(command)
        lines += textwrap.wrap(says, WIDTH, initial_indent="      ", subsequent_indent="      ")
    return commands.add_parser(name, help=purpose, description="\n".join(lines))


def _command_lines(command: str) -> list[str]:
    """Return a command line as a shell reads it, broken before options where it is too long."""
    lines: list[str] = []
    for part in re.split(r" (?=--)", command):
        if lines and len(lines[-1]) + 1 + len(part) <= WIDTH - 2:
            lines[-1] += f" {part}"
        else:
            lines.append(f"      {part}" if lines else f"  {part}")
    return [f"{line} \\" for line in lines[:-1]] + lines[-1:]
