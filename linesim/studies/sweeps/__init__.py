"""`sweep` and `screen`: many cases over common draws, and what matters among them."""

from linesim.studies.sweeps.screen import Screening, screen
from linesim.studies.sweeps.sweep import Sweep, sweep

__all__ = ["Screening", "Sweep", "screen", "sweep"]
