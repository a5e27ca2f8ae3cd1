"""What all tests share: places in the checkout, the golden switch, steady examples, no silent skips."""

import os
import sys
from functools import partial
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

ROOT = Path(__file__).resolve().parent.parent

# The same examples every time: a red test is a fault, never bad luck that another start would hide.
settings.register_profile(
    "house",
    derandomize=True,
    database=None,
    deadline=None,
    print_blob=False,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("house")

_skips: pytest.StashKey[list[str]] = pytest.StashKey()


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add ``--update-golden``."""
    parser.addoption(
        "--update-golden",
        action="store_true",
        help="write the golden files anew from what the program does now; read the diff before you commit it",
    )


def pytest_configure(config: pytest.Config) -> None:
    """Keep a list of skipped tests for the end of the run, and draw charts without a screen."""
    os.environ.setdefault("MPLBACKEND", "Agg")
    config.stash[_skips] = []


#: Folders whose tests run no line.
_STILL = ("tests/house/", "tests/problems/", "tests/unit/scenario/", "tests/unit/stats/")


def pytest_collection_finish(session: pytest.Session) -> None:
    """Have the rules compiled before the first test, once for all processes, so that no test pays for it."""
    if all(item.nodeid.startswith(_STILL) for item in session.items):
        return
    from linesim.runs.drive import drive_for

    drive_for(None, partial(print, file=sys.stderr, flush=True))


def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """Turn a run with skipped tests red where ``CI`` is set: there everything needed is installed."""
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    if reporter is None or not os.environ.get("CI"):
        return
    skipped = [report.nodeid for report in reporter.stats.get("skipped", [])]
    session.config.stash[_skips].extend(skipped)
    if skipped and exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say why the run is red when skipped tests made it so."""
    for name in terminalreporter.config.stash[_skips]:
        terminalreporter.write_line(f"skipped, and nothing may be skipped here: {name}", red=True)


@pytest.fixture(scope="session")
def root() -> Path:
    """Return the top folder of the checkout."""
    return ROOT


@pytest.fixture(scope="session")
def scenarios() -> Path:
    """Return the folder of the shipped scenarios."""
    return ROOT / "scenarios"


@pytest.fixture
def update_golden(request: pytest.FixtureRequest) -> bool:
    """Return whether golden files are to be written anew."""
    return bool(request.config.getoption("--update-golden"))
