"""What a name means: that of a measure, of a state or cause, or the code of a message."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.errors import WrongQuestionError
from linesim.measures import DEFINITIONS, GLOSSARY
from linesim.questions.explain.study import document_of
from linesim.questions.explain.text import Chapter, Sentence
from linesim.scenario.problems import CODES, WARNINGS, nearest

if TYPE_CHECKING:
    from linesim.answers.document import Document

_NAME = re.compile(r"\[?([\w-]{1,60})(:.{0,60})?\]?", re.ASCII)


def explained(text: str) -> Document | None:
    """Return what is said of a name; None for what can only be a file.

    Args:
        text: A measure, with place and cause or without (``line_stop:trim``), a state or cause, or the code
            of a message, in its brackets or without.

    Raises:
        WrongQuestionError: If it is neither a file nor a known name.
    """
    found = _NAME.fullmatch(text)
    if found is None or Path(text).exists():
        return None
    name = found[1]
    if name in DEFINITIONS:
        says = DEFINITIONS[name]
        head, said = "A measure", [says.says, f"Unit: {says.unit}. One figure for each: {says.where}."]
    elif name in CODES:
        head, said = "A warning" if name in WARNINGS else "A message that refuses a file", [CODES[name]]
    elif name in GLOSSARY:
        head, said = "A word", [GLOSSARY[name]]
    else:
        near = nearest(name, (*DEFINITIONS, *CODES, *GLOSSARY))
        such = f"; did you mean {', '.join(near)}?" if near else ""
        raise WrongQuestionError(
            f"{text!r} is no file, and neither a measure nor the code of a message{such or '.'}"
        )
    return document_of(name, (Chapter(head, tuple(map(Sentence, said))),))
