"""The store of a study: one SQLite file that keeps every finished replication from the moment it is finished.

A replication is kept under a key of everything that determines it. Whoever needs it again, after an
interruption or in another question, finds it there; nothing in the file depends on who ran it or when.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, NamedTuple

from linesim.runs.program import program_digest
from linesim.runs.provenance import versions
from linesim.runs.replication import Label, Replication
from linesim.runs.store_file import NAME, StudyError, connect, damaged, told, transaction
from linesim.runs.store_rows import (
    Made,
    StoredRow,
    digest_of,
    labels_from,
    labels_text,
    replication_from,
    row_for,
    scenario_from,
)

if TYPE_CHECKING:
    from linesim.scenario import Scenario


#: A table that only a study with alternatives has; those without read as they always did.
_ALTERNATIVES = "CREATE TABLE IF NOT EXISTS alternative (name TEXT PRIMARY KEY, content TEXT NOT NULL)"
_HAS_ALTERNATIVES = "SELECT 1 FROM sqlite_master WHERE name = 'alternative'"


class StudyDiffersError(StudyError):
    """The same replication came out differently than it is stored."""


class Stored(NamedTuple):
    """Replications of one scenario and seed that a store holds.

    Attributes:
        labels: Names of the figures of each; empty if there are none.
        replications: By number.
    """

    labels: tuple[Label, ...]
    replications: Mapping[int, Replication]


class Merged(NamedTuple):
    """What a merge brought.

    Attributes:
        new: Replications that were not there.
        shared: Replications that both had, the same in both.
    """

    new: int
    shared: int


class Store:
    """An open study. Use it in a ``with`` block, or close it.

    Several programs may have the same study open; each commit is whole or not there.
    """

    def __init__(self, folder: str | Path, *, program: str | None = None, must_exist: bool = False) -> None:
        """Open the study of a folder, and check it from end to end.

        Args:
            folder: Its folder; made, with an empty study in it, if there is none.
            program: Digest of the program whose figures are wanted; None takes this one.
            must_exist: Refuse to make one.

        Raises:
            StudyError: If the study is damaged, full or not to be opened.
        """
        self.path = Path(folder) / NAME
        self.program = program_digest() if program is None else program
        if not must_exist:
            with told(self.path):
                self.path.parent.mkdir(parents=True, exist_ok=True)
        self._connection = connect(self.path, must_exist=must_exist)

    def __enter__(self) -> Store:
        """Return the store itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close the store."""
        self.close()

    def close(self) -> None:
        """Close the file; what was kept is in it, even if this is never called."""
        self._connection.close()

    def get(self, fingerprint: str, seed: int, numbers: Iterable[int]) -> Stored:
        """Return which of these replications there are, each checked against its seal.

        Raises:
            StudyDamagedError: If one is not what was written.
        """
        wanted = set(numbers)
        found: dict[int, Replication] = {}
        figures: set[str] = set()
        where = "WHERE fingerprint = ? AND seed = ? AND program = ? ORDER BY number"
        for row in self._rows(where, (fingerprint, str(seed), self.program)):
            if row.number in wanted:
                found[row.number] = self._checked(row)
                figures.add(row.figures)
        if len(figures) > 1:
            raise damaged(self.path, f"replications of {fingerprint[:12]} have different figures")
        return Stored(self._labels(figures.pop()) if figures else (), found)

    def keep(
        self,
        fingerprint: str,
        seed: int,
        labels: Sequence[Label],
        replications: Sequence[Replication],
        seconds: float,
    ) -> None:
        """Keep finished replications; they are safe when this returns.

        Args:
            fingerprint: Digest of their scenario.
            seed: Seed of all draws.
            labels: Names of their figures.
            replications: The finished ones.
            seconds: Time each took [s].

        Raises:
            StudyDiffersError: If one is there already, with other figures.
            StudyError: If they cannot be kept, such as on a full disk; then none of them is.
        """
        text = labels_text(labels)
        figures = digest_of(text)
        rows = [
            row_for(Made(fingerprint, seed, one.number, self.program), figures, one, seconds)
            for one in replications
        ]
        with told(self.path), transaction(self._connection):
            self._connection.execute("INSERT OR IGNORE INTO figures VALUES (?, ?)", (figures, text))
            self._put(rows)

    def keep_scenario(self, scenario: Scenario) -> None:
        """Keep what a scenario holds and the versions of the program, so that the file explains itself."""
        content = json.dumps(scenario.as_dict(), ensure_ascii=False)
        with told(self.path), transaction(self._connection):
            self._connection.execute(
                "INSERT OR IGNORE INTO scenario VALUES (?, ?, ?)",
                (scenario.fingerprint(), scenario.title, content),
            )
            self._connection.execute(
                "INSERT OR IGNORE INTO program VALUES (?, ?)", (self.program, json.dumps(versions()))
            )

    def scenario(self, fingerprint: str) -> Scenario | None:
        """Return a scenario that was kept, None if it was not.

        Raises:
            StudyDamagedError: If it is not what was written.
        """
        with told(self.path):
            found = self._connection.execute(
                "SELECT content FROM scenario WHERE fingerprint = ?", (fingerprint,)
            ).fetchone()
        try:
            return None if found is None else scenario_from(found[0], fingerprint)
        except (ValueError, TypeError) as error:
            raise damaged(self.path, str(error)) from error

    def keep_lost(self, fingerprint: str, seed: int, number: int, deaths: int) -> None:
        """Keep that a replication was given up because its worker always died."""
        made = Made(fingerprint, seed, number, self.program)
        with told(self.path), transaction(self._connection):
            self._connection.execute(
                "INSERT OR REPLACE INTO lost VALUES (?, ?, ?, ?, ?, ?)",
                (made.key, fingerprint, str(seed), number, self.program, deaths),
            )

    def lost(self, fingerprint: str, seed: int) -> tuple[int, ...]:
        """Return the replications that were given up, ascending."""
        with told(self.path):
            rows = self._connection.execute(
                "SELECT number FROM lost WHERE fingerprint = ? AND seed = ? AND program = ? ORDER BY number",
                (fingerprint, str(seed), self.program),
            ).fetchall()
        return tuple(number for (number,) in rows)

    def seconds_each(self, fingerprint: str) -> float | None:
        """Return how long a replication of a scenario took on average [s]; None if none is stored."""
        with told(self.path):
            (mean,) = self._connection.execute(
                "SELECT AVG(seconds) FROM replication WHERE fingerprint = ? AND program = ?",
                (fingerprint, self.program),
            ).fetchone()
        return None if mean is None else float(mean)

    def count(self) -> int:
        """Return how many replications the file holds, of whatever scenario and program."""
        with told(self.path):
            (n,) = self._connection.execute("SELECT COUNT(*) FROM replication").fetchone()
        return int(n)

    def written(self) -> dict[str, tuple[str, str]]:
        """Return name of each table that was written beside the study -> its question, its digest."""
        with told(self.path):
            rows = self._connection.execute("SELECT name, question, digest FROM written").fetchall()
        return {name: (question, digest) for name, question, digest in rows}

    def keep_written(self, question: str, texts: Mapping[str, str]) -> None:
        """Keep which question the tables answer that are about to be written beside the study."""
        with told(self.path), transaction(self._connection):
            self._connection.executemany(
                "INSERT OR REPLACE INTO written VALUES (?, ?, ?)",
                [(name, question, digest_of(text)) for name, text in texts.items()],
            )

    def alternatives(self) -> dict[str, str]:
        """Return name of each alternative that somebody keeps -> what it changes, as it was given."""
        with told(self.path):
            if not self._connection.execute(_HAS_ALTERNATIVES).fetchone():
                return {}
            rows = self._connection.execute("SELECT name, content FROM alternative ORDER BY rowid").fetchall()
        return dict(rows)

    def keep_alternative(self, name: str, content: str) -> None:
        """Keep what an alternative changes under its name; one of the same name gives way."""
        with told(self.path), transaction(self._connection):
            self._connection.execute(_ALTERNATIVES)
            self._connection.execute("INSERT OR REPLACE INTO alternative VALUES (?, ?)", (name, content))

    def drop_alternative(self, name: str) -> None:
        """Drop an alternative; one that is not there is no error."""
        with told(self.path), transaction(self._connection):
            self._connection.execute(_ALTERNATIVES)
            self._connection.execute("DELETE FROM alternative WHERE name = ?", (name,))

    def merge(self, other: Store) -> Merged:
        """Take over everything that another study holds, all of it or nothing.

        Raises:
            StudyDamagedError: If something in the other study is not what was written.
            StudyDiffersError: If both hold a replication with different figures.
            StudyError: If it cannot be kept, such as on a full disk.
        """
        rows = other._rows("ORDER BY key", ())
        for row in rows:
            other._checked(row)
        labels = {figures: labels_text(other._labels(figures)) for figures in {row.figures for row in rows}}
        with told(other.path):
            scenarios = other._connection.execute("SELECT * FROM scenario").fetchall()
            programs = other._connection.execute("SELECT * FROM program").fetchall()
            lost = other._connection.execute("SELECT * FROM lost").fetchall()
        kept = other.alternatives()
        with told(self.path), transaction(self._connection):
            put = self._connection.executemany
            put("INSERT OR IGNORE INTO figures VALUES (?, ?)", sorted(labels.items()))
            put("INSERT OR IGNORE INTO scenario VALUES (?, ?, ?)", scenarios)
            put("INSERT OR IGNORE INTO program VALUES (?, ?)", programs)
            new = self._put(rows)
            if kept:
                self._connection.execute(_ALTERNATIVES)
                put("INSERT OR IGNORE INTO alternative VALUES (?, ?)", sorted(kept.items()))
            put(
                "INSERT OR IGNORE INTO lost SELECT ?, ?, ?, ?, ?, ? "
                "WHERE NOT EXISTS (SELECT 1 FROM replication WHERE key = ?)",
                [(*row, row[0]) for row in lost],
            )
        return Merged(new, len(rows) - new)

    def _rows(self, where: str, values: tuple[str, ...]) -> list[StoredRow]:
        columns = ", ".join(StoredRow._fields)
        with told(self.path):
            found = self._connection.execute(f"SELECT {columns} FROM replication {where}", values).fetchall()
        return [StoredRow(*row) for row in found]

    def _checked(self, row: StoredRow) -> Replication:
        try:
            return replication_from(row)
        except (ValueError, TypeError) as error:
            raise damaged(self.path, str(error)) from error

    def _labels(self, figures: str) -> tuple[Label, ...]:
        with told(self.path):
            found = self._connection.execute(
                "SELECT labels FROM figures WHERE figures = ?", (figures,)
            ).fetchone()
        if found is None or digest_of(found[0]) != figures:
            raise damaged(self.path, "the names of the figures are not what was written")
        return labels_from(found[0])

    def _put(self, rows: Sequence[StoredRow]) -> int:
        """Insert rows within a transaction, and return how many were not there yet."""
        marks = ", ".join("?" * len(StoredRow._fields))
        new = 0
        for row in rows:
            done = self._connection.execute(
                f"INSERT INTO replication VALUES ({marks}) ON CONFLICT (key) DO NOTHING", row
            )
            new += done.rowcount
            if done.rowcount == 0:
                self._require_same(row)
            self._connection.execute("DELETE FROM lost WHERE key = ?", (row.key,))
        return new

    def _require_same(self, row: StoredRow) -> None:
        (there,) = self._rows("WHERE key = ?", (row.key,))
        self._checked(there)
        if there.seal != row.seal:
            raise StudyDiffersError(
                f"replication {row.number} of {row.fingerprint[:12]}, seed {row.seed}, comes out differently "
                f"than {self.path} holds it: two machines that compute differently, or a fault in the "
                "program. Nothing was overwritten"
            )
