"""A real browser for the tests of pages: the system's Chromium, without a network and without waiting."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

_WHY = "chromium is not installed, so pages are not opened in a browser"


@pytest.fixture(scope="session")
def browser() -> Iterator["Browser"]:
    """Return the browser; without one the tests are skipped, and fail where ``CI`` is set."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        if os.environ.get("CI"):
            pytest.fail(_WHY)
        pytest.skip(_WHY)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(
            executable_path=found, args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
        )
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def kept_pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder for pages that several tests open."""
    return tmp_path_factory.mktemp("pages")
