"""What determines a result besides the scenario: versions, and no clock, host or number of workers."""

from __future__ import annotations

import platform
from importlib.metadata import PackageNotFoundError, version

from linesim import __version__

#: Libraries whose version can move a digit.
THAT_MATTER = ("numpy", "scipy", "simpy")


def versions() -> dict[str, str]:
    """Return the versions of linesim, Python and the libraries that can move a digit."""
    found = {"linesim": __version__, "python": platform.python_version()}
    for name in THAT_MATTER:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "not installed"
    return found
