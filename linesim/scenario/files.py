"""Reading the files that a scenario names, and no others.

A named file must lie in the folder of the file that names it, or below, after all links are
followed; it must be an ordinary file of bearable size. Nothing that is read is ever executed.
"""

from __future__ import annotations

import codecs
import hashlib
import os
import stat
from dataclasses import dataclass
from pathlib import Path

from linesim.scenario.problems import UnreadableError, nearest, shown

TEXT_LIMIT = 2_000_000  #: Largest scenario file [bytes].
TABLE_LIMIT = 30_000_000  #: Largest table file [bytes].


@dataclass(frozen=True, slots=True)
class InputFile:
    """A file that was read.

    Attributes:
        name: Name as the user would write it.
        sha256: Hash of its bytes, in hexadecimal.
    """

    name: str
    sha256: str


@dataclass(frozen=True, slots=True)
class FoundFile:
    """A file's bytes, with the names of where it stands.

    Attributes:
        name: Name as the user would write it.
        path: Real place, all links followed.
        data: Its bytes.
    """

    name: str
    path: Path
    data: bytes

    @property
    def folder(self) -> Folder:
        """The folder that this file's own references are confined to."""
        return Folder(os.path.dirname(self.name), self.path.parent)

    @property
    def as_input(self) -> InputFile:
        """Name and hash."""
        return InputFile(self.name, hashlib.sha256(self.data).hexdigest())

    def text(self) -> str:
        """Return the text of a UTF-8 file; a byte-order mark at its beginning is left out.

        Raises:
            UnreadableError: If the bytes are not UTF-8.
        """
        body = self.data.removeprefix(codecs.BOM_UTF8)
        try:
            return body.decode("utf-8")
        except UnicodeDecodeError as error:
            line = body.count(b"\n", 0, error.start) + 1
            byte = body[error.start]
            raise UnreadableError(
                "not-utf-8",
                f"found the byte 0x{byte:02x}, which is not UTF-8; save the file as UTF-8 text.",
                line,
            ) from None


@dataclass(frozen=True, slots=True)
class Folder:
    """A folder whose files, and those of the folders below, may be read.

    Attributes:
        name: Name as the user would write it; empty for the present folder.
        path: Real place, all links followed.
    """

    name: str
    path: Path

    def read(self, named: str, *, limit: int) -> FoundFile:
        """Return the file that somebody named, relative to this folder.

        Args:
            named: Relative name of the file.
            limit: Largest size that is accepted [bytes].

        Raises:
            UnreadableError: If the file lies outside the folder, is missing, is no ordinary file,
                is too large or may not be read.
        """
        try:
            place = (self.path / named).resolve()
        except (OSError, ValueError, RuntimeError):
            raise UnreadableError("no-file", f"{shown(named)} is no name of a file.") from None
        if os.path.isabs(named) or not place.is_relative_to(self.path):
            raise UnreadableError(
                "outside-folder",
                f"{shown(named)} lies outside the scenario's folder; put the file there or below and "
                "name it from there.",
            )
        data = read_ordinary(place, shown(named), limit=limit)
        return FoundFile(os.path.join(self.name, named), place, data)


def open_scenario(path: str | os.PathLike[str]) -> FoundFile:
    """Return the scenario file that a user named on the command line or in Python.

    Raises:
        UnreadableError: If it is missing, is no ordinary file, is too large or may not be read.
    """
    name = os.fspath(path)
    try:
        folder = Path(os.path.dirname(name)).resolve()
    except (OSError, ValueError, RuntimeError):
        raise UnreadableError("no-file", f"{shown(name)} is no name of a file.") from None
    data = read_ordinary(folder / os.path.basename(name), "the scenario", limit=TEXT_LIMIT)
    return FoundFile(name, folder / os.path.basename(name), data)


def read_ordinary(place: Path, said: str, *, limit: int) -> bytes:
    """Return the bytes of an ordinary file.

    Args:
        place: Where it stands.
        said: How a message calls it.
        limit: Largest size that is accepted [bytes].

    Raises:
        UnreadableError: If it is missing, is no ordinary file, is too large or may not be read.
    """
    try:
        kind = place.stat().st_mode
        if stat.S_ISDIR(kind):
            raise UnreadableError("not-a-file", f"{said} is a folder; name the file inside it.")
        if not stat.S_ISREG(kind):
            raise UnreadableError("not-a-file", f"{said} is no ordinary file.")
        with place.open("rb") as stream:
            data = stream.read(limit + 1)
    except FileNotFoundError:
        raise UnreadableError("no-file", f"{said} does not exist{_instead(place)}.") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name cannot be used"
        raise UnreadableError("cannot-read", f"{said} cannot be read: {reason.lower()}.") from None
    if len(data) > limit:
        raise UnreadableError("too-large", f"{said} is larger than {limit:,} bytes, the most that is read.")
    return data


def _instead(place: Path) -> str:
    """Return the end of a sentence with names of like files in the same folder."""
    try:
        names = sorted(item.name for item in place.parent.iterdir() if item.is_file())
    except (OSError, ValueError):
        return ""
    near = nearest(place.name, names)
    return f"; the folder has {', '.join(near)}" if near else ""
