"""`linesim schema`: the scenario language as JSON Schema."""

from __future__ import annotations

import argparse
import json
import sys
from typing import TYPE_CHECKING

from linesim.commands.options import DONE, add_command

if TYPE_CHECKING:
    from linesim.commands.options import Commands


def add(commands: Commands) -> None:
    """Add the command to the program."""
    add_command(
        commands,
        "schema",
        "Print the scenario language as JSON Schema",
        examples=(
            ("linesim schema > scenario.schema.json", "for an editor that completes and checks TOML files"),
            ("linesim schema | python -m json.tool --sort-keys", "the fields of every table, sorted"),
            ("linesim schema | grep -c '\"description\"'", "how many fields the language has"),
        ),
        more="JSON Schema 2020-12. It knows the fields; linesim check knows the rules between\nthem as well.",
    )


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    from linesim.scenario.reference import json_schema

    sys.stdout.write(json.dumps(json_schema(), indent=2, ensure_ascii=False) + "\n")
    return DONE
