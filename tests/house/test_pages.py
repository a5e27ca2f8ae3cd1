"""Files stay short, public things say what they are, and the top level is the fixed one."""

import ast
import re
from pathlib import Path

from tests.house.tree import ROOT, Module, each, package_modules

MODULES = package_modules()
everywhere = each(MODULES)
TEST_FILES = tuple(sorted((ROOT / "tests").rglob("test_*.py")))
LONGEST = 400


def public_things(body: list[ast.stmt], prefix: str = "") -> list[tuple[str, ast.AST]]:
    """Return public functions, classes and methods of a body with their dotted names."""
    found: list[tuple[str, ast.AST]] = []
    for item in body:
        if isinstance(item, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            if item.name.startswith("_") or any("overload" in ast.unparse(d) for d in item.decorator_list):
                continue
            found.append((prefix + item.name, item))
            if isinstance(item, ast.ClassDef):
                found += public_things(item.body, f"{prefix}{item.name}.")
    return found


@each([*(m.path for m in MODULES), *sorted((ROOT / "tests").rglob("*.py"))])
def test_files_hold_one_idea(path: Path) -> None:
    """No Python file is longer than 400 lines; at that length it holds a second topic."""
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST


def is_override(item: ast.AST) -> bool:
    """Return whether a method is marked as keeping the promise of its base class."""
    return any(isinstance(d, ast.Name) and d.id == "override" for d in getattr(item, "decorator_list", ()))


@everywhere
def test_public_things_have_docstrings(module: Module) -> None:
    """Every file, public function, class and method says what it is; an override leaves that to its base."""
    wrong = [f"{module}:{getattr(item, 'lineno', 1)} {name}"
             for name, item in [("file", module.tree), *public_things(module.tree.body)]
             if not ast.get_docstring(item) and not is_override(item)]  # type: ignore  # fmt: skip
    assert not wrong


@each(TEST_FILES)
def test_tests_say_what_must_hold(path: Path) -> None:
    """Every test has a docstring of one sentence that ends with a full stop."""
    wrong = []
    for item in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(item, ast.FunctionDef) and item.name.startswith("test_"):
            said = " ".join((ast.get_docstring(item) or "").split())
            if not re.fullmatch(r"[^\s].*[.!?)]", said):
                wrong.append(f"{path.relative_to(ROOT)}:{item.lineno} {item.name}")
    assert not wrong


def test_top_level_is_fixed() -> None:
    """Beside dot-files the repository holds exactly its known folders and pages."""
    known = {"README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE"}
    known |= {"linesim", "scenarios", "tests", "notebooks"}
    built = {
        "build",
        "dist",
        "results",
        "out",
        "htmlcov",
    }  # what a developer's own commands leave, ignored by git
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    found = {name for name in found if name not in built and not name.endswith(".egg-info")}
    assert found <= known
    assert known - {"notebooks"} <= found


def test_public_names_are_real_and_described() -> None:
    """Every public name of the package can be had, has a docstring and is mentioned in README."""
    import linesim

    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for name in linesim.__all__:
        thing = getattr(linesim, name)
        if not name.startswith("__"):
            assert thing.__doc__, name
            assert name in readme, f"README does not mention linesim.{name}"
