"""The SQLite file of a study: opened, checked, and its troubles put into words."""

from __future__ import annotations

import errno
import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from linesim.errors import LinesimError

NAME = "study.sqlite"  #: What the file is called in the folder of a study.
APPLICATION = 0x6C696E65  #: Written into the file: it is one of ours.
LAYOUT = 1  #: Rises when the tables change their meaning.
WAIT_SECONDS = 30.0  #: So long another program may hold the file before we give up.

#: What the system says no to, as told apart from what is wrong with the file.
_REFUSED = (
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_PERM,
    sqlite3.SQLITE_AUTH,
    sqlite3.SQLITE_NOMEM,
)

_NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)  #: How the system says that there is no room left.
_PROBE = 64 * 1024  #: Bytes without which a study cannot go on: SQLite's index of what is new takes half.

_TABLES = """
CREATE TABLE program (
    program TEXT PRIMARY KEY, versions TEXT NOT NULL
);
CREATE TABLE scenario (
    fingerprint TEXT PRIMARY KEY, title TEXT NOT NULL, content TEXT NOT NULL
);
CREATE TABLE figures (
    figures TEXT PRIMARY KEY, labels TEXT NOT NULL
);
CREATE TABLE replication (
    key TEXT PRIMARY KEY, fingerprint TEXT NOT NULL, seed TEXT NOT NULL, number INTEGER NOT NULL,
    program TEXT NOT NULL, figures TEXT NOT NULL, data BLOB NOT NULL, seconds REAL NOT NULL,
    seal TEXT NOT NULL
);
CREATE INDEX replication_of ON replication (fingerprint, seed, program, number);
CREATE TABLE lost (
    key TEXT PRIMARY KEY, fingerprint TEXT NOT NULL, seed TEXT NOT NULL, number INTEGER NOT NULL,
    program TEXT NOT NULL, deaths INTEGER NOT NULL
);
CREATE TABLE written (
    name TEXT PRIMARY KEY, question TEXT NOT NULL, digest TEXT NOT NULL
);
"""


class StudyError(LinesimError):
    """A study's file cannot be used."""


class StudyDamagedError(StudyError):
    """A study's file is not what was written into it."""


class StudyFullError(StudyError):
    """There is no room left for a study's file."""


class StudyRefusedError(StudyError):
    """The system does not let us use a study's file."""

    status = 2  #: Exit status: the input was wrong.


def connect(path: Path, *, must_exist: bool = False) -> sqlite3.Connection:
    """Open the file of a study, make it if there is none, and check it from end to end.

    Args:
        path: The file.
        must_exist: Refuse to make one.

    Raises:
        StudyDamagedError: If the file is damaged or no study.
        StudyFullError: If there is no room for it.
        StudyRefusedError: If it cannot be opened for another reason.
    """
    if must_exist and not path.is_file():
        raise StudyRefusedError(f"{path.parent} is no study: it holds no {path.name}")
    with told(path):
        try:
            return _opened(path, alone=False)
        except sqlite3.OperationalError:
            # Sharing the file takes a second one for the index of what is new. A full disk has no room
            # for it; alone, SQLite keeps that index in memory, so that at least everything can be read.
            if not path.is_file() or path.stat().st_size == 0:
                raise
            return _opened(path, alone=True)


def _opened(path: Path, *, alone: bool) -> sqlite3.Connection:
    connection = sqlite3.connect(path, timeout=WAIT_SECONDS, isolation_level=None)
    try:
        if alone:
            connection.execute("PRAGMA locking_mode = EXCLUSIVE")
        if not connection.execute("SELECT 1 FROM sqlite_master").fetchone():
            _make(connection)
        _check(connection, path)
        # A commit survives the end of the program at any moment. A power cut may cost the last few, which
        # are then run again; waiting for the disk each time would cost more than that.
        connection.execute("PRAGMA synchronous = NORMAL")
    except BaseException:
        connection.close()
        raise
    return connection


def _make(connection: sqlite3.Connection) -> None:
    connection.execute("PRAGMA journal_mode = WAL")
    with transaction(connection):
        if connection.execute("SELECT 1 FROM sqlite_master").fetchone():
            return  # another program was faster
        for statement in _TABLES.split(";"):
            connection.execute(statement)
        connection.execute(f"PRAGMA application_id = {APPLICATION}")
        connection.execute(f"PRAGMA user_version = {LAYOUT}")


def _check(connection: sqlite3.Connection, path: Path) -> None:
    found = connection.execute("PRAGMA application_id").fetchone()[0]
    if found != APPLICATION:
        raise StudyDamagedError(f"{path} is no study of linesim, or its beginning is damaged; {_MEND}")
    layout = connection.execute("PRAGMA user_version").fetchone()[0]
    if layout != LAYOUT:
        raise StudyRefusedError(
            f"{path} has layout {layout}, this version of linesim reads layout {LAYOUT}; name another folder"
        )
    wrong = [text for (text,) in connection.execute("PRAGMA integrity_check(3)") if text != "ok"]
    if wrong:
        raise damaged(path, "; ".join(" ".join(text.split()) for text in wrong))


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """Do all of it or nothing."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
    except BaseException:
        if connection.in_transaction:  # a full disk has rolled it back already
            connection.execute("ROLLBACK")
        raise
    connection.execute("COMMIT")


_MEND = "move it away, or put a copy back, and give the same command again"


def damaged(path: Path, what: str) -> StudyDamagedError:
    """Return the error of a damaged file."""
    return StudyDamagedError(f"{path} is damaged, nothing in it is used: {what}. To go on, {_MEND}")


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Turn what SQLite complains about into words.

    Raises:
        StudyDamagedError: For a file that is damaged.
        StudyFullError: For a disk that is full.
        StudyRefusedError: For a file that cannot be read or written.
    """
    try:
        yield
    except sqlite3.DatabaseError as error:
        # What Python itself complains about, such as text that is no text, has no code.
        code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_CORRUPT) & 0xFF
        if code == sqlite3.SQLITE_FULL or (code in _REFUSED and _is_full(path)):
            raise StudyFullError(
                f"no room left for {path}; every replication that it holds is safe: make room and give the "
                "same command again"
            ) from error
        if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            raise StudyRefusedError(f"{path} is held by another program; wait for its end") from error
        if code in _REFUSED:
            raise StudyRefusedError(f"{path} cannot be used: {error}") from error
        raise damaged(path, str(error)) from error
    except (OverflowError, UnicodeDecodeError) as error:  # numbers and texts that cannot have been written
        raise damaged(path, str(error)) from error
    except OSError as error:
        if error.errno in _NO_ROOM:
            raise StudyFullError(f"no room left for {path}") from error
        raise StudyRefusedError(f"{path} cannot be used: {error.strerror or error}") from error


def _is_full(path: Path) -> bool:
    """Return whether a small file no longer fits beside the study: a full disk, a quota, a limit."""
    try:
        with tempfile.TemporaryFile(dir=path.parent, buffering=0) as probe:
            written = probe.write(bytes(_PROBE))
            os.fsync(probe.fileno())
    except OSError as error:
        return error.errno in _NO_ROOM
    return written < _PROBE
