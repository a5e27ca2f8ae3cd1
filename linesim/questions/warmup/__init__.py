"""`warmup`: when the start of a run stops mattering."""

from linesim.questions.warmup.study import WarmUp, warmup

__all__ = ["WarmUp", "warmup"]
