"""The digest of the program changes with everything that can move a digit, and with nothing else."""

from pathlib import Path

import pytest

from linesim.runs import program
from linesim.runs.program import DECIDING, program_digest
from tests.house.tree import imports_of, package_modules


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a small package that the digest is taken of."""
    for part in DECIDING:
        path = tmp_path / part
        if part.endswith(".py"):
            path.parent.mkdir(parents=True, exist_ok=True)
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


def test_what_is_noted_of_a_replication_is_in_the_digest() -> None:
    """Every file that notes something of a replication, and all that it imports of ours, decides figures."""
    modules = {module.name: module for module in package_modules()}
    wanted = [name for name, module in modules.items() if "= Recorder(" in module.path.read_text("utf-8")]
    assert len(wanted) >= 3
    free = {"linesim", "linesim.errors", "linesim.runs"}
    seen = set(free)
    while wanted:
        name = wanted.pop()
        if name in seen or name not in modules:
            continue
        seen.add(name)
        names = [found.name for found in imports_of(modules[name]) if not found.for_types]
        wanted += [found if found in modules else found.rpartition(".")[0] for found in names]
    root = Path(program.__file__).parents[1]
    # The versions are in the digest by themselves, and a message decides no figure.
    for name in seen - free:
        place = modules[name].path.relative_to(root).as_posix()
        assert any(place == part or place.startswith(f"{part}/") for part in DECIDING), place
