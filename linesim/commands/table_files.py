"""Tables for other programs: an Excel workbook, and Parquet beside the CSV files of a folder."""

from __future__ import annotations

import argparse
import io
from collections.abc import Iterable, Mapping
from importlib.util import find_spec
from pathlib import Path

from linesim.commands.files import OutputRefusedError, require_free, write_bytes

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
