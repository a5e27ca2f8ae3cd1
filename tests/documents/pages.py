"""Takes pages apart: fenced blocks, and the parts between markers that are written from the program."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
README = ROOT / "README.md"
ANSWERS = ROOT / "scenarios" / "ANSWERS.md"  #: What README's commands print, whole.


def blocks(page: Path, language: str) -> list[str]:
    """Return the fenced blocks of a page in one language, in order."""
    return re.findall(
        rf"^```{language}\n(.*?)^```$", page.read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL
    )


def _between(name: str) -> re.Pattern[str]:
    return re.compile(rf"(<!-- {name}: written by [^>]*-->\n)(.*?)(<!-- {name}: end -->)", re.DOTALL)


def generated_part(page: Path, name: str) -> str:
    """Return what stands between the markers of a generated part."""
    found = _between(name).search(page.read_text(encoding="utf-8"))
    assert found, f"{page.name} has no markers for {name}"
    return found.group(2)


def write_part(page: Path, name: str, text: str) -> None:
    """Put ``text`` between the markers of a generated part."""
    whole = page.read_text(encoding="utf-8")
    page.write_text(
        _between(name).sub(lambda found: found.group(1) + text + found.group(3), whole), encoding="utf-8"
    )
