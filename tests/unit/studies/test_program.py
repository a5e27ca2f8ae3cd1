"""The digest of the program changes with everything that can move a digit, and with nothing else."""

from pathlib import Path

import pytest

from linesim.studies import program
from linesim.studies.program import DECIDING, program_digest


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a small package that the digest is taken of."""
    for part in DECIDING:
        path = tmp_path / part
        if part.endswith(".py"):
            path.parent.mkdir(exist_ok=True)
            path.write_text("a = 1\n", encoding="utf-8")
        else:
            (path / "inner").mkdir(parents=True)
            (path / "inner" / "file.py").write_text("b = 2\n", encoding="utf-8")
    monkeypatch.setattr(program, "files", lambda _: tmp_path)
    return tmp_path


@pytest.mark.parametrize("part", DECIDING)
def test_every_deciding_part_counts(package: Path, part: str) -> None:
    """A changed letter in any part that decides figures gives another digest."""
    before = program_digest()
    path = package / part
    path = path if path.is_file() else path / "inner" / "file.py"
    path.write_text(path.read_text(encoding="utf-8") + "#", encoding="utf-8")
    assert program_digest() != before


def test_names_count_and_other_files_do_not(package: Path) -> None:
    """A renamed file counts; caches, notes and the ends of lines do not."""
    before = program_digest()
    (package / "engine" / "inner" / "file.pyc").write_bytes(b"x")
    (package / "notes.py").write_text("c = 3\n", encoding="utf-8")
    (package / "plan" / "inner" / "file.py").write_bytes(b"b = 2\r\n")
    assert program_digest() == before
    (package / "engine" / "inner" / "file.py").rename(package / "engine" / "inner" / "other.py")
    assert program_digest() != before


def test_versions_count(monkeypatch: pytest.MonkeyPatch) -> None:
    """Another version of a library that can move a digit gives another digest."""
    before = program_digest()
    monkeypatch.setattr(program, "versions", lambda: {"numpy": "0.0"})
    assert program_digest() != before


def test_the_real_package_has_every_part() -> None:
    """Every part of the list is there: a renamed room must not drop out of the digest unseen."""
    root = Path(program.__file__).parents[1]
    assert [part for part in DECIDING if not (root / part).exists()] == []
