"""Small commands: `new`, `schema`, `completion` print, `compile` prepares, `merge` joins studies."""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from linesim.commands.options import DONE, add_command

if TYPE_CHECKING:
    from linesim.commands.options import Commands


def add_new(commands: Commands) -> None:
    """Add `new` to the program."""
    parser = add_command(
        commands,
        "new",
        "Write a commented scenario that runs, to start from",
        examples=(
            ("linesim new line.toml", "then change it, and see what changed with check and run"),
            ("linesim new line.toml && linesim run line.toml", "written and simulated"),
            ("linesim new -", "on the screen instead of in a file"),
        ),
    )
    parser.add_argument("file", metavar="FILE", help="file to write, or - for the screen")
    parser.add_argument("--force", action="store_true", help="replace a file that is already there")


def run_new(args: argparse.Namespace) -> int:
    """Run `new`."""
    from linesim.commands.files import require_free, write_file
    from linesim.scenario.loader import starter

    text = starter()
    if args.file == "-":
        sys.stdout.write(text)
        return DONE
    require_free({"FILE": Path(args.file)}, force=args.force)
    write_file("FILE", Path(args.file), text)
    print(f"wrote {args.file}; next: linesim check {args.file}", file=sys.stderr)
    return DONE


def add_schema(commands: Commands) -> None:
    """Add `schema` to the program."""
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


def run_schema(args: argparse.Namespace) -> int:
    """Run `schema`."""
    from linesim.scenario.reference import json_schema

    sys.stdout.write(json.dumps(json_schema(), indent=2, ensure_ascii=False) + "\n")
    return DONE


SHELLS = ("bash", "zsh", "tcsh")


def add_completion(commands: Commands) -> None:
    """Add `completion` to the program."""
    parser = add_command(
        commands,
        "completion",
        "Print what lets a shell complete commands and options",
        examples=(
            ("linesim completion bash > linesim-completion.bash", "then: source linesim-completion.bash"),
            ("linesim completion zsh > _linesim", "into a folder of zsh's fpath"),
            ("linesim completion tcsh > linesim-completion.csh", "then: source linesim-completion.csh"),
        ),
    )
    parser.add_argument("shell", metavar="SHELL", choices=SHELLS, help=f"one of {', '.join(SHELLS)}")


def run_completion(args: argparse.Namespace) -> int:
    """Run `completion`."""
    import shtab

    from linesim.commands.main import parser

    sys.stdout.write(shtab.complete(parser(), shell=args.shell))
    return DONE


def add_compile(commands: Commands) -> None:
    """Add `compile` to the program."""
    parser = add_command(
        commands,
        "compile",
        "Compile the rules of the line for this machine, before a run needs them",
        examples=(
            ("linesim compile", "once after installing; later runs load what it made"),
            ("linesim compile --again", "even if it was made before"),
            ("linesim compile --quiet", "without a word but the place"),
        ),
        more="The first run does it by itself, where numba is installed. The code lies in the user's cache "
        "folder, belongs to one version of the program and one machine, and may be removed at any time.",
    )
    parser.add_argument("--again", action="store_true", help="make it anew even if it is there")
    parser.add_argument("--quiet", action="store_true", help="no notes on stderr")


def run_compile(args: argparse.Namespace) -> int:
    """Run `compile`.

    Raises:
        NoMachineCodeError: If that cannot be done on this machine.
    """
    from linesim.engine.compiled import compiled_loop, prepare

    def say(text: str) -> None:
        if not args.quiet:
            print(text, file=sys.stderr, flush=True)

    began = time.process_time()
    made: list[str] = []

    def notice(text: str) -> None:
        made.append(text)
        say(text)

    folder = prepare(notice, again=args.again)
    compiled_loop()  # what cannot be loaded is told now
    if made:
        say(f"done, in {time.process_time() - began:.0f} s of processor time")
    print(folder)
    return DONE


def add_merge(commands: Commands) -> None:
    """Add `merge` to the program."""
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


def run_merge(args: argparse.Namespace) -> int:
    """Run `merge`."""
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


#: What adds each of them to the program, and what runs it.
SMALL = MappingProxyType(
    {
        "new": (add_new, run_new),
        "schema": (add_schema, run_schema),
        "completion": (add_completion, run_completion),
        "compile": (add_compile, run_compile),
        "merge": (add_merge, run_merge),
    }
)
