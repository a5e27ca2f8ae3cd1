"""A page in the browser, and everything that went wrong while it was open."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

RULES = (Path(__file__).parent / "rules.js").read_text(encoding="utf-8")
#: Names that want to be more than names.
EVIL = MappingProxyType(
    {
        "K1": '<img src=x onerror="window.hit=1">',
        "P2": '"><script>window.hit=2</script>',
        "lane": "$a_b$ & <b>bold</b>",
        "belt": "=1+1",
    }
)

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page


@dataclass
class Opened:
    """An open page.

    Attributes:
        page: The page.
        complaints: What the browser complained of on its console, and errors of scripts.
        requests: What was asked for besides the page itself.
    """

    page: "Page"
    complaints: list[str] = field(default_factory=list)
    requests: list[str] = field(default_factory=list)


@contextmanager
def opened(
    browser: "Browser",
    path: Path,
    *,
    width: int = 1024,
    height: int = 900,
    printed: bool = False,
    dark: bool = False,
) -> Iterator[Opened]:
    """Open a page, in a browser that has never been used before, and close it afterwards.

    Args:
        browser: The browser.
        path: The page's file.
        width: Width of the window [px].
        height: Its height [px].
        printed: Whether it is shown as it would be printed.
        dark: Whether the reader prefers light letters on a dark page.
    """
    context = browser.new_context(
        viewport={"width": width, "height": height}, offline=True, color_scheme="dark" if dark else "light"
    )
    page = context.new_page()
    if printed:
        page.emulate_media(media="print")
    found = Opened(page)
    page.on("console", lambda message: found.complaints.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: found.complaints.append(f"error: {error}"))
    page.on(
        "request",
        lambda request: None if request.is_navigation_request() else found.requests.append(request.url[:100]),
    )
    try:
        page.goto(path.as_uri())
        yield found
    finally:
        context.close()


def wrong(page: "Page", *rules: str) -> list[str]:
    """Return what the named rules find wrong with an open page."""
    page.evaluate(RULES)
    return [f"{rule}: {what}" for rule in rules for what in page.evaluate(f"rules.{rule}()")]


def violations(page: "Page", axe: str, within: str = "html") -> list[str]:
    """Return what axe-core finds wrong with the page as it is, or with parts of it that a selector names."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(axe)
    found = page.evaluate(
        "(within) => axe.run(within, {resultTypes: ['violations'], preload: false})"
        ".then((one) => one.violations)",
        within,
    )
    return [f"{one['id']}: {part['html'][:120]}" for one in found for part in one["nodes"]]


def open_folds(page: "Page") -> None:
    """Open every fold of a page."""
    page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
