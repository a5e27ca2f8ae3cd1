"""Files are written whole or not at all, and a full disk is told in words."""

import errno
import os
from pathlib import Path

import pytest

from linesim.answers.table import csv_text
from linesim.commands.files import OutputRefusedError, write_file, write_folder


def full_disk(*_: object, **__: object) -> None:
    """Fail as a full disk does."""
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_new_folder_appears_whole(tmp_path: Path) -> None:
    """All files are in the folder, and nothing else is left beside it."""
    write_folder("--out", tmp_path / "a" / "out", {"x.csv": "1\n", "y.csv": "2\n"})
    assert [path.name for path in (tmp_path / "a").iterdir()] == ["out"]
    assert (tmp_path / "a" / "out" / "y.csv").read_bytes() == b"2\n"


def test_a_full_disk_leaves_no_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the second file cannot be written there is no folder and no rest; the message says why."""
    write = Path.write_text

    def second_fails(path: Path, text: str, **options: str) -> int:
        if path.name == "y.csv":
            full_disk()
        return write(path, text, **options)

    monkeypatch.setattr(Path, "write_text", second_fails)
    with pytest.raises(OutputRefusedError, match="No space left"):
        write_folder("--out", tmp_path / "out", {"x.csv": "1\n", "y.csv": "2\n"})
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_keeps_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file that should be replaced stays as it was until the new one is whole."""
    path = tmp_path / "x.csv"
    path.write_text("old", encoding="utf-8")
    monkeypatch.setattr("linesim.commands.files.os.replace", full_disk)
    with pytest.raises(OutputRefusedError, match=r"x\.csv cannot be written: No space left"):
        write_file("--events", path, "new")
    assert path.read_text(encoding="utf-8") == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_files_get_the_rights_of_ordinary_files(tmp_path: Path) -> None:
    """A written file may be read by whom the user's own new files may be read by."""
    (tmp_path / "ordinary").touch()
    write_file("--events", tmp_path / "log.csv", "1\n")
    modes = {path.stat().st_mode for path in tmp_path.iterdir()}
    assert len(modes) == 1


def test_a_spreadsheet_takes_no_text_for_a_formula() -> None:
    """Text that begins like a formula gets an apostrophe; numbers stay numbers, also negative ones."""
    text = csv_text(("a", "b"), [("=cmd|' /C calc'!A0", -1.5), ("@x", None), ("-1", 2)])
    assert text == "a,b\n'=cmd|' /C calc'!A0,-1.5\n'@x,\n'-1,2\n"
