"""`linesim merge`: the replications of several studies in one folder."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.commands.options import DONE, add_command

if TYPE_CHECKING:
    from linesim.commands.options import Commands


def add(commands: Commands) -> None:
    """Add the command to the program."""
    parser = add_command(
        commands,
        "merge",
        "Bring the replications of several studies together in one folder",
        examples=(
            (
                "linesim merge results/monday results/tuesday --into results/week",
                "two studies in one; what both have run counts once",
            ),
            (
                "linesim merge from-the-other-pc --into results",
                "take over what another machine has run, from a copy of its folder",
            ),
            (
                "linesim merge results/monday --into results/week --json",
                "the counts for programs",
            ),
        ),
        more=(
            "A study is a folder that --out has made. The tables are not merged: give the\n"
            "command again whose answer you want, with --out on the merged folder; it runs\n"
            "only what is missing. Each folder is taken over whole or not at all."
        ),
    )
    parser.add_argument("folders", metavar="DIR", nargs="+", help="folders of studies to take over")
    parser.add_argument(
        "--into", metavar="DIR", required=True, help="folder of the merged study, new or there already"
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object instead of sentences")


def main(args: argparse.Namespace) -> int:
    """Run the command."""
    import json

    from linesim.answers.wording import count_of
    from linesim.runs.store import Store

    taken = []
    others = [Path(folder) for folder in args.folders]
    for folder in others:  # all of them are looked through before a new folder is made
        Store(folder, must_exist=True).close()
    with Store(Path(args.into)) as store:
        for folder in others:
            with Store(folder, must_exist=True) as other:
                taken.append((str(folder), store.merge(other)))
        total = store.count()
    if args.json:
        merged = [{"folder": name, "new": one.new, "shared": one.shared} for name, one in taken]
        print(json.dumps({"into": args.into, "replications": total, "merged": merged}, indent=2))
        return DONE
    for name, one in taken:
        print(f"{name}: {count_of(one.new, 'replication')} taken over, {one.shared} were there already.")
    print(f"{args.into} holds {count_of(total, 'replication')}.")
    return DONE
