"""What every study answers with: plain sentences on top, the tables behind them, and where they come from."""

from __future__ import annotations

import html
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from linesim.answers.card import StudyCard
from linesim.questions.answer_table import AnswerTable, by_name

SCHEMA_VERSION = 1  #: Of the JSON document; rises when a key changes its meaning or goes.


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer of a study. Each study has its own subclass, whose fields say more.

    Attributes:
        study: The command that asks this question, such as ``"compare"``.
        sentences: The answer in plain English, the most important first; every number in them comes
            from the tables and is rounded to what its interval supports.
        tables_: The tables; read them by name through `tables`.
        cautions: What a reader should look into before acting on the answer.
        card: What was simulated and how, to get the same answer again.
    """

    study: str
    sentences: tuple[str, ...]
    tables_: tuple[AnswerTable, ...]
    cautions: tuple[str, ...]
    card: StudyCard

    @property
    def tables(self) -> Mapping[str, AnswerTable]:
        """The tables by name."""
        return by_name(self.tables_)

    def table(self, name: str) -> AnswerTable:
        """Return one table.

        Raises:
            KeyError: If there is none of this name; the message lists those that there are.
        """
        found = self.tables
        if name not in found:
            raise KeyError(f"no table {name!r}; there are {', '.join(found) or 'none'}")
        return found[name]

    def as_dict(self) -> dict[str, Any]:
        """Return what `to_json` writes, as plain dictionaries, lists, texts and numbers."""
        return {
            "schema_version": SCHEMA_VERSION,
            "study": self.study,
            "sentences": list(self.sentences),
            "cautions": list(self.cautions),
            **self.card.as_dict(),
            "tables": {table.name: table.as_rows() for table in self.tables_},
            "captions": {table.name: table.says for table in self.tables_ if table.says},
        }

    def to_json(self) -> str:
        """Return the answer as one JSON object; the same input and seed give the same bytes."""
        return json.dumps(self.as_dict(), indent=2, ensure_ascii=False, allow_nan=False) + "\n"

    def files(self) -> dict[str, str]:
        """Return what a folder of results holds: each table as CSV, and the JSON object."""
        texts = {f"{table.name}.csv": table.to_csv() for table in self.tables_}
        return {**texts, f"{self.study}.json": self.to_json()}

    def __str__(self) -> str:
        return "\n".join([*self.sentences, *self.cautions])

    def _repr_html_(self) -> str:
        """Show sentences, cautions and tables in a notebook; every text is escaped."""
        said = "".join(f"<p>{html.escape(text)}</p>" for text in self.sentences)
        cautions = "".join(f"<li>{html.escape(text)}</li>" for text in self.cautions)
        tables = "".join(table.to_html() for table in self.tables_)
        return f"<div>{said}{f'<ul>{cautions}</ul>' if cautions else ''}{tables}</div>"
