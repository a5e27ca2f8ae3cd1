"""Visits to the desk: a page of it in the browser, and the two hands by which somebody uses it."""

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from tests.desks import Served
from tests.pages.opened import Opened

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator

Hand = Literal["mouse", "keyboard"]
#: Whether somebody comes to a control by the tab key, and sees it.
IS_STOP = "(one) => one.tabIndex >= 0 && !one.disabled && one.checkVisibility()"


@dataclass
class Visit(Opened):
    """A page of the desk, used by one hand.

    Attributes:
        hand: By which hand controls are used.
    """

    hand: Hand = "mouse"

    def use(self, control: "Locator") -> None:
        """Press a button, open a fold, follow a link; by keyboard only what is a stop of the tab key."""
        if self.hand == "mouse":
            control.click()
        else:
            self._reach(control)
            self.page.keyboard.press("Enter")

    def write(self, field: "Locator", text: str) -> None:
        """Write a text in place of what stands in a field."""
        if self.hand == "mouse":
            field.click(click_count=3)
        else:
            self._reach(field)
            self.page.keyboard.press("ControlOrMeta+a")
        self.page.keyboard.type(text)

    def _reach(self, control: "Locator") -> None:
        control.wait_for()
        for _ in range(40):  # what was just shown is drawn with the next frame
            if control.evaluate(IS_STOP):
                break
            self.page.wait_for_timeout(25)
        else:
            raise AssertionError("the tab key does not come here")
        control.focus()

    def drag(self, source: "Locator", target: "Locator") -> None:
        """Drag one thing onto another by the mouse, in steps as a hand does; both are in view."""
        target.scroll_into_view_if_needed()
        source.scroll_into_view_if_needed()
        (x, y), (to_x, to_y) = (
            (box["x"] + 40, box["y"] + 14) if one is source else (box["x"] + 8, box["y"] + 8)
            for one in (source, target)
            if (box := one.bounding_box()) is not None
        )
        self.page.mouse.move(x, y)
        self.page.mouse.down()
        for share in (0.1, 0.5, 0.9, 1.0, 1.0):
            self.page.mouse.move(x + share * (to_x - x), y + share * (to_y - y))
        self.page.mouse.up()

    def answered(self) -> str:
        """Wait for the last look and return what it says."""
        self.page.locator("#part-answer", has_text="10 of 10 replications").wait_for()
        return self.page.locator("#part-answer .lead").inner_text()

    @property
    def overflow(self) -> int:
        """By how much the page is wider than its window [px]."""
        return int(self.page.evaluate("document.documentElement.scrollWidth - innerWidth"))


@contextmanager
def visited(
    browser: "Browser", desk: Served, width: int = 1280, hand: Hand = "mouse", address: str = ""
) -> Iterator[Visit]:
    """Open the desk by its first address, in a browser that was never used before.

    Args:
        browser: The browser.
        desk: The desk.
        width: Width of the window [px].
        hand: By which hand it is used.
        address: What is opened in place of the first address.
    """
    context = browser.new_context(viewport={"width": width, "height": 900}, reduced_motion="reduce")
    page = context.new_page()
    page.set_default_timeout(20_000)
    found = Visit(page, hand=hand)
    page.on("console", lambda message: found.complaints.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: found.complaints.append(f"error: {error}"))
    try:
        page.goto(address or desk.address, wait_until="commit")
        page.wait_for_url(f"http://{desk.host}/")
        page.locator("#part-strip .station").first.wait_for()
        yield found
    finally:
        context.close()


@contextmanager
def held(owner: type, name: str) -> Iterator[Callable[[], None]]:
    """Have every call of a method wait; yield what lets one of them go on."""
    real = getattr(owner, name)
    steps, is_over = threading.Semaphore(0), threading.Event()

    def waits(*args: Any, **named: Any) -> Any:
        while not (is_over.is_set() or steps.acquire(timeout=0.05)):
            pass
        return real(*args, **named)

    setattr(owner, name, waits)
    try:
        yield steps.release
    finally:
        is_over.set()
        setattr(owner, name, real)
