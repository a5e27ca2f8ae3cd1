"""The special functions of SciPy without all that ``scipy.special`` loads beside them.

Loading the whole takes 0.3 s of a processor, more than all that a small run does: it looks for other array
libraries. The functions themselves stand in one compiled file, which takes a tenth of that. Where it cannot
be had alone, and for what does not stand in it, the whole is loaded; the functions are the same.
"""

from __future__ import annotations

import sys
from functools import cache
from importlib import import_module
from pathlib import Path
from threading import Lock
from types import ModuleType
from typing import Any

_LOADING = Lock()  #: Threads that ask first at one time: one of them loads.


@cache
def _compiled() -> ModuleType:
    """Return the compiled functions, loaded without the package around them if nobody has loaded that."""
    with _LOADING:
        return _loaded()


def _loaded() -> ModuleType:
    whole = "scipy.special"
    if whole not in sys.modules:
        import scipy

        around = ModuleType(whole)
        around.__path__ = [str(Path(scipy.__file__).parent / "special")]
        sys.modules[whole] = around
        try:
            return import_module(f"{whole}._ufuncs")
        except ImportError:
            pass
        finally:
            del sys.modules[whole]
    return import_module(whole)


def __getattr__(name: str) -> Any:
    """Return a function of ``scipy.special``."""
    if name.startswith("__"):  # what Python asks of a module while it is imported
        raise AttributeError(name)
    compiled = _compiled()
    return getattr(compiled if hasattr(compiled, name) else import_module("scipy.special"), name)
