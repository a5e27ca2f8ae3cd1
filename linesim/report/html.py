"""How a page becomes one file: templates in which every text is escaped, its own script, harmless data."""

from __future__ import annotations

import base64
import hashlib
import json
from importlib.resources import files
from typing import Any


def template_text(name: str) -> str:
    """Return a template, script or style of the pages."""
    return files("linesim.report").joinpath("templates", *name.split("/")).read_text(encoding="utf-8")


def rendered(template: str, style: str, script: str, **values: Any) -> str:
    """Return a page as HTML; the same values give the same bytes.

    Every text that a scenario brings along is escaped, and a policy in the page lets the reader's program
    load nothing and run nothing but the page's own script.

    Args:
        template: Name of the template.
        style: Its style.
        script: Its script.
        values: What else the template asks for.
    """
    from jinja2 import Environment, FunctionLoader, StrictUndefined
    from markupsafe import Markup

    env = Environment(
        loader=FunctionLoader(template_text), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True, keep_trailing_newline=True,
    )  # fmt: skip
    return env.get_template(template).render(
        style=Markup(style), script=Markup(script), script_digest=digest(script), as_it_is=Markup, **values
    )


def digest(script: str) -> str:
    """Return the digest by which a policy allows one script and no other."""
    return "sha256-" + base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()


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
