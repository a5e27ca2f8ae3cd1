"""The scenario language as JSON Schema, for editors and other programs."""

from __future__ import annotations

from typing import Any

from linesim.scenario.models import Scenario

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def json_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a scenario file.

    It describes what a complete scenario may say. Rules between tables, such as that a crew
    covers stations that exist, cannot be said in a schema; `linesim check` knows them.
    """
    schema = Scenario.model_json_schema(mode="validation", by_alias=True)
    return {"$schema": DIALECT, "title": "Scenario of a line", **schema}
