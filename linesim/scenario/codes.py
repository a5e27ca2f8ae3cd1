"""Every kind of problem that a scenario can have: its code and a paragraph about it.

The paragraphs stand in `messages.toml`, a wrong scenario for each in `tests/problems`; tests hold the lists
equal.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from importlib import resources
from itertools import chain
from types import MappingProxyType


def _paragraphs() -> Mapping[str, Mapping[str, str]]:
    """Return the paragraphs by group and code, each on one line."""
    text = (resources.files("linesim.scenario") / "messages.toml").read_text(encoding="utf-8")
    return {
        group: {code: " ".join(says.split()) for code, says in paragraphs.items()}
        for group, paragraphs in tomllib.loads(text).items()
    }


#: Paragraph of each code, without Markdown around it.
CODES: Mapping[str, str] = MappingProxyType(
    dict(chain.from_iterable(group.items() for group in _paragraphs().values()))
)
WARNINGS: frozenset[str] = frozenset(_paragraphs()["warnings"])  #: Codes that do not refuse a scenario.
