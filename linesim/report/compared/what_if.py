"""A study's stored answers behind selectors: what if there were more people, more places, another mix?"""

from __future__ import annotations

import json
from typing import Any

from linesim.report.compared.plain import Record, measure_row, rows_of, shown, text_of
from linesim.report.parts import WhatIf
from linesim.studies.answer import Answer
from linesim.studies.figures import estimate, span
from linesim.studies.verdicts import signed, signed_span

MOST_CASES = 3000  #: More cases are not put into a page.


def what_if(answer: Answer) -> WhatIf | None:
    """Return the selectors of a sweep; None without cases, or with more than a page should carry.

    Nothing is computed in the page: each combination shows figures that were simulated, with their
    intervals, or says that it was not simulated. They begin with the line as it is, if that is among them.
    """
    rows = rows_of(answer, "cases")
    if not rows:
        return None
    columns = list(rows[0])
    factors = columns[1 : columns.index("measure")]
    cases: dict[str, dict[str, Any]] = {}
    for row in rows:
        name = text_of(row, "case")
        case = cases.setdefault(name, {"name": name, "levels": _levels(row, factors), "figures": []})
        asked, figure = shown(row), measure_row(row)
        case["figures"].append(
            [asked.label, estimate(figure, scale=asked.scale), span(figure, scale=asked.scale)]
        )
    if len(cases) > MOST_CASES:
        return None
    for row in rows_of(answer, "against_base"):
        found = cases.get(text_of(row, "case"))
        if found is not None:
            asked, change = shown(row), measure_row(row, "difference")
            found["change"] = [
                asked.label, signed(change, scale=asked.scale), signed_span(change, scale=asked.scale),
                text_of(row, "verdict"),
            ]  # fmt: skip
    values = {
        factor: list(dict.fromkeys(case["levels"][k] for case in cases.values()))
        for k, factor in enumerate(factors)
    }
    whole = 1
    for options in values.values():
        whole *= len(options)
    is_grid = bool(factors) and whole == len(cases)
    base, *varied = answer.card.cases
    first = next((one.name for one in varied if one.fingerprint == base.fingerprint), next(iter(cases)))
    levels = cases[first]["levels"]
    return WhatIf(
        data=embedded({"factors": [[f, values[f]] for f in factors] if is_grid else [],
                       "cases": list(cases.values())}),
        factors=tuple((f, tuple(values[f]), own) for f, own in zip(factors, levels, strict=True))
        if is_grid
        else (),
        cases=tuple(cases),
        first=first,
        confidence=f"{100 * answer.card.confidence:g} %",
    )  # fmt: skip


def embedded(value: object) -> str:
    r"""Return a value as JSON that stands safely inside a page: nothing in it ends its element.

    Examples:
        >>> print(embedded({"name": "</script><b>"}))
        {"name":"\u003c/script\u003e\u003cb\u003e"}
    """
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for letter in "<>&\u2028\u2029":
        text = text.replace(letter, f"\\u{ord(letter):04x}")
    return text


def _levels(row: Record, factors: list[str]) -> list[str]:
    return [text_of(row, factor) or "as it is" for factor in factors]
