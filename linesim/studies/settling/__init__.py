"""`warmup`: when the start of a run stops mattering."""

from linesim.studies.settling.warmup import WarmUp, warmup

__all__ = ["WarmUp", "warmup"]
