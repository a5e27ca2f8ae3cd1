"""Files that a command writes: whole or not at all, and never over another by accident."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

from linesim.commands.status import WRONG_INPUT
from linesim.errors import LinesimError


class OutputRefusedError(LinesimError):
    """A file cannot be written where it is wanted."""

    status = WRONG_INPUT


def require_free(paths: Mapping[str, Path], *, force: bool) -> None:
    """Refuse to go on if a file that is to be written is already there.

    Args:
        paths: Option that asked for the file -> the file.
        force: Whether ``--force`` allows it.

    Raises:
        OutputRefusedError: With every file that is in the way, before anything is simulated.
    """
    wrong = []
    for option, path in paths.items():
        if path.is_dir():
            wrong.append(f"{option}: {path} is a folder; name a file")
        elif path.exists() and not force:
            wrong.append(f"{option}: {path} is already there; name another, or add --force to replace it")
        elif not _folder_above(path).is_dir():
            wrong.append(f"{option}: {_folder_above(path)} is no folder")
    if wrong:
        raise OutputRefusedError("\n".join(wrong))


def require_folder(option: str, folder: Path, names: tuple[str, ...], *, force: bool) -> None:
    """Refuse to go on if a folder cannot take the files ``names``.

    Raises:
        OutputRefusedError: With everything that is in the way.
    """
    if folder.exists() and not folder.is_dir():
        raise OutputRefusedError(f"{option}: {folder} is a file; name a folder")
    there = [name for name in names if (folder / name).exists()]
    if there and not force:
        raise OutputRefusedError(
            f"{option}: {folder} already holds {', '.join(there)}; name another folder, or add --force to "
            "replace these files"
        )
    for above in folder.absolute().parents:
        if above.exists() and not above.is_dir():
            raise OutputRefusedError(f"{option}: {above} is a file; name a folder")


def write_folder(option: str, folder: Path, texts: Mapping[str, str]) -> None:
    """Write several files into a folder, each of them whole or not at all.

    A folder that is not there yet appears with all its files at once; folders above it are made.

    Raises:
        OutputRefusedError: If the system does not let us, such as on a full disk.
    """
    try:
        if folder.exists():
            for name, text in texts.items():
                _write(folder / name, text)
            return
        _folder_above(folder).mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=f".{folder.name}-", dir=_folder_above(folder)) as hidden:
            made = Path(hidden) / folder.name
            made.mkdir()
            for name, text in texts.items():
                (made / name).write_text(text, encoding="utf-8", newline="")
            made.rename(folder)
    except OSError as error:
        raise _refused(option, folder, error) from error


def write_file(option: str, path: Path, text: str) -> None:
    """Write a file, whole or not at all.

    Raises:
        OutputRefusedError: If the system does not let us.
    """
    try:
        _write(path, text)
    except OSError as error:
        raise _refused(option, path, error) from error


def write_bytes(option: str, path: Path, data: bytes) -> None:
    """Write a file that holds no text, whole or not at all.

    Raises:
        OutputRefusedError: If the system does not let us.
    """
    try:
        _write_bytes(path, data)
    except OSError as error:
        raise _refused(option, path, error) from error


def _write(path: Path, text: str) -> None:
    _write_bytes(path, text.encode("utf-8"))


def _write_bytes(path: Path, data: bytes) -> None:
    handle, hidden = tempfile.mkstemp(prefix=f".{path.name}-", dir=_folder_above(path))
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        os.chmod(hidden, 0o666 & ~_umask())
        os.replace(hidden, path)
    except BaseException:
        Path(hidden).unlink(missing_ok=True)
        raise


def _umask() -> int:
    """Return which rights new files do not get; temporary files get fewer than others."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _folder_above(path: Path) -> Path:
    return path.absolute().parent


def _refused(option: str, path: Path, error: OSError) -> OutputRefusedError:
    return OutputRefusedError(f"{option}: {path} cannot be written: {error.strerror or error}")
