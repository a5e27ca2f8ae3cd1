"""Running replications for a command: its options, the folder that keeps a study, what it would cost."""

from __future__ import annotations

import argparse
import gc
import json
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.commands.files import OutputRefusedError, require_folder, write_folder
from linesim.commands.options import DONE

if TYPE_CHECKING:
    from linesim.answers.card import StudyCard
    from linesim.runs.run_options import How
    from linesim.scenario import Reading

    class Asked(How):
        """What every command tells its study: how to run how many replications, with which luck, of what.

        Attributes:
            replications: How many; None leaves it to the study.
            seed: Seed of all draws; None leaves it to the study.
            file: Name of the scenario's file, without folders.
        """

        replications: int | None
        seed: int | None
        file: str

    Write = Callable[[Callable[[], Mapping[str, str]], Callable[[], bytes]], None]
    from linesim.runs.store import Store


@contextmanager
def running(
    args: argparse.Namespace, files: tuple[str, ...], counts: str = "replications"
) -> Iterator[tuple[Asked, Write]]:
    """Yield what to tell a study, and what writes the answer where ``--out`` wants it.

    What writes it takes a function that gives the texts of the files in a folder, and one for the workbook.

    Args:
        args: The command line.
        files: Names of the files that will be written.
        counts: What progress counts, in the plural.

    Raises:
        LinesimError: If the options do not fit together, or the folder cannot be used.
    """
    from linesim.commands.files import require_tables, wants_workbook, write_parquet, write_workbook
    from linesim.commands.progress import told
    from linesim.commands.running import study_folder

    how = _how(args)
    is_workbook = wants_workbook(args)
    require_tables(args, files)
    with study_folder(args, files, kept=not is_workbook) as folder:
        if folder is not None:
            how["store"] = folder.store
        given: list[tuple[Callable[[], Mapping[str, str]], Callable[[], bytes]]] = []

        def write(texts: Callable[[], Mapping[str, str]], workbook: Callable[[], bytes]) -> None:
            given.append((texts, workbook))

        gc.freeze()  # what is loaded stays: looking through it again and again is a tenth of the work
        with told(counts, quiet=args.quiet) as (how["progress"], how["notice"]):
            yield how, write
        if not args.out:
            return
        ((texts, workbook),) = given
        if is_workbook:
            write_workbook(args, workbook())
        else:
            assert folder is not None
            folder.write(texts())
            write_parquet(args, texts())


def dry_run(args: argparse.Namespace, study: Callable[[Asked], object]) -> int:
    """Print what a study would cost; nothing is written, nothing is left behind.

    Args:
        args: The command line.
        study: The study, told how to run its replications.

    Returns:
        The exit status.
    """
    from linesim.commands.running import stored_only
    from linesim.runs.cost import CostOnly

    cost = None
    with stored_only(args) as store:
        how = _how(args)
        how["only_cost"] = True
        how["store"] = store
        try:
            study(how)
        except CostOnly as found:
            cost = found.cost
    if args.json:
        known = {"replications": 0, "seconds": 0.0} if cost is None else cost.as_dict()
        print(json.dumps({"cost": known}, indent=2))
    else:
        print("\n".join(cost.sentences if cost else ["To run: nothing; every replication is stored."]))
    return DONE


def warn(reading: Reading, args: argparse.Namespace) -> None:
    """Say what is worth saying about a scenario although nothing is wrong."""
    if not getattr(args, "quiet", False):
        for warning in reading.warnings:
            print(warning.rendered(), file=sys.stderr)


def warn_of_cases(args: argparse.Namespace, reading: Reading, card: StudyCard) -> None:
    """Say what is worth saying about other cases of a study, and has not been said of the first."""
    said = [warning.message for warning in reading.warnings]
    for text in card.warnings:
        if not args.quiet and not any(text.endswith(message) for message in said):
            print(f"warning: {text}", file=sys.stderr)


def _how(args: argparse.Namespace) -> Asked:
    from linesim.runs.workers import usable_cores

    how: Asked = {
        "workers": getattr(args, "workers", None) or usable_cores(),
        "replications": getattr(args, "replications", None),
        "seed": getattr(args, "seed", None),
        "file": Path(args.file).name if args.file else "",
    }
    if getattr(args, "drive", None) is not None:
        how["drive"] = args.drive
    if getattr(args, "cluster", None):
        how["cluster"] = args.cluster
    return how


#: Options that change no figure and no file.
_MEANS = frozenset(
    {"workers", "drive", "cluster", "out", "force", "json", "quiet", "dry_run", "events", "parquet", "card"}
)


class InterruptedStudy(KeyboardInterrupt):
    """An interrupt after which the same command goes on where it was."""


class StudyFolder:
    """An open folder of a study.

    The same command given again finds its replications and writes the same tables; another command
    finds the replications too, but does not write over the tables of this one unless it is forced to.

    Attributes:
        store: The finished replications.
    """

    def __init__(self, folder: Path, store: Store, question: str, *, force: bool) -> None:
        self.store = store
        self._folder, self._question, self._force = folder, question, force

    def require(self, names: tuple[str, ...]) -> None:
        """Refuse to go on if a table is in the way that is not an earlier one of the same command.

        Raises:
            OutputRefusedError: With all of them, before anything is simulated.
        """
        written = self.store.written()
        wrong = [
            name
            for name in names
            if (self._folder / name).exists() and not self._is_ours(name, written.get(name, ("", "")))
        ]
        if wrong and not self._force:
            raise OutputRefusedError(
                f"--out: {self._folder} already holds {', '.join(wrong)}, not written by this command; name "
                "another folder, or add --force to replace these files"
            )

    def write(self, texts: Mapping[str, str]) -> None:
        """Write the tables, each whole or not at all.

        Raises:
            OutputRefusedError: If the same command has given other tables before: an input has changed.
        """
        names = [name for name, text in texts.items() if self._differs(self._folder / name, text)]
        changed = [name for name in names if (self._folder / name).exists()]
        if changed and not self._force:
            raise OutputRefusedError(
                f"--out: {self._folder} holds other {', '.join(changed)} of the same command; an input has "
                "changed since. Add --force to replace them (what has been simulated is kept), or name "
                "another folder"
            )
        self.store.keep_written(self._question, texts)
        write_folder("--out", self._folder, {name: texts[name] for name in names})

    def _is_ours(self, name: str, written: tuple[str, str]) -> bool:
        from linesim.runs.store_rows import digest_of

        try:
            text = (self._folder / name).read_bytes().decode("utf-8")
        except (OSError, UnicodeDecodeError):
            return False
        return written == (self._question, digest_of(text))

    @staticmethod
    def _differs(path: Path, text: str) -> bool:
        try:
            return path.read_bytes() != text.encode("utf-8")
        except OSError:
            return True


@contextmanager
def study_folder(
    args: argparse.Namespace, names: tuple[str, ...], *, kept: bool
) -> Iterator[StudyFolder | None]:
    """Open the folder that ``--out`` names, checked; None if the options name none.

    Args:
        args: The command line.
        names: Names of the files that the answer will be written to.
        kept: Whether ``--out`` names a folder; if not, None is what it gives.

    Raises:
        OutputRefusedError: If the folder cannot take them.
        StudyError: If its store is damaged, full or cannot be opened.
        InterruptedStudy: Instead of a KeyboardInterrupt.
    """
    if not args.out or not kept:
        yield None
        return
    from linesim.answers.wording import count_of
    from linesim.runs.store import Store
    from linesim.runs.store_file import NAME

    folder = Path(args.out)
    has_store = (folder / NAME).is_file()
    require_folder("--out", folder, () if has_store else names, force=args.force)
    with Store(folder) as store:
        found = StudyFolder(folder, store, _question(args), force=args.force)
        found.require(names)
        try:
            yield found
        except KeyboardInterrupt as error:
            kept_so_far = count_of(store.count(), "finished replication is", "finished replications are")
            raise InterruptedStudy(
                f"interrupted; {kept_so_far} kept in {folder}: give the same command to go on"
            ) from error


@contextmanager
def stored_only(args: argparse.Namespace) -> Iterator[Store | None]:
    """Open the store that ``--out`` names if there is one, for an estimate that leaves nothing behind."""
    from linesim.runs.store import Store
    from linesim.runs.store_file import NAME

    if not args.out or not (Path(args.out) / NAME).is_file():
        yield None
        return
    with Store(Path(args.out), must_exist=True) as store:
        yield store


def _question(args: argparse.Namespace) -> str:
    """Return a digest of the command line, without what changes no figure."""
    from linesim.runs.store_rows import digest_of

    asked = {name: value for name, value in vars(args).items() if name not in _MEANS}
    return digest_of(json.dumps(asked, sort_keys=True, default=str))
