"""How every command presents itself: a purpose, three worked examples, then its options."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

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
        super().__init__(prog, **{"max_help_position": 26, "width": 80, **options})


def add_command(
    commands: Commands, name: str, purpose: str, *, examples: Sequence[tuple[str, str]], more: str = ""
) -> argparse.ArgumentParser:
    """Add a command to the program.

    Args:
        commands: The program's commands.
        name: What the user types.
        purpose: One line, without a full stop.
        examples: Command lines that work as they stand, each with what it does.
        more: What else one should know, in lines of at most 80 letters.

    Returns:
        The command's parser, for its arguments.
    """
    lines = [f"{purpose}.", *(["", *more.splitlines()] if more else []), "", "examples:"]
    for command, says in examples:
        lines += [f"  {command}", f"      {says}"]
    return commands.add_parser(name, help=purpose, description="\n".join(lines))
