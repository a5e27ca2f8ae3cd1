"""What commands write: files, folders, an Excel workbook, Parquet beside CSV; each whole or not at all."""

from __future__ import annotations

import argparse
import io
import os
import tempfile
from collections.abc import Iterable, Mapping
from importlib.util import find_spec
from pathlib import Path

from linesim.commands.options import WRONG_INPUT
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


WORKBOOK = ".xlsx"  #: What the name of a workbook ends with.


def wants_workbook(args: argparse.Namespace) -> bool:
    """Return whether ``--out`` names a workbook instead of a folder."""
    return bool(args.out) and Path(args.out).suffix.lower() == WORKBOOK


def require_tables(args: argparse.Namespace, files: Iterable[str]) -> None:
    """Refuse to go on if a workbook or Parquet files are wanted where they cannot be written.

    Args:
        args: The command line.
        files: Names of the files that a folder would get.

    Raises:
        OutputRefusedError: Before anything is simulated.
    """
    if wants_workbook(args):
        require_free({"--out": Path(args.out)}, force=args.force)
    if not args.parquet:
        return
    if not args.out or wants_workbook(args):
        raise OutputRefusedError("--parquet goes with --out DIR: name the folder that the tables go to")
    if find_spec("pyarrow") is None:
        raise OutputRefusedError(
            "--parquet needs the package pyarrow, which is not installed; install it, or leave --parquet "
            "out: the CSV files hold the same tables"
        )
    there = [str(path) for name in _names(files) if (path := Path(args.out) / name).exists()]
    if there and not args.force:
        raise OutputRefusedError(f"--parquet: already there: {', '.join(there)}; add --force to replace them")


def write_workbook(args: argparse.Namespace, book: bytes) -> None:
    """Write a workbook to where ``--out`` wants it."""
    write_bytes("--out", Path(args.out), book)


def write_parquet(args: argparse.Namespace, texts: Mapping[str, str]) -> None:
    """Write the CSV tables of a folder as Parquet too, if ``--parquet`` wants it: same rows, same columns."""
    if not args.parquet:
        return
    import pandas as pd

    for name in texts:
        if name.endswith(".csv"):
            frame = pd.read_csv(io.StringIO(texts[name]), keep_default_na=False, na_values=[""])
            out = io.BytesIO()
            frame.to_parquet(out, engine="pyarrow", index=False)
            write_bytes("--parquet", Path(args.out) / _parquet(name), out.getvalue())


def _names(files: Iterable[str]) -> list[str]:
    return [_parquet(name) for name in files if name.endswith(".csv")]


def _parquet(name: str) -> str:
    return name.removesuffix(".csv") + ".parquet"
