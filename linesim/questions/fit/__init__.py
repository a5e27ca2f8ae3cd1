"""`fit`: which shape measured times have, how well it fits, and the line of TOML to paste."""

from linesim.questions.fit.study import Fit, fit

__all__ = ["Fit", "fit"]
